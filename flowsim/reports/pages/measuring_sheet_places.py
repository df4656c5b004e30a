"""The tables of lines and of where they meet, on the measuring sheet."""

from collections.abc import Iterator, Mapping

from flowsim.document.blocks import Heading
from flowsim.files.case.given import GivenPoint
from flowsim.files.case.models_lines import CaseFile, LineSection, SelectorSection, TeeSection
from flowsim.files.case.names import ENGINE
from flowsim.reports.pages.measuring_sheet_cells import (
    COURSE,
    PLACES,
    VALUES,
    Form,
    SheetCell,
    Value,
    blank,
    label,
    point_row,
    value_cell,
    value_row,
)
from flowsim.reports.pages.measuring_sheet_own import OwnValues
from flowsim.reports.pages.measuring_sheet_values import parts_table, words_of

SheetPlaces = dict[str, tuple[GivenPoint | None, bool]]
"""What lines begin and end at, by name: its point, and whether that is the other side's."""
EMPTY_CORNERS, MORE_CORNERS = 6, 1
_SIZES = ("stock", "tube", "outside_diameter", "wall", "bore", "hose_bore")
_TO_DRAIN = "none, feeds a drain"
_WITHOUT_POINTS = ("length", "rise", "aft", "right")


def line_tables(
    model: CaseFile | None, own: OwnValues, shares: Mapping[str, float], empty: int
) -> Iterator[Heading | Form]:
    """Give the tables of every line, or of so many empty ones.

    Parameters
    ----------
    model
        The case, or None.
    own
        Tells what is mirrored.
    shares
        Share of the head of each line's unmeasured losses; the largest stands first.
    empty
        How many where there is no case.

    Returns
    -------
    iterator of Heading or Form
    """
    lines: tuple[LineSection | None, ...] = (None,) * empty
    places: SheetPlaces = {}
    if model is not None:

        def rank(line: LineSection) -> float:
            return -shares.get(line.name, 0.0)

        ordered: list[LineSection] = sorted(model.line, key=rank)
        lines = tuple(ordered)
        places = _places(model, own)
    for number, line in enumerate(lines, 1):
        yield _heading(line, number)
        yield _size(line, own)
        yield _course(line, places, own)
        parts = () if line is None else line.parts
        mirrored = line is not None and own.is_mirrored("line", line.name, "parts")
        yield parts_table("Fittings, from start to end", parts, mirrored=mirrored)


def _heading(line: LineSection | None, number: int) -> Heading:
    if line is None or not line.name:
        return Heading(text=f"Line {number}: ____________ from ____________ to ____________")
    return Heading(text=f'Line "{line.name}", from {line.start} to {line.to}')


def _places(model: CaseFile, own: OwnValues) -> SheetPlaces:
    """Give the places that lines begin and end at, by name."""
    found: SheetPlaces = {ENGINE: (model.engine.inlet_at, False)}
    for tank in model.tank:
        for outlet in tank.outlet:
            mirrored = own.is_mirrored("tank", tank.name, "at", outlet.name)
            found[f"{tank.name}.{outlet.name}"] = (outlet.at, mirrored)
    for kind, name, at in _joints(model):
        found[name] = (at, own.is_mirrored(kind, name, "at"))
    return found


def _joints(model: CaseFile) -> Iterator[tuple[str, str, GivenPoint | None]]:
    """Give kind, name and place of everything that lines meet or end at."""
    for tee in model.tee:
        yield "tee", tee.name, tee.at
    for junction in model.junction:
        yield "junction", junction.name, junction.at
    for selector in model.selector:
        yield "selector", selector.name, selector.at
    for drain in model.drain:
        yield "drain", drain.name, drain.at


def _size(line: LineSection | None, own: OwnValues) -> Form:
    """Give the values of a line: what it is made of and how wide."""
    keys = [key for key in _SIZES if getattr(line, key, None) is not None]
    if not keys or line is None:
        keys = ["tube", "bore"]
    keys.append("material")
    has_points = line is None or line.via is not None or bool(line.straight)
    keys += [key for key in _WITHOUT_POINTS if not has_points or getattr(line, key, None)]
    if line is None or not line.straight:
        keys += [key for key in ("length", "bend_radius") if key not in keys]
    name = "" if line is None else line.name
    rows = tuple(
        value_row(
            words_of(key),
            getattr(line, key, None),
            key,
            mirrored=own.is_mirrored("line", name, key),
        )
        for key in keys
    )
    return Form("", VALUES, rows)


def _course(line: LineSection | None, places: SheetPlaces, own: OwnValues) -> Form:
    """Give the numbered corners of a line between its ends."""
    via: tuple[GivenPoint | None, ...] = (None,) * EMPTY_CORNERS
    more = 0
    if line is not None:
        via = line.via or ()
        more = 0 if line.straight else MORE_CORNERS
        via = (*via, *(None,) * more)
    start = "start" if line is None else f"start: {line.start}"
    end = "end" if line is None else f"end: {line.to}"
    point, copied = places.get("" if line is None else line.start, (None, False))
    rows = [point_row("0", start, point, label(""), mirrored=copied)]
    mirrored = line is not None and own.is_mirrored("line", line.name, "via")
    for number, point in enumerate(via, 1):
        last = _bend(line, number, point is not None, mirrored)
        rows.append(point_row(str(number), f"corner {number}", point, last, mirrored=mirrored))
    point, copied = places.get("" if line is None else line.to, (None, False))
    rows.append(point_row(str(len(via) + 1), end, point, label(""), mirrored=copied))
    return Form("Corners, where the middle lines of the straight pieces meet", COURSE, tuple(rows))


def _bend(line: LineSection | None, number: int, is_there: bool, mirrored: bool) -> SheetCell:
    """Give what makes a corner: a fitting, a bend of its own radius, or the line's."""
    if line is None or not is_there:
        return blank()
    corner = next((c for c in line.corners if c.point and c.point == number), None)
    if corner is not None and corner.fitting:
        return SheetCell("known", corner.fitting)
    own = corner.radius if corner is not None and corner.radius is not None else line.bend_radius
    return value_cell(own, mirrored=mirrored)


def joint_tables(model: CaseFile | None, own: OwnValues) -> Iterator[Heading | Form]:
    """Give the tables of tees, junctions, drains and the selector."""
    rows = _places_of_joints(model, own)
    yield Form("Places", PLACES, rows)
    tees: tuple[TeeSection | None, ...] = (None, None) if model is None else model.tee
    if tees:
        yield _tees(tees, own)
    selectors: tuple[SelectorSection | None, ...] = (None,) if model is None else model.selector
    for selector in selectors:
        yield from _selector(selector)


def _places_of_joints(model: CaseFile | None, own: OwnValues) -> tuple[tuple[SheetCell, ...], ...]:
    found = () if model is None else _joints(model)
    reached = {} if model is None else {d.name: d.reaches for d in model.drain if d.at is None}
    rows: list[tuple[SheetCell, ...]] = []
    for number, (kind, name, at) in enumerate(found, 1):
        if kind == "drain" and reached.get(name):
            # Its place is that of what it drains.
            words = f"drain: {name}, at {reached[name]}"
            rows.append((label(str(number)), label(words), *(label("") for _ in PLACES[2:])))
            continue
        mirrored = own.is_mirrored(kind, name, "at")
        rows.append(point_row(str(number), f"{kind}: {name}", at, label(""), mirrored=mirrored))
    for _ in range(2 if rows else 6):
        rows.append((label(str(len(rows) + 1)), *(blank() for _ in PLACES[1:])))
    return tuple(rows)


def _tees(tees: tuple[TeeSection | None, ...], own: OwnValues) -> Form:
    columns = (("tee", 22.0), ("straight run", 26.0), ("branch", 16.0), ("carries the sum", 18.0),
               ("bore", 18.0))  # fmt: skip
    rows = []
    for tee in tees:
        if tee is None:
            rows.append(tuple(blank() for _ in columns))
            continue
        run = ", ".join(tee.run)
        bore = value_cell(tee.bore, mirrored=own.is_mirrored("tee", tee.name, "bore"))
        texts: tuple[Value, ...] = (run, tee.branch or _TO_DRAIN, tee.common or _TO_DRAIN)
        rows.append((label(tee.name), *(value_cell(text) for text in texts), bore))
    return Form("Tees: which line is where", columns, tuple(rows))


def _selector(selector: SelectorSection | None) -> Iterator[Form]:
    name = "" if selector is None else selector.name
    columns = (("port or position", 30.0), ("line, or ports that are open", 45.0), ("seen", 25.0))
    rows: list[tuple[SheetCell, ...]] = []
    if selector is None:
        rows = [(blank(), blank(), blank()) for _ in range(6)]
    else:
        for port, line in selector.ports.items():
            rows.append((label(f"port {port}"), value_cell(line), blank()))
        for position, ports in selector.positions.items():
            opened = ", ".join(ports) or "nothing"
            judged = ", judged" if position in selector.judged else ""
            rows.append(
                (label(f"position {position}{judged}"), SheetCell("known", opened), blank())
            )
        rows.append((label("outlet"), value_cell(selector.outlet), blank()))
    caption = f'Selector "{name}"' if name else "Selector or shut-off: ____________"
    yield Form(caption, columns, tuple(rows))
    parts = () if selector is None or selector.loss is None else (selector.loss,)
    yield parts_table("Loss of one passage", parts, usual=() if parts else ("selector",), empty=0)
