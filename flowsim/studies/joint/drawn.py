"""One scenario in every draw: what a draw changes, and the flows that come of it."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.reach import reach
from flowsim.network.scenarios import Situation
from flowsim.physics.air.atmosphere import dynamic_pressure
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.delivery.deliver import deliver, take
from flowsim.studies.delivery.trapped_air import with_held_head
from flowsim.studies.judged.scenarios import ScenarioTable
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws


@dataclass(frozen=True, slots=True, kw_only=True)
class Least:
    """Ratio of flow to required that is already known to be reached in each draw (draw,) [-].

    ``full`` with lines full of fuel, ``trapped`` with air in place.
    """

    full: FloatArray
    trapped: FloatArray

    def take(self, draws: npt.NDArray[np.intp]) -> "Least":
        """Give some of the draws."""
        return Least(full=self.full[draws], trapped=self.trapped[draws])


def drawn_ratios(
    sweep: Sweep,
    row: int,
    draws: Draws,
    known: Least | None = None,
    where: BoolArray | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Solve one judged scenario in every draw.

    Parameters
    ----------
    sweep : Sweep
    row : int
        Row of the sweep's table.
    draws : Draws
    known : Least, optional
        Where air limits the flow but not below these, the result is infinite: how far above is not
        looked for.
    where : (draw,), optional
        Draws to solve, all if not given; the result is infinite in the others.

    Returns
    -------
    tuple of FloatArray (draw,)
        Ratio of flow to required [-] with lines full of fuel, and with air in the humps that are
        not shown to clear. NaN where a solve failed.
    """
    if where is not None and not where.all():
        some = np.flatnonzero(where)
        part = None if known is None else known.take(some)
        found = np.full((2, draws.count), np.inf)
        found[:, some] = drawn_ratios(sweep, row, draws.take(some), part)
        return found[0], found[1]
    held = sweep.trapped.held_head[int(np.searchsorted(sweep.judged_rows, row))]
    full, flows = _ratios(sweep, row, draws, None, None, None if known is None else known.full)
    if not held.any():
        return full, full
    trapped, _ = _ratios(sweep, row, draws, held, flows, None if known is None else known.trapped)
    return full, trapped


def _ratios(
    sweep: Sweep,
    row: int,
    draws: Draws,
    held: FloatArray | None,
    start: FloatArray | None,
    known: FloatArray | None,
) -> tuple[FloatArray, FloatArray]:
    """Ratio (draw,) of one scenario in every draw, and the flows found (draw, link)."""
    nominal = sweep.delivery.solution.flow[row]
    if _cut_off(sweep, row):  # nothing can flow there, whatever the factors
        return np.zeros(draws.count), np.tile(nominal, (draws.count, 1))
    base = take(sweep.situation, np.full(draws.count, row))
    situation = drawn_situation(sweep.assembly, base, sweep.table, row, draws)
    if held is not None:
        situation = with_held_head(situation, np.tile(held, (draws.count, 1)))
    if start is None:
        start = np.tile(nominal, (draws.count, 1))
    if not np.isfinite(start).all():
        start = None
    onset = sweep.delivery.deliverable[row] if sweep.delivery.air_limited[row] else None
    per_volume = situation.density / sweep.table.required[row]
    found = deliver(
        sweep.assembly,
        situation,
        draws.factors,
        start=start,
        onset_near=onset,
        onset_above=None if known is None else known / per_volume,
    )
    ratio: FloatArray = found.deliverable * per_volume
    return ratio, found.solution.flow


def _cut_off(sweep: Sweep, row: int) -> bool:
    """Tell whether no covered outlet leads to the inlet in a scenario, and nothing flows."""
    if sweep.delivery.solution.flow[row].any() or sweep.flow[row] != 0.0:
        return False
    network, inlet = sweep.assembly.network, sweep.assembly.inlet
    allowed = np.array(sweep.situation.conditions.allowed[row : row + 1])
    allowed[:, sweep.assembly.open_link :] = 0
    found = reach(network, allowed, np.zeros(allowed.shape, dtype=bool))
    return bool(found.unsupplied[inlet, 0])


def ram_columns(sweep: Sweep, rows: npt.NDArray[np.intp]) -> FloatArray:
    """Dynamic pressure of scenarios (n,) [m], as a column of their liquid."""
    scenarios = sweep.table.scenarios
    ram = dynamic_pressure(scenarios.airspeed[rows], scenarios.altitude[rows])
    column: FloatArray = ram / (sweep.situation.density[rows] * STANDARD_GRAVITY)
    return column


def drawn_situation(
    assembly: Assembly, base: Situation, table: ScenarioTable, row: int, draws: Draws
) -> Situation:
    """Vary what lies outside the loss laws: viscosity, heights, pressures at the vents."""
    conditions = base.conditions
    weight = base.density * STANDARD_GRAVITY
    ram = dynamic_pressure(table.scenarios.airspeed[row], table.scenarios.altitude[row])
    pressure = draws.vent * ram
    heads = conditions.fixed_head.copy()
    for node, tank, _ in assembly.outlets:
        change = (pressure[:, tank] - base.tank_pressure[:, tank]) / weight
        heads[:, node] += draws.height + change
    return replace(
        base,
        tank_pressure=pressure,
        conditions=replace(
            conditions,
            fixed_head=heads,
            kinematic_viscosity=conditions.kinematic_viscosity * draws.viscosity,
        ),
    )
