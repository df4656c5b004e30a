"""Outlets of which it is not certain whether fuel covers them: both states must be adequate."""

import numpy as np

from flowsim.studies.joint.cautious_bound import cautious_ratios
from flowsim.studies.joint.drawn import Least
from flowsim.studies.joint.mirrored import one_of_each
from flowsim.studies.joint.study import JointResult, joint_result
from flowsim.studies.judged.cover_doubt import cover_doubt, doubtful_twins
from flowsim.studies.judged.sweep import Sweep, sweep_of
from flowsim.studies.result import Decision, ResultLine, Topic, Verdict
from flowsim.studies.saying import Said, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import LOW, arrives_words, judge_lines, worst

NAME = saying("cover.outlets_doubt")
REMEDY = saying("cover.declare_more_unusable_fuel")


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
    joint = evidence.joint
    draws = None if joint is None else joint.draws
    twins = sweep_of(swept.assembly, one_of_each(swept.assembly, table, draws))
    lines = judge_lines(twins, None)
    verdict = worst([line.verdict for line in lines])
    gravest = min((line for line in lines if line.verdict is verdict), key=_low)
    low = _low(gravest)
    if verdict is Verdict.ADEQUATE and joint is not None:
        low = min(low, _least_drawn(twins, joint))
    adequate = verdict is Verdict.ADEQUATE and low >= 1.0
    return (
        Decision(
            topic=Topic.AIR,
            name=NAME,
            verdict=Verdict.ADEQUATE if adequate else Verdict.CANNOT_TELL,
            found=_words(twins, gravest, low, adequate),
            remedy="" if adequate else REMEDY,
            figure=saying("cover.adequate_either_way")
            if adequate
            else saying("cover.covered_bare_not_certain"),
        ),
    )


def _least_drawn(twins: Sweep, stated: JointResult) -> float:
    """Give the 5th percentile of the least ratio, either way, in each draw [-].

    Twins that meet the requirement with every band at its cautious end meet it in every draw. Where
    the scenarios as ``stated`` meet it, only twins that may give less are drawn: the worse counts.
    """
    surely = cautious_ratios(twins, twins.judged_rows, 1.0)
    open_ = twins.judged_rows[surely < 1.0]
    if not len(open_):
        return float(surely.min())
    every = np.ones(len(stated.rows), dtype=bool)
    known = Least(
        full=stated.least(every, trapped=False), trapped=stated.least(every, trapped=True)
    )
    meets = float(np.percentile(known.trapped, LOW)) >= 1.0  # not where one is NaN
    joint = joint_result(
        twins, stated.draws, together=True, only=open_, known=known if meets else None
    )
    least = known.trapped if meets else np.full(stated.draws.count, np.inf)
    if len(joint.rows):
        every = np.ones(len(joint.rows), dtype=bool)
        least = np.minimum(least, joint.least(every, trapped=True))
    return -1.0 if np.isnan(least).any() else float(np.percentile(least, LOW))


def _low(line: ResultLine) -> float:
    low = line.least_nominal if line.least_low is None else line.least_low
    return float(np.nan_to_num(low, nan=-1.0))


def _words(twins: Sweep, line: ResultLine, low: float, adequate: bool) -> Said:
    """Say which outlet, how much fuel stands over it, how much would be sure, and what arrives."""
    table, row = twins.table, line.deciding
    doubt = cover_doubt(twins.assembly, twins.situation)
    state = table.scenarios.cover_state
    assert state is not None
    names = list(twins.assembly.system.outlet_nodes())
    told = [
        saying(
            "cover.taken_as_covered" if state[row, column] > 0 else "cover.taken_as_bare",
            outlet=names[column],
            depth=doubt.depth[row, column],
            sure=doubt.sure[row, column],
        )
        for column in np.flatnonzero(state[row])
    ]
    taken = saying("cover.not_certain_whether_fuel", told=tuple(told))
    if adequate:
        return saying("cover.without", taken=taken, arrives=arrives_words(low))

    return saying(
        "cover.else",
        taken=taken,
        arrives=arrives_words(low),
        pitch=table.scenarios.pitch[row],
        state=table.states[table.state[row]].name,
        line=line.name,
    )
