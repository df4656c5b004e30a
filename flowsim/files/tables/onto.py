"""A case that is there already brought to the data of tables, place by place: remarks stay."""

from typing import Any

from flowsim.errors import OutputError
from flowsim.files.case.form import keys_at
from flowsim.files.tables.key_path import written_path
from flowsim.files.tables.layout import name_of
from flowsim.files.toml.edits import Edit, EditBugError, edited, read
from flowsim.files.toml.lines import KeyPath
from flowsim.files.toml.sheet import EditError
from flowsim.files.toml.values import at, same, written

LONGEST_SHOWN = 60
"""Characters of a value that is told."""


def brought_to(text: str, data: dict[str, Any], name: str) -> tuple[str, list[str]]:
    """Change the text of a case so that its data are those of tables.

    Parameters
    ----------
    text
        TOML, as it is in the file.
    data
        What it is to say.
    name
        The file's name for messages.

    Returns
    -------
    str and list of str
        The text, everything that says the same left as it is; what was changed, a line each.

    Raises
    ------
    OutputError
        It cannot be changed by place; says what to do instead.
    """
    change = _Change(text)
    try:
        change.value((), read(text), data)
        fits = same(read(change.text), data)
    except (EditError, EditBugError) as error:
        raise _cannot(name, str(error)) from error
    if not fits:
        raise _cannot(name, "what came of the changes is not what the tables say")
    return change.text, change.said


def _cannot(name: str, why: str) -> OutputError:
    return OutputError(
        f'"{name}" cannot be changed place by place ({why}) and is left as it is; write the case '
        "into a new file with --out"
    )


class _Change:
    """Makes edits one after the other; ``text`` is what they have led to, ``said`` tells them."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.said: list[str] = []

    def edit(self, edit: Edit, words: str) -> None:
        """Make one edit and note it."""
        place = edit.path if edit.do in ("unset", "remove", "move") else ()
        before = written_path(place, read(self.text)) if place else ""
        self.text = edited(self.text, [edit], keys_at)
        after = before or written_path(edit.path, read(self.text))
        self.said.append(f"{after}: {words}")

    def value(self, path: KeyPath, before: Any, after: Any) -> None:
        """Bring what stands at a path to what shall stand there."""
        if same(before, after):
            return
        if isinstance(before, dict) and isinstance(after, dict):
            self.table(path, before, after)
        elif _is_things(before) and _is_things(after):
            self.things(path, before, after)
        elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
            for index, (one, other) in enumerate(zip(before, after, strict=True)):
                self.value((*path, index), one, other)
        else:
            self.edit(Edit("set", path, after), f"{_shown(before)} became {_shown(after)}")

    def table(self, path: KeyPath, before: dict[str, Any], after: dict[str, Any]) -> None:
        """Bring a table to another."""
        for key in [key for key in before if key not in after]:
            self.edit(Edit("unset", (*path, key)), f"{_shown(before[key])} is gone")
        for key, value in after.items():
            here = (*path, key)
            if key in before:
                self.value(here, before[key], value)
            elif not path and _is_things(value):
                for index, row in enumerate(value):
                    self.edit(Edit("add_table", (*here, index), row), "is new")
            else:
                is_section = not path and isinstance(value, dict)
                do = Edit("add_table" if is_section else "set", here, value)
                self.edit(do, f"{_shown(value)} is new")

    def things(self, path: KeyPath, before: list[Any], after: list[Any]) -> None:
        """Bring a list of tables to another; those with names are known by them."""
        names = [name_of(row) for row in before]
        wanted = [name_of(row) for row in after]
        if not _are_told_apart(names) or not _are_told_apart(wanted):
            names, wanted = list(map(str, range(len(before)))), list(map(str, range(len(after))))
        for index in reversed(range(len(names))):
            if names[index] not in wanted:
                self.edit(Edit("remove", (*path, index)), "is gone")
                del names[index]
        for index, name in enumerate(wanted):
            if index < len(names) and names[index] == name:
                continue
            if name in names:
                place = names.index(name)
                self.edit(Edit("move", (*path, place), index), f"is now number {index + 1}")
                names.insert(index, names.pop(place))
            else:
                do = Edit("add_table" if len(path) == 1 else "insert", (*path, index), after[index])
                self.edit(do, "is new")
                names.insert(index, name)
        for index, row in enumerate(after):
            self.value((*path, index), at(read(self.text), (*path, index)), row)


def _is_things(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(x, dict) for x in value)


def _are_told_apart(names: list[str]) -> bool:
    return all(names) and len(set(names)) == len(names)


def _shown(value: Any) -> str:
    if isinstance(value, dict) and "value" not in value:
        return "the section"
    text = written(value)
    return text if len(text) <= LONGEST_SHOWN else f"{text[: LONGEST_SHOWN - 3]}..."
