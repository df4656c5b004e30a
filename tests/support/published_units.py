"""Numbers as the sources print them, "12.5 ft3/s" or "1 %", in SI."""

from decimal import Decimal

FOOT, INCH, POUND, PSI, POUND_FORCE = 0.3048, 0.0254, 0.45359237, 6894.757293168, 4.4482216152605
US_GALLON = 3.785411784e-3
HOUR = 3600.0

UNITS = {
    "": 1.0, "-": 1.0, "%": 0.01,
    "m": 1.0, "mm": 1e-3, "cm": 1e-2, "um": 1e-6, "ft": FOOT, "in": INCH,
    "m3": 1.0, "cm3": 1e-6, "L": 1e-3, "in3": INCH**3, "ft3": FOOT**3,
    "s": 1.0, "min": 60.0,
    "m/s": 1.0, "m/s2": 1.0, "ft/s2": FOOT,
    "m3/s": 1.0, "m3/h": 1 / HOUR, "L/s": 1e-3, "L/min": 1e-3 / 60, "L/h": 1e-3 / HOUR,
    "mL/min": 1e-6 / 60,
    "ft3/s": FOOT**3, "gal/h": US_GALLON / HOUR,
    "kg/s": 1.0, "lb/h": POUND / HOUR, "lb/min": POUND / 60,
    "Pa": 1.0, "hPa": 100.0, "kPa": 1e3, "psi": PSI, "psia": PSI,
    "kg/m3": 1.0, "lb/gal": POUND / US_GALLON, "lbf/ft3": POUND_FORCE / FOOT**3,
    "m2/s": 1.0, "mm2/s": 1e-6, "mPa s": 1e-3, "Pa s": 1.0,
    "K": 1.0, "s2/m5": 1.0, "Pa/(L/s)2": 1e6,
}  # fmt: skip


def number(text: str) -> float:
    """Give the number before the unit, as printed."""
    return float(text.split(maxsplit=1)[0])


def unit(text: str) -> str:
    """Give the unit behind the number."""
    parts = text.split(maxsplit=1)
    return parts[1] if len(parts) > 1 else ""


def si(text: str | float) -> float:
    """Give the value in SI; a bare number is SI already."""
    if not isinstance(text, str):
        return float(text)
    return number(text) * UNITS[unit(text)]


HALF_DIGIT = "half digit"
"""A tolerance of half of the last digit that the source prints."""


def half_digit(published: str) -> float:
    """Give half of the last digit printed [SI]."""
    last = Decimal(published.split(maxsplit=1)[0]).as_tuple().exponent
    return float(Decimal(5).scaleb(int(last) - 1)) * UNITS[unit(published)]


def allowed(tolerance: str, published: str) -> float:
    """Give the difference [SI] that a tolerance such as "1 %", "0.05 m" or "half digit" allows."""
    if tolerance == HALF_DIGIT:
        return half_digit(published) * (1.0 + 1e-9)
    if unit(tolerance) == "%":
        return abs(si(published)) * si(tolerance)
    return si(tolerance)
