"""What ``flowsim routing`` prints: the findings first, then what they rest on."""

import math
from collections.abc import Iterable
from typing import TypeVar

from flowsim.document.blocks import Block
from flowsim.document.build import bullets, heading, pairs, paragraph, table
from flowsim.document.document import About, Document, passage
from flowsim.document.words.telling import told
from flowsim.files.results.routing_json import fittings_told
from flowsim.files.units import shown as to
from flowsim.measures import LENGTH, LITTLE, MASS_FLOW, SMALL_MASS, VOLUME_FLOW, Measure
from flowsim.reports.pages.of_the_case import of_the_case
from flowsim.reports.render.terminal import render
from flowsim.reports.words.units import clean, number
from flowsim.studies.routing.result import Grade, HighPoint, LowPoint, RoutingResult

Trap = TypeVar("Trap", LowPoint, HighPoint)

_HEADS = {
    Grade.MEND: "Fix",
    Grade.UNKNOWN: "Undetermined",
    Grade.LOOK: "Check",
}
_COUNTED = {Grade.MEND: "to fix", Grade.UNKNOWN: "undetermined", Grade.LOOK: "to check"}
_SAYS = {
    Grade.MEND: "Fix these before fuel goes in.",
    Grade.UNKNOWN: "That is no pass: state or measure what is undetermined.",
    Grade.LOOK: "Look at these at the aeroplane.",
}


def routing_text(
    result: RoutingResult,
    case_file: str,
    *,
    attitude: str | None = None,
    width: int = 80,
    styled: bool = False,
) -> str:
    """Give the routing study as text.

    Parameters
    ----------
    result : RoutingResult
        The answer.
    case_file : str
        The case file's name as it was given.
    attitude : str, optional
        Show low and high points of this attitude only; all of them if not given.
    width : int
        Columns, kept between 40 and 100.
    styled : bool
        Whether bold may be used.

    Returns
    -------
    str
        Lines of ASCII but for names from the case.
    """
    return render(routing_document(result, case_file, attitude), width, styled=styled)


def routing_document(
    result: RoutingResult, case_file: str, attitude: str | None = None
) -> Document:
    """Give what the study found, to be printed alone or in a larger report."""
    found = passage(
        About.FOUND,
        _answer(result),
        _findings(result),
        _attitudes(result),
        _runs(result),
        _lows(result, attitude),
        _highs(result, attitude),
        _refills(result),
        _laying(result),
        _near(result),
        _cuts(result),
        _ticks(result),
    )
    return Document(
        title=clean(result.title),
        passages=(
            passage(About.HEAD, pairs([("case", case_file)], 0)),
            found,
            *of_the_case(
                result.of_the_case,
                case_file,
                own=result.assumptions,
                cautioned=result.cautions,
            ),
        ),
    )


def _answer(result: RoutingResult) -> list[Block]:
    counts = dict.fromkeys(_COUNTED, 0)
    for finding in result.findings:
        counts[finding.grade] += 1
    answer = ", ".join(f"{count} {_COUNTED[grade]}" for grade, count in counts.items())
    gravest = next((grade for grade, count in counts.items() if count), None)
    said = _SAYS.get(gravest, "") if gravest else ""
    return [heading(f"By this estimate: {answer}"), *([paragraph(said)] if said else [])]


def _attitudes(result: RoutingResult) -> list[Block]:
    rows = []
    for view in result.attitudes:
        turned = to.degrees(view.roll)
        lean = "" if turned == 0.0 else f", {'bank' if view.name == 'banked' else 'roll'} "
        lean += "" if turned == 0.0 else f"{turned:.1f} deg"
        rows.append(
            f"{view.name}: pitch {to.degrees(view.pitch):+.1f} deg{lean} ({told(view.words)})"
        )
    rows += [f"not known: {told(words)}" for words in result.missing_attitudes]
    return [heading("Attitudes looked at"), bullets(rows)]


def _findings(result: RoutingResult) -> list[Block]:
    parts: list[Block] = []
    for grade, words in _HEADS.items():
        mine = [finding for finding in result.findings if finding.grade is grade]
        if not mine:
            continue
        parts.append(heading(f"{words} ({len(mine)})"))
        parts.append(
            bullets(
                f"{item.topic}, {told(item.item)}: {told(item.words)}. [{told(item.source)}]"
                for item in mine
            )
        )
    if not parts:
        parts = [
            heading("Findings"),
            paragraph("Nothing was found in what was looked at. Look along each line yourself."),
        ]
    return parts


def _runs(result: RoutingResult) -> list[Block]:
    names = [view.name for view in result.attitudes]
    rows: list[list[str]] = []
    for run in result.runs:
        falls = [number(to.degrees(fall), 1) for fall in run.falls]
        name = f"{run.line} {run.number}" + (" (mean)" if run.is_mean else "")
        rows.append([name, *falls, run.sense, number(to.degrees(run.margin), 1)])
    low, high = (to.degrees(pitch) for pitch in result.pitch_band)
    return [
        heading("Slope of every straight run"),
        paragraph(
            "Degrees that it falls from the line's start to its end (negative: it rises). Margin: "
            f"least slope in its own sense from {low:.1f} to {high:.1f} deg of pitch, less the "
            f"{to.degrees(result.wanted_margin):.3g} deg that are wanted."
        ),
        table(["run", *names, "sense", "margin"], rows),
    ]


def _lows(result: RoutingResult, attitude: str | None) -> list[Block]:
    chosen = [p for p in result.low_points if attitude in (None, p.attitude)]
    parts: list[Block] = [heading("Low points")]
    if not chosen:
        return [*parts, paragraph("None in the attitudes looked at.")]
    parts.append(paragraph("What stays up to the lower spill point, all lines that meet there."))
    for words, group in _by_place(chosen):
        rows = [
            [
                point.attitude,
                LENGTH.cell(point.depth, 1),
                LITTLE.cell(point.volume, 1),
                _drain_words(point),
            ]
            for point in group
        ]
        parts.append(paragraph(words, above=1))
        parts.append(
            table(["attitude", f"deep {LENGTH.name}", f"holds {LITTLE.name}", "drain"], rows)
        )
    return parts


def _drain_words(point: LowPoint) -> str:
    if not point.drains:
        return "too little to matter" if point.is_drained else "none"
    best = min(point.drains, key=lambda drain: drain.left)
    if point.is_drained:
        return told(best.drain)
    return f"{told(best.drain)}, leaves {LITTLE.words(best.left, 1)}"


def _highs(result: RoutingResult, attitude: str | None) -> list[Block]:
    chosen = [p for p in result.high_points if attitude in (None, p.attitude)]
    parts: list[Block] = [heading("High points")]
    if not chosen:
        return [*parts, paragraph("None in the attitudes looked at, on lines of known course.")]
    parts.append(
        paragraph(
            "High: height over the higher spill point; air: what stands in the crest; column: head "
            "that its fall behind may hold back. At clearing: the flow in the leg that decides, "
            "with the air in place (in brackets the flow needed to sweep it out for sure), "
            f"{VOLUME_FLOW.name}. At the end: what arrives with the air (in brackets with full "
            f"lines), "
            f"{MASS_FLOW.name}."
        )
    )
    heads = [
        "attitude",
        "state",
        f"high {LENGTH.name}",
        f"air {LITTLE.name}",
        f"column {LENGTH.name}",
        "at clearing",
        "at the end",
    ]
    for words, group in _by_place(chosen):
        parts.append(paragraph(words, above=1))
        parts.append(table(heads, [_high_row(point) for point in group], left=2))
    return parts


def _high_row(point: HighPoint) -> list[str]:
    def both(measure: Measure, first: float, second: float) -> str:
        if not (math.isfinite(first) and math.isfinite(second)):
            return "-"
        return f"{measure.cell(first, 0)} ({measure.cell(second, 0)})"

    return [
        point.attitude,
        point.state,
        LENGTH.cell(point.height, 0),
        LITTLE.cell(point.volume, 1),
        LENGTH.cell(point.column, 0),
        both(VOLUME_FLOW, point.flow, point.clearing_flow),
        both(MASS_FLOW, point.delivered_with_air, point.delivered),
    ]


def _by_place(
    points: Iterable[Trap],
) -> list[tuple[str, list[Trap]]]:
    found: dict[str, list[Trap]] = {}
    for point in points:
        found.setdefault(point.place.key, []).append(point)
    return [(told(group[0].place.words), group) for group in found.values()]


def _refills(result: RoutingResult) -> list[Block]:
    rows = [
        [
            item.outlet,
            item.attitude,
            item.answer,
            item.down_to if not item.broken_at else f"broken at {item.broken_at}",
            VOLUME_FLOW.cell(item.flow, 1),
        ]
        for item in result.refills
    ]
    return [
        heading("Refill after running dry"),
        paragraph(
            "A line vents itself where it falls without a break from the outlet to its lowest "
            "point. Past the rising air at most the last column runs down (vertical tube, an upper "
            f"bound); the engine's required flow is {MASS_FLOW.words(result.required, 1)}."
        ),
        table(
            ["outlet", "attitude", "answer", "down to", f"{VOLUME_FLOW.name} past air"],
            rows,
            left=4,
        ),
    ]


def _laying(result: RoutingResult) -> list[Block]:
    parts: list[Block] = [heading("Bends")]
    rows = [
        [
            f"{bend.line}, point {bend.point}",
            number(to.degrees(bend.angle), 1),
            LENGTH.cell(bend.radius, 1),
            "not known" if bend.least is None else LENGTH.cell(bend.least, 1),
        ]
        for bend in result.bends
    ]
    if rows:
        parts.append(table(["bend", "deg", f"radius {LENGTH.name}", f"least {LENGTH.name}"], rows))
    else:
        parts.append(paragraph("None on lines of known course."))
    spans = [
        [
            f"{span.line}, {LENGTH.cell(span.start, 0)} to {LENGTH.cell_with_unit(span.end, 0)}",
            "not known" if span.largest is None else LENGTH.cell(span.largest, 0),
            "not known" if math.isnan(span.sag) else LENGTH.cell(span.sag, 1),
            "not known" if math.isnan(span.sag_fixed) else LENGTH.cell(span.sag_fixed, 1),
            "not known" if math.isnan(span.dip) else LENGTH.cell(span.dip, 1),
        ]
        for span in result.spans
    ]
    parts.append(heading("Supports and sag"))
    if not spans:
        return [*parts, paragraph("No line has its supports stated.")]
    return [
        *parts,
        paragraph(
            "Sag, filled, with ends free to turn and with clamped ends; the dip is that of free "
            "ends in the flattest attitude."
        ),
        table([f"span, {LENGTH.name}", "at most", "sag", "clamped", "dip"], spans),
    ]


def _near(result: RoutingResult) -> list[Block]:
    parts: list[Block] = [heading("Clearances")]
    nearest = sorted(result.clearances, key=lambda item: item.gap - item.wanted)[:12]
    rows = [
        [
            f"{item.line} - {item.other} ({item.kind})",
            LENGTH.cell(item.gap, 1),
            LENGTH.cell(item.wanted, 1),
        ]
        for item in nearest
    ]
    if rows:
        parts.append(paragraph("The nearest, surface to surface; all of them are in --json."))
        parts.append(table(["between", f"gap {LENGTH.name}", f"wanted {LENGTH.name}"], rows))
    else:
        parts.append(paragraph("Nothing to compare."))
    parts.append(heading("Where lines cross in a view"))
    crossed = [
        f"{item.view} view: {item.outside} passes {told(item.words)} {item.inside}, "
        f"{LENGTH.words(item.apart, 0)} apart, at station {LENGTH.cell(item.at.station, 0)}, "
        f"buttline {LENGTH.cell(item.at.buttline, 0)}, waterline "
        f"{LENGTH.cell_with_unit(item.at.waterline, 0)}"
        for item in result.crossings
    ]
    parts.append(bullets(crossed) if crossed else paragraph("Nowhere."))
    return parts


def _cuts(result: RoutingResult) -> list[Block]:
    rows = [
        [
            f"{cut.line}: {told(cut.size)}, {cut.material}",
            LENGTH.cell(cut.cut, 0),
            str(cut.pieces),
            str(cut.bends),
            "?" if cut.supports < 0 else str(cut.supports) + ("" if cut.supports_stated else "*"),
            str(cut.sleeves) + (f" + {cut.wraps}" if cut.wraps else ""),
            SMALL_MASS.cell(cut.tube_mass, 0),
            LITTLE.cell(cut.fuel_volume, 0),
        ]
        for cut in result.cuts
    ]
    known = [cut.tube_mass for cut in result.cuts if math.isfinite(cut.tube_mass)]
    tube, sleeves = sum(known), sum(cut.sleeve_mass for cut in result.cuts)
    fuel = sum(cut.fuel_mass for cut in result.cuts)
    left_out = len(result.cuts) - len(known)
    words = f"Tube and hose {SMALL_MASS.words(tube, 0)}, sleeves {SMALL_MASS.words(sleeves, 0)}, "
    words += f"fuel in the lines {SMALL_MASS.words(fuel, 0)}"
    words += f"; {left_out} lines of unknown material left out." if left_out else "."
    return [
        heading("Cut list"),
        paragraph(
            "To cut, with trim at both ends of each piece, make-up taken off. * supports that the "
            "table asks for, none are stated. Sleeves + anti-chafe wraps; wraps are not weighed."
        ),
        table(
            [
                "line",
                f"cut {LENGTH.name}",
                "pieces",
                "bends",
                "held",
                "sleeves",
                SMALL_MASS.name,
                f"holds {LITTLE.name}",
            ],
            rows,
        ),
        paragraph(words),
        paragraph(
            "Fittings: " + "; ".join(f"{count} {name}" for name, count in fittings_told(result))
        ),
    ]


def _ticks(result: RoutingResult) -> list[Block]:
    if not result.ticks:
        return []
    return [
        heading("To tick off at the aeroplane"),
        bullets(f"[ ] {told(item)}" for item in result.ticks),
    ]
