"""From ratios to a verdict: that of each result line, with its reasons."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.measures import BACK_FROM, FAR_ENOUGH
from flowsim.network.scenarios import CARBURETTOR, END_NAMES, OPEN_LINE
from flowsim.physics.arrays import FloatArray
from flowsim.studies.joint.study import JointResult
from flowsim.studies.judged.scenarios import CLIMB, DESCENT, FLIGHT, RUN, UNUSABLE, ScenarioTable
from flowsim.studies.judged.sweep import VAPOUR_DOUBT, Sweep
from flowsim.studies.result import (
    UNSOLVED_REMEDY,
    ResultLine,
    Verdict,
)
from flowsim.studies.review.measured_words import below_words, outside_words
from flowsim.studies.saying import Said, run_on, saying

LOW, MIDDLE, HIGH = 5.0, 50.0, 95.0
SEVERITY = {Verdict.ADEQUATE: 0, Verdict.CANNOT_TELL: 1, Verdict.NOT_ADEQUATE: 2}


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


def physical_verdict(sweep: Sweep, judged: int) -> tuple[Verdict, tuple[Said, ...]]:
    """Judge what is not flow in one judged scenario (index among the judged): air and vapour."""
    state = sweep.at_required
    row = int(sweep.judged_rows[judged])
    verdict, reasons = Verdict.ADEQUATE, []

    def say(found: Verdict, words: Said) -> None:
        nonlocal verdict
        verdict = worst([verdict, found])
        reasons.append(words)

    air, least = state.air_margin[judged], state.air_least[judged]
    if air < 0:
        say(Verdict.NOT_ADEQUATE, saying("judging.air_drawn_through_uncovered"))
    elif air < least:
        say(
            Verdict.CANNOT_TELL,
            saying("judging.only_fuel_stands_over", air=air, least=least),
        )
    vapour = state.vapour_margin[judged]
    if vapour < 0:
        say(
            Verdict.NOT_ADEQUATE,
            saying("judging.fuel_boils_below_vapour", vapour=-vapour),
        )
    elif vapour < VAPOUR_DOUBT:
        say(
            Verdict.CANNOT_TELL,
            saying("judging.only_above_vapour_pressure", vapour=vapour, vapour_doubt=VAPOUR_DOUBT),
        )
    # Air and vapour are looked at with the required flow drawn: a solve of its own.
    if not (sweep.delivery.solution.converged[row] and state.solution.converged[judged]):
        say(Verdict.CANNOT_TELL, NOT_SOLVED)
    for part in np.flatnonzero(sweep.outside[judged]):
        say(Verdict.CANNOT_TELL, outside_words(sweep, judged, int(part)))
    return verdict, tuple(reasons)


def physical_verdicts(sweep: Sweep) -> list[tuple[Verdict, tuple[Said, ...]]]:
    """Judge what is not flow in every judged scenario; most have nothing to be said of them."""
    state = sweep.at_required
    with np.errstate(invalid="ignore"):
        notable = (state.air_margin < 0) | (state.air_margin < state.air_least)
        notable |= state.vapour_margin < VAPOUR_DOUBT
    notable |= ~sweep.delivery.solution.converged[sweep.judged_rows] | ~state.solution.converged
    notable |= sweep.outside.any(axis=1)
    fine: tuple[Verdict, tuple[Said, ...]] = (Verdict.ADEQUATE, ())
    return [
        physical_verdict(sweep, index) if bad else fine
        for index, bad in enumerate(notable.tolist())
    ]


def judge_lines(sweep: Sweep, joint: JointResult | None) -> tuple[ResultLine, ...]:
    """Judge each end and requirement on its own."""
    engine = sweep.assembly.system.engine
    factor = engine.factor
    wanted = [
        (saying("judging.open_line", factor=factor), OPEN_LINE, CLIMB, engine.factor),
        (saying("judging.carburettor", factor=factor), CARBURETTOR, CLIMB, engine.factor),
        (saying("judging.carburettor_burn"), CARBURETTOR, CLIMB, 1.0),
        (saying("judging.open_line_flight", factor=factor), OPEN_LINE, FLIGHT, engine.factor),
        (saying("judging.declared_unusable_fuel_full"), OPEN_LINE, UNUSABLE, 1.0),
        (saying("judging.take_off_run_open"), OPEN_LINE, RUN, 1.0),
        (saying("judging.take_off_run_carburettor"), CARBURETTOR, RUN, 1.0),
        (saying("judging.descent_own_burn_open"), OPEN_LINE, DESCENT, 1.0),
        (saying("judging.descent_own_burn_carburettor"), CARBURETTOR, DESCENT, 1.0),
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
    physical: list[tuple[Verdict, tuple[Said, ...]]],
    name: Said,
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
    band = None if joint is None else _band(joint, table, end, purpose)
    least = float(np.nanmin(flow_ratio)) if not failed.all() else float("nan")
    verdicts = [verdict for verdict, _ in found]
    flow = _flow_of(least, float(full_ratio.min()), band, scale)
    by_flow = worst([flow.verdict, Verdict.CANNOT_TELL]) if failed.any() else flow.verdict
    unsolved = failed | ~sweep.at_required.solution.converged[chosen]
    reasons = _reasons(sweep, flow, found[deciding][1], int(chosen[deciding]), chosen[unsolved])
    return ResultLine(
        name=name,
        end=END_NAMES[end],
        required=float(table.required[rows[chosen[deciding]]] / scale),
        least_nominal=least,
        least_low=flow.low,
        least_median=flow.middle,
        least_high=flow.high,
        chance=flow.chance,
        deciding=int(rows[chosen[deciding]]),
        verdict=worst([*verdicts, by_flow]),
        flow_verdict=by_flow,
        held_by_air=flow.held_by_air,
        reasons=reasons,
    )


def _reasons(
    sweep: Sweep,
    flow: "_Flow",
    physical: tuple[Said, ...],
    deciding: int,
    unsolved: npt.NDArray[np.intp],
) -> tuple[Said, ...]:
    """Say why a line is not adequate: its flow, what else is wrong, what was not solved.

    ``deciding`` and ``unsolved`` index the judged scenarios.
    """
    reasons = list(physical)
    if flow.verdict is not Verdict.ADEQUATE:
        reasons.insert(0, _flow_reason(flow))
        reasons += below_words(sweep, deciding)
    if len(unsolved):
        # In place of the bare words: where it is, and what to try.
        reasons = [words for words in reasons if words not in (NOT_SOLVED, NO_FLOW)]
        where = unsolved_words(sweep, sweep.judged_rows[unsolved])
        reasons.append(saying("judging.unsolved", where=where, remedy=UNSOLVED_REMEDY))
    return tuple(dict.fromkeys(reasons))


NOT_SOLVED = saying("judging.network_could_not_solved")
NO_FLOW = saying("judging.flow_could_not_worked")
UNSOLVED = "judging.unsolved"
"""Key of what is said in place of those two: where it is, and what to try."""


def unsolved_words(sweep: Sweep, rows: npt.NDArray[np.intp]) -> Said:
    """Say in which position and attitude no answer could be worked out.

    Parameters
    ----------
    sweep : Sweep
    rows : array of int
        The unsolved scenarios, at least one.

    Returns
    -------
    Said
    """
    scenarios, row = sweep.table.scenarios, int(rows[0])
    place = sweep.assembly.positions[int(scenarios.position[row])].name
    more = saying("judging.more", rows=len(rows) - 1) if len(rows) > 1 else None
    pitch = pitch_said(scenarios.pitch[row])
    return saying("judging.unsolved_at", place=place, pitch=pitch, more=more)


def pitch_said(pitch: float) -> Said:
    """Say a pitch [rad] in words."""
    down = np.degrees(pitch) < -0.05
    return saying("judging.nose_down" if down else "judging.nose_up", pitch=abs(pitch))


def is_back(ratio: float) -> bool:
    """Tell whether a flow over another runs back: by more than rounding in the solve."""
    return ratio <= -BACK_FROM


def arrives_words(ratio: float) -> Said:
    """Say how much of the required flow arrives at least; that none does where it runs back."""
    if is_back(ratio):
        return saying("judging.none_required_flow_arrives")
    return saying("judging.least_required_flow_arrives", ratio=ratio)


def _band_words(low: float, high: float) -> Said:
    """Say a band of the flow over the required."""
    return saying("judging.required_band", low=low, high=high)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Flow:
    """Least flow over required [-] of one line, with trapped air: nominal and in the draws.

    ``full_low`` and ``full_high`` are those of lines full of fuel.
    """

    least: float
    low: float | None = None
    middle: float | None = None
    high: float | None = None
    full_low: float
    full_high: float
    chance: float | None = None
    verdict: Verdict

    @property
    def held_by_air(self) -> bool:
        """Whether it falls short for the air behind humps alone."""
        known = math.isfinite(self.least if self.low is None else self.low)
        return self.verdict is not Verdict.ADEQUATE and self.full_low >= 1.0 and known


def _flow_of(
    least: float, full_least: float, band: tuple[FloatArray, FloatArray] | None, scale: float
) -> _Flow:
    """Judge the flow of one line, on nominal values or on what was drawn, times ``scale``."""
    if band is None:
        verdict = ratio_verdict(least, least)
        return _Flow(least=least, full_low=full_least, full_high=full_least, verdict=verdict)
    full, trapped = scale * band[0], scale * band[1]
    low, middle, high = (percentile(trapped, q) for q in (LOW, MIDDLE, HIGH))
    full_low, full_high = (percentile(full, q) for q in (LOW, HIGH))
    known = not np.isnan(trapped).any()
    return _Flow(
        least=least, low=low, middle=middle, high=high, full_low=full_low, full_high=full_high,
        chance=float(np.mean(trapped >= 1.0)) if known else float("nan"),
        verdict=ratio_verdict(low, full_high),
    )  # fmt: skip


def _flow_reason(flow: _Flow) -> Said:
    """Say why the flow alone is not adequate."""
    reason = _band_reason(flow.verdict, flow.least, flow.low, flow.high)
    straddles = flow.verdict is Verdict.CANNOT_TELL and flow.high is not None and flow.high < 1.0
    if flow.held_by_air or straddles:  # of the two bands, not of the one that is said
        return run_on(reason, _full_words(flow.full_low, flow.full_high))
    return reason


def _band_reason(verdict: Verdict, least: float, low: float | None, high: float | None) -> Said:
    if np.isnan([least, least if low is None else low, least if high is None else high]).any():
        return NO_FLOW
    if low is None or high is None:
        if is_back(least):
            return saying("judging.runs_back_nominal")
        return saying("judging.flow_required_nominal_values", least=least)
    if is_back(high):
        return saying("judging.runs_back_in_band")
    band = _band_words(low, high)
    if verdict is Verdict.NOT_ADEQUATE:
        return saying("judging.flow_too_little_even", band=band)
    if high < 1.0:
        return saying("judging.flow", band=band)
    return saying("judging.flow_band_straddles_requirement", band=band)


def _full_words(low: float, high: float) -> Said:
    """Say that the flow is that with trapped air, and what it is without."""
    if low == high:
        return saying("judging.lines_full_fuel", full=low)
    return saying("judging.lines_full_band", low=low, high=high)


def _band(
    joint: JointResult, table: ScenarioTable, end: int, purpose: str
) -> tuple[FloatArray, FloatArray] | None:
    full, trapped = (
        joint.least_of(table, end, purpose, trapped=trapped) for trapped in (False, True)
    )
    drawn = (table.scenarios.end[joint.rows] == end) & (table.purpose[joint.rows] == purpose)
    return (full, trapped) if drawn.any() or (end, purpose) in joint.far else None


def percentile(values: FloatArray, share: float) -> float:
    """Give a percentile; NaN as soon as one draw failed, because then nobody knows.

    Infinite where it lies at ``FAR_ENOUGH`` or above and what lies there was not worked out.
    """
    if np.isnan(values).any():
        return float("nan")
    if not np.isinf(values).any():
        return float(np.percentile(values, share))
    found = float(np.percentile(np.minimum(values, FAR_ENOUGH), share))
    return found if found < FAR_ENOUGH else float("inf")
