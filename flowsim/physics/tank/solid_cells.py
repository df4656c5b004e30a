"""Cells of a tank: the convex body on given corners, and whether two of them overlap."""

from dataclasses import dataclass

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, IntArray

# An overlap smaller than this share of the smaller cell is taken as rounding.
_OVERLAP = 1e-6
# Share of a cell's size by which a corner may lie inside the body of the others.
_INSIDE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Cell:
    """The convex body on the corners of one cell.

    Parameters
    ----------
    corners : FloatArray (corner, 3)
        Corners as given [m].
    triangles : IntArray (triangle, 3)
        Corners of each triangle, anticlockwise seen from outside.
    half_spaces : FloatArray (triangle, 4)
        Outward unit normal and offset: a point p is inside where normal . p + offset <= 0 [m].
    volume : float
        Volume [m3].
    """

    corners: FloatArray
    triangles: IntArray
    half_spaces: FloatArray
    volume: float


def cell_on(corners: FloatArray, name: str) -> Cell:
    """Make the convex body on the corners of a cell.

    Parameters
    ----------
    corners : FloatArray (corner, 3)
        At least four points not in one plane [m].
    name : str
        The cell in the builder's words, for the message.

    Returns
    -------
    Cell
        With triangles all turned outward.

    Raises
    ------
    DomainError
        Fewer than four corners, not finite, all in one plane, or a corner inside the body of the
        others (a convex cell cannot have one: a mistake of measurement or a cell to be split).
    """
    from scipy.spatial import ConvexHull, QhullError

    if len(corners) < 4 or not np.all(np.isfinite(corners)):
        raise DomainError(f"{name}: needs at least four corners, all of them numbers")
    size = float(np.ptp(corners, axis=0).max())
    try:
        hull = ConvexHull(corners)
    except QhullError as error:
        raise DomainError(f"{name}: the corners lie in one plane or are the same point") from error
    planes = np.array(hull.equations, dtype=np.float64)
    depth = -(corners @ planes[:, :3].T + planes[:, 3]).max(axis=1)
    if depth.max() > _INSIDE * size:
        message = (
            f"{name}: corner {int(np.argmax(depth)) + 1} lies {depth.max() * 1000.0:.1f} mm inside "
            "the body made by the others; check the point, or split the cell"
        )
        raise DomainError(message)
    triangles = _turned_alike(np.array(hull.simplices, dtype=np.intp), np.array(hull.neighbors))
    first, second, third = (corners[triangles[:, k]] - corners[0] for k in range(3))
    if float(np.sum(first * np.cross(second, third))) < 0.0:
        triangles = triangles[:, ::-1]
    return Cell(corners=corners, triangles=triangles, half_spaces=planes, volume=float(hull.volume))


def _turned_alike(triangles: IntArray, neighbours: IntArray) -> IntArray:
    """Turn every triangle the same way round as its neighbours, starting from the first.

    Going by neighbours and not by normals keeps the surface closed even where flat faces give
    slivers whose normal is rounding.
    """
    turned = triangles.copy()
    waiting, done = [0], {0}
    while waiting:
        here = waiting.pop()
        sides = {(int(turned[here, k]), int(turned[here, (k + 1) % 3])) for k in range(3)}
        for there in (int(neighbour) for neighbour in neighbours[here]):
            if there in done:
                continue
            a, b, c = (int(corner) for corner in turned[there])
            if sides & {(a, b), (b, c), (c, a)}:
                turned[there] = (c, b, a)
            done.add(there)
            waiting.append(there)
    return turned


def check_no_overlap(cells: list[Cell]) -> None:
    """Refuse cells that overlap: their common part would be counted twice.

    Parameters
    ----------
    cells : list of Cell
        Any number of cells; shared faces, edges and corners are not an overlap.

    Raises
    ------
    DomainError
        Two cells share more than a millionth of the smaller one; the message says which two and
        how much.
    """
    for second, later in enumerate(cells):
        for first, earlier in enumerate(cells[:second]):
            shared = common_volume(earlier, later)
            if not shared <= _OVERLAP * min(earlier.volume, later.volume):
                message = (
                    f"cells {first + 1} and {second + 1} overlap by {shared * 1000.0:.3g} litre, "
                    "which would be counted twice; give both the same corners where they meet"
                )
                raise DomainError(message)


def common_volume(first: Cell, second: Cell) -> float:
    """Give the volume that two cells have in common.

    Parameters
    ----------
    first, second : Cell
        Two convex bodies.

    Returns
    -------
    float
        Common volume [m3]; zero where they only touch.

    Raises
    ------
    DomainError
        When the largest ball cannot be found.

    Notes
    -----
    The largest ball inside both bodies is found by linear programming (Chebyshev centre: S. Boyd
    and L. Vandenberghe, Convex Optimization, Cambridge 2004, section 4.3.1, from memory); from its
    centre the corners of the common body follow as the dual of a convex hull.

    Examples
    --------
    Two unit cubes, one moved by half an edge along each axis, share an eighth.

    >>> cube = np.array([[x, y, z] for x in (0, 1) for y in (0, 1) for z in (0, 1)], dtype=float)
    >>> round(common_volume(cell_on(cube, "one"), cell_on(cube + 0.5, "other")), 9)
    0.125
    """
    low = np.maximum(first.corners.min(axis=0), second.corners.min(axis=0))
    high = np.minimum(first.corners.max(axis=0), second.corners.max(axis=0))
    size = float(min(np.ptp(first.corners, axis=0).max(), np.ptp(second.corners, axis=0).max()))
    if np.any(high - low <= 1e-9 * size):
        return 0.0
    from scipy.optimize import linprog
    from scipy.spatial import ConvexHull, HalfspaceIntersection

    # Centred and scaled, so that the tolerances of the linear programme do not depend on the datum.
    middle = 0.5 * (low + high)
    planes = np.concatenate([first.half_spaces, second.half_spaces])
    normals = planes[:, :3]
    offsets = (planes[:, 3] + normals @ middle) / size
    lengths = np.linalg.norm(normals, axis=1)
    answer = linprog(
        [0.0, 0.0, 0.0, -1.0],
        A_ub=np.column_stack([normals, lengths]),
        b_ub=-offsets,
        bounds=[(None, None)] * 3 + [(None, None)],
    )
    if answer.x is None:
        raise DomainError(
            "it could not be found out whether two cells overlap; describe the tank by fewer or "
            "larger cells"
        )
    radius = float(answer.x[3])
    # A body this thin holds less than the overlap that matters.
    if radius <= 1e-7:
        return 0.0
    body = HalfspaceIntersection(np.column_stack([normals, offsets]), answer.x[:3])
    return float(ConvexHull(body.intersections).volume) * size**3
