"""A solid as arrays, checked once: is it closed, finite, and does it hold anything."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.system.tanks import Solid

# A solid smaller than this share of the cube on its diagonal is flat for all we can tell.
_FLAT = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SolidArrays:
    """A checked solid as arrays.

    Parameters
    ----------
    origin : FloatArray (3,)
        Middle of the solid [m]. Corners are kept relative to it, so that a far-off datum costs no
        digits.
    corners : FloatArray (corner, 3)
        Corners less ``origin`` [m]; only those that some triangle uses.
    triangles : IntArray (triangle, 3)
        Corners of each triangle, anticlockwise seen from outside.
    area_vectors : FloatArray (triangle, 3)
        Outward normals as long as the areas [m2].
    gross_volume : float
        Enclosed volume [m3], before the fill factor.
    fill_factor : float
        Share of the volume that fuel can take, above 0 to 1 [-].
    """

    origin: FloatArray
    corners: FloatArray
    triangles: IntArray
    area_vectors: FloatArray
    gross_volume: float
    fill_factor: float


@lru_cache(maxsize=256)
def arrays_of(solid: Solid) -> SolidArrays:
    """Turn a solid into arrays and refuse one that is not a proper body.

    Parameters
    ----------
    solid : Solid
        Any solid, from the builders in ``solids`` or by hand.

    Returns
    -------
    SolidArrays
        Kept in memory for the last 256 solids.

    Raises
    ------
    DomainError
        Not finite, an index out of range, surface not closed, turned inside out, no volume, or
        ``fill_factor`` outside (0, 1].

    Notes
    -----
    Volume by Gauss's theorem: a third of the sum over the surface of position times area vector.
    """
    if not 0.0 < solid.fill_factor <= 1.0:
        message = (
            f"the fill factor of a tank must be above 0 and at most 1, not {solid.fill_factor}"
        )
        raise DomainError(message)
    corners = np.array(solid.corners, dtype=np.float64).reshape(-1, 3)
    triangles = np.array(solid.triangles, dtype=np.intp).reshape(-1, 3)
    if not np.all(np.isfinite(corners)):
        raise DomainError("a corner of the tank is not a number")
    if len(triangles) < 4 or triangles.min() < 0 or triangles.max() >= len(corners):
        raise DomainError("the tank's surface needs at least four triangles on its own corners")
    _check_closed(triangles)
    used, renumbered = np.unique(triangles, return_inverse=True)
    triangles = renumbered.reshape(-1, 3).astype(np.intp)
    corners = corners[used]
    origin = 0.5 * (corners.min(axis=0) + corners.max(axis=0))
    corners = corners - origin
    first, second, third = (corners[triangles[:, k]] for k in range(3))
    area_vectors = 0.5 * np.cross(second - first, third - first)
    volume = float(np.sum(area_vectors * first) / 3.0)
    _check_volume(volume, corners)
    return SolidArrays(
        origin=origin,
        corners=corners,
        triangles=triangles,
        area_vectors=area_vectors,
        gross_volume=volume,
        fill_factor=solid.fill_factor,
    )


def _check_closed(triangles: IntArray) -> None:
    """Refuse a surface on which a side of a triangle is not met by another in reverse."""
    sides = np.concatenate([triangles[:, (k, (k + 1) % 3)] for k in range(3)])
    count = int(triangles.max()) + 1
    there = np.sort(sides[:, 0] * count + sides[:, 1])
    back = np.sort(sides[:, 1] * count + sides[:, 0])
    if np.any(sides[:, 0] == sides[:, 1]) or not np.array_equal(there, back):
        raise DomainError("the tank's surface is not closed: a side has no triangle next to it")


def _check_volume(volume: float, corners: FloatArray) -> None:
    diagonal = float(np.linalg.norm(np.ptp(corners, axis=0)))
    if volume < -_FLAT * diagonal**3:
        raise DomainError("the tank is turned inside out: its volume comes out negative")
    if not volume > _FLAT * diagonal**3:
        raise DomainError("the tank is flat: its corners enclose no volume")
