"""Every kind of block comes out in plain text, in the page and in the PDF's content."""

from typing import get_args

import pytest

from flowsim.document.blocks import (
    Blanks,
    Block,
    Bullets,
    Column,
    Explorer,
    Figure,
    HandStep,
    Heading,
    Pairs,
    Steps,
    Table,
    Ticks,
    Words,
)
from flowsim.document.document import About, Document, passage
from flowsim.document.pictures import Ranking, RankRow
from flowsim.files.results.report_model import FileUsed, Report, Section, VerdictSaid
from flowsim.reports.render.html import report_html
from flowsim.reports.render.pdf import pdf_content
from flowsim.reports.render.terminal import render

RANKING = Ranking(rows=(RankRow(name="w-rank", share_percent=40.0, error_percent=1.0),))
STEP = HandStep(title="w-step", lines=("w-line",), result="w-result", source="w-source")
SAID = {
    Words(text="w-words"): ("w-words",),
    Heading(text="w-heading"): ("w-heading",),
    Bullets(items=("w-item",)): ("w-item",),
    Pairs(rows=(("w-name", "w-text"),)): ("w-name", "w-text"),
    Table(
        caption="w-caption",
        columns=(Column(name="w-head"), Column(name="n", numeric=True)),
        rows=(("w-cell", "1"),),
        foot=(("w-foot", "2"),),
    ): ("w-caption", "w-head", "w-cell", "w-foot"),
    Figure(caption="w-drawn", alt="w-alt", picture=RANKING): ("w-drawn", "w-alt"),
    Steps(steps=(STEP,)): ("w-step", "w-line", "w-result", "w-source"),
    Blanks(rows=(("w-blank", 2),)): ("w-blank",),
    Ticks(items=("w-tick",)): ("w-tick",),
    Explorer(): (),
}


def _report() -> Report:
    section = Section(name="answer", title="All", complete=True, blocks=tuple(SAID))
    return Report(
        title="t", date="2026-01-31", case=FileUsed(file="f", sha256="0"), readings=None,
        verdict=VerdictSaid(value="adequate", words="adequate", says="x"), standing=("s",),
        sections=(section,), tries=None, check={}, versions={"flowsim": "0"},
    )  # fmt: skip


def test_no_kind_is_left_out():
    assert {type(block) for block in SAID} == set(get_args(get_args(Block)[0]))


@pytest.mark.parametrize("width", [40, 80])
def test_plain_text_says_what_each_block_holds(width):
    document = Document(title="w-title", passages=(passage(About.FOUND, list(SAID)),))
    text = render(document, width)
    for said in SAID.values():
        for word in said:
            assert word in text
    assert text.startswith("w-title\n")
    assert max(len(line) for line in text.splitlines()) <= width


def test_the_page_says_what_each_block_holds():
    page = report_html(_report())
    for said in SAID.values():
        for word in said:
            assert word in page


def test_the_pdf_is_handed_what_each_block_holds():
    content = str(pdf_content(_report()))
    for said in SAID.values():
        for word in said:
            assert word in content


def test_layout_for_plain_text_alone():
    text = render([Words(text="a", indent=0), Words(text="b", indent=4, above=1)], 80)
    assert text == "a\n\n    b\n"
