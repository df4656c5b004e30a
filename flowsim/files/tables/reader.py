"""A file of tables: a case written into one, and read from one with every mistake at its cell."""

from dataclasses import dataclass
from pathlib import Path as FilePath
from typing import Any

from flowsim.errors import InputError
from flowsim.files.case.form import keys_at
from flowsim.files.case.reader import read_draft
from flowsim.files.tables.at_cells import at_cells
from flowsim.files.tables.book import SheetLedger
from flowsim.files.tables.case_text import case_text
from flowsim.files.tables.csv_book import csv_bytes, read_csv
from flowsim.files.tables.read_back import case_of
from flowsim.files.tables.written import sheets_of
from flowsim.files.tables.xlsx_book import read_xlsx, xlsx_bytes
from flowsim.files.toml.lines import KeyPath
from flowsim.files.toml.source import file_name, read_bytes
from flowsim.system.fuel_system import FuelSystem

ENDINGS = (".csv", ".xlsx")
REMARKS = (
    "A fuel system as tables, for flowsim case from. An estimate, not an approval: the ground test "
    "decides; local rules, makers' instructions and licensed practice come first.",
    "station is aft, buttline right, waterline up, each from the datum. The unit of a column "
    "stands in its heading; a cell may have one of its own, such as 3/8 in.",
    "An empty cell is a value that is not given. Columns such as bore from (measured, drawing, "
    "handbook, assumed), bore accuracy and bore note say how well a value is known; add them where "
    "they are not there.",
    "Rows of points, parts, outlets, corners and dips say whose they are; no is their order. What "
    "has no sheet stands in other, by its key in the case file.",
    "Sheets, rows and columns that begin with # are your own and are not read.",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TableCase:
    """A case that was read from tables: its data, its text as a case file, the checked system."""

    data: dict[str, Any]
    text: str
    system: FuelSystem


def table_bytes(data: dict[str, Any], ending: str) -> bytes:
    """Write a case as tables.

    Parameters
    ----------
    data
        Plain data of a case that reads without mistakes.
    ending
        One of ``ENDINGS``: which kind of file.

    Returns
    -------
    bytes
    """
    make = xlsx_bytes if ending == ".xlsx" else csv_bytes
    return make(sheets_of(data), REMARKS)


def read_tables(path: FilePath) -> TableCase:
    """Read a file of tables.

    Parameters
    ----------
    path
        CSV or xlsx (by what is in it), at most 1 MiB.

    Returns
    -------
    TableCase

    Raises
    ------
    InputError
        The file cannot be read, or with every mistake in it by sheet, row and column.
    """
    return read_table_bytes(read_bytes(path), file_name(path))


def read_table_bytes(content: bytes, name: str) -> TableCase:
    """Read the bytes of a file of tables; see ``read_tables``."""
    complaints = SheetLedger(name)
    if content[:4] == b"PK\x03\x04":
        grids, decimal_comma = read_xlsx(content, complaints), False
    else:
        grids, decimal_comma = read_csv(content, name)
    filling = case_of(grids, complaints, decimal_comma=decimal_comma)
    data = in_usual_order(filling.data)
    text = case_text(data)
    draft = read_draft(text, name)
    found = [*complaints.found, *at_cells(draft.mistakes, text, filling.places)]
    if found or draft.system is None:
        order = {grid.name.casefold(): index for index, grid in enumerate(grids)}
        found.sort(key=lambda one: (order.get(one[0].sheet, len(order)), one[0].row))
        raise InputError([mistake for _, mistake in found])
    return TableCase(data=data, text=text, system=draft.system)


def in_usual_order(value: Any, path: KeyPath = ()) -> Any:
    """Give the data of a case with the keys of every table in the order of the reference."""
    if isinstance(value, list):
        return [in_usual_order(item, (*path, index)) for index, item in enumerate(value)]
    if not isinstance(value, dict):
        return value
    places = {key: number for number, key in enumerate(keys_at(path))}
    keys = sorted(value, key=lambda key: places.get(key, len(places)))
    return {key: in_usual_order(value[key], (*path, key)) for key in keys}
