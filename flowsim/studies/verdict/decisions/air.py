"""Air through an uncovered outlet: the least fuel that stands over the junction of its leg."""

from dataclasses import replace

import numpy as np

from flowsim.measures import NO_RESULT
from flowsim.studies.result import UNSOLVED_REMEDY, Decision, Topic, Verdict
from flowsim.studies.saying import Said, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import unsolved_words

NAME = "air"
REMEDY = saying("air.declare_more_unusable_fuel")


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
        words = saying("air.required_flow", unsolved=unsolved_words(swept, swept.judged_rows[rows]))
        decision = _decision(evidence, Verdict.CANNOT_TELL, words, int(rows[0]), NO_RESULT)
        return (replace(decision, remedy=UNSOLVED_REMEDY),)
    if not uncovered.any():
        words = saying("air.no_outlet_stands_above")
        return (
            _decision(evidence, Verdict.ADEQUATE, words, None, saying("air.no_outlet_uncovers")),
        )
    short = np.where(uncovered, margin - wanted, np.inf)
    drawn = np.where(uncovered & (margin < 0), margin, np.inf)
    if np.isfinite(drawn).any():
        row = int(np.argmin(drawn))
        words = saying("air.air_drawn_through_uncovered", margin=-margin[row])
        return (_decision(evidence, Verdict.NOT_ADEQUATE, words, row, saying("air.air_drawn")),)
    row = int(np.argmin(short))
    words = saying("air.least_fuel_stands_over", margin=margin[row], wanted=wanted[row])
    verdict = Verdict.CANNOT_TELL if short[row] < 0 else Verdict.ADEQUATE
    figure = saying("air.fuel_over_junction", margin=margin[row])
    return (_decision(evidence, verdict, words, row, figure),)


def _decision(
    evidence: Evidence, verdict: Verdict, words: Said, judged: int | None, figure: Said = ""
) -> Decision:
    scenario = None if judged is None else int(evidence.swept.judged_rows[judged])
    remedy = "" if verdict is Verdict.ADEQUATE else REMEDY
    return Decision(
        topic=Topic.AIR, name=NAME, verdict=verdict, found=words, remedy=remedy, scenario=scenario,
        figure=figure,
    )  # fmt: skip
