"""Quantity under a level surface in a tank, and the surface for a quantity, at any attitude."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Self

import numpy as np

from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.physics.tank.simplex import LevelledTriangles, level_triangles, submerged
from flowsim.physics.tank.solid_surface import SolidArrays, arrays_of
from flowsim.system.tanks import Solid

ROUND_TRIP = 1e-9
"""[-] Share of capacity to which a quantity comes back through its surface elevation."""

# Aimed at when solving; what is not within ROUND_TRIP after that is NaN.
_AIM = 1e-13
_MOST_STEPS = 200
_WORKING_SIZE = 14_000


def volume_below(solid: Solid, gravity: FloatArray, surface: FloatArray) -> FloatArray:
    """Give the quantity in a tank whose fuel surface stands at an elevation.

    Parameters
    ----------
    solid : Solid
        The tank.
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-]; (0, 0, -1) at rest and level. Any
        magnitude but zero.
    surface : FloatArray (scenario,)
        Elevation of the surface, -(gravity . r) of any point r on it [m].

    Returns
    -------
    FloatArray (scenario,)
        Quantity [m3], fill factor included; 0 with the surface below the tank, the capacity with
        it above. NaN where gravity or surface is NaN or gravity is zero.

    Raises
    ------
    DomainError
        The solid is not a proper body.

    Notes
    -----
    Gauss's theorem for the depth below the surface: the volume is the sum over the wetted skin of
    area vector times mean depth (Archimedes: the push of the fuel on the walls carries its
    weight). The mean depth of a triangle is a closed form, see ``simplex.submerged``.

    Examples
    --------
    A box of 1 x 2 x 3 m, level: 2 m2 of floor. Nose up by 45 deg with the surface through a floor
    corner and the middle of the end wall's height of 1 m, it holds a wedge of 1 x 1/2 x 2 m.

    >>> from flowsim.physics.tank.solids import box
    >>> from flowsim.system.points import Point
    >>> solid = box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0))
    >>> level, steep = [0.0, 0.0, -1.0], [0.5**0.5, 0.0, -(0.5**0.5)]
    >>> volume_below(solid, np.array([level, steep]), np.array([1.0, 0.0])).round(9).tolist()
    [2.0, 1.0]
    """
    return _in_pieces(_volume_below, arrays_of(solid), gravity, surface)


def surface_elevation(solid: Solid, gravity: FloatArray, quantity: FloatArray) -> FloatArray:
    """Give the elevation at which the surface stands with a quantity in the tank.

    Parameters
    ----------
    solid : Solid
        The tank.
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-]. Any magnitude but zero.
    quantity : FloatArray (scenario,)
        Fuel in the tank [m3], 0 to the capacity.

    Returns
    -------
    FloatArray (scenario,)
        Elevation -(gravity . r) of the surface [m]; the lowest point of the tank for 0, the
        highest for the capacity. NaN where the quantity is outside 0 to capacity by more than
        1e-9 of the capacity, where an input is NaN, gravity is zero, or no solution was found.

    Raises
    ------
    DomainError
        The solid is not a proper body.

    Notes
    -----
    Between the elevations of neighbouring corners the volume is a cubic of the elevation. The
    corners are searched by halving, the cubic is laid through the ends and the middle and solved,
    and the result is improved by Newton's method kept inside its bracket until the volume is
    right to 1e-13 of the capacity; what misses 1e-9 is NaN.

    Examples
    --------
    The other way round of the example of ``volume_below``.

    >>> from flowsim.physics.tank.solids import box
    >>> from flowsim.system.points import Point
    >>> solid = box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0))
    >>> level, steep = [0.0, 0.0, -1.0], [0.5**0.5, 0.0, -(0.5**0.5)]
    >>> surface = surface_elevation(solid, np.array([level, steep]), np.array([2.0, 1.0]))
    >>> (surface.round(9) + 0.0).tolist()
    [1.0, 0.0]
    """
    return _in_pieces(_surface_elevation, arrays_of(solid), gravity, quantity)


def extreme_elevations(solid: Solid, gravity: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give the elevations of the lowest and the highest point of a tank.

    Parameters
    ----------
    solid : Solid
        The tank.
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-].

    Returns
    -------
    tuple of FloatArray (scenario,)
        Lowest and highest elevation [m].

    Raises
    ------
    DomainError
        The solid is not a proper body.

    References
    ----------
    Geometry: the lowest and highest corner.

    Examples
    --------
    A box of 1 x 2 x 3 m, level and nose up by 90 deg.

    >>> from flowsim.physics.tank.solids import box
    >>> from flowsim.system.points import Point
    >>> solid = box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0))
    >>> low, high = extreme_elevations(solid, np.array([[0.0, 0.0, -1.0], [1.0, 0.0, 0.0]]))
    >>> low.tolist(), high.tolist()
    ([0.0, -1.0], [3.0, 0.0])
    """
    arrays = arrays_of(solid)
    pull = np.atleast_2d(np.asarray(gravity, dtype=np.float64))
    elevations = -(arrays.corners @ pull.T)
    datum = -(pull @ arrays.origin)
    return elevations.min(axis=0) + datum, elevations.max(axis=0) + datum


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class LevelledSolid:
    """A solid in many attitudes; elevations [m] are relative to ``datum``, that of its middle.

    ``weights`` [m] are those by which a mean depth counts, ``strength`` is |gravity| over g0;
    ``capacity`` [m3] is the fuel that fills it.
    """

    datum: FloatArray  # (scenario,)
    strength: FloatArray  # (scenario,)
    elevations: FloatArray  # (corner, scenario), rising
    triangles: LevelledTriangles  # (triangle, scenario)
    weights: FloatArray  # (triangle, scenario)
    capacity: float

    @classmethod
    def of(cls, arrays: SolidArrays, pull: FloatArray) -> Self:
        """Level a solid in many attitudes.

        Parameters
        ----------
        arrays : SolidArrays
            The tank.
        pull : FloatArray (scenario, 3)
            Effective gravity over g0 in (aft, right, up) [-]; without any, no surface: NaN.

        Returns
        -------
        LevelledSolid
        """
        strength = np.linalg.norm(pull, axis=1)
        # No gravity, no surface: NaN.
        square = np.where(strength > 0.0, strength**2, np.nan)
        elevations = -(arrays.corners @ pull.T)
        first, second, third = (elevations[arrays.triangles[:, k]] for k in range(3))
        return cls(
            datum=-(pull @ arrays.origin),
            strength=strength,
            elevations=np.sort(elevations, axis=0),
            triangles=level_triangles(first, second, third),
            weights=arrays.fill_factor * (arrays.area_vectors @ pull.T) / square,
            capacity=arrays.gross_volume * arrays.fill_factor,
        )

    def volume(self, surface: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Give the quantity below a surface.

        Parameters
        ----------
        surface : FloatArray (scenario,)
            Elevation over ``datum`` [m].

        Returns
        -------
        tuple of FloatArray (scenario,)
            Quantity [m3], and its slope by the elevation [m2].
        """
        # Outside the tank nothing changes any more; far away digits would be lost.
        level = np.clip(surface, self.elevations[0], self.elevations[-1])
        mean_depth, share = submerged(self.triangles, level)
        quantity = np.einsum("ts,ts->s", self.weights, mean_depth)
        slope = np.einsum("ts,ts->s", self.weights, share)
        return quantity, slope

    def take(self, scenarios: IntArray) -> Self:
        """Give some of the attitudes.

        Parameters
        ----------
        scenarios : IntArray (chosen,)
            Which.

        Returns
        -------
        LevelledSolid
        """
        return type(self)(
            datum=self.datum[scenarios],
            strength=self.strength[scenarios],
            elevations=self.elevations[:, scenarios],
            triangles=self.triangles.take(scenarios),
            weights=self.weights[:, scenarios],
            capacity=self.capacity,
        )


def _in_pieces(
    law: Callable[[LevelledSolid, FloatArray], FloatArray],
    arrays: SolidArrays,
    gravity: FloatArray,
    values: FloatArray,
) -> FloatArray:
    """Run ``law`` on some scenarios at a time, so that the working arrays stay in the cache."""
    pull = np.atleast_2d(np.asarray(gravity, dtype=np.float64))
    given = np.atleast_1d(np.asarray(values, dtype=np.float64))
    (count,) = np.broadcast_shapes(pull.shape[:1], given.shape)
    pull, given = np.broadcast_to(pull, (count, 3)), np.broadcast_to(given, (count,))
    results = np.empty(count)
    step = max(100, _WORKING_SIZE // len(arrays.triangles))
    for start in range(0, count, step):
        piece = slice(start, start + step)
        results[piece] = law(LevelledSolid.of(arrays, pull[piece]), given[piece])
    return results


def _volume_below(attitudes: LevelledSolid, surface: FloatArray) -> FloatArray:
    return attitudes.volume(surface - attitudes.datum)[0]


def _surface_elevation(attitudes: LevelledSolid, wanted: FloatArray) -> FloatArray:
    full = attitudes.capacity
    lower, upper, at_lower, at_upper = _bracket(attitudes, wanted)
    start = _cubic_start(attitudes, wanted, lower, upper, at_lower, at_upper)
    surface = _improve(attitudes, wanted, start, lower, upper)
    slack = ROUND_TRIP * full
    surface = np.where(wanted <= 0.0, attitudes.elevations[0], surface)
    surface = np.where(wanted >= full, attitudes.elevations[-1], surface)
    possible = (wanted >= -slack) & (wanted <= full + slack) & (attitudes.strength > 0.0)
    return np.where(possible, surface + attitudes.datum, np.nan)


def _bracket(
    attitudes: LevelledSolid, wanted: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Find the neighbouring corner elevations between which the surface lies, by halving."""
    elevations = attitudes.elevations
    scenarios = np.arange(elevations.shape[1])
    low = np.zeros(len(scenarios), dtype=np.intp)
    high = np.full(len(scenarios), len(elevations) - 1, dtype=np.intp)
    at_low = np.zeros(len(scenarios))
    at_high = np.full(len(scenarios), attitudes.capacity)
    for _ in range((len(elevations) - 1).bit_length()):
        middle = (low + high) // 2
        value, _ = attitudes.volume(elevations[middle, scenarios])
        raise_low = (value <= wanted) & (middle > low)
        drop_high = ~raise_low & (middle > low)
        low, at_low = np.where(raise_low, middle, low), np.where(raise_low, value, at_low)
        high, at_high = np.where(drop_high, middle, high), np.where(drop_high, value, at_high)
    return elevations[low, scenarios], elevations[high, scenarios], at_low, at_high


def _cubic_start(
    attitudes: LevelledSolid,
    wanted: FloatArray,
    lower: FloatArray,
    upper: FloatArray,
    at_lower: FloatArray,
    at_upper: FloatArray,
) -> FloatArray:
    """Solve the cubic through both ends and the value and slope in the middle of the bracket."""
    half = 0.5 * (upper - lower)
    at_middle, slope = attitudes.volume(lower + half)
    b = slope * half
    c = 0.5 * (at_upper + at_lower) - at_middle
    d = 0.5 * (at_upper - at_lower) - b
    # Position in the bracket, -1 to 1; the cubic rises throughout.
    left, right = np.full_like(half, -1.0), np.full_like(half, 1.0)
    place = np.zeros_like(half)
    for _ in range(_MOST_STEPS):
        miss = at_middle + place * (b + place * (c + place * d)) - wanted
        tangent = b + place * (2.0 * c + 3.0 * d * place)
        left, right = np.where(miss < 0.0, place, left), np.where(miss > 0.0, place, right)
        after = _newton_or_half(place, miss, tangent, left, right)
        moved = np.abs(after - place)
        place = np.where(miss == 0.0, place, after)
        if not np.any((moved > 1e-15) & (np.abs(miss) > 0.1 * _AIM * attitudes.capacity)):
            break
    return lower + half * (1.0 + place)


def _newton_or_half(
    place: FloatArray, miss: FloatArray, slope: FloatArray, left: FloatArray, right: FloatArray
) -> FloatArray:
    """Step by Newton where that stays inside the bracket, else go to its middle."""
    usable = slope > 0.0
    step = miss / np.where(usable, slope, 1.0)
    after = place - step
    inside = usable & (after >= left) & (after <= right)
    return np.where(inside, after, 0.5 * (left + right))


def _improve(
    attitudes: LevelledSolid,
    wanted: FloatArray,
    start: FloatArray,
    lower: FloatArray,
    upper: FloatArray,
) -> FloatArray:
    """Improve the surface until the volume is right; NaN where it does not become so."""
    answer = np.full_like(start, np.nan)
    active = np.flatnonzero((wanted > 0.0) & (wanted < attitudes.capacity) & np.isfinite(start))
    some, aim = attitudes.take(active), wanted[active]
    place, left, right = start[active], lower[active], upper[active]
    for _ in range(_MOST_STEPS):
        value, slope = some.volume(place)
        miss = value - aim
        left, right = np.where(miss < 0.0, place, left), np.where(miss > 0.0, place, right)
        after = _newton_or_half(place, miss, slope, left, right)
        good = np.abs(miss) <= _AIM * attitudes.capacity
        stuck = (after == place) & (np.abs(miss) <= ROUND_TRIP * attitudes.capacity)
        done = good | stuck
        answer[active[done]] = place[done]
        if done.all():
            break
        going = np.flatnonzero(~done)
        if len(going) < len(done):
            active, aim, some = active[going], aim[going], some.take(going)
        place, left, right = after[going], left[going], right[going]
    return answer
