"""Section polygons of a lofted tank: their plane, whether they cross, and their triangles."""

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray

# Share of the section's size below which two points, or a point and an edge, count as touching.
TOUCHING = 1e-7
# Share of the section's size by which a corner may stand off the plane of its section.
OFF_PLANE = 0.05


def normal_of(points: FloatArray) -> FloatArray:
    """Give the area vector of a closed polygon in space (Newell's sum).

    Parameters
    ----------
    points : FloatArray (point, 3)
        Corners in order [m].

    Returns
    -------
    FloatArray (3,)
        Vector along the normal, as long as the enclosed area [m2].

    Notes
    -----
    Half the sum of the cross products of neighbouring corners; exact also when the corners do not
    quite lie in a plane (then it is the mean plane).

    Examples
    --------
    A right-angled triangle of 3 and 4 has an area of 6.

    >>> normal_of(np.array([[0.0, 0.0, 0.0], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0]])).tolist()
    [0.0, 0.0, 6.0]
    """
    local = points - points.mean(axis=0)
    total: FloatArray = 0.5 * np.cross(local, np.roll(local, -1, axis=0)).sum(axis=0)
    return total


def flatten(points: FloatArray, normal: FloatArray) -> FloatArray:
    """Draw the corners of a section on the plane with the given normal.

    Parameters
    ----------
    points : FloatArray (point, 3)
        Corners in order [m].
    normal : FloatArray (3,)
        Normal of the plane [-], any length but zero.

    Returns
    -------
    FloatArray (point, 2)
        Coordinates in the plane [m], anticlockwise if the corners turn about ``normal``.

    Examples
    --------
    Lengths stay: the sides of 3, 5 and 4 of a right-angled triangle.

    >>> corners = np.array([[0.0, 0.0, 0.0], [3.0, 0.0, 0.0], [0.0, 4.0, 0.0]])
    >>> flat = flatten(corners, normal_of(corners))
    >>> np.linalg.norm(np.roll(flat, -1, axis=0) - flat, axis=1).round(9).tolist()
    [3.0, 5.0, 4.0]
    """
    unit = normal / np.linalg.norm(normal)
    least = np.zeros(3)
    least[int(np.argmin(np.abs(unit)))] = 1.0
    across = np.cross(unit, least)
    across /= np.linalg.norm(across)
    upward = np.cross(unit, across)
    flat: FloatArray = (points - points.mean(axis=0)) @ np.stack([across, upward], axis=1)
    return flat


def check_section(points: FloatArray, name: str, off_plane: float = OFF_PLANE) -> FloatArray:
    """Refuse a section that has no area, crosses itself, or does not lie in a plane.

    Parameters
    ----------
    points : FloatArray (point, 3)
        Corners in order [m].
    name : str
        The section in the builder's words, for the message.
    off_plane : float
        Share of the section's size by which a corner may stand off its plane [-].

    Returns
    -------
    FloatArray (3,)
        Area vector of the section [m2].

    Raises
    ------
    DomainError
        Two points touch, no area, too far off the plane, or self-crossing.

    Examples
    --------
    >>> square = np.array([[0.0, 0.0, 0.0], [2.0, 0.0, 0.0], [2.0, 2.0, 0.0], [0.0, 2.0, 0.0]])
    >>> check_section(square, "root").tolist()
    [0.0, 0.0, 4.0]
    """
    size = float(np.ptp(points, axis=0).max())
    gaps = np.linalg.norm(points[:, None, :] - points[None, :, :], axis=2)
    np.fill_diagonal(gaps, np.inf)
    if gaps.min() <= TOUCHING * size:
        first, second = np.unravel_index(int(np.argmin(gaps)), gaps.shape)
        message = (
            f"{name}: points {min(first, second) + 1} and {max(first, second) + 1} are the same "
            "point; leave one out, or describe a tank that tapers to an edge as cells"
        )
        raise DomainError(message)
    normal = normal_of(points)
    area = float(np.linalg.norm(normal))
    # A figure-of-eight can have little or no net area: name the crossing, not the area.
    if area <= TOUCHING * size**2:
        raise DomainError(
            f"{name}: the points enclose no area, or the outline crosses itself; "
            "give them in order round the section"
        )
    standing_off = np.abs((points - points.mean(axis=0)) @ (normal / area))
    if standing_off.max() > off_plane * size:
        message = (
            f"{name}: point {int(np.argmax(standing_off)) + 1} is "
            f"{standing_off.max() * 1000.0:.0f} mm "
            "off the plane of the section; a section must be flat"
        )
        raise DomainError(message)
    crossing = crossing_edges(flatten(points, normal))
    if crossing is not None:
        message = (
            f"{name}: the outline crosses or touches itself (sides {crossing[0] + 1} and "
            f"{crossing[1] + 1}); give the points in order round the section"
        )
        raise DomainError(message)
    return normal


def crossing_edges(outline: FloatArray) -> tuple[int, int] | None:
    """Find two sides of a flat outline that cross or touch where they should not.

    Parameters
    ----------
    outline : FloatArray (point, 2)
        Corners in order [m]; side k runs from corner k to corner k + 1.

    Returns
    -------
    tuple of int, or None
        The first pair of sides found (0-based), None if the outline is simple.
    """
    count = len(outline)
    slack = TOUCHING * float(np.ptp(outline, axis=0).max())
    for first in range(count):
        for second in range(first + 1, count):
            ends = (first, (first + 1) % count, second, (second + 1) % count)
            a, b, c, d = (outline[index] for index in ends)
            if ends[1] == ends[2] or ends[3] == ends[0]:
                # Neighbours share a corner; they must not fold back onto each other.
                tip, left, right = (b, a, d) if ends[1] == ends[2] else (a, b, c)
                if _folds_back(tip, left, right, slack):
                    return first, second
            elif _gap(a, b, c, d) <= slack:
                return first, second
    return None


def _folds_back(tip: FloatArray, left: FloatArray, right: FloatArray, slack: float) -> bool:
    shorter = min(left, right, key=lambda end: float(np.linalg.norm(end - tip)))
    longer = right if shorter is left else left
    return _distance(shorter, tip, longer) <= slack


def _turn(a: FloatArray, b: FloatArray, c: FloatArray) -> float:
    """Give twice the area of the triangle, positive if it turns anticlockwise."""
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _distance(point: FloatArray, start: FloatArray, end: FloatArray) -> float:
    along = end - start
    share = float(np.clip((point - start) @ along / (along @ along), 0.0, 1.0))
    return float(np.linalg.norm(point - start - share * along))


def _gap(a: FloatArray, b: FloatArray, c: FloatArray, d: FloatArray) -> float:
    """Give the distance between the sides ab and cd, zero if they cross."""
    if _turn(a, b, c) * _turn(a, b, d) < 0.0 and _turn(c, d, a) * _turn(c, d, b) < 0.0:
        return 0.0
    return min(_distance(a, c, d), _distance(b, c, d), _distance(c, a, b), _distance(d, a, b))


def triangulate(outline: FloatArray) -> list[tuple[int, int, int]]:
    """Cut a simple outline, convex or not, into triangles by clipping ears.

    Parameters
    ----------
    outline : FloatArray (point, 2)
        Corners in order [m], anticlockwise, not crossing itself; corners in the middle of a
        straight side are allowed.

    Returns
    -------
    list of tuple of int
        ``point - 2`` triangles, anticlockwise; every side of the outline is a side of one of them.

    Raises
    ------
    DomainError
        No ear is left: the outline crosses itself or runs clockwise.

    Notes
    -----
    Two-ears theorem: G. H. Meisters, Amer. Math. Monthly 82 (1975) 648-651 (from memory).
    """
    left = list(range(len(outline)))
    size = float(np.ptp(outline, axis=0).max())
    triangles: list[tuple[int, int, int]] = []
    while len(left) > 3:
        ears = _scored_ears(outline, left, TOUCHING * size**2)
        if not ears:
            raise DomainError("the section outline crosses itself or runs the wrong way round")
        # The fattest ear first: long slivers would cost accuracy for nothing.
        place = max(ears, key=lambda ear: ear[1])[0]
        triangles.append((left[place - 1], left[place], left[(place + 1) % len(left)]))
        del left[place]
    triangles.append((left[0], left[1], left[2]))
    return triangles


def _scored_ears(outline: FloatArray, left: list[int], slack: float) -> list[tuple[int, float]]:
    """List the ears as (place in ``left``, fatness): convex, with no other corner in or on them."""
    ears = []
    for place, corner in enumerate(left):
        before, after = left[place - 1], left[(place + 1) % len(left)]
        a, b, c = outline[before], outline[corner], outline[after]
        area = _turn(a, b, c)
        if area <= slack:
            continue
        others = [other for other in left if other not in (before, corner, after)]
        if not any(_inside(outline[other], a, b, c, slack) for other in others):
            longest = max(float(np.linalg.norm(e)) for e in (b - a, c - b, a - c))
            ears.append((place, area / longest**2))
    return ears


def _inside(point: FloatArray, a: FloatArray, b: FloatArray, c: FloatArray, slack: float) -> bool:
    return min(_turn(a, b, point), _turn(b, c, point), _turn(c, a, point)) >= -slack
