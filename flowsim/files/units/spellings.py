"""How people spell units: what has one meaning is taken, what has two is asked back.

Spellings are looked up part by part (``lbs/hr`` is ``lb/h``), without regard to case, and only
among the units that may stand at the place: ``g`` is a gram of mass, but a g of acceleration.
"""

import re
from collections.abc import Sequence

_SAME_LISTS: dict[str, str] = {
    "in": "\" '' inch inches", "ft": "' foot feet", "mm": "millimetre millimetres millimeter "
    "millimeters", "cm": "centimetre centimetres centimeter centimeters",
    "m": "metre metres meter meters", "um": "micron microns",
    "L": "l liter liters litre litres ltr", "mL": "ml milliliter millilitre millilitres",
    "cm3": "cc ccm", "US_gal": "usgal usg us_gallon us_gallons gal_us gallons_us",
    "imp_gal": "impgal uk_gal ukgal imp_gallon imp_gallons imperial_gallon imperial_gallons "
    "uk_gallon uk_gallons", "US_qt": "us_quart us_quarts", "imp_qt": "uk_qt imp_quart imp_quarts",
    "US_pt": "us_pint us_pints", "imp_pt": "uk_pt imp_pint imp_pints",
    "US_fl_oz": "us_floz us_fluid_ounce us_fluid_ounces us_fluid_oz us_oz",
    "imp_fl_oz": "imp_floz uk_fl_oz uk_floz imp_fluid_ounce imp_fluid_ounces imp_oz uk_oz",
    "kg": "kgs kilogram kilograms", "g": "gram grams gr", "lb": "lbs pound pounds lbm",
    "oz": "ounce ounces", "s": "sec secs second seconds", "min": "mins minute minutes",
    "h": "hr hrs hour hours", "deg": "° degree degrees", "degC": "°c deg_c c celsius centigrade",
    "degF": "°f deg_f f fahrenheit", "K": "kelvin", "kt": "kts kn knot knots",
    "hp": "bhp shp horsepower", "kW": "kilowatt kilowatts", "g0": "g", "%": "percent per_cent pct",
    "in_Hg": "inhg \"hg in_hg", "in_H2O": "inh2o \"h2o in_water in_wc in_h2o",
    "mm_H2O": "mmh2o mm_water mm_wc", "in2": "sq_in sqin in^2", "ft2": "sq_ft sqft ft^2",
    "mm2": "sq_mm mm^2", "cm2": "sq_cm cm^2", "m2": "sq_m m^2", "in3": "cu_in cuin in^3",
    "ft3": "cu_ft cuft ft^3", "m3": "m^3 cbm",
}  # fmt: skip

_WHOLE_LISTS: dict[str, str] = {
    "US_gal/h": "usgph us_gph", "imp_gal/h": "impgph imp_gph uk_gph ukgph",
    "US_gal/min": "usgpm us_gpm", "imp_gal/min": "impgpm imp_gpm uk_gpm", "L/h": "lph",
    "L/min": "lpm", "lb/h": "pph lbh", "mph": "mi/h miles/h mile/h", "km/h": "kph kmh kmph",
    "ft/min": "fpm", "ft/s": "fps", "lb/hp/h": "lb/hp-h lb/hph lb/hp_h lb/(hp_h) lb/hp*h lb/(hp*h)",
    "g/kWh": "g/kw_h g/kw-h", "psi": "lb/in2 lbf/in2 lb/sq_in psig", "/in": "mesh in-1 mesh/in",
    "cSt": "centistokes centistoke", "m/s2": "m/s^2 m/s/s", "kg/m3": "kg/m^3", "ft/s2": "ft/s^2",
    "mm2/s": "mm^2/s",
}  # fmt: skip


def _turned(lists: dict[str, str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for unit, words in lists.items():
        for word in (unit.casefold(), *words.split()):
            found.setdefault(word.casefold(), []).append(unit)
    return found


_SAME = _turned(_SAME_LISTS)
_WHOLE = _turned(_WHOLE_LISTS)

_US_OR_IMPERIAL = "US or imperial"
_TWO_READINGS: dict[str, tuple[str, str, str]] = {
    **dict.fromkeys(("gal", "gals", "gallon", "gallons"), ("US_gal", "imp_gal", _US_OR_IMPERIAL)),
    **dict.fromkeys(("qt", "qts", "quart", "quarts"), ("US_qt", "imp_qt", _US_OR_IMPERIAL)),
    **dict.fromkeys(("pt", "pts", "pint", "pints"), ("US_pt", "imp_pt", _US_OR_IMPERIAL)),
    **dict.fromkeys(
        ("fl_oz", "floz", "fluid_ounce", "fluid_ounces", "fluid_oz", "oz", "ounce", "ounces"),
        ("US_fl_oz", "imp_fl_oz", _US_OR_IMPERIAL),
    ),
    "gph": ("US_gal/h", "imp_gal/h", _US_OR_IMPERIAL),
    "gpm": ("US_gal/min", "imp_gal/min", _US_OR_IMPERIAL),
    **dict.fromkeys(("deg", "degree", "degrees", "°"), ("degC", "degF", "Celsius or Fahrenheit")),
}
"""Words that are read in two ways, both readings, and whose they are."""

_SUGGESTED = {"cup": "US_cup", "cups": "US_cup", "m": "min", "gs": "g0"}
"""Words that are not taken, but for which a unit can be offered."""


def unit_meant(written: str, fitting: Sequence[str]) -> str | None:
    """Give the unit that is meant, if a spelling has one meaning among those that fit.

    Parameters
    ----------
    written
        As the builder wrote it, for instance ``"lbs / hr"``.
    fitting
        Units that may stand there.

    Returns
    -------
    str or None
        One of ``fitting``; None where none or more than one is meant.
    """
    if written in fitting:
        return written
    tidy = _tidy(written)
    found = {*_WHOLE.get(tidy.casefold(), ()), *_by_parts(tidy, 3)}
    found |= {unit for unit in fitting if _differs_in_case_only(tidy, unit)}
    fits = [unit for unit in fitting if unit in found]
    return fits[0] if len(fits) == 1 else None


def two_readings(written: str, fitting: Sequence[str]) -> tuple[list[str], str]:
    """Give both readings of a unit that does not say which it is, and whose they are.

    Parameters
    ----------
    written
        As the builder wrote it.
    fitting
        Units that may stand there.

    Returns
    -------
    list of str, str
        Empty where the unit is not such a one.
    """
    atoms = _tidy(written).casefold().split("/")
    whose = next((_TWO_READINGS[atom][2] for atom in atoms if atom in _TWO_READINGS), "")
    readings = []
    for which in (0, 1):
        parts = [
            [_TWO_READINGS[atom][which]] if atom in _TWO_READINGS else _SAME.get(atom, [atom])
            for atom in atoms
        ]
        readings += [unit for unit in _joined(parts) if unit in fitting]
    return (readings, whose) if whose else ([], "")


def unit_suggested(written: str, fitting: Sequence[str]) -> str | None:
    """Give the unit that an unknown word may stand for, to be offered and not taken.

    Parameters
    ----------
    written
        As the builder wrote it.
    fitting
        Units that may stand there.

    Returns
    -------
    str or None
        One of ``fitting``.
    """
    unit = _SUGGESTED.get(_tidy(written).casefold())
    return unit if unit in fitting else None


def _tidy(written: str) -> str:
    """Take away what does not matter: dots, spaces about a stroke; words are joined by ``_``."""
    text = re.sub(r"\bper\b", "/", written.replace(".", ""), flags=re.IGNORECASE)
    text = re.sub(r"\s*/\s*", "/", text.strip())
    return re.sub(r"\s+", "_", text)


def _by_parts(tidy: str, most: int) -> list[str]:
    atoms = tidy.split("/")
    if len(atoms) > most:
        return []
    return _joined([_SAME.get(atom.casefold(), [atom]) for atom in atoms])


def _joined(parts: list[list[str]]) -> list[str]:
    joined = [""]
    for number, choices in enumerate(parts):
        stroke = "/" if number else ""
        joined = [f"{before}{stroke}{choice}" for before in joined for choice in choices]
    return joined


def _differs_in_case_only(written: str, unit: str) -> bool:
    """Tell whether only the case differs, and no milli has become a mega (``Mbar``)."""
    if written.casefold() != unit.casefold():
        return False
    return not (written[:1] == "M" and unit[:1] == "m" and not written.isupper())
