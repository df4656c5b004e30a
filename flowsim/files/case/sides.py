"""The other side of the aeroplane: left is right, and a buttline has the other sign."""

import re
from collections.abc import Callable
from copy import deepcopy
from typing import Any

from flowsim.files.units.kinds import COORDINATE, PITCH, Kind
from flowsim.files.units.quantities import QuantityError, parse_quantity
from flowsim.files.units.written_numbers import plain_text

POINTS = ("at", "via", "corners", "root", "tip", "cells", "dip_at", "surface_at", "sump_at",
          "filler_at", "floor_at", "vent_at", "points", "supports_at", "drains_at")  # fmt: skip
"""Keys that hold a point, or lists of points."""

_TURNED: dict[str, Kind] = {"right": COORDINATE, "dip_roll": PITCH}
"""Keys of one value that has the other sign on the other side."""

_OTHER = {"left": "right", "port": "starboard", "l": "r", "lh": "rh"}
_OTHER |= {other: side for side, other in _OTHER.items()}
_WORD = re.compile(
    r"(?<![^\W_])(?:left|right|starboard|port)(?![^\W_])|(?<![^\W_])(?:LH|RH|L|R)(?![^\W_])",
    re.IGNORECASE,
)


def other_side(name: str) -> str:
    """Give a name with its sides exchanged, case kept.

    Parameters
    ----------
    name
        Such as ``left tee``, ``tank L``, ``Port_rear``.

    Returns
    -------
    str
        ``right tee``, ``tank R``, ``Starboard_rear``; the same where it names no side.
    """

    def exchange(match: re.Match[str]) -> str:
        word = match[0]
        if len(word) <= 2 and not word.isupper():
            return word
        other = _OTHER[word.lower()]
        return other.upper() if word.isupper() else other.title() if word[0].isupper() else other

    return _WORD.sub(exchange, name)


def names_side(name: str, side: str) -> bool:
    """Tell whether a name names a side, and no other.

    Parameters
    ----------
    name
        Such as ``left tee`` or ``tank L``.
    side
        ``left`` or ``right``.

    Returns
    -------
    bool
        Port is left, starboard right.
    """
    left = ("left", "port", "l", "lh")
    words = [word for word in _WORD.findall(name) if len(word) > 2 or word.isupper()]
    return bool(words) and all((word.lower() in left) == (side == "left") for word in words)


def turned(key: str, value: Any) -> Any:
    """Give a value of a section as it is on the other side.

    Parameters
    ----------
    key
        Its key.
    value
        What stands there.

    Returns
    -------
    Any
        A copy; only points and what has a side are changed. What cannot be read stays as it is.
    """
    if key in POINTS:
        return _points(value)
    if key in _TURNED:
        return _scalar(value, _TURNED[key])
    if isinstance(value, dict):
        return {inner: turned(inner, held) for inner, held in value.items()}
    if isinstance(value, list) and all(isinstance(item, dict) for item in value):
        return [turned("", item) for item in value]
    return deepcopy(value)


def named(key: str, value: Any, name_of: Callable[[str, str], str]) -> Any:
    """Give a value of a section with what it names on the other side.

    Parameters
    ----------
    key
        Its key.
    value
        What stands there.
    name_of
        From a key and the name that stands there to the name on the other side.

    Returns
    -------
    Any
        A copy.
    """
    if key in _NAMING and isinstance(value, str):
        return name_of(key, value)
    if key == "run" and isinstance(value, list):
        return [name_of(key, item) if isinstance(item, str) else item for item in value]
    if isinstance(value, dict):
        return {inner: named(inner, held, name_of) for inner, held in value.items()}
    if isinstance(value, list):
        return [named("", item, name_of) for item in value]
    return value


_NAMING = ("name", "from", "to", "branch", "common", "reaches", "line", "tank", "group", "fitting")
"""Keys that name a thing."""


def _points(value: Any) -> Any:
    if not isinstance(value, list):
        return deepcopy(value)
    if len(value) == 3 and not any(isinstance(item, list) for item in value):
        return [value[0], _scalar(value[1], COORDINATE), value[2]]
    return [_points(item) for item in value]


def _scalar(value: Any, kind: Kind) -> Any:
    """Turn the sign of one value; zero and what cannot be read stay."""
    if isinstance(value, dict):
        inner = {"value": _scalar(value["value"], kind)} if "value" in value else {}
        return {**value, **inner}
    if not isinstance(value, str):
        return value
    try:
        if parse_quantity(value, kind).value == 0.0:
            return value
    except QuantityError:
        return value
    text = plain_text(value).strip()
    return text[1:].strip() if text[0] == "-" else f"-{text.removeprefix('+').strip()}"


def buttlines(value: Any) -> list[float]:
    """Give the buttlines [m] of all points of a value that can be read.

    Parameters
    ----------
    value
        A point, or lists of points.

    Returns
    -------
    list of float
        In order.
    """
    if not isinstance(value, list):
        return []
    if len(value) == 3 and not any(isinstance(item, list) for item in value):
        raw = value[1].get("value") if isinstance(value[1], dict) else value[1]
        try:
            return [parse_quantity(raw, COORDINATE).value]
        except QuantityError:
            return []
    return [found for item in value for found in buttlines(item)]
