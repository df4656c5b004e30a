"""The tornado picture: how far each input moves the least margin, as text bars and as SVG."""

import math
from dataclasses import dataclass

from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import told
from flowsim.reports.figures.drawing import Axis, Drawing, shortened
from flowsim.reports.figures.looks import alone
from flowsim.reports.words.units import BACK, ratio_words, runs_back
from flowsim.studies.uncertainty.study import UncertaintyResult

SHOWN = 12
"""Inputs shown, those that move most."""
WIDTH, NAMES, HEAD, ROW = 760.0, 310.0, 28.0, 22.0
"""[px] Of the picture, of the room for names, of the title, and of a row."""
ACROSS = "least flow, % of the required (one input moved, the others at their medians)"


@dataclass(frozen=True, slots=True)
class Bar:
    """One input: least margin [% of required] at its 5th and at its 95th percentile."""

    name: str
    low: float
    high: float


def bars(result: UncertaintyResult, count: int = SHOWN) -> tuple[Bar, ...]:
    """Give the inputs that move the least margin most, longest bar first.

    Parameters
    ----------
    result : UncertaintyResult
    count : int
        At most so many.

    Returns
    -------
    tuple of Bar
        Inputs that move nothing, and those whose ends could not be solved, are left out.
    """
    found = [
        Bar(told(name), 100.0 * low, 100.0 * high)
        for name, low, high in zip(
            result.names, result.moved.low.tolist(), result.moved.high.tolist(), strict=True
        )
        if math.isfinite(low) and math.isfinite(high) and low != high
    ]
    return tuple(sorted(found, key=lambda bar: -abs(bar.high - bar.low))[:count])


def text_bars(result: UncertaintyResult, width: int) -> list[tuple[str, str, str, str]]:
    """Give rows for a table: name, percent at the 5th and 95th percentile, a bar of ``width``.

    The bar spans the extremes of all; ``-`` where the input at its 5th percentile lies, ``+`` at
    its 95th, ``|`` all inputs at their medians, ``R`` the requirement where it is inside.
    """
    some = bars(result)
    if not some or not math.isfinite(result.moved.middle):
        return []
    ends = [value for bar in some for value in (bar.low, bar.high)]
    low, high = min(ends), max(ends)
    span = max(high - low, 1e-9)

    def place(value: float) -> int:
        return min(width - 1, max(0, round((value - low) / span * (width - 1))))

    rows = []
    middle = 100.0 * result.moved.middle
    for bar in some:
        cells = [" "] * width
        first, last = sorted((place(bar.low), place(bar.high)))
        for index in range(first, last + 1):
            cells[index] = "="
        cells[place(bar.low)], cells[place(bar.high)] = "-", "+"
        cells[place(middle)] = "|"
        if low <= 100.0 <= high:
            cells[place(100.0)] = "R"
        rows.append((bar.name, _end(bar.low), _end(bar.high), "".join(cells)))
    return rows


def _end(percent: float) -> str:
    return BACK if runs_back(percent, 0.05) else f"{percent:.1f}"


def _said(bar: Bar) -> str:
    """Say both ends of a bar, the one at the 5th percentile first."""
    low, high = (ratio_words(percent / 100.0) for percent in (bar.low, bar.high))
    return low if low == high else f"{low} to {high}"


def tornado_svg(result: UncertaintyResult) -> str:
    """Draw the picture.

    Parameters
    ----------
    result : UncertaintyResult

    Returns
    -------
    str
        SVG in greys, the same bytes for the same result; the requirement drawn, axes named.
    """
    some, middle = bars(result), 100.0 * result.moved.middle
    foot = HEAD + ROW * max(len(some), 1)
    drawing = Drawing(foot + 82.0, WIDTH)
    drawing.words(4.0, 16.0, result.title, "tb")
    ends = [100.0, *(value for bar in some for value in (bar.low, bar.high, middle))]
    x = _axis(ends)
    for value in x.ticks(8):
        drawing.line(x.at(value), HEAD, x.at(value), foot, "gd")
        if value >= 0.0:
            drawing.words(x.at(value), foot + 14.0, f"{value:g}", "ts", anchor="middle")
    if x.low < -5.0:  # [%] room for the words
        below = 0.5 * (x.at(x.low) + x.at(0.0))
        drawing.words(below, foot + 14.0, "runs back", "ts", anchor="middle")
    for place, bar in enumerate(some):
        top = HEAD + ROW * place
        drawing.words(NAMES - 8.0, top + 14.0, shortened(bar.name, 44), anchor="end")
        for value, look in ((bar.high, "bx"), (bar.low, "b1")):
            left, right = sorted((x.at(middle), x.at(value)))
            drawing.rect(left, top + 4.0, right - left, 14.0, look)
    if some:
        drawing.line(x.at(middle), HEAD, x.at(middle), foot, "te")
    drawing.line(x.at(100.0), HEAD, x.at(100.0), foot, "rq")
    drawing.words(0.5 * (NAMES + WIDTH), foot + 32.0, ACROSS, anchor="middle")
    _key(drawing, foot + 52.0)
    drawing.words(4.0, foot + 72.0, ALWAYS[0], "ts")
    said = "; ".join(f"{bar.name} {_said(bar)}" for bar in some)
    return alone(
        drawing,
        "tornado",
        f"How far each input moves the least flow: {said or 'none'}. {ALWAYS[0]}",
    )


def _axis(values: list[float]) -> Axis:
    known = [value for value in values if math.isfinite(value)]
    low, high = min(known), max(known)
    room = 0.04 * max(high - low, 1.0)
    return Axis(low - room, high + room, NAMES, WIDTH - 12.0)


def _key(drawing: Drawing, foot: float) -> None:
    for place, (look, words) in enumerate(
        (("b1", "input at its 5th percentile"), ("bx", "input at its 95th percentile"))
    ):
        drawing.rect(40.0 + 230.0 * place, foot - 9.0, 28.0, 10.0, look)
        drawing.words(76.0 + 230.0 * place, foot, words)
    drawing.line(500.0, foot - 4.0, 528.0, foot - 4.0, "rq")
    drawing.words(536.0, foot, "required flow")
