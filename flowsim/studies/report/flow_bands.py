"""Band of the least flow at every judged pitch, for the pictures of flow against pitch."""

from dataclasses import dataclass

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import END_NAMES
from flowsim.studies.joint.study import joint_ratios
from flowsim.studies.judged.scenarios import CLIMB, scenario_table
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.sampling.draws import draw
from flowsim.studies.verdict.judging import HIGH, LOW

DRAWS = 512
"""Joint draws behind each band: enough for a picture; the verdict has its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PitchBand:
    """5th and 95th percentile [kg/s] of the least climb scenario at one pitch [rad].

    NaN as soon as one draw failed.
    """

    selector: str
    end: str
    pitch: float
    low: float
    high: float


def flow_bands(assembly: Assembly, *, seed: int, draws: int = DRAWS) -> tuple[PitchBand, ...]:
    """Draw the least climb scenario of every judged position and end at every judged pitch.

    Parameters
    ----------
    assembly : Assembly
    seed, draws : int
        Monte Carlo draws of what is uncertain.

    Returns
    -------
    tuple of PitchBand
        The least is picked on nominal values, over fuel states, temperatures and screens, with
        trapped air in place.
    """
    swept = sweep_of(assembly, scenario_table(assembly))
    table = swept.table
    rows = swept.judged_rows
    climb = table.purpose[rows] == CLIMB
    least: dict[tuple[int, int, float], tuple[float, int]] = {}
    trapped = swept.trapped_ratio
    for index in np.flatnonzero(climb):
        row = int(rows[index])
        key = (
            int(table.scenarios.position[row]),
            int(table.scenarios.end[row]),
            round(float(table.scenarios.pitch[row]), 9),
        )
        ratio = float(min(swept.ratio[row], trapped[index]))
        if key not in least or ratio < least[key][0]:
            least[key] = (ratio, row)
    chosen = np.array([row for _, row in least.values()], dtype=np.intp)
    joint = joint_ratios(swept, chosen, draw(assembly, draws, seed))
    low = np.percentile(joint.trapped, LOW, axis=0) * table.required[joint.rows]
    high = np.percentile(joint.full, HIGH, axis=0) * table.required[joint.rows]
    return tuple(
        PitchBand(
            selector=assembly.positions[table.scenarios.position[row]].name,
            end=END_NAMES[table.scenarios.end[row]],
            pitch=float(table.scenarios.pitch[row]),
            low=float(low[column]),
            high=float(high[column]),
        )
        for column, row in enumerate(joint.rows)
    )
