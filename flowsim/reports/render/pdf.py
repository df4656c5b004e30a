"""The report as a PDF of the same content, made from its data only."""

import datetime
import importlib.util
import json
from itertools import groupby
from typing import Any, Literal

from flowsim.document.blocks import Block, Explorer, Figure, block_object
from flowsim.errors import OutputError
from flowsim.files.results.report_model import Report, Section
from flowsim.measures import choice_for, chosen
from flowsim.reports.figures.draw import draw
from flowsim.reports.figures.looks import fixed_sheet
from flowsim.reports.render.html import STANDING, TEMPLATES, cleaned

FONT, MONO = "Libertinus Serif", "DejaVu Sans Mono"
"""Both come with the part that makes the PDF; the second has the letters that the first lacks."""
NOT_INSTALLED = (
    "the PDF is not made: the part that makes it is not installed; install it with pip install "
    "'.[pdf]' in the clone"
)
MISSING = f"{NOT_INSTALLED}, or leave the PDF out with --no-pdf"
NARROW = ("flow", "margin", "view")
"""Pictures that stand two side by side."""
SHARES = {"bands": 44, "scheme": 50, "head": 52}
"""[%] Of the page's width that other pictures take."""
USUAL_SHARE = 50


def can_make_pdf() -> bool:
    """Tell whether the optional part that makes PDFs is installed."""
    return importlib.util.find_spec("typst") is not None


Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, str] = {"a4": "a4", "letter": "us-letter"}
"""Kinds of paper, and what the layout calls them."""


def report_pdf(report: Report, paper: Paper = "a4") -> bytes:
    """Give the PDF.

    Parameters
    ----------
    report : Report
    paper : {"a4", "letter"}

    Returns
    -------
    bytes
        The same report, the same bytes: fonts come with the program, the date is the report's.

    Raises
    ------
    OutputError
        When the optional part is missing (says what to install), or it fails.
    """
    if not can_make_pdf():
        raise OutputError(MISSING)
    try:
        with chosen(choice_for(report.units)):
            content = pdf_content(report, paper=paper)
            return typeset("report.typ", content, report.date)
    except OutputError as error:
        raise OutputError(f"{error}, and leave the PDF out with --no-pdf") from error


def summary_pdf(report: Report, paper: Paper = "a4") -> bytes:
    """Give the summary, two pages whatever the case.

    Parameters
    ----------
    report : Report
    paper : {"a4", "letter"}

    Returns
    -------
    bytes
        The same report, the same bytes.

    Raises
    ------
    OutputError
        As for ``report_pdf``, or where the report was made before summaries were.
    """
    if not report.summary:
        raise OutputError("this report's data hold no summary; make it again from the case")
    with chosen(choice_for(report.units)):
        return typeset("summary.typ", summary_content(report, paper), report.date)


def summary_content(report: Report, paper: Paper) -> dict[str, Any]:
    """Give what the summary's layout is handed: pictures that follow each other, side by side."""
    content = pdf_content(report, report.summary, paper)
    for section in content["sections"]:
        joined: list[dict[str, Any]] = []
        for block in section["blocks"]:
            last = joined[-1] if joined else {}
            if block["type"] == last.get("type") == "figures":
                pictures = [*last["pictures"], *block["pictures"]]
                joined[-1] = {**last, "wide": False, "pictures": pictures}
            else:
                joined.append(block)
        section["blocks"] = joined
    return content


def typeset(template: str, content: dict[str, Any], date: str) -> bytes:
    """Give the PDF that a layout makes of plain data.

    Parameters
    ----------
    template : str
        File name of the layout among the templates.
    content : dict
        What it is handed: strings, numbers, lists and tables.
    date : str
        Of the document, such as 2026-01-31.

    Returns
    -------
    bytes
        The same input, the same bytes.

    Raises
    ------
    OutputError
        When the optional part is missing (says what to install), or it fails.
    """
    if not can_make_pdf():
        raise OutputError(NOT_INSTALLED)
    import typst

    try:
        made = typst.compile(
            TEMPLATES / template,
            format="pdf",
            ignore_system_fonts=True,
            sys_inputs={"data": json.dumps(content, ensure_ascii=True, allow_nan=False)},
            timestamp=_timestamp(date),
        )
    except RuntimeError as error:
        raise OutputError(
            f"the PDF is not made: its layout failed ({error}); please report it"
        ) from error
    if not isinstance(made, bytes):
        raise OutputError("the PDF is not made: its layout gave nothing; please report it")
    return made


def pdf_content(
    report: Report, sections: tuple[Section, ...] | None = None, paper: Paper = "a4"
) -> dict[str, Any]:
    """Give what the layout is handed: plain strings and pictures, no markup."""
    meta = f"{report.date} · {report.case.file} · flowsim {report.versions.get('flowsim')}"
    content = {
        "title": report.title,
        "paper": PAPERS[paper],
        "date": report.date,
        "meta": meta,
        "standing": STANDING,
        "fonts": [FONT, MONO],
        "mono": [MONO, FONT],
        "verdict": report.verdict.model_dump(mode="json"),
        "sections": [
            {
                "title": section.title,
                "complete": section.complete,
                "blocks": _blocks(section, number),
            }
            for number, section in enumerate(sections or report.sections, 1)
        ],
    }
    made: dict[str, Any] = cleaned(content)
    return made


def _blocks(section: Section, number: int) -> list[dict[str, Any]]:
    """Give a section's blocks, pictures that follow each other put together."""
    made: list[dict[str, Any]] = []
    place = 0
    for kind, group in groupby(section.blocks, key=_kind):
        some = list(group)
        place += len(some)
        if kind is None:
            made += [block_object(b) for b in some if not isinstance(b, Explorer)]
            continue
        pictures = [
            _picture(block, f"p{number}x{place}x{index}")
            for index, block in enumerate(some)
            if isinstance(block, Figure)
        ]
        share = SHARES.get(kind, USUAL_SHARE)
        made.append(
            {
                "type": "figures",
                "wide": kind not in NARROW,
                "share": share,
                "pictures": pictures,
            }
        )
    return made


def _kind(block: Block) -> str | None:
    return block.picture.kind if isinstance(block, Figure) else None


def _picture(figure: Figure, name: str) -> dict[str, str]:
    svg = draw(figure.picture).svg(name, figure.alt, fixed_sheet(f'"{FONT}","{MONO}"'))
    return {"svg": svg.replace("\n", " "), "alt": figure.alt, "caption": figure.caption}


def _timestamp(date: str) -> datetime.datetime:
    """Give the report's date as a moment; a date that is none becomes the first of 1980."""
    try:
        day = datetime.date.fromisoformat(date)
    except ValueError:
        day = datetime.date(1980, 1, 1)
    return datetime.datetime(day.year, day.month, day.day, tzinfo=datetime.UTC)
