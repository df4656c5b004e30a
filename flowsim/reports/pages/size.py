"""What ``flowsim size`` prints: what each size gives, the smallest that is enough, the limit."""

import math

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, passage
from flowsim.document.words.telling import told
from flowsim.files.units import shown as to
from flowsim.measures import LENGTH, MASS, MASS_FLOW, VOLUME, VOLUME_FLOW, Measure
from flowsim.reports.pages.of_the_case import of_the_case
from flowsim.reports.render.terminal import render
from flowsim.reports.words.scenarios import short_name
from flowsim.reports.words.units import (
    clean,
    key_of_back,
    mass_flow_cell,
    ratio_cell,
    ratio_words,
    runs_back,
    with_unit,
)
from flowsim.studies.changes.resize import FittingNamed
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.sizing.edge_search import Edge
from flowsim.studies.sizing.inverse import EdgePair, Remarks
from flowsim.studies.sizing.study import SizeResult, SizingResult
from flowsim.studies.verdict.judging import SEVERITY

HELPFUL = 5
"""Parts listed with what taking them out would give."""

_SHORT = {
    Verdict.ADEQUATE: "enough",
    Verdict.NOT_ADEQUATE: "too little",
    Verdict.CANNOT_TELL: "cannot tell",
}
_OTHER = "see below"
"""Where the flow is enough, but something else is not."""


def size_text(
    result: SizingResult,
    edges: tuple[EdgePair, ...],
    notes: tuple[str, ...],
    case_file: str,
    *,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the report of the size study as text.

    Parameters
    ----------
    result : SizingResult
    edges : tuple of EdgePair
        Questions asked the other way round, in order.
    notes : tuple of str
        More on them.
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
    return render(size_document(result, edges, notes, case_file), width, styled=styled)


def size_document(
    result: SizingResult, edges: tuple[EdgePair, ...], notes: tuple[str, ...], case_file: str
) -> Document:
    """Give the report of the size study; see ``size_text``."""
    found = passage(
        About.FOUND,
        heading("Smallest size that is enough"),
        _answer(result),
        heading("What each size gives"),
        _flows(result),
        paragraph(_legend(result)),
        _others(result),
        heading("Decided by"),
        bullets(_decided(result)),
        heading("What each size holds and weighs"),
        _holds(result),
        paragraph(
            "Clears air: flow that carries air down the steepest falling leg of these lines "
            "(Wisner); a wider line needs more. Mass of the tube alone, by its material."
        ),
        _fittings(result),
        _limit(result),
        edge_parts(edges, notes),
    )
    return Document(
        title=clean(result.title),
        passages=(
            passage(About.HEAD, _head(result, case_file)),
            found,
            *of_the_case(result.assumptions, case_file),
        ),
    )


def edges_text(
    title: str,
    edges: tuple[EdgePair, ...],
    notes: tuple[str, ...],
    remarks: Remarks,
    case_file: str,
    *,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the answers of questions asked the other way round alone; see ``size_text``."""
    document = Document(
        title=clean(title),
        passages=(
            passage(About.HEAD, pairs([("case", case_file)], 0)),
            passage(About.FOUND, edge_parts(edges, notes)),
            *of_the_case(remarks.assumptions, case_file),
        ),
    )
    return render(document, width, styled=styled)


def edge_parts(edges: tuple[EdgePair, ...], notes: tuple[str, ...]) -> list[Block]:
    """Give the section of edges; empty where nothing was asked."""
    if not edges:
        return []
    rows = []
    for pair in edges:
        rows.append((pair.nominal.question, f"as it is {_value(pair.nominal, present=True)}"))
        rows.append(("", f"nominal values: {edge_words(pair.nominal)}"))
        if pair.band is not None:
            rows.append(("", f"5th percentile: {edge_words(pair.band)}"))
    parts: list[Block] = [
        heading("Where the requirement is just met"),
        paragraph("One thing changes, everything else stays as it is."),
        pairs(rows),
    ]
    if notes:
        parts.append(bullets(notes))
    return parts


def edge_words(edge: Edge) -> str:
    """Say an edge in one phrase."""
    if math.isfinite(edge.value):
        side = "at least" if edge.meets_above else "at most"
        return f"{side} {_value(edge)}"
    low, high = _number(edge, edge.low), _number(edge, edge.high)
    where = "everywhere" if edge.always else "nowhere"
    return f"met {where} between {low} and {high}"


def _value(edge: Edge, *, present: bool = False) -> str:
    return _number(edge, edge.present if present else edge.value)


def _number(edge: Edge, value: float) -> str:
    if edge.unit == "m":
        signed = edge.low < 0.0 < value  # a change, not a size
        text = LENGTH.words(value, 0)
        return f"+{text}" if signed else text
    if edge.unit == "rad":
        return with_unit(to.degrees(value), 2, "deg")
    if edge.unit == "m3":
        return VOLUME.words(value, 2)
    return f"{value:.4g} times the loss as it is"


def _head(result: SizingResult, case_file: str) -> Block:
    if result.draws:
        basis = f"nominal values and {result.draws} Monte Carlo draws (seed {result.seed})"
    else:
        basis = "nominal values only: nothing is allowed for what is uncertain"
    return pairs(
        [
            ("case", case_file),
            ("lines", ", ".join(result.lines)),
            ("judged on", basis),
            ("friction", "the cautious law"),
        ],
        0,
    )


def _answer(result: SizingResult) -> list[Block]:
    rows = [("on nominal values", _name(result, result.smallest_nominal))]
    if result.draws:
        rows.append(("at the 5th percentile", _name(result, result.smallest_low)))
    parts: list[Block] = [pairs(rows)]
    chosen = result.smallest_low if result.draws else result.smallest_nominal
    if chosen is None:
        short = all(_judged(item) != _OTHER for item in result.sizes)
        below = "Limit" if short else "What no size mends"
        parts.append(paragraph(f"No size in the list is enough: see {below} below."))
    else:
        parts.append(paragraph("By this estimate, not an approval; the ground test decides."))
    return parts


def _name(result: SizingResult, index: int | None) -> str:
    return "none in the list" if index is None else told(result.sizes[index].size.name)


def _flows(result: SizingResult) -> Block:
    rows = []
    for item in result.sizes:
        if item.problem:
            rows.append((_mark(item), "-", "-", "-", "-", "no result"))
            continue
        rows.append(
            (
                _mark(item),
                ratio_cell(item.least),
                "-" if item.least_low is None else ratio_cell(item.least_low),
                mass_flow_cell(item.flow),
                _left(item),
                _judged(item),
            )
        )
    names = ("size", "least, %", "5th pct, %", MASS_FLOW.name, f"left, {LENGTH.name}", "judged")
    return table(names, rows)


def _judged(item: SizeResult) -> str:
    """Judge the flow in a word; where it is enough and something else is not, say so."""
    if item.flow_is_enough and item.verdict is not Verdict.ADEQUATE:
        return _OTHER
    verdicts = [d.verdict for d in item.decisions if d.topic is Topic.FLOW]
    return _SHORT[max(verdicts, key=lambda verdict: SEVERITY[verdict], default=item.verdict)]


def _others(result: SizingResult) -> list[Block]:
    """Say what decides beside the flow where it is not adequate, and what to do about it."""
    by: dict[tuple[str, str, str], list[str]] = {}
    solved = [item for item in result.sizes if not item.problem]
    for item in solved:
        for one in item.decisions:
            open_ = not one.informs and one.verdict is not Verdict.ADEQUATE
            if open_ and one.topic is not Topic.FLOW:
                key = told(one.name), one.verdict.value, told(one.remedy)
                by.setdefault(key, []).append(told(item.size.name))
    if not by:
        return []
    said = [
        f"{name}: {word} with {'every size' if len(sizes) == len(solved) else '; '.join(sizes)}. "
        f"Try: {remedy}."
        for (name, word, remedy), sizes in by.items()
    ]
    return [heading("What no size mends, or not every size"), bullets(said)]


def _left(item: SizeResult) -> str:
    """Give the head left over; none where nothing flows at all, which is no failed solve."""
    nothing = math.isnan(item.head_left) and item.flow <= 0.0
    return "none" if nothing else LENGTH.cell(item.head_left, 0)


def _mark(item: SizeResult) -> str:
    return f"{told(item.size.name)} <" if item.is_present else told(item.size.name)


def _legend(result: SizingResult) -> str:
    words = (
        "Least: least flow of all judged scenarios, in percent of what each requires, nominal "
        "values. 5th pct: 5th percentile of the least of all lines in each draw; where several "
        "lines are as weak it lies a little under each line's own, which check gives. "
        f"{MASS_FLOW.name} and left: flow, and head left over at the required flow (at "
        "the inlet; with a carburettor behind screen and needle), in the scenario that decides. "
        "< as it is."
    )
    least = [item.least for item in result.sizes] + [item.least for item in result.limit]
    back = key_of_back(ratio_cell(value) for value in least)
    problems = [f"{told(item.size.name)}: {item.problem}." for item in result.sizes if item.problem]
    return " ".join([words, *([back] if back else []), *problems])


def _decided(result: SizingResult) -> list[str]:
    by: dict[str, list[str]] = {}
    for item in result.sizes:
        if item.deciding is not None:
            by.setdefault(short_name(item.deciding), []).append(told(item.size.name))
    if len(by) == 1:
        return [f"every size: {words}" for words in by]
    return [f"{'; '.join(names)}: {words}" for words, names in by.items()]


def _holds(result: SizingResult) -> Block:
    rows = [
        (
            _mark(item),
            LENGTH.cell(item.size.bore, 2),
            _known(VOLUME_FLOW, item.clearing_flow, 0),
            VOLUME.cell(item.fuel_held, 3),
            _known(MASS, item.mass, 3),
        )
        for item in result.sizes
    ]
    return table(
        (
            "size",
            f"bore, {LENGTH.name}",
            f"clears air, {VOLUME_FLOW.name}",
            f"holds, {VOLUME.name}",
            f"tube, {MASS.name}",
        ),
        rows,
    )


def _known(measure: Measure, value: float, decimals: int) -> str:
    return measure.cell(value, decimals) if math.isfinite(value) else "not known"


def _fittings(result: SizingResult) -> list[Block]:
    """Say which fittings follow, where a size was put in."""
    changed = [
        item for item in result.sizes if not item.is_present and (item.followed or item.stayed)
    ]
    if not changed:
        return []
    parts: list[Block] = [
        heading("Fittings"),
        paragraph(
            "Fittings of the line's own bore, and flared fittings of its dash number where the new "
            "size has one, follow the size; everything else stays as it is."
        ),
    ]
    by: dict[tuple[tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for item in changed:
        by.setdefault((_things(item.followed), _things(item.stayed)), []).append(
            told(item.size.name)
        )
    for (followed, stayed), names in by.items():
        parts.append(paragraph("; ".join(names)))
        rows = [("follow", "; ".join(followed) or "none"), ("stay", "; ".join(stayed) or "none")]
        parts.append(pairs(rows, 4))
    remarks = [
        f"{told(item.size.name)}: {told(remark)}"
        for item in result.sizes
        for remark in item.remarks
    ]
    if remarks:
        parts += [paragraph("Remarks"), bullets(remarks, 4)]
    return parts


def _things(fittings: tuple[FittingNamed, ...]) -> tuple[str, ...]:
    """Name fittings without their bores, a line's formed bends as one thing."""
    lines = dict.fromkeys(item.bend_of for item in fittings if item.bend_of)
    others = [told(item.name) for item in fittings if not item.bend_of]
    return (*(f"{line}: its bends" for line in lines), *others)


def _limit(result: SizingResult) -> list[Block]:
    """Say which part is the limit, where no size is enough."""
    if result.limit_at is None or _judged(result.sizes[result.limit_at]) == _OTHER:
        return []
    best = result.sizes[result.limit_at]
    parts: list[Block] = [heading("Limit")]
    helped = [item for item in result.limit if item.least > best.least]
    if not result.limit or not helped:
        parts.append(paragraph("No part taken out would give more: the head itself is the limit."))
        return parts
    first = helped[0]
    arrives = f"{ratio_words(best.least)} of the required arrives"
    if runs_back(best.least, 0.0005):
        arrives = "no flow arrives, it runs back"
    without = f"it would be {ratio_words(first.least)}"
    if runs_back(first.least, 0.0005):
        without = "it still runs back"
    words = (
        f"With {told(best.size.name)}, which gives most, {arrives}. The limit then is "
        f"{told(first.part)}: without its loss {without}"
    )
    enough = first.least >= 1.0
    tail = "." if enough else ", still too little: one part alone is not the limit, head is short."
    parts.append(paragraph(words + tail))
    parts.append(
        table(
            ("part taken out", "least, %"),
            [(item.part, ratio_cell(item.least)) for item in helped[:HELPFUL]],
        )
    )
    return parts
