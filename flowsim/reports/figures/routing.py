"""Drawings of the lines: side, top and front views, and the profile of height along each line."""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from flowsim.measures import LENGTH
from flowsim.physics.arrays import FloatArray
from flowsim.physics.course.height_profile import profile, upward
from flowsim.reports.figures.axed import AxedDrawing, look
from flowsim.studies.routing.courses import LaidLine
from flowsim.studies.routing.low_points import laid_vent
from flowsim.studies.routing.result import (
    AttitudeView,
    Clearing,
    HighPoint,
    LowPoint,
    RoutingResult,
)
from flowsim.system.fuel_system import FuelSystem

INCH = 0.0254
STANDING = "an estimate, not an approval"
_OBSTACLE = "at"
"""Look of what is not fuel: dotted."""
_ROW = 17.0
_WORD = 6.4
"""[px] Usual width of a letter."""


@dataclass(frozen=True, slots=True)
class _View:
    """A view: which coordinate lies across and which up, whether the axis across is turned."""

    name: str
    across: int
    upward: int
    turned: bool
    across_words: str
    upward_words: str


_VIEWS = (
    _View("side", 0, 2, False, "station (aft to the right)", "waterline"),
    _View("top", 0, 1, True, "station (aft to the right)", "buttline (right side down)"),
    _View("front", 1, 2, True, "buttline (right side to the left)", "waterline"),
)


def _scale() -> float:
    """Give what the unit of the sheets is worth [m]."""
    return LENGTH.unit.worth


def drawings(
    system: FuelSystem, lines: Sequence[LaidLine], result: RoutingResult, attitude: str
) -> dict[str, str]:
    """Give the drawings as SVG text by file name.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine
    result : RoutingResult
    attitude : str
        Name of one of the result's attitudes, for the profile and the marks.

    Returns
    -------
    dict of str to str
        ``side.svg``, ``top.svg``, ``front.svg`` and ``profile.svg``. Views are to scale; lines of
        unknown course are left out and named.
    """
    view = next(item for item in result.attitudes if item.name == attitude)
    all_lines = [*(line for line in lines if line.known)]
    all_lines += [laid_vent(vent) for vent in system.routing.vent_lines]
    left_out = [line.name for line in lines if not line.known]
    made = {
        f"{item.name}.svg": _view_sheet(system, all_lines, left_out, result, view, item)
        for item in _VIEWS
    }
    made["profile.svg"] = _profile_sheet(all_lines, left_out, result, view)
    return made


def _view_sheet(
    system: FuelSystem,
    lines: Sequence[LaidLine],
    left_out: Sequence[str],
    result: RoutingResult,
    attitude: AttitudeView,
    view: _View,
) -> str:
    """Draw one view to scale, with the low and high points of the attitude."""
    chains = [line.centre.chords(2e-4) / _scale() for line in lines]
    things = [
        np.array(item.points, dtype=np.float64) / _scale() for item in system.routing.obstacles
    ]
    corners = np.vstack([*chains, *things]) if chains or things else np.zeros((1, 3))
    low, high = corners.min(axis=0), corners.max(axis=0)
    key = [line.name for line in lines]
    sheet = _scaled(view, low, high, len(key) + 3 + bool(left_out), key)
    sheet.axes(f"{view.across_words}, {LENGTH.name}", f"{view.upward_words}, {LENGTH.name}", (8, 6))
    words_at: list[tuple[float, float, str]] = []
    for thing, item in zip(things, system.routing.obstacles, strict=True):
        pairs = [(p[view.across], p[view.upward]) for p in thing]
        reach = max(math.dist(pairs[0], pair) for pair in pairs)
        if reach < 2.5e-3 / _scale():
            sheet.cross(sheet.to_x(pairs[0][0]), sheet.to_y(pairs[0][1]))
        else:
            sheet.chain(pairs, _OBSTACLE)
        words_at.append((sheet.to_x(pairs[0][0]), sheet.to_y(pairs[0][1]), item.name))
    for index, chain in enumerate(chains):
        sheet.chain([(p[view.across], p[view.upward]) for p in chain], look(index))
    placed: list[tuple[float, float, float]] = []
    for name, at in system.places().items():
        point = np.array(at) / _scale()
        sheet.mark(point[view.across], point[view.upward], "node")
        _label(sheet, placed, sheet.to_x(point[view.across]), sheet.to_y(point[view.upward]), name)
    for px, py, name in words_at:
        _label(sheet, placed, px, py, name)
    for drain in system.drains:
        point = np.array(drain.at) / _scale()
        sheet.mark(point[view.across], point[view.upward], "drain")
    _marks(
        sheet, result, attitude, lambda p: (p[view.across] / _scale(), p[view.upward] / _scale())
    )
    _key(sheet, key, left_out, f"{view.name} view; marks in {attitude.name} attitude")
    return sheet.svg(view.name, f"{result.title}: {view.name} view, {STANDING}")


def _scaled(
    view: _View, low: Sequence[float], high: Sequence[float], rows: int, key: Sequence[str]
) -> AxedDrawing:
    """Give a sheet of one scale across and up."""
    spans = [max(high[i] - low[i], 0.1 / _scale()) for i in (view.across, view.upward)]
    scale = min(760.0 / (1.16 * spans[0]), 620.0 / (1.16 * spans[1]))
    inner = [max(1.16 * span * scale, 220.0) for span in spans]
    ends = []
    for index, size in zip((view.across, view.upward), inner, strict=True):
        middle, half = 0.5 * (low[index] + high[index]), 0.5 * size / scale
        ends.append((middle - half, middle + half))
    if view.name == "front":
        ends[0] = (ends[0][1], ends[0][0])
    if view.name == "top":
        ends[1] = (ends[1][1], ends[1][0])
    top, bottom, left, right = 34.0, 58.0 + _ROW * (rows + 1), 64.0, 24.0
    width = max(inner[0] + left + right, _key_width(key))
    return AxedDrawing(
        width, inner[1] + top + bottom, left, width - left - inner[0], top, bottom, ends[0], ends[1]
    )


def _key_width(names: Sequence[str]) -> float:
    longest = max([len(name) for name in names] + [66])
    return 130.0 + _WORD * longest


def _profile_sheet(
    lines: Sequence[LaidLine],
    left_out: Sequence[str],
    result: RoutingResult,
    attitude: AttitudeView,
) -> str:
    """Draw height along each line, one after the other, in an attitude."""
    up = upward(attitude.gravity)
    starts = _laid_out(lines)
    heights = [_height_points(line, up) for line in lines]
    lowest = min((y for row in heights for _, y in row), default=0.0)
    highest = max((y for row in heights for _, y in row), default=1.0)
    last = max(
        (starts[i] + line.centre.length / _scale() for i, line in enumerate(lines)), default=1.0
    )
    room = max(0.12 * (highest - lowest), 0.05 / _scale())
    names = [line.name for line in lines]
    rows = len(names) + 3 + bool(left_out)
    height = 420.0 + 58.0 + _ROW * (rows + 1)
    sheet = AxedDrawing(
        900.0, height, 64.0, 24.0, 34.0, 58.0 + _ROW * (rows + 1),
        (-0.02 * last, 1.02 * last), (lowest - room, highest + room),
    )  # fmt: skip
    sheet.axes(
        f"length along the lines, each from its start, {LENGTH.name}",
        f"height in {attitude.name} attitude, {LENGTH.name}",
        (10, 7),
    )
    placed: list[tuple[float, float, float]] = []
    moved = [[(starts[index] + x, y) for x, y in heights[index]] for index in range(len(lines))]
    for index, chain in enumerate(moved):
        sheet.chain(chain, look(index))
    named: set[tuple[str, int]] = set()
    for line, chain in zip(lines, moved, strict=True):
        for (x, y), name in ((chain[0], line.start), (chain[-1], line.end)):
            sheet.mark(x, y, "node")
            if (name, round(sheet.to_x(x))) not in named:
                named.add((name, round(sheet.to_x(x))))
                _label(sheet, placed, sheet.to_x(x), sheet.to_y(y), name)
    offsets = {line.name: starts[index] for index, line in enumerate(lines)}
    _profile_marks(sheet, result, attitude, lines, offsets, up)
    words = f"profile; height along each line, {attitude.name} attitude"
    _key(sheet, names, left_out, words)
    return sheet.svg("profile", f"{result.title}: profile, {STANDING}")


def _laid_out(lines: Sequence[LaidLine]) -> list[float]:
    """Give where each line begins on the sheet: where one that ends there has ended, else zero."""
    ends: dict[str, float] = {}
    starts: list[float] = []
    for line in lines:
        start = ends.get(line.start, 0.0)
        starts.append(start)
        ends[line.end] = max(ends.get(line.end, 0.0), start + line.centre.length / _scale())
    return starts


def _height_points(line: LaidLine, up: FloatArray) -> list[tuple[float, float]]:
    spans = profile(line.centre, up)
    places = [0.0]
    for span in spans:
        places += list(np.linspace(span.start, span.end, 9)[1:])
    return [(x / _scale(), float(up @ line.centre.point(x)) / _scale()) for x in places]


def _marks(
    sheet: AxedDrawing,
    result: RoutingResult,
    attitude: AttitudeView,
    to_sheet: Callable[[tuple[float, float, float]], tuple[float, float]],
) -> None:
    for low in result.low_points:
        if low.attitude == attitude.name:
            sheet.mark(*to_sheet(low.place.at), _low_shape(low))
    for high in result.high_points:
        if high.attitude == attitude.name:
            sheet.mark(*to_sheet(high.place.at), _high_shape(high))


def _profile_marks(
    sheet: AxedDrawing,
    result: RoutingResult,
    attitude: AttitudeView,
    lines: Sequence[LaidLine],
    offsets: dict[str, float],
    up: FloatArray,
) -> None:
    found: list[tuple[LowPoint | HighPoint, str]] = [
        (low, _low_shape(low)) for low in result.low_points if low.attitude == attitude.name
    ]
    found += [
        (high, _high_shape(high)) for high in result.high_points if high.attitude == attitude.name
    ]
    for point, shape in found:
        place = point.place
        height = float(up @ np.array(place.at)) / _scale()
        if place.line in offsets and place.along is not None:
            sheet.mark(offsets[place.line] + place.along / _scale(), height, shape)
            continue
        for line in lines:
            for node, along in ((line.start, 0.0), (line.end, line.centre.length)):
                if node == place.node:
                    sheet.mark(offsets[line.name] + along / _scale(), height, shape)


def _low_shape(low: LowPoint) -> str:
    return "low-drained" if low.is_drained else "low"


def _high_shape(high: HighPoint) -> str:
    return "high-clears" if high.state is Clearing.CLEARS else "high"


def _label(
    sheet: AxedDrawing, placed: list[tuple[float, float, float]], px: float, py: float, name: str
) -> None:
    """Write a name beside its place, clear of other names and, where it can be, of lines."""
    wide = _WORD * len(name)
    tries = [
        (px + 9.0 if to_right else px - 9.0 - wide, py + down)
        for down in (-7.0, 15.0, -21.0, 29.0, 4.0, -35.0, 43.0)
        for to_right in (True, False)
    ]
    inside = [
        (x, y)
        for x, y in tries
        if sheet.left < x < sheet.width - sheet.right - wide
        and sheet.top + 10 < y < sheet.height - sheet.bottom - 2
    ]
    free = [
        (x, y)
        for x, y in inside or tries
        if not any(abs(y - oy) < 13 and x < ox + ow and ox < x + wide for ox, oy, ow in placed)
    ]
    if not free:
        return
    x, y = min(free, key=lambda at: sum(_covers(at, wide, spot) for spot in sheet.busy))
    placed.append((x, y, wide))
    sheet.text(x, y, name)


def _covers(at: tuple[float, float], wide: float, spot: tuple[float, float]) -> bool:
    return at[0] - 2 < spot[0] < at[0] + wide + 2 and at[1] - 11 < spot[1] < at[1] + 4


def _key(sheet: AxedDrawing, names: Sequence[str], left_out: Sequence[str], words: str) -> None:
    """Write the title above and the key below."""
    sheet.text(sheet.left, 20, f"{words}; {STANDING}")
    y = sheet.height - sheet.bottom + 62
    for index, name in enumerate(names):
        sheet.sample(sheet.left, y - 4, look(index))
        sheet.text(sheet.left + 44, y, name)
        y += _ROW
    told = (
        "triangle below: low point (filled: not drained)",
        "triangle above: high point (filled: not sure to clear)",
        "circle: where lines meet; grey circle: drain; dotted or cross: obstacle",
    )
    for text in told:
        sheet.text(sheet.left, y, text)
        y += _ROW
    if left_out:
        sheet.text(sheet.left, y, f"course not known, not drawn: {', '.join(left_out)}")
