"""The sweep on nominal values: everything the verdict looks at, as arrays over scenarios."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.outcome import part_losses
from flowsim.network.scenarios import Situation, situate
from flowsim.physics.arrays import FloatArray
from flowsim.studies.deliver import Delivery, deliver, take
from flowsim.studies.judged_set import ScenarioTable, scenario_table
from flowsim.studies.pressures import RequiredFlowState, at_required_flow
from flowsim.studies.trapped_air import TrappedAir, trapped_air
from flowsim.system.fuel_system import FuelSystem

VAPOUR_DOUBT = 5000.0
"""[Pa] Vapour margin below which the tool cannot tell (no source; dissolved air evolves first)."""
NOTABLE_SHARE = 0.005
"""[-] A part outside its law's range counts from this share of the losses on."""


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

    @property
    def ratio(self) -> FloatArray:
        """Deliverable over required flow (scenario,), lines full of fuel."""
        share: FloatArray = self.flow / self.table.required
        return share

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
    delivery = deliver(assembly, situation)
    rows = np.flatnonzero(table.judged)
    judged = take(situation, rows)
    part = Delivery(
        deliverable=delivery.deliverable[rows],
        solved=delivery.solved[rows],
        air_limited=delivery.air_limited[rows],
        solution=delivery.solution,
    )
    state = at_required_flow(assembly, judged, table.required[rows])
    return Sweep(
        assembly=assembly,
        table=table,
        situation=situation,
        delivery=delivery,
        flow=delivery.deliverable * situation.density,
        judged_rows=rows,
        trapped=trapped_air(assembly, judged, part),
        at_required=state,
        outside=_outside(assembly, state),
    )


def _outside(assembly: Assembly, state: RequiredFlowState) -> npt.NDArray[np.bool_]:
    """Parts (judged scenario, part) used outside their law's range at the required flow.

    At that flow, because the answer turns on the head that is left there.
    """
    flow = state.solution.flow
    losses = part_losses(assembly.network, state.situation.conditions, flow)
    total = np.nansum(np.abs(losses.loss), axis=1, keepdims=True)
    matters: npt.NDArray[np.bool_] = np.abs(losses.loss) > NOTABLE_SHARE * total
    return losses.outside & matters
