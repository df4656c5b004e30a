"""A drawing with one pair of axes: the views and the profile of the lines."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from flowsim.reports.figures.charts import STYLES
from flowsim.reports.figures.drawing import SIZE, Axis, Drawing
from flowsim.reports.figures.looks import alone

AxisSpan = tuple[float, float]


def look(index: int) -> str:
    """Give the look of the line with a number; dashes tell lines apart without colour."""
    return f"c{index % STYLES}"


@dataclass(slots=True)
class AxedDrawing:
    """A drawing of ``width`` x ``height`` [px] with one pair of axes.

    ``left``, ``right``, ``top``, ``bottom`` [px] frame the axes; ``x`` and ``y`` are (low, high)
    of what they show, either may fall. ``busy`` are places [px] on lines, which words keep clear of
    where they can.
    """

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    x: AxisSpan
    y: AxisSpan
    drawing: Drawing = field(init=False)
    busy: list[tuple[float, float]] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Make the drawing."""
        self.drawing = Drawing(self.height, self.width)

    def to_x(self, value: float) -> float:
        """Give the place [px] from the left of a value on the axis across."""
        share = (value - self.x[0]) / (self.x[1] - self.x[0])
        return self.left + share * (self.width - self.left - self.right)

    def to_y(self, value: float) -> float:
        """Give the place [px] from the top of a value on the axis upward."""
        share = (value - self.y[0]) / (self.y[1] - self.y[0])
        return self.height - self.bottom - share * (self.height - self.top - self.bottom)

    def axes(self, across: str, upward: str, wanted: tuple[int, int]) -> None:
        """Draw frame, pale grid, about so many numbers each way and the axes' names."""
        foot, end = self.height - self.bottom, self.width - self.right
        for value in _ticks(self.x, wanted[0]):
            at = self.to_x(value)
            self.drawing.line(at, self.top, at, foot, "gd")
            self.drawing.words(at, foot + SIZE + 4.0, f"{value:g}", "ts", anchor="middle")
        for value in _ticks(self.y, wanted[1]):
            at = self.to_y(value)
            self.drawing.line(self.left, at, end, at, "gd")
            self.drawing.words(self.left - 6.0, at + 4.0, f"{value:g}", "ts", anchor="end")
        self.drawing.rect(self.left, self.top, end - self.left, foot - self.top, "ax")
        middle, half = 0.5 * (self.left + end), 0.5 * (self.top + foot)
        self.drawing.words(middle, foot + 2.6 * SIZE + 6.0, across, anchor="middle")
        self.drawing.words(14.0, half, upward, anchor="middle", turned=-90.0)

    def chain(self, points: Sequence[tuple[float, float]], drawn: str) -> None:
        """Draw a chain of straight pieces through values, in a look."""
        pixels = [(self.to_x(x), self.to_y(y)) for x, y in points]
        for (ax, ay), (bx, by) in pairwise(pixels):
            count = max(1, int(math.hypot(bx - ax, by - ay) / 5.0))
            self.busy += [
                (ax + (bx - ax) * i / count, ay + (by - ay) * i / count) for i in range(count + 1)
            ]
        self.drawing.chain(pixels, drawn)

    def mark(self, x: float, y: float, shape: str) -> None:
        """Mark a place: "node", "drain", "low", "low-drained", "high" or "high-clears".

        Points downward below the place for low ones, upward above it for high ones; filled where
        something is to be done.
        """
        px, py = self.to_x(x), self.to_y(y)
        if shape in ("node", "drain"):
            self.drawing.circle(px, py, 3.0, "sg" if shape == "node" else "b2 ax")
            return
        down = shape.startswith("low")
        tip, base = (7.0, -5.0) if down else (-7.0, 5.0)
        shift = 9.0 if down else -9.0
        corners = [(px, py + shift - tip), (px - 6, py + shift - base), (px + 6, py + shift - base)]
        self.drawing.polygon(corners, "sg" if shape in ("low-drained", "high-clears") else "sf")

    def text(self, px: float, py: float, words: str) -> None:
        """Write words at a place [px]."""
        self.drawing.words(px, py, words)

    def cross(self, px: float, py: float) -> None:
        """Draw a small cross at a place [px]: something seen end on."""
        self.drawing.line(px - 4.0, py - 4.0, px + 4.0, py + 4.0, "ax")
        self.drawing.line(px + 4.0, py - 4.0, px - 4.0, py + 4.0, "ax")

    def sample(self, px: float, py: float, drawn: str) -> None:
        """Draw a short piece of a look, for the key."""
        self.drawing.line(px, py, px + 34.0, py, drawn)

    def svg(self, name: str, title: str) -> str:
        """Give it as a file's text."""
        return alone(self.drawing, name, title)


def _ticks(ends: AxisSpan, wanted: int) -> list[float]:
    """Give round numbers between two ends, in either order."""
    return Axis(min(ends), max(ends), 0.0, 1.0).ticks(wanted)
