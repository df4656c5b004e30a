"""Pictures of head: where it goes part by part, and the pressure along the way."""

from flowsim.document.pictures import Head, Pressure
from flowsim.measures import LENGTH
from flowsim.reports.figures.drawing import WIDTH, Axis, Drawing, axes, shortened

_ROW = 16.0
_NAMES = 134.0


def _shown(millimetres: float) -> float:
    """Give a length of a picture [mm] in the unit shown."""
    return LENGTH.of(1e-3 * millimetres)


def draw_head(picture: Head) -> Drawing:
    """Draw a staircase: what each part takes, and what is left after it."""
    lines = len({row.line for row in picture.rows})
    drawing = Drawing(26.0 + _ROW * (len(picture.rows) + lines + 2) + 40.0)
    available = _shown(picture.available_mm)
    total = max(available, _shown(1.0))
    decimals = 1 + LENGTH.unit.finer
    x = Axis(0.0, total, _NAMES + 4.0, WIDTH - 46.0)
    top = 22.0
    foot = drawing.height - 36.0
    for value in x.ticks(4):
        drawing.line(x.at(value), top, x.at(value), foot, "gd")
        drawing.words(x.at(value), foot + 13.0, f"{value:g}", "ts", anchor="middle")
    drawing.words(4.0, 12.0, picture.title, "tb")
    _bar(drawing, x, top, "head available", 0.0, available, available)
    top += _ROW
    line = ""
    for row in picture.rows:
        if row.line != line:
            line = row.line
            drawing.words(4.0, top + 12.0, shortened(line, 30), "tb")
            top += _ROW
        drawing.words(10.0, top + 12.0, shortened(row.part, 21))
        start, end = sorted((_shown(row.before_mm), _shown(row.before_mm + row.loss_mm)))
        drawing.rect(x.at(end), top + 3.0, x.end - x.at(end), _ROW - 5.0, "b2")
        drawing.rect(x.at(start), top + 3.0, max(x.at(end) - x.at(start), 0.8), _ROW - 5.0, "b1")
        drawing.words(WIDTH - 3.0, top + 12.0, f"{_shown(row.loss_mm):.{decimals}f}", anchor="end")
        top += _ROW
    spent = sum(row.loss_mm for row in picture.rows)
    drawing.words(10.0, top + 12.0, "left at the end", "tb")
    left = picture.available_mm - spent
    shown = f"{_shown(left):.{decimals}f}" if abs(left) >= 0.05 * max(len(picture.rows), 1) else "0"
    drawing.words(WIDTH - 3.0, top + 12.0, shown, "tb", anchor="end")
    drawing.words(
        0.5 * WIDTH, foot + 29.0,
        f"head spent, {LENGTH.name} of fuel (dark: the part; pale: left)",
        anchor="middle",
    )  # fmt: skip
    return drawing


def draw_pressure(picture: Pressure) -> Drawing:
    """Draw the line's height and the level to which its pressure would lift the fuel."""
    drawing = Drawing(330.0)
    points = picture.points
    heights = [_shown(value) for p in points for value in (p.elevation_mm, p.grade_mm)]
    room = max(0.08 * (max(heights) - min(heights)), _shown(10.0))
    x = Axis(0.0, _shown(max(points[-1].distance_mm, 1.0)), 50.0, WIDTH - 12.0)
    y = Axis(min(heights) - room, max(heights) + room, 262.0, 24.0)
    grade = [(x.at(_shown(p.distance_mm)), y.at(_shown(p.grade_mm))) for p in points]
    course = [(x.at(_shown(p.distance_mm)), y.at(_shown(p.elevation_mm))) for p in points]
    drawing.polygon([*grade, *reversed(course)], "jd")
    unit = LENGTH.name
    axes(
        drawing,
        x,
        y,
        f"distance along the lines from the outlet, {unit}",
        f"height over datum, {unit}",
    )
    drawing.chain(course, "cl")
    drawing.chain(grade, "ln")
    told: set[str] = set()
    for point, place in zip(points, course, strict=True):
        if point.name and point.name not in told:
            told.add(point.name)
            drawing.circle(*place, 3.0, "sg")
            drawing.label(*place, point.name)
    drawing.words(4.0, 12.0, picture.title, "tb")
    for number, (look, words) in enumerate((("ln", "level of the pressure"), ("cl", "the line"))):
        foot, left = 316.0, 24.0 + 176.0 * number
        drawing.line(left, foot - 4.0, left + 34.0, foot - 4.0, look)
        drawing.words(left + 40.0, foot, words)
    return drawing


def _bar(
    drawing: Drawing, x: Axis, top: float, name: str, start: float, end: float, value: float
) -> None:
    drawing.words(4.0, top + 12.0, name, "tb")
    drawing.rect(x.at(start), top + 3.0, x.at(end) - x.at(start), _ROW - 5.0, "b2")
    drawing.words(WIDTH - 3.0, top + 12.0, f"{value:.{1 + LENGTH.unit.finer}f}", "tb", anchor="end")
