"""How the parts of a document are made and read."""

from pydantic import ConfigDict

STRICT = ConfigDict(extra="ignore", allow_inf_nan=False, defer_build=True)
"""Unknown keys of later releases are passed over; a number that does not exist is refused. What
checks a kind of block is built when the first one is made: most commands make few kinds."""
