"""The readers of points and of tube sizes in a case file."""

import math
import re
from typing import Any

from pydantic_core import PydanticCustomError

from flowsim.files.case.given import (
    NOT_READ,
    UNREADABLE,
    Fault,
    Given,
    GivenPoint,
    GivenTube,
    refuse,
)
from flowsim.files.case.readers import DASH_NUMBER, listed, quantity_reader
from flowsim.files.units import kinds
from flowsim.files.units.plausible import LARGEST_BORE, LEAST_BORE
from flowsim.files.units.quantities import QuantityError, parse_quantity, shown

_TUBE_CROSS = re.compile(r"\s*(?:[x×*]|\bby\b)\s*", re.IGNORECASE)
_TUBE_WORDS = re.compile(
    r"\b(?:OD|O\.D\.?|outside diameter|wall|wt|thick)(?![A-Za-z])", re.IGNORECASE
)
_BARE = re.compile(r"[0-9.,/ -]+")
_coordinate = quantity_reader(kinds.COORDINATE)


def read_point(raw: Any) -> GivenPoint:
    """Read ``[station, buttline, waterline]``.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    GivenPoint
        Three lengths.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    if raw is UNREADABLE:
        return GivenPoint(NOT_READ, NOT_READ, NOT_READ)
    if not isinstance(raw, list) or len(raw) != 3:
        refuse([_no_point(raw)])
    if all(isinstance(x, int | float) and not isinstance(x, bool) for x in raw):
        meant = ", ".join(f'"{shown(item)} in"' for item in raw)
        refuse([Fault((), "bare numbers have no unit", f"write [{meant}]")])
    given: list[Given] = []
    faults: list[Fault] = []
    for index, item in enumerate(raw):
        try:
            given.append(_coordinate(item))
        except PydanticCustomError as error:
            found: list[Fault] = (error.context or {})["faults"]
            faults += [Fault((index, *f.inside), f.problem, f.remedy) for f in found]
    if faults:
        refuse(faults)
    return GivenPoint(*given)


def _no_point(raw: Any) -> Fault:
    """Say why something is no point, and how it would be one."""
    remedy = 'write for example ["-38 in", "0 in", "12 in"]'
    what = shown(raw)
    if isinstance(raw, list):
        what = f"{len(raw)} value{'' if len(raw) == 1 else 's'}"
        if len(raw) == 1 and isinstance(raw[0], list) and len(raw[0]) == 3:
            what = "a list of one point"
            remedy = f"write [{', '.join(shown(item) for item in raw[0])}]"
    elif isinstance(raw, str) and len(parts := re.split(r"\s*[,;]\s*", raw.strip())) == 3:
        unit = parts[-1].lstrip("0123456789.+-/ ")
        texts = [f"{part} {unit}" if _BARE.fullmatch(part.lstrip("+-")) else part for part in parts]
        what = "one text"
        remedy = f"write [{', '.join(shown(text) for text in texts)}]"
    problem = f"a point has three lengths (station, buttline, waterline), not {what}"
    return Fault((), problem, remedy)


def read_tube(raw: Any) -> GivenTube:
    """Read ``outside diameter x wall``.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    GivenTube
        Both [m].

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    if raw is UNREADABLE:
        return GivenTube(math.nan, math.nan, "")
    remedy = 'write for example "3/8 in x 0.035 in" (outside diameter x wall)'
    if not isinstance(raw, str):
        refuse([Fault((), f"{shown(raw)} is not a tube size", remedy)])
    if DASH_NUMBER.fullmatch(raw):
        problem = f"{shown(raw)} is a dash number, which does not tell the wall"
        refuse([Fault((), problem, remedy)])
    sizes = [size.strip() for size in _TUBE_CROSS.split(raw)] if len(raw) < 100 else []
    if len(sizes) != 2:
        refuse([Fault((), f"{shown(raw)} is not outside diameter x wall", remedy)])
    sizes = _with_one_unit([_TUBE_WORDS.sub("", size).strip() for size in sizes])
    try:
        outside = parse_quantity(sizes[0], kinds.LENGTH)
        wall = parse_quantity(sizes[1], kinds.THICKNESS)
    except QuantityError as error:
        bare = all(_BARE.fullmatch(size) for size in sizes)
        if bare:
            remedy = f'write "{sizes[0]} in x {sizes[1]} in"'
        refuse([Fault((), error.problem, remedy)])
    if outside.value <= 2.0 * wall.value:
        refuse([Fault((), f"{shown(raw)} has a wall that leaves no bore", remedy)])
    bore = outside.value - 2.0 * wall.value
    if not LEAST_BORE * (1 - 1e-9) <= bore <= LARGEST_BORE * (1 + 1e-9):
        problem = f"{shown(raw)} leaves a bore of {1000.0 * bore:.3g} mm, which is not plausible"
        refuse([Fault((), problem, f"{remedy}, with a bore of 1 to 50 mm")])
    return GivenTube(outside.value, wall.value, f"{outside.text} x {wall.text}")


def _with_one_unit(sizes: list[str]) -> list[str]:
    """Let a unit that is written once hold for both numbers: ``3/8 x 0.035 in``."""
    bare = [_BARE.fullmatch(size) is not None for size in sizes]
    if bare == [True, False] or bare == [False, True]:
        unit = sizes[bare.index(False)].lstrip("0123456789.,/- ")
        sizes[bare.index(True)] += f" {unit}"
    return sizes


def listed_points(raw: Any) -> Any:
    """Let a list of points through; name the mistake if it is one point without its own brackets.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    tuple
        Its points, unread.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    found = listed(raw)
    loose = not any(isinstance(item, list) or item is UNREADABLE for item in found)
    if loose and len(found) == 3:
        meant = ", ".join(shown(item) for item in found)
        problem = "a list of points holds each point in its own brackets"
        refuse([Fault((), problem, f"write [[{meant}]]")])
    return found
