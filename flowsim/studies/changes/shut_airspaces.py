"""Fuel drawn from tanks whose airspace is shut: whether flow still arrives, and when it is lost.

The air over the fuel stretches (``flowsim.physics.tank.ullage``) and pulls against the head.
"""

import math
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import Situation, build_scenarios, situate
from flowsim.network.solver import solve
from flowsim.physics.air.atmosphere import dynamic_pressure, standard_pressure
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.physics.fuel.properties import density, vapour_pressure
from flowsim.physics.tank.surface import capacity_of
from flowsim.physics.tank.ullage import pressure_fall
from flowsim.studies.delivery.deliver import end_flow
from flowsim.studies.delivery.pressures import at_drawn_flow
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import DipTable, Tank

EXPANSION = 0.02
"""[-] Room over the fuel of a full tank: 2 % of its capacity (the usual rule for expansion space,
14 CFR 23 before amendment 23-64). Tag: published (read)."""
FULL, TEST, LEAST = "full", "test quantity", "least take-off fuel"
"""Fuel with which the vent is taken to be blocked; the test quantity on the ground alone."""
GRID = 96
"""Quantities drawn that are tried: 0 to all, closer where little is drawn."""
REFINEMENTS, REFINED = 3, 33
"""Rounds in which the step at which the flow is lost is cut again, and points in each."""
LEAST_ULLAGE = 1e-6
"""[m3] 1 mL: the air that even a full tank holds; the answer there is none to speak of anyway."""
STILL_FLOW = 1e-9
"""[m3/s] Less is called no flow."""


@dataclass(frozen=True, slots=True)
class BlockedVentCase:
    """One question: what is shut and drawn from, ``end``, ``demand`` [m3/s]; angles in rad, SI."""

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


class ShutAirspaces:
    """Flow against what was drawn from tanks whose airspace is shut; one row for each case."""

    def __init__(self, assembly: Assembly, cases: list[BlockedVentCase]) -> None:
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
        altitude = np.array([case.altitude for case in cases])
        self.ambient = standard_pressure(altitude)
        speed = np.array([case.airspeed for case in cases])
        sucks = [min(system.tanks[t].vent.pressure_coefficient for t in c.blocked) for c in cases]
        # Shut in flight, the airspace holds what the vent's suction has left in it.
        self.shut_at = self.ambient + np.array(sucks) * dynamic_pressure(speed, altitude)
        temperature = np.array([case.temperature for case in cases])
        self.vapour = vapour_pressure(system.fuel, temperature)
        self.density = density(system.fuel, temperature)
        self.demand = np.array([case.demand for case in cases])
        self.failed = np.zeros(len(cases), dtype=bool)

    def fall(self, rows: npt.NDArray[np.intp], drawn: FloatArray) -> FloatArray:
        """Fall of the pressure [Pa] over the fuel."""
        return pressure_fall(self.shut_at[rows], self.vapour[rows], self.ullage[rows], drawn)

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
        # A shut airspace keeps the pressure at which it was shut, less its fall.
        less = np.where(self.blocked[rows], fall[:, None], 0.0)
        pressure = situation.tank_pressure - less
        change = -less / (situation.density[:, None] * STANDARD_GRAVITY)
        heads = situation.conditions.fixed_head.copy()
        for node, tank, _ in self.assembly.outlets:
            heads[:, node] += change[:, tank]
        return replace(
            situation,
            tank_pressure=pressure,
            conditions=replace(situation.conditions, fixed_head=heads),
        )


def first_loss(trials: ShutAirspaces, question: str, *, vented: bool = False) -> FloatArray:
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
