"""What ``flowsim uncertainty`` prints: the band, how sure it is, what it comes from."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, passage
from flowsim.document.words.telling import told
from flowsim.measures import FAR_ENOUGH, MASS_FLOW
from flowsim.reports.figures.tornado import text_bars
from flowsim.reports.pages.of_the_case import of_the_case
from flowsim.reports.render.terminal import render
from flowsim.reports.words.units import (
    BACK,
    RUNS_BACK,
    clean,
    mass_flow_words,
    number,
    percent_words,
    ratio_span,
    ratio_words,
    runs_back,
)
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.uncertainty.study import LineSpread, Spread, UncertaintyResult

RANKED = 12
"""Inputs in the ranking."""
BAR = 24
"""Columns of a bar in the picture."""

_SAYS = {
    Verdict.ADEQUATE: "By this estimate the requirement is met at the 5th percentile. It is an "
    "estimate, not an approval; the ground test decides.",
    Verdict.NOT_ADEQUATE: "By this estimate the requirement is not met. Do not fly on it.",
    Verdict.CANNOT_TELL: "This estimate cannot tell; that is no pass.",
}


def uncertainty_text(
    result: UncertaintyResult, case_file: str, *, width: int = 80, styled: bool = False
) -> str:
    """Give the report of the uncertainty study as text.

    Parameters
    ----------
    result : UncertaintyResult
    case_file : str
        The case file's name as it was given.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
    """
    return render(uncertainty_document(result, case_file), width, styled=styled)


def uncertainty_document(
    result: UncertaintyResult, case_file: str, *, letters: bool = True
) -> Document:
    """Give what the study found, to be printed alone or in a larger report.

    Parameters
    ----------
    result : UncertaintyResult
    case_file : str
        The case file's name as it was given.
    letters : bool
        Whether the tornado has a column of bars made of letters, which a report with pictures does
        not need.

    Returns
    -------
    Document
    """
    found = passage(
        About.FOUND,
        _verdict(result),
        heading("Least margin over all judged scenarios"),
        _together(result),
        heading("Each requirement"),
        [part for line in result.lines for part in _line(line)],
        heading("Convergence: the same on the first draws alone"),
        _convergence(result),
        paragraph(
            "+- is one standard error of sampling, of independent draws; stratified draws have "
            "less. Draws are stratified (Latin hypercubes, seeded)."
        ),
        heading("What the spread comes from"),
        _ranking(result),
        heading("One input at a time (tornado)"),
        _tornado(result, letters=letters),
        _next(result),
    )
    return Document(
        title=clean(result.title),
        passages=(
            passage(About.HEAD, _head(result, case_file)),
            found,
            *of_the_case(result.assumptions, case_file),
        ),
    )


def _head(result: UncertaintyResult, case_file: str) -> Block:
    return pairs(
        [
            ("case", case_file),
            ("judged on", f"{result.draws} Monte Carlo draws (seed {result.seed})"),
            ("scenarios", f"{result.scenarios} that can decide, together in each draw"),
            ("required", mass_flow_words(result.requirement.required)),
        ],
        0,
    )


def _verdict(result: UncertaintyResult) -> list[Block]:
    return [
        heading(f"Verdict: {result.verdict_words}"),
        paragraph(_SAYS[result.verdict]),
        bullets(result.reasons),
        *_remedies(result),
    ]


def _remedies(result: UncertaintyResult) -> list[Block]:
    """Say what would settle or mend what decides beside the flows."""
    said = [
        f"{told(decision.name)}: {told(decision.remedy)}"
        for decision in result.decisions
        if decision.remedy and not decision.informs and decision.topic is not Topic.FLOW
    ]
    return [heading("What to do about it"), bullets(said)] if said else []


def _together(result: UncertaintyResult) -> list[Block]:
    spread = result.together
    rows = [
        ("5th percentile", _with_error(spread.low, spread.low_error)),
        ("median", _with_error(spread.middle, spread.middle_error)),
        ("95th percentile", _with_error(spread.high, spread.high_error)),
        ("chance of meeting it", _chance(spread)),
    ]
    parts: list[Block] = [pairs(rows)]
    if result.failed:
        words = f"{result.failed} draws could not be solved: no figure above can be used."
        parts.append(paragraph(words))
    return parts


def _with_error(ratio: float, error: float) -> str:
    words = ratio_words(ratio)
    if not math.isfinite(ratio) or words == RUNS_BACK:
        return words
    return f"{words} of the required, +- {_error(error)}"


def _chance(spread: Spread) -> str:
    if not math.isfinite(spread.chance):
        return "no result"
    chance = percent_words(spread.chance)
    return f"{chance} of {spread.draws} draws, +- {_error(spread.chance_error)}"


def _line(item: LineSpread) -> list[Block]:
    spread = item.spread
    flows = ", ".join(
        f"{name} {_least_flow(ratio, item.required)}"
        for name, ratio in (
            ("5 %", spread.low),
            ("median", spread.middle),
            ("95 %", spread.high),
        )
    )
    if runs_back(spread.high, 0.0005):
        flows = RUNS_BACK
    elif spread.low == math.inf:
        far = _least_flow(spread.low, item.required)
        flows = f"{far} in 95 % of the draws; how far over was not worked out"
    return [
        paragraph(f"{told(item.line.name)}: {item.line.verdict.value}"),
        paragraph(f"Needs {mass_flow_words(item.required)}. Least flow: {flows}.", 4),
        paragraph(f"Met in {_chance(spread)}.", 4),
    ]


def _least_flow(ratio: float, required: float) -> str:
    """Give a flow [kg/s] by its ratio to the required one; how far it was worked out."""
    if ratio == math.inf:
        return f"over {mass_flow_words(FAR_ENOUGH * required)}"
    return mass_flow_words(ratio * required)


def _convergence(result: UncertaintyResult) -> Block:
    rows = [
        (
            str(item.draws),
            _converging(item.low, item.low_error),
            _converging(item.middle, item.middle_error),
            _converging(item.high, item.high_error),
            _number_with_error(item.chance, item.chance_error),
        )
        for item in result.convergence
    ]
    return table(("draws", "5th pct, %", "median, %", "95th pct, %", "chance, %"), rows)


def _converging(ratio: float, error: float) -> str:
    if runs_back(ratio, 0.0005):
        return BACK
    return _number_with_error(ratio, error)


def _number_with_error(ratio: float, error: float) -> str:
    return f"{number(100 * ratio, _decimals(error))} +- {_error(error)}"


def _error(error: float) -> str:
    """Give an error in percent, with two digits that count."""
    return number(100 * error, _decimals(error))


def _decimals(error: float) -> int:
    """Decimals of a number in percent that its error leaves standing."""
    if not math.isfinite(error) or error <= 0.0:
        return 1
    return min(max(1 - math.floor(math.log10(100 * error)), 0), 3)


def _ranking(result: UncertaintyResult) -> list[Block]:
    if not result.shares:
        return [paragraph("The margin has no spread to share out, or draws are too few or failed.")]
    rows = []
    for item in result.shares[:RANKED]:
        first = total = "-"
        if result.indices is not None:
            index = result.names.index(item.name)
            indices = result.indices
            low, high = indices.first_low[index], indices.first_high[index]
            first = f"{100 * low:.0f} to {100 * high:.0f}"
            total = f"{100 * indices.total[index]:.0f}"
        rows.append((item.name, f"{100 * item.share:.1f}", first, total))
    parts: list[Block] = [
        table(("input", "removed if known, %", "plan, %", "left if others known, %"), rows)
    ]
    rest = 1.0 - sum(item.share for item in result.shares[:RANKED])
    words = (
        "Removed if known: by how much the variance of the least margin would fall, on average, "
        "if the "
        "input were known (first-order index), by a fit to the draws. "
    )
    if result.indices is not None:
        words += (
            f"Plan: the same by Saltelli's plan ({result.indices.evaluations} more draws), 90 % "
            "limits. Left if others known: what would be left if all the others were known (total "
            "index). "
        )
    words += f"All else together: {100 * max(rest, 0.0):.1f} %."
    parts.append(paragraph(words))
    return parts


def _tornado(result: UncertaintyResult, *, letters: bool) -> list[Block]:
    rows = text_bars(result, BAR)
    if not rows:
        if math.isnan(result.moved.middle):
            return [paragraph("What moves the least margin is not known: it could not be solved.")]
        return [paragraph("No input moves the least margin.")]
    middle = f"where it is {number(100.0 * result.moved.middle, 1)} % (|)"
    if runs_back(result.moved.middle, 0.0005):
        middle = "where it runs back (|)"
    if letters:
        cells = [(name, bar, low, high) for name, low, high, bar in rows]
        shown = table(("input", "picture", "at 5 %", "at 95 %"), cells, left=2)
    else:
        shown = table(("input", "at 5 %", "at 95 %"), [row[:3] for row in rows])
    return [
        shown,
        paragraph(
            f"Least flow in % of the required with one input at its 5th (-) or 95th (+) "
            f"percentile, the others at their medians, {middle}. R is the "
            "requirement, where it falls inside. Of a valve, meter or opening it is the flow "
            "coefficient that is moved: more of it, more flow."
        ),
    ]


def _next(result: UncertaintyResult) -> list[Block]:
    """Say what to measure first; or that no measurement helps, and to change the system."""
    if result.together.chance > 0.0 or not result.together.high < 1.0:
        return [heading("Measure first"), *_measure(result)]
    return [
        heading("Change the system, do not measure"),
        paragraph(
            f"Not one of {result.draws} Monte Carlo draws meets the requirement (5 to 95 %: "
            f"{ratio_span(result.together.low, result.together.high)} of it): no measurement will "
            "make it adequate. flowsim check CASE says which parts cost the flow, flowsim size "
            "CASE LINE which bore is enough, flowsim what-if CASE what each change brings."
        ),
    ]


def _measure(result: UncertaintyResult) -> list[Block]:
    if not result.measure_first:
        return [paragraph("Nothing to name: there is no spread to narrow.")]
    parts: list[Block] = [paragraph(f"{told(result.measure_first)}.")]
    share = next(s for s in result.shares if s.measurement == result.measure_first)
    band = math.sqrt(max(0.0, 1.0 - share.share))
    parts.append(
        paragraph(
            f"It settles {told(share.name)}: known, {100 * share.share:.0f} % of the variance of "
            f"the least margin goes, and the band is about {100 * band:.0f} % as wide. Required "
            f"flow for the bench: {MASS_FLOW.words(result.requirement.required, 1)}."
        )
    )
    if result.as_good:
        parts.append(paragraph("As good, so far as these draws can tell:"))
        parts.append(bullets(result.as_good))
    return parts
