"""Builders of tank solids: a box, a lofted bay, cells; and what can be asked of any solid."""

from collections.abc import Sequence

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank.section_polygons import TOUCHING, check_section, flatten, triangulate
from flowsim.physics.tank.solid_cells import cell_on, check_no_overlap
from flowsim.physics.tank.solid_surface import arrays_of
from flowsim.system.points import Point
from flowsim.system.tanks import Solid

# A side quad whose corners are off a plane by less than this (volume over size cubed) is flat.
_TWIST = 1e-12
_PARTS_OF_THE_WAY = (("a quarter", 0.25), ("half", 0.5), ("three quarters", 0.75))

_BOX_TRIANGLES = (
    *((0, 3, 2), (0, 1, 3)),  # front: least station
    *((4, 7, 5), (4, 6, 7)),  # back
    *((0, 5, 1), (0, 4, 5)),  # left
    *((2, 7, 6), (2, 3, 7)),  # right
    *((0, 6, 4), (0, 2, 6)),  # bottom
    *((1, 7, 3), (1, 5, 7)),  # top
)


def box(low: Point, high: Point, fill_factor: float = 1.0) -> Solid:
    """Build a box with its sides along the aircraft's axes.

    Parameters
    ----------
    low, high : Point
        Corner of least and of greatest station, buttline and waterline, inside [m].
    fill_factor : float
        Share of the volume that fuel can take, above 0 to 1 [-].

    Returns
    -------
    Solid
        Twelve triangles.

    Raises
    ------
    DomainError
        A coordinate is not finite, or ``high`` is not beyond ``low`` in all three directions.

    Examples
    --------
    1 x 2 x 3 m, a tenth of it structure.

    >>> round(capacity(box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0), 0.9)), 9)
    5.4
    """
    for name, least, most in zip(Point._fields, low, high, strict=True):
        if not least < most:
            message = (
                f"box: the {name} must rise from the low corner to the high corner, "
                f"not go from {least} m to {most} m"
            )
            raise DomainError(message)
    corners = [
        Point(station, buttline, waterline)
        for station in (low[0], high[0])
        for buttline in (low[1], high[1])
        for waterline in (low[2], high[2])
    ]
    return _checked(corners, _BOX_TRIANGLES, fill_factor)


def lofted(root: Sequence[Point], tip: Sequence[Point], fill_factor: float = 1.0) -> Solid:
    """Build a bay with straight (ruled) sides between a root and a tip section.

    Parameters
    ----------
    root, tip : sequence of Point
        The two sections, at least three points each, the same number and in the same order [m].
        They may be of any shape that does not cross itself, of different size, swept, twisted or
        raised against each other.
    fill_factor : float
        Share of the volume that fuel can take, above 0 to 1 [-].

    Returns
    -------
    Solid
        Closed and turned outward, whichever way round the points were given.

    Raises
    ------
    DomainError
        Fewer than three points, unlike numbers of points, a point not finite, two points the same,
        a section that crosses itself or is not flat, sections that run opposite ways or cut through
        each other, no volume.

    Notes
    -----
    A flat side becomes two triangles. A twisted side becomes four about the mean of its corners,
    which enclose exactly the volume of the ruled surface and do not depend on the order of the
    points, so that a left and a right tank are mirror images.

    Examples
    --------
    A prismoid of an old textbook (see ``tests/published/mensuration_textbook``): 20 x 16 to
    12 x 10, 40 long, by the rule of the middle section 40/6 (320 + 4 x 208 + 120) = 8480.

    >>> root = [Point(0, 0, 0), Point(20, 0, 0), Point(20, 0, 16), Point(0, 0, 16)]
    >>> tip = [Point(0, 40, 0), Point(12, 40, 0), Point(12, 40, 10), Point(0, 40, 10)]
    >>> round(capacity(lofted(root, tip)), 9)
    8480.0
    """
    inner, outer = _section(root, "root section"), _section(tip, "tip section")
    if len(inner) != len(outer):
        message = (
            f"the root section has {len(inner)} points and the tip section {len(outer)}; "
            "both need the same number, in the same order"
        )
        raise DomainError(message)
    _check_pair(inner, outer)
    count = len(inner)
    normal = check_section(inner, "root section")
    root_cap = triangulate(flatten(inner, normal))
    tip_cap = triangulate(flatten(outer, check_section(outer, "tip section")))
    corners = [*inner, *outer]
    triangles = [(c, b, a) for a, b, c in root_cap]
    triangles += [(a + count, b + count, c + count) for a, b, c in tip_cap]
    for here in range(count):
        there = (here + 1) % count
        triangles += _side(corners, (here, there, there + count, here + count))
    if (outer - inner[0]).mean(axis=0) @ normal < 0.0:
        triangles = [(c, b, a) for a, b, c in triangles]
    return _checked([Point(*map(float, corner)) for corner in corners], triangles, fill_factor)


def cells(cells: Sequence[Sequence[Point]], fill_factor: float = 1.0) -> Solid:
    """Build a tank from convex cells given by their corners.

    Parameters
    ----------
    cells : sequence of sequence of Point
        For each cell at least four corners, in any order [m]. Cells may share faces; they must not
        overlap.
    fill_factor : float
        Share of the volume that fuel can take, above 0 to 1 [-].

    Returns
    -------
    Solid
        All cells together. Walls between cells stay in it and count nothing (once with each sign):
        fuel is taken to stand level throughout.

    Raises
    ------
    DomainError
        No cell, a cell with fewer than four corners or flat, a corner inside its own cell, or two
        cells that overlap.

    Examples
    --------
    A pyramid of 3 x 3 and 5 high (Machinery's Handbook): 15.

    >>> corners = [Point(0, 0, 0), Point(3, 0, 0), Point(3, 3, 0), Point(0, 3, 0), Point(1, 1, 5)]
    >>> round(capacity(cells([corners])), 9)
    15.0
    """
    if not cells:
        raise DomainError("a tank of cells needs at least one cell")
    bodies = [
        cell_on(np.array(points, dtype=np.float64).reshape(-1, 3), f"cell {number}")
        for number, points in enumerate(cells, start=1)
    ]
    check_no_overlap(bodies)
    corners: list[Point] = []
    triangles: list[tuple[int, int, int]] = []
    for body in bodies:
        start = len(corners)
        corners += [Point(*map(float, corner)) for corner in body.corners]
        triangles += [
            (int(a) + start, int(b) + start, int(c) + start) for a, b, c in body.triangles
        ]
    return _checked(corners, triangles, fill_factor)


def capacity(solid: Solid) -> float:
    """Give the quantity that fills a solid.

    Parameters
    ----------
    solid : Solid
        The tank.

    Returns
    -------
    float
        Enclosed volume times fill factor [m3].

    Raises
    ------
    DomainError
        The solid is not a proper body (``solid_surface.arrays_of``).

    Examples
    --------
    >>> capacity(box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0)))
    6.0
    """
    arrays = arrays_of(solid)
    return arrays.gross_volume * arrays.fill_factor


def extent(solid: Solid) -> tuple[Point, Point]:
    """Give the least and the greatest station, buttline and waterline of a solid.

    Parameters
    ----------
    solid : Solid
        The tank.

    Returns
    -------
    tuple of Point
        Low and high corner of the box round the solid [m].

    Raises
    ------
    DomainError
        The solid is not a proper body.
    """
    arrays_of(solid)
    used = {corner for triangle in solid.triangles for corner in triangle}
    corners = np.array([solid.corners[corner] for corner in used])
    low, high = corners.min(axis=0), corners.max(axis=0)
    return Point(*map(float, low)), Point(*map(float, high))


def contains(solid: Solid, point: Point, tolerance: float) -> bool:
    """Tell whether a point lies in a solid or on its skin.

    Parameters
    ----------
    solid : Solid
        The tank.
    point : Point
        The point [m].
    tolerance : float
        Distance from the skin, inside or outside, that counts as on it [m], at least 0. Outlets
        sit on the skin and are measured with a tape.

    Returns
    -------
    bool
        True inside, and within ``tolerance`` of the skin (and of walls between cells).

    Raises
    ------
    DomainError
        The point is not finite, the tolerance negative, or the solid not a proper body.

    Notes
    -----
    The solid angles under which the triangles are seen add up to a full sphere from inside and to
    nothing from outside (A. Van Oosterom and J. Strackee, IEEE Trans. Biomed. Eng. BME-30 (1983)
    125-126, from memory).
    """
    arrays = arrays_of(solid)
    at = np.array(point, dtype=np.float64)
    if not np.all(np.isfinite(at)) or not tolerance >= 0.0:
        raise DomainError("a point in a tank needs three numbers and a tolerance of at least zero")
    seen = arrays.corners[arrays.triangles] - (at - arrays.origin)
    if _distance_to_skin(seen, arrays.area_vectors) <= tolerance:
        return True
    a, b, c = seen[:, 0], seen[:, 1], seen[:, 2]
    la, lb, lc = (np.linalg.norm(side, axis=1) for side in (a, b, c))
    volume = np.sum(a * np.cross(b, c), axis=1)
    spread = (
        la * lb * lc
        + np.sum(a * b, axis=1) * lc
        + np.sum(b * c, axis=1) * la
        + np.sum(c * a, axis=1) * lb
    )
    turns = float(np.sum(np.arctan2(volume, spread))) / (2.0 * np.pi)
    return turns > 0.5


def _distance_to_skin(seen: FloatArray, area_vectors: FloatArray) -> float:
    """Give the least distance from the origin to triangles ``seen`` (triangle, corner, 3)."""
    ends = np.roll(seen, -1, axis=1)
    along = ends - seen
    squares = np.sum(along**2, axis=2)
    share = np.clip(-np.sum(seen * along, axis=2) / np.maximum(squares, 1e-300), 0.0, 1.0)
    nearest = float(np.linalg.norm(seen + share[..., None] * along, axis=2).min())
    lengths = np.linalg.norm(area_vectors, axis=1)
    solid = lengths > 0.0
    unit = area_vectors[solid] / lengths[solid, None]
    height = np.sum(seen[solid, 0] * unit, axis=1)
    # Seen along the normal, the foot of the perpendicular is inside if it is left of all sides.
    sides = np.cross(along[solid], -(seen[solid] - (height[:, None] * unit)[:, None, :]))
    over = np.all(np.sum(sides * unit[:, None, :], axis=2) >= 0.0, axis=1)
    return min(nearest, float(np.abs(height[over]).min(initial=np.inf)))


def _checked(
    corners: Sequence[Point], triangles: Sequence[tuple[int, int, int]], fill_factor: float
) -> Solid:
    """Make the solid and let ``arrays_of`` refuse it if it is not a proper body."""
    solid = Solid(corners=tuple(corners), triangles=tuple(triangles), fill_factor=fill_factor)
    arrays_of(solid)
    return solid


def _section(points: Sequence[Point], name: str) -> FloatArray:
    if len(points) < 3:
        raise DomainError(f"{name}: needs at least three points, not {len(points)}")
    section = np.array(points, dtype=np.float64).reshape(-1, 3)
    if not np.all(np.isfinite(section)):
        raise DomainError(f"{name}: a point is not a number")
    return section


def _check_pair(inner: FloatArray, outer: FloatArray) -> None:
    """Refuse two sections between which no proper bay can be drawn."""
    normal = check_section(inner, "root section")
    other = check_section(outer, "tip section")
    if normal @ other <= 0.0:
        message = (
            "the root and the tip section run opposite ways round; "
            "give the points of both in the same order"
        )
        raise DomainError(message)
    beyond = (outer - inner.mean(axis=0)) @ normal
    before = (inner - outer.mean(axis=0)) @ other
    size = max(float(np.ptp(inner, axis=0).max()), float(np.ptp(outer, axis=0).max()))
    least = min(float(np.abs(beyond).min() / np.linalg.norm(normal)), size)
    if len({*np.sign(beyond), *(-np.sign(before))}) != 1 or least <= TOUCHING * size:
        raise DomainError("the root and the tip section touch or cut through each other")
    for words, share in _PARTS_OF_THE_WAY:
        between = (1.0 - share) * inner + share * outer
        check_section(between, f"the section {words} of the way from root to tip", np.inf)


def _side(corners: list[FloatArray], quad: tuple[int, int, int, int]) -> list[tuple[int, int, int]]:
    """Cut a side into triangles; a twisted one gets a new corner, appended to ``corners``."""
    a, b, c, d = quad
    points = np.array([corners[corner] for corner in quad])
    size = float(np.ptp(points, axis=0).max())
    edges = points[1:] - points[0]
    if abs(float(np.linalg.det(edges))) <= _TWIST * size**3:
        return [(a, b, c), (a, c, d)]
    middle = len(corners)
    corners.append(points.mean(axis=0))
    return [(a, b, middle), (b, c, middle), (c, d, middle), (d, a, middle)]
