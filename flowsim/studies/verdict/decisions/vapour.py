"""Vapour: the lowest pressure in the lines over the fuel's vapour pressure, at required flow."""

from dataclasses import replace

import numpy as np

from flowsim.measures import NO_RESULT
from flowsim.physics.arrays import FloatArray
from flowsim.studies.judged.sweep import VAPOUR_DOUBT
from flowsim.studies.result import UNSOLVED_REMEDY, Decision, Topic, Verdict
from flowsim.studies.saying import Said, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import unsolved_words

NAME = "vapour"
ABOVE = "vapour.above_boiling"
"""Ends the figure of a margin; left out where a temperature follows it."""
UNSOLVED_MARGIN = "vapour.required_flow"
"""What is found where the solve failed at a required flow that can be supplied."""
REMEDY = saying("vapour.keep_fuel_cooler_use")


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
        words = saying(
            "vapour.required_flow", unsolved=unsolved_words(swept, swept.judged_rows[unknown])
        )
        decision = _decision(evidence, Verdict.CANNOT_TELL, words, int(unknown[0]), NO_RESULT)
        return (replace(decision, remedy=UNSOLVED_REMEDY),)
    return _over_the_rest(evidence, margin)


def _over_the_rest(evidence: Evidence, margin: FloatArray) -> tuple[Decision, ...]:
    """Decide on the scenarios that have pressures; where nothing arrives the flow decides."""
    if np.isnan(margin).all():
        words = saying("vapour.no_judged_scenario_can")
        return (_decision(evidence, Verdict.CANNOT_TELL, words, None),)
    row = int(np.nanargmin(margin))
    least = float(margin[row])
    if least < 0:
        words = saying("vapour.fuel_boils_pressure_falls", below=-least)
        figure = saying("vapour.below_boiling", below=-least)
        return (_decision(evidence, Verdict.NOT_ADEQUATE, words, row, figure),)
    words = saying("vapour.pressure_stays_above_fuel", least=least)
    verdict = Verdict.ADEQUATE
    if least < VAPOUR_DOUBT:
        verdict = Verdict.CANNOT_TELL
        words = saying("vapour.only_above_fuel_vapour", least=least, vapour_doubt=VAPOUR_DOUBT)
    return (_decision(evidence, verdict, words, row, saying("vapour.above_boiling", margin=least)),)


def _decision(
    evidence: Evidence, verdict: Verdict, words: Said, judged: int | None, figure: Said = ""
) -> Decision:
    scenario = None if judged is None else int(evidence.swept.judged_rows[judged])
    remedy = "" if verdict is Verdict.ADEQUATE else REMEDY
    return Decision(
        topic=Topic.VAPOUR, name=NAME, verdict=verdict, found=words, remedy=remedy,
        scenario=scenario, figure=figure,
    )  # fmt: skip
