"""What a scenario is called in sentences and tables."""

import math

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.words.telling import all_told, told
from flowsim.measures import TEMPERATURE
from flowsim.network.assembly import selector_words
from flowsim.network.scenarios import EndName
from flowsim.reports.words.units import (
    NO_RESULT,
    RUNS_BACK,
    flow_span,
    flow_words,
    head_words,
    mass_flow_words,
    pitch_words,
    ratio_words,
    roll_words,
    temperature_words,
    volume_words,
    with_unit,
)
from flowsim.studies.result import AdequacyResult, ScenarioResult

SAME_ANGLE = math.radians(0.01)
"""[rad] Pitch angles closer than this are the same row of a table."""

PURPOSES = {
    "climb": "take-off and climb, at the required flow",
    "unusable": "declared unusable fuel alone, at full-power burn",
    "in_flight": "take-off and climb in flight, at the required flow",
    "descent": "descent, at its own burn",
    "takeoff_run": "take-off run, at full-power burn",
    "drawn": "shown only, no verdict rests on it",
}

ENDS: dict[str, str] = {
    EndName.OPEN_LINE: "open line (off at the carburettor, at the height of its inlet)",
    EndName.CARBURETTOR: "through the carburettor",
}


WHERE_LEFT = {"open line": "at the inlet", "carburettor": "behind screen and needle"}
"""Where the head is that is left over: the two ends are two places, not two figures of one."""


def same_angle(one: float, other: float) -> bool:
    """Tell whether two angles [rad] are one row of a table."""
    return abs(one - other) < SAME_ANGLE


def attitude_words(scenario: ScenarioResult, result: AdequacyResult) -> str:
    """Give pitch and roll, and which of the case's named attitudes it is."""
    words = f"{pitch_words(scenario.pitch)}, {roll_words(scenario.roll)}{_pull_words(scenario)}"
    if scenario.forward_acceleration:
        return words
    named = pitch_name(scenario.pitch, result)
    return f"{words} ({named})" if named else words


def _pull_words(scenario: ScenarioResult) -> str:
    """Say how the aeroplane accelerates in the take-off run; empty elsewhere."""
    pull = scenario.forward_acceleration
    return f", accelerating at {with_unit(pull / STANDARD_GRAVITY, 2, 'g')}" if pull else ""


def pitch_name(pitch: float, result: AdequacyResult) -> str:
    """Give the name of a pitch [rad] of the case: test attitude, steepest climb, level."""
    if same_angle(pitch, result.test_pitch):
        return "the test attitude"
    if same_angle(pitch, result.climb_pitch):
        return "steepest climb"
    if same_angle(pitch, result.level_pitch):
        return "level attitude as stated"
    return ""


def short_name(scenario: ScenarioResult) -> str:
    """Give a scenario in one phrase: selector, pitch, fuel, temperature, end, screens."""
    return ", ".join(
        (
            selector_words(scenario.selector),
            f"{pitch_words(scenario.pitch)}{_pull_words(scenario)}",
            scenario.fuel_state,
            TEMPERATURE.words(scenario.temperature, 1),
            scenario.end,
            f"screens {told(scenario.screens)}",
        )
    )


def fuel_words(scenario: ScenarioResult) -> str:
    """Give the fuel state and what is in each tank."""
    held = ", ".join(f"{name} {volume_words(volume)}" for name, volume in scenario.quantities)
    return f"{scenario.fuel_state}: {held}" if held else scenario.fuel_state


def counted_flow(scenario: ScenarioResult) -> float:
    """Give the flow [kg/s] on which the scenario is judged: with the air that humps may hold."""
    held = scenario.flow_trapped
    return min(scenario.flow, held) if scenario.humps and math.isfinite(held) else scenario.flow


def counted_words(scenario: ScenarioResult) -> str:
    """Give the flow that counts, by mass and by volume, and that of full lines where it is more."""
    full = flow_words(scenario.flow, scenario.volume_flow)
    flow = counted_flow(scenario)
    if not flow < scenario.flow or not scenario.flow > 0.0:
        return full
    volume = scenario.volume_flow * flow / scenario.flow
    return f"{flow_words(flow, volume)} with air held in high points (full lines: {full})"


def scenario_pairs(
    scenario: ScenarioResult, result: AdequacyResult, burn: float
) -> list[tuple[str, str]]:
    """Give a scenario as names and words, the flow against what is required included.

    Parameters
    ----------
    scenario : ScenarioResult
        The scenario.
    result : AdequacyResult
        Where it is from.
    burn : float
        Full-power burn [kg/s].

    Returns
    -------
    list of (str, str)
        Rows in reading order.
    """
    flow = counted_flow(scenario)
    ratio, of_burn = _over(flow, scenario.required), _over(flow, burn)
    rows = [
        ("selector", scenario.selector),
        ("attitude", attitude_words(scenario, result)),
        ("fuel", fuel_words(scenario)),
        ("end", ENDS.get(scenario.end, scenario.end)),
        ("fuel temperature", temperature_words(scenario.temperature)),
        ("screens", told(scenario.screens)),
        ("judged for", PURPOSES.get(scenario.purpose, scenario.purpose)),
        ("flow", counted_words(scenario)),
        ("against", f"{mass_flow_words(scenario.required)} required{_share(ratio, of_burn)}"),
    ]
    if scenario.flow_low is not None and scenario.flow_high is not None:
        rows.append(("band, 5 to 95 %", flow_span(scenario.flow_low, scenario.flow_high)))
    rows.append(("head left over", _head_left(scenario)))
    rows += _air_rows(scenario)
    if not scenario.converged:
        rows.append(("solve", "FAILED: no figure of this scenario can be used"))
    if scenario.remarks:
        rows.append(("remarks", "; ".join(all_told(scenario.remarks))))
    return rows


NOTHING_LEFT = "none: the required flow cannot arrive"
"""What is said of the head left over where nothing flows at all, which is no failed solve."""


def _head_left(scenario: ScenarioResult) -> str:
    words = head_words(scenario.head_left)
    if words == NO_RESULT:
        nothing = scenario.converged and not scenario.flow > 0.0
        return NOTHING_LEFT if nothing else f"{NO_RESULT} at the required flow"
    short = " (short of it)" if scenario.head_left < 0 else ""
    where = WHERE_LEFT.get(scenario.end, "at the inlet")
    full = ", lines full of fuel" if counted_flow(scenario) < scenario.flow else ""
    return f"{words} of fuel {where} at the required flow{full}{short}"


def _air_rows(scenario: ScenarioResult) -> list[tuple[str, str]]:
    rows = []
    if scenario.uncovered:
        rows.append(("uncovered outlets", ", ".join(scenario.uncovered)))
    if scenario.air_drawn:
        solved = mass_flow_words(scenario.solved_flow)
        rows.append(("air", f"drawn at the required flow; lines full of fuel would carry {solved}"))
    elif math.isfinite(scenario.air_margin):
        words = f"{head_words(scenario.air_margin)} of fuel still stands above the junction"
        rows.append(("air", words))
    if scenario.humps:
        held = head_words(scenario.trapped_air_head)
        flow = mass_flow_words(scenario.flow_trapped)
        rows.append(
            (
                "trapped air",
                f"{', '.join(all_told(scenario.humps))}: may hold back {held}, leaving {flow}",
            )
        )
    if scenario.backflow:
        rows.append(("flow back into", ", ".join(scenario.backflow)))
    return rows


def _share(ratio: float, of_burn: float) -> str:
    if ratio_words(ratio) in (RUNS_BACK, NO_RESULT):
        return ""
    return f": {ratio_words(ratio)} of it, {ratio_words(of_burn)} of full-power burn"


def _over(part: float, whole: float) -> float:
    """Give part over whole [-], NaN where the whole is zero."""
    return part / whole if whole else math.nan
