"""The first page: the answer, what decides it, how sure it is, what it rests on."""

import math
from collections.abc import Sequence

from flowsim.document.blocks import Block, Bullets, Figure, Heading, Pairs, Words
from flowsim.document.pictures import BandRow, Bands
from flowsim.document.words.telling import capital, told
from flowsim.files.results.report_model import Section
from flowsim.measures import FAR_ENOUGH
from flowsim.reports.pages.check import says
from flowsim.reports.pages.first_screen import causes, decision_rows
from flowsim.reports.pages.unmeasured import count_words
from flowsim.reports.sections.kit import finite, section, table
from flowsim.reports.words.scenarios import scenario_pairs, short_name
from flowsim.reports.words.units import (
    RUNS_BACK,
    head_words,
    mass_flow_words,
    ratio_span,
    ratio_words,
    share_words,
)
from flowsim.studies.report.collect import ReportStudy
from flowsim.studies.result import AdequacyResult, LossPath, ResultLine, Verdict
from flowsim.studies.saying import Said
from flowsim.studies.scenario_records import count_alike

MISSED = (
    "The ground test missed the mark. The test decides: find the cause before more runs, and do "
    "not fly on it."
)
UNREAD = (
    "The readings of the ground test could not be used, so the test does not bear this out. That "
    "is no pass: see what is said of them."
)
DISTRUSTED = (
    "The readings of the ground test do not fit the case or each other, so nothing is learned from "
    "them. That is no pass: find out why, and repeat them."
)
STRONGEST = 3
NOT_TESTED = "No readings of a ground test were given with this report."
NEARLY_SAME = 1e-3
"""[-] Flows nearer than this are one figure."""


def leading(study: ReportStudy) -> AdequacyResult:
    """Give the result that leads: that of the case as the ground test corrected it, if it was.

    A correction that is not to be relied on corrects nothing: the case as stated leads.
    """
    fitted = study.tested.result
    return study.check if fitted is None or fitted.distrust else fitted.after


def verdict_of(study: ReportStudy) -> tuple[Verdict, str, str]:
    """Give the word on the first page, how it is said, and what it means.

    The worst of everything that decides; with readings, of the corrected case and of the mark.
    """
    result, fitted = leading(study), study.tested.result
    if fitted is not None and fitted.passed is False:
        return Verdict.NOT_ADEQUATE, Verdict.NOT_ADEQUATE.value, MISSED
    unused = UNREAD if study.tested.why_not else ""
    if fitted is not None and fitted.distrust:
        unused = DISTRUSTED
    if unused and result.verdict is Verdict.ADEQUATE:
        return Verdict.CANNOT_TELL, Verdict.CANNOT_TELL.value, unused
    return result.verdict, result.verdict_words, says(result)


def answer_section(study: ReportStudy, case_file: str) -> Section:
    """Give the answer with its deciding scenario and band, and what a ground test says of it."""
    return section("answer", "The answer", answer_blocks(study, case_file, tested_blocks(study)))


def answer_blocks(study: ReportStudy, case_file: str, tested: Sequence[Block] = ()) -> list[Block]:
    """Give the answer with its deciding scenario and band.

    Parameters
    ----------
    study : ReportStudy
    case_file : str
        Name of the case file, for the commands that help.
    tested : sequence of Block
        What is said of a ground test.

    Returns
    -------
    list of Block
    """
    result = leading(study)
    blocks: list[Block] = [Words(text=headline(result), tone="lead"), *tested]
    blocks += deciding_blocks(result, case_file)
    if result.verdict is Verdict.CANNOT_TELL and result.settle:
        blocks.append(Words(text=f"What would settle it: {told(result.settle)}.", tone="lead"))
    blocks += [
        Figure(
            caption="Least flow of the judged scenarios, in percent of what is required: bar 5 to "
            "95 % of the draws, tick the median, ring the single (nominal) values. The "
            "strong line is the requirement.",
            alt=_bands_words(result),
            picture=Bands(rows=tuple(_band(line) for line in result.lines)),
        ),
        Heading(text="The scenario that decides"),
        Pairs(rows=tuple(_deciding(result))),
        Heading(text="Each requirement"),
        table(
            ["requirement", "answer", "#needs", "#5 %", "#median", "#95 %", "#nominal"],
            [_line_row(line) for line in result.lines],
            caption="Least flow of the judged scenarios in percent of what each requirement asks.",
        ),
        *_settling(result),
        Heading(text="What it rests on"),
        Pairs(rows=tuple(_basis(study))),
    ]
    return blocks


def deciding_blocks(result: AdequacyResult, case_file: str) -> list[Block]:
    """Give a line for each thing that decides, with its own word, and cause and remedy together."""
    rows = decision_rows(result.decisions)
    blocks: list[Block] = [
        Heading(text="What decides"),
        table(["what", "word", "found"], rows, caption="The word above is the worst of these."),
    ]
    said = causes(result, case_file)
    if said:
        blocks += [Heading(text="Cause and what to do"), Bullets(items=tuple(said))]
    return blocks


def headline(result: AdequacyResult) -> str:
    """Give the least flow, its band and where it is found in one sentence."""
    scenario = result.deciding_scenario
    decided = [line for line in result.lines if line.deciding == result.deciding]
    line = min(decided or result.lines, key=_ratio_or_least)
    least = line.least_nominal * line.required
    band = "no band was worked out"
    if line.least_low is not None:
        band = f"5 to 95 % band {ratio_span(line.least_low, line.least_high)}"
    full = ""
    if abs(scenario.flow - least) > NEARLY_SAME * abs(scenario.flow):
        full = f"; lines full of fuel would give {mass_flow_words(scenario.flow)}"
    if ratio_words(line.least_nominal) == RUNS_BACK:
        return (
            f"No flow arrives, it runs back, against {mass_flow_words(line.required)} required "
            f"({band}), at {short_name(scenario)}."
        )
    return (
        f"Least flow {mass_flow_words(least)} against {mass_flow_words(line.required)} required: "
        f"{ratio_words(line.least_nominal)} ({band}), at {short_name(scenario)}{full}."
    )


def _least(result: AdequacyResult) -> float:
    return min(_ratio_or_least(line) for line in result.lines)


def _ratio_or_least(line: ResultLine) -> float:
    return line.least_nominal if math.isfinite(line.least_nominal) else -math.inf


def costly(name: Said, paths: tuple[LossPath, ...]) -> str:
    """Give a costly part with its costliest loss on any path."""
    rows = [row for path in paths for row in path.rows if row.part_of_line == name]
    if not rows:
        return told(name)
    dearest = max(rows, key=lambda row: row.loss)
    return f"{told(name)}: {head_words(dearest.loss)}, {share_words(dearest.share)}"


def _band(line: ResultLine) -> BandRow:
    return BandRow(
        name=told(line.name),
        nominal_percent=finite(line.least_nominal, 100.0, 2),
        low_percent=finite(FAR_ENOUGH if line.least_low == math.inf else line.least_low, 100.0, 2),
        middle_percent=finite(line.least_median, 100.0, 2),
        high_percent=finite(line.least_high, 100.0, 2),
    )


def _bands_words(result: AdequacyResult) -> str:
    said = []
    for line in result.lines:
        span = ratio_span(line.least_low, line.least_high)
        band = "" if line.least_low is None else f", band {span}"
        said.append(f"{told(line.name)}: {ratio_words(line.least_nominal)}{band}")
    return "Percent of the required flow. " + "; ".join(said) + "."


def _deciding(result: AdequacyResult) -> list[tuple[str, str]]:
    rows = scenario_pairs(result.deciding_scenario, result, result.requirement.burn)
    for place, name in enumerate(result.costliest):
        rows.append(("costs most head" if place == 0 else "", costly(name, result.losses)))
    return rows


def _settling(result: AdequacyResult) -> list[Block]:
    strongest = [item for item in result.contributions if item.rank_correlation != 0.0]
    if not result.settle and not strongest:
        return []
    open_still = result.verdict is Verdict.CANNOT_TELL
    title = "What would settle it" if open_still else "What to measure next"
    blocks: list[Block] = [Heading(text=title)]
    if result.settle:
        blocks.append(Words(text=capital(result.settle) + "."))
    items = tuple(
        f"{told(item.name)} (rank correlation {item.rank_correlation:+.2f}): "
        f"{told(item.measurement)}"
        for item in strongest[:STRONGEST]
    )
    if items:
        blocks += [Words(text="The spread of the margin goes most with:"), Bullets(items=items)]
    return blocks


def _line_row(line: ResultLine) -> tuple[str, ...]:
    drawn = (line.least_low, line.least_median, line.least_high)
    return (
        told(line.name),
        line.verdict.value,
        mass_flow_words(line.required),
        *("-" if value is None else ratio_words(value) for value in drawn),
        ratio_words(line.least_nominal),
    )


def _basis(study: ReportStudy) -> list[tuple[str, str]]:
    result = study.check
    judged = count_alike(result.scenarios, judged=True)
    if result.draws:
        basis = f"{result.draws} Monte Carlo draws of what is uncertain (seed {result.seed})"
    else:
        basis = "single values only: no band was worked out, nothing is allowed for uncertainty"
    note = [("the case's own note", study.system.note)] if study.system.note else []
    return [
        *note,
        ("judged on", basis),
        ("scenarios", f"{judged} judged of {len(result.scenarios)} worked out"),
        ("not measured", f"{count_words(result)}; see the next section"),
    ]


def tested_blocks(study: ReportStudy) -> list[Block]:
    """Say on the first page what a ground test said, where there was one."""
    if study.tested.why_not:
        words = f"The readings of the ground test could not be used: {told(study.tested.why_not)}"
        return [Words(text=words, tone="warning")]
    if study.tested.result is None:
        return [Words(text=NOT_TESTED)]
    fitted = study.tested.result
    after = fitted.after
    if fitted.distrust:
        words = (
            f"Ground test: {told(fitted.pass_words)}. But {told(fitted.distrust)}. The answer is "
            "of the case as stated: nothing was learned from the readings."
        )
        return [Words(text=words, tone="warning")]
    words = (
        f"Ground test: {told(fitted.pass_words)}. The answer is of the case as the readings "
        f"corrected it ({after.verdict_words}); before the test it was: "
        f"{study.check.verdict_words}, {ratio_words(_least(study.check))} of the required. "
        "Everything after the answer (flows, heads, unusable fuel, what-ifs) is of the case as "
        "stated, before the test."
    )
    short = fitted.passed is not True or after.verdict is not Verdict.ADEQUATE
    return [Words(text=words, tone="warning" if short else "plain")]
