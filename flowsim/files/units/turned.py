"""What is written in a unit of the one system, in one of the other."""

from collections.abc import Sequence

from flowsim.files.units.factors import TO_SI
from flowsim.files.units.kinds import KINDS
from flowsim.files.units.quantities import parse_number
from flowsim.measures import Units

_IN_US = {
    "mm": "in", "cm": "in", "m": "in", "km": "ft", "mm2": "in2", "cm2": "in2", "m2": "ft2",
    "L": "US_gal", "m3": "US_gal", "mL": "US_fl_oz", "cm3": "US_fl_oz",
    "kg": "lb", "g": "oz", "kg/h": "lb/h", "kg/min": "lb/min", "g/s": "lb/h", "kg/s": "lb/s",
    "g/min": "lb/h", "L/h": "US_gal/h", "L/min": "US_gal/min", "L/s": "US_gal/min",
    "m3/h": "US_gal/h", "mL/min": "US_gal/h", "kPa": "psi", "Pa": "psi", "hPa": "psi",
    "mbar": "psi", "bar": "psi", "mm_H2O": "in_H2O", "degC": "degF",
    "kg/m3": "lb/US_gal", "kg/L": "lb/US_gal", "g/mL": "lb/US_gal", "g/cm3": "lb/US_gal",
    "/cm": "/in", "/mm": "/in",
}  # fmt: skip
_IN_METRIC = {
    "in": "mm", "ft": "m", "in2": "mm2", "ft2": "m2", "US_gal": "L", "US_qt": "L", "US_pt": "L",
    "US_cup": "L", "ft3": "L", "in3": "mL", "US_fl_oz": "mL", "imp_gal": "L", "imp_qt": "L",
    "imp_pt": "L", "imp_fl_oz": "mL", "lb": "kg", "oz": "g", "lb/h": "kg/h", "lb/min": "kg/min",
    "lb/s": "kg/s", "US_gal/h": "L/h", "US_gal/min": "L/min", "imp_gal/h": "L/h",
    "imp_gal/min": "L/min", "psi": "kPa", "in_Hg": "kPa", "in_H2O": "mm_H2O", "degF": "degC",
    "lb/US_gal": "kg/m3", "lb/imp_gal": "kg/m3", "lb/ft3": "kg/m3", "/in": "/cm",
}  # fmt: skip
_ELSE = {"in": "ft"}
"""Where the first is no unit of what stands there, as inches are none of an altitude."""
DIGITS = 7
"""Significant digits that a turned figure keeps: those of a builder's own figure, and room."""


def turned(text: str, system: Units, fitting: Sequence[str] = ()) -> str:
    """Give a written quantity in a unit of a system.

    Parameters
    ----------
    text
        Such as ``"25 mm"``.
    system
        ``US`` or ``METRIC``.
    fitting
        Units that may stand there; any if empty.

    Returns
    -------
    str
        The text itself where it is in a unit of that system, of both (degrees, knots), or is no
        number and a unit (a tube's ``3/8 in x 0.035 in`` is its name).
    """
    found = parse_number(text)
    units = _IN_US if system is Units.US else _IN_METRIC
    if found is None or found[1] not in units:
        return text
    number, unit = found[0], found[1]
    wanted = units[unit]
    if fitting and wanted not in fitting:
        wanted = _ELSE.get(wanted, wanted)
        if wanted not in fitting:
            return text
    for kind in KINDS:
        if unit in kind.units and (kind.si, wanted) in TO_SI:
            factor, zero = TO_SI[kind.si, unit]
            worth, offset = TO_SI[kind.si, wanted]
            value = (number * factor + zero - offset) / worth
            return f"{value + 0.0:.{DIGITS}g} {wanted}" if wanted in kind.units else text
    return text
