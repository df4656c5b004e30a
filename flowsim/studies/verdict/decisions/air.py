"""Air through an uncovered outlet: the least fuel that stands over the junction of its leg."""

from dataclasses import replace

import numpy as np

from flowsim.measures import LENGTH, NO_RESULT
from flowsim.studies.result import UNSOLVED_REMEDY, Decision, Topic, Verdict
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import unsolved_words

NAME = "air"
REMEDY = (
    "declare more unusable fuel, move the outlet to where it stays covered, or lead its line "
    "further down before it meets another (flowsim unusable gives the quantities)"
)


def air(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on air over all judged scenarios, each at its required flow.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        One: not adequate where air is drawn, cannot tell where less than the least height of fuel
        stands over the junction or a solve failed.
    """
    swept = evidence.swept
    state = swept.at_required
    margin, wanted = state.air_margin, state.air_least
    uncovered = ~np.isnan(margin)
    unsolved = ~state.solution.converged
    if unsolved.any():
        rows = np.flatnonzero(unsolved)
        words = f"{unsolved_words(swept, swept.judged_rows[rows])} at its required flow"
        decision = _decision(evidence, Verdict.CANNOT_TELL, words, int(rows[0]), NO_RESULT)
        return (replace(decision, remedy=UNSOLVED_REMEDY),)
    if not uncovered.any():
        words = "no outlet stands above the fuel of a flowing way in any judged scenario"
        return (_decision(evidence, Verdict.ADEQUATE, words, None, "no outlet uncovers"),)
    short = np.where(uncovered, margin - wanted, np.inf)
    drawn = np.where(uncovered & (margin < 0), margin, np.inf)
    if np.isfinite(drawn).any():
        row = int(np.argmin(drawn))
        words = (
            "air is drawn through an uncovered outlet at the required flow: the fuel stands "
            f"{LENGTH.words(-margin[row], 0)} below the junction of its leg"
        )
        return (_decision(evidence, Verdict.NOT_ADEQUATE, words, row, "air is drawn"),)
    row = int(np.argmin(short))
    words = (
        f"at least {LENGTH.words(margin[row], 0)} of fuel stands over the junction of an uncovered "
        f"outlet ({LENGTH.words(wanted[row], 0)} wanted)"
    )
    verdict = Verdict.CANNOT_TELL if short[row] < 0 else Verdict.ADEQUATE
    figure = f"{LENGTH.words(margin[row], 0)} of fuel over the junction"
    return (_decision(evidence, verdict, words, row, figure),)


def _decision(
    evidence: Evidence, verdict: Verdict, words: str, judged: int | None, figure: str = ""
) -> Decision:
    scenario = None if judged is None else int(evidence.swept.judged_rows[judged])
    remedy = "" if verdict is Verdict.ADEQUATE else REMEDY
    return Decision(
        topic=Topic.AIR, name=NAME, verdict=verdict, found=words, remedy=remedy, scenario=scenario,
        figure=figure,
    )  # fmt: skip
