"""The sheet ``other``: one row for each value, by its key, into the data of a case."""

from dataclasses import replace
from typing import Any

from flowsim.files.case.form import FormField
from flowsim.files.case.words import did_you_mean, plain, same_word
from flowsim.files.tables.book import CellPlace
from flowsim.files.tables.cells import value_of
from flowsim.files.tables.groups import Cells, cell
from flowsim.files.tables.headings import HeadedColumn, HeadedTable
from flowsim.files.tables.key_path import KeyStep, goes_by_name, read_path
from flowsim.files.tables.layout import (
    FACETS,
    KEY,
    OWN,
    UNIT,
    VALUE,
    fields_at,
    name_of,
    same_heading,
)
from flowsim.files.tables.rows import Filling
from flowsim.files.tables.written import item_field, map_kind
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import shown

_LISTS = ("sections", "list", "names", "band", "point")
_EXAMPLE = "write keys with dots between them, for example engine.burn or fuel.temperatures.1"


class _RefusedError(Exception):
    """A row cannot be put where its key says: problem and remedy."""


def put_other(table: HeadedTable, filling: Filling, *, of_parts: bool) -> None:
    """Put the rows of ``other`` into a case.

    Parameters
    ----------
    table
        The sheet.
    filling
        The case so far.
    of_parts
        Whether to put those that belong to parts, or all the others.
    """
    for number, cells in table.rows:
        column, text = cell(cells, KEY)
        steps = read_path(text) if text else None
        if steps is None:
            if not of_parts:
                place = table.place(number, column or HeadedColumn(KEY, "", "", KEY))
                problem = f"{shown(text)} is not a key" if text else "the cell is empty"
                filling.complaints.say(place, problem, _EXAMPLE)
        elif any(step.text in ("parts", "loss") for step in steps) == of_parts:
            try:
                _put(steps, table, number, cells, filling)
            except _RefusedError as error:
                problem, remedy = error.args
                filling.complaints.say(table.place(number, column), problem, remedy)


def _put(
    steps: list[KeyStep], table: HeadedTable, number: int, cells: Cells, filling: Filling
) -> None:
    """Put one row."""
    holder: Any = filling.data
    path: KeyPath = ()
    field: FormField | None = None
    for step in steps[:-1]:
        key, field = _next(step, holder, path, field)
        path = (*path, key)
        filling.places.setdefault(path, table.place(number))
        holder = _entered(holder, key, field, step)
    key, field = _next(steps[-1], holder, path, field)
    path = (*path, key)
    if key < len(holder) if isinstance(key, int) else key in holder:
        there = filling.places.get(path)
        problem = f"given already{f' ({there})' if there else ''}"
        raise _RefusedError(problem, "keep one of the two")
    value = _value(field, cells, filling)
    filling.places[path] = _value_place(table, number, cells)
    for facet in FACETS:
        column, text = cell(cells, facet)
        if text:
            filling.places[(*path, facet)] = table.place(number, column)
    if isinstance(holder, list):
        holder.append(value)
    else:
        holder[key] = value


def _value_place(table: HeadedTable, number: int, cells: Cells) -> CellPlace:
    column, _ = cell(cells, VALUE)
    return table.place(number, column or HeadedColumn(VALUE, "", "", VALUE))


def _next(
    step: KeyStep, holder: Any, path: KeyPath, field: FormField | None
) -> tuple[str | int, FormField | None]:
    """Give the key or index that a step means, and the field of what stands there."""
    if isinstance(holder, list):
        return _index(step, holder, path), None if field is None else item_field(field)
    if field is not None and field.kind == "map":
        return step.text, replace(field, kind=map_kind(field), item="text")
    known = fields_at(path)
    key = next((one for one in known if same_heading(one) == same_heading(step.text)), step.text)
    return key, known.get(key)


def _index(step: KeyStep, holder: list[Any], path: KeyPath) -> int:
    """Give the index that a step means in a list; a new thing with a name is made."""
    if goes_by_name(path) and not step.is_number:
        names = [name_of(item) for item in holder]
        name = same_word(plain(step.text), names)
        if name is not None:
            return names.index(name)
        key = str(path[-1])
        if key in OWN or key == "outlet":
            known = tuple(name for name in names if name)
            raise _RefusedError(f"unknown {key} {shown(step.text)}", did_you_mean(step.text, known))
        holder.append({"name": plain(step.text)})
        return len(holder) - 1
    if not step.number or step.number > len(holder) + 1:
        problem = f"{shown(step.text)} is not the next number here"
        raise _RefusedError(problem, f"write {len(holder) + 1}; number in the order of the rows")
    return step.number - 1


def _entered(holder: Any, key: str | int, field: FormField | None, step: KeyStep) -> Any:
    """Give the table or list at a key, made where it is not there yet."""
    fresh: Any = [] if field is not None and field.kind in _LISTS else {}
    if isinstance(holder, list):
        assert isinstance(key, int)
        if key == len(holder):
            holder.append(fresh)
        found = holder[key]
    else:
        found = holder.setdefault(key, fresh)
    if not isinstance(found, dict | list) or type(found) is not type(fresh):
        raise _RefusedError(
            f"{shown(step.text)} holds a value already, so nothing can stand in it", "keep one"
        )
    return found


def _value(field: FormField | None, cells: Cells, filling: Filling) -> Any:
    """Read the value of a row: number and unit from two cells, what is said of it from others."""
    column, text = cell(cells, VALUE)
    if column is None:
        raise _RefusedError("the value is empty", "fill in the column value, or delete the row")
    _, unit = cell(cells, UNIT)
    kind, item = ("text", "") if field is None else (field.kind, field.item)
    if kind in ("section", "sections", "map") and text.casefold() == "none":
        return [] if kind == "sections" else {}
    value = filling.read(text, column._replace(unit=unit), kind, item)
    if unit and isinstance(value, int | float) and not isinstance(value, bool):
        value = f"{text} {unit}"
    elif unit and kind not in ("quantity", "list"):
        value = f"{value_of(text, 'text')} {unit}"
    says: dict[str, tuple[HeadedColumn, str]] = {"": (column, text)}
    for facet in FACETS:
        other, said = cell(cells, facet)
        if other is not None:
            says[facet] = (other, said)
    return filling.qualified(value, says, kind)
