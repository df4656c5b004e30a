"""Mistakes that the reader of a case found, with the cell where each is to be corrected."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from flowsim.errors import Mistake
from flowsim.files.case.form import FormField, field_at, form, section_at
from flowsim.files.tables.book import CellPlace
from flowsim.files.tables.cells import PARTED
from flowsim.files.tables.layout import INSIDE, OTHER, OWN, PARTS, POINTS, words_of
from flowsim.files.toml.lines import KeyPath, key_lines

_COPIED = re.compile(r"copied from line ([0-9]+)")
_KEY_HERE = re.compile(r"write [A-Za-z0-9_]+ = \.\.\. here to change it here only")
_WRITE = re.compile(r"write (?P<key>[a-z_]+) = (?P<value>.*)")
_SECTION = re.compile(r"write a section \[+(?P<key>[a-z_.]+)\]+")
_SHEETS = {"parts": PARTS} | {k: layout.sheet for k, layout in (OWN | INSIDE).items()}


def at_cells(
    mistakes: Sequence[Mistake], text: str, places: Mapping[KeyPath, CellPlace]
) -> list[tuple[CellPlace, Mistake]]:
    """Give mistakes with their cells for their lines, and with remedies for a spreadsheet.

    Parameters
    ----------
    mistakes
        What the reader found.
    text
        The case that it read.
    places
        The cell of each path of the case.

    Returns
    -------
    list of (Place, Mistake)
        In the same order; a place without a sheet where the mistake is about no cell.
    """
    lines = key_lines(text) if mistakes else {}
    found = []
    for mistake in mistakes:
        place = _place(mistake, lines, places)
        item = f"{place}: {mistake.item}".removesuffix(": ") if place.sheet else mistake.item
        remedy = _remedy(mistake, place, lines, places)
        found.append((place, replace(mistake, line=None, item=item, remedy=remedy)))
    return found


def _place(
    mistake: Mistake, lines: Mapping[KeyPath, int], places: Mapping[KeyPath, CellPlace]
) -> CellPlace:
    """Give the cell of what a mistake is about, or of the nearest thing that holds it."""
    path = mistake.path
    for size in range(len(path), 0, -1):
        if path[:size] not in places:
            continue
        place = places[path[:size]]
        if size < len(path) and place.sheet == OTHER:
            return CellPlace(OTHER)
        # A key that is not there has no cell, but its row and its column are known.
        is_key = size == len(path) - 1 and isinstance(path[-1], str) and not place.column
        is_column = is_key and not _is_elsewhere(path)
        return place._replace(column=words_of(str(path[-1]))) if is_column else place
    return _at_line(mistake.line, lines, places) if len(path) > 1 else CellPlace("")


def _is_elsewhere(path: KeyPath) -> bool:
    """Tell whether what stands at a path has a sheet of its own."""
    field = field_at(path)
    return field is not None and (field.kind in ("point", "sections") or field.item == "point")


def _at_line(
    line: int | None, lines: Mapping[KeyPath, int], places: Mapping[KeyPath, CellPlace]
) -> CellPlace:
    there = [path for path, at in lines.items() if at == line and path in places]
    return places[min(there, key=len)] if there else CellPlace("")


def _remedy(
    mistake: Mistake,
    place: CellPlace,
    lines: Mapping[KeyPath, int],
    places: Mapping[KeyPath, CellPlace],
) -> str:
    """Say what to write into which cell, where the reader says what to write into the text."""
    section, key = _SECTION.fullmatch(mistake.remedy), _WRITE.fullmatch(mistake.remedy)
    if section is not None:
        name = section["key"].rpartition(".")[2]
        if name in _SHEETS:
            return f"add a row for it to the sheet {_SHEETS[name]}"
        keys = [*section["key"].split("."), *_first_key(mistake.path)]
        return f"add rows to the sheet {OTHER}, with keys such as {'.'.join(keys)}"
    field = field_at(mistake.path)
    is_given = mistake.path in places
    if key is not None and field is not None and not is_given and key["key"] == mistake.path[-1]:
        return _missing(mistake.path, field, place)

    def cell(match: re.Match[str]) -> str:
        found = _at_line(int(match[1]), lines, places)
        return f"copied from {found}" if found.sheet else "copied"

    remedy = _COPIED.sub(cell, mistake.remedy).replace(" without quotes", "")
    return _KEY_HERE.sub("fill the cell here to change it here only", remedy)


def _first_key(path: KeyPath) -> list[str]:
    """Give the first key that the section at a path must have."""
    section = section_at(path)
    return [] if section is None else [one.key for one in form(section) if one.required][:1]


def _missing(path: KeyPath, field: FormField, place: CellPlace) -> str:
    """Say where to write a value that is missing."""
    key = str(path[-1])
    if _is_elsewhere(path):
        if field.kind == "sections":
            return f"add a row for it to the sheet {_SHEETS.get(key, OTHER)}"
        return f'add a row for it to the sheet {POINTS}, with "{words_of(key)}" in the column point'
    listed = field.example if isinstance(field.example, list) else [field.example]
    example = f"{PARTED} ".join(map(str, listed))
    if place.row and place.sheet != OTHER:
        return f'write for example {example} into the column "{words_of(key)}"'
    dotted = ".".join(str(step + 1) if isinstance(step, int) else step for step in path)
    if field.kind == "list":
        dotted, example = f"{dotted}.1", str(field.example[0])
    return f"add a row to the sheet {OTHER}: {dotted}, for example {example}"
