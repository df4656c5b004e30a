"""The flow at each end: one decision for each requirement, by the band of its least ratio."""

import math

from flowsim.measures import NO_RESULT
from flowsim.studies.result import UNSOLVED_REMEDY, Decision, ResultLine, Topic, Verdict
from flowsim.studies.saying import NOTHING, Said, Saying, each_of, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import NO_FLOW, UNSOLVED, is_back, worst

SIZE = saying("flow.see_which_line_part")
FALLING = saying("flow.lead_line_falls_all")
SURER = saying("flow.measure_what_spread_goes")


def flow(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on each line of flow by its flow alone; air and vapour have decisions of their own.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        One for each line.
    """
    return tuple(_of_line(line) for line in evidence.lines)


def _of_line(line: ResultLine) -> Decision:
    low = line.least_nominal if line.least_low is None else line.least_low
    high = line.least_nominal if line.least_high is None else line.least_high
    verdict = line.flow_verdict
    solved = not math.isnan(line.least_nominal)
    figure, words = _told(line, low, high) if solved else (NO_RESULT, _unsolved(line))
    if not solved or any(_where_unsolved(reason) for reason in line.reasons):
        words = words if not solved else each_of([words, _unsolved(line)])
        return Decision(
            topic=Topic.FLOW, name=line.name, verdict=worst([verdict, Verdict.CANNOT_TELL]),
            found=words, remedy=UNSOLVED_REMEDY, scenario=line.deciding, figure=figure,
        )  # fmt: skip
    remedies: dict[Verdict, Said] = {
        Verdict.ADEQUATE: NOTHING,
        Verdict.NOT_ADEQUATE: SIZE,
        Verdict.CANNOT_TELL: saying("flow.surer_or_size", surer=SURER, size=SIZE),
    }
    remedy = remedies[verdict]
    if line.held_by_air:
        remedy, words = FALLING, saying("flow.air_humps_may_hold", words=words)
    return Decision(
        topic=Topic.FLOW,
        name=line.name,
        verdict=verdict,
        found=words,
        remedy=remedy,
        scenario=line.deciding,
        figure=figure,
    )


def _told(line: ResultLine, low: float, high: float) -> tuple[Said, Said]:
    """Give the least flow and its band as a figure and in words; what runs back is none."""
    least = line.least_nominal
    figure, words = saying("flow.least", least=least), saying("flow.required_flow", least=least)
    if is_back(least):
        figure, words = saying("flow.none_runs_back"), saying("flow.none_required_flow_arrives")
    if line.least_low is None or math.isnan(low + high) or is_back(high):
        return figure, words
    if low == math.inf:
        return (
            saying("flow.least_far", figure=figure, low=low),
            saying("flow.draws_far", words=words, low=low),
        )
    return (
        saying("flow.least_in_band", figure=figure, low=low, high=high),
        saying("flow.draws", words=words, low=low, high=high),
    )


def _unsolved(line: ResultLine) -> Said:
    """Say where no flow could be worked out."""
    where = (_where_unsolved(reason) for reason in line.reasons)
    return next((said for said in where if said), NO_FLOW)


def _where_unsolved(reason: Said) -> Said:
    """Give where no answer could be worked out, if a reason says that; else nothing."""
    if isinstance(reason, Saying) and reason.key == UNSOLVED:
        where = reason.get("where")
        return where if isinstance(where, Saying) else NOTHING
    return NOTHING
