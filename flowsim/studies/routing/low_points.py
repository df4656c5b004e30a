"""Low points: what stays in every dip of the fuel lines and the vent lines, and who drains it."""

import math
from collections.abc import Sequence

from flowsim.physics.course.centre_line import centre_line
from flowsim.physics.course.height_profile import upward
from flowsim.studies.routing.attitudes import STAYING
from flowsim.studies.routing.basins import Basin, drained_down_to, ponds
from flowsim.studies.routing.courses import Course, LaidLine, course_of
from flowsim.studies.routing.result import AttitudeView, DrainReach, LowPoint
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point
from flowsim.system.routing import VentLine

NOTABLE_VOLUME = 1e-7
"""[m3] Two drops: a dip that holds less counts as dry (common practice, no source)."""

DRAIN_LEAVES = 3e-7
"""[m3] A drain that leaves no more than this reaches a dip: its mouth is wider than the point that
it is taken for (common practice, no source)."""


ASTRAY = 0.3
"""[m] A drain so far from what it drains is reached by a line that nobody described, or its point
is wrong. Tag: common practice."""


def height_doubt(system: FuelSystem) -> float:
    """Give how deep [m] a dip may be that is none: two standard deviations of stated heights."""
    return 2.0 * system.height_deviation


def open_nodes(system: FuelSystem) -> frozenset[str]:
    """Give the nodes at which fuel and air can leave the lines: tank outlets and the inlet."""
    return frozenset((*system.outlet_nodes(), system.engine.inlet))


def node_taps(system: FuelSystem) -> list[tuple[str, str, Point]]:
    """Give the drains at nodes: drain, node, the drain's own point."""
    nodes = system.places()
    return [(item.name, item.reaches, item.at) for item in system.drains if item.reaches in nodes]


def far_drains(
    system: FuelSystem, lines: Sequence[LaidLine], least: float
) -> list[tuple[str, Said, float]]:
    """Give drains that lie far from what they are said to drain.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine
    least : float
        [m] From which distance.

    Returns
    -------
    list of (drain, what it reaches in words, distance [m])
        Of lines and places where lines meet; a tank's drain is looked at with the tank.
    """
    by_name = {line.name: line for line in lines}
    places = system.places()
    found: list[tuple[str, Said, float]] = []
    for drain in system.drains:
        if drain.reaches in by_name:
            distance = by_name[drain.reaches].centre.nearest(drain.at)[1]
            words = saying("low_points.line", reaches=drain.reaches)
        elif drain.reaches in places:
            distance = math.dist(drain.at, places[drain.reaches])
            words = saying("low_points.place", reaches=drain.reaches)
        else:
            continue
        if distance > least:
            found.append((drain.name, words, distance))
    return found


def low_points(
    system: FuelSystem, lines: Sequence[LaidLine], views: Sequence[AttitudeView]
) -> tuple[LowPoint, ...]:
    """Find every dip of the fuel lines in every attitude.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine
    views : sequence of AttitudeView

    Returns
    -------
    tuple of LowPoint
        By attitude. Selectors and valves count as open; bodies of bowls are left out of volumes.
    """
    found: list[LowPoint] = []
    for view in views:
        up = upward(view.gravity)
        course = course_of(lines, up, open_nodes(system), node_taps(system))
        found += [_low_point(course, basin, view.name) for basin in ponds(course)]
    return tuple(found)


def vent_low_points(system: FuelSystem, views: Sequence[AttitudeView]) -> tuple[LowPoint, ...]:
    """Find every dip of the vent lines on the ground and in level attitude.

    References
    ----------
    14 CFR 23.975 before amendment 23-64 (read): no undrained points in the vent line where moisture
    can stay, on the ground and in level flight.
    """
    found: list[LowPoint] = []
    for vent in system.routing.vent_lines:
        laid = laid_vent(vent)
        for view in views:
            if view.name not in STAYING:
                continue
            up = upward(view.gravity)
            course = course_of([laid], up, frozenset((laid.start, laid.end)), [])
            found += [_low_point(course, basin, view.name, vent=True) for basin in ponds(course)]
    return tuple(found)


def laid_vent(vent: VentLine) -> LaidLine:
    """Give a vent line as it is laid, with its drains."""
    course = centre_line(vent.route, vent.bend_radius)
    taps = tuple(
        (saying("low_points.drain", number=number), course.nearest(at)[0], at)
        for number, at in enumerate(vent.drains_at, start=1)
    )
    return LaidLine(
        name=vent.name,
        start="tank",
        end="open",
        end_words=(
            saying("low_points.tank_end", vent=vent.name),
            saying("low_points.open_end", vent=vent.name),
        ),
        centre=course,
        length=course.length,
        bore=vent.bore,
        known=True,
        taps=taps,
    )


def _low_point(course: Course, basin: Basin, attitude: str, *, vent: bool = False) -> LowPoint:
    drains = tuple(
        DrainReach(drain=name, left=left, depth=depth)
        for name, left, depth in drained_down_to(course, basin)
    )
    spill: Said = saying("low_points.nowhere")
    if basin.spill is not None:
        spill = course.vertices[basin.spill].place.words
    reached = any(drain.left <= DRAIN_LEAVES for drain in drains)
    return LowPoint(
        attitude=attitude,
        place=course.vertices[_naming(course, basin)].place,
        depth=basin.depth,
        volume=basin.volume,
        spill=spill,
        drains=drains,
        is_drained=reached or basin.volume <= NOTABLE_VOLUME,
        known=basin.known,
        vent_line=vent,
    )


def _naming(course: Course, basin: Basin) -> int:
    """Give the vertex that names a dip: of a level stretch a node if it has one."""
    nodes = [vertex for vertex in basin.lowest if course.vertices[vertex].place.node is not None]
    return nodes[0] if nodes else basin.lowest[0]
