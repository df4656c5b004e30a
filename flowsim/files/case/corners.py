"""The corners of a line that are not as its bend radius says, or that no points show."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from flowsim.errors import DomainError
from flowsim.files.case.fuel import split_message
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import PartSection
from flowsim.files.case.models_lines import CornerSection, LineSection
from flowsim.files.case.validate import example
from flowsim.files.case.words import did_you_mean, same_word
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import in_unit_of, shown
from flowsim.physics.losses.fitting_catalogue import traits_of
from flowsim.physics.losses.formed_fittings import bend
from flowsim.system.lines import StatedCorner
from flowsim.system.parts import MinorLoss

OFF = math.radians(20.0)
"""[rad] A corner that is so far off what its elbow turns by is remarked on (common practice)."""


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner at a point of via: its radius as given, or that a fitting makes it; its path."""

    radius: Given | None
    fitting: PartSection | None
    path: KeyPath


def corners_by_point(
    section: LineSection, path: KeyPath, more_parts: Sequence[PartSection], ledger: Ledger
) -> dict[int, Corner]:
    """Give the corners that are stated for points of via.

    Parameters
    ----------
    section
        ``[[line]]`` of the file, with via.
    path
        Its path.
    more_parts
        Fittings at the tank outlets where it ends.
    ledger
        Receives mistakes.

    Returns
    -------
    dict
        By number of the point, from 1; those with a mistake are left out.
    """
    found: dict[int, Corner] = {}
    used: dict[int, int] = {}
    most = len(section.via or ())
    for index, corner in enumerate(section.corners):
        at: KeyPath = (*path, "corners", index)
        if not _keys_fit(corner, at, ledger):
            continue
        point = corner.point or 0
        if point > most:
            problem = f"via has {most} point{'' if most == 1 else 's'}, no point {point}"
            ledger.mistake((*at, "point"), problem, "count the points of via from 1")
        elif point in found:
            ledger.mistake((*at, "point"), f"point {point} is given twice", "keep one of them")
        elif corner.fitting is not None:
            fitting = _fitting(corner.fitting, (*section.parts, *more_parts), at, used, ledger)
            found[point] = Corner(None, fitting, at)
        else:
            found[point] = Corner(corner.radius, None, at)
    return found


def _keys_fit(corner: CornerSection, at: KeyPath, ledger: Ledger) -> bool:
    """Check the keys of a corner at a point of via."""
    fits = True
    for key in ("angle", "count"):
        if getattr(corner, key) is not None:
            ledger.mistake((*at, key), "the points of via give it", "delete it")
            fits = False
    if corner.point is None:
        if not ledger.is_reported((*at, "point")):
            ledger.mistake((*at, "point"), "is missing", "write point = 1, counted along via")
        return False
    if (corner.radius is None) == (corner.fitting is None):
        if any(ledger.is_reported((*at, key)) for key in ("radius", "fitting")):
            return False
        problem = "gives neither radius nor fitting" if corner.radius is None else "gives both"
        remedy = f"write {example(CornerSection, 'radius')} or {example(CornerSection, 'fitting')}"
        ledger.mistake(at, problem, remedy)
        return False
    return fits


def _fitting(
    word: str, parts: Sequence[PartSection], at: KeyPath, used: dict[int, int], ledger: Ledger
) -> PartSection | None:
    """Find the part that makes a corner; each of a count makes one."""
    if not word:
        return None
    by_name = [part for part in parts if part.name and same_word(word, [part.name])]
    found = by_name or [part for part in parts if part.part == same_word(word, [part.part])]
    if not found:
        known = [name for part in parts for name in (part.name, part.part) if name]
        problem = f"there is no part called {shown(word)} on the line"
        remedy = did_you_mean(word, known) if known else "write it in parts as well"
        ledger.mistake((*at, "fitting"), problem, remedy)
        return None
    if len(found) > 1:
        problem = f"{len(found)} parts are called {shown(word)}"
        ledger.mistake((*at, "fitting"), problem, "give it a name of its own, and that here")
        return None
    (part,) = found
    makes, there = used.get(id(part), 0) + 1, part.count or 1
    used[id(part)] = makes
    if makes > there:
        times = "once" if there == 1 else f"{there} times"
        problem = f"{shown(word)} makes {makes} corners but is there {times}"
        ledger.mistake((*at, "fitting"), problem, f"write count = {makes} in the part")
    return part


def remark_on_angle(corner: Corner, turn: float, ledger: Ledger) -> None:
    """Remark on a corner that turns by another angle than the elbow that makes it.

    Parameters
    ----------
    corner
        A corner at a point of via.
    turn
        [rad] What the points give.
    ledger
        Receives the caution.
    """
    made = None if corner.fitting is None else traits_of(corner.fitting.part).turns or None
    if corner.fitting is not None and made is not None and abs(turn - made) > OFF:
        called = corner.fitting.name or corner.fitting.part
        ledger.caution(
            corner.path,
            f"it turns by {math.degrees(turn):.0f} deg, and {shown(called)}, which makes it, is an "
            f"{corner.fitting.part}",
        )


def corners_without_points(
    section: LineSection, path: KeyPath, bore: float, ledger: Ledger
) -> tuple[tuple[StatedCorner, ...], tuple[MinorLoss, ...]]:
    """Give the bends of a line whose points are not known.

    Parameters
    ----------
    section
        ``[[line]]`` of the file, without via.
    path
        Its path.
    bore
        [m] Bore of its tube.
    ledger
        Receives mistakes.

    Returns
    -------
    tuple of StatedCorner, tuple of MinorLoss
        The corners, and the loss of each.
    """
    corners, losses = [], []
    for index, corner in enumerate(section.corners):
        at: KeyPath = (*path, "corners", index)
        radius = corner.radius or section.bend_radius
        if not _keys_fit_without_points(corner, radius, at, ledger):
            continue
        assert corner.angle is not None
        assert radius is not None
        angle, count = corner.angle.value, corner.count or 1
        if math.isnan(angle + radius.value + bore):
            continue
        name = f"bend {math.degrees(angle):.0f} deg, corner {index + 1}"
        try:
            made = bend(angle, radius.value, bore, name, count)
        except DomainError as error:
            key = "bend_radius" if corner.radius is None else "corners"
            inside = () if corner.radius is None else (index, "radius")
            ledger.mistake((*path, key, *inside), *split_message(error))
            continue
        corners.append(StatedCorner(angle=angle, radius=radius.value, count=count))
        losses.append(made)
    arcs = sum(corner.count * corner.angle * corner.radius for corner in corners)
    given = section.length
    if given is not None and given.quantity is not None and arcs > given.value:
        problem = f"its bends alone are {in_unit_of(arcs, given.quantity)} long"
        ledger.mistake((*path, "length"), problem, "correct the length or the corners")
    return tuple(corners), tuple(losses)


def _keys_fit_without_points(
    corner: CornerSection, radius: Given | None, at: KeyPath, ledger: Ledger
) -> bool:
    fits = True
    for key, remedy in (
        ("point", "delete it, or give the line its points by via"),
        ("fitting", "delete it; without points a fitting only stands in parts"),
    ):
        if getattr(corner, key) is not None:
            ledger.mistake((*at, key), "the line has no via", remedy)
            fits = False
    if corner.angle is None:
        if not ledger.is_reported((*at, "angle")):
            ledger.mistake((*at, "angle"), "is missing", f"write {example(CornerSection, 'angle')}")
        fits = False
    if radius is None:
        if not ledger.is_reported((*at, "radius")):
            remedy = f"write {example(CornerSection, 'radius')}, or bend_radius of the line"
            ledger.mistake((*at, "radius"), "is missing", remedy)
        fits = False
    return fits
