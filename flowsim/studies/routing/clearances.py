"""Distances between lines and to what is near them, and where lines cross in each view."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.physics.course.distances import Closest, chain_distance, picture_crossings
from flowsim.physics.course.height_profile import upward
from flowsim.physics.course.line_materials import ASSUMED_HOSE_WALL
from flowsim.physics.course.tube_sizes import INCH
from flowsim.studies.routing.courses import LaidLine
from flowsim.studies.routing.result import Clearance, PictureCrossing
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point
from flowsim.system.routing import Obstacle, ObstacleKind

SAGITTA = 2e-5
"""[m] Bends are taken as chords this near to them; each gap is made less by it."""

NEAR_NODE = 0.05
"""[m] So much of two lines that meet is left out at their node (common practice, no source)."""

BETWEEN_LINES = 0.20 * INCH
"""[m] Least gap of lines between supports (a transport manual, read)."""

WANTED: dict[ObstacleKind, tuple[float, Said]] = {
    "wire": (0.5 * INCH, saying("clearances.never_less_than_where")),
    "hot part": (0.1, saying("clearances.practice_of_hot_parts")),
    "control": (0.025, saying("clearances.practice_of_controls")),
    "structure edge": (BETWEEN_LINES, saying("clearances.between_supports_transport_manual")),
}
"""[m] Least gap by kind, and where it is from."""

WIRE_BETTER = 6.0 * INCH
"""[m] Gap to wires that is kept where possible (secondary source)."""

_VIEWS: tuple[tuple[str, tuple[int, int], int], ...] = (
    ("side", (0, 2), 1),
    ("top", (0, 1), 2),
    ("front", (1, 2), 0),
)


@dataclass(frozen=True, slots=True, eq=False)
class Body:
    """A line as a body: its chain of chords (point, 3) [m], its radius [m], its end nodes."""

    name: str
    chain: FloatArray
    radius: float
    nodes: frozenset[str]
    known: bool


def bodies_of(system: FuelSystem, lines: Sequence[LaidLine]) -> tuple[tuple[Body, ...], list[Said]]:
    """Give the lines as bodies, and words for outside diameters that had to be assumed.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine

    Returns
    -------
    tuple of Body, list of str
    """
    bodies: list[Body] = []
    words: list[Said] = []
    by_name = {line.name: line for line in system.all_lines}
    for line in lines:
        own = by_name[line.name]
        stated = system.routing.installation(line.name).hose_outside_diameter
        outside = own.outside_diameter or stated
        if outside is None:
            outside = line.bore + 2.0 * ASSUMED_HOSE_WALL
            words.append(
                saying(
                    "clearances.line_outside_diameter_not",
                    line=line.name,
                    wall=ASSUMED_HOSE_WALL,
                )
            )
        bodies.append(
            Body(
                line.name,
                line.centre.chords(SAGITTA),
                0.5 * outside,
                frozenset((line.start, line.end)),
                line.known,
            )
        )
    return tuple(bodies), words


def clearances(system: FuelSystem, bodies: Sequence[Body]) -> tuple[Clearance, ...]:
    """Give the least gap between any two lines and from each line to each obstacle.

    Parameters
    ----------
    system : FuelSystem
    bodies : sequence of Body

    Returns
    -------
    tuple of Clearance
        Lines of unknown course are left out. Near a node at which both lines end, 50 mm of each are
        not looked at.
    """
    known = [body for body in bodies if body.known]
    found = []
    for first, second in combinations(known, 2):
        nearest = _between(first, second)
        if nearest is None:
            continue
        gap = nearest.distance - first.radius - second.radius - 2.0 * SAGITTA
        found.append(
            Clearance(
                line=first.name,
                other=second.name,
                kind="line",
                gap=gap,
                wanted=BETWEEN_LINES,
                at=Point(*(float(x) for x in nearest.first)),
                other_at=Point(*(float(x) for x in nearest.second)),
                source=saying("clearances.between_supports_transport_manual"),
            )
        )
    for body in known:
        found += [_to_obstacle(body, obstacle) for obstacle in system.routing.obstacles]
    return tuple(found)


def wires_under(system: FuelSystem, found: Sequence[Clearance]) -> tuple[Clearance, ...]:
    """Pick the wires that lie under a fuel line where they are nearest, in level attitude."""
    pitch = system.flight.level_pitch
    up = upward(np.array([np.sin(pitch), 0.0, -np.cos(pitch)]))
    return tuple(
        item
        for item in found
        if item.kind == "wire"
        and float(up @ np.array(item.other_at)) < float(up @ np.array(item.at))
    )


def crossings(bodies: Sequence[Body]) -> tuple[PictureCrossing, ...]:
    """Find where two lines cross in the side, top and front views, and which passes outside.

    Parameters
    ----------
    bodies : sequence of Body

    Returns
    -------
    tuple of PictureCrossing
        Outside is the farther from the centre-line of the aeroplane in the side view, the higher in
        the top view, the one ahead in the front view. Crossings within 50 mm of a shared node are
        the node itself and are left out; so are, in the side view, lines on the two sides.
    """
    found = []
    for first, second in combinations([body for body in bodies if body.known], 2):
        nodes = _shared_points(first, second)
        for view, axes, depth in _VIEWS:
            for a, b in picture_crossings(first.chain, second.chain, axes):
                if any(
                    max(np.linalg.norm(a - n), np.linalg.norm(b - n)) < NEAR_NODE for n in nodes
                ):
                    continue
                if depth == 1 and a[1] * b[1] < 0.0:
                    continue
                found.append(_crossing(view, depth, (first, a), (second, b)))
    return tuple(found)


def _crossing(
    view: str, depth: int, one: tuple[Body, FloatArray], two: tuple[Body, FloatArray]
) -> PictureCrossing:
    """Tell which of two lines passes outside."""
    words = _PASSES[depth]
    (outer, at), (inner, other) = sorted((one, two), key=lambda item: -_outwardness(item[1], depth))
    apart = abs(float(at[depth] - other[depth])) - outer.radius - inner.radius
    place = Point(*(float(x) for x in at))
    return PictureCrossing(
        view=view, outside=outer.name, inside=inner.name, words=words, at=place, apart=apart
    )


_PASSES = (
    saying("clearances.ahead"),
    saying("clearances.outboard"),
    saying("clearances.above"),
)
"""How a line that is nearer the looker passes another, by the axis of depth."""


def _outwardness(point: FloatArray, depth: int) -> float:
    """Give how far towards the looker a point lies [m]: ahead, outboard or above."""
    if depth == 1:
        return abs(float(point[1]))
    return -float(point[0]) if depth == 0 else float(point[2])


def _to_obstacle(body: Body, obstacle: Obstacle) -> Clearance:
    nearest = chain_distance(body.chain, np.array(obstacle.points, dtype=np.float64))
    usual, source = WANTED[obstacle.kind]
    stated = obstacle.least is not None
    return Clearance(
        line=body.name,
        other=obstacle.name,
        kind=obstacle.kind,
        gap=nearest.distance - body.radius - obstacle.radius - SAGITTA,
        wanted=obstacle.least if obstacle.least is not None else usual,
        at=Point(*(float(x) for x in nearest.first)),
        other_at=Point(*(float(x) for x in nearest.second)),
        source=saying("clearances.stated_case") if stated else source,
    )


def _shared_points(first: Body, second: Body) -> list[FloatArray]:
    """Give the points of the nodes at which both lines end."""
    ends = [first.chain[0], first.chain[-1]]
    others = [second.chain[0], second.chain[-1]]
    if not first.nodes & second.nodes:
        return []
    return [a for a in ends for b in others if float(np.linalg.norm(a - b)) < 1e-6]


def _between(first: Body, second: Body) -> Closest | None:
    """Give where two lines are nearest, away from a node that they share."""
    shared = _shared_points(first, second)
    if not shared:
        return chain_distance(first.chain, second.chain)
    one, two = _away(first.chain, shared), _away(second.chain, shared)
    return None if one is None or two is None else chain_distance(one, two)


def _away(chain: FloatArray, nodes: Sequence[FloatArray]) -> FloatArray | None:
    """Cut off what lies within ``NEAR_NODE`` along a chain from its ends at nodes."""
    for node in nodes:
        for turned in (False, True):
            rows = chain[::-1] if turned else chain
            if float(np.linalg.norm(rows[0] - node)) > 1e-6:
                continue
            steps = np.linalg.norm(np.diff(rows, axis=0), axis=1)
            reach = np.concatenate([[0.0], np.cumsum(steps)])
            if reach[-1] <= NEAR_NODE:
                return None
            index = int(np.searchsorted(reach, NEAR_NODE, side="right")) - 1
            share = (NEAR_NODE - reach[index]) / steps[index]
            first = rows[index] + share * (rows[index + 1] - rows[index])
            rows = np.vstack([first, rows[index + 1 :]])
            chain = rows[::-1] if turned else rows
    return chain
