"""The surface in one attitude, as a table, for studies that ask for it many times."""

import math
from collections import OrderedDict

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank.solid_surface import SolidArrays, arrays_of
from flowsim.physics.tank.volume import ROUND_TRIP, LevelledSolid, surface_elevation
from flowsim.system.tanks import Solid

ASKED_BEFORE = 3
"""Times that an attitude is asked for before its table is made: a table costs as much as some
twenty surfaces."""
MOST_KEPT = 64
"""Attitudes that are remembered."""
AIM = 1e-12
"""[-] Share of capacity to which each piece of a table must give the volume."""
MOST_STEPS = 60
ROUNDING = 1e-15
FEW = 8
"""Quantities up to which each is sought by itself."""


class SurfaceTable:
    """The quantity in a tank against the elevation of its surface, in one attitude.

    Between the elevations of neighbouring corners the quantity is a cubic of the elevation: exact,
    not an approximation. Each piece is laid through its ends and its middle, and compared with the
    volume at two more places.

    Parameters
    ----------
    arrays : SolidArrays
        The tank.
    gravity : FloatArray (3,)
        Effective gravity over g0 in (aft, right, up) [-].
    """

    def __init__(self, arrays: SolidArrays, gravity: FloatArray) -> None:
        corners = LevelledSolid.of(arrays, gravity[None, :])
        levels = np.unique(corners.elevations[:, 0])
        middles, half = 0.5 * (levels[1:] + levels[:-1]), 0.5 * np.diff(levels)
        asked = np.concatenate([levels, middles, middles - 0.5 * half, middles + 0.5 * half])
        whole = LevelledSolid.of(arrays, np.tile(gravity, (len(asked), 1)))
        volume, slope = whole.volume(asked)
        ends, middle, lower, upper = np.split(
            volume, np.cumsum([len(levels), len(middles), len(middles)])
        )
        self.capacity = whole.capacity
        self.datum = float(corners.datum[0])
        self.levels, self.ends, self.half = levels, ends, half
        b = slope[len(levels) : len(levels) + len(middles)] * half
        c = 0.5 * (ends[1:] + ends[:-1]) - middle
        d = 0.5 * (ends[1:] - ends[:-1]) - b
        self.cubic = np.array([middle, b, c, d])
        off = np.maximum(
            np.abs(self._quantity(self.cubic, np.full(len(middle), -0.5)) - lower),
            np.abs(self._quantity(self.cubic, np.full(len(middle), 0.5)) - upper),
        )
        self.is_good = len(middle) > 0 and bool((off <= AIM * self.capacity).all())

    def elevation(self, quantity: FloatArray) -> FloatArray:
        """Give the elevation of the surface for quantities.

        Parameters
        ----------
        quantity : FloatArray (scenario,)
            [m3]

        Returns
        -------
        FloatArray (scenario,)
            [m]; NaN where the quantity is outside the tank.
        """
        inside = np.clip(quantity, 0.0, self.capacity)
        piece = np.searchsorted(self.ends[1:-1], inside, side="right")
        cubic = self.cubic[:, piece]
        if len(inside) <= FEW:  # arrays would cost more than the sums
            rows = zip(*cubic.tolist(), inside.tolist(), strict=True)
            place = np.array([self._one_place(*row) for row in rows])
        else:
            place = self._place(cubic, inside)
        level = self.levels[piece] + self.half[piece] * (1.0 + place)
        level = np.where(quantity <= 0.0, self.levels[0], level)
        level = np.where(quantity >= self.capacity, self.levels[-1], level)
        slack = ROUND_TRIP * self.capacity
        possible = (quantity >= -slack) & (quantity <= self.capacity + slack)
        return np.where(possible, level + self.datum, np.nan)

    @staticmethod
    def _quantity(cubic: FloatArray, place: FloatArray) -> FloatArray:
        """Quantity [m3] at places -1 to 1 in pieces."""
        value: FloatArray = cubic[0] + place * (cubic[1] + place * (cubic[2] + place * cubic[3]))
        return value

    def _place(self, cubic: FloatArray, wanted: FloatArray) -> FloatArray:
        """Find the place, -1 to 1, of wanted quantities in rising cubics."""
        _, b, c, d = cubic
        left, right = np.full_like(wanted, -1.0), np.full_like(wanted, 1.0)
        place = np.zeros_like(wanted)
        for _ in range(MOST_STEPS):
            miss = self._quantity(cubic, place) - wanted
            left, right = np.where(miss < 0.0, place, left), np.where(miss > 0.0, place, right)
            slope = b + place * (2.0 * c + 3.0 * d * place)
            with np.errstate(divide="ignore", invalid="ignore"):
                after = place - miss / slope
            after = np.where((after >= left) & (after <= right), after, 0.5 * (left + right))
            after = np.where(miss == 0.0, place, after)
            going = (np.abs(after - place) > ROUNDING) & (np.abs(miss) > ROUNDING * self.capacity)
            place = after
            if not going.any():
                break
        return place

    def _one_place(self, a: float, b: float, c: float, d: float, wanted: float) -> float:
        """Find the place of one quantity, as ``_place`` does."""
        left, right, place = -1.0, 1.0, 0.0
        for _ in range(MOST_STEPS):
            miss = a + place * (b + place * (c + place * d)) - wanted
            if miss == 0.0:
                return place
            left, right = (place, right) if miss < 0.0 else (left, place)
            slope = b + place * (2.0 * c + 3.0 * d * place)
            after = place - miss / slope if slope > 0.0 else math.inf
            if not left <= after <= right:
                after = 0.5 * (left + right)
            moved, place = abs(after - place), after
            if moved <= ROUNDING or abs(miss) <= ROUNDING * self.capacity:
                return place
        return place


_KNOWN: OrderedDict[tuple[SolidArrays, bytes], int | SurfaceTable] = OrderedDict()


def surface_elevation_again(solid: Solid, gravity: FloatArray, quantity: FloatArray) -> FloatArray:
    """Give the same as ``surface_elevation``, quicker where an attitude is asked for many times.

    Parameters
    ----------
    solid : Solid
        The tank.
    gravity : FloatArray (scenario, 3)
        Effective gravity over g0 in (aft, right, up) [-].
    quantity : FloatArray (scenario,)
        Fuel in the tank [m3], 0 to the capacity.

    Returns
    -------
    FloatArray (scenario,)
        Elevation of the surface [m]; NaN as there.

    Raises
    ------
    DomainError
        The solid is not a proper body.

    Examples
    --------
    The same as ``surface_elevation``, also when it is asked for often.

    >>> from flowsim.physics.tank.solids import box
    >>> from flowsim.system.points import Point
    >>> asked = (
    ...     box(Point(0.0, 0.0, 0.0), Point(1.0, 2.0, 3.0)),
    ...     np.array([[0.0, 0.0, -1.0]]),
    ...     np.array([3.0]),
    ... )
    >>> [float(surface_elevation_again(*asked)[0].round(9)) for _ in range(5)]
    [1.5, 1.5, 1.5, 1.5, 1.5]
    """
    pull = np.atleast_2d(np.asarray(gravity, dtype=np.float64))
    if len(pull) == 0 or not (pull == pull[0]).all() or not np.linalg.norm(pull[0]) > 0.0:
        return surface_elevation(solid, pull, quantity)
    table = _table(arrays_of(solid), pull[0])
    if table is None:
        return surface_elevation(solid, pull, quantity)
    given = np.atleast_1d(np.asarray(quantity, dtype=np.float64))
    return table.elevation(np.broadcast_to(given, np.broadcast_shapes(given.shape, (len(pull),))))


def _table(arrays: SolidArrays, gravity: FloatArray) -> SurfaceTable | None:
    """Give the table of an attitude once it has been asked for some times; None before."""
    key = (arrays, gravity.tobytes())
    known = _KNOWN.get(key, 0)
    if isinstance(known, int):
        known += 1
        if known > ASKED_BEFORE:
            known = SurfaceTable(arrays, gravity)
        _KNOWN[key] = known
        if len(_KNOWN) > MOST_KEPT:
            _KNOWN.popitem(last=False)
    _KNOWN.move_to_end(key)
    return known if isinstance(known, SurfaceTable) and known.is_good else None
