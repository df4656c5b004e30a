"""What goes over the page's wire."""

from typing import Any

Wire = dict[str, Any]
"""An object of JSON, either way."""
