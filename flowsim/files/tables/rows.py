"""From the rows of a sheet to tables of a case: what stands in each cell, and where."""

from typing import Any

from flowsim.files.tables.book import CellPlace, SheetLedger
from flowsim.files.tables.cells import as_count, value_of, with_points, with_unit
from flowsim.files.tables.headings import HeadedColumn, HeadedTable
from flowsim.files.tables.layout import QUALIFIED, Layout, Slot, slots
from flowsim.files.toml.lines import KeyPath

MEASURES = ("quantity", "number", "tube", "band", "list", "point")
"""Kinds in which a decimal comma can stand."""


class Filling:
    """The data of a case while it is put together; remembers the cell of each value.

    ``decimal_comma`` says that a comma parts no cells, so that it may part decimals.
    """

    def __init__(self, complaints: SheetLedger, *, decimal_comma: bool) -> None:
        self.data: dict[str, Any] = {}
        self.places: dict[KeyPath, CellPlace] = {}
        self.complaints = complaints
        self.decimal_comma = decimal_comma

    def row(
        self,
        table: HeadedTable,
        number: int,
        cells: dict[HeadedColumn, str],
        layout: Layout,
        path: KeyPath,
    ) -> dict[str, Any]:
        """Read a row of a sheet with a row for each table.

        Parameters
        ----------
        table, number, cells
            The sheet, the row's number and its cells.
        layout
            What the sheet is.
        path
            At which the row's table will stand.

        Returns
        -------
        dict
            The table.
        """
        made: dict[str, Any] = {}
        self.places[path] = table.place(number)
        known = slots(layout)
        said = grouped({c: t for c, t in cells.items() if c.base in known})
        for base, facets in said.items():
            slot = known[base]
            self.value(made, path, slot, facets, (table, number))
        return made

    def value(
        self,
        made: dict[str, Any],
        path: KeyPath,
        slot: Slot,
        facets: dict[str, tuple[HeadedColumn, str]],
        at: tuple[HeadedTable, int],
    ) -> None:
        """Put a value, with what is said of it, into a table that is being made."""
        table, number = at
        if "" not in facets:
            column = next(iter(facets.values()))[0]
            problem = f'the column "{column.shown}" is filled and "{column.base}" is not'
            remedy = f'fill in "{column.base}" or empty this cell'
            self.complaints.say(table.place(number, column), problem, remedy)
            return
        holder = made
        for key in slot.path[:-1]:
            self.places.setdefault((*path, key), table.place(number, facets[""][0]))
            holder, path = holder.setdefault(key, {}), (*path, key)
        here = (*path, slot.path[-1])
        column, text = facets[""]
        self.places[here] = table.place(number, column)
        value = self.read(text, column, slot.field.kind, slot.field.item)
        for facet, (other, _) in facets.items():
            if facet:
                self.places[(*here, facet)] = table.place(number, other)
        holder[slot.path[-1]] = self.qualified(value, facets, slot.field.kind)

    def qualified(
        self, value: Any, facets: dict[str, tuple[HeadedColumn, str]], kind: str
    ) -> Any:  # fmt: skip
        """Give a value together with what is said of it."""
        says = {
            facet: self.read(text, column, kind if facet == "accuracy" else "text")
            for facet, (column, text) in facets.items()
            if facet
        }
        return {"value": value, **says} if says else value

    def read(self, text: str, column: HeadedColumn, kind: str, item: str = "") -> Any:
        """Read the text of a cell."""
        if self.decimal_comma and (kind in MEASURES):
            text = with_points(text)
        if kind in ("quantity", "point") or item == "quantity":
            return self._with_unit(text, column.unit, kind)
        value = value_of(text, kind, item)
        return as_count(value) if kind == "count" else value

    def _with_unit(self, text: str, unit: str, kind: str) -> Any:
        if kind == "quantity":
            return with_unit(text, unit)
        found = value_of(text, "list", "quantity")
        return [with_unit(one, unit) for one in found] if isinstance(found, list) else found


def grouped(cells: dict[HeadedColumn, str]) -> dict[str, dict[str, tuple[HeadedColumn, str]]]:
    """Give the cells of a row by heading and, within it, by facet."""
    found: dict[str, dict[str, tuple[HeadedColumn, str]]] = {}
    for column, text in cells.items():
        found.setdefault(column.base, {})[column.facet] = (column, text)
    return found


def qualified_bases(layout: Layout) -> tuple[str, ...]:
    """Give the headings of a sheet whose values may say where they are from."""
    return tuple(base for base, slot in slots(layout).items() if slot.field.kind in QUALIFIED)
