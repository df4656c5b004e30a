"""The slow oracle: every judged scenario is solved in every draw, and nothing is left out.

It shares laws, solver and words with ``check``, and none of what chooses which scenarios are drawn.
"""

from dataclasses import replace

import numpy as np

from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.brief import Brief, judged_table
from flowsim.studies.joint.study import TO_FAR_ENOUGH, joint_ratios
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.sampling.draws import draw
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.gather import decisions_of
from flowsim.studies.verdict.judging import judge_lines
from flowsim.studies.verdict.overall import Overall, overall
from flowsim.system.fuel_system import FuelSystem


def everything_drawn(
    system: FuelSystem, *, draws: int, seed: int
) -> tuple[Overall, dict[str, tuple[float | None, float | None]]]:
    """Judge a system with every judged scenario drawn.

    Parameters
    ----------
    system : FuelSystem
    draws, seed : int
        As in a check.

    Returns
    -------
    Overall, dict
        The verdict, and 5th and 95th percentile of each line of flow by its name.
    """
    brief = drawn_brief(system, draws=draws, seed=seed)
    return brief.overall, {line.name: (line.least_low, line.least_high) for line in brief.lines}


def drawn_brief(system: FuelSystem, *, draws: int, seed: int) -> Brief:
    """Give what ``judge_briefly`` gives, but with every judged scenario drawn.

    What is far more than asked is told as such, as there.

    Parameters
    ----------
    system : FuelSystem
    draws, seed : int
        As in a check.

    Returns
    -------
    Brief
    """
    assembly = assemble(system)
    swept = sweep_of(assembly, judged_table(assembly))
    rows = swept.judged_rows[np.flatnonzero(~swept.unsolved)]
    table = swept.table
    far = np.flatnonzero(np.isin(table.purpose, TO_FAR_ENOUGH) & table.judged)
    told_so_far = zip(table.scenarios.end[far].tolist(), table.purpose[far].tolist(), strict=True)
    joint = replace(
        joint_ratios(swept, rows, draw(assembly, draws, seed)), far=frozenset(told_so_far)
    )
    lines = judge_lines(swept, joint)
    decisions = decisions_of(Evidence(swept=swept, joint=joint, lines=lines))
    return Brief(
        swept=swept,
        joint=joint,
        lines=lines,
        decisions=decisions,
        overall=overall(swept, joint, lines, decisions),
    )
