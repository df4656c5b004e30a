"""Deliverable flow against pitch, one column for each selector position."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from flowsim.document.blocks import Block
from flowsim.document.build import paragraph, table
from flowsim.files.results.check_json import air_at_required
from flowsim.files.units import shown as to
from flowsim.measures import MASS_FLOW
from flowsim.network.scenarios import EndName
from flowsim.reports.words.scenarios import same_angle
from flowsim.reports.words.units import NO_RESULT, key_of_back, mass_flow_cell, number
from flowsim.studies.result import AdequacyResult, ScenarioResult, Verdict
from flowsim.studies.scenario_records import alike

BELOW = "below"
COARSE_STEP = 5
STILL = 1e-9
"""[kg/s] Less than this is rounding in the solve, not flow."""
_COLUMN_WIDTH = 15
_PITCH_WIDTH = 12

_KEY = (
    "Flow in {unit} at the open line: the least over fuel states, fuel temperatures and screens "
    "(dirty screens are counted from the level to the test attitude). "
    f"* test attitude; {BELOW} = less than required; u an outlet is uncovered; a air is drawn "
    "at the required flow; m the figure is where air begins to be drawn, above the required; "
    "? cannot tell. Where it says "
    f'"{NO_RESULT}", a solve failed.'
)


@dataclass(frozen=True, slots=True)
class FlowCell:
    """The least flow [kg/s] of the scenarios behind one cell, and its marks."""

    flow: float
    below: bool
    uncovered: bool
    air_drawn: bool
    air_limits: bool
    unsure: bool

    def text(self) -> str:
        """Give the cell as it is printed."""
        marks = "".join(
            mark
            for mark, on in (
                ("u", self.uncovered),
                ("a", self.air_drawn),
                ("m", self.air_limits and not self.air_drawn),
                ("?", self.unsure),
            )
            if on
        )
        parts = (mass_flow_cell(self.flow), BELOW if self.below else "", marks)
        return " ".join(part for part in parts if part)


def pitch_tables(result: AdequacyResult, width: int, *, every_degree: bool = False) -> list[Block]:
    """Make the table, broken into several where the selector has many positions.

    Parameters
    ----------
    result : AdequacyResult
        The answer; scenarios at the open line with wings level are used, except those on the
        declared unusable fuel and the descent, which have their own requirement.
    width : int
        Columns of the terminal.
    every_degree : bool
        Rows for every whole degree, not every fifth.

    Returns
    -------
    list of Block
        Tables and their key; words alone where there is nothing to draw.
    """
    shown = [
        scenario
        for scenario in alike(result.scenarios, end=EndName.OPEN_LINE)
        if scenario.purpose in ("climb", "drawn") and same_angle(scenario.roll, 0.0)
    ]
    if not shown:
        return [paragraph("No scenario with an open line was worked out.")]
    pitches = _pitches(shown, result, every_degree)
    selectors = list(dict.fromkeys(scenario.selector for scenario in shown))
    still = [name for name in selectors if _carries_nothing(shown, name)]
    selectors = [name for name in selectors if name not in still]
    at_once = max(1, (width - _PITCH_WIDTH) // _COLUMN_WIDTH)
    made: list[Block] = []
    cells: list[str] = []
    for start in range(0, len(selectors), at_once):
        some = selectors[start : start + at_once]
        rows = [
            [_pitch_cell(pitch, result), *(_cell_text(shown, pitch, name) for name in some)]
            for pitch in pitches
        ]
        cells += [cell for row in rows for cell in row]
        required = MASS_FLOW.cell(result.requirement.required, 1)
        foot = [["required", *(required for _ in some)]]
        made.append(table(["pitch, deg", *some], rows, foot=foot, above=int(bool(made))))
    if still:
        made.append(paragraph(f"No flow at any pitch, and not judged: {', '.join(still)}."))
    key = f"{_KEY.format(unit=MASS_FLOW.name)} {key_of_back(cells)}"
    return [*made, paragraph(key.rstrip())]


def cell_of(scenarios: Sequence[ScenarioResult]) -> FlowCell:
    """Put the scenarios behind one cell together, the worst of each.

    Parameters
    ----------
    scenarios : sequence of ScenarioResult
        At least one.

    Returns
    -------
    FlowCell
        Its flow is NaN as soon as one scenario has no result.
    """
    flows = [scenario.flow if scenario.converged else math.nan for scenario in scenarios]
    failed = any(not math.isfinite(flow) for flow in flows)
    return FlowCell(
        flow=math.nan if failed else min(flows),
        below=any(
            flow < scenario.required for flow, scenario in zip(flows, scenarios, strict=True)
        ),
        uncovered=any(scenario.uncovered for scenario in scenarios),
        air_drawn=any(air_at_required(scenario) for scenario in scenarios),
        air_limits=any(scenario.air_drawn for scenario in scenarios),
        unsure=failed or any(s.verdict is Verdict.CANNOT_TELL for s in scenarios),
    )


def _carries_nothing(shown: list[ScenarioResult], selector: str) -> bool:
    """Tell whether a position is one like "off", which needs no column."""
    mine = [scenario for scenario in shown if scenario.selector == selector]
    return all(s.converged and abs(s.flow) < STILL and not s.judged for s in mine)


def _cell_text(shown: list[ScenarioResult], pitch: float, selector: str) -> str:
    behind = [s for s in shown if s.selector == selector and same_angle(s.pitch, pitch)]
    return cell_of(behind).text() if behind else "not drawn"


def _pitch_cell(pitch: float, result: AdequacyResult) -> str:
    text = number(to.degrees(pitch), 1)
    if same_angle(pitch, result.test_pitch):
        return f"{text} *"
    if same_angle(pitch, result.climb_pitch):
        return f"{text} climb"
    return text


def _pitches(
    shown: list[ScenarioResult], result: AdequacyResult, every_degree: bool
) -> list[float]:
    """Pick the rows: whole steps, and the attitudes that the case names."""
    step = 1 if every_degree else COARSE_STEP
    named = (result.climb_pitch, result.test_pitch, result.level_pitch)
    picked: list[float] = []
    for pitch in sorted({scenario.pitch for scenario in shown}):
        away = math.degrees(pitch) / step
        whole = same_angle(pitch, math.radians(round(away) * step))
        is_named = any(same_angle(pitch, name) for name in named)
        if (whole or is_named) and not (picked and same_angle(pitch, picked[-1])):
            picked.append(pitch)
    return picked
