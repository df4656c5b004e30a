"""A sheet of drawing in SVG: axes with units, lines, marks and words, in shades of grey."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape
from itertools import pairwise

from flowsim.reports.words.units import clean

SIZE = 12
"""[px] Height of words."""

INK, GREY, PALE = "#111111", "#6b6b6b", "#d9d9d9"

_DASHES = ("", "9 3", "3 2", "12 3 2 3", "6 2 2 2 2 2", "1 3")


@dataclass(frozen=True, slots=True)
class Style:
    """How one line is drawn: dash pattern, width [px], shade."""

    dash: str
    width: float
    shade: str


def style(index: int) -> Style:
    """Give the style of the line with a number; dashes tell lines apart without colour."""
    shades = (INK, "#4a4a4a", "#7a7a7a")
    round_ = index // len(_DASHES)
    return Style(_DASHES[index % len(_DASHES)], 2.4 - 0.5 * (round_ % 3), shades[round_ % 3])


@dataclass(slots=True)
class SvgSheet:
    """A sheet of ``width`` x ``height`` [px] with one pair of axes.

    ``left``, ``right``, ``top``, ``bottom`` [px] frame the axes; ``x`` and ``y`` are (low, high)
    of what they show, ``x`` may fall from left to right. ``busy`` are places [px] on lines, which
    words keep clear of where they can.
    """

    width: float
    height: float
    left: float
    right: float
    top: float
    bottom: float
    x: tuple[float, float]
    y: tuple[float, float]
    items: list[str] = field(default_factory=list)
    busy: list[tuple[float, float]] = field(default_factory=list)

    def to_x(self, value: float) -> float:
        """Give the place [px] from the left of a value on the axis across."""
        share = (value - self.x[0]) / (self.x[1] - self.x[0])
        return self.left + share * (self.width - self.left - self.right)

    def to_y(self, value: float) -> float:
        """Give the place [px] from the top of a value on the axis upward."""
        share = (value - self.y[0]) / (self.y[1] - self.y[0])
        return self.height - self.bottom - share * (self.height - self.top - self.bottom)

    def axes(self, across: str, upward: str, step_x: float, step_y: float) -> None:
        """Draw frame, pale grid, numbers and the axes' names."""
        for value in ticks(self.x, step_x):
            at = self.to_x(value)
            self._grid(at, self.top, at, self.height - self.bottom)
            self.text(at, self.height - self.bottom + SIZE + 4, f"{value:g}", "middle")
        for value in ticks(self.y, step_y):
            at = self.to_y(value)
            self._grid(self.left, at, self.width - self.right, at)
            self.text(self.left - 6, at + 4, f"{value:g}", "end")
        middle = 0.5 * (self.left + self.width - self.right)
        self.text(middle, self.height - self.bottom + 2.6 * SIZE + 6, across, "middle")
        half = 0.5 * (self.top + self.height - self.bottom)
        self.items.append(
            f'<text x="14" y="{half:.1f}" text-anchor="middle" '
            f'transform="rotate(-90 14 {half:.1f})">{escape(clean(upward))}</text>'
        )
        self.items.append(
            f'<rect x="{self.left:.1f}" y="{self.top:.1f}" '
            f'width="{self.width - self.left - self.right:.1f}" '
            f'height="{self.height - self.top - self.bottom:.1f}" fill="none" stroke="{GREY}"/>'
        )

    def chain(self, points: Sequence[tuple[float, float]], drawn: Style) -> None:
        """Draw a chain of straight pieces through values."""
        pixels = [(self.to_x(x), self.to_y(y)) for x, y in points]
        for (ax, ay), (bx, by) in pairwise(pixels):
            count = max(1, int(math.hypot(bx - ax, by - ay) / 5.0))
            self.busy += [
                (ax + (bx - ax) * i / count, ay + (by - ay) * i / count) for i in range(count + 1)
            ]
        places = " ".join(f"{x:.2f},{y:.2f}" for x, y in pixels)
        dash = f' stroke-dasharray="{drawn.dash}"' if drawn.dash else ""
        self.items.append(
            f'<polyline points="{places}" fill="none" stroke="{drawn.shade}" '
            f'stroke-width="{drawn.width:g}" stroke-linejoin="round"{dash}/>'
        )

    def mark(self, x: float, y: float, shape: str) -> None:
        """Mark a place: "node", "low" (filled), "low-drained" (open), "high" or "high-clears"."""
        px, py = self.to_x(x), self.to_y(y)
        if shape in ("node", "drain"):
            fill = "white" if shape == "node" else GREY
            self.items.append(
                f'<circle cx="{px:.1f}" cy="{py:.1f}" r="3" fill="{fill}" stroke="{INK}"/>'
            )
            return
        down = shape.startswith("low")
        tip, base = (7.0, -5.0) if down else (-7.0, 5.0)
        shift = 9.0 if down else -9.0
        corners = [(px, py + shift - tip), (px - 6, py + shift - base), (px + 6, py + shift - base)]
        places = " ".join(f"{a:.1f},{b:.1f}" for a, b in corners)
        fill = "white" if shape in ("low-drained", "high-clears") else INK
        self.items.append(
            f'<polygon points="{places}" fill="{fill}" stroke="{INK}" stroke-width="1.2"/>'
        )

    def text(self, px: float, py: float, words: str, anchor: str = "start") -> None:
        """Write words at a place [px], with a white edge so that lines do not hide them."""
        place = f'x="{px:.1f}" y="{py:.1f}" text-anchor="{anchor}"'
        shown = escape(clean(words))
        # Twice, because not every viewer can paint the edge under the letters.
        self.items.append(
            f'<text {place} stroke="white" stroke-width="3" stroke-linejoin="round" '
            f'aria-hidden="true">{shown}</text>'
        )
        self.items.append(f"<text {place}>{shown}</text>")

    def cross(self, px: float, py: float) -> None:
        """Draw a small cross at a place [px]: something seen end on."""
        self.items.append(
            f'<path d="M{px - 4:.1f},{py - 4:.1f} l8,8 m0,-8 l-8,8" stroke="{GREY}" '
            'stroke-width="1.4" fill="none"/>'
        )

    def sample(self, px: float, py: float, drawn: Style) -> None:
        """Draw a short piece of a style, for the key."""
        dash = f' stroke-dasharray="{drawn.dash}"' if drawn.dash else ""
        self.items.append(
            f'<line x1="{px:.1f}" y1="{py:.1f}" x2="{px + 34:.1f}" y2="{py:.1f}" '
            f'stroke="{drawn.shade}" stroke-width="{drawn.width:g}"{dash}/>'
        )

    def svg(self, title: str) -> str:
        """Give the sheet as a file's text."""
        head = (
            f'<svg xmlns="http://www.w3.org/2000/svg" width="{self.width:.0f}" '
            f'height="{self.height:.0f}" viewBox="0 0 {self.width:.0f} {self.height:.0f}" '
            f'font-family="Helvetica, Arial, sans-serif" font-size="{SIZE}" fill="{INK}">'
        )
        body = [head, f"<title>{escape(clean(title))}</title>", '<rect width="100%" height="100%" '
                'fill="white"/>', *self.items, "</svg>"]  # fmt: skip
        return "\n".join(body) + "\n"

    def _grid(self, x1: float, y1: float, x2: float, y2: float) -> None:
        self.items.append(
            f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{PALE}"/>'
        )


def ticks(ends: tuple[float, float], step: float) -> list[float]:
    """Give the multiples of a step between two ends, in either order."""
    low, high = min(ends), max(ends)
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [round(number * step, 9) for number in range(first, last + 1)]


def round_step(span: float, wanted: int) -> float:
    """Give a round step (1, 2 or 5 times a power of ten) that makes about so many ticks."""
    raw = max(span, 1e-9) / max(wanted, 1)
    power = 10.0 ** math.floor(math.log10(raw))
    return float(next(m * power for m in (1.0, 2.0, 5.0, 10.0) if raw <= m * power * (1 + 1e-9)))
