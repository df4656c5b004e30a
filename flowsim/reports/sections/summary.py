"""Two pages for a counsellor: the answer with its pictures; what it rests on and leaves out."""

from dataclasses import replace

from flowsim.document.blocks import Blanks, Block, Bullets, Figure, Heading, Ticks, Words
from flowsim.document.words.standing import ALWAYS
from flowsim.files.results.check_json import all_cautions
from flowsim.files.results.report_model import Section
from flowsim.reports.pages.unmeasured import columns, count_words, loss_rows
from flowsim.reports.sections.answer import deciding_blocks, headline, leading, tested_blocks
from flowsim.reports.sections.closing import NOT_CHECKED, WHAT_IT_IS
from flowsim.reports.sections.flow import flow_figure
from flowsim.reports.sections.grid import grid_of
from flowsim.reports.sections.head import head_figure
from flowsim.reports.sections.kit import section, table
from flowsim.reports.sections.views import side_view
from flowsim.studies.report.collect import ReportStudy
from flowsim.studies.result import LossPath, LossRow

MOST_LOSSES, MOST_CAUTIONS, MOST_PARTS = 6, 4, 9
"""Rows that two pages have room for; what is left out is counted."""


def summary_sections(study: ReportStudy, case_file: str) -> tuple[Section, Section]:
    """Give the two pages.

    Parameters
    ----------
    study : ReportStudy
    case_file : str
        Name of the case file, for the commands that help.

    Returns
    -------
    tuple of two Section
        A page each.
    """
    return (
        section("summary-answer", "The answer", _first(study, case_file)),
        section("summary-basis", "What it costs, rests on and leaves out", _second(study)),
    )


def _first(study: ReportStudy, case_file: str) -> list[Block]:
    result = leading(study)
    scenario = result.deciding_scenario
    pictures: list[Figure] = [side_view(study, scenario.pitch, "the attitude that decides")]
    curve = flow_figure(study, grid_of(study.check), scenario.selector, scenario.end)
    if curve is not None:
        pictures.append(curve)
    return [
        Words(text=headline(result), tone="lead"),
        *tested_blocks(study),
        *deciding_blocks(result, case_file),
        *pictures,
    ]


def _second(study: ReportStudy) -> list[Block]:
    result = study.check
    blocks: list[Block] = []
    if result.losses:
        path = max(result.losses, key=lambda item: max(row.loss for row in item.rows))
        blocks.append(head_figure(condensed(path)))
    blocks.append(Words(text=f"Not measured: {count_words(result)}.", tone="lead"))
    losses = loss_rows(result.unmeasured)
    if losses:
        left = len(losses) - MOST_LOSSES
        heads = columns()
        caption = "Losses that nobody measured, the largest share of the head first"
        caption += f" ({left} more in the report)" if left > 0 else ""
        blocks.append(
            table(
                [*heads[:2], *(f"#{name}" for name in heads[2:])],
                losses[:MOST_LOSSES],
                caption=caption,
            )
        )
    cautions = [words for words in all_cautions(result.cautions) if words not in ALWAYS]
    if cautions:
        left = len(cautions) - MOST_CAUTIONS
        shown = [*cautions[:MOST_CAUTIONS], *([f"{left} more in the report."] if left > 0 else [])]
        blocks += [Heading(text="Cautions"), Bullets(items=tuple(shown))]
    return [
        *blocks,
        Heading(text="Not checked by this calculation; tick what you looked at yourself"),
        Ticks(items=NOT_CHECKED),
        Words(text=WHAT_IT_IS, tone="note"),
        Blanks(
            rows=(
                ("builder: name, date, signature", 1),
                ("reviewer: name, qualification, date, signature", 1),
                ("ground test by, date, place", 1),
            )
        ),
    ]


def condensed(path: LossPath) -> LossPath:
    """Give a way with the small parts of each line put together, in the order of the way.

    Parameters
    ----------
    path : LossPath

    Returns
    -------
    LossPath
        At most ``MOST_PARTS`` parts of their own; the same sum.
    """
    dearest = sorted(path.rows, key=lambda row: -row.loss)[:MOST_PARTS]
    rows: list[LossRow] = []
    for line in dict.fromkeys(row.line for row in path.rows):
        small: list[LossRow] = []
        for row in (row for row in path.rows if row.line == line):
            (rows if row in dearest else small).append(row)
        if small:
            loss, share = sum(row.loss for row in small), sum(row.share for row in small)
            name = small[0].part
            if len(small) > 1:
                name = f"{len(small)} small parts"
            rows.append(replace(small[0], part=name, loss=loss, share=share))
    return replace(path, rows=tuple(rows))
