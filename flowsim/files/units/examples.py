"""Examples in messages, in the units in which the case is shown: no inches to a metric case."""

import math
import re

from flowsim.measures import INCH, POUND, US_GALLON, Units, choice

_PAIRS = (
    ("in", "mm", 1e3 * INCH),
    ("ft", "m", 12.0 * INCH),
    ("in2", "cm2", 1e4 * INCH**2),
    ("US_gal", "L", 1e3 * US_GALLON),
    ("US_gal/h", "L/h", 1e3 * US_GALLON),
    ("lb", "kg", POUND),
    ("lb/h", "kg/h", POUND),
    ("lb/US_gal", "kg/L", 1e-3 * POUND / US_GALLON),
)
"""US unit, metric unit, and how many of the second are one of the first."""
_QUANTITY = re.compile(r'"(-?\d+(?:\.\d+)?) ([A-Za-z_/0-9]+)"')
_DIGITS = 3
"""Of a figure that is converted."""


def example_words(text: str) -> str:
    """Put the quoted quantities of an example into the system that is shown.

    Parameters
    ----------
    text : str
        Such as ``bend_radius = "1.25 in"``; names of tubes and units without a counterpart stay.

    Returns
    -------
    str
        The same where both systems are shown.
    """
    return _QUANTITY.sub(_swapped, text)


def unit_words(unit: str) -> str:
    """Give the unit of the system that is shown that takes the place of another.

    Parameters
    ----------
    unit : str
        As a case file may write it.

    Returns
    -------
    str
    """
    found = _counterpart(unit)
    return unit if found is None else found[0]


def _swapped(quantity: re.Match[str]) -> str:
    found = _counterpart(quantity[2])
    if found is None:
        return quantity[0]
    unit, factor = found
    return f'"{_short(float(quantity[1]) * factor)} {unit}"'


def _counterpart(unit: str) -> tuple[str, float] | None:
    """Give the other system's unit and how many of it are one of this, where that is shown."""
    shown = choice().sentences
    for us, metric, factor in _PAIRS:
        if unit == us and shown is Units.METRIC:
            return metric, factor
        if unit == metric and shown is Units.US:
            return us, 1.0 / factor
    return None


def _short(number: float) -> str:
    """Write a number with three digits, without a power of ten."""
    if number == 0.0:
        return "0"
    decimals = max(0, _DIGITS - 1 - math.floor(math.log10(abs(number))))
    text = f"{round(number, decimals):.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
