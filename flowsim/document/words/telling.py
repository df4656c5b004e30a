"""Sayings of the studies told in English, with figures in the units that were chosen.

A place in the words is ``{name}`` or ``{name:form}``. Forms: a kind of quantity with its decimals
in metric (``{depth:length.0}``), or with significant digits (``{bore:bore.4g}``); an angle
(``{pitch:deg.1}``); a ratio in percent (``{share:percent.0}``); how a list is joined
(``{tanks:and}``, ``{found:semi}``), and each of it quoted (``{tanks:quoted_and}``); else a format
of Python's (``{count:d}``). A value None leaves its place empty.
"""

import math
import string
from collections.abc import Callable, Iterable
from functools import cache
from numbers import Integral
from typing import Any

from flowsim import measures
from flowsim.document.words.catalogue import CATALOGUE
from flowsim.measures import BACK_FROM, HOUR, Measure, percent_figure, ratio_figure
from flowsim.studies.saying import Said, Saying, Value

Shower = Callable[[Any], str]

MEASURES: dict[str, Measure] = {
    "length": measures.LENGTH,
    "bore": measures.BORE,
    "altitude": measures.ALTITUDE,
    "volume": measures.VOLUME,
    "little": measures.LITTLE,
    "flow": measures.VOLUME_FLOW,
    "mass_flow": measures.MASS_FLOW,
    "mass": measures.MASS,
    "pressure": measures.PRESSURE,
    "temperature": measures.TEMPERATURE,
    "density": measures.DENSITY,
}
"""Kinds of quantity by the names that they have in places of words."""
SCALES = {
    "deg": 180.0 / math.pi,
    "signed_deg": 180.0 / math.pi,
    "percent": 100.0,
    "min": 1.0 / 60.0,
    "hours": 1.0 / HOUR,
    "thousands": 1e-3,
    "millionths": 1e6,
}
"""What an SI value is multiplied by to be shown in a unit that is the same in both systems."""
JOINTS = {"list": ", ", "and": " and ", "semi": "; ", "space": " ", "together": ""}
"""What stands between the items of a list."""


def told(words: Said) -> str:
    """Tell a saying in English.

    Parameters
    ----------
    words : Saying or str
        A name is told as it is.

    Returns
    -------
    str

    Raises
    ------
    KeyError
        For a key or a value that the catalogue does not know.
    """
    if isinstance(words, str):
        return words
    values = dict(words.values)
    return "".join(
        [
            literal if name is None else literal + form(values[name])
            for literal, name, form in _places(words.key)
        ]
    )


def all_told(words: Iterable[Said]) -> tuple[str, ...]:
    """Tell several, one after the other."""
    return tuple([told(item) for item in words])


def once_told(words: Iterable[Said]) -> tuple[str, ...]:
    """Tell several; what reads the same stands once."""
    return tuple(dict.fromkeys(all_told(words)))


@cache
def _places(key: str) -> list[tuple[str, str | None, Shower]]:
    """Give the words of a key in pieces: text, the place behind it, how its value is shown."""
    return [
        (literal, name, _form(spec or ""))
        for literal, name, spec, _ in string.Formatter().parse(CATALOGUE[key])
    ]


def _form(spec: str) -> Shower:
    """Give what shows a value as ``spec`` wants it."""
    kind, _, figures = spec.partition(".")
    if kind in MEASURES:
        return _measured(MEASURES[kind], figures)
    if kind in SCALES:
        shown = f".{figures}" if figures.endswith("g") else f".{figures}f"
        scale, shown = SCALES[kind], f"+{shown}" if kind.startswith("signed") else shown
        return _finite(lambda value: f"{value * scale:{shown}}")
    quoted, name = spec.startswith("quoted"), spec.removeprefix("quoted").lstrip("_")
    if name in JOINTS:
        joint = JOINTS[name]
        return lambda value: joint.join([_quote(item) if quoted else _item(item) for item in value])
    if quoted:
        return _quote
    if spec in FORMS:
        return FORMS[spec]
    return _finite(lambda value: f"{value:{spec}}") if spec else _item


def _finite(shower: Shower) -> Shower:
    """Show a number that does not exist as what it is: no result."""
    return lambda value: shower(value) if math.isfinite(value) else measures.NO_RESULT


def _measured(measure: Measure, figures: str) -> Shower:
    """Give what shows a quantity: in words, in a cell, with significant digits, two as a range."""
    if figures.endswith("gspan"):
        return lambda value: measure.significant_span(value[0], value[1], int(figures[:-5]))
    if figures == "down":
        return measure.words_down
    if figures.endswith("g"):
        return lambda value: measure.significant(value, int(figures[:-1]))
    if figures.endswith("cell"):
        return lambda value: measure.cell(value, int(figures[:-4]))
    if figures.endswith("unit"):
        return lambda value: measure.cell_with_unit(value, int(figures[:-4]))
    return lambda value: measure.words(value, int(figures))


def capital(words: Said) -> str:
    """Tell a saying with a capital letter, as a sentence begins."""
    text = told(words)
    return text[:1].upper() + text[1:]


def _item(value: Value) -> str:
    """Show a value that is no figure: a name, another saying, a count, or nothing."""
    if value is None:
        return ""
    if isinstance(value, Saying | str):
        return told(value)
    if isinstance(value, Integral):
        return str(value)
    raise TypeError(f"a {type(value).__name__} is no word: give its place a form")


def _quote(value: Value) -> str:
    return f'"{_item(value)}"'


def _point(value: Iterable[float]) -> str:
    """Show a place: station, buttline and waterline in the unit of tables."""
    places = ", ".join([measures.LENGTH.cell(axis, 0) for axis in value])
    return f"{places} {measures.LENGTH.name}"


def _ratio(value: float) -> str:
    """Show a flow over another in percent, rounded down: back is none."""
    return "none" if value <= -BACK_FROM else ratio_figure(max(value, 0.0))


def _known(shower: Shower) -> Shower:
    """Show a number that is none as no result; an infinite ratio is one."""
    return lambda value: measures.NO_RESULT if math.isnan(value) else shower(value)


FORMS: dict[str, Shower] = {
    "share": _finite(percent_figure),
    "ratio": _known(_ratio),
    "capital": capital,
    "little_or_more": measures.little_words,
    "point": _point,
}
"""Other ways to show a value."""
