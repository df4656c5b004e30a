"""The tornado picture: how far each input moves the least margin, as text bars and as SVG."""

import io
import math
from dataclasses import dataclass
from typing import Any

from flowsim.reports.words.units import clean
from flowsim.studies.uncertainty.study import UncertaintyResult

SHOWN = 12
"""Inputs shown, those that move most."""


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
        Bar(name, 100.0 * low, 100.0 * high)
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
        rows.append((bar.name, f"{bar.low:.1f}", f"{bar.high:.1f}", "".join(cells)))
    return rows


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
    import matplotlib as mpl

    mpl.use("svg")
    with mpl.rc_context({"svg.hashsalt": "flowsim", "font.size": 9, "svg.fonttype": "none"}):
        buffer = io.StringIO()
        _figure(result).savefig(buffer, format="svg", metadata={"Date": None, "Creator": "flowsim"})
    return buffer.getvalue()


def _figure(result: UncertaintyResult) -> Any:
    from matplotlib.figure import Figure

    some = bars(result)[::-1]
    middle = 100.0 * result.moved.middle
    rows = max(len(some), 1)
    figure = Figure(figsize=(7.5, 1.7 + 0.3 * rows), layout="constrained")
    axes = figure.subplots()
    for index, bar in enumerate(some):
        axes.barh(index, bar.low - middle, left=middle, color="0.45", edgecolor="black")
        axes.barh(
            index, bar.high - middle, left=middle, color="white", edgecolor="black", hatch="///"
        )
    axes.set_yticks(range(len(some)), [_plain(bar.name) for bar in some])
    axes.axvline(middle, color="black", linewidth=0.8)
    required = axes.axvline(100.0, color="black", linestyle="--", linewidth=1.2)
    required.set_label("required flow")
    axes.set_xlabel("least flow, % of the required\n(one input moved, the others at their medians)")
    axes.set_ylabel("uncertain input")
    handles = [
        _patch("0.45", "", "input at its 5th percentile"),
        _patch("white", "///", "input at its 95th percentile"),
        required,
    ]
    figure.legend(handles=handles, loc="outside lower center", ncols=3, frameon=False, fontsize=8)
    axes.set_title(_plain(result.title), fontsize=10)
    return figure


def _plain(text: str) -> str:
    """Keep text of a case from being read as a formula."""
    return clean(text).replace("$", r"\$")


def _patch(colour: str, hatch: str, label: str) -> Any:
    from matplotlib.patches import Patch

    return Patch(facecolor=colour, edgecolor="black", hatch=hatch, label=label)
