"""From the data of a case to its sheets; what fits into no other sheet goes to ``other``."""

from collections import Counter
from dataclasses import replace
from typing import Any

from flowsim.files.case.form import FormField
from flowsim.files.case.words import plain
from flowsim.files.tables.book import BookSheet
from flowsim.files.tables.cells import split_unit, text_of
from flowsim.files.tables.key_path import goes_by_name, written_path
from flowsim.files.tables.layout import (
    AXES,
    FACETS,
    INSIDE,
    KEY,
    OTHER,
    OWN,
    PART_ROWS,
    POINT_LEADS,
    POINTS,
    QUALIFIED,
    SHEETS,
    SIMPLE,
    UNIT,
    VALUE,
    Layout,
    fields_at,
    name_of,
    owner_of,
    slots,
    words_of,
)
from flowsim.files.toml.lines import KeyPath

WrittenRow = dict[str, str]


def sheets_of(data: dict[str, Any]) -> list[BookSheet]:
    """Give a case as sheets.

    Parameters
    ----------
    data
        Plain data of a case that reads without mistakes.

    Returns
    -------
    list of BookSheet
        ``rows_to_case`` gives the same data from them; remarks and line breaks are lost.
    """
    writer = _Writer(data)
    writer.all()
    return [_finished(name, writer.rows[name]) for name in SHEETS if _is_wanted(name, writer)]


class _Writer:
    """Puts each value of a case into a row of one sheet."""

    def __init__(self, data: dict[str, Any]) -> None:
        self.data = data
        self.rows: dict[str, list[WrittenRow]] = {name: [] for name in SHEETS}

    def all(self) -> None:
        """Put everything."""
        top = fields_at(())
        for key, value in self.data.items():
            if key in OWN and isinstance(value, list) and value:
                for index, table in enumerate(value):
                    lead = {"what": key} if OWN[key].leads else {}
                    self.table(OWN[key], lead, (key, index), table)
            else:
                self.put((key,), value, top.get(key), None, ())

    def table(self, layout: Layout, lead: WrittenRow, path: KeyPath, table: Any) -> None:
        """Put a table as a row of its sheet."""
        row = dict(lead)
        self.rows[layout.sheet].append(row)
        self.inside(path, table, row, ())

    def inside(
        self, path: KeyPath, table: Any, row: WrittenRow | None, before: tuple[str, ...]
    ) -> None:
        """Put what is in a table, into a row where there is one."""
        fields = fields_at(path)
        for key, value in table.items():
            self.put((*path, key), value, fields.get(key), row, before)

    def put(
        self,
        path: KeyPath,
        value: Any,
        field: FormField | None,
        row: WrittenRow | None,
        before: KeyPath,
    ) -> None:
        """Put one value; ``before`` are the keys inside the row that lead to its table."""
        kind = "" if field is None else field.kind
        keys = tuple(str(step) for step in (*before, path[-1]))
        if field is not None and row is not None and _into_row(row, keys, value, field):
            return
        if self.points(path, value, field) or self.lists(path, value):
            return
        if kind == "section" and isinstance(value, dict) and value:
            self.inside(path, value, row, keys)
        else:
            self.other(path, value, field)

    def points(self, path: KeyPath, value: Any, field: FormField | None) -> bool:
        """Put a point, a list of points or of lists of points into their sheet, if it is one."""
        owner = owner_of(path[:-1], self.data)
        if field is None or owner is None or not value:
            return False
        key = words_of(str(path[-1]))
        if field.kind == "point":
            self.rows[POINTS].append(_point(owner, key, "", value))
        elif field.kind == "list" and field.item == "point":
            rows = [_point(owner, key, str(n), one) for n, one in enumerate(value, 1)]
            self.rows[POINTS] += rows
        elif field.kind == "list" and field.item == "list" and all(value):
            for number, cell in enumerate(value, 1):
                rows = [_point(owner, f"{key} {number}", str(n), p) for n, p in enumerate(cell, 1)]
                self.rows[POINTS] += rows
        else:
            return False
        return True

    def lists(self, path: KeyPath, value: Any) -> bool:
        """Put a list of tables with a sheet of its own, and the loss of a selector, into it."""
        key, owner = path[-1], owner_of(path[:-1], self.data)
        if owner is None or not value:
            return False
        of, which = owner
        if key == "loss" and path[0] == "selector":
            self.table(PART_ROWS, {"of": of, "which": which}, path, value)
        elif key == "parts":
            for n, part in enumerate(value):
                lead = {"of": of, "which": which, "no": str(n + 1)}
                self.table(PART_ROWS, lead, (*path, n), part)
        elif key in INSIDE and of in ("line", "tank") and isinstance(value[0], dict):
            layout = INSIDE[str(key)]
            for n, table in enumerate(value):
                lead = {of: which}
                if "no" in layout.leads:
                    lead["no"] = str(n + 1)
                self.table(layout, lead, (*path, n), table)
        else:
            return False
        return True

    def other(self, path: KeyPath, value: Any, field: FormField | None) -> None:
        """Put a value, or all that is in it, into rows of the sheet ``other``."""
        if _is_qualified(value, field):
            self.line(path, value["value"], value)
            return
        text = None if field is None else text_of(value, field)
        if field is not None and field.kind == "list" and field.item == "quantity" and value:
            text = None  # a row for each, so that number and unit have cells of their own
        if text is not None or not isinstance(value, dict | list):
            self.line(path, value if text is None else text, {})
        elif not value:
            self.line(path, "none", {})
        elif isinstance(value, list):
            for index, item in enumerate(value):
                self.element((*path, index), item, field)
        else:
            fields = fields_at(path)
            for key, item in value.items():
                inner = fields.get(key, _of_map(field))
                self.put((*path, key), item, inner, None, ())

    def element(self, path: KeyPath, item: Any, field: FormField | None) -> None:
        """Put an element of a list into ``other``."""
        if field is not None and field.kind == "sections" and isinstance(item, dict):
            before = len(self.rows[OTHER])
            self.inside(path, item, None, ())
            if goes_by_name(path[:-1]):
                self._without_name(path, item, before)
        else:
            inner = None if field is None else item_field(field)
            self.other(path, item, inner)

    def _without_name(self, path: KeyPath, item: Any, before: int) -> None:
        """Leave out the name of a thing that other rows have in their key."""
        rows = self.rows[OTHER]
        mine = [
            row for row in rows[before:] if row[KEY] != written_path((*path, "name"), self.data)
        ]
        if name_of(item) and mine:
            rows[before:] = mine

    def line(self, path: KeyPath, value: Any, facets: dict[str, Any]) -> None:
        """Add a row to ``other``."""
        text = plain(value) if isinstance(value, str) else _spelled(value)
        number, unit = split_unit(text) if isinstance(value, str) else (text, "")
        row = {KEY: written_path(path, self.data), VALUE: number, UNIT: unit}
        self.rows[OTHER].append(row | _facets(facets))


def _spelled(value: Any) -> str:
    return ("yes" if value else "no") if isinstance(value, bool) else repr(value)


def _of_map(field: FormField | None) -> FormField | None:
    """Give the field of a value of a table of names."""
    if field is None or field.kind != "map":
        return None
    return replace(field, kind=map_kind(field))


def map_kind(field: FormField) -> str:
    """Give the kind of the values of a table of names: each is text or a list of names."""
    sample = next(iter(field.example.values()), "") if isinstance(field.example, dict) else ""
    return "names" if isinstance(sample, list) else "text"


def item_field(field: FormField) -> FormField:
    """Give the field of an element of a list."""
    if field.kind == "list" and field.item == "list":
        return replace(field, item="point")
    kinds = {"names": "text", "band": "number", "point": "quantity"}
    return replace(field, kind=kinds.get(field.kind, field.item), item="")


def _is_qualified(value: Any, field: FormField | None) -> bool:
    """Tell whether a value is a table that says where it is from."""
    return (
        isinstance(value, dict)
        and (field is None or field.kind in QUALIFIED)
        and "value" in value
        and set(value) <= {"value", *FACETS}
        and not isinstance(value["value"], dict | list)
    )


def _into_row(row: WrittenRow, keys: tuple[str, ...], value: Any, field: FormField) -> bool:
    """Put a value into its cells of a row; False where it does not fit."""
    heading = words_of(*keys)
    if _is_qualified(value, field):
        text = text_of(value["value"], field)
        facets = {f"{heading} {key}": text for key, text in _facets(value).items()}
    else:
        fits = field.kind in SIMPLE or (field.kind == "list" and field.item in QUALIFIED)
        text, facets = text_of(value, field) if fits else None, {}
    if text is None:
        return False
    row[heading] = text
    row.update(facets)
    return True


def _facets(value: dict[str, Any]) -> WrittenRow:
    """Give what a value says of itself, as cells."""
    found = {key: value[key] for key in FACETS if value.get(key) not in (None, "")}
    return {key: plain(x) if isinstance(x, str) else repr(x) for key, x in found.items()}


def _point(owner: tuple[str, str], key: str, number: str, point: list[Any]) -> WrittenRow:
    """Give the row of a point."""
    row = {"of": owner[0], "which": owner[1], "point": key, "no": number}
    says = []
    for axis, item in zip(AXES, point, strict=True):
        qualified = isinstance(item, dict)
        row[axis] = plain(str(item["value"] if qualified else item))
        says.append(_facets(item) if qualified else {})
    if says[0] == says[1] == says[2]:
        return row | says[0]
    for axis, said in zip(AXES, says, strict=True):
        row |= {f"{axis} {key}": text for key, text in said.items()}
    return row


def _is_wanted(name: str, writer: _Writer) -> bool:
    return bool(writer.rows[name]) or name not in ("corners", "dips")


_LAYOUTS = {layout.sheet: layout for layout in (*OWN.values(), *INSIDE.values(), PART_ROWS)}


def _finished(name: str, rows: list[WrittenRow]) -> BookSheet:
    """Give a sheet with the headings that its rows need, units in the headings."""
    used = {heading for row in rows for heading, text in row.items() if text}
    headings, numeric = [], {"no"}
    usual = _LAYOUTS[name].usual if name in _LAYOUTS else ()
    for base, kind in _bases(name):
        if base in used or kind == "always" or base in usual:
            headings.append(base)
        headings += [f"{base} {facet}" for facet in FACETS if f"{base} {facet}" in used]
        if kind in ("quantity", "number", "count"):
            numeric |= {base, f"{base} accuracy"}
    headings += [facet for facet in FACETS if facet in used and facet not in headings]
    sheet = BookSheet(name, headings, rows, numeric | {VALUE, "accuracy"})
    if name != OTHER:
        for heading in list(headings):
            if heading in sheet.numeric:
                _unit_into_heading(sheet, heading)
    return sheet


def _bases(name: str) -> list[tuple[str, str]]:
    """Give the headings that a sheet may have, and the kinds of what stands under them."""
    if name == OTHER:
        return [(KEY, "always"), (VALUE, "always"), (UNIT, "always")]
    if name == POINTS:
        return [*((lead, "always") for lead in POINT_LEADS), *((axis, "quantity") for axis in AXES)]
    layout = _LAYOUTS[name]
    known = slots(layout)
    kinds = {heading: slot.field.kind for heading, slot in known.items()}
    order = [*layout.usual, *(heading for heading in known if heading not in layout.usual)]
    return [*((lead, "always") for lead in layout.leads), *((h, kinds[h]) for h in order)]


def _unit_into_heading(sheet: BookSheet, heading: str) -> None:
    """Write the unit that most values of a column have into its heading."""
    texts = [row[heading] for row in sheet.rows if row.get(heading)]
    units = Counter(unit for _, unit in map(split_unit, texts) if unit)
    if not units:
        return
    unit = units.most_common(1)[0][0]
    new = f"{heading} [{unit}]"
    for row in sheet.rows:
        text = row.pop(heading, "")
        number, own = split_unit(text)
        row[new] = number if own == unit else text
    sheet.headings[sheet.headings.index(heading)] = new
    sheet.numeric = (sheet.numeric - {heading}) | {new}
