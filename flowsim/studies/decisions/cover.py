"""Outlets of which it is not certain whether fuel covers them: both states must be adequate."""

import numpy as np

from flowsim.studies.cover_doubt import cover_doubt, doubtful_twins
from flowsim.studies.decisions.evidence import Evidence
from flowsim.studies.joint import deciding_rows, joint_ratios
from flowsim.studies.judging import judge_lines, percent, worst
from flowsim.studies.result import Decision, ResultLine, Topic, Verdict
from flowsim.studies.sweep import Sweep, sweep_of

NAME = "outlets in doubt"
REMEDY = (
    "declare more unusable fuel, so that the outlet is surely covered (flowsim unusable), set the "
    "outlet lower, or measure the heights of surface and outlet more closely"
)


def cover(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on the judged scenarios in which an outlet may be covered or bare.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Empty where no outlet is in doubt. Adequate where the doubtful outlets may be taken either
        way; else cannot tell, because it is not certain which state is there.
    """
    swept = evidence.swept
    table = doubtful_twins(swept.assembly, swept.table, swept.situation)
    if table is None:
        return ()
    twins = sweep_of(swept.assembly, table)
    joint = None
    if evidence.joint is not None:
        joint = joint_ratios(twins, deciding_rows(twins), evidence.joint.draws)
    lines = judge_lines(twins, joint)
    verdict = worst([line.verdict for line in lines])
    gravest = min((line for line in lines if line.verdict is verdict), key=_low)
    adequate = verdict is Verdict.ADEQUATE
    return (
        Decision(
            topic=Topic.AIR,
            name=NAME,
            verdict=Verdict.ADEQUATE if adequate else Verdict.CANNOT_TELL,
            found=_words(twins, gravest),
            remedy="" if adequate else REMEDY,
            figure="adequate either way" if adequate else "covered or bare is not certain",
        ),
    )


def _low(line: ResultLine) -> float:
    low = line.least_nominal if line.least_low is None else line.least_low
    return float(np.nan_to_num(low, nan=-1.0))


def _words(twins: Sweep, line: ResultLine) -> str:
    """Say which outlet, how much fuel stands over it, how much would be sure, and what arrives."""
    table, row = twins.table, line.deciding
    doubt = cover_doubt(twins.assembly, twins.situation)
    state = table.scenarios.cover_state
    assert state is not None
    names = list(twins.assembly.system.outlet_nodes())
    told = [
        f'outlet "{names[column]}" taken as {"covered" if state[row, column] > 0 else "bare"}, '
        f"{1000 * doubt.depth[row, column]:.0f} mm of fuel over it (surely covered from "
        f"{1000 * doubt.sure[row, column]:.0f} mm)"
        for column in np.flatnonzero(state[row])
    ]
    pitch = np.degrees(table.scenarios.pitch[row])
    where = f"{pitch:.1f} deg, {table.states[table.state[row]].name}"
    return (
        f"it is not certain whether fuel covers an outlet; with {'; '.join(told)} at least "
        f"{percent(_low(line))} % of the required flow arrives ({where}, {line.name})"
    )
