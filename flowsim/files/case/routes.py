"""The centre-line of a line: its turns, its length with formed bends, whether the bends fit."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from flowsim.system.points import Point

STRAIGHT_WITHIN = math.radians(5.0)
"""[rad] A smaller change of direction is not a bend."""


@dataclass(frozen=True, slots=True)
class Turn:
    """A change of direction at a point: its index in the route, its angle [rad]."""

    index: int
    angle: float


@dataclass(frozen=True, slots=True)
class Route:
    """A centre-line through points: the lengths of its legs [m] and its turns."""

    points: tuple[Point, ...]
    legs: tuple[float, ...]
    turns: tuple[Turn, ...]


def route_through(points: Sequence[Point]) -> Route:
    """Measure a chain of straight legs.

    Parameters
    ----------
    points
        Two or more points [m], no two neighbours the same.

    Returns
    -------
    Route
        Legs, and turns of more than 5 deg.
    """
    vectors = [_difference(a, b) for a, b in itertools.pairwise(points)]
    legs = tuple(math.hypot(*vector) for vector in vectors)
    turns = []
    for index in range(1, len(points) - 1):
        angle = _angle(vectors[index - 1], vectors[index])
        if angle > STRAIGHT_WITHIN:
            turns.append(Turn(index, angle))
    return Route(tuple(points), legs, tuple(turns))


def centre_line_length(route: Route, radii: Sequence[float]) -> float:
    """Give the length of the centre-line with its bends formed.

    Parameters
    ----------
    route
        The chain of legs.
    radii
        [m] Bend radius of each turn; zero where it stays a sharp corner.

    Returns
    -------
    float
        [m] Each corner of angle a is 2 R tan(a/2) - R a shorter than its two legs.
    """
    pairs = zip(route.turns, radii, strict=True)
    return sum(route.legs) - sum(2.0 * tangent(turn, r) - r * turn.angle for turn, r in pairs)


def tangent(turn: Turn, radius: float) -> float:
    """Give how much of each leg a bend takes up.

    Parameters
    ----------
    turn
        The turn.
    radius
        [m] Bend radius.

    Returns
    -------
    float
        [m] R tan(a/2).
    """
    return radius * math.tan(0.5 * turn.angle)


def misfits(route: Route, radii: Sequence[float]) -> tuple[tuple[int, float], ...]:
    """Find the legs that are too short for the bends at their ends.

    Parameters
    ----------
    route
        The chain of legs.
    radii
        [m] Bend radius of each turn.

    Returns
    -------
    tuple of (int, float)
        Index of each such leg, and how much of it its bends would take [m].
    """
    taken = [0.0] * len(route.legs)
    for turn, radius in zip(route.turns, radii, strict=True):
        for leg in (turn.index - 1, turn.index):
            taken[leg] += tangent(turn, radius)
    pairs = enumerate(zip(taken, route.legs, strict=True))
    return tuple((leg, used) for leg, (used, length) in pairs if used > length * (1.0 + 1e-9))


def _difference(a: Point, b: Point) -> Point:
    return Point(b[0] - a[0], b[1] - a[1], b[2] - a[2])


def _angle(a: Point, b: Point) -> float:
    """Give the angle between two directions; exact for small and for large angles."""
    cross = (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])
    return math.atan2(math.hypot(*cross), sum(x * y for x, y in zip(a, b, strict=True)))
