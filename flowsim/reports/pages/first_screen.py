"""The first screen of ``check``: the answer, each thing that decides, cause and remedy, 40 lines.

Everything else stands in the full report (``--full``).
"""

import math
from collections.abc import Sequence

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, paragraph, table
from flowsim.document.document import About, Document, passage
from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import all_cautions
from flowsim.files.units import shown as to
from flowsim.measures import MASS_FLOW
from flowsim.network.placing import CARBURETTOR_LINK
from flowsim.reports.pages.pitch_table import STILL, cell_of
from flowsim.reports.pages.unmeasured import count_words
from flowsim.reports.render.terminal import render
from flowsim.reports.words.scenarios import same_angle, short_name
from flowsim.reports.words.units import clean, head_words, key_of_back, mass_flow_cell, number
from flowsim.studies.result import (
    AdequacyResult,
    Decision,
    LossRow,
    ScenarioResult,
    Topic,
    Verdict,
)
from flowsim.studies.scenario_records import alike
from flowsim.studies.verdict.judging import SEVERITY

MOST_LINES = 40
USUAL_WIDTH = 80
MOST_PITCHES = 7
"""Columns of the small table of flow against pitch."""
RICHNESS = (
    (3, 4, 1, True), (2, 4, 1, True), (2, 2, 1, True), (1, 2, 1, True), (1, 2, 0, True),
    (1, 2, 0, False), (2, 0, 0, False), (1, 0, 0, False),
)  # fmt: skip
"""Causes, selector positions and cautions shown, and heads of columns, less and less, until all
fits."""

_SAYS = {
    Verdict.ADEQUATE: "By this estimate the required flow arrives wherever it is judged.",
    Verdict.NOT_ADEQUATE: "Do not fly on it: change the system, or measure what is doubtful.",
    Verdict.CANNOT_TELL: "That is no pass: do what is named below.",
}


def first_screen(
    result: AdequacyResult, case_file: str, *, width: int = 80, styled: bool = False
) -> str:
    """Give the first screen as text, at most 40 lines at 80 columns.

    Parameters
    ----------
    result : AdequacyResult
        The answer.
    case_file : str
        The case file's name as it was given.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
        Lines of ASCII but for names from the case.
    """
    document = Document("", ())
    for causes, positions, named, heads in RICHNESS:
        found = passage(
            About.FOUND,
            heading(f"Verdict: {clean(result.verdict_words)}"),
            paragraph(f"{_says(result)} {' '.join(ALWAYS)}"),
            heading("What decides"),
            *_decides(result.decisions, heads=heads),
            _causes(result, case_file, causes),
            _pitches(result, positions),
            _rest(result, case_file, named),
        )
        document = Document(f"{clean(result.title)} ({clean(case_file)})", (found,))
        # The same is said at every width: what fits at the usual one.
        if render(document, USUAL_WIDTH).count("\n") <= MOST_LINES:
            break
    return render(document, width, styled=styled)


def _says(result: AdequacyResult) -> str:
    if result.verdict is Verdict.ADEQUATE and not result.draws:
        return "On nominal values alone, nothing allowed for what is uncertain."
    return _SAYS[result.verdict]


def _decides(decisions: Sequence[Decision], *, heads: bool) -> list[Block]:
    """Give the table of what decides; what is adequate without a figure shares one line."""
    rows = decision_rows(decisions)
    plain = [name for name, word, figure in rows if word == Verdict.ADEQUATE.value and not figure]
    shown = [row for row in rows if row[0] not in plain]
    names = ("", "word", "found") if heads else ("", "", "")
    blocks: list[Block] = [table(names, shown, left=3)]
    if plain:
        blocks.append(paragraph(f"Adequate as well: {', '.join(plain)}.", above=0))
    return blocks


def decision_rows(decisions: Sequence[Decision]) -> list[tuple[str, str, str]]:
    """Give name, word and figure of each thing that decides; what only informs is left out."""
    return [(told(d.name), _word(d), told(d.figure)) for d in decisions if not d.informs]


def _word(decision: Decision) -> str:
    return "open line only" if decision.open_line_only else decision.verdict.value


def causes(result: AdequacyResult, case_file: str) -> list[str]:
    """Give cause and remedy together of each thing that is not adequate, the gravest first."""
    open_ = [
        d
        for d in result.decisions
        if not d.informs and (d.verdict is not Verdict.ADEQUATE or d.open_line_only)
    ]
    open_.sort(key=lambda d: -SEVERITY[d.verdict])
    return [_cause(decision, result, case_file) for decision in _one_flow(open_, result)]


def _causes(result: AdequacyResult, case_file: str, most: int) -> list[Block]:
    said = causes(result, case_file)
    if not said:
        return _nearest(result)
    more = len(said) - most
    shown = said[:most]
    if more > 0:
        shown.append(f"{more} more: see --full.")
    return [heading("Cause and what to do"), bullets(shown)]


def _one_flow(open_: list[Decision], result: AdequacyResult) -> list[Decision]:
    """Keep the one flow that decides; the others have the same cause."""
    flows = [d for d in open_ if d.topic is Topic.FLOW]
    deciding = next((d for d in flows if d.scenario == result.deciding), None)
    kept = deciding or (flows[0] if flows else None)
    return [d for d in open_ if d.topic is not Topic.FLOW or d is kept]


def _cause(decision: Decision, result: AdequacyResult, case_file: str) -> str:
    name = told(decision.name)
    if decision.topic is Topic.FLOW:
        name = f"flow, {name}"
        dear, available = _dearest(result)
        listed = ", ".join(f"{told(row.part)} {head_words(row.loss)}" for row in dear)
        line = next((row.line for row in dear if row.line != CARBURETTOR_LINK), "")
        size = f'Try: flowsim size {clean(case_file)} "{line}".' if line else ""
        cause = f" Cause: {listed}, of {head_words(available)} of fuel." if dear else ""
        hump = _hump(result)
        first = f"{name}: {_word(decision)}, {told(decision.figure)}."
        return f"{first}{hump or cause} {_level_it(decision, result) if hump else size}".strip()
    return f"{name}: {told(decision.found)}. Try: {told(decision.remedy)}."


def _level_it(decision: Decision, result: AdequacyResult) -> str:
    """Give what takes the hump away; what narrows a band does not."""
    humps = (d.remedy for d in result.decisions if d.topic is Topic.HUMPS and d.remedy)
    return f"Try: {told(next(humps, decision.remedy))}."


def _hump(result: AdequacyResult) -> str:
    """Name the hump where its air is what takes the flow away."""
    scenario = result.deciding_scenario
    if not scenario.humps or not scenario.flow >= scenario.required:
        return ""
    held = head_words(scenario.trapped_air_head)
    return f" Cause: air behind {', '.join(all_told(scenario.humps))}, which may hold back {held}."


def _dearest(result: AdequacyResult, count: int = 3) -> tuple[list[LossRow], float]:
    """Give the costliest parts of the way that has the costliest, and its head available [m]."""
    paths = [path for path in result.losses if path.rows]
    if not paths:
        return [], math.nan
    path = max(paths, key=lambda item: max(row.loss for row in item.rows))
    rows = sorted(path.rows, key=lambda row: -row.loss)[:count]
    return rows, path.available


def _nearest(result: AdequacyResult) -> list[Block]:
    """Say where the least margin is, and what costs most there."""
    dear, available = _dearest(result)
    listed = ", ".join(f"{told(row.part)} {head_words(row.loss)}" for row in dear)
    words = f"{short_name(result.deciding_scenario)}."
    if dear:
        words += f" Most head goes to {listed}, of {head_words(available)} of fuel."
    return [heading("Least margin"), paragraph(words)]


def _pitches(result: AdequacyResult, most: int) -> list[Block]:
    """Give flow against pitch at the end that decides, a row for each selector position."""
    end = result.deciding_scenario.end
    shown = [
        s
        for s in alike(result.scenarios, end=end)
        if s.purpose in ("climb", "drawn") and same_angle(s.roll, 0.0)
    ]
    names = [
        name
        for name in dict.fromkeys(s.selector for s in shown)
        if any(abs(s.flow) > STILL or s.judged for s in shown if s.selector == name)
    ]
    if not names or not most:
        return []
    first = result.deciding_scenario.selector
    names.sort(key=lambda name: name != first)
    pitches = _chosen_pitches(shown, result)
    rows = [(name, *(_flow(shown, name, pitch) for pitch in pitches)) for name in names[:most]]
    required = MASS_FLOW.cell(result.requirement.required, 1)
    title = f"Flow against pitch, {MASS_FLOW.name} ({clean(end)}); required {required}"
    heads = ("pitch, deg", *(_pitch(pitch, result) for pitch in pitches))
    back = key_of_back(cell for row in rows for cell in row)
    return [heading(title), table(heads, rows), *([paragraph(back)] if back else [])]


def _chosen_pitches(shown: list[ScenarioResult], result: AdequacyResult) -> list[float]:
    there = sorted({s.pitch for s in shown})
    wanted = [
        *(math.radians(d) for d in (-10, 5, 20)), result.level_pitch, result.climb_pitch,
        result.test_pitch,
    ]  # fmt: skip
    found = {next((p for p in there if same_angle(p, w)), math.nan) for w in wanted}
    return sorted(p for p in found if math.isfinite(p))[:MOST_PITCHES]


def _pitch(pitch: float, result: AdequacyResult) -> str:
    text = number(to.degrees(pitch), 0 if same_angle(pitch, round(pitch, 9)) else 1)
    text = f"{to.degrees(pitch):.3g}" if math.isfinite(pitch) else text
    return f"{text}*" if same_angle(pitch, result.test_pitch) else text


def _flow(shown: list[ScenarioResult], selector: str, pitch: float) -> str:
    behind = [s for s in shown if s.selector == selector and same_angle(s.pitch, pitch)]
    if not behind:
        return "-"
    cell = cell_of(behind)
    return f"{mass_flow_cell(cell.flow)}{' below' if cell.below else ''}"


def _rest(result: AdequacyResult, case_file: str, named: int) -> list[Block]:
    """Count what is assumed and cautioned, and say where it stands."""
    cautions = [c for c in all_cautions(result.cautions) if c not in ALWAYS]
    said = [f"Not measured: {count_words(result)}."]
    if cautions and named:
        more = f" ({len(cautions) - 1} more)" if len(cautions) > 1 else ""
        said.append(f"Caution: {cautions[0]}{more}")
    if result.settle and all(result.settle != d.remedy for d in result.decisions):
        said.append(f"What to measure next: {told(result.settle)}.")
    also = f", and {len(cautions)} cautions" if cautions and not named else ""
    said.append(f"Everything it rests on{also}: flowsim check {clean(case_file)} --full")
    return [paragraph(words, 0, above=int(place == 0)) for place, words in enumerate(said)]
