"""Charts: bands against the requirement, flow against pitch, margin map, ranking."""

from itertools import groupby

from flowsim.document.pictures import AxisMark, Bands, Flow, FlowCurve, FlowPoint, Margin, Ranking
from flowsim.measures import MASS_FLOW, VOLUME
from flowsim.reports.figures.drawing import WIDTH, Axis, Drawing, axes, rows_of_words, shortened
from flowsim.reports.words.units import (
    RUNS_BACK,
    percent_words,
    ratio_span,
    ratio_words,
    runs_back,
)

STYLES = 12
"""Looks of curves that can be told apart: six patterns of dashes, thick and thin."""
PITCH = "pitch, degrees (nose-up positive)"
_FLOOR = (100.0, 125.0, 150.0, 200.0)
"""[%] Limits of the shades of the margin map."""
_KEYS = ("below 100", "100-125", "125-150", "150-200", "over 200")


def draw_bands(picture: Bands) -> Drawing:
    """Draw the band of every requirement on a common scale."""
    row = 48.0
    drawing = Drawing(30.0 + row * len(picture.rows) + 34.0)
    values = [
        value
        for item in picture.rows
        for value in (item.low_percent, item.high_percent, item.nominal_percent)
        if value is not None and value > 0.0
    ]
    low = min([50.0, *(0.9 * value for value in values)])
    x = Axis(max(low, 1.0), max([200.0, *(1.1 * value for value in values)]), 12, WIDTH - 12, True)
    foot = 18.0 + row * len(picture.rows)
    for value in x.ticks(6):
        drawing.line(x.at(value), 16.0, x.at(value), foot, "gd")
        drawing.words(x.at(value), foot + 14.0, f"{value:g}", "ts", anchor="middle")
    drawing.words(x.at(100.0) + 5.0, 11.0, "required = 100 %", "tm")
    drawing.words(
        0.5 * WIDTH, foot + 30.0, "least flow, percent of the required (log scale)", anchor="middle"
    )
    for place, item in enumerate(picture.rows):
        top = 20.0 + row * place
        drawing.line(x.at(100.0), top + 26.0, x.at(100.0), top + 44.0, "rq")
        nominal = item.nominal_percent
        shown = ratio_words(None if nominal is None else nominal / 100.0)
        if item.low_percent is not None and item.high_percent is None:
            shown += f", band over {percent_words(item.low_percent / 100.0)}"
        elif item.low_percent is not None and item.high_percent is not None:
            shown = ratio_span(item.low_percent / 100.0, item.high_percent / 100.0)
            if item.high_percent > 0.0:
                left, right = x.at(max(item.low_percent, x.low)), x.at(item.high_percent)
                drawing.rect(left, top + 29.0, max(right - left, 1.5), 10.0, "b1")
        if item.middle_percent is not None and item.middle_percent > 0.0:
            middle = x.at(item.middle_percent)
            drawing.line(middle, top + 25.0, middle, top + 43.0, "te")
        if item.nominal_percent is not None and item.nominal_percent > 0.0:
            drawing.circle(x.at(item.nominal_percent), top + 34.0, 4.0, "sg")
        drawing.words(14.0, top + 9.0, shortened(item.name, 54), "tb")
        drawing.words(14.0, top + 22.0, shown)
    return drawing


def _flow(kg_per_h: float) -> float:
    """Give a flow of a picture [kg/h] in the unit shown."""
    return MASS_FLOW.of(kg_per_h / 3600.0)


def _volume(litres: float) -> float:
    """Give a quantity of a picture [L] in the unit shown."""
    return VOLUME.of(1e-3 * litres)


def draw_flow(picture: Flow) -> Drawing:
    """Draw flow against pitch with requirement, burn, attitudes, band and judged range."""
    curves = [curve for curve in picture.curves if curve.points]
    head = 22.0 + 13.0 * _mark_rows(picture.marks)
    back = any(runs_back(p.kg_per_h, 0.05) for curve in curves for p in curve.points)
    drawing = Drawing(head + 226.0 + 42.0 + 15.0 * (len(curves) + back))
    pitches = [point.pitch_deg for curve in curves for point in curve.points]
    x = Axis(min(pitches), max(pitches), 44.0, WIDTH - 10.0)
    top = 1.06 * _flow(max(picture.top_kg_per_h, picture.required_kg_per_h))
    required, burn = _flow(picture.required_kg_per_h), _flow(picture.burn_kg_per_h)
    y = Axis(0.0, top, head + 226.0, head)
    if picture.judged_deg is not None:
        left, right = (x.at(value) for value in picture.judged_deg)
        drawing.rect(left, y.end, right - left, y.start - y.end, "jd")
    if len(picture.band) > 1:
        upper = [(x.at(b.pitch_deg), y.at(_flow(b.high_kg_per_h))) for b in picture.band]
        lower = [(x.at(b.pitch_deg), y.at(_flow(b.low_kg_per_h))) for b in reversed(picture.band)]
        drawing.polygon([*upper, *lower], "bd")
    axes(drawing, x, y, PITCH, f"flow, {MASS_FLOW.name}")
    _attitudes(drawing, picture.marks, x, y)
    for curve in curves:
        _curve(drawing, curve.points, x, y, _look(curve))
    for value, look, words, tone in (
        (required, "rq", f"required {required:.1f}", "tm"),
        (burn, "bn", f"full-power burn {burn:.1f}", "tm"),
    ):
        drawing.line(x.start, y.at(value), x.end, y.at(value), look)
        down = 12.0 if look == "bn" else -4.0
        drawing.words(x.end - 2.0, y.at(value) + down, words, tone, anchor="end")
    drawing.words(4.0, 12.0, picture.title, "tb")
    for number, curve in enumerate(curves):
        foot = y.start + 46.0 + 15.0 * number
        drawing.line(6.0, foot - 4.0, 42.0, foot - 4.0, _look(curve))
        drawing.words(48.0, foot, shortened(curve.name, 50))
    if back:  # an axis holds what lies beyond it at its end
        drawing.words(6.0, y.start + 46.0 + 15.0 * len(curves), f"on the zero line: {RUNS_BACK}")
    return drawing


def draw_margin(picture: Margin) -> Drawing:
    """Draw percent of the required flow as shades over pitch and quantity."""
    head = 22.0 + 13.0 * _mark_rows(picture.pitch_marks)
    drawing = Drawing(head + 210.0 + 86.0)
    drawing.patterns.append(
        '<pattern id="PATTERN-h" width="6" height="6" patternUnits="userSpaceOnUse" '
        'patternTransform="rotate(45)"><line class="hl" x1="0" y1="0" x2="0" y2="6"/></pattern>'
        '<pattern id="PATTERN-d" width="5" height="5" patternUnits="userSpaceOnUse">'
        '<circle class="hd" cx="2.5" cy="2.5" r=".9"/></pattern>'
    )
    half = 0.5 * (picture.pitch_deg[1] - picture.pitch_deg[0])
    levels = [_volume(value) for value in picture.litres]
    step = levels[0]
    x = Axis(picture.pitch_deg[0] - half, picture.pitch_deg[-1] + half, 44.0, WIDTH - 10.0)
    y = Axis(0.0, levels[-1] + 0.5 * step, head + 210.0, head)
    for level, row in enumerate(picture.percent):
        middle = levels[level]
        upper, lower = y.at(middle + 0.5 * step), y.at(max(middle - 0.5 * step, 0.0))
        shades = [(_shade(v), air) for v, air in zip(row, picture.air[level], strict=True)]
        first = 0
        for (shade, air), group in groupby(shades):
            last = first + len(list(group)) - 1
            left = x.at(picture.pitch_deg[first] - half)
            right = x.at(picture.pitch_deg[last] + half)
            drawing.rect(left, upper, right - left, lower - upper + 0.3, f"{shade} ml")
            for pattern, on in (("h", shade == "m0"), ("d", air and shade != "m0")):
                if on:
                    drawing.items.append(
                        f'<rect fill="url(#PATTERN-{pattern})" x="{left:.1f}" y="{upper:.1f}" '
                        f'width="{right - left:.1f}" height="{lower - upper:.1f}"/>'
                    )
            first = last + 1
    axes(drawing, x, y, PITCH, f"in each tank, {VOLUME.name}")
    left, right = (x.at(value) for value in picture.judged_deg)
    drawing.rect(left, y.end, right - left, y.start - y.end, "fr")
    _attitudes(drawing, picture.pitch_marks, x, y)
    for mark in picture.litre_marks:
        value = _volume(mark.value)
        drawing.line(x.start, y.at(value), x.end, y.at(value), "bn")
        place = (x.end - 3.0, y.at(value) - 3.0)
        shown = round(value, 2 + VOLUME.unit.finer)
        drawing.words(*place, f"{mark.name} {shown:g} {VOLUME.name}", "tm", anchor="end")
    drawing.words(4.0, 12.0, picture.title, "tb")
    _margin_key(drawing, y.start + 40.0)
    return drawing


def draw_ranking(picture: Ranking) -> Drawing:
    """Draw what the spread comes from, the largest first."""
    row = 31.0
    drawing = Drawing(8.0 + row * len(picture.rows) + 36.0)
    most = max([1.0, *(item.share_percent + item.error_percent for item in picture.rows)])
    x = Axis(0.0, 1.05 * most, 12.0, WIDTH - 56.0)
    foot = 8.0 + row * len(picture.rows)
    for value in x.ticks(6):
        drawing.line(x.at(value), 4.0, x.at(value), foot, "gd")
        drawing.words(x.at(value), foot + 13.0, f"{value:g}", "ts", anchor="middle")
    for place, item in enumerate(picture.rows):
        top = 8.0 + row * place
        right = x.at(max(item.share_percent, 0.0))
        drawing.words(12.0, top + 10.0, shortened(item.name, 54))
        drawing.rect(x.start, top + 14.0, right - x.start, 10.0, "b1")
        drawing.words(right + 5.0, top + 23.0, f"{item.share_percent:.1f}", "tb")
    drawing.words(0.5 * WIDTH, foot + 29.0, "share of the spread, percent", anchor="middle")
    return drawing


def _shade(percent: float | None) -> str:
    if percent is None:
        return "mx"
    return f"m{sum(percent >= floor for floor in _FLOOR)}"


def _margin_key(drawing: Drawing, top: float) -> None:
    drawing.words(4.0, top + 9.0, "percent of the required; dots: limited by air", "ts")
    wide = (WIDTH - 8.0) / len(_KEYS)
    for number, words in enumerate(_KEYS):
        left = 4.0 + wide * number
        drawing.rect(left, top + 16.0, wide - 4.0, 12.0, f"m{number} ml")
        if number == 0:
            drawing.items.append(
                f'<rect fill="url(#PATTERN-h)" x="{left:.1f}" y="{top + 16.0:.1f}" '
                f'width="{wide - 4.0:.1f}" height="12"/>'
            )
        middle = left + 0.5 * wide - 2.0
        drawing.words(middle, top + 30.0 + 9.0, words, anchor="middle")


def _look(curve: FlowCurve) -> str:
    return f"c{curve.style % STYLES}"


def _curve(drawing: Drawing, points: tuple[FlowPoint, ...], x: Axis, y: Axis, look: str) -> None:
    """Draw a curve, broken where a solve failed, with a sign at about every third degree."""
    for known, group in groupby(points, key=lambda point: point.kg_per_h is not None):
        if known:
            drawing.chain(
                [
                    (x.at(p.pitch_deg), y.at(_flow(p.kg_per_h)))
                    for p in group
                    if p.kg_per_h is not None
                ],
                look,
            )
    last = -1e9
    for point in points:
        if point.kg_per_h is None or not point.sign or point.pitch_deg - last < 2.9:
            continue
        last = point.pitch_deg
        place = (x.at(point.pitch_deg), y.at(_flow(point.kg_per_h)))
        if point.sign == "uncovered":
            drawing.circle(*place, 2.6, "sg")
        else:
            drawing.triangle(*place, 3.6, "sf" if point.sign == "air drawn" else "sg")


def _mark_rows(marks: tuple[AxisMark, ...]) -> int:
    return len(marks)  # room for the worst: one row for each


def _attitudes(drawing: Drawing, marks: tuple[AxisMark, ...], x: Axis, y: Axis) -> None:
    """Mark the named attitudes; the test attitude with a full line."""
    ordered = sorted(marks, key=lambda mark: mark.value)
    named = [(x.at(mark.value), f"{mark.name} {mark.value:g}") for mark in ordered]
    rows = rows_of_words(named)
    for mark, (place, words), row in zip(ordered, named, rows, strict=True):
        top = y.end - 4.0 - 12.0 * row
        drawing.line(place, y.start, place, top, "te" if mark.name == "test" else "at")
        drawing.words(place, top - 2.0, words, anchor="middle")
