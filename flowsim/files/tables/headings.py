"""The headings of a sheet that was read: which column is what, and what is said in vain."""

import re
from collections.abc import Sequence
from typing import NamedTuple

from flowsim.files.case.cell_text import unprotected
from flowsim.files.case.words import closest, did_you_mean
from flowsim.files.tables.book import CellPlace, ReadSheet, SheetLedger
from flowsim.files.tables.layout import FACETS, same_heading
from flowsim.files.units.quantities import shown

_HEADING = re.compile(r"(?P<name>[^\[\](]*?)\s*(?:[\[(]\s*(?P<unit>[^\])]*?)\s*[\])])?\s*")
LIKENESS = 0.75
"""How like a known heading an unknown one must be to be taken for it."""


class HeadedColumn(NamedTuple):
    """A column: the known heading it goes by, its facet if it is one, its unit, as it is shown."""

    base: str
    facet: str
    unit: str
    shown: str


class HeadedTable(NamedTuple):
    """A sheet with its columns known: rows hold the texts of their cells by column."""

    name: str
    heading_row: int
    rows: list[tuple[int, dict[HeadedColumn, str]]]

    def place(self, row: int, column: HeadedColumn | None = None) -> CellPlace:
        """Give a place in it."""
        return CellPlace(self.name, row, "" if column is None else column.shown)


def table_of(
    grid: ReadSheet, bases: Sequence[str], qualified: Sequence[str], complaints: SheetLedger
) -> HeadedTable:
    """Read the headings of a sheet and sort its cells under them.

    Parameters
    ----------
    grid
        The sheet.
    bases
        Headings that it may have.
    qualified
        Those that may be followed by ``from``, ``accuracy`` or ``note``; "" for these alone.
    complaints
        Receives what is wrong.

    Returns
    -------
    HeadedTable
        Cells under unknown headings are left out.
    """
    written = _without_remarks(grid, bases, qualified)
    if not written:
        return HeadedTable(grid.name, 0, [])
    heading_row, texts = written[0]
    columns: list[HeadedColumn | None] = []
    for text in texts:
        column = _column(text, bases, qualified)
        there = [c for c in columns if c is not None]
        if column is None and text and not text.startswith("#"):
            column = _meant(grid.name, heading_row, text, bases, qualified, complaints)
        if column is not None and any(c[:2] == column[:2] for c in there):
            place = CellPlace(grid.name, heading_row, column.shown)
            complaints.say(place, "the heading is there twice", "keep one of the two columns")
            column = None
        columns.append(column)
    rows = []
    for number, cells in written[1:]:
        found = {c: t for c, t in zip(columns, cells, strict=False) if c is not None and t}
        beyond = next((t for t in cells[len(columns) :] if t), "")
        if beyond:
            problem = f"{shown(beyond, 30)} stands beyond the last heading"
            complaints.say(CellPlace(grid.name, number), problem, "give its column a heading")
        if found:
            rows.append((number, found))
    return HeadedTable(grid.name, heading_row, rows)


def _without_remarks(
    grid: ReadSheet, bases: Sequence[str], qualified: Sequence[str]
) -> list[tuple[int, list[str]]]:
    """Give the rows that are no remarks, headings first, texts as they are meant."""
    kept: list[tuple[int, list[str]]] = []
    own_column = False
    for number, cells in grid.rows:
        is_marked = cells[0].startswith("#")
        if not kept:
            # A column of one's own may stand first.
            own_column = is_marked and any(_column(text, bases, qualified) for text in cells)
        if not is_marked or own_column:
            kept.append((number, [unprotected(cell) for cell in cells]))
    return kept


def _column(text: str, bases: Sequence[str], qualified: Sequence[str]) -> HeadedColumn | None:
    match = _HEADING.fullmatch(text)
    name = same_heading(match["name"] if match else text)
    unit = (match["unit"] or "") if match else ""
    plain = (match["name"] if match else text).strip()
    if name in bases:
        return HeadedColumn(name, "", unit, plain)
    base, _, facet = name.rpartition(" ")
    if facet in FACETS and base in qualified:
        return HeadedColumn(base, facet, unit, plain)
    return None


def _meant(
    sheet: str,
    row: int,
    text: str,
    bases: Sequence[str],
    qualified: Sequence[str],
    complaints: SheetLedger,
) -> HeadedColumn | None:
    """Say that a heading is unknown; give the column that it was meant to be, if one is near."""
    match = _HEADING.fullmatch(text)
    name = same_heading(match["name"] if match else text)
    every = (*bases, *(f"{base} {facet}".strip() for base in qualified for facet in FACETS))
    remedy = did_you_mean(name, every) if closest(name, every) else _listed(bases)
    remedy += " (begin the heading of a column of your own with #)"
    complaints.say(CellPlace(sheet, row), f"unknown heading {shown(text, 40)}", remedy)
    near = closest(name, every, LIKENESS)
    found = None if near is None else _column(near, bases, qualified)
    if found is None:
        return None
    return found._replace(unit=(match["unit"] or "") if match else "", shown=text)


def _listed(bases: Sequence[str]) -> str:
    most = 12
    return f"write {', '.join(bases[:most])}{' or another key' if len(bases) > most else ''}"
