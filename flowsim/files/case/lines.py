"""The lines of a case: size, course, bends and parts."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from flowsim.files.case.bands import bore_band
from flowsim.files.case.bends import FormedTurn, bends, formed_turns, sound_route
from flowsim.files.case.corners import corners_without_points
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.materials import check_roughness, wall_of
from flowsim.files.case.models import PartSection
from flowsim.files.case.models_lines import LineSection
from flowsim.files.case.outlets import NONE, Outlets, build_outlet_parts
from flowsim.files.case.part_laws import tag_of
from flowsim.files.case.parts import build_parts
from flowsim.files.case.places import Places, is_readable, point_of
from flowsim.files.case.routes import centre_line_length
from flowsim.files.case.size import LineSize, line_size
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import in_unit_of, shown
from flowsim.measures import LENGTH
from flowsim.system.lines import Line, StatedCorner
from flowsim.system.parts import MinorLoss, Part, Pipe, is_tube
from flowsim.system.points import Point
from flowsim.system.tags import Tag

_SHORTER = 1e-3
_SHARE = 0.01
_MUCH_LONGER, _FAR_LONGER = 1.10, 1.50  # beyond the second: told first, as likely a slip


@dataclass(frozen=True, slots=True)
class _Course:
    """How a line runs: its route (None where unknown), its length [m], its turns' parts.

    ``radii`` [m] of the points between its ends where they differ; ``corners`` without points.
    """

    route: tuple[Point, ...] | None
    length: float
    bends: tuple[MinorLoss, ...]
    radii: tuple[float, ...] = ()
    corners: tuple[StatedCorner, ...] = ()


def build_line(
    section: LineSection,
    index: int,
    places: Places,
    outlets: Outlets,
    fuel_density: float,
    ledger: Ledger,
) -> Line | None:
    """Build one line.

    Parameters
    ----------
    section
        ``[[line]]`` of the file.
    index
        Its number in the file, from 0.
    places
        Places of the nodes.
    outlets
        Fittings at tank outlets, which count with the line.
    fuel_density
        [kg/m3] Density of the fuel at 15 degC.
    ledger
        Receives mistakes, origins and cautions.

    Returns
    -------
    Line or None
        None where a mistake prevents it.
    """
    path: KeyPath = ("line", index)
    size = line_size(section, path, ledger)
    bore = math.nan if size is None else size.bore
    ends = [outlets.get(end, NONE).sections for end in (section.start, section.to)]
    course = _course(section, path, places, bore, (*ends[0], *ends[1]), ledger)
    first, last = (
        build_outlet_parts(end, outlets, bore, fuel_density, ledger)
        for end in (section.start, section.to)
    )
    own_parts = build_parts(section.parts, (*path, "parts"), bore, fuel_density, ledger)
    parts = (*first, *own_parts, *reversed(last))
    if size is None or course is None or math.isnan(bore + course.length):
        return None
    own = _own_tube(section, path, size, course, parts, ledger)
    return Line(
        name=section.name,
        start=section.start,
        end=section.to,
        parts=(own, *course.bends, *parts),
        route=course.route,
        length=course.length,
        bore=bore,
        closed=bool(section.closed),
        material=own.material,
        outside_diameter=size.outside_diameter,
        wall=size.wall,
        bend_radius=None if section.bend_radius is None else section.bend_radius.value,
        corner_radii=course.radii,
        corners=course.corners,
        outlet_parts=(*first, *last),
    )


def _own_tube(
    section: LineSection,
    path: KeyPath,
    size: LineSize,
    course: _Course,
    parts: tuple[Part, ...],
    ledger: Ledger,
) -> Pipe:
    """Give the line's own tube: its length less the pieces that are listed among the parts."""
    pieces = sum(part.length for part in parts if is_tube(part))
    length = course.length - pieces
    if length <= 0.0:
        ledger.mistake(
            (*path, "parts"),
            f"its pieces of tube and hose add up to {LENGTH.words(pieces, 0)} and leave "
            f"nothing of its length of {LENGTH.words(course.length, 0)}",
            "give the whole line's own size where it is all one, or correct the lengths",
        )
    material, roughness = wall_of(section, size.is_hose, path, ledger)
    check_roughness(roughness, size.bore, section.roughness, path, ledger)
    factor = section.friction_factor
    return Pipe(
        name=section.name,
        length=length,
        bore=size.bore,
        roughness=roughness,
        friction_factor=None if factor is None else factor.value,
        material=material,
        bore_band=bore_band(size.stated, (*path, size.key), ledger),
        source=size.words,
        tag=Tag.HANDBOOK if size.stated is None else tag_of(size.stated),
    )


def _course(
    section: LineSection,
    path: KeyPath,
    places: Places,
    bore: float,
    more_parts: tuple[PartSection, ...],
    ledger: Ledger,
) -> _Course | None:
    """Find how a line runs; ``more_parts`` are fittings at the outlets where it ends."""
    start, end = places.get(section.start), places.get(section.to)
    if section.straight and section.via:
        ledger.mistake((*path, "straight"), "via is given as well", "keep one of them")
    if section.via or section.straight:
        if start is None or end is None:
            return None
        points = (start, *(point_of(given) for given in section.via or ()), end)
        if not all(is_readable(point) for point in points):
            return None
        return _along_points(section, path, points, bore, more_parts, ledger)
    corners, losses = corners_without_points(section, path, bore, ledger)
    if section.length is None:
        if not any(ledger.is_reported((*path, key)) for key in ("via", "straight")):
            ledger.mistake(
                (*path, "length"),
                "the line has neither via nor straight, so its length is missing",
                f"write {example(LineSection, 'length')} or via = [...] or straight = true",
            )
        return None
    _check_reach(section, path, start, end, ledger)
    ledger.assumed(
        path, "no high point between its ends", "its course is given by its length alone"
    )
    return _Course(None, section.length.value, losses, corners=corners)


def _check_reach(
    section: LineSection, path: KeyPath, start: Point | None, end: Point | None, ledger: Ledger
) -> None:
    """Check that a stated length reaches from end to end."""
    given = section.length
    if start is None or end is None or given is None or given.quantity is None:
        return
    least = math.dist(start, end)
    if given.value < least - max(_SHORTER, _SHARE * least):
        ledger.mistake(
            (*path, "length"),
            f"{shown(given.text)} does not reach between its ends, which are "
            f"{in_unit_of(least, given.quantity)} apart",
            "correct the length or the places",
        )


def _along_points(
    section: LineSection,
    path: KeyPath,
    points: tuple[Point, ...],
    bore: float,
    more_parts: tuple[PartSection, ...],
    ledger: Ledger,
) -> _Course | None:
    """Follow the points of a line, with its bends."""
    route = sound_route(path, points, ledger)
    if route is None:
        return None
    turns = formed_turns(section, path, route, bore, more_parts, ledger)
    if turns is None:
        return None
    least = centre_line_length(route, [one.radius.value for one in turns])
    length = _length(section, path, least, ledger)
    radii = _radii(turns, len(points) - 2) if section.corners else ()
    return _Course(points, length, bends(turns, bore, ledger), radii)


def _radii(turns: Sequence[FormedTurn], inner: int) -> tuple[float, ...]:
    """Give the bend radius at each point between the ends, zero where there is none."""
    by_point = {one.turn.index: one.radius.value for one in turns}
    return tuple(by_point.get(point, 0.0) for point in range(1, inner + 1))


def _length(section: LineSection, path: KeyPath, least: float, ledger: Ledger) -> float:
    """Give the stated length, which may exceed that of the points, or that of the points."""
    given = section.length
    if given is None or given.quantity is None:
        return least if given is None else math.nan
    if given.value < least - max(_SHORTER, _SHARE * least):
        ledger.mistake(
            (*path, "length"),
            f"{shown(given.text)} is shorter than its points allow, "
            f"{in_unit_of(least, given.quantity)}",
            "correct the length or the points",
        )
    elif _FAR_LONGER * least >= given.value > _MUCH_LONGER * least:
        hidden = 0.5 * math.sqrt(given.value**2 - least**2)
        ledger.caution(
            path,
            f"the stated length {given.text} is {100.0 * (given.value / least - 1.0):.0f} % more "
            f"than its points give, {in_unit_of(least, given.quantity)}: its friction is counted, "
            f"but a hump or dip of up to {in_unit_of(hidden, given.quantity)}, and what air in it "
            "holds back, is not; give the points where it turns, or correct the length",
        )
    return max(given.value, least)
