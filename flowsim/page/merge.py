"""My changes put onto a file that somebody else has changed meanwhile, place by place."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from flowsim.errors import FlowsimError
from flowsim.files.case.form import keys_at
from flowsim.files.toml.edits import Edit, edited, read
from flowsim.files.toml.spans import KeyPath
from flowsim.files.toml.values import at, same
from flowsim.page.changes import item
from flowsim.page.typed import shown_text

_NOTHING = object()


@dataclass(frozen=True, slots=True)
class MergeDifference:
    """One place at which two cases differ; ``before`` or ``after`` may be nothing at all."""

    path: KeyPath
    before: Any
    after: Any

    @property
    def edit(self) -> Edit:
        """The edit that makes it."""
        if self.after is _NOTHING:
            return Edit("unset", self.path)
        if self.before is _NOTHING:
            listed = isinstance(self.path[-1], int)
            section = isinstance(self.after, dict) and (listed or len(self.path) == 1)
            return Edit("add_table" if section else "insert" if listed else "set", self.path,
                        self.after)  # fmt: skip
        return Edit("set", self.path, self.after)

    def words(self, data: dict[str, Any]) -> tuple[str, str, str]:
        """Give what it is about, what was there, and what is there now, in words."""
        return item(data, self.path), _words(self.before), _words(self.after)


def differences(before: Any, after: Any, path: KeyPath = ()) -> Iterator[MergeDifference]:
    """Find the places at which two cases differ, things with names matched by them.

    Parameters
    ----------
    before, after
        Plain data.
    path
        Where they stand.

    Yields
    ------
    MergeDifference
        Paths are those of the first where something is there, else of the second; what is taken
        out comes last first, what is new comes first first.
    """
    if isinstance(before, dict) and isinstance(after, dict):
        for key in [*before, *(key for key in after if key not in before)]:
            one, other = before.get(key, _NOTHING), after.get(key, _NOTHING)
            yield from differences(one, other, (*path, key))
    elif isinstance(before, list) and isinstance(after, list):
        yield from _in_lists(before, after, path)
    elif before is _NOTHING or after is _NOTHING:
        if before is not after:
            yield MergeDifference(path, before, after)
    elif not same(before, after):
        yield MergeDifference(path, before, after)


def _in_lists(before: list[Any], after: list[Any], path: KeyPath) -> Iterator[MergeDifference]:
    names, others = _names(before), _names(after)
    if names is None or others is None:
        if len(before) == len(after):
            for index, (one, other) in enumerate(zip(before, after, strict=True)):
                yield from differences(one, other, (*path, index))
        else:
            yield MergeDifference(path, before, after)
        return
    for index, name in enumerate(names):
        if name in others:
            yield from differences(before[index], after[others.index(name)], (*path, index))
    for index in reversed(range(len(names))):
        if names[index] not in others:
            yield MergeDifference((*path, index), before[index], _NOTHING)
    kept = sum(name in others for name in names)
    new = [after[index] for index, name in enumerate(others) if name not in names]
    for number, value in enumerate(new):
        yield MergeDifference((*path, kept + number), _NOTHING, value)


def _names(rows: list[Any]) -> list[str] | None:
    """Give the names of a list of named things, None if it is no such list."""
    found = [row.get("name") if isinstance(row, dict) else None for row in rows]
    names = [name for name in found if isinstance(name, str)]
    return names if len(names) == len(rows) == len(set(names)) and rows else None


def onto(base: str, mine: str, theirs: str) -> tuple[str, list[tuple[str, str, str]]]:
    """Put what was changed from ``base`` to ``mine`` onto ``theirs``.

    Parameters
    ----------
    base, mine, theirs
        TOML.

    Returns
    -------
    (str, list of (str, str, str))
        The text, and what does not fit any more: what, what the file has now, what I had.

    Raises
    ------
    EditError
        One of them is no TOML.
    """
    old, now = read(base), read(theirs)
    refused = []
    text = theirs
    for change in differences(old, read(mine)):
        here = _here(old, now, change.path)
        there = _NOTHING if here is None else _get(now, here)
        fits = here is not None and (
            same(there, change.before)
            if there is not _NOTHING and change.before is not _NOTHING
            else there is change.before or isinstance(change.path[-1], int)
        )
        if there is not _NOTHING and change.after is not _NOTHING and same(there, change.after):
            continue
        what, _, wanted = change.words(old)
        if not fits or here is None:
            refused.append((what, _words(there), wanted))
            continue
        try:
            edit = MergeDifference(here, change.before, change.after).edit
            text = edited(text, [edit], keys_at)
            now = read(text)
        except FlowsimError:
            refused.append((what, _words(there), wanted))
    return text, refused


def _here(old: Any, now: Any, path: KeyPath) -> KeyPath | None:
    """Find a place in the newer data: things with names by them, the rest by its number."""
    found: KeyPath = ()
    for step in path:
        if isinstance(step, int) and isinstance(old, list):
            names, others = _names(old), _names(now) if isinstance(now, list) else None
            if names is not None and others is not None:
                if step >= len(names):
                    return (*found, len(others))
                if names[step] not in others:
                    return None
                place = others.index(names[step])
            elif isinstance(now, list) and len(now) == len(old):
                place = step
            else:
                return None
            found, old, now = (*found, place), _child(old, step), _child(now, place)
        else:
            found, old, now = (*found, step), _child(old, step), _child(now, step)
    return found


def _child(data: Any, step: str | int) -> Any:
    return _get(data, (step,)) if isinstance(data, dict | list) else _NOTHING


def _get(data: Any, path: KeyPath) -> Any:
    try:
        return at(data, path)
    except LookupError:
        return _NOTHING


def _words(value: Any) -> str:
    if value is _NOTHING:
        return "nothing"
    if isinstance(value, dict) and "value" not in value:
        name = value.get("name") or value.get("part")
        return f'"{name}"' if name else "a section"
    return shown_text(value)[:120] or "nothing"
