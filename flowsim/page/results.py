"""What a judgement says on the page, step by step: first flows and heads, then band and verdict."""

import math
from collections.abc import Iterable
from dataclasses import asdict
from typing import Any

from flowsim.document.blocks import Block, Figure, Steps, block_object
from flowsim.document.pictures import Flow
from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import all_told, told
from flowsim.files.case.draft import Draft
from flowsim.files.results.check_json import all_cautions
from flowsim.files.results.report_model import Section
from flowsim.page.attitudes import attitudes, start_of
from flowsim.page.wire import Wire
from flowsim.reports.figures.draw import draw
from flowsim.reports.pages.check import says
from flowsim.reports.pages.unmeasured import count_words
from flowsim.reports.sections.answer import answer_blocks
from flowsim.reports.sections.flow import flow_figures
from flowsim.reports.sections.grid import grid_of
from flowsim.reports.sections.head import hand_section, head_section
from flowsim.reports.words.scenarios import counted_words
from flowsim.reports.words.units import flow_words, ratio_words
from flowsim.studies.adequacy.live import LiveFlows
from flowsim.studies.report.collect import Outcome, ReportStudy
from flowsim.studies.result import AdequacyResult, ResultLine
from flowsim.studies.review.remarks import provenance_words
from flowsim.studies.saying import Said

_NOT_HERE = "it is in the report"


def flows_object(first: LiveFlows) -> Wire:
    """Give the first step: curves, heads, attitudes; no band, no verdict.

    Parameters
    ----------
    first : LiveFlows

    Returns
    -------
    dict
        Ready for JSON. ``least``: least flow in percent of the required, by requirement.
    """
    study = _study(first, first.result)
    grid = grid_of(first.result)
    return {
        "curves": _drawn(flow_figures(study, grid), "flow"),
        "head": _blocks(head_section(study), "head"),
        "attitudes": attitudes(first.swept.assembly, first.result, grid),
        "least": _least(first.result),
        "requirement": _requirement(first.result),
    }


def flow_pictures(first: LiveFlows) -> list[Flow]:
    """Give the curves as numbers, one picture for each selector position and end."""
    figures = flow_figures(_study(first, first.result), grid_of(first.result))
    return [figure.picture for figure in figures if isinstance(figure.picture, Flow)]


def verdict_object(first: LiveFlows, result: AdequacyResult, draft: Draft, seen: Wire) -> Wire:
    """Give the second step: the verdict with its band, and everything it rests on.

    Parameters
    ----------
    first : LiveFlows
    result : AdequacyResult
        The one that ``check`` gives.
    draft : Draft
        What was judged, for the places of assumptions and cautions.
    seen : dict
        ``attitudes`` of the first step.

    Returns
    -------
    dict
        Ready for JSON.
    """
    study = _study(first, result)
    scenario = result.deciding_scenario
    decided = [line for line in result.lines if line.deciding == result.deciding]
    return {
        "verdict": result.verdict.value,
        "words": result.verdict_words,
        "says": says(result),
        "answer": _answer(study),
        "head": _blocks(head_section(study), "headj"),
        "lines": [_line(line) for line in result.lines],
        "deciding": {
            "flow": counted_words(scenario),
            "line": _line((decided or list(result.lines))[0]),
        },
        "hand": _hand_checks(study),
        "start": start_of(seen, scenario),
        "rests": count_words(result),
        "cautions": _placed(tuple(all_cautions(result.cautions)), draft),
        "assumptions": _assumed(result.assumptions, draft),
        "draws": result.draws,
    }


def _study(first: LiveFlows, result: AdequacyResult) -> ReportStudy:
    """Give the report's study with only the check in it."""
    nothing: Outcome[Any] = Outcome(result=None, why_not=_NOT_HERE)
    return ReportStudy(
        system=first.swept.assembly.system,
        assembly=first.swept.assembly,
        check=result,
        bands=nothing,
        margins=nothing,
        pressures=nothing,
        unusable=nothing,
        headers=nothing,
        vents=nothing,
        routing=nothing,
        spread=nothing,
        what_ifs=nothing,
        transfers=nothing,
        plan=nothing,
        tested=Outcome(result=None),
    )


def _answer(study: ReportStudy) -> list[Wire]:
    """Give the report's own answer; what it says of readings belongs to the report."""
    return _drawn(answer_blocks(study, "CASE"), "answer")


def _hand_checks(study: ReportStudy) -> list[list[Wire]]:
    """Give the working of every part, by path in the order of the pictures of head."""
    steps = [block.steps for block in hand_section(study).blocks if isinstance(block, Steps)]
    return [[asdict(step) for step in path] for path in steps]


def _blocks(section: Section, name: str) -> list[Wire]:
    """Give a section's blocks, its pictures drawn."""
    return _drawn(section.blocks, name)


def _drawn(blocks: Iterable[Block], name: str) -> list[Wire]:
    made = []
    for number, block in enumerate(blocks):
        if isinstance(block, Figure):
            svg = draw(block.picture).svg(f"{name}{number}", block.alt)
            title = getattr(block.picture, "title", "")
            made.append({"type": "figure", "caption": block.caption, "title": title, "svg": svg})
        else:
            made.append(block_object(block))
    return made


def _least(result: AdequacyResult) -> list[Wire]:
    return [
        {
            "name": told(line.name),
            "percent": ratio_words(line.least_nominal),
            "value": line.least_nominal if math.isfinite(line.least_nominal) else -1.0,
        }
        for line in result.lines
    ]


def _requirement(result: AdequacyResult) -> Wire:
    requirement = result.requirement
    return {
        "required": flow_words(requirement.required, requirement.required / requirement.density),
        "basis": requirement.basis,
    }


def _line(line: ResultLine) -> Wire:
    return {
        "name": told(line.name),
        "verdict": line.verdict.value,
        "required": line.required,
        "nominal": ratio_words(line.least_nominal),
        "low": None if line.least_low is None else ratio_words(line.least_low),
        "high": None if line.least_high is None else ratio_words(line.least_high),
    }


def _placed(cautions: tuple[str, ...], draft: Draft) -> list[Wire]:
    """Give the cautions in their order, those of the reader with their place."""
    places = {remark.text: remark.path for remark in draft.remarks}
    return [{"text": text, "path": places.get(text), "always": text in ALWAYS} for text in cautions]


def _assumed(assumptions: tuple[Said, ...], draft: Draft) -> list[Wire]:
    """Give the assumptions in their order, those of a value with its place."""
    places = {told(provenance_words(entry)): entry.path for entry in draft.provenance}
    return [{"text": text, "path": places.get(text)} for text in all_told(assumptions)]
