"""Points in the aircraft's axes."""

from typing import NamedTuple


class Point(NamedTuple):
    """A point by the trade's names: station aft, buttline right, waterline up [m], any datum."""

    station: float
    buttline: float
    waterline: float
