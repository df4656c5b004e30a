"""A tank known by its dips and the length and width of its floor: how its surface tilts.

Away from the attitude of the dips the surface is taken to lie as in a box of that floor, with walls
as high as need be, that holds what the box would hold at the dip. How far that may be from the real
tank is a band: the middle of its plan lies within a share of length and width of the floor's. The
lower end of that band is what counts.
"""

from functools import lru_cache

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank.solids import box
from flowsim.physics.tank.volume import surface_elevation, volume_below
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Floor, Solid

PLAN_SHARE = 0.1
"""[-] How far the middle of a tank's plan may lie from its floor's, as a share of length and width
of the floor (common practice, no source). Tag: common practice."""
NEAR = np.radians(2.0)
"""[rad] So near to the attitude of its dips a dip table tells which outlets are covered, with or
without a floor (common practice, no source). Tag: common practice."""


def tilted_surface(
    table: DipTable, gravity: FloatArray, dip_elevation: FloatArray, quantity: FloatArray
) -> FloatArray:
    """Give the surface in any attitude of a tank whose dip and quantity are known.

    Parameters
    ----------
    table : DipTable
        With a floor.
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-].
    dip_elevation : FloatArray (scenario,)
        Height [m] of the surface in the attitude of the dips, along its vertical.
    quantity : FloatArray (scenario,)
        Fuel in the tank [m3].

    Returns
    -------
    FloatArray (scenario,)
        Elevation -(gravity . r) of the surface [m], at the lower end of its band.

    Notes
    -----
    The box holds what it would hold at the dip. Where that is more than the tank holds (its roof is
    wetted, or it is narrower than its floor) the box with the quantity itself counts if it stands
    lower; from the attitude of the dips, where they are exact, to ``NEAR`` it comes in evenly.

    Examples
    --------
    A box of 1 x 2 m of floor, dipped 0.5 m deep. Level it stands at the dip. Nose up by 45 deg the
    surface turns about the middle, which stands at (0.5 - 0.5) sqrt(1/2) = 0, less a tenth of the
    length's share of the pull.

    >>> table = DipTable(
    ...     at=Point(0.0, 0.0, 0.0), dips=(0.0, 1.0), quantities=(0.0, 2.0), pitch=0.0, roll=0.0,
    ...     floor=Floor(length=1.0, width=2.0, centre=Point(0.5, 1.0, 0.0)),
    ... )  # fmt: skip
    >>> pull = np.array([[0.0, 0.0, -1.0], [0.5**0.5, 0.0, -(0.5**0.5)]])
    >>> surface = tilted_surface(table, pull, np.full(2, 0.5), np.full(2, 1.0))
    >>> (surface.round(6) + 0.0).tolist()
    [0.5, -0.070711]
    """
    solid, dipped = box_on_floor(table), _dipped(table)
    held = volume_below(solid, dipped, dip_elevation)
    # Where the dip is below the box's floor or its corner, the box cannot show it: keep the step.
    step = dip_elevation - surface_elevation(solid, dipped, held)
    strength = np.linalg.norm(gravity, axis=1)
    by_dip = surface_elevation(solid, gravity, held) + step * strength
    by_quantity = surface_elevation(solid, gravity, np.minimum(quantity, held))
    share = np.minimum(angle_from_dips(table, gravity) / NEAR, 1.0)
    lies = np.where(quantity < held, (1.0 - share) * by_dip + share * by_quantity, by_dip)
    return np.asarray(lies - surface_doubt(table, gravity))


def angle_from_dips(table: DipTable, gravity: FloatArray) -> FloatArray:
    """Give the angle between effective gravity and that of the dips.

    Parameters
    ----------
    table : DipTable
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-].

    Returns
    -------
    FloatArray (scenario,)
        [rad], 0 to pi; NaN without gravity.

    Examples
    --------
    >>> table = DipTable(
    ...     at=Point(0.0, 0.0, 0.0), dips=(0.0, 1.0), quantities=(0.0, 2.0), pitch=0.0, roll=0.0,
    ...     floor=Floor(length=1.0, width=2.0, centre=Point(0.5, 1.0, 0.0)),
    ... )  # fmt: skip
    >>> pull = np.array([[0.0, 0.0, -1.0], [0.5**0.5, 0.0, -(0.5**0.5)]])
    >>> np.degrees(angle_from_dips(table, pull)).round(6).tolist()
    [0.0, 45.0]
    """
    strength = np.linalg.norm(gravity, axis=1)
    along = -(gravity @ stick_direction(table)) / np.where(strength > 0.0, strength, np.nan)
    return np.asarray(np.arccos(np.clip(along, -1.0, 1.0)))


def surface_doubt(table: DipTable, gravity: FloatArray) -> FloatArray:
    """Give half the band of a surface of a tank with a floor.

    Parameters
    ----------
    table : DipTable
        With a floor.
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-].

    Returns
    -------
    FloatArray (scenario,)
        [m], by which the surface is taken lower; zero in the attitude of the dips. Less than
        nothing for a floor at the upper end of its band.

    References
    ----------
    ``PLAN_SHARE``: common practice, no source. Tag: common practice.

    Examples
    --------
    A tenth of 1 m of length times the pull along it.

    >>> table = DipTable(
    ...     at=Point(0.0, 0.0, 0.0), dips=(0.0, 1.0), quantities=(0.0, 2.0), pitch=0.0, roll=0.0,
    ...     floor=Floor(length=1.0, width=2.0, centre=Point(0.5, 1.0, 0.0)),
    ... )  # fmt: skip
    >>> pull = np.array([[0.0, 0.0, -1.0], [0.5**0.5, 0.0, -(0.5**0.5)]])
    >>> surface_doubt(table, pull).round(6).tolist()
    [0.0, 0.070711]
    """
    floor = _floor(table)
    up = stick_direction(table)
    aft = np.array([1.0, 0.0, 0.0]) - up[0] * up
    right = np.array([0.0, 1.0, 0.0]) - up[1] * up
    # Shifted by d in the plane of the dips' surface, the pivot changes its elevation by -(g . d).
    reach = floor.length * np.abs(gravity @ aft) + floor.width * np.abs(gravity @ right)
    return np.asarray(floor.end * PLAN_SHARE * reach)


def stick_direction(table: DipTable) -> FloatArray:
    """Give the direction in which the dips were measured: the vertical of that attitude.

    Parameters
    ----------
    table : DipTable
        With ``pitch`` and ``roll`` [rad], nose-up and right wing down positive.

    Returns
    -------
    FloatArray (3,)
        Unit vector in (aft, right, up), upward in the attitude dipped [-].

    Examples
    --------
    Dipped level, straight up; dipped nose up by 30 deg, the vertical leans forward along the datum.

    >>> table = DipTable(
    ...     at=Point(0.0, 0.0, 0.0), dips=(0.0, 1.0), quantities=(0.0, 2.0), pitch=np.pi / 6, roll=0
    ... )
    >>> (stick_direction(table).round(6) + 0.0).tolist()
    [-0.5, 0.0, 0.866025]
    """
    level = np.cos(table.pitch)
    return np.array([-np.sin(table.pitch), -np.sin(table.roll) * level, np.cos(table.roll) * level])


def _floor(table: DipTable) -> Floor:
    assert table.floor is not None
    return table.floor


def _dipped(table: DipTable) -> FloatArray:
    """Gravity over g0 in the attitude of the dips (1, 3)."""
    return -stick_direction(table)[None, :]


@lru_cache(maxsize=64)
def box_on_floor(table: DipTable) -> Solid:
    """Give the box on the floor, higher than any dip reaches in any attitude that is flown.

    Parameters
    ----------
    table : DipTable
        With a floor.

    Returns
    -------
    Solid
    """
    floor = _floor(table)
    half = np.array([floor.length, floor.width, 0.0]) / 2.0
    low = np.array(floor.centre) - half
    rise = abs(table.at.waterline - floor.centre.waterline) + table.dips[-1]
    high = np.array(floor.centre) + half
    high[2] += rise + 2.0 * (floor.length + floor.width)
    return box(Point(*(float(v) for v in low)), Point(*(float(v) for v in high)))
