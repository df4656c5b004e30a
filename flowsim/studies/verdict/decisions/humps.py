"""Humps: whether the required flow is met with the air that they may hold still in place."""

import numpy as np

from flowsim.studies.judged.scenarios import CLIMB
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.saying import Said, run_on, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.flow import FALLING
from flowsim.studies.verdict.judging import LOW, arrives_words

NAME = "humps"


def humps(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on the high points of the lines used for take-off and climb.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        One. Cannot tell where the course of such a line is not known, or where the flow falls short
        with the air of high points that are not shown to clear.
    """
    assembly = evidence.swept.assembly
    judged = [index for index, place in enumerate(assembly.positions) if place.judged]
    bare = [
        line.name
        for index, line in enumerate(assembly.system.lines)
        if line.route is None and (assembly.line_allowed[judged, index] > 0).any()
    ]
    if bare:
        return (
            _decision(
                Verdict.CANNOT_TELL,
                saying("humps.course_line_not_known", bare=tuple(bare)),
                saying("humps.write_course_corners_one"),
            ),
        )
    trapped = evidence.swept.trapped
    rows = _of_climb(evidence)
    names = tuple(dict.fromkeys(name for row in rows for name in trapped.humps[row]))
    if not names:
        words = saying("humps.no_line_holds_air")
        return (_decision(Verdict.ADEQUATE, words),)
    least, how = _least(evidence)
    words = saying("humps.air_place", names=tuple(names), arrives=arrives_words(least), how=how)
    if least >= 1.0:
        return (_decision(Verdict.ADEQUATE, words),)
    remedy = FALLING
    if any(trapped.doubtful[row] for row in rows):
        remedy = run_on(remedy, saying("humps.where_may_no_hump"))
    return (_decision(Verdict.CANNOT_TELL, words, remedy),)


def _of_climb(evidence: Evidence) -> list[int]:
    """Rows of the judged scenarios for take-off and climb."""
    swept = evidence.swept
    purpose = swept.table.purpose[swept.judged_rows]
    return [int(row) for row in np.flatnonzero(purpose == CLIMB)]


def _least(evidence: Evidence) -> tuple[float, Said]:
    """Least flow over required [-] with air in place, and on what it stands."""
    swept, joint = evidence.swept, evidence.joint
    climb = swept.table.purpose == CLIMB
    if joint is not None and climb[joint.rows].any():
        least = joint.least(climb[joint.rows], trapped=True)
        if not np.isnan(least).any():
            return float(np.percentile(least, LOW)), saying("humps.in_draws")
        return float("nan"), saying("humps.not_solved")
    ratio = swept.trapped_ratio[climb[swept.judged_rows]]
    return float(np.min(ratio)), saying("humps.nominal_values")


def _decision(verdict: Verdict, found: Said, remedy: Said = "") -> Decision:
    return Decision(topic=Topic.HUMPS, name=NAME, verdict=verdict, found=found, remedy=remedy)
