"""The flow at each end: one decision for each requirement, by the band of its least ratio."""

import math

from flowsim.measures import NO_RESULT
from flowsim.studies.result import Decision, ResultLine, Topic, Verdict
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import UNSOLVED_REMEDY, percent, worst

SIZE = "see which line or part costs most head (below) and try sizes: flowsim size"
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
    figure = f"{percent(line.least_nominal)} %" if solved else NO_RESULT
    words = f"{figure} of the required flow" if solved else _unsolved(line)
    if solved and line.least_low is not None and not math.isnan(low + high):
        figure += f" ({percent(low)} to {percent(high)})"
        words += f" ({percent(low)} to {percent(high)} % in 5 to 95 % of the draws)"
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
    return Decision(
        topic=Topic.FLOW,
        name=line.name,
        verdict=verdict,
        found=words,
        remedy=remedy,
        scenario=line.deciding,
        figure=figure,
    )


def _unsolved(line: ResultLine) -> str:
    """Say where no flow could be worked out."""
    said = next((reason for reason in line.reasons if UNSOLVED_REMEDY in reason), "")
    return said.removesuffix(f"; {UNSOLVED_REMEDY}") or "the flow could not be worked out"
