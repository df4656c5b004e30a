"""A file of readings as rows of text: CSV from any spreadsheet, or TOML.

CSV: the separator is ``;``, a tab or ``,`` (seen in the heading), with or without a byte order
mark, quotes, a first line ``sep=;``, remarks after ``#``, empty lines and columns. With ``;`` or a
tab a decimal comma is read; with ``,`` it is refused, for it may part thousands.
"""

import csv
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from flowsim.errors import InputError, Mistake
from flowsim.files.case.words import did_you_mean
from flowsim.files.toml.source import TomlSource, decode, read_toml
from flowsim.files.units.quantities import shown

MOST_RUNS = 500
"""Runs in one file, a drain-down's marks not counted."""
MOST_MARKS = 5000
"""Marks of drain-downs in one file: an hour and more of a scale that writes every second."""
LONGEST_CELL = 500
"""Characters in a cell."""

COLUMNS: dict[str, tuple[str, ...]] = {
    "run": ("run", "no", "nr"),
    "attitude": ("attitude", "pitch"),
    "roll": ("roll",),
    "line end": ("line end", "line end above inlet", "end height", "height of line end"),
    "selector": ("selector", "selector position"),
    "container": ("container", "container volume", "container mass", "drawn"),
    "accuracy": ("accuracy", "container accuracy"),
    "mark": ("mark", "drawn so far", "total drawn", "scale", "weight"),
    "mark accuracy": ("mark accuracy", "scale accuracy"),
    "seconds": ("seconds", "time"),
    "timing": ("timing accuracy", "time accuracy"),
    "temperature": ("temperature", "fuel temperature"),
    "density": ("density", "fuel density"),
    "fit": ("fit", "use"),
    "remarks": ("remarks", "remark", "notes", "note"),
}
"""Each column's name and the headings that mean it; a tank's fuel is headed by the tank's name."""

_HEADING = re.compile(r"(?P<name>.*?)\s*(?:[\[(]\s*(?P<unit>[^\[\]()]*?)\s*[\])])?\s*")
_DECIMAL_COMMA = re.compile(r"(\s*[+-]?[0-9]+),([0-9]+)(?![0-9,.])")
_TOML_KEYS = {
    "run": "run", "attitude": "attitude", "roll": "roll", "line_end": "line end",
    "selector": "selector", "container": "container", "accuracy": "accuracy",
    "mark": "mark", "mark_accuracy": "mark accuracy",
    "time": "seconds", "timing_accuracy": "timing", "temperature": "temperature",
    "density": "density", "fit": "fit", "remarks": "remarks",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ReadingCell:
    """Text of a value with its unit (from the cell or from the heading); a bare number has none."""

    text: str


@dataclass(frozen=True, slots=True)
class ReadingsRow:
    """One run: the line it begins on, its cells by column, fuel by tank name."""

    line: int
    cells: dict[str, ReadingCell] = field(default_factory=dict)
    fuel: dict[str, ReadingCell] = field(default_factory=dict)

    def get(self, column: str) -> str:
        """Give a cell's text, empty if there is none."""
        found = self.cells.get(column)
        return "" if found is None else found.text

    def get_fuel(self, tank: str) -> str:
        """Give the text of a tank's fuel, empty if there is none."""
        found = self.fuel.get(tank)
        return "" if found is None else found.text


def read_rows(content: bytes, name: str, tanks: tuple[str, ...]) -> list[ReadingsRow]:
    """Read the rows of a file of readings.

    Parameters
    ----------
    content
        The file.
    name
        Its name; one that ends in ``.toml`` is read as TOML, any other as CSV.
    tanks
        Names of the case's tanks.

    Returns
    -------
    list of ReadingsRow
        In file order, rows without any cell left out.

    Raises
    ------
    InputError
        With every mistake of form, each with its line.
    """
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        content = content.decode("utf-16", errors="replace").encode()
    text = decode(content, name)
    if name.lower().endswith(".toml"):
        return _toml_rows(read_toml(text, name), tanks)
    return _csv_rows(text, name, tanks)


def _csv_rows(text: str, name: str, tanks: tuple[str, ...]) -> list[ReadingsRow]:
    lines = list(_numbered(text, name))
    if not lines:
        raise InputError([Mistake(name, None, "", "has no heading", _how(tanks))])
    number, heading, separator = lines[0][0], lines[0][1], _separator(text)
    places, mistakes = _places(heading, name, number, tanks)
    rows = []
    for number, cells in lines[1:]:
        row = ReadingsRow(number)
        for place, cell in zip(places, cells, strict=False):
            if place is not None and cell.strip():
                _put(row, place, cell.strip(), separator)
        extra = [cell for cell in cells[len(places) :] if cell.strip()]
        if extra:
            problem = f"{shown(extra[0].strip(), 30)} stands beyond the last heading"
            remedy = "quote text that holds the separator, or add a heading"
            mistakes.append(Mistake(name, number, "", problem, remedy))
        if row.cells or row.fuel:
            rows.append(row)
    _finish(rows, mistakes, name)
    return rows


def _numbered(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Give the line number and the cells of each line that holds any."""
    separator = _separator(text)
    source = io.StringIO(text, newline="")
    reader = csv.reader(source, delimiter=separator)
    before = 0
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error as error:
            problem = f"cannot be read as CSV ({error})"
            raise InputError(
                [Mistake(name, reader.line_num, "", problem, "export it again as CSV, UTF-8")]
            ) from None
        first, before = before + 1, reader.line_num
        whole = separator.join(cells).strip()
        if not whole.strip(separator).strip() or whole.lstrip('"').startswith("#"):
            continue
        if whole.lower().startswith("sep="):
            continue
        yield first, [cell[: LONGEST_CELL + 1] for cell in cells]


def _separator(text: str) -> str:
    """See which separator the heading uses."""
    for line in text.splitlines():
        plain = line.strip().lstrip('"')
        if plain.lower().startswith("sep=") and len(plain) == 5:
            return plain[4]
        if plain and not plain.startswith("#"):
            bare = re.sub(r'"[^"]*"|\[[^\]]*\]|\([^)]*\)', "", line)
            return max((";", "\t", ","), key=bare.count)
    return ","


_Place = tuple[str, str, str]
"""Column or tank, which of the two, and the unit of the heading."""


def _places(
    heading: list[str], name: str, line: int, tanks: tuple[str, ...]
) -> tuple[list[_Place | None], list[Mistake]]:
    places: list[_Place | None] = []
    mistakes: list[Mistake] = []
    for cell in heading:
        match = _HEADING.fullmatch(cell.strip())
        word = (match["name"] if match else cell).strip()
        unit = (match["unit"] or "") if match else ""
        found = _place(word, unit, tanks)
        if found is None and word:
            known = (*(names[0] for names in COLUMNS.values()), *tanks)
            problem = f"unknown heading {shown(word, 40)}"
            mistakes.append(Mistake(name, line, "", problem, did_you_mean(word, known)))
        elif found is not None and any(p is not None and p[:2] == found[:2] for p in places):
            mistakes.append(
                Mistake(name, line, "", f"two headings {shown(word, 40)}", "keep one of them")
            )
        places.append(found)
    return places, mistakes


def _place(word: str, unit: str, tanks: tuple[str, ...]) -> _Place | None:
    plain = " ".join(word.lower().replace("_", " ").split())
    for column, names in COLUMNS.items():
        if plain in names:
            return column, "cell", unit or ("s" if column == "seconds" and "sec" in plain else "")
    for tank in tanks:
        own = " ".join(tank.lower().split())
        if plain in (own, f"fuel {own}", f"{own} fuel", f"{own} tank", f"fuel in {own}"):
            return tank, "fuel", unit
    return None


def _put(row: ReadingsRow, place: _Place, text: str, separator: str) -> None:
    column, kind, unit = place
    if column not in ("run", "selector", "remarks", "fit") or kind == "fuel":
        if separator != ",":
            text = _DECIMAL_COMMA.sub(r"\1.\2", text)
        if unit and _is_number(text):
            text = f"{text} {unit}"
    (row.fuel if kind == "fuel" else row.cells)[column] = ReadingCell(text)


def _is_number(text: str) -> bool:
    return re.fullmatch(r"[+-]?[0-9.,/ ]+(?:[eE][+-]?[0-9]+)?", text) is not None


def _toml_rows(source: TomlSource, tanks: tuple[str, ...]) -> list[ReadingsRow]:
    mistakes = [Mistake(source.name, s.line, "", s.problem, s.remedy) for s in source.slips]
    runs = source.data.get("run", [])
    for key in source.data:
        if key not in ("run", "note"):
            line = source.line((key,))
            remedy = did_you_mean(key, ("run", "note"))
            mistakes.append(Mistake(source.name, line, "", f"unknown key {shown(key)}", remedy))
    if not isinstance(runs, list) or not all(isinstance(run, dict) for run in runs):
        line = source.line(("run",))
        problem = "runs are not sections"
        mistakes.append(Mistake(source.name, line, "", problem, "write [[run]] before each run"))
        runs = []
    rows = []
    for index, run in enumerate(runs):
        row = ReadingsRow(source.line(("run", index)))
        for key, value in run.items():
            line = source.line(("run", index, key))
            mistakes += _toml_value(row, key, value, source.name, line, tanks)
        rows.append(row)
    _finish(rows, mistakes, source.name)
    return rows


def _toml_value(
    row: ReadingsRow, key: str, value: Any, name: str, line: int, tanks: tuple[str, ...]
) -> list[Mistake]:
    """Take one value of a run; give its mistakes."""
    item = f"run {shown(row.get('run'))}" if row.get("run") else ""
    if key == "fuel":
        if not isinstance(value, dict):
            remedy = f'write fuel = {{ {tanks[0] if tanks else "left"} = "6 L" }}'
            return [Mistake(name, line, item, "fuel is not a table", remedy)]
        found = []
        for tank, amount in value.items():
            if tank not in tanks:
                problem = f"unknown tank {shown(tank)}"
                found.append(Mistake(name, line, item, problem, did_you_mean(tank, tanks)))
            row.fuel[tank] = ReadingCell(_plain(amount))
        return found
    if key not in _TOML_KEYS:
        remedy = did_you_mean(key, (*_TOML_KEYS, "fuel"))
        return [Mistake(name, line, item, f"unknown key {shown(key)}", remedy)]
    row.cells[_TOML_KEYS[key]] = ReadingCell(_plain(value))
    return []


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return (value if isinstance(value, str) else shown(value))[: LONGEST_CELL + 1].strip()


def _finish(rows: list[ReadingsRow], mistakes: list[Mistake], name: str) -> None:
    marks = sum(bool(row.get("mark")) for row in rows)
    if len(rows) - marks > MOST_RUNS:
        problem = f"has more than {MOST_RUNS} runs"
        mistakes.append(Mistake(name, None, "", problem, "give one day's test"))
    if marks > MOST_MARKS:
        problem = f"has more than {MOST_MARKS} marks"
        mistakes.append(Mistake(name, None, "", problem, "let the scale write less often"))
    if mistakes:
        raise InputError(sorted(mistakes, key=lambda mistake: mistake.line or 0))


def _how(tanks: tuple[str, ...]) -> str:
    return (
        "write a line of headings: run, attitude [deg], line end [mm], selector, "
        f"{', '.join(f'{tank} [L]' for tank in tanks)}, container [L], seconds, temperature [degC]"
    )
