"""From the sheets of a file of tables to the data of a case, with the cell of each value."""

import re
from typing import Any

from flowsim.files.case.words import closest, did_you_mean, same_word
from flowsim.files.tables.book import CellPlace, ReadSheet, SheetLedger
from flowsim.files.tables.groups import SectionGroup, groups, known_word
from flowsim.files.tables.headings import LIKENESS, HeadedColumn, HeadedTable, table_of
from flowsim.files.tables.layout import (
    AXES,
    FACETS,
    INSIDE,
    JOINTS,
    KEY,
    LINES,
    OTHER,
    PART_ROWS,
    PARTS,
    POINT_LEADS,
    POINTS,
    SHEETS,
    TANKS,
    UNIT,
    VALUE,
    fields_at,
    slots,
    words_of,
)
from flowsim.files.tables.other import put_other
from flowsim.files.tables.rows import Filling, grouped, qualified_bases
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import shown

_JOINTS = ("tee", "junction", "drain")
_NUMBERED_KEY = re.compile(r"(?P<key>.*?) (?P<number>[0-9]{1,3})")


def case_of(grids: list[ReadSheet], complaints: SheetLedger, *, decimal_comma: bool) -> Filling:
    """Put a case together from its sheets.

    Parameters
    ----------
    grids
        The sheets that were found.
    complaints
        Receives what cannot be understood.
    decimal_comma
        Whether a comma in a number parts decimals.

    Returns
    -------
    Filling
        Data as the reader of a case takes it, right or wrong, and the cell of each value.
    """
    filling = Filling(complaints, decimal_comma=decimal_comma)
    tables = _tables(grids, complaints)
    for layout, key in ((LINES, "line"), (TANKS, "tank")):
        for number, cells in tables[layout.sheet].rows:
            rows = filling.data.setdefault(key, [])
            rows.append(filling.row(tables[layout.sheet], number, cells, layout, (key, len(rows))))
    _joints(tables[JOINTS.sheet], filling)
    for key in INSIDE:
        _inside(tables[INSIDE[key].sheet], key, filling)
    # What belongs to a part comes when the parts are there.
    put_other(tables[OTHER], filling, of_parts=False)
    _parts(tables[PARTS], filling)
    _points(tables[POINTS], filling)
    put_other(tables[OTHER], filling, of_parts=True)
    return filling


def _tables(grids: list[ReadSheet], complaints: SheetLedger) -> dict[str, HeadedTable]:
    found = {name: HeadedTable(name, 0, []) for name in SHEETS}
    for grid in grids:
        name = same_word(grid.name, SHEETS)
        if not grid.rows or (name is None and grid.name.strip().startswith("#")):
            continue
        if name is None:
            remedy = f"{did_you_mean(grid.name, SHEETS)} (begin the name of one of your own with #)"
            complaints.say(CellPlace(shown(grid.name, 40)), "unknown sheet", remedy)
            name = closest(grid.name, SHEETS, LIKENESS)
        if name is None:
            continue
        if found[name].heading_row:
            complaints.say(CellPlace(name), "there are two sheets of this name", "keep one")
        else:
            bases, qualified = _headings(name)
            found[name] = table_of(ReadSheet(name, grid.rows), bases, qualified, complaints)
    return found


def _headings(name: str) -> tuple[list[str], list[str]]:
    if name == POINTS:
        return [*POINT_LEADS, *AXES, *FACETS], list(AXES)
    if name == OTHER:
        return [KEY, VALUE, UNIT, *FACETS], []
    every = (LINES, TANKS, JOINTS, PART_ROWS, *INSIDE.values())
    layout = next(one for one in every if one.sheet == name)
    return [*layout.leads, *slots(layout)], list(qualified_bases(layout))


def _joints(table: HeadedTable, filling: Filling) -> None:
    for number, cells in table.rows:
        key = known_word(table, number, cells, "what", _JOINTS, filling.complaints)
        if key is not None:
            rows = filling.data.setdefault(key, [])
            rows.append(filling.row(table, number, cells, JOINTS, (key, len(rows))))


def _inside(table: HeadedTable, key: str, filling: Filling) -> None:
    """Put outlets into their tanks, corners into their lines, dips into their tanks."""
    layout = INSIDE[key]
    for group in groups(table, layout.leads[:1], filling):
        _append(table, group, key, filling)


def _append(table: HeadedTable, group: SectionGroup, key: str, filling: Filling) -> None:
    layout = INSIDE.get(key, PART_ROWS)
    made = holder_at(filling.data, group.path).setdefault(key, [])
    for number, cells in group.rows:
        made.append(filling.row(table, number, cells, layout, (*group.path, key, len(made))))


def _parts(table: HeadedTable, filling: Filling) -> None:
    for group in groups(table, ("of", "which"), filling):
        takes = fields_at(group.path)
        if "parts" in takes:
            _append(table, group, "parts", filling)
        elif "loss" in takes:
            number, cells = group.rows[0]
            holder = holder_at(filling.data, group.path)
            path = (*group.path, "loss")
            holder["loss"] = filling.row(table, number, cells, PART_ROWS, path)
            for extra, _ in group.rows[1:]:
                problem = "a selector has one loss, and this is its second row"
                filling.complaints.say(table.place(extra), problem, "keep one row")
        else:
            number, cells = group.rows[0]
            problem = f"parts do not belong to a {words_of(group.of)}"
            remedy = "put them on a line, outlet, carburettor or selector"
            filling.complaints.say(table.place(number), problem, remedy)


def _points(table: HeadedTable, filling: Filling) -> None:
    for group in groups(table, ("of", "which"), filling, then="point"):
        match = _NUMBERED_KEY.fullmatch(group.then)
        fields = {words_of(key): field for key, field in fields_at(group.path).items()}
        points = {
            words: field
            for words, field in fields.items()
            if field.kind == "point" or (field.kind == "list" and field.item in ("point", "list"))
        }
        words = same_word(group.then, points) or same_word(match["key"] if match else "", points)
        if words is None:
            number, cells = group.rows[0]
            column = next((c for c in cells if c.base == "point"), None)
            problem = f"{shown(group.then)} is not a point of a {group.of}"
            remedy = did_you_mean(group.then, tuple(points))
            filling.complaints.say(table.place(number, column), problem, remedy)
            continue
        cell = int(match["number"]) if match and words != group.then else 0
        _course(table, group, (points[words].key, points[words].kind, cell), filling)


def _course(
    table: HeadedTable, group: SectionGroup, what: tuple[str, str, int], filling: Filling
) -> None:
    """Put the points of one key where they belong."""
    key, kind, cell = what
    holder, path = holder_at(filling.data, group.path), (*group.path, key)
    if kind == "point":
        number, cells = group.rows[0]
        holder[key] = _point(table, number, cells, path, filling)
        for extra, _ in group.rows[1:]:
            problem, remedy = (
                f"{shown(group.then)} is one place, and this is its second row",
                "keep one",
            )
            filling.complaints.say(table.place(extra), problem, remedy)
        return
    made = holder.setdefault(key, [])
    if cell:
        made.append([])
        path, made = (*path, len(made) - 1), made[-1]
    filling.places.setdefault(path, table.place(group.rows[0][0]))
    for number, cells in group.rows:
        made.append(_point(table, number, cells, (*path, len(made)), filling))


def _point(
    table: HeadedTable, number: int, cells: dict[HeadedColumn, str], path: KeyPath, filling: Filling
) -> list[Any]:
    """Read the three coordinates of a row, with what is said of them or of the point."""
    said = grouped(cells)
    filling.places[path] = table.place(number)
    whole = {facet: next(iter(said[facet].values())) for facet in FACETS if facet in said}
    made: list[Any] = []
    for index, axis in enumerate(AXES):
        own = said.get(axis, {})
        if "" not in own:
            place = CellPlace(table.name, number, axis)
            problem = "the cell is empty: a point has three lengths (station, buttline, waterline)"
            filling.complaints.say(place, problem, 'write for example "0 in"')
            made.append("0 m")
            continue
        column, text = own[""]
        filling.places[(*path, index)] = table.place(number, column)
        value = filling.read(text, column, "quantity")
        says = {f: pair for f, pair in own.items() if f} or whole
        for facet, (other, _) in says.items():
            filling.places[(*path, index, facet)] = table.place(number, other)
        made.append(filling.qualified(value, {"": own[""], **says}, "quantity"))
    return made


def holder_at(data: dict[str, Any], path: KeyPath) -> Any:
    """Give the table at a path, made where it is not there yet."""
    holder: Any = data
    for step in path:
        holder = holder.setdefault(step, {}) if isinstance(holder, dict) else holder[step]
    return holder
