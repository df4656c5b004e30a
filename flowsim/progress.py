"""How a long study says how far it is."""

from collections.abc import Callable

Progress = Callable[[str, int, int], None]
"""Takes what is being done, how many steps are done, and of how many."""
