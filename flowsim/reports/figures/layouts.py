"""The system's pictures: its scheme, and its views in true proportion."""

import math

from flowsim.document.pictures import Pair, Scheme, SchemeNode, View
from flowsim.measures import LENGTH
from flowsim.reports.figures.drawing import SIZE, WIDTH, Drawing, shortened

_ROW = 104.0
_MOST_HIGH = 430.0
_SAME = 9.0
"""Places of a view that lie nearer share one label."""


def draw_scheme(picture: Scheme) -> Drawing:
    """Draw the scheme: tanks above, engine at the foot, every line with number, bore and length."""
    ranks = sorted({node.rank for node in picture.nodes}, reverse=True)
    drawing = Drawing(54.0 + _ROW * (len(ranks) - 1) + 50.0)
    at = {
        index: (24.0 + node.place * (WIDTH - 48.0), 54.0 + _ROW * ranks.index(node.rank))
        for index, node in enumerate(picture.nodes)
    }
    _tank_boxes(drawing, picture, at)
    joined: dict[tuple[int, int], int] = {}
    labels: list[tuple[float, float, str, str]] = []
    for line in picture.lines:
        pair = (min(line.start, line.end), max(line.start, line.end))
        beside = joined[pair] = joined.get(pair, -1) + 1
        start, end = at[line.start], at[line.end]
        middle = (0.5 * (start[0] + end[0]) + 26.0 * beside, 0.5 * (start[1] + end[1]))
        chain = [start, middle, end]
        drawing.chain(chain, "lu" if line.closed else "ln")
        for number in range(line.fittings):
            share = (number + 1) / (line.fittings + 1)
            if abs(share - 0.5) < 0.12:
                share = 0.5 + 0.13 * (1 if number % 2 else -1)
            drawing.circle(*_along(chain, share), 2.6, "sg")
        labels.append((*middle, str(line.number), line.label))
    for x, y, _, _ in labels:
        drawing.taken(x, y, 10.0)
    for x, y, tag, words in labels:
        drawing.circle(x, y, 9.0, "bx")
        drawing.words(x, y + 4.0, tag, "tb", anchor="middle")
        drawing.beside(x, y, words.split(" x "), 13.0, SIZE)
    for index, node in enumerate(picture.nodes):
        _node(drawing, node, *at[index])
    return drawing


def draw_view(picture: View) -> Drawing:
    """Draw a view to scale, turned by its pitch, with numbered places and a scale bar."""

    def turned(at: Pair) -> Pair:
        angle = math.radians(picture.pitch_deg)
        if picture.view == "top":
            return at[0], at[1]
        return (
            at[0] * math.cos(angle) + at[1] * math.sin(angle),
            -(at[1] * math.cos(angle) - at[0] * math.sin(angle)),
        )

    chains = [line.course for line in picture.lines] + [tank.outline for tank in picture.tanks]
    chains += [tuple(point.at for point in picture.points)]
    chains += [tank.surface for tank in picture.tanks]
    every = [turned(at) for chain in chains for at in chain]
    left, right = min(p[0] for p in every), max(p[0] for p in every)
    top, foot = min(p[1] for p in every), max(p[1] for p in every)
    scale = min((WIDTH - 56.0) / max(right - left, 1.0), _MOST_HIGH / max(foot - top, 1.0))
    shift = 0.5 * (WIDTH - scale * (right - left))
    drawing = Drawing(scale * (foot - top) + 92.0)

    def place(at: Pair) -> Pair:
        x, y = turned(at)
        return shift + scale * (x - left), 36.0 + scale * (y - top)

    for tank in picture.tanks:
        drawing.polygon([place(at) for at in tank.fuel], "fu")
    for tank in picture.tanks:
        drawing.polygon([place(at) for at in tank.outline], "tk")
        drawing.chain([place(at) for at in tank.surface], "su")
    for line in picture.lines:
        drawing.chain([place(at) for at in line.course], "ln" if line.known else "lu")
    _numbers(drawing, [place(point.at) for point in picture.points])
    _scale_bar(drawing, scale)
    _directions(drawing, picture)
    drawing.words(4.0, 12.0, picture.title, "tb")
    return drawing


def _tank_boxes(drawing: Drawing, picture: Scheme, at: dict[int, Pair]) -> None:
    """Draw a box over the outlets of each tank that stand in one row."""
    groups: dict[tuple[str, float], list[float]] = {}
    for index, node in enumerate(picture.nodes):
        if node.tank:
            groups.setdefault((node.tank, at[index][1]), []).append(at[index][0])
    outlets = sum(len(xs) for xs in groups.values())
    for (tank, y), xs in groups.items():
        words = f"tank {tank}"
        room = 0.46 * (WIDTH - 48.0) * len(xs) / outlets
        half = max(0.5 * (max(xs) - min(xs)) + 20.0, min(3.6 * len(words) + 8.0, room))
        middle = 0.5 * (min(xs) + max(xs))
        drawing.rect(middle - half, y - 40.0, 2.0 * half, 32.0, "tf")
        letters = max(int(2.0 * half / 7.0), 4)
        drawing.words(middle, y - 20.0, shortened(words, letters), "tb", anchor="middle")


def _node(drawing: Drawing, node: SchemeNode, x: float, y: float) -> None:
    name = node.name.split(".", 1)[1] if node.tank else node.name
    if node.sort == "selector":
        drawing.polygon([(x, y - 10), (x + 10, y), (x, y + 10), (x - 10, y)], "bx")
    elif node.sort in ("engine", "carburettor"):
        drawing.rect(x - 9.0, y - 9.0, 18.0, 18.0, "bx")
    else:
        drawing.circle(x, y, 5.0 if node.sort == "tee" else 4.0, "bx")
    room = 11 if node.tank else 22
    if node.tank:
        drawing.words(x + 7.0, y + 12.0, shortened(name, room))
        return
    words = shortened(name if node.sort != "engine" else f"{name} (inlet)", room)
    if x > 0.72 * WIDTH:
        drawing.words(x - 13.0, y + 4.0, words, "tb", anchor="end")
    else:
        drawing.words(x + 13.0, y + 4.0, words, "tb")


def _along(chain: list[Pair], share: float) -> Pair:
    """Give the place at a share of a chain of two equal pieces."""
    first, middle, last = chain
    a, b, part = (first, middle, 2 * share) if share < 0.5 else (middle, last, 2 * share - 1)
    return a[0] + part * (b[0] - a[0]), a[1] + part * (b[1] - a[1])


def _numbers(drawing: Drawing, places: list[Pair]) -> None:
    """Put numbers at places; those that lie on each other share a label."""
    groups: list[tuple[Pair, list[int]]] = []
    for number, place in enumerate(places, 1):
        near = next((g for g in groups if math.dist(g[0], place) < _SAME), None)
        if near is None:
            groups.append((place, [number]))
        else:
            near[1].append(number)
    for place, _ in groups:
        drawing.circle(*place, 3.2, "sg")
    for place, numbers in groups:
        drawing.label(*place, ", ".join(map(str, numbers)), "tb")


def _scale_bar(drawing: Drawing, scale: float) -> None:
    """Draw a bar of a round length."""
    millimetres = 1e3 * LENGTH.unit.worth
    scale *= millimetres
    wanted = 90.0 / scale
    power = 10.0 ** math.floor(math.log10(wanted))
    length = max(m * power for m in (1.0, 2.0, 5.0) if m * power <= wanted)
    y = drawing.height - 12.0
    drawing.line(14.0, y, 14.0 + scale * length, y, "te")
    for end in (14.0, 14.0 + scale * length):
        drawing.line(end, y - 5.0, end, y + 5.0, "te")
    words = f"{length:g} {LENGTH.name}"
    drawing.words(22.0 + scale * length, y + 4.0, words)


def _directions(drawing: Drawing, picture: View) -> None:
    y = drawing.height - 30.0
    drawing.words(14.0, y, "< nose", "ts")
    drawing.words(WIDTH - 14.0, y, "tail >", "ts", anchor="end")
    if picture.view == "side":
        words = "fuel stands level; up is against gravity" if _has_fuel(picture) else "up is up"
    else:
        words = "left side above, right side below"
    drawing.words(0.5 * WIDTH, y, words, "ts", anchor="middle")


def _has_fuel(picture: View) -> bool:
    return any(tank.fuel or tank.surface for tank in picture.tanks)
