"""Sheets as one CSV file: each under a line with its name in brackets, parted by empty lines.

Read from any spreadsheet: the separator is ``;``, a tab or ``,``, with or without a byte order mark
(UTF-16 too), quotes, a first line ``sep=;``, remarks after ``#``.
"""

import csv
import io
import re
from collections.abc import Iterator
from itertools import pairwise

from flowsim.errors import InputError, Mistake
from flowsim.files.case.cell_text import MARKS, protected
from flowsim.files.tables.book import LARGEST_GRID, LONGEST_CELL, WIDEST_GRID, BookSheet, ReadSheet
from flowsim.files.tables.layout import SHEETS
from flowsim.files.toml.source import decode
from flowsim.files.units.quantities import shown

_NAME = re.compile(r"\[\s*(?P<name>[^\]]{1,60}?)\s*\]")


def csv_bytes(sheets: list[BookSheet], remarks: tuple[str, ...]) -> bytes:
    """Write sheets as CSV with commas, in UTF-8 with a byte order mark.

    Parameters
    ----------
    sheets
        What is written.
    remarks
        Lines on top.

    Returns
    -------
    bytes
    """
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    for remark in remarks:
        writer.writerow([f"# {remark}"])
    for sheet in sheets:
        writer.writerow([])
        writer.writerow([f"[{sheet.name}]"])
        writer.writerow(sheet.headings)
        for row in sheet.rows:
            texts = [protected(row.get(heading, ""), MARKS) for heading in sheet.headings]
            writer.writerow(texts)
    return b"\xef\xbb\xbf" + out.getvalue().encode()


def read_csv(content: bytes, name: str) -> tuple[list[ReadSheet], bool]:
    """Read the sheets of a CSV file.

    Parameters
    ----------
    content
        The file.
    name
        Its name for messages.

    Returns
    -------
    list of ReadSheet and bool
        The sheets, rows numbered as a spreadsheet shows the file; whether cells are parted by
        something else than a comma, so that a comma may part decimals.

    Raises
    ------
    InputError
        It is no text, no CSV, or has no sheet.
    """
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        content = content.decode("utf-16", errors="replace").encode()
    text = decode(content, name)
    separator = _separator(text)
    grids: list[ReadSheet] = []
    mistakes: list[Mistake] = []
    for number, cells in _rows(text, separator, name):
        first, rest = cells[0], any(cells[1:])
        match = None if rest else _NAME.fullmatch(first)
        called = match["name"] if match else first.casefold()
        if match or (not rest and called in SHEETS):
            grids.append(ReadSheet(called))
        elif grids:
            grids[-1].rows.append((number, cells))
        elif not first.startswith("#"):
            problem = f"{shown(first, 40)} stands before the name of a sheet"
            remedy = "write a line [lines], [points], [parts], ... before the rows of each sheet"
            mistakes.append(Mistake(name, None, f"row {number}", problem, remedy))
            break
    if not grids and not mistakes:
        problem, remedy = "holds no sheet", "flowsim table CASE --out FILE.csv writes an example"
        mistakes.append(Mistake(name, None, "", problem, remedy))
    mistakes += [
        Mistake(
            name, None, grid.name, f"has more than {LARGEST_GRID} rows", "give one case in a file"
        )
        for grid in grids
        if len(grid.rows) > LARGEST_GRID
    ]
    if mistakes:
        raise InputError(mistakes)
    return grids, separator != ","


def _rows(text: str, separator: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Give the number and the cells of each row that holds any and is no remark."""
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
    number = 0
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            problem = f"cannot be read as CSV ({error})"
            remedy = "save it again as CSV, UTF-8"
            raise InputError([Mistake(name, reader.line_num, "", problem, remedy)]) from None
        number += 1
        if number == 1 and separator.join(cells).lower().startswith("sep="):
            continue
        cells = [cell.strip()[:LONGEST_CELL] for cell in cells[:WIDEST_GRID]]
        if any(cells):
            yield number, cells


def _separator(text: str) -> str:
    """See which separator a file uses: the one that its rows hold most, outside quotes."""
    counts = dict.fromkeys((";", "\t", ","), 0)
    for line in text.splitlines()[:200]:
        plain = line.strip().lstrip('"')
        if plain.lower().startswith("sep=") and len(plain) == 5:
            return plain[4]
        if plain and not plain.startswith("#"):
            bare = re.sub(r'"[^"]*"|\[[^\]]*\]|\([^)]*\)', "", line)
            for one in counts:
                counts[one] += bare.count(one)
    return _heading_separator(text) or max(counts, key=lambda one: counts[one])


def _heading_separator(text: str) -> str | None:
    """See which separator the first line of headings uses: decimal commas stand below it."""
    lines = [line.strip() for line in text.splitlines()]
    for above, line in pairwise(lines):
        name = above.strip(';,\t "').casefold()
        if name.strip("[] ") in SHEETS:
            bare = re.sub(r'"[^"]*"|\[[^\]]*\]|\([^)]*\)', "", line)
            found = {one: bare.count(one) for one in (";", "\t", ",")}
            best = max(found, key=lambda one: found[one])
            return best if found[best] else None
    return None
