"""The flow at each end: one decision for each requirement, by the band of its least ratio."""

import math

from flowsim.measures import NO_RESULT
from flowsim.studies.result import UNSOLVED_REMEDY, Decision, ResultLine, Topic, Verdict
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import is_back, percent, worst

SIZE = "see which line or part costs most head (below) and try sizes: flowsim size"
FALLING = "lead the line so that it falls all the way from tank to low point (flowsim routing)"
SURER = "measure what the spread goes most with (below): flowsim uncertainty ranks it"


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
    if not solved or any(UNSOLVED_REMEDY in reason for reason in line.reasons):
        words = words if not solved else f"{words}; {_unsolved(line)}"
        return Decision(
            topic=Topic.FLOW, name=line.name, verdict=worst([verdict, Verdict.CANNOT_TELL]),
            found=words, remedy=UNSOLVED_REMEDY, scenario=line.deciding, figure=figure,
        )  # fmt: skip
    remedy = {
        Verdict.ADEQUATE: "",
        Verdict.NOT_ADEQUATE: SIZE,
        Verdict.CANNOT_TELL: f"{SURER}; or {SIZE}",
    }[verdict]
    if line.held_by_air:
        remedy, words = FALLING, f"{words}, with the air that humps may hold still in place"
    return Decision(
        topic=Topic.FLOW,
        name=line.name,
        verdict=verdict,
        found=words,
        remedy=remedy,
        scenario=line.deciding,
        figure=figure,
    )


def _told(line: ResultLine, low: float, high: float) -> tuple[str, str]:
    """Give the least flow and its band as a figure and in words; what runs back is none."""
    band = "" if line.least_low is None or math.isnan(low + high) else f"{percent(low)} to "
    if is_back(line.least_nominal):
        figure, words = "none; it runs back", "none of the required flow arrives, it runs back"
    else:
        figure = f"{percent(line.least_nominal)} %"
        words = f"{figure} of the required flow"
    if not band or is_back(high):
        return figure, words
    band += percent(high)
    return f"{figure} ({band})", f"{words} ({band} % in 5 to 95 % of the draws)"


def _unsolved(line: ResultLine) -> str:
    """Say where no flow could be worked out."""
    said = next((reason for reason in line.reasons if UNSOLVED_REMEDY in reason), "")
    return said.removesuffix(f"; {UNSOLVED_REMEDY}") or "the flow could not be worked out"
