"""A flight in joint draws: when the burn is lost, and what is left in the tanks then.

All draws of a phase are followed side by side, each with its own time, step and bare outlets, up to
the instant at which it no longer gets its burn. Method: docs/theory/flight.md, "In draws".
"""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.scenarios import Situation
from flowsim.physics.arrays import BoolArray, FloatArray, IntArray
from flowsim.studies.delivery.deliver import take
from flowsim.studies.delivery.pressures import at_drawn_flow
from flowsim.studies.flight.model import EMPTY_SLOPE, LOST, PhaseModel
from flowsim.studies.flight.modes import NEAR, RECOVER
from flowsim.studies.sampling.draws import Draws
from flowsim.system.profile import Phase

RELATIVE, ABSOLUTE = 1e-4, 1e-4
"""[-] and [kg] Tolerances of a step: 0.1 mL in a step of a minute is far below what is drawn."""
FIRST_STEP = 60.0
"""[s]"""
CLOSE = 0.05
"""[s] How closely an instant is found."""
MOST_ROUNDS = 3000
"""Rounds of steps in one phase; a draw that needs more is given up, and said to have failed."""


@dataclass(slots=True)
class FlownDraws:
    """What the draws have come to: ``mass`` (draw, tank) [kg].

    ``lost`` (draw,) [s] after the start, infinite while the burn arrives; ``left`` (draw, tank)
    [m3] then; ``failed`` (draw,).
    """

    mass: FloatArray
    lost: FloatArray
    left: FloatArray
    failed: BoolArray

    @property
    def goes_on(self) -> IntArray:
        """Draws that are still followed."""
        return np.flatnonzero(np.isinf(self.lost) & ~self.failed)


@dataclass(frozen=True, slots=True)
class _Flows:
    """Rates (row, tank) [kg/s] of the masses, margin (row,) [m] of the burn, whether it failed."""

    rate: FloatArray
    margin: FloatArray
    failed: BoolArray


class DrawnPhase(PhaseModel):
    """The network in one phase, in draws."""

    def __init__(self, assembly: Assembly, phase: Phase, draws: Draws) -> None:
        super().__init__(assembly, phase)
        self.draws = draws
        middle = np.where(self.stated, 0.0, self.capacity)
        base = self._at(np.tile(middle, (draws.count, 1)), draws.vent)
        conditions = base.conditions
        viscosity = conditions.kinematic_viscosity * draws.viscosity
        self.base = replace(base, conditions=replace(conditions, kinematic_viscosity=viscosity))
        self.over = self._over_surface(base) + draws.height[:, None]

    def cover_in(self, draw: IntArray, mass: FloatArray) -> FloatArray:
        """Fuel over each outlet beyond its dip (row, outlet) [m]; an empty tank covers nothing."""
        quantity = mass / self.density
        surface = self.surface(self._inside(quantity))[:, self.tank_of]
        depth = surface + self.draws.height[draw, None] - self.outlet_elevation - self.dip
        left = np.where(self.stated, np.inf, quantity - self.floor)[:, self.tank_of]
        cover: FloatArray = np.minimum(depth, EMPTY_SLOPE * left)
        return cover

    def flows_in(self, draw: IntArray, mass: FloatArray, bare: BoolArray) -> _Flows:
        """Work out what flows in rows, each in a draw of its own, with outlets held as ``bare``."""
        quantity = mass / self.density
        situation = self._drawn_situation(draw, self._inside(quantity), bare)
        burn = np.full(len(draw), self.phase.burn)
        factors = self.draws.factors.take(draw)
        state = at_drawn_flow(self.assembly, situation, burn, factors=factors)
        solution = state.solution
        failed = ~solution.converged
        good = solution.supplied & solution.converged
        margin = np.where(good, np.fmin(state.head_left, state.air_margin), LOST)
        if self.phase.burn == 0.0:
            margin = np.full(len(draw), np.inf)
        rate = -self._from_tank(np.where(failed[:, None], 0.0, solution.flow))
        # What runs into a full tank leaves it by its vent.
        full = (quantity >= self.limit) & (rate > 0.0) & ~self.stated
        return _Flows(np.where(full, 0.0, rate), margin, failed)

    def most(self) -> FloatArray:
        """Most that each tank can hold in this attitude (tank,) [kg]."""
        return np.where(self.stated, np.inf, self.limit) * self.density

    def _drawn_situation(self, draw: IntArray, quantity: FloatArray, bare: BoolArray) -> Situation:
        base = take(self.base, draw)
        surface = self.surface(quantity)
        level = np.where(bare, self.outlet_elevation, surface[:, self.tank_of])
        heads = base.conditions.fixed_head.copy()
        heads[:, self.node_of] = level + self.over[draw]
        rise = self.draws.height[draw, None]
        cover = surface[:, self.tank_of] + rise - self.outlet_elevation - self.dip
        cover = np.where(bare, np.minimum(cover, 0.0), np.maximum(cover, 1e-12))
        return replace(
            base,
            scenarios=replace(base.scenarios, quantity=quantity),
            surface=surface + rise,
            cover=cover,
            conditions=replace(
                base.conditions, fixed_head=heads, allowed=self._open_in(base, bare)
            ),
        )

    def _open_in(self, base: Situation, bare: BoolArray) -> npt.NDArray[np.int8]:
        """Open directions (row, link), an uncovered outlet's leg only into its tank."""
        network, lines = self.assembly.network, len(self.assembly.system.lines)
        allowed = np.array(base.conditions.allowed)
        allowed[:, :lines] = self.assembly.line_allowed[self.position, :lines]
        for column, node in enumerate(self.node_of):
            for link in np.flatnonzero(network.start[:lines] == node):
                allowed[bare[:, column], link] &= BACKWARD
            for link in np.flatnonzero(network.end[:lines] == node):
                allowed[bare[:, column], link] &= FORWARD
        return allowed


class DrawnRun:
    """One phase on its way in all draws that are still followed."""

    def __init__(self, model: DrawnPhase, state: FlownDraws, begin: float) -> None:
        self.model, self.state, self.begin = model, state, begin
        self.draw = state.goes_on
        self.time = np.zeros(len(self.draw))
        self.step = np.full(len(self.draw), min(FIRST_STEP, model.phase.duration))
        spilled = np.minimum(state.mass[self.draw], model.most())
        self.mass = np.where(model.stated, 0.0, spilled)
        fixed = model.stated[model.tank_of] | ~model.in_use
        self.watched = ~fixed
        self.bare = ~(model.cover_in(self.draw, self.mass) > NEAR)
        self.bare &= ~model.stated[model.tank_of]
        self.rate = np.zeros_like(self.mass)
        self._begin_anew(np.arange(len(self.draw)))

    def run(self) -> None:
        """Follow the phase to its end, or to where the burn is lost."""
        for _ in range(MOST_ROUNDS):
            rows = np.flatnonzero(self._going())
            if not len(rows):
                break
            self._round(rows)
        else:
            self.state.failed[self.draw[self._going()]] = True
        self.state.mass[self.draw] = self.mass

    def _going(self) -> BoolArray:
        followed = np.isinf(self.state.lost[self.draw]) & ~self.state.failed[self.draw]
        short = self.model.phase.duration - self.time > 1e-9 * self.model.phase.duration
        going: BoolArray = followed & short
        return going

    def _flows(self, rows: IntArray, mass: FloatArray) -> _Flows:
        found = self.model.flows_in(self.draw[rows], mass, self.bare[rows])
        self.state.failed[self.draw[rows[found.failed]]] = True
        return found

    def _begin_anew(self, rows: IntArray) -> None:
        """Work out the rates after a mode has changed; the burn may be lost by that."""
        if not len(rows):
            return
        found = self._flows(rows, self.mass[rows])
        self.rate[rows] = found.rate
        self._lose(rows[found.margin < 0.0])

    def _lose(self, rows: IntArray) -> None:
        """Note that the burn is lost now."""
        draw = self.draw[rows]
        self.state.lost[draw] = self.begin + self.time[rows]
        volume = np.where(self.model.stated, np.nan, self.mass[rows] / self.model.density)
        self.state.left[draw] = volume

    def _round(self, rows: IntArray) -> None:
        """Try a step of each row (Bogacki and Shampine's pair of orders 3 and 2)."""
        step = np.minimum(self.step[rows], self.model.phase.duration - self.time[rows])
        wide, start, first = step[:, None], self.mass[rows], self.rate[rows]
        second = self._flows(rows, start + 0.5 * wide * first).rate
        third = self._flows(rows, start + 0.75 * wide * second).rate
        end = start + wide * (2.0 * first + 3.0 * second + 4.0 * third) / 9.0
        end = np.minimum(end, np.maximum(self.model.most(), start))
        last = self._flows(rows, end)
        error = wide * np.abs(-5.0 / 72.0 * first + second / 12.0 + third / 9.0 - last.rate / 8.0)
        size = (error / (ABSOLUTE + RELATIVE * np.abs(start))).max(axis=1)
        good = size <= 1.0
        grown = np.clip(0.9 * np.maximum(size, 1e-6) ** (-1.0 / 3.0), 0.2, 4.0)
        gauge = self._gauges(rows, end)
        uncovers = (gauge < 0.0).any(axis=1)
        starves = last.margin < 0.0
        event = good & (uncovers | starves)
        calm = np.flatnonzero(good & ~event)
        self.mass[rows[calm]], self.rate[rows[calm]] = end[calm], last.rate[calm]
        self.time[rows[calm]] += step[calm]
        self.step[rows] = step * np.where(event, 1.0, grown)
        some = np.flatnonzero(event)
        if len(some):
            curve = _Curve(start[some], end[some], first[some], last.rate[some], step[some])
            self._to_event(rows[some], curve)

    def _gauges(self, rows: IntArray, mass: FloatArray) -> FloatArray:
        """Give what falls through zero where an outlet uncovers or is covered again."""
        cover = self.model.cover_in(self.draw[rows], mass)
        found = np.where(self.bare[rows], RECOVER - cover, cover)
        return np.where(self.watched, found, 1.0)

    def _to_event(self, rows: IntArray, curve: "_Curve") -> None:
        """Go to the first instant in a step at which an outlet changes or the burn is lost."""
        low, high = np.zeros(len(rows)), np.ones(len(rows))
        lost = np.zeros(len(rows), dtype=bool)
        while ((high - low) * curve.step > CLOSE).any():
            middle = 0.5 * (low + high)
            there = curve.at(middle)
            short = self._flows(rows, there).margin < 0.0
            fired = short | (self._gauges(rows, there) < 0.0).any(axis=1)
            lost = np.where(fired, short, lost)
            low, high = np.where(fired, low, middle), np.where(fired, middle, high)
        self.mass[rows], self.time[rows] = curve.at(high), self.time[rows] + high * curve.step
        changed = self._gauges(rows, self.mass[rows]) <= NEAR
        changed &= self.watched
        found = self._flows(rows, self.mass[rows])
        self._lose(rows[found.margin < 0.0])
        self.bare[rows] ^= changed
        self._begin_anew(rows[np.isinf(self.state.lost[self.draw[rows]])])


@dataclass(frozen=True, slots=True)
class _Curve:
    """Masses within a step (row, tank): the cubic through both ends and their rates."""

    start: FloatArray
    end: FloatArray
    first: FloatArray
    last: FloatArray
    step: FloatArray

    def at(self, share: FloatArray) -> FloatArray:
        """Give the masses at a share (row,) of the step."""
        s = share[:, None]
        wide = self.step[:, None]
        rise = self.end - self.start
        found: FloatArray = self.start + s * (
            wide * self.first
            + s * (3.0 * rise - wide * (2.0 * self.first + self.last))
            + s * s * (wide * (self.first + self.last) - 2.0 * rise)
        )
        return found
