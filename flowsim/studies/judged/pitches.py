"""The pitches that are judged: both ends, whole degrees, where an outlet comes into doubt."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import FloatArray
from flowsim.physics.attitude import height
from flowsim.physics.tank.surface import surface_elevation_of
from flowsim.studies.judged.flight_conditions import gravity_along
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Solid, StatedLevel, Tank

UNCOVER_STEP = math.radians(0.02)
"""[rad] How closely the pitch at which an outlet uncovers is found, and stepped past."""
_GRID = math.radians(1.0)
_SAME = 1e-7
"""[rad] Pitches closer than this are one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PitchStretch:
    """Pitches from ``low`` to ``high`` [rad], the aeroplane accelerating at ``forward`` [m/s2]."""

    low: float
    high: float
    forward: float = 0.0

    @classmethod
    def between(cls, one: float, other: float, forward: float = 0.0) -> "PitchStretch":
        """Make a stretch of its ends in either order."""
        return cls(low=min(one, other), high=max(one, other), forward=forward)


@dataclass(frozen=True, slots=True, kw_only=True)
class HeightCrossings:
    """Where the fuel over an outlet passes a height: one row for each time (crossing,).

    ``state``, ``tank`` and ``height`` are indices; ``pitch`` (crossing, 2) [rad] just before and
    just behind; ``falls`` where the fuel is deeper before.
    """

    state: npt.NDArray[np.intp]
    tank: npt.NDArray[np.intp]
    height: npt.NDArray[np.intp]
    pitch: FloatArray
    falls: npt.NDArray[np.bool_]

    def inside(self, tanks: frozenset[int], state: int | None = None) -> FloatArray:
        """Give the pitches [rad] just inside a band: above the first height, below all others.

        Parameters
        ----------
        tanks : frozenset of int
            Whose outlets.
        state : int, optional
            One fuel state; all if not given.

        Returns
        -------
        FloatArray
            Of every crossing one side.
        """
        mine = np.isin(self.tank, sorted(tanks))
        if state is not None:
            mine &= self.state == state
        before = self.falls == (self.height == 0)
        pitches: FloatArray = np.where(before, self.pitch[:, 0], self.pitch[:, 1])[mine]
        return pitches


def whole_degrees(stretch: PitchStretch, level: float, step: int = 1) -> FloatArray:
    """Give the ends of a stretch, and in it multiples of ``step`` [deg] from ``level`` [rad].

    Counted from level flight, so that the choice of a datum changes nothing.
    """
    first = math.ceil(math.degrees(stretch.low - level) / step - 1e-9)
    last = math.floor(math.degrees(stretch.high - level) / step + 1e-9)
    inside = level + np.radians(step * np.arange(first, last + 1, dtype=np.float64))
    return distinct(np.concatenate([[stretch.low, stretch.high], inside]))


def distinct(pitches: FloatArray) -> FloatArray:
    """Sort pitches [rad] and leave out what is the same but for rounding."""
    ordered = np.sort(pitches)
    if not len(ordered):
        return ordered
    kept: FloatArray = ordered[np.concatenate([[True], np.diff(ordered) > _SAME])]
    return kept


def without(pitches: FloatArray, others: FloatArray) -> FloatArray:
    """Leave out the pitches [rad] that are among ``others`` but for rounding."""
    if not len(others):
        return pitches
    away = np.abs(pitches[:, None] - others[None, :]).min(axis=1)
    kept: FloatArray = pitches[away > _SAME]
    return kept


def crossings(
    assembly: Assembly,
    quantity: FloatArray,
    states: npt.NDArray[np.intp],
    stretch: PitchStretch,
    over: FloatArray,
) -> HeightCrossings:
    """Find every pitch of a stretch at which the fuel over an outlet passes a height.

    Parameters
    ----------
    assembly : Assembly
    quantity : FloatArray (state, tank)
        [m3]
    states : (n,)
        Rows of ``quantity`` to look at.
    stretch : PitchStretch
    over : FloatArray (height,)
        [m] over the outlet: for what is judged, the lower end of the doubt about its cover, where
        it uncovers as stated, and the upper end.

    Returns
    -------
    HeightCrossings
        Each to 0.02 deg. Two that lie between whole degrees are found too.

    Notes
    -----
    At constant quantity the surface turns about the centroid of the free surface (the first moment
    of the wedges that it gives and takes is zero), so the depth over an outlet changes with pitch
    by no more than the horizontal distance from the outlet to that centroid, which lies within the
    tank. A stretch of pitch at whose ends the depth is more than that bound allows holds no
    crossing; every other is halved until it is short enough.
    """
    none = np.zeros(0, dtype=np.intp)
    if stretch.high <= stretch.low:
        return HeightCrossings(
            state=none, tank=none, height=none, pitch=np.zeros((0, 2)), falls=np.zeros(0, bool)
        )
    count = max(2, math.ceil((stretch.high - stretch.low) / _GRID) + 1)
    grid = np.linspace(stretch.low, stretch.high, count)
    depth = _Depth(assembly, quantity, stretch.forward)
    state, outlet, level = (
        axis.ravel()
        for axis in np.meshgrid(states, np.arange(len(depth.reach)), np.arange(len(over)))
    )
    fuel = np.flatnonzero(depth.holds_fuel(state, outlet))
    state, outlet, level = state[fuel], outlet[fuel], level[fuel]
    every = np.repeat(np.arange(len(state)), count)
    values = depth.at(state[every], outlet[every], np.tile(grid, len(state))) - over[level[every]]
    values = values.reshape(len(state), count)
    row, step = (axis.ravel() for axis in np.indices((len(state), count - 1)))
    state, outlet, level = state[row], outlet[row], level[row]
    left, right = grid[step], grid[step + 1]
    before, behind = values[row, step], values[row, step + 1]
    while True:
        width = right - left
        changes = (before > 0) != (behind > 0)
        near = np.abs(before) + np.abs(behind) <= depth.reach[outlet] * width
        ends = bool(len(width) == 0 or width[0] <= UNCOVER_STEP)
        keep = np.flatnonzero(changes if ends else changes | near)
        state, outlet, level = state[keep], outlet[keep], level[keep]
        left, right, before, behind = left[keep], right[keep], before[keep], behind[keep]
        if ends:
            break
        middle = 0.5 * (left + right)
        value = depth.at(state, outlet, middle) - over[level]
        state, outlet, level = (np.tile(axis, 2) for axis in (state, outlet, level))
        left, right = np.concatenate([left, middle]), np.concatenate([middle, right])
        before, behind = np.concatenate([before, value]), np.concatenate([value, behind])
    return HeightCrossings(
        state=state,
        tank=depth.tank[outlet],
        height=level,
        pitch=np.column_stack([left, right]),
        falls=np.asarray(before > 0.0),
    )


class _Depth:
    """Depth of fuel over outlets against pitch; ``reach`` (outlet,) [m] bounds its slope."""

    def __init__(self, assembly: Assembly, quantity: FloatArray, forward: float) -> None:
        self.assembly, self.quantity, self.forward = assembly, quantity, forward
        tanks = assembly.system.tanks
        self.tank = np.array([tank for _, tank, _ in assembly.outlets], dtype=np.intp)
        pull = math.hypot(1.0, forward / STANDARD_GRAVITY)
        self.reach = pull * np.array(
            [_reach(tanks[tank], outlet.at) for _, tank, outlet in assembly.outlets]
        )

    def holds_fuel(
        self, state: npt.NDArray[np.intp], outlet: npt.NDArray[np.intp]
    ) -> npt.NDArray[np.bool_]:
        """Tell where a tank is not empty (row,); an empty one covers nothing at any pitch."""
        level = np.array([isinstance(t.shape, StatedLevel) for t in self.assembly.system.tanks])
        tank = self.tank[outlet]
        fuel: npt.NDArray[np.bool_] = level[tank] | (self.quantity[state, tank] > 0.0)
        return fuel

    def at(
        self, state: npt.NDArray[np.intp], outlet: npt.NDArray[np.intp], pitch: FloatArray
    ) -> FloatArray:
        """Depth (row,) [m]; every tank, quantity and pitch is worked out once."""
        found = np.full(len(state), np.nan)
        gravity = gravity_along(pitch, np.zeros(len(pitch)), self.forward)
        for index, tank in enumerate(self.assembly.system.tanks):
            mine = np.flatnonzero(self.tank[outlet] == index)
            if not len(mine):
                continue
            keys = np.column_stack([pitch[mine], self.quantity[state[mine], index]])
            _, first, inverse = np.unique(keys, axis=0, return_index=True, return_inverse=True)
            rows = mine[first]
            surface = surface_elevation_of(
                tank.shape, gravity[rows], self.quantity[state[rows], index]
            )
            found[mine] = surface[inverse.reshape(-1)]
        points = np.array([outlet.at for _, _, outlet in self.assembly.outlets])
        found -= np.take_along_axis(height(points, gravity), outlet[:, None], axis=1)[:, 0]
        return found


def _reach(tank: Tank, outlet: Point) -> float:
    """Longest distance [m] from an outlet to where the free surface can turn."""
    shape = tank.shape
    if isinstance(shape, Solid):
        places = np.array(shape.corners)
    elif isinstance(shape, DipTable):
        # The stick stands on its foot; its top is the longest dip away.
        return float(np.linalg.norm(np.subtract(shape.at, outlet))) + max(shape.dips)
    else:
        places = np.array([shape.surface])
    return float(np.linalg.norm(places - np.array(outlet), axis=1).max())
