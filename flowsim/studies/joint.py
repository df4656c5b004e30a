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
from flowsim.studies.cautious_bound import cautious_ratios
from flowsim.studies.deliver import deliver, take
from flowsim.studies.draws import Draws
from flowsim.studies.judged_set import ScenarioTable
from flowsim.studies.sweep import Sweep
from flowsim.studies.trapped_air import with_held_head

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
    """Choose within one end and purpose what may be the least in some draw.

    Scenarios of a family differ in pitch, fuel and temperature alone, and the same outlets feed
    them, in the same position, with the flow limited by losses or by air: those scatter alike. Of
    each family the lowest is a candidate, and the lowest at each temperature with its valleys over
    pitch. A candidate is left out only where it meets the requirement, and gives more than the
    least of all does on nominal values, with every band at its cautious end.
    """
    place = {int(row): index for index, row in enumerate(sweep.judged_rows)}
    trapped = sweep.trapped_ratio
    ratio = np.array([min(sweep.ratio[row], trapped[place[int(row)]]) for row in group])
    good = np.isfinite(ratio)
    group, ratio = group[good], ratio[good]
    if not len(group):
        return []
    order = np.argsort(ratio, kind="stable")
    candidates = _first_of_each(_families(sweep, group)[order], order)
    scenarios = sweep.table.scenarios
    warm = np.column_stack([scenarios.position[group], scenarios.temperature[group]])
    valleys = np.flatnonzero(_valleys(sweep, group, ratio))
    valleys = valleys[np.argsort(ratio[valleys], kind="stable")]
    candidates |= _first_of_each(warm[valleys], valleys)
    rows = np.sort(group[sorted(candidates)])
    surely = cautious_ratios(sweep, rows)
    kept = ~((surely >= 1.0) & (surely > _least_of_all(sweep)))
    return sorted({int(group[order[0]]), *rows[kept].tolist()})


def _least_of_all(sweep: Sweep) -> float:
    """Give the least nominal ratio of all judged scenarios; its 5th percentile is not above it."""
    return float(np.nanmin(np.minimum(sweep.ratio[sweep.judged_rows], sweep.trapped_ratio)))


def _families(sweep: Sweep, group: npt.NDArray[np.intp]) -> npt.NDArray[np.float64]:
    """Give what scenarios of a family have in common (scenario, any)."""
    scenarios = sweep.table.scenarios
    return np.column_stack(
        [
            scenarios.position[group],
            sweep.delivery.air_limited[group],
            sweep.situation.uncovered[group],
        ]
    ).astype(np.float64)


def _first_of_each(keys: npt.NDArray[np.float64], numbers: npt.NDArray[np.intp]) -> set[int]:
    """Give of each distinct row of keys the first one's number."""
    _, first = np.unique(keys, axis=0, return_index=True)
    return {int(number) for number in numbers[first]}


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
