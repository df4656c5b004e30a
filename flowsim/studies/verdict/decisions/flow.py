"""The flow at each end: one decision for each requirement, by the band of its least ratio."""

from flowsim.studies.result import Decision, ResultLine, Topic, Verdict
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import percent

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
    figure = f"{percent(line.least_nominal)} %"
    words = f"{figure} of the required flow"
    if line.least_low is not None:
        figure += f" ({percent(low)} to {percent(high)})"
        words += f" ({percent(low)} to {percent(high)} % in 5 to 95 % of the draws)"
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
