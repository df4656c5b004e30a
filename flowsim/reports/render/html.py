"""The report as one page that stands alone: no request to anywhere, made from its data only."""

import base64
import hashlib
import json
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from flowsim.document.blocks import Figure
from flowsim.files.results.report_model import Report
from flowsim.measures import choice_for, chosen
from flowsim.reports.figures.draw import draw
from flowsim.reports.figures.looks import DARK, LIGHT, sheet, variables
from flowsim.reports.words.units import clean

TEMPLATES = Path(__file__).parent / "templates"
STANDING = (
    "An estimate, not an approval. The ground test decides. Local rules, the instructions of the "
    "makers, and licensed practice come first."
)
"""On every page of every form of the report."""


def report_html(report: Report) -> str:
    """Give the page.

    Parameters
    ----------
    report : Report

    Returns
    -------
    str
        The same report gives the same text. Everything from the case is escaped; the page allows
        only its own script, by its digest.
    """
    with chosen(choice_for(report.units)):
        return _page(report)


def _page(report: Report) -> str:
    script = _source("report.js.j2")
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_printable,
    )
    tries = None if report.tries is None else report.tries.model_dump(mode="json")
    return environment.get_template("report.html.j2").render(
        report=report,
        standing=STANDING,
        style=Markup(_style()),
        script=Markup(script),
        script_digest=base64.b64encode(hashlib.sha256(script.encode()).digest()).decode(),
        tries_json=Markup(json_in_page(tries)),
        drawn=_drawn,
    )


def json_in_page(value: Any) -> str:
    """Give JSON that cannot end the element that it stands in.

    Parameters
    ----------
    value : any
        What JSON can hold; strings are cleaned of control characters.

    Returns
    -------
    str
        ASCII without ``<``, ``>`` and ``&``.
    """
    text = json.dumps(cleaned(value), ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return text


def cleaned(value: Any) -> Any:
    """Clean every string in lists and dictionaries of what could steer a viewer."""
    if isinstance(value, str):
        return clean(value)
    if isinstance(value, dict):
        return {key: cleaned(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [cleaned(item) for item in value]
    return value


def _printable(value: Any) -> Any:
    return clean(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _drawn(figure: Figure, name: str) -> Markup:
    svg = draw(figure.picture).svg(name, figure.alt)
    return Markup(svg)


def _style() -> str:
    made = _source("report.css.j2")
    made = made.replace("{LIGHT}", f"{{{variables(LIGHT)}}}")
    made = made.replace("{DARK}", f"{{{variables(DARK)}}}")
    return made.replace("FIGURES", sheet())


def _source(name: str) -> str:
    return (TEMPLATES / name).read_text(encoding="utf-8")
