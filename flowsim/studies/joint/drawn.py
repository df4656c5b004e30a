"""One scenario in every draw: what a draw changes, and the flows that come of it."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.reach import reach
from flowsim.network.scenarios import Situation
from flowsim.physics.air.atmosphere import dynamic_pressure
from flowsim.physics.arrays import FloatArray
from flowsim.studies.delivery.deliver import deliver, repeated, take
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


def drawn_pairs(
    sweep: Sweep, rows: npt.NDArray[np.intp], draws: Draws, known: Least | None = None
) -> tuple[FloatArray, FloatArray]:
    """Solve judged scenarios, each in a draw of its own.

    Parameters
    ----------
    sweep : Sweep
    rows : (draw,)
        Row of the sweep's table to solve in each draw.
    draws : Draws
    known : Least, optional
        Where air limits the flow but not below these, the result is infinite: how far above is not
        looked for.

    Returns
    -------
    tuple of FloatArray (draw,)
        Ratio of flow to required [-] with lines full of fuel, and with air in the humps that are
        not shown to clear. NaN where a solve failed.
    """
    held = sweep.trapped.held_head[np.searchsorted(sweep.judged_rows, rows)]
    full, flows = _ratios(sweep, rows, draws, None, None, None if known is None else known.full)
    holds = np.flatnonzero(held.any(axis=1))
    if not len(holds):
        return full, full
    trapped = full.copy()
    part = None if known is None else known.trapped[holds]
    trapped[holds], _ = _ratios(
        sweep, rows[holds], draws.take(holds), held[holds], flows[holds], part
    )
    return full, trapped


def _ratios(
    sweep: Sweep,
    rows: npt.NDArray[np.intp],
    draws: Draws,
    held: FloatArray | None,
    start: FloatArray | None,
    known: FloatArray | None,
) -> tuple[FloatArray, FloatArray]:
    """Ratio (draw,) of a scenario in each draw, and the flows found (draw, link)."""
    nominal = sweep.delivery.solution.flow[rows]
    ratio, flows = np.zeros(len(rows)), nominal.copy()
    cut_off = {int(row): _cut_off(sweep, int(row)) for row in np.unique(rows)}
    open_ = np.flatnonzero([not cut_off[int(row)] for row in rows])
    if not len(open_):  # nothing can flow there, whatever the factors
        return ratio, flows
    if len(open_) < len(rows):
        ratio[open_], flows[open_] = _ratios(
            sweep,
            rows[open_],
            draws.take(open_),
            None if held is None else held[open_],
            None if start is None else start[open_],
            None if known is None else known[open_],
        )
        return ratio, flows
    if (rows == rows[0]).all():
        base, which = repeated(sweep.situation, int(rows[0]), len(rows)), rows[0]
    else:
        base, which = take(sweep.situation, rows), rows
    situation = drawn_situation(sweep.assembly, base, sweep.table, which, draws)
    if held is not None:
        situation = with_held_head(situation, held)
    if start is None:
        start = nominal
    limited = sweep.delivery.air_limited[rows]
    onset = np.where(limited, sweep.delivery.deliverable[rows], np.nan)
    per_volume = situation.density / sweep.table.required[rows]
    found = deliver(
        sweep.assembly,
        situation,
        draws.factors,
        start=start if np.isfinite(start).all() else None,
        onset_near=onset if limited.any() else None,
        onset_above=None if known is None else known / per_volume,
    )
    return found.deliverable * per_volume, found.solution.flow


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
    assembly: Assembly,
    base: Situation,
    table: ScenarioTable,
    rows: npt.NDArray[np.intp] | int,
    draws: Draws,
) -> Situation:
    """Vary what lies outside the loss laws: viscosity, heights, pressures at the vents.

    ``rows`` (draw,) are the table's rows of ``base``, or the one row of them all.
    """
    conditions = base.conditions
    weight = base.density * STANDARD_GRAVITY
    ram = dynamic_pressure(table.scenarios.airspeed[rows], table.scenarios.altitude[rows])
    pressure = draws.vent * ram[..., None]
    heads = np.array(np.broadcast_to(conditions.fixed_head, base.elevation.shape))
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
