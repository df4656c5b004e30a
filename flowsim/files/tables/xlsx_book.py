"""Sheets as a workbook of a spreadsheet (xlsx), and back."""

import io
import math
import re
import zipfile
from datetime import date, datetime, time, timedelta
from typing import Any

from flowsim.errors import InputError, Mistake
from flowsim.files.case.cell_text import MARKS, is_plain_number, protected
from flowsim.files.tables.book import (
    LARGEST_GRID,
    LONGEST_CELL,
    WIDEST_GRID,
    BookSheet,
    CellPlace,
    ReadSheet,
    SheetLedger,
)
from flowsim.files.units.quantities import shown

LARGEST_UNPACKED = 64 * 1024 * 1024
"""[bytes] A workbook that unpacks to more is refused."""
_TEXT, _GENERAL = "@", "General"
_DECIMALS = re.compile(r"0(?:\.(0{1,15}))?")
_NARROW, _WIDE = 9, 44
_README = "# read me"


def xlsx_bytes(sheets: list[BookSheet], remarks: tuple[str, ...]) -> bytes:
    """Write sheets as a workbook: numbers as numbers, all else as text and never as a formula.

    Parameters
    ----------
    sheets
        What is written.
    remarks
        Lines of a sheet of their own, which is not read back.

    Returns
    -------
    bytes
    """
    from openpyxl import Workbook

    book = Workbook()
    first = book.active
    assert first is not None
    book.remove(first)
    notes = book.create_sheet(_README)
    notes.column_dimensions["A"].width = 110
    for number, remark in enumerate(remarks, 1):
        _write(notes.cell(number, 1), remark, is_number=False)
    for sheet in sheets:
        _write_sheet(book.create_sheet(sheet.name), sheet)
    book.active = 1
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


def _write_sheet(made: Any, sheet: BookSheet) -> None:
    from openpyxl.styles import Alignment, Font, PatternFill
    from openpyxl.utils import get_column_letter

    for column, heading in enumerate(sheet.headings, 1):
        cell = made.cell(1, column)
        _write(cell, heading, is_number=False)
        cell.font, cell.fill = Font(bold=True), PatternFill("solid", fgColor="E4E4E4")
        cell.alignment = Alignment(wrap_text=True, vertical="top")
        texts = [row.get(heading, "") for row in sheet.rows]
        longest = max([len(heading), *map(len, texts)])
        width = min(_WIDE, max(_NARROW, longest + 2))
        made.column_dimensions[get_column_letter(column)].width = width
        for row, text in enumerate(texts, 2):
            if text:
                _write(made.cell(row, column), text, is_number=heading in sheet.numeric)
    made.freeze_panes = made.cell(2, 2)


def _write(cell: Any, text: str, *, is_number: bool) -> None:
    """Write a cell; the format of a number keeps the decimals that were written."""
    if is_number and is_plain_number(text):
        decimals = len(text.partition(".")[2])
        cell.value = float(text) if decimals else int(text)
        cell.number_format = f"0.{'0' * decimals}" if decimals else "0"
        return
    cell.value = protected(text, ("#",))
    cell.data_type = "s"
    cell.number_format = _TEXT
    if text.startswith(MARKS):
        cell.quotePrefix = True


def read_xlsx(content: bytes, complaints: SheetLedger) -> list[ReadSheet]:
    """Read the sheets of a workbook.

    Parameters
    ----------
    content
        The file.
    complaints
        Receives cells that cannot be read: dates, errors, formulas without a value.

    Returns
    -------
    list of ReadSheet

    Raises
    ------
    InputError
        It is no workbook.
    """
    name = complaints.file
    _refuse_monsters(content, name)
    from openpyxl import load_workbook

    try:
        values = load_workbook(io.BytesIO(content), data_only=True)
        formulas = load_workbook(io.BytesIO(content))
    except Exception as error:  # noqa: BLE001 - a broken file breaks the library in many ways
        raise _no_workbook(name, error) from None
    grids = []
    for sheet in values.worksheets:
        grid = ReadSheet(sheet.title)
        if not sheet.title.strip().startswith("#"):
            _read_sheet(sheet, formulas[sheet.title], grid, complaints)
        grids.append(grid)
    return grids


def _refuse_monsters(content: bytes, name: str) -> None:
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            size = sum(one.file_size for one in packed.infolist())
    # A RuntimeError is what zipfile says of a lock, and of a packing that it does not know.
    except (zipfile.BadZipFile, ValueError, OSError, RuntimeError) as error:
        raise _no_workbook(name, error) from None
    if size > LARGEST_UNPACKED:
        problem = f"unpacks to more than {LARGEST_UNPACKED // 1024**2} MiB"
        raise InputError([Mistake(name, None, "", problem, "give the tables of one case")])


def _no_workbook(name: str, error: Exception) -> InputError:
    problem = f"cannot be read as a workbook ({shown(str(error), 80)[1:-1]})"
    return InputError([Mistake(name, None, "", problem, "save it again as .xlsx, or as CSV")])


def _read_sheet(sheet: Any, formulas: Any, grid: ReadSheet, complaints: SheetLedger) -> None:
    if sheet.max_row > LARGEST_GRID:
        complaints.say(
            CellPlace(grid.name), f"has more than {LARGEST_GRID} rows", "give one case in a file"
        )
        return
    headings: list[str] = []
    for row in sheet.iter_rows(max_col=min(sheet.max_column, WIDEST_GRID)):
        texts = []
        for cell in row:
            column = headings[cell.column - 1] if cell.column <= len(headings) else ""
            place = CellPlace(grid.name, cell.row, column or cell.column_letter)
            formula = formulas.cell(cell.row, cell.column).data_type == "f"
            texts.append(_text(cell, place, complaints, is_formula=formula))
        if any(texts):
            number = row[0].row
            grid.rows.append((number, texts))
            is_remark = texts[0].startswith("#") and not any(texts[1:])
            headings = headings or ([] if is_remark else texts)
    for _, texts in grid.rows:
        while texts and not texts[-1]:
            texts.pop()


def _text(cell: Any, place: CellPlace, complaints: SheetLedger, *, is_formula: bool) -> str:
    """Give the text of a cell as the spreadsheet means it."""
    value = cell.value
    if value is None:
        if is_formula:
            problem = "the formula has no value"
            remedy = "open the file in a spreadsheet and save it, or write the number"
            complaints.say(place, problem, remedy)
        return ""
    if cell.data_type == "e":
        complaints.say(
            place, f"{shown(str(value))} is an error of the spreadsheet", "write a value"
        )
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return _number(value, cell.number_format or _GENERAL)
    if isinstance(value, date | datetime | time | timedelta):
        problem = "the spreadsheet took it for a date or a time"
        remedy = 'format the cell as text and write it with its unit, such as "3/8 in"'
        complaints.say(place, problem, remedy)
        return ""
    return str(value).strip()[:LONGEST_CELL]


def _number(value: float, number_format: str) -> str:
    """Give a number as text, with the decimals of its format where these show it whole."""
    if not math.isfinite(value):
        return str(value)
    match = _DECIMALS.fullmatch(number_format)
    if match is not None:
        text = f"{value:.{len(match[1] or '')}f}"
        if float(text) == value:
            return text
    return str(value) if isinstance(value, int) else f"{value:.15g}"
