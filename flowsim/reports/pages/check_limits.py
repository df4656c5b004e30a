"""The other limits of a check: unusable fuel, uncovered outlets, trapped air, vapour."""

import math
from collections.abc import Callable, Sequence

from flowsim.document.blocks import Block
from flowsim.document.build import heading, paragraph, table
from flowsim.document.document import About, Passage, passage
from flowsim.document.words.telling import all_told
from flowsim.files.results.check_json import air_at_required
from flowsim.measures import MASS_FLOW, PRESSURE
from flowsim.reports.words.scenarios import short_name
from flowsim.reports.words.units import (
    head_words,
    key_of_back,
    mass_flow_cell,
    mass_flow_words,
    pitch_words,
    ratio_words,
    volume_words,
)
from flowsim.studies.judged.sweep import SUCTION_TOLD, VAPOUR_DOUBT
from flowsim.studies.result import AdequacyResult, ScenarioResult, Topic, Verdict
from flowsim.studies.saying import Saying
from flowsim.studies.verdict.decisions.vapour import UNSOLVED_MARGIN

_WORST_FIRST = (Verdict.NOT_ADEQUATE, Verdict.CANNOT_TELL, Verdict.ADEQUATE)

_UNUSABLE_WORDS = {
    Verdict.ADEQUATE: "arrives",
    Verdict.NOT_ADEQUATE: "is lost",
    Verdict.CANNOT_TELL: "cannot tell",
}


HEADINGS = {
    About.UNUSABLE: "Unusable fuel",
    About.AIR: "Uncovered outlets and air",
    About.VAPOUR: "Vapour",
}


def limit_passages(result: AdequacyResult) -> tuple[Passage, ...]:
    """Give the passages on unusable fuel, air and vapour, each under its heading."""
    found = limits(result)
    return tuple(passage(about, heading(text), found[about]) for about, text in HEADINGS.items())


def limits(result: AdequacyResult) -> dict[About, list[Block]]:
    """Say what is found on unusable fuel, air and vapour.

    Parameters
    ----------
    result : AdequacyResult
        The answer.

    Returns
    -------
    dict of About to list of Block
        Words and tables, without headings.
    """
    judged = [scenario for scenario in result.scenarios if scenario.judged]
    return {
        About.UNUSABLE: _unusable([s for s in result.scenarios if s.purpose == "unusable"], result),
        About.AIR: _air(judged),
        About.VAPOUR: _vapour(judged, has_failed=_vapour_failed(result)),
    }


def _unusable(scenarios: list[ScenarioResult], result: AdequacyResult) -> list[Block]:
    if not scenarios:
        return [paragraph("The declared unusable fuel was not checked.")]
    held = ", ".join(f"{name} {volume_words(v)}" for name, v in scenarios[0].quantities)
    rows = []
    for selector in dict.fromkeys(scenario.selector for scenario in scenarios):
        mine = [scenario for scenario in scenarios if scenario.selector == selector]
        worst = _worst(mine)
        ratio = worst.flow / worst.required if worst.required else math.nan
        rows.append(
            [
                selector,
                _UNUSABLE_WORDS[_worst_verdict(mine)],
                pitch_words(worst.pitch),
                mass_flow_cell(worst.flow),
                ratio_words(ratio),
            ]
        )
    back = key_of_back(cell for row in rows for cell in row)
    burn = mass_flow_words(result.requirement.burn)
    several = len(dict.fromkeys(scenario.fuel_state for scenario in scenarios)) > 1
    dry = ", or less where one of several feeding tanks is dry" if several else ""
    return [
        paragraph(
            f"On the declared unusable fuel alone ({held}{dry}) full-power burn ({burn}) must "
            "still arrive, at the open line, from level to the test attitude."
        ),
        table(
            ["selector", "full-power burn", "worst attitude", MASS_FLOW.name, "of burn"],
            rows,
            left=3,
        ),
        *([paragraph(back)] if back else []),
    ]


def _air(judged: list[ScenarioResult]) -> list[Block]:
    bare = [scenario for scenario in judged if scenario.uncovered]
    outlets = dict.fromkeys(name for scenario in bare for name in scenario.uncovered)
    parts: list[Block] = []
    if not bare:
        parts.append(paragraph("No outlet uncovers in the judged scenarios."))
    else:
        parts.append(
            paragraph(
                f"Uncovered in {len(bare)} of {len(judged)} judged scenarios: {', '.join(outlets)}."
            )
        )
    drawn = [scenario for scenario in judged if air_at_required(scenario)]
    if drawn:
        parts.append(
            paragraph(
                f"Air is drawn at the required flow in {len(drawn)} judged scenarios; first: "
                f"{short_name(drawn[0])}."
            )
        )
    nearest = _least(judged, lambda scenario: scenario.air_margin)
    if nearest is not None:
        parts.append(
            paragraph(
                f"Least fuel standing over the junction of an uncovered leg: "
                f"{head_words(nearest.air_margin)}, at {short_name(nearest)}."
            )
        )
    held = [scenario for scenario in judged if scenario.humps]
    if not held:
        parts.append(paragraph("No high point of a line with a known route holds air."))
    else:
        worst = min(held, key=lambda s: -math.inf if math.isnan(s.flow_trapped) else s.flow_trapped)
        parts.append(
            paragraph(
                f"Air may stay trapped in {len(held)} judged scenarios. The least flow with it is "
                f"{mass_flow_words(worst.flow_trapped)} against {mass_flow_words(worst.flow)} with "
                f"full lines, at {short_name(worst)}: {', '.join(all_told(worst.humps))}."
            )
        )
    return parts


def _vapour_failed(result: AdequacyResult) -> bool:
    """Tell whether the solve at the required flow failed where it can be supplied."""
    said = (one.found for one in result.decisions if one.topic is Topic.VAPOUR)
    return any(isinstance(found, Saying) and found.key == UNSOLVED_MARGIN for found in said)


def _vapour(judged: list[ScenarioResult], *, has_failed: bool) -> list[Block]:
    least = _least(judged, lambda scenario: scenario.vapour_margin)
    unknown = sum(math.isnan(scenario.vapour_margin) for scenario in judged)
    parts: list[Block] = []
    if least is not None:
        margin = least.vapour_margin
        words = "below zero: the fuel boils in the line" if margin < 0 else "above boiling"
        if 0 <= margin < VAPOUR_DOUBT:
            words = "so little that it cannot be told whether the fuel boils"
        pressure = PRESSURE.words(margin, 1)
        parts.append(
            paragraph(
                f"Least pressure in the lines over the fuel's vapour pressure at the required "
                f"flow: {pressure} ({words}), at {short_name(least)}."
            )
        )
    if unknown:
        failed = ", or the solve failed" if has_failed else ""
        parts.append(
            paragraph(
                f"{unknown} of {len(judged)} judged scenarios have no vapour margin: the required "
                f"flow cannot be supplied there{failed}."
            )
        )
    lowest = _least(judged, lambda scenario: scenario.lowest_pressure_margin)
    if lowest is not None and lowest.lowest_pressure_margin < -SUCTION_TOLD:
        pressure = PRESSURE.words(-lowest.lowest_pressure_margin, 1)
        parts.append(
            paragraph(
                f"Somewhere in the lines the pressure drops {pressure} below tank air pressure, at "
                f"{short_name(lowest)}: a leak there sucks air in, and dissolved air comes out."
            )
        )
    return parts


def _worst(scenarios: Sequence[ScenarioResult]) -> ScenarioResult:
    """Pick the scenario with the least flow; one without a result comes first."""
    return min(scenarios, key=lambda s: -math.inf if math.isnan(s.flow) else s.flow)


def _worst_verdict(scenarios: Sequence[ScenarioResult]) -> Verdict:
    found = {scenario.verdict for scenario in scenarios}
    return next(verdict for verdict in _WORST_FIRST if verdict in found)


def _least(
    scenarios: Sequence[ScenarioResult], value: Callable[[ScenarioResult], float]
) -> ScenarioResult | None:
    """Pick the scenario with the least value that exists, None where none exists."""
    some = [scenario for scenario in scenarios if math.isfinite(value(scenario))]
    return min(some, key=value) if some else None
