"""A drawing in SVG whose looks are classes, so that page, print and PDF can colour it alike."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from html import escape

from flowsim.reports.words.units import clean

WIDTH = 330.0
"""Width of every picture in its own units: that of a narrow telephone in pixels, edges off."""
SIZE = 11.0
"""Size of words in the same units; smaller ones cannot be read there."""
LETTER = 0.6
"""Usual width of a letter over the size of the words."""

Points = Sequence[tuple[float, float]]


@dataclass(slots=True)
class Drawing:
    """Shapes collected on a sheet of ``WIDTH`` by ``height``; ``boxes`` are where words stand."""

    height: float
    width: float = WIDTH
    items: list[str] = field(default_factory=list)
    boxes: list[tuple[float, float, float, float]] = field(default_factory=list)
    patterns: list[str] = field(default_factory=list)

    def line(self, x1: float, y1: float, x2: float, y2: float, look: str) -> None:
        """Draw a straight line."""
        self.items.append(
            f'<line class="{look}" x1="{_n(x1)}" y1="{_n(y1)}" x2="{_n(x2)}" y2="{_n(y2)}"/>'
        )

    def chain(self, points: Points, look: str) -> None:
        """Draw a chain of straight pieces; nothing for a single point."""
        if len(points) > 1:
            self.items.append(f'<polyline class="{look}" points="{places(points)}"/>')

    def polygon(self, points: Points, look: str) -> None:
        """Draw a closed shape."""
        if len(points) > 2:
            self.items.append(f'<polygon class="{look}" points="{places(points)}"/>')

    def rect(self, x: float, y: float, width: float, height: float, look: str) -> None:
        """Draw a rectangle; nothing without a size."""
        if width > 0.0 and height > 0.0:
            self.items.append(
                f'<rect class="{look}" x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" '
                f'height="{_n(height)}"/>'
            )

    def circle(self, x: float, y: float, radius: float, look: str) -> None:
        """Draw a circle."""
        self.items.append(f'<circle class="{look}" cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"/>')

    def triangle(self, x: float, y: float, size: float, look: str) -> None:
        """Draw a triangle that stands on its foot."""
        low = y + 0.6 * size
        self.polygon([(x, y - size), (x - size, low), (x + size, low)], look)

    def words(
        self,
        x: float,
        y: float,
        text: str,
        look: str = "tx",
        *,
        anchor: str = "start",
        size: float = SIZE,
        turned: float = 0.0,
    ) -> None:
        """Write words with their foot at a place; a halo keeps lines from hiding them."""
        turn = f' transform="rotate({_n(turned)} {_n(x)} {_n(y)})"' if turned else ""
        self.items.append(
            f'<text class="{look}" x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}" '
            f'text-anchor="{anchor}"{turn}>{escape(clean(text))}</text>'
        )
        if not turned:
            wide = size * LETTER * len(text)
            left = x - {"start": 0.0, "middle": 0.5 * wide, "end": wide}[anchor]
            self.boxes.append((left, y - size, left + wide, y + 0.25 * size))

    def label(self, x: float, y: float, text: str, look: str = "tx", size: float = SIZE) -> None:
        """Write words near a place, where no other words stand."""
        wide = size * LETTER * len(text)
        best, least = (x + 6.0, y - 5.0), math.inf
        for away in (7.0, 16.0, 27.0, 40.0):
            for angle in (-40, -140, 40, 140, 0, 180, -90, 90):
                dx, dy = (away * f(math.radians(angle)) for f in (math.cos, math.sin))
                left = x + dx - (wide if dx < -1 else 0.5 * wide if abs(dx) <= 1 else 0.0)
                foot = y + dy + 0.35 * size
                hidden = self._overlap((left, foot - size, left + wide, foot + 0.25 * size))
                if hidden < least:
                    best, least = (left, foot), hidden
            if least == 0.0:
                break
        if math.dist(best, (x, y)) > 22.0 + wide:
            self.line(x, y, best[0] + 0.5 * wide, best[1] - 0.4 * size, "gd")
        self.words(*best, text, look, size=size)

    def beside(self, x: float, y: float, lines: Sequence[str], away: float, size: float) -> None:
        """Write a few short lines to the side of a mark where less is hidden."""
        wide = size * LETTER * max(len(line) for line in lines)
        high = 1.2 * size * len(lines)
        sides = (("start", x + away), ("end", x - away))
        anchor, place = min(
            sides,
            key=lambda side: self._overlap(
                (
                    side[1] if side[0] == "start" else side[1] - wide,
                    y - 0.5 * high,
                    side[1] + wide if side[0] == "start" else side[1],
                    y + 0.5 * high,
                )
            ),
        )
        for number, line in enumerate(lines):
            foot = y - 0.5 * high + 1.2 * size * (number + 0.8)
            self.words(place, foot, line, anchor=anchor, size=size)

    def taken(self, x: float, y: float, radius: float) -> None:
        """Keep words away from a mark."""
        self.boxes.append((x - radius, y - radius, x + radius, y + radius))

    def _overlap(self, box: tuple[float, float, float, float]) -> float:
        left, top, right, foot = box
        hidden = sum(
            max(0.0, min(right, b[2]) - max(left, b[0]))
            * max(0.0, min(foot, b[3]) - max(top, b[1]))
            for b in self.boxes
        )
        outside = max(0.0, 2.0 - left) + max(0.0, right - self.width + 2.0) + max(0.0, 10.0 - top)
        outside += max(0.0, foot - self.height + 2.0)
        return hidden + 50.0 * outside

    def svg(self, name: str, alt: str, style: str = "") -> str:
        """Give the picture as an SVG element.

        Parameters
        ----------
        name : str
            Letters and digits, different for every picture of a page.
        alt : str
            What is to be seen, in words.
        style : str
            Style sheet to put in, for viewers without the page's own.

        Returns
        -------
        str
        """
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="fig" role="img" '
            f'aria-labelledby="t-{name}" viewBox="0 0 {_n(self.width)} {_n(self.height)}" '
            f'width="{_n(self.width)}" height="{_n(self.height)}">'
        )
        body = "\n".join(item.replace("#PATTERN-", f"#{name}-") for item in self.items)
        patterns = "".join(item.replace("PATTERN-", f"{name}-") for item in self.patterns)
        defs = f"<defs>{patterns}</defs>" if patterns else ""
        sheet = f"<style>{style}</style>" if style else ""
        title = f'<title id="t-{name}">{escape(clean(alt))}</title>'
        return f"{head}{title}{sheet}{defs}\n{body}\n</svg>"


@dataclass(frozen=True, slots=True)
class Axis:
    """Values from ``low`` to ``high`` over the places from ``start`` to ``end``."""

    low: float
    high: float
    start: float
    end: float
    log: bool = False

    def at(self, value: float) -> float:
        """Give the place of a value; beyond the ends it stays at the end."""
        low, high, here = self.low, self.high, min(max(value, self.low), self.high)
        if self.log:
            low, high, here = math.log(low), math.log(high), math.log(here)
        return self.start + (here - low) / (high - low) * (self.end - self.start)

    def ticks(self, wanted: int) -> list[float]:
        """Give about so many round values."""
        if self.log:
            decades = (m * 10.0**power for power in range(-1, 7) for m in (1.0, 2.0, 5.0))
            return [value for value in decades if self.low <= value <= self.high]
        raw = max(self.high - self.low, 1e-9) / wanted
        power = 10.0 ** math.floor(math.log10(raw))
        step = next(m * power for m in (1.0, 2.0, 5.0, 10.0) if raw <= m * power * (1 + 1e-9))
        first, last = math.ceil(self.low / step - 1e-9), math.floor(self.high / step + 1e-9)
        return [round(number * step, 9) for number in range(first, last + 1)]


def axes(drawing: Drawing, x: Axis, y: Axis, across: str, upward: str, ticks: int = 6) -> None:
    """Draw grid, numbers and the axes' names; ``y.start`` is the foot."""
    for value in x.ticks(ticks):
        at = x.at(value)
        drawing.line(at, y.start, at, y.end, "gd")
        drawing.words(at, y.start + 14.0, f"{value:g}", "ts", anchor="middle")
    for value in y.ticks(5):
        at = y.at(value)
        drawing.line(x.start, at, x.end, at, "gd")
        drawing.words(x.start - 5.0, at + 4.0, f"{value:g}", "ts", anchor="end")
    drawing.line(x.start, y.start, x.end, y.start, "ax")
    drawing.line(x.start, y.start, x.start, y.end, "ax")
    if across:
        drawing.words(0.5 * (x.start + x.end), y.start + 29.0, across, anchor="middle")
    drawing.words(11.0, 0.5 * (y.start + y.end), upward, anchor="middle", turned=-90.0)


def rows_of_words(marks: Iterable[tuple[float, str]], size: float = SIZE) -> list[int]:
    """Give each of some words a row so that none lie over each other; ``marks`` (place, words)."""
    ends: list[float] = []
    rows = []
    for place, text in marks:
        half = 0.5 * size * LETTER * len(text) + 3.0
        row = next((i for i, end in enumerate(ends) if place - half >= end), len(ends))
        if row == len(ends):
            ends.append(0.0)
        ends[row] = place + half
        rows.append(row)
    return rows


def shortened(text: str, letters: int) -> str:
    """Cut words that are too long for their room."""
    return text if len(text) <= letters else text[: letters - 1].rstrip() + "…"


def places(points: Points) -> str:
    """Give points as SVG writes them."""
    return " ".join(f"{_n(x)},{_n(y)}" for x, y in points)


def _n(value: float) -> str:
    text = f"{value:.1f}"
    text = text.removesuffix(".0")
    return "0" if text == "-0" else text
