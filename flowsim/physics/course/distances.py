"""Least distances in space between straight pieces, and crossings of their pictures."""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray

_PARALLEL = 1e-12


@dataclass(frozen=True, slots=True, eq=False)
class Closest:
    """Where two things are nearest: ``distance`` [m], the points ``first``, ``second`` (3,) [m].

    ``first_along`` and ``second_along`` [m] are measured along the chains.
    """

    distance: float
    first: FloatArray
    second: FloatArray
    first_along: float
    second_along: float


def segment_distance(
    a0: FloatArray, a1: FloatArray, b0: FloatArray, b1: FloatArray
) -> tuple[float, float, float]:
    """Give the least distance between two straight segments.

    Parameters
    ----------
    a0, a1, b0, b1 : array
        Ends of the two segments, shape (3,) [m]; a segment may be a single point.

    Returns
    -------
    tuple of float
        Distance [m], and the shares [0 to 1] along the first and the second where it is found.

    Notes
    -----
    The distance is a convex quadratic of both shares on the unit square, so its least is either
    the free minimum, where that lies inside, or on one of the four edges, each a point against a
    segment. All are worked out and the least is taken; exact.

    Examples
    --------
    Two that cross at right angles in plan, one 3 m above the other, in the middle of both.

    >>> low = np.array([0.0, 0.0, 0.0]), np.array([2.0, 0.0, 0.0])
    >>> high = np.array([1.0, -1.0, 3.0]), np.array([1.0, 1.0, 3.0])
    >>> segment_distance(*low, *high)
    (3.0, 0.5, 0.5)
    """
    u, v, w = a1 - a0, b1 - b0, a0 - b0
    uu, uv, vv, uw, vw = float(u @ u), float(u @ v), float(v @ v), float(u @ w), float(v @ w)
    pairs = [
        (0.0, _clipped(vw, vv)),
        (1.0, _clipped(vw + uv, vv)),
        (_clipped(-uw, uu), 0.0),
        (_clipped(uv - uw, uu), 1.0),
    ]
    determinant = uu * vv - uv * uv
    if determinant > _PARALLEL * uu * vv:
        s, t = (uv * vw - vv * uw) / determinant, (uu * vw - uv * uw) / determinant
        if 0.0 <= s <= 1.0 and 0.0 <= t <= 1.0:
            pairs.append((s, t))
    found = [(float(np.linalg.norm(w + s * u - t * v)), s, t) for s, t in pairs]
    return min(found)


def chain_distance(first: FloatArray, second: FloatArray) -> Closest:
    """Give where two chains of straight segments are nearest.

    Parameters
    ----------
    first, second : array
        Corners, shape (point, 3) [m]; a chain of one point is that point.

    Returns
    -------
    Closest

    Raises
    ------
    DomainError
        When a corner is not finite.

    Examples
    --------
    A point 4 m beside the second leg of an angle, a metre behind its corner.

    >>> angle = np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [2.0, 2.0, 0.0]])
    >>> near = chain_distance(angle, np.array([[6.0, 1.0, 0.0]]))
    >>> near.distance, near.first.tolist(), near.first_along
    (4.0, [2.0, 1.0, 0.0], 3.0)
    """
    if not (np.isfinite(first).all() and np.isfinite(second).all()):
        raise DomainError("a chain with a corner that is not finite has no distance")
    first = first if len(first) > 1 else np.repeat(first, 2, axis=0)
    second = second if len(second) > 1 else np.repeat(second, 2, axis=0)
    best: tuple[float, int, int, float, float] | None = None
    for i, (a0, a1) in enumerate(pairwise(first)):
        for j, (b0, b1) in enumerate(pairwise(second)):
            if best is not None and _box_gap(a0, a1, b0, b1) >= best[0]:
                continue
            distance, s, t = segment_distance(a0, a1, b0, b1)
            if best is None or distance < best[0]:
                best = (distance, i, j, s, t)
    assert best is not None
    distance, i, j, s, t = best
    return Closest(
        distance,
        np.asarray(first[i] + s * (first[i + 1] - first[i])),
        np.asarray(second[j] + t * (second[j + 1] - second[j])),
        _run_length(first, i, s),
        _run_length(second, j, t),
    )


def picture_crossings(
    first: FloatArray, second: FloatArray, axes: tuple[int, int]
) -> list[tuple[FloatArray, FloatArray]]:
    """Find where two chains cross in a picture, seen along the third axis.

    Parameters
    ----------
    first, second : array
        Corners, shape (point, 3) [m].
    axes : tuple of int
        The two axes of the picture.

    Returns
    -------
    list of pairs of arrays
        The points (3,) [m] on the first and the second that cover each other. Pieces that run
        along each other in the picture cross nowhere.

    Examples
    --------
    Seen from above, two that pass 3 m over each other.

    >>> low = np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0]])
    >>> high = np.array([[1.0, -1.0, 3.0], [1.0, 1.0, 3.0]])
    >>> [(a.tolist(), b.tolist()) for a, b in picture_crossings(low, high, (0, 1))]
    [([1.0, 0.0, 0.0], [1.0, 0.0, 3.0])]
    """
    found = []
    keep = list(axes)
    for a0, a1 in pairwise(first):
        for b0, b1 in pairwise(second):
            p, q, r = (a1 - a0)[keep], (b1 - b0)[keep], (b0 - a0)[keep]
            area = float(p[0] * q[1] - p[1] * q[0])
            if abs(area) <= _PARALLEL * max(float(p @ p), float(q @ q), 1e-30):
                continue
            s = float(r[0] * q[1] - r[1] * q[0]) / area
            t = float(r[0] * p[1] - r[1] * p[0]) / area
            if 0.0 <= s < 1.0 and 0.0 <= t < 1.0:
                found.append((np.asarray(a0 + s * (a1 - a0)), np.asarray(b0 + t * (b1 - b0))))
    return found


def _clipped(top: float, bottom: float) -> float:
    return min(1.0, max(0.0, top / bottom)) if bottom > 0.0 else 0.0


def _box_gap(a0: FloatArray, a1: FloatArray, b0: FloatArray, b1: FloatArray) -> float:
    """Give a lower bound of the distance of two segments, from the boxes around them."""
    over = np.maximum(np.minimum(a0, a1) - np.maximum(b0, b1), 0.0)
    under = np.maximum(np.minimum(b0, b1) - np.maximum(a0, a1), 0.0)
    return float(np.linalg.norm(over + under))


def _run_length(chain: FloatArray, index: int, share: float) -> float:
    steps = np.linalg.norm(np.diff(chain, axis=0), axis=1)
    return float(steps[:index].sum() + share * steps[index])
