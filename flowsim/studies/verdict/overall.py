"""The verdict of the whole: the worst of the lines, all of them together, and the decisions."""

from dataclasses import dataclass

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.studies.joint.study import JointResult
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.result import (
    OPEN_LINE_ONLY,
    Contribution,
    Decision,
    ResultLine,
    Topic,
    Verdict,
)
from flowsim.studies.sampling.ranking import shares_of
from flowsim.studies.saying import NOTHING, Said, saying
from flowsim.studies.verdict.judging import HIGH, LOW, SEVERITY, percentile, ratio_verdict, worst

SAID_BY_LINES = (Topic.FLOW, Topic.AIR, Topic.VAPOUR)
"""Topics whose reasons stand with the lines of flow already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Overall:
    """The answer on everything judged."""

    verdict: Verdict
    words: str
    reasons: tuple[Said, ...]
    deciding: int
    contributions: tuple[Contribution, ...]
    settle: Said


def overall(
    sweep: Sweep,
    joint: JointResult | None,
    lines: tuple[ResultLine, ...],
    decisions: tuple[Decision, ...] = (),
) -> Overall:
    """Judge everything together: the least margin within each draw, over all judged scenarios.

    The verdict is the worst of the lines, of what they give together and of the decisions.
    """
    deciding_decisions = [decision for decision in decisions if not decision.informs]
    verdict = worst([line.verdict for line in lines] + [d.verdict for d in deciding_decisions])
    reasons: list[Said] = []
    together_falls = False
    contributions: tuple[Contribution, ...] = ()
    if joint is not None and len(joint.rows):
        everything = np.ones(len(joint.rows), dtype=bool)
        full = joint.least(everything, trapped=False)
        trapped = joint.least(everything, trapped=True)
        together = ratio_verdict(percentile(trapped, LOW), percentile(full, HIGH))
        if SEVERITY[together] > SEVERITY[verdict]:
            verdict, together_falls = together, True
            reasons.append(saying("judging.taken_together_judged_scenarios"))
        contributions = _contributions(joint, trapped)
    gravest = [line for line in lines if line.verdict == worst([item.verdict for item in lines])]
    deciding = min(
        gravest, key=lambda line: -np.inf if np.isnan(line.least_nominal) else line.least_nominal
    )
    for line in lines:
        reasons += [saying("of", what=line.name, said=words) for words in line.reasons]
    for decision in deciding_decisions:
        if decision.verdict is not Verdict.ADEQUATE and decision.topic not in SAID_BY_LINES:
            reasons.append(saying("of", what=decision.name, said=decision.found))
    settle: Said = NOTHING
    by_band = any(line.flow_verdict is Verdict.CANNOT_TELL for line in lines) or together_falls
    if verdict is Verdict.CANNOT_TELL and not by_band:
        settle = _first_remedy(lines, deciding_decisions)
    elif verdict is Verdict.CANNOT_TELL and joint is not None and contributions:
        settle = settling_measurement(joint)
    words = str(verdict)
    limited = sweep.assembly.carburettor_link is None
    limited |= any(decision.open_line_only for decision in decisions)
    if verdict is Verdict.ADEQUATE and limited:
        words = OPEN_LINE_ONLY
    return Overall(
        verdict=verdict,
        words=words,
        reasons=tuple(reasons),
        deciding=deciding.deciding,
        contributions=contributions,
        settle=settle,
    )


def _first_remedy(lines: tuple[ResultLine, ...], decisions: list[Decision]) -> Said:
    """Give what would settle it where no measurement of what is spread helps.

    What decides says itself what does.
    """
    undecided = [item.remedy for item in decisions if item.verdict is Verdict.CANNOT_TELL]
    undecided += [
        line.reasons[0] for line in lines if line.verdict is Verdict.CANNOT_TELL and line.reasons
    ]
    return undecided[0] if undecided else NOTHING


def settling_measurement(joint: JointResult) -> Said:
    """Name the measurement that takes most off the spread of the least margin, empty if none.

    The same estimate as the uncertainty study's; with too few draws for it, the input whose rank
    goes most with the margin's.
    """
    least = joint.least(np.ones(len(joint.rows), dtype=bool), trapped=True)
    shares = shares_of(joint.draws.inputs, joint.draws.values, least)
    if shares:
        return shares[0].measurement
    contributions = _contributions(joint, least)
    return contributions[0].measurement if contributions else ""


def _contributions(joint: JointResult, least: FloatArray) -> tuple[Contribution, ...]:
    """Rank correlation of each input with the least margin, strongest first."""
    if np.isnan(least).any() or np.ptp(least) == 0:
        return ()
    values = joint.draws.values
    ranks = np.argsort(np.argsort(least)).astype(np.float64)
    ranks -= ranks.mean()
    inputs = np.argsort(np.argsort(values, axis=0), axis=0).astype(np.float64)
    inputs -= inputs.mean(axis=0)
    norm = np.sqrt((inputs**2).sum(axis=0) * (ranks**2).sum())
    correlation = (inputs * ranks[:, None]).sum(axis=0) / norm
    order = np.argsort(-np.abs(correlation))
    return tuple(
        Contribution(
            name=joint.draws.inputs[index].name,
            measurement=joint.draws.inputs[index].measurement,
            rank_correlation=float(correlation[index]),
        )
        for index in order
    )
