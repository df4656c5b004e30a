"""Vapour: the lowest pressure in the lines over the fuel's vapour pressure, at required flow."""

from dataclasses import replace

import numpy as np

from flowsim.measures import NO_RESULT, PRESSURE
from flowsim.physics.arrays import FloatArray
from flowsim.studies.judged.sweep import VAPOUR_DOUBT
from flowsim.studies.result import UNSOLVED_REMEDY, Decision, Topic, Verdict
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import unsolved_words

NAME = "vapour"
ABOVE = " above boiling"
"""Ends the figure of a margin; left out where a temperature follows it."""
REMEDY = (
    "keep the fuel cooler, use one of lower vapour pressure (state its measured "
    "reid_vapour_pressure), or cut the losses ahead of the lowest pressure"
)


def vapour(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on vapour over all judged scenarios.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        One: not adequate where the fuel boils, cannot tell within 5 kPa of it or without a result.
    """
    swept = evidence.swept
    margin = swept.at_required.vapour_margin
    supplied = swept.at_required.solution.supplied
    unknown = np.flatnonzero(np.isnan(margin) & supplied)
    if len(unknown):
        words = f"{unsolved_words(swept, swept.judged_rows[unknown])} at its required flow"
        decision = _decision(evidence, Verdict.CANNOT_TELL, words, int(unknown[0]), NO_RESULT)
        return (replace(decision, remedy=UNSOLVED_REMEDY),)
    return _over_the_rest(evidence, margin)


def _over_the_rest(evidence: Evidence, margin: FloatArray) -> tuple[Decision, ...]:
    """Decide on the scenarios that have pressures; where nothing arrives the flow decides."""
    if np.isnan(margin).all():
        words = "no judged scenario can be supplied, so there are no pressures to look at"
        return (_decision(evidence, Verdict.CANNOT_TELL, words, None),)
    row = int(np.nanargmin(margin))
    least = float(margin[row])
    if least < 0:
        below = PRESSURE.words(-least, 1)
        words = f"the fuel boils: the pressure falls {below} below its vapour pressure"
        figure = f"{below} below boiling"
        return (_decision(evidence, Verdict.NOT_ADEQUATE, words, row, figure),)
    words = f"the pressure stays {PRESSURE.words(least, 1)} above the fuel's vapour pressure"
    verdict = Verdict.ADEQUATE
    if least < VAPOUR_DOUBT:
        verdict = Verdict.CANNOT_TELL
        words = (
            f"only {PRESSURE.words(least, 1)} above the fuel's vapour pressure (rule of thumb: "
            f"{PRESSURE.words(VAPOUR_DOUBT, 0)}, no source)"
        )
    return (_decision(evidence, verdict, words, row, f"{PRESSURE.words(least, 1)}{ABOVE}"),)


def _decision(
    evidence: Evidence, verdict: Verdict, words: str, judged: int | None, figure: str = ""
) -> Decision:
    scenario = None if judged is None else int(evidence.swept.judged_rows[judged])
    remedy = "" if verdict is Verdict.ADEQUATE else REMEDY
    return Decision(
        topic=Topic.VAPOUR, name=NAME, verdict=verdict, found=words, remedy=remedy,
        scenario=scenario, figure=figure,
    )  # fmt: skip
