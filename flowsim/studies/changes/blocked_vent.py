"""A blocked vent: how much can be drawn before the flow is lost, and how long that takes.

The air over the fuel stretches (``flowsim.physics.tank.ullage``) and pulls against the head. A test
on the ground that draws less than that passes with the vent blocked. This is the one model of it:
what-if, unusable fuel, report and test card all show its rows.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.measures import VOLUME
from flowsim.network.assembly import Assembly, assemble
from flowsim.network.scenarios import (
    CARBURETTOR,
    END_NAMES,
    OPEN_LINE,
    Situation,
    build_scenarios,
    situate,
)
from flowsim.network.solver import solve
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.physics.fuel.properties import density, vapour_pressure
from flowsim.physics.tank.surface import capacity_of
from flowsim.physics.tank.ullage import pressure_fall
from flowsim.studies.delivery.deliver import end_flow
from flowsim.studies.delivery.pressures import at_drawn_flow
from flowsim.studies.judged.scenarios import fed_tanks
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import DipTable, StatedLevel, Tank

ASSUMED = (
    "tank and lines are rigid and tight; the air over the fuel stretches at one temperature and "
    "the fuel's vapour keeps its pressure (air that cools as it stretches loses the flow up to 1.4 "
    "times sooner, a skin that gives way later); the surface falls with what is drawn; a full tank "
    "has 2 % of room, if no placard says more; nominal values"
)
"""What the model takes for granted, in the words that every page shows."""
EXPANSION = 0.02
"""[-] Room over the fuel of a full tank: 2 % of its capacity (the usual rule for expansion space,
14 CFR 23 before amendment 23-64). Tag: published (read)."""
FULL, TEST, LEAST = "full", "test quantity", "least take-off fuel"
"""Fuel with which the vent is taken to be blocked; the test quantity on the ground alone."""
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
    ``fuel_state``: one of the three above. ``ullage`` over the fuel of all blocked tanks.
    ``drawn_until_lost``: drawn when the flow asked for is lost; infinite where other tanks go on
    feeding, or where the fuel runs out first (``runs_out_first``: an open vent gives no more).
    ``drawn_until_stop``: when all flow has stopped, infinite in the same way. ``pressure_fall`` of
    the air when the flow is lost. ``time_until_lost`` at the flow asked for. ``test_draw_needed``:
    1.5 times ``drawn_until_stop``, because a container filled while the flow falls away is no clear
    sign. ``shown_by_test``: the stated draw of the ground test is enough.
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


def blocked_vents(
    system: FuelSystem, *, group: str = "", ground_only: bool = False
) -> tuple[BlockedVentRow, ...]:
    """Work out what a blocked vent does, in every judged selector position.

    Parameters
    ----------
    system : FuelSystem
    group : str
        Vent group that is blocked; each in turn if empty.
    ground_only : bool
        Leave the rows in flight out.

    Returns
    -------
    tuple of BlockedVentRow
        For each airspace (tanks with the same vent group share one) and each fuel temperature: on
        the ground, at sea level and test attitude, against the required flow, full, with the test
        quantity and with least take-off fuel; in flight, level, against the burn, full and with
        least take-off fuel. Other tanks keep their fuel and air.

    Raises
    ------
    DomainError
        Where the fuel boils at ambient pressure.

    Notes
    -----
    ``ASSUMED`` says what is taken for granted. A real tank gives a little, so a test must draw
    more, not less.
    """
    assembly = assemble(system)
    groups: dict[str, list[int]] = {}
    for index, tank in enumerate(system.tanks):
        if not isinstance(tank.shape, StatedLevel) and group in ("", tank.vent.group):
            groups.setdefault(tank.vent.group, []).append(index)
    cases = []
    for position, setting in enumerate(assembly.positions):
        fed = fed_tanks(assembly, position)
        for tanks in groups.values():
            feeding = tuple(tank for tank in tanks if tank in fed)
            if not setting.judged or not feeding:
                continue
            for state, temperature in product((FULL, TEST, LEAST), system.temperatures):
                both = _cases(system, position, (tuple(tanks), feeding), state, temperature)
                cases += both[:1] if ground_only or state == TEST else both
    if not cases:
        return ()
    trials = _Blocked(assembly, cases)
    lost = _first_loss(trials, "lost")
    stop = _first_loss(trials, "stop")
    vented = _first_loss(trials, "lost", vented=True), _first_loss(trials, "stop", vented=True)
    return tuple(
        _row(
            trials,
            index,
            (float(lost[index]), float(stop[index])),
            (float(vented[0][index]), float(vented[1][index])),
        )
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


def start_quantity(system: FuelSystem, tank: Tank, state: str) -> float:
    """Give the fuel in a tank [m3] when the vent is blocked; NaN where it is not stated."""
    capacity = capacity_of(tank.shape)
    if capacity is None:
        return 0.0
    if state == FULL:
        filled = (1.0 - EXPANSION) * capacity
        return min(filled, tank.placarded_capacity or filled)
    if state == TEST:
        return min((tank.unusable or 0.0) + system.test_draw, capacity)
    return math.nan if tank.least_takeoff is None else tank.least_takeoff


class _Blocked:
    """Flow against what was drawn from tanks whose airspace is shut; one row for each case."""

    def __init__(self, assembly: Assembly, cases: list[_Case]) -> None:
        self.assembly, self.cases = assembly, cases
        system = assembly.system
        shapes = [tank.shape for tank in system.tanks]
        capacity = np.array([capacity_of(shape) or 0.0 for shape in shapes])
        floor = np.array([s.quantities[0] if isinstance(s, DipTable) else 0.0 for s in shapes])
        everything = range(len(shapes))
        self.start = np.array(
            [[start_quantity(system, tank, case.state) for tank in system.tanks] for case in cases]
        )
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
        self, rows: npt.NDArray[np.intp], drawn: FloatArray, question: str, *, vented: bool
    ) -> tuple[BoolArray, BoolArray]:
        """Whether the flow asked for arrives ("lost"), or any flow ("stop"); ``vented``: vent open.

        The second answer: it arrives, and nothing more comes out of the blocked tanks, because
        others feed on. More is then never drawn from them.
        """
        any_flow = question == "stop"
        fall = np.zeros(len(rows)) if vented else self.fall(rows, drawn)
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
        situation = situate(
            self.assembly,
            build_scenarios(
                self.assembly,
                pitch=np.array([case.pitch for case in cases]),
                position=np.array([case.position for case in cases], dtype=np.intp),
                quantity=quantity,
                temperature=np.array([case.temperature for case in cases]),
                airspeed=np.array([case.airspeed for case in cases]),
                altitude=np.array([case.altitude for case in cases]),
                end=np.array([case.end for case in cases], dtype=np.intp),
                dip_flow=wanted,
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


def _first_loss(trials: _Blocked, question: str, *, vented: bool = False) -> FloatArray:
    """Least quantity drawn (case,) [m3] at which the flow is lost; infinite where it never is."""
    cases = np.arange(len(trials.cases))
    grid = trials.to_draw.sum(axis=1)[:, None] * np.linspace(0.0, 1.0, GRID) ** 3
    never: BoolArray = np.zeros(len(cases), dtype=bool)
    high = np.zeros(len(cases))
    for _ in range(1 + REFINEMENTS):
        columns = grid.shape[1]
        rows = np.repeat(cases, columns)
        good, ended = trials.fine(rows, grid.ravel(), question, vented=vented)
        over = np.logical_or.accumulate(ended.reshape(grid.shape), axis=1)
        fine = good.reshape(grid.shape) | over
        never = np.asarray(fine.all(axis=1))
        first = np.argmin(fine, axis=1)
        high = grid[cases, first]
        low = grid[cases, np.maximum(first - 1, 0)]
        grid = np.linspace(low, high, REFINED, axis=1)
    return np.where(never, np.inf, high)


def _row(
    trials: _Blocked, index: int, ends: tuple[float, float], vented: tuple[float, float]
) -> BlockedVentRow:
    """Put one case together: drawn until lost and until stopped, blocked and with an open vent."""
    case, system = trials.cases[index], trials.assembly.system
    lost, stop = ends
    runs_out_first = _runs_out(lost, vented[0])
    lost = math.inf if runs_out_first else lost
    stop = math.inf if _runs_out(stop, vented[1]) else stop
    if trials.failed[index]:
        lost = stop = math.nan
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
        test_draw_needed=NOTICE_FACTOR * stop,
        runs_out_first=runs_out_first,
        shown_by_test=NOTICE_FACTOR * stop <= system.test_draw,
        failed=bool(trials.failed[index]),
    )


def _runs_out(blocked: float, vented: float) -> bool:
    """Tell whether within 1 mL of it an open vent gives no more: then the vent does not end it."""
    return math.isfinite(vented) and blocked >= vented - 1e-6


def lost_words(rows: Sequence[BlockedVentRow]) -> tuple[str, ...]:
    """Say of each fuel, on the ground and in flight, what is drawn until the flow is lost.

    Parameters
    ----------
    rows : sequence of BlockedVentRow
        Of one airspace.

    Returns
    -------
    tuple of str
        The soonest of each over positions and temperatures.
    """
    found: dict[tuple[str, str], list[BlockedVentRow]] = {}
    for row in rows:
        found.setdefault((row.asked, row.fuel_state), []).append(row)
    return tuple(
        _lost_words(asked, state, min(some, key=lambda row: row.drawn_until_lost))
        if not any(row.failed for row in some)
        else f"{state}: a solve failed, so nothing is known of it"
        for (asked, state), some in found.items()
    )


def _lost_words(asked: str, state: str, row: BlockedVentRow) -> str:
    where = "on the ground the required flow" if asked == "required" else "in flight the burn"
    if not math.isfinite(row.drawn_until_lost):
        return f"{state}: {where} arrives until the fuel runs out"
    return (
        f"{state}: {where} is lost after {VOLUME.words(row.drawn_until_lost, 2)} are drawn, "
        f"{row.time_until_lost / 60:.1f} min at that flow"
    )
