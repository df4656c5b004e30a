"""How the parts of a document are made and read."""

from pydantic import ConfigDict

STRICT = ConfigDict(extra="ignore", allow_inf_nan=False)
"""Unknown keys of later releases are passed over; a number that does not exist is refused."""
