"""Joint draws at the scenarios that can decide: the band of the least margin."""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import Situation
from flowsim.physics.arrays import FloatArray
from flowsim.physics.atmosphere import dynamic_pressure
from flowsim.studies.deliver import deliver, take
from flowsim.studies.draws import Draws
from flowsim.studies.judged_set import ScenarioTable
from flowsim.studies.sweep import Sweep
from flowsim.studies.trapped_air import with_held_head

CAN_DECIDE = 1.3
"""[-] A scenario whose nominal ratio is above this times the least cannot be the least in a draw:
the scatter of one scenario against another is far smaller, since most causes are common."""
MOST_SCENARIOS = 6
"""Scenarios drawn for each end and purpose, and for each thing that limits the flow."""
FAR_ABOVE = 2.5
"""[-] Where the least nominal ratio of an end and purpose is above this, only its least scenario
is drawn, to show a band: no spread of the catalogue brings such a ratio down to one."""

Progress = Callable[[str, int, int], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointResult:
    """Ratios of flow to required (draw, scenario) for the scenarios ``rows`` of the table.

    ``full`` with lines full of fuel, ``trapped`` with uncleared humps holding air. NaN where a
    solve failed.
    """

    rows: npt.NDArray[np.intp]
    full: FloatArray
    trapped: FloatArray
    draws: Draws

    def least(self, chosen: npt.NDArray[np.bool_], *, trapped: bool) -> FloatArray:
        """Least ratio of the chosen scenarios within each draw (draw,); NaN if none is chosen."""
        ratio = self.trapped if trapped else self.full
        if not chosen.any():
            return np.full(len(ratio), np.nan)
        least: FloatArray = ratio[:, chosen].min(axis=1)
        return least


def deciding_rows(sweep: Sweep) -> npt.NDArray[np.intp]:
    """Choose the judged scenarios that can be the least in some draw, for every result line.

    A scenario with clean screens is left out where the same one with dirty screens is there: in the
    same draw it cannot give less. Scenarios that could not be solved are left out too: whoever asks
    must look at ``Sweep.unsolved``.
    """
    table = sweep.table
    chosen: set[int] = set()
    rows = sweep.judged_rows
    for purpose in np.unique(table.purpose[rows]):
        for end in np.unique(table.scenarios.end[rows]):
            group = rows[(table.purpose[rows] == purpose) & (table.scenarios.end[rows] == end)]
            dirty = group[table.dirty[group]]
            chosen |= set(_lowest(sweep, dirty if len(dirty) else group))
    return np.array(sorted(chosen), dtype=np.intp)


def _lowest(sweep: Sweep, group: npt.NDArray[np.intp]) -> list[int]:
    """Choose within one end and purpose: of each family the pitches at which it is least.

    A family differs only in pitch. Its neighbours answer alike, so only the pitches at which the
    ratio is not above that of the next smaller and the next larger one are kept.
    """
    position = {int(row): index for index, row in enumerate(sweep.judged_rows)}
    trapped = sweep.trapped_ratio
    ratio = np.array([min(sweep.ratio[row], trapped[position[int(row)]]) for row in group])
    good = np.isfinite(ratio)
    group, ratio = group[good], ratio[good]
    if not len(group):
        return []
    keep = _valleys(sweep, group, ratio) & (ratio <= CAN_DECIDE * ratio.min() + 1e-9)
    if ratio.min() > FAR_ABOVE:
        order = np.argsort(ratio[keep], kind="stable")
        return [int(row) for row in group[keep][order][:1]]
    chosen: list[int] = []
    # What limits the flow, losses or air, scatters differently: the least of either is drawn.
    for air in (False, True):
        some = keep & (sweep.delivery.air_limited[group] == air)
        order = np.argsort(ratio[some], kind="stable")
        chosen += _undominated(sweep, group[some][order])[:MOST_SCENARIOS]
    return chosen


def _undominated(sweep: Sweep, rows: npt.NDArray[np.intp]) -> list[int]:
    """Leave out a scenario that differs from an earlier one only by more fuel: it gives no less."""
    scenarios = sweep.table.scenarios
    kept: list[int] = []
    for row in rows:
        for other in kept:
            same = (
                scenarios.position[row] == scenarios.position[other]
                and scenarios.temperature[row] == scenarios.temperature[other]
                and scenarios.pitch[row] == scenarios.pitch[other]
            )
            if same and (scenarios.quantity[row] >= scenarios.quantity[other]).all():
                break
        else:
            kept.append(int(row))
    return kept


def _valleys(sweep: Sweep, group: npt.NDArray[np.intp], ratio: FloatArray) -> npt.NDArray[np.bool_]:
    """Tell which scenarios of ``group`` are the least among their neighbours in pitch."""
    scenarios = sweep.table.scenarios
    keys = np.column_stack(
        [scenarios.position[group], sweep.table.state[group], scenarios.temperature[group]]
    )
    _, family = np.unique(keys, axis=0, return_inverse=True)
    order = np.lexsort((scenarios.pitch[group], family.reshape(-1)))
    sorted_ratio, sorted_family = ratio[order], family.reshape(-1)[order]
    padded = np.concatenate([[np.inf], sorted_ratio, [np.inf]])
    same_before = np.concatenate([[False], sorted_family[1:] == sorted_family[:-1]])
    same_after = np.concatenate([sorted_family[1:] == sorted_family[:-1], [False]])
    before = np.where(same_before, padded[:-2], np.inf)
    after = np.where(same_after, padded[2:], np.inf)
    least = np.zeros(len(group), dtype=bool)
    least[order] = (sorted_ratio <= before) & (sorted_ratio < after)
    return least


def joint_ratios(
    sweep: Sweep, rows: npt.NDArray[np.intp], draws: Draws, progress: Progress | None = None
) -> JointResult:
    """Solve the scenarios ``rows`` in every draw.

    Parameters
    ----------
    sweep : Sweep
    rows : (n,)
        Rows of the sweep's table.
    draws : Draws
    progress : callable, optional
        Called with a word, how many are done, and how many there are.

    Returns
    -------
    JointResult
    """
    full = np.full((draws.count, len(rows)), np.nan)
    trapped = full.copy()
    position = {int(row): index for index, row in enumerate(sweep.judged_rows)}
    for column, row in enumerate(rows):
        if progress is not None:
            progress("drawing", column, len(rows))
        full[:, column], flows = _ratios(sweep, int(row), draws, None)
        held = sweep.trapped.held_head[position[int(row)]]
        trapped[:, column] = full[:, column]
        if held.any():
            trapped[:, column], _ = _ratios(sweep, int(row), draws, held, flows)
    if progress is not None:
        progress("drawing", len(rows), len(rows))
    return JointResult(rows=rows, full=full, trapped=trapped, draws=draws)


def _ratios(
    sweep: Sweep,
    row: int,
    draws: Draws,
    held: FloatArray | None,
    start: FloatArray | None = None,
) -> tuple[FloatArray, FloatArray]:
    """Ratio (draw,) of one scenario in every draw, and the flows found (draw, link)."""
    if sweep.flow[row] == 0.0:  # nothing can flow there, whatever the factors
        return np.zeros(draws.count), np.tile(sweep.delivery.solution.flow[row], (draws.count, 1))
    base = take(sweep.situation, np.full(draws.count, row))
    situation = drawn_situation(sweep.assembly, base, sweep.table, row, draws)
    if held is not None:
        situation = with_held_head(situation, np.tile(held, (draws.count, 1)))
    if start is None:
        start = np.tile(sweep.delivery.solution.flow[row], (draws.count, 1))
    if not np.isfinite(start).all():
        start = None
    onset = sweep.delivery.deliverable[row] if sweep.delivery.air_limited[row] else None
    found = deliver(sweep.assembly, situation, draws.factors, start=start, onset_near=onset)
    ratio: FloatArray = found.deliverable * situation.density / sweep.table.required[row]
    return ratio, found.solution.flow


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
