"""A blocked vent: how much can be drawn before the flow is lost, and how long that takes.

The air over the fuel stretches (``flowsim.physics.tank.ullage``) and pulls against the head. A test
on the ground that draws less than that passes with the vent blocked.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly, assemble
from flowsim.network.scenarios import (
    CARBURETTOR,
    END_NAMES,
    OPEN_LINE,
    Scenarios,
    Situation,
    situate,
)
from flowsim.network.solver import solve
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.physics.attitude import effective_gravity
from flowsim.physics.fuel.properties import density, vapour_pressure
from flowsim.physics.tank.surface import capacity_of
from flowsim.physics.tank.ullage import pressure_fall
from flowsim.studies.delivery.deliver import end_flow
from flowsim.studies.delivery.pressures import at_drawn_flow
from flowsim.studies.judged.scenarios import fed_tanks
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import DipTable, StatedLevel

NOTICE_FACTOR = 1.5
"""[-] A test that is to show a blocked vent draws this much more (common practice, no source)."""
GRID = 96
"""Quantities drawn that are tried: 0 to all, closer where little is drawn."""
REFINEMENTS, REFINED = 3, 33
"""Rounds in which the step at which the flow is lost is cut again, and points in each."""
LEAST_ULLAGE = 1e-6
"""[m3] 1 mL: the air that even a full tank holds; the answer there is none to speak of anyway."""
STILL_FLOW = 1e-9
"""[m3/s] Less is called no flow."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BlockedVentRow:
    """One blocked airspace in one selector position; volumes [m3], pressures [Pa], times [s].

    ``blocked``: tanks that share the blocked vent, ``drawn_from`` those of them that feed.
    ``fuel_state``: "full" or "least take-off fuel". ``ullage`` over the fuel of all blocked tanks.
    ``drawn_until_lost``: drawn when the flow asked for is lost; infinite where other tanks go on
    feeding, or where the fuel runs out first (``runs_out_first``: an open vent gives no more).
    ``drawn_until_stop``: when all flow has stopped. ``pressure_fall`` of the air when the flow is
    lost. ``time_until_lost`` at the flow asked for. ``test_draw_needed``: 1.5 times
    ``drawn_until_lost``. ``shown_by_test``: the stated draw of the ground test is enough.
    """

    selector: str
    blocked: tuple[str, ...]
    drawn_from: tuple[str, ...]
    fuel_state: str
    asked: str
    demand: float
    end: str
    pitch: float
    temperature: float
    ambient: float
    vapour_pressure: float
    ullage: float
    drawn_until_lost: float
    drawn_until_stop: float
    pressure_fall: float
    time_until_lost: float
    test_draw_needed: float
    runs_out_first: bool
    shown_by_test: bool
    failed: bool


@dataclass(frozen=True, slots=True)
class _Case:
    position: int
    blocked: tuple[int, ...]
    drawn_from: tuple[int, ...]
    state: str
    end: int
    demand: float
    pitch: float
    temperature: float
    altitude: float
    airspeed: float


def blocked_vents(system: FuelSystem) -> tuple[BlockedVentRow, ...]:
    """Work out what a blocked vent does, in every judged selector position.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of BlockedVentRow
        For each airspace (tanks with the same vent group share one) and each fuel temperature, full
        and with least take-off fuel: on the ground at sea level and test attitude against the
        required flow; in flight, level, against the burn. Other tanks keep their fuel and air.

    Notes
    -----
    Tanks and lines are rigid and tight and the temperature stays, which makes the flow end soonest;
    a real tank gives a little, so a test must draw more, not less.
    """
    assembly = assemble(system)
    groups: dict[str, list[int]] = {}
    for index, tank in enumerate(system.tanks):
        if not isinstance(tank.shape, StatedLevel):
            groups.setdefault(tank.vent.group, []).append(index)
    cases = []
    for position, setting in enumerate(assembly.positions):
        fed = fed_tanks(assembly, position)
        for tanks in groups.values():
            feeding = tuple(tank for tank in tanks if tank in fed)
            if not setting.judged or not feeding:
                continue
            for state in ("full", "least take-off fuel"):
                for temperature in system.temperatures:
                    cases += _cases(system, position, (tuple(tanks), feeding), state, temperature)
    if not cases:
        return ()
    trials = _Blocked(assembly, cases)
    lost = _first_loss(trials, "lost")
    stop = _first_loss(trials, "stop")
    vented = _first_loss(trials, "open vent")
    return tuple(
        _row(trials, index, float(lost[index]), float(stop[index]), float(vented[index]))
        for index in range(len(cases))
    )


def _cases(
    system: FuelSystem,
    position: int,
    tanks: tuple[tuple[int, ...], tuple[int, ...]],
    state: str,
    temperature: float,
) -> list[_Case]:
    """Ground test at the open line, and level flight at full-power burn."""
    engine, flight = system.engine, system.flight
    test_pitch = flight.climb_pitch + flight.test_margin
    end = OPEN_LINE if engine.carburettor is None else CARBURETTOR
    required = engine.burn * engine.factor
    height, speed = flight.pressure_altitude, flight.top_speed
    level = flight.level_pitch
    return [
        _Case(position, *tanks, state, OPEN_LINE, required, test_pitch, temperature, 0.0, 0.0),
        _Case(position, *tanks, state, end, engine.burn, level, temperature, height, speed),
    ]


def _start(system: FuelSystem, state: str) -> FloatArray:
    """Fuel in each tank (tank,) [m3] when the vent is blocked."""
    found = []
    for tank in system.tanks:
        capacity = capacity_of(tank.shape)
        if capacity is None:
            found.append(0.0)
        elif state == "full":
            found.append(min(capacity, tank.placarded_capacity or capacity))
        else:
            found.append(math.nan if tank.least_takeoff is None else tank.least_takeoff)
    return np.array(found)


class _Blocked:
    """Flow against what was drawn from tanks whose airspace is shut; one row for each case."""

    def __init__(self, assembly: Assembly, cases: list[_Case]) -> None:
        self.assembly, self.cases = assembly, cases
        system = assembly.system
        shapes = [tank.shape for tank in system.tanks]
        capacity = np.array([capacity_of(shape) or 0.0 for shape in shapes])
        floor = np.array([s.quantities[0] if isinstance(s, DipTable) else 0.0 for s in shapes])
        everything = range(len(shapes))
        self.start = np.array([_start(system, case.state) for case in cases])
        self.blocked = np.array([[t in case.blocked for t in everything] for case in cases])
        self.drawn = np.array([[t in case.drawn_from for t in everything] for case in cases])
        room = np.where(self.blocked, capacity - self.start, 0.0).sum(axis=1)
        self.ullage = np.maximum(room, LEAST_ULLAGE)
        self.to_draw = np.where(self.drawn, self.start - floor, 0.0)
        self.ambient = standard_pressure(np.array([case.altitude for case in cases]))
        temperature = np.array([case.temperature for case in cases])
        self.vapour = vapour_pressure(system.fuel, temperature)
        self.density = density(system.fuel, temperature)
        self.demand = np.array([case.demand for case in cases])
        self.failed = np.zeros(len(cases), dtype=bool)

    def fall(self, rows: npt.NDArray[np.intp], drawn: FloatArray) -> FloatArray:
        """Fall of the pressure [Pa] over the fuel."""
        return pressure_fall(self.ambient[rows], self.vapour[rows], self.ullage[rows], drawn)

    def fine(
        self, rows: npt.NDArray[np.intp], drawn: FloatArray, question: str
    ) -> tuple[BoolArray, BoolArray]:
        """Whether the flow asked for arrives ("lost", "open vent"), or any flow ("stop").

        The second answer: it arrives, and nothing more comes out of the blocked tanks, because
        others feed on. More is then never drawn from them.
        """
        any_flow = question == "stop"
        fall = np.zeros(len(rows)) if question == "open vent" else self.fall(rows, drawn)
        wanted = np.zeros(len(rows)) if any_flow else self.demand[rows]
        situation = self._situation(rows, drawn, wanted, fall)
        if any_flow:
            solution = solve(self.assembly.network, situation.conditions)
            self.failed[rows] |= ~solution.converged
            with np.errstate(invalid="ignore"):
                flows: BoolArray = end_flow(self.assembly, solution) > STILL_FLOW
            return flows, flows & ~(self._outflow(rows, solution.flow) > STILL_FLOW)
        state = at_drawn_flow(self.assembly, situation, wanted)
        self.failed[rows] |= ~state.solution.converged
        with np.errstate(invalid="ignore"):
            no_air = np.isnan(state.air_margin) | (state.air_margin >= 0.0)
            good: BoolArray = state.solution.supplied & (state.head_left >= 0.0) & no_air
            out = self._outflow(rows, state.solution.flow)
        return good, good & ~(out > STILL_FLOW)

    def _outflow(self, rows: npt.NDArray[np.intp], flow: FloatArray) -> FloatArray:
        """Net volume flow (row,) [m3/s] out of the blocked tanks that feed."""
        network = self.assembly.network
        net = np.zeros(len(rows))
        for node, tank, _ in self.assembly.outlets:
            out = flow[:, network.start == node].sum(axis=1)
            out -= flow[:, network.end == node].sum(axis=1)
            net += np.where(self.drawn[rows, tank], out, 0.0)
        return net

    def _situation(
        self, rows: npt.NDArray[np.intp], drawn: FloatArray, wanted: FloatArray, fall: FloatArray
    ) -> Situation:
        """Empty the feeding tanks in proportion and stretch the air over them."""
        cases = [self.cases[row] for row in rows]
        total = self.to_draw[rows].sum(axis=1)
        share = np.clip(drawn / np.where(total > 0.0, total, 1.0), 0.0, 1.0)
        quantity = self.start[rows] - self.to_draw[rows] * share[:, None]
        pitch = np.array([case.pitch for case in cases])
        situation = situate(
            self.assembly,
            Scenarios(
                gravity=effective_gravity(pitch, np.zeros(len(rows))),
                pitch=pitch,
                roll=np.zeros(len(rows)),
                position=np.array([case.position for case in cases], dtype=np.intp),
                quantity=quantity,
                temperature=np.array([case.temperature for case in cases]),
                airspeed=np.array([case.airspeed for case in cases]),
                altitude=np.array([case.altitude for case in cases]),
                end=np.array([case.end for case in cases], dtype=np.intp),
                demand=np.zeros(len(rows)),
                dip_flow=wanted,
                screen_clear=np.full(len(rows), np.nan),
            ),
        )
        # A shut airspace keeps the ambient pressure at which it was shut, less its fall.
        shut = self.blocked[rows] & (fall[:, None] > 0.0)
        pressure = np.where(shut, -fall[:, None], situation.tank_pressure)
        change = (pressure - situation.tank_pressure) / (
            situation.density[:, None] * STANDARD_GRAVITY
        )
        heads = situation.conditions.fixed_head.copy()
        for node, tank, _ in self.assembly.outlets:
            heads[:, node] += change[:, tank]
        return replace(
            situation,
            tank_pressure=pressure,
            conditions=replace(situation.conditions, fixed_head=heads),
        )


def _first_loss(trials: _Blocked, question: str) -> FloatArray:
    """Least quantity drawn (case,) [m3] at which the flow is lost; infinite where it never is."""
    cases = np.arange(len(trials.cases))
    grid = trials.to_draw.sum(axis=1)[:, None] * np.linspace(0.0, 1.0, GRID) ** 3
    never: BoolArray = np.zeros(len(cases), dtype=bool)
    high = np.zeros(len(cases))
    for _ in range(1 + REFINEMENTS):
        columns = grid.shape[1]
        good, ended = trials.fine(np.repeat(cases, columns), grid.ravel(), question)
        over = np.logical_or.accumulate(ended.reshape(grid.shape), axis=1)
        fine = good.reshape(grid.shape) | over
        never = np.asarray(fine.all(axis=1))
        first = np.argmin(fine, axis=1)
        high = grid[cases, first]
        low = grid[cases, np.maximum(first - 1, 0)]
        grid = np.linspace(low, high, REFINED, axis=1)
    return np.where(never, np.inf, high)


def _row(trials: _Blocked, index: int, lost: float, stop: float, vented: float) -> BlockedVentRow:
    """Put one case together."""
    case, system = trials.cases[index], trials.assembly.system
    # Within 1 mL of what an open vent gives: the vent is not what ends the flow.
    runs_out_first = math.isfinite(vented) and lost >= vented - 1e-6
    if runs_out_first or trials.failed[index]:
        lost = math.inf if runs_out_first else math.nan
    place, one = np.array([index]), np.array([lost])
    known = math.isfinite(lost)
    return BlockedVentRow(
        selector=trials.assembly.positions[case.position].name,
        blocked=tuple(system.tanks[tank].name for tank in case.blocked),
        drawn_from=tuple(system.tanks[tank].name for tank in case.drawn_from),
        fuel_state=case.state,
        asked="burn" if case.demand == system.engine.burn else "required",
        demand=case.demand,
        end=END_NAMES[case.end],
        pitch=case.pitch,
        temperature=case.temperature,
        ambient=float(trials.ambient[index]),
        vapour_pressure=float(trials.vapour[index]),
        ullage=float(trials.ullage[index]),
        drawn_until_lost=lost,
        drawn_until_stop=stop,
        pressure_fall=float(trials.fall(place, one)[0]) if known else math.nan,
        time_until_lost=lost / (case.demand / float(trials.density[index])),
        test_draw_needed=NOTICE_FACTOR * lost,
        runs_out_first=runs_out_first,
        shown_by_test=NOTICE_FACTOR * lost <= system.test_draw,
        failed=bool(trials.failed[index]),
    )
