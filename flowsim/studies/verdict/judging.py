"""From ratios to words: the verdict of each result line and of the whole."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.measures import LENGTH, PRESSURE, percent_figure
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE
from flowsim.physics.arrays import FloatArray
from flowsim.studies.joint.study import JointResult
from flowsim.studies.judged.scenarios import CLIMB, DESCENT, FLIGHT, RUN, UNUSABLE
from flowsim.studies.judged.sweep import VAPOUR_DOUBT, Sweep
from flowsim.studies.result import (
    OPEN_LINE_ONLY,
    UNSOLVED_REMEDY,
    Contribution,
    Decision,
    ResultLine,
    Topic,
    Verdict,
)
from flowsim.studies.review.measured_words import below_words, outside_words
from flowsim.studies.sampling.ranking import shares_of

SAID_BY_LINES = (Topic.FLOW, Topic.AIR, Topic.VAPOUR)
"""Topics whose reasons stand with the lines of flow already."""
LOW, MIDDLE, HIGH = 5.0, 50.0, 95.0
BACK_FROM = 5e-4
"""[-] A flow over the required less than minus this runs back; nearer zero it rounds to nothing."""
SEVERITY = {Verdict.ADEQUATE: 0, Verdict.CANNOT_TELL: 1, Verdict.NOT_ADEQUATE: 2}


@dataclass(frozen=True, slots=True, kw_only=True)
class Overall:
    """The answer on everything judged."""

    verdict: Verdict
    words: str
    reasons: tuple[str, ...]
    deciding: int
    contributions: tuple[Contribution, ...]
    settle: str


def ratio_verdict(low: float, high: float) -> Verdict:
    """Judge a band of flow over required: its 5th and its 95th percentile."""
    if math.isnan(low) or math.isnan(high):
        return Verdict.CANNOT_TELL
    if low >= 1.0:
        return Verdict.ADEQUATE
    return Verdict.NOT_ADEQUATE if high < 1.0 else Verdict.CANNOT_TELL


def worst(verdicts: list[Verdict]) -> Verdict:
    """Give the gravest of some verdicts; nothing judged cannot be told."""
    if not verdicts:
        return Verdict.CANNOT_TELL
    return max(verdicts, key=lambda verdict: SEVERITY[verdict])


def physical_verdict(sweep: Sweep, judged: int) -> tuple[Verdict, tuple[str, ...]]:
    """Judge what is not flow in one judged scenario (index among the judged): air and vapour."""
    state = sweep.at_required
    row = int(sweep.judged_rows[judged])
    verdict, reasons = Verdict.ADEQUATE, []

    def say(found: Verdict, words: str) -> None:
        nonlocal verdict
        verdict = worst([verdict, found])
        reasons.append(words)

    air, least = state.air_margin[judged], state.air_least[judged]
    if air < 0:
        say(Verdict.NOT_ADEQUATE, "air is drawn through an uncovered outlet at the required flow")
    elif air < least:
        say(
            Verdict.CANNOT_TELL,
            f"only {LENGTH.words(air, 0)} of fuel stands over the tee of an uncovered outlet "
            f"(at least {LENGTH.words(least, 0)} wanted): air may be drawn",
        )
    vapour = state.vapour_margin[judged]
    if vapour < 0:
        say(
            Verdict.NOT_ADEQUATE,
            f"fuel boils: {PRESSURE.words(-vapour, 1)} below its vapour pressure",
        )
    elif vapour < VAPOUR_DOUBT:
        say(
            Verdict.CANNOT_TELL,
            f"only {PRESSURE.words(vapour, 1)} above vapour pressure (rule of thumb: "
            f"{PRESSURE.words(VAPOUR_DOUBT, 0)}, no source)",
        )
    # Air and vapour are looked at with the required flow drawn: a solve of its own.
    if not (sweep.delivery.solution.converged[row] and state.solution.converged[judged]):
        say(Verdict.CANNOT_TELL, NOT_SOLVED)
    for part in np.flatnonzero(sweep.outside[judged]):
        say(Verdict.CANNOT_TELL, outside_words(sweep, judged, int(part)))
    return verdict, tuple(reasons)


def physical_verdicts(sweep: Sweep) -> list[tuple[Verdict, tuple[str, ...]]]:
    """Judge what is not flow in every judged scenario; most have nothing to be said of them."""
    state = sweep.at_required
    with np.errstate(invalid="ignore"):
        notable = (state.air_margin < 0) | (state.air_margin < state.air_least)
        notable |= state.vapour_margin < VAPOUR_DOUBT
    notable |= ~sweep.delivery.solution.converged[sweep.judged_rows] | ~state.solution.converged
    notable |= sweep.outside.any(axis=1)
    fine: tuple[Verdict, tuple[str, ...]] = (Verdict.ADEQUATE, ())
    return [
        physical_verdict(sweep, index) if bad else fine
        for index, bad in enumerate(notable.tolist())
    ]


def judge_lines(sweep: Sweep, joint: JointResult | None) -> tuple[ResultLine, ...]:
    """Judge each end and requirement on its own."""
    engine = sweep.assembly.system.engine
    factor = f"{100 * engine.factor:.0f} %"
    wanted = [
        (f"open line, {factor}", OPEN_LINE, CLIMB, engine.factor),
        (f"at the carburettor, {factor}", CARBURETTOR, CLIMB, engine.factor),
        ("at the carburettor, 100 %", CARBURETTOR, CLIMB, 1.0),
        (f"open line in flight, {factor}", OPEN_LINE, FLIGHT, engine.factor),
        ("declared unusable fuel, full-power burn", OPEN_LINE, UNUSABLE, 1.0),
        ("take-off run, 100 %, open line", OPEN_LINE, RUN, 1.0),
        ("take-off run, 100 %, at the carburettor", CARBURETTOR, RUN, 1.0),
        ("descent, its own burn, open line", OPEN_LINE, DESCENT, 1.0),
        ("descent, its own burn, at the carburettor", CARBURETTOR, DESCENT, 1.0),
    ]
    lines, physical = [], physical_verdicts(sweep)
    for name, end, purpose, multiple in wanted:
        line = _line(sweep, joint, physical, name, end, purpose, multiple)
        if line is not None:
            lines.append(line)
    return tuple(lines)


def _line(
    sweep: Sweep,
    joint: JointResult | None,
    physical: list[tuple[Verdict, tuple[str, ...]]],
    name: str,
    end: int,
    purpose: str,
    multiple: float,
) -> ResultLine | None:
    table, rows = sweep.table, sweep.judged_rows
    mine = (table.scenarios.end[rows] == end) & (table.purpose[rows] == purpose)
    if not mine.any():
        return None
    engine = sweep.assembly.system.engine
    scale = 1.0 if purpose != CLIMB else engine.factor / multiple
    chosen = np.flatnonzero(mine)
    full_ratio = scale * sweep.ratio[rows[chosen]]
    flow_ratio = np.minimum(full_ratio, scale * sweep.trapped_ratio[chosen])
    failed = np.isnan(flow_ratio)
    found = [physical[index] for index in chosen.tolist()]
    order = [
        (-SEVERITY[verdict], -np.inf if bad else ratio)
        for (verdict, _), ratio, bad in zip(found, flow_ratio, failed, strict=True)
    ]
    deciding = min(range(len(chosen)), key=lambda index: order[index])
    band = None if joint is None else _band(joint, table.scenarios.end, table.purpose, end, purpose)
    least = float(np.nanmin(flow_ratio)) if not failed.all() else float("nan")
    verdicts = [verdict for verdict, _ in found]
    reasons = list(found[deciding][1])
    full_low = full_high = float(full_ratio.min())
    if band is None:
        by_flow = ratio_verdict(least, least)
        low = middle = high = chance = None
    else:
        full, trapped = scale * band[0], scale * band[1]
        low, middle, high = (_percentile(trapped, q) for q in (LOW, MIDDLE, HIGH))
        full_low, full_high = (_percentile(full, q) for q in (LOW, HIGH))
        by_flow = ratio_verdict(low, full_high)
        chance = float(np.mean(trapped >= 1.0)) if not np.isnan(trapped).any() else float("nan")
    known = math.isfinite(least if low is None else low)
    held_by_air = by_flow is not Verdict.ADEQUATE and full_low >= 1.0 and known
    if by_flow is not Verdict.ADEQUATE:
        reason = _flow_reason(by_flow, least, low, high)
        straddles = by_flow is Verdict.CANNOT_TELL and high is not None and high < 1.0
        by_air = held_by_air or straddles  # of the two bands, not of the one that is said
        reasons.insert(0, f"{reason}{_full_words(full_low, full_high)}" if by_air else reason)
        reasons += below_words(sweep, int(chosen[deciding]))
    if failed.any():
        by_flow = worst([by_flow, Verdict.CANNOT_TELL])
    unsolved = failed | ~sweep.at_required.solution.converged[chosen]
    if unsolved.any():
        # In place of the bare words: where it is, and what to try.
        reasons = [words for words in reasons if words not in (NOT_SOLVED, NO_FLOW)]
        reasons.append(f"{unsolved_words(sweep, rows[chosen[unsolved]])}; {UNSOLVED_REMEDY}")
    return ResultLine(
        name=name,
        end="open line" if end == OPEN_LINE else "carburettor",
        required=float(table.required[rows[chosen[deciding]]] / scale),
        least_nominal=least,
        least_low=low,
        least_median=middle,
        least_high=high,
        chance=chance,
        deciding=int(rows[chosen[deciding]]),
        verdict=worst([*verdicts, by_flow]),
        flow_verdict=by_flow,
        held_by_air=held_by_air,
        reasons=tuple(dict.fromkeys(reasons)),
    )


NOT_SOLVED = "the network could not be solved"
NO_FLOW = "the flow could not be worked out"


def unsolved_words(sweep: Sweep, rows: npt.NDArray[np.intp]) -> str:
    """Say in which position and attitude no answer could be worked out.

    Parameters
    ----------
    sweep : Sweep
    rows : array of int
        The unsolved scenarios, at least one.

    Returns
    -------
    str
    """
    scenarios, row = sweep.table.scenarios, int(rows[0])
    place = sweep.assembly.positions[int(scenarios.position[row])].name
    more = f" and {len(rows) - 1} more" if len(rows) > 1 else ""
    return f"{place}, {pitch_said(scenarios.pitch[row])}{more}: {NOT_SOLVED}"


def pitch_said(pitch: float) -> str:
    """Say a pitch [rad] in words."""
    degrees = np.degrees(pitch)
    return f"{abs(degrees):.1f} deg nose-{'down' if degrees < -0.05 else 'up'}"


def percent(ratio: float) -> str:
    """Show a ratio in percent, rounded down: 99.96 % must not read as 100 %; back is none."""
    if np.isnan(ratio):
        return "no result"
    return "none" if is_back(ratio) else percent_figure(max(ratio, 0.0))


def is_back(ratio: float) -> bool:
    """Tell whether a flow over another runs back: by more than rounding in the solve."""
    return ratio <= -BACK_FROM


def arrives_words(ratio: float) -> str:
    """Say how much of the required flow arrives at least; that none does where it runs back."""
    if is_back(ratio):
        return "none of the required flow arrives, it runs back"
    return f"at least {percent(ratio)} % of the required flow arrives"


def _band_words(low: float, high: float) -> str:
    """Say a band of the flow over the required."""
    return f"{percent(low)} to {percent(high)} % of the required (5 to 95 % band)"


def _flow_reason(verdict: Verdict, least: float, low: float | None, high: float | None) -> str:
    if np.isnan([least, least if low is None else low, least if high is None else high]).any():
        return NO_FLOW
    if low is None or high is None:
        if is_back(least):
            return "no flow arrives, it runs back (nominal values)"
        return f"flow is {percent(least)} % of the required (nominal values)"
    if is_back(high):
        return "no flow arrives, it runs back (5 to 95 % band)"
    band = _band_words(low, high)
    if verdict is Verdict.NOT_ADEQUATE:
        return f"flow is {band}: too little even at the favourable end"
    if high < 1.0:
        return f"flow is {band}"
    return f"flow is {band}: the band straddles the requirement"


def _full_words(low: float, high: float) -> str:
    """Say that the flow is that with trapped air, and what it is without."""
    full = percent(low) if low == high else f"{percent(low)} to {percent(high)}"
    air = "with the air that humps may hold (see routing)"
    return f", {air}; {full} % with lines full of fuel"


def _band(
    joint: JointResult,
    ends: npt.NDArray[np.intp],
    purposes: npt.NDArray[np.str_],
    end: int,
    purpose: str,
) -> tuple[FloatArray, FloatArray] | None:
    mine = (ends[joint.rows] == end) & (purposes[joint.rows] == purpose)
    if not mine.any():
        return None
    return joint.least(mine, trapped=False), joint.least(mine, trapped=True)


def _percentile(values: FloatArray, share: float) -> float:
    """Give a percentile; NaN as soon as one draw failed, because then nobody knows."""
    if np.isnan(values).any():
        return float("nan")
    return float(np.percentile(values, share))


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
    reasons: list[str] = []
    together_falls = False
    contributions: tuple[Contribution, ...] = ()
    if joint is not None and len(joint.rows):
        everything = np.ones(len(joint.rows), dtype=bool)
        full = joint.least(everything, trapped=False)
        trapped = joint.least(everything, trapped=True)
        together = ratio_verdict(_percentile(trapped, LOW), _percentile(full, HIGH))
        if SEVERITY[together] > SEVERITY[verdict]:
            verdict, together_falls = together, True
            reasons.append("taken together, the judged scenarios fall short in too many draws")
        contributions = _contributions(joint, trapped)
    gravest = [line for line in lines if line.verdict == worst([item.verdict for item in lines])]
    deciding = min(
        gravest, key=lambda line: -np.inf if np.isnan(line.least_nominal) else line.least_nominal
    )
    for line in lines:
        reasons += [f"{line.name}: {words}" for words in line.reasons]
    for decision in deciding_decisions:
        if decision.verdict is not Verdict.ADEQUATE and decision.topic not in SAID_BY_LINES:
            reasons.append(f"{decision.name}: {decision.found}")
    settle = ""
    by_band = any(line.flow_verdict is Verdict.CANNOT_TELL for line in lines) or together_falls
    if verdict is Verdict.CANNOT_TELL and not by_band:
        # No measurement of what is spread helps: what decides says itself what does.
        undecided = [d.remedy for d in deciding_decisions if d.verdict is Verdict.CANNOT_TELL]
        undecided += [
            line.reasons[0]
            for line in lines
            if line.verdict is Verdict.CANNOT_TELL and line.reasons
        ]
        settle = undecided[0] if undecided else ""
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


def settling_measurement(joint: JointResult) -> str:
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
