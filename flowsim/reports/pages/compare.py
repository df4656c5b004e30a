"""What ``flowsim compare`` prints: whether the verdict changes, and what is behind it."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, cautions, passage
from flowsim.files.case.differences import Difference
from flowsim.files.results.check_json import all_cautions
from flowsim.measures import LENGTH
from flowsim.reports.render.terminal import render
from flowsim.reports.words.scenarios import short_name
from flowsim.reports.words.units import clean, key_of_back, ratio_cell
from flowsim.studies.result import ResultLine
from flowsim.studies.saying import Said
from flowsim.studies.what_if.comparison import ComparisonResult

WORTH_SHOWING = 0.5e-3
"""[m] Losses that change by less are left out of the table."""
MOST_LOSSES = 20


def compare_text(
    result: ComparisonResult,
    differences: tuple[Difference, ...],
    files: tuple[str, str],
    *,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the comparison as text.

    Parameters
    ----------
    result : ComparisonResult
    differences : tuple of Difference
        Of the case files.
    files : tuple of str
        Both case files as they were given.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
    """
    return render(compare_document(result, differences, files), width, styled=styled)


def compare_document(
    result: ComparisonResult, differences: tuple[Difference, ...], files: tuple[str, str]
) -> Document:
    """Give the comparison; see ``compare_text``."""
    first, second = result.first, result.second
    change = "changes" if result.verdict_changes else "stays the same"
    if first.draws:
        basis = f"{first.draws} Monte Carlo draws each (seed {first.seed})"
    else:
        basis = "single values only: nothing is allowed for what is uncertain"
    rows = [
        ("A", f"{clean(first.title)} ({files[0]})"),
        ("B", f"{clean(second.title)} ({files[1]})"),
        ("judged on", basis),
    ]
    found = passage(
        About.FOUND,
        heading(f"The verdict {change}"),
        pairs([("A", first.verdict_words), ("B", second.verdict_words)]),
        paragraph("Estimates, not approvals; the ground test decides."),
        heading(f"What differs in the cases ({len(differences)})"),
        _differences(differences),
        heading("Each requirement: least flow in % of the required"),
        _lines(result),
        paragraph(_lines_key(result)),
        heading("Deciding scenario"),
        pairs([("A", short_name(result.deciding[0])), ("B", short_name(result.deciding[1]))]),
        heading("Where the head goes in the deciding scenario of each"),
        _losses(result),
        _reasons("A", first.reasons),
        _reasons("B", second.reasons),
    )
    cautioned = all_cautions((*first.cautions, *second.cautions))
    parts = (
        passage(About.HEAD, pairs(rows, 0)),
        found,
        cautions(cautioned),
    )
    return Document(title="", passages=parts)


def _differences(differences: tuple[Difference, ...]) -> list[Block]:
    if not differences:
        return [paragraph("Nothing: both say the same.")]
    return [
        bullets(
            f"{item.place}: {item.first or 'not there'} -> {item.second or 'not there'}"
            for item in differences
        )
    ]


def _lines(result: ComparisonResult) -> Block:
    rows = []
    for item in result.lines:
        rows.append((item.name, *_cells(item.first), *_cells(item.second)))
    return table(("requirement", "A", "A band", "B", "B band"), rows)


def _cells(line: ResultLine | None) -> tuple[str, str]:
    if line is None:
        return "not there", "-"
    band = "-"
    if line.least_low is not None and line.least_high is not None:
        if not math.isnan(line.least_low + line.least_high):
            low, high = (ratio_cell(value) for value in (line.least_low, line.least_high))
            band = low if low == high else f"{low} to {high}"
        else:
            band = "no result"
    return ratio_cell(line.least_nominal), band


def _lines_key(result: ComparisonResult) -> str:
    words = "Nominal values, and 5th to 95th percentile where drawn."
    cells = [c for item in result.lines for c in (*_cells(item.first), *_cells(item.second))]
    return f"{words} {key_of_back(cells)}".rstrip()


def _losses(result: ComparisonResult) -> list[Block]:
    shown = [item for item in result.losses if abs(item.change) >= WORTH_SHOWING]
    if not shown:
        return [
            paragraph(f"No part's loss differs by as much as {LENGTH.words(WORTH_SHOWING, 1)}.")
        ]
    rows = [
        (item.part, _loss(item.first), _loss(item.second), _change(item.change))
        for item in shown[:MOST_LOSSES]
    ]
    unit = LENGTH.name
    parts: list[Block] = [
        table(("part (line)", f"A, {unit}", f"B, {unit}", f"change, {unit}"), rows)
    ]
    if not result.same_scenario:
        parts.append(paragraph("The deciding scenarios differ, so part of this is theirs."))
    return parts


def _loss(head: float) -> str:
    return LENGTH.cell(head, 0) if math.isfinite(head) else "-"


def _change(head: float) -> str:
    return f"{'+' if head > 0 else ''}{LENGTH.cell(head, 0)}"


def _reasons(name: str, reasons: tuple[Said, ...]) -> list[Block]:
    if not reasons:
        return []
    return [paragraph(f"{name}, why:", above=1), bullets(reasons)]
