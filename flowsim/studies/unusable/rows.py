"""The many situations in which unusable fuel is sought, and what is tried in each."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import (
    CARBURETTOR,
    OPEN_LINE,
    Scenarios,
    Situation,
    build_scenarios,
    situate,
)
from flowsim.network.solver import solve
from flowsim.physics.air.dips import DIP_CAUTIOUS, DIP_EXPECTED, critical_dip
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.physics.attitude import height, pull_of
from flowsim.physics.fuel.properties import density
from flowsim.physics.tank.surface import capacity_of, quantity_below
from flowsim.studies.delivery.deliver import end_flow
from flowsim.studies.delivery.pressures import at_drawn_flow
from flowsim.studies.judged.flight_attitudes import LEVEL, RUN, TURN, Attitudes
from flowsim.studies.judged.flight_conditions import airspeed_at
from flowsim.studies.judged.scenarios import DIRTY_SCREEN, fed_tanks, fuel_states
from flowsim.studies.sampling.draws import Draws
from flowsim.system.tanks import DipTable, StatedLevel

STILL_FLOW = 1e-9
"""[m3/s] 3.6 mL/h: less than this is called no flow."""
DIP_EXPONENT = 2.5
"""[-] Flow goes with the dip to this power (Lubin and Springer 1967, ``critical_dip``; read there
as 2/5 the other way). Tag: from memory."""
FLOW, AIR, DOUBT = 0, 1, 2
"""Criteria at a demand: the flow arrives; no air is drawn; no air may be drawn either."""
DEMANDS = ("required", "burn", "stop")
"""What is asked: the required flow, the burn, or any flow at all."""


@dataclass(frozen=True, slots=True)
class Emptying:
    """Which tanks are emptied in which selector position: indices of both.

    ``tanks`` all hold the same quantity, up to their capacity; ``dry`` are empty, their vents open.
    The others stay at the test quantity.
    """

    position: int
    tanks: tuple[int, ...]
    dry: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Arrays (row,) that index attitudes, emptyings and demands, with temperature [K] and end.

    ``demand`` [kg/s], zero where any flow is asked for. ``times`` [-] is what the critical dip of a
    still tank is taken by.
    """

    attitude: npt.NDArray[np.intp]
    emptying: npt.NDArray[np.intp]
    kind: npt.NDArray[np.intp]
    demand: FloatArray
    times: FloatArray
    temperature: FloatArray
    end: npt.NDArray[np.intp]

    @property
    def count(self) -> int:
        """Number of rows."""
        return len(self.demand)


def emptyings(assembly: Assembly) -> tuple[Emptying, ...]:
    """Give every way of emptying in each position: each tank alone, all together, each the last.

    Nobody controls which of several tanks empties first, so the last may feed beside dry ones.
    """
    filled = {
        index
        for index, tank in enumerate(assembly.system.tanks)
        if not isinstance(tank.shape, StatedLevel)
    }
    found = []
    for position in range(len(assembly.positions)):
        fed = sorted(filled & fed_tanks(assembly, position))
        found += [Emptying(position, (tank,)) for tank in fed]
        if len(fed) > 1:
            found.append(Emptying(position, tuple(fed)))
            found += [
                Emptying(position, (last,), tuple(tank for tank in fed if tank != last))
                for last in fed
            ]
    return tuple(found)


REQUIRED, BURN, STOP = 0, 1, 2
"""Kinds of rows, in the order of ``DEMANDS``."""


def build_rows(
    assembly: Assembly,
    attitudes: Attitudes,
    ways: tuple[Emptying, ...],
    kinds_asked: tuple[int, ...] = (REQUIRED, BURN, STOP),
) -> Rows:
    """Combine attitudes, emptyings, demands, temperatures and ends.

    The required flow is asked for from level pitch up, wings level and in turns. The burn is asked
    for everywhere: at full power from level pitch up and in the take-off run, below it the stated
    burn of the descent, or full power where none is stated. Both are asked for with the expected
    and with the cautious dip of the surface; any flow at all without a dip.
    """
    engine, flight = assembly.system.engine, assembly.system.flight
    kinds = np.array(attitudes.kind)
    upward = attitudes.pitch >= flight.level_pitch - 1e-12
    firm = np.isin(kinds, [LEVEL, TURN])
    ends = [OPEN_LINE] if engine.carburettor is None else [OPEN_LINE, CARBURETTOR]
    burn = np.where(upward | (kinds == RUN), engine.burn, engine.descent_burn or engine.burn)
    asked = (
        (upward & firm, np.full(len(kinds), engine.burn * engine.factor), ends),
        (np.ones(len(kinds), dtype=bool), burn, ends),
        (np.ones(len(kinds), dtype=bool), np.zeros(len(kinds)), [OPEN_LINE]),
    )
    blocks = []
    for kind, (wanted, demand, its_ends) in enumerate(asked):
        if kind not in kinds_asked:
            continue
        chosen = np.flatnonzero(wanted)
        is_demand = kind < 2
        temperatures = assembly.system.temperatures[: None if is_demand else 1]
        times = (DIP_EXPECTED, DIP_CAUTIOUS) if is_demand else (1.0,)
        grid = np.meshgrid(
            chosen,
            np.arange(len(ways)),
            np.array(temperatures),
            np.array(its_ends),
            np.array(times),
            indexing="ij",
        )
        attitude, way, temperature, end, dip = (axis.ravel() for axis in grid)
        here = attitude.astype(np.intp)
        asked_kind = np.full(len(here), kind)
        blocks.append((here, way, asked_kind, demand[here], dip, temperature, end))
    joined = [np.concatenate(parts) for parts in zip(*blocks, strict=True)]
    return Rows(
        attitude=joined[0],
        emptying=joined[1].astype(np.intp),
        kind=joined[2].astype(np.intp),
        demand=joined[3],
        times=joined[4],
        temperature=joined[5],
        end=joined[6].astype(np.intp),
    )


def drawn_situation(assembly: Assembly, scenarios: Scenarios, draws: Draws) -> Situation:
    """Work out scenarios, each in a draw of its own: heights, vents, viscosity.

    An error of the heights moves the surfaces against the outlets as well as against the line's
    end, so it decides what is covered too. In a turn it counts more, as every height does.
    """
    situation = situate(
        assembly,
        scenarios,
        pressure_coefficient=draws.vent,
        surfaces_raised=draws.height * pull_of(scenarios.gravity),
    )
    conditions = situation.conditions
    viscosity = conditions.kinematic_viscosity * draws.viscosity
    return replace(situation, conditions=replace(conditions, kinematic_viscosity=viscosity))


class Trials:
    """Tries rows at quantities; remembers where a solve failed."""

    def __init__(
        self, assembly: Assembly, attitudes: Attitudes, ways: tuple[Emptying, ...], rows: Rows
    ) -> None:
        self.assembly = assembly
        self.attitudes = attitudes
        self.rows = rows
        self.failed = np.zeros(rows.count, dtype=bool)
        tanks = assembly.system.tanks
        self.position = np.array([way.position for way in ways], dtype=np.intp)
        self.emptied = np.array(
            [[tank in way.tanks for tank in range(len(tanks))] for way in ways], dtype=bool
        )
        test_quantity = np.array(fuel_states(assembly)[0].quantity)
        self.others = np.array(
            [[0.0 if tank in way.dry else test_quantity[tank] for tank in range(len(tanks))]
             for way in ways]
        )  # fmt: skip
        self.most = np.array([capacity_of(tank.shape) or 0.0 for tank in tanks])
        self.least = np.array(
            [
                tank.shape.quantities[0] if isinstance(tank.shape, DipTable) else 0.0
                for tank in tanks
            ]
        )

    def quantities(self, rows: npt.NDArray[np.intp], quantity: FloatArray) -> FloatArray:
        """Fuel in every tank (row, tank) [m3] when the emptied ones hold ``quantity``.

        That is one figure for all of them (row,), or one for each tank (row, tank).
        """
        emptied = self.emptied[self.rows.emptying[rows]]
        wanted = quantity if quantity.ndim == 2 else quantity[:, None]
        limited = np.clip(wanted, self.least, self.most)
        return np.where(emptied, limited, self.others[self.rows.emptying[rows]])

    def range(self) -> tuple[FloatArray, FloatArray]:
        """Lowest and highest quantity (row,) [m3] of the emptied tanks."""
        emptied = self.emptied[self.rows.emptying]
        low = np.where(emptied, self.least, np.inf).min(axis=1)
        high = np.where(emptied, self.most, 0.0).max(axis=1)
        return low, high

    def jumps(
        self, rows: npt.NDArray[np.intp] | None = None, draws: Draws | None = None
    ) -> FloatArray:
        """Quantities (row, outlet) [m3] at which the outlets of emptied tanks uncover.

        Of all rows; or of some, each in a draw of its own, whose surfaces stand higher or lower.
        """
        table, assembly = self.rows, self.assembly
        rows = np.arange(table.count) if rows is None else rows
        gravity = self.attitudes.gravity[table.attitude[rows]]
        out = table.demand[rows] / density(assembly.system.fuel, table.temperature[rows])
        pull = pull_of(gravity)
        raised = 0.0 if draws is None else draws.height * pull
        over = critical_dip(out, pull) * table.times[rows] - raised
        elevation = height(assembly.points, gravity)
        found = np.full((len(rows), len(assembly.outlets)), np.nan)
        for column, (node, tank, _) in enumerate(assembly.outlets):
            mine = np.flatnonzero(self.emptied[table.emptying[rows], tank])
            shape = assembly.system.tanks[tank].shape
            level = elevation[mine, node] + over[mine]
            found[mine, column] = quantity_below(shape, gravity[mine], level)
        return found

    def at_demand(self, rows: npt.NDArray[np.intp], quantity: FloatArray) -> BoolArray:
        """Whether the demand arrives without air (row, criterion); a failed solve is a no."""
        fine, solved = self.tried(rows, quantity)
        self.failed[rows[~solved]] = True  # a row may be there more than once
        return fine

    def tried(
        self, rows: npt.NDArray[np.intp], quantity: FloatArray, draws: Draws | None = None
    ) -> tuple[BoolArray, BoolArray]:
        """Whether the demand arrives without air (row, criterion), and whether it was solved.

        On nominal values, or each row in a draw of its own.
        """
        scenarios, factors = self._scenarios(rows, quantity), None
        if draws is None:
            situation = situate(self.assembly, scenarios)
        else:
            situation, factors = drawn_situation(self.assembly, scenarios, draws), draws.factors
        demand = self.rows.demand[rows]
        state = at_drawn_flow(self.assembly, situation, demand, factors=factors)
        solution = state.solution
        good = solution.converged & solution.supplied
        with np.errstate(invalid="ignore"):
            arrives = good & (state.head_left >= 0.0)
            no_leg = np.isnan(state.air_margin)
            clear = good & (no_leg | (state.air_margin >= 0.0))
            surely = good & (no_leg | (state.air_margin >= state.air_least))
        return np.column_stack([arrives, clear, surely]), solution.converged

    def any_flow(self, rows: npt.NDArray[np.intp], quantity: FloatArray) -> BoolArray:
        """Whether anything flows from the open line (row, 1)."""
        situation = situate(self.assembly, self._scenarios(rows, quantity))
        solution = solve(self.assembly.network, situation.conditions)
        self.failed[rows] |= ~solution.converged
        with np.errstate(invalid="ignore"):
            flows: BoolArray = end_flow(self.assembly, solution) > STILL_FLOW
        return flows[:, None]

    def _scenarios(self, rows: npt.NDArray[np.intp], quantity: FloatArray) -> Scenarios:
        table, flight = self.rows, self.assembly.system.flight
        attitude = table.attitude[rows]
        in_flight = table.end[rows] == CARBURETTOR
        return build_scenarios(
            self.assembly,
            gravity=self.attitudes.gravity[attitude],
            pitch=self.attitudes.pitch[attitude],
            position=self.position[table.emptying[rows]],
            quantity=self.quantities(rows, quantity),
            temperature=table.temperature[rows],
            airspeed=np.where(in_flight, airspeed_at(flight, self.attitudes.pitch[attitude]), 0.0),
            end=table.end[rows],
            # The dip goes with the flow to the power 0.4, so this dips ``times`` as deep.
            dip_flow=table.demand[rows] * table.times[rows] ** DIP_EXPONENT,
            screen_clear=DIRTY_SCREEN,
        )
