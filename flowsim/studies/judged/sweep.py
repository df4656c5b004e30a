"""The sweep on nominal values: everything the verdict looks at, as arrays over scenarios."""

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.scenarios import Situation, situate
from flowsim.network.solver import Solution
from flowsim.physics.arrays import FloatArray
from flowsim.studies.delivery.deliver import Delivery, deliver, take, take_delivery
from flowsim.studies.delivery.lesser_flows import with_lesser_flows
from flowsim.studies.delivery.pressures import RequiredFlowState, at_required_flow
from flowsim.studies.delivery.trapped_air import TrappedAir, trapped_air
from flowsim.studies.judged.scenarios import ScenarioTable, fed_tanks, scenario_table
from flowsim.system.fuel_system import FuelSystem

VAPOUR_DOUBT = 5000.0
"""[Pa] Vapour margin below which the tool cannot tell (no source; dissolved air evolves first)."""
SUCTION_TOLD = 200.0
"""[Pa] Less suction in a line than this (28 mm of fuel) raises no caution; no source."""
NOTABLE_SHARE = 0.005
"""[-] A part outside its law's range counts from this share of the losses on.
Tag: common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """Nominal results.

    ``judged_rows`` index the table; ``trapped`` and ``at_required`` hold one row for each of them,
    in that order. ``flow`` (scenario,) [kg/s] deliverable.
    """

    assembly: Assembly
    table: ScenarioTable
    situation: Situation
    delivery: Delivery
    flow: FloatArray
    judged_rows: npt.NDArray[np.intp]
    trapped: TrappedAir
    at_required: RequiredFlowState
    outside: npt.NDArray[np.bool_]
    below: npt.NDArray[np.bool_]

    @property
    def ratio(self) -> FloatArray:
        """Deliverable over required flow (scenario,), lines full of fuel."""
        share: FloatArray = self.flow / self.table.required
        return share

    @property
    def unsolved(self) -> npt.NDArray[np.bool_]:
        """Tell which judged scenarios have no flow (judged scenario,), air in place or not."""
        return np.isnan(np.minimum(self.ratio[self.judged_rows], self.trapped_ratio))

    @property
    def trapped_ratio(self) -> FloatArray:
        """The same for judged scenarios with trapped air in place (judged scenario,)."""
        rows = self.judged_rows
        flow = self.trapped.flow * self.situation.density[rows]
        share: FloatArray = flow / self.table.required[rows]
        return share


def sweep(system: FuelSystem) -> Sweep:
    """Solve every drawn and judged scenario of a system on nominal values.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    Sweep
    """
    assembly = assemble(system)
    return sweep_of(assembly, scenario_table(assembly))


def sweep_of(assembly: Assembly, table: ScenarioTable) -> Sweep:
    """Solve the scenarios of a table on nominal values.

    Parameters
    ----------
    assembly : Assembly
    table : ScenarioTable
        Of the same assembly; at least one scenario is judged.

    Returns
    -------
    Sweep
    """
    situation = situate(assembly, table.scenarios)
    delivery = deliver_fed(assembly, table, situation)
    rows = np.flatnonzero(table.judged)
    judged = take(situation, rows)
    part = take_delivery(delivery, rows)
    state = at_required_flow(assembly, judged, table.required[rows])
    state = with_lesser_flows(assembly, judged, table.required[rows], state)
    outside, below = _outside(state)
    return Sweep(
        assembly=assembly,
        table=table,
        situation=situation,
        delivery=delivery,
        flow=delivery.deliverable * situation.density,
        judged_rows=rows,
        trapped=trapped_air(assembly, judged, part),
        at_required=state,
        outside=outside,
        below=below,
    )


def deliver_fed(assembly: Assembly, table: ScenarioTable, situation: Situation) -> Delivery:
    """Solve the scenarios whose selector position joins a tank to the engine; others give nothing.

    An off position carries no flow, whatever the attitude: there is nothing to solve.

    Parameters
    ----------
    assembly : Assembly
    table : ScenarioTable
    situation : Situation
        Of the table's scenarios.

    Returns
    -------
    Delivery
    """
    count = len(assembly.positions)
    feeds = np.array([bool(fed_tanks(assembly, index)) for index in range(count)])
    joined = feeds[table.scenarios.position]
    if joined.all() or not joined.any():
        return deliver(assembly, situation)
    rows = np.flatnonzero(joined)
    found = deliver(assembly, take(situation, rows))
    size = len(joined)

    def spread(values: npt.NDArray[Any], blank: float) -> npt.NDArray[Any]:
        whole = np.full((size, *values.shape[1:]), blank, dtype=values.dtype)
        whole[rows] = values
        return whole

    solution = found.solution
    return Delivery(
        deliverable=spread(found.deliverable, 0.0),
        solved=spread(found.solved, 0.0),
        air_limited=spread(found.air_limited, False),
        solution=Solution(
            flow=spread(solution.flow, 0.0),
            head=spread(solution.head, np.nan),
            iterations=spread(solution.iterations, 0),
            residual=spread(solution.residual, 0.0),
            imbalance=spread(solution.imbalance, 0.0),
            converged=spread(solution.converged, True),
            supplied=spread(solution.supplied, True),
        ),
    )


def _outside(
    state: RequiredFlowState,
) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Parts (judged scenario, part) used outside their law's range, or below their first reading.

    At the required flow, because the answer turns on the head that is left there.
    """
    loss = np.abs(state.losses.loss)
    total = np.nansum(loss, axis=1, keepdims=True)
    matters: npt.NDArray[np.bool_] = loss > NOTABLE_SHARE * total
    return state.losses.outside & matters, state.losses.below & matters
