"""What the reader of a case file writes down as it goes: mistakes, origins of values, cautions."""

import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from pydantic import BaseModel

from flowsim.errors import InputError, Mistake
from flowsim.files.case.copied_mistakes import once_each
from flowsim.files.case.given import Given, GivenPoint
from flowsim.files.case.words import plain
from flowsim.files.toml.lines import KeyPath
from flowsim.files.toml.source import TomlSource
from flowsim.system.fuel_system import Origin, Provenance

MOST_MISTAKES = 200
"""Printed in one run; beyond them the rest is counted."""

_NAMED = ("tank", "outlet", "line", "junction", "tee", "selector", "drain", "obstacle", "crossing",
          "vent_line", "phase", "stock")  # fmt: skip
_ROWS = {"via": "point", "root": "point", "tip": "point", "corners": "corner", "cells": "cell",
         "points": "point", "supports_at": "support", "supports_along": "support",
         "drains_at": "drain"}  # fmt: skip
_AXES = ("station", "buttline", "waterline")


class Remark(NamedTuple):
    """A caution of the reader, and the path of what it is about."""

    text: str
    path: KeyPath


class Ledger:
    """Collects everything under the line and the builder's name of the thing it is about."""

    def __init__(self, source: TomlSource) -> None:
        self.source = source
        self._mistakes: dict[Mistake, None] = {}
        self._read_at: dict[Mistake, KeyPath] = {}
        self._uncounted = 0
        self._provenance: list[tuple[tuple[int, int], Provenance]] = []
        self._not_said: list[tuple[tuple[int, int], Provenance]] = []
        self._cautions: list[tuple[tuple[int, int], Remark]] = []
        self._reported: set[KeyPath] = set()
        self.given_up: set[KeyPath] = set()

    def mistake(self, path: KeyPath, problem: str, remedy: str) -> None:
        """Note a mistake in the value (or the missing value) at a path."""
        line, at = self.source.line(path), self.source.written_at(path)
        found = Mistake(self.source.name, line, self.item(path), problem, remedy, at)
        self.mark_reported(path)
        if found not in self._mistakes:
            self._add(found)
            self._read_at[found] = path

    def mark_reported(self, path: KeyPath) -> None:
        """Mark a path, and what holds it, as reported, so that it is not reported again."""
        self._reported.update(path[:depth] for depth in range(1, len(path) + 1))

    def is_reported(self, path: KeyPath) -> bool:
        """Tell whether a mistake was noted at a path or inside it, or what holds it given up."""
        return path in self._reported or self.is_given_up(path)

    def is_given_up(self, path: KeyPath) -> bool:
        """Tell whether nothing more is reported of what holds a path."""
        return any(path[:depth] in self.given_up for depth in range(1, len(path) + 1))

    def give_up(self, path: KeyPath) -> None:
        """Let nothing more be reported of a section that cannot be known."""
        self.given_up.add(path)
        self.mark_reported(path)

    def slip(self, line: int, problem: str, remedy: str) -> None:
        """Note a slip of syntax on a line."""
        path = self.source.path_at(line)
        item = self.item(path[:4])
        self._add(Mistake(self.source.name, line, item, problem, remedy, path))

    def default(self, path: KeyPath, value: str, note: str = "") -> None:
        """Note a value that was filled in."""
        self._origin(path, value, "default", note)

    def assumed(self, path: KeyPath, value: str, note: str = "") -> None:
        """Note an assumption."""
        self._origin(path, value, "assumed", note)

    def caution(self, path: KeyPath, text: str) -> None:
        """Note a remark about the thing at a path."""
        item = self.item(path)
        remark = Remark(f"{item}: {text}" if item else text, path)
        self._cautions.append((self.source.place(path), remark))

    def note_assumed(self, path: KeyPath, section: BaseModel) -> None:
        """Note every value of a section, at any depth, that the builder marked as assumed."""
        for inside, given in _givens(section):
            if given.origin == "assumed":
                self.assumed((*path, *inside), given.text, given.note)

    def note_not_said(self, path: KeyPath, section: BaseModel) -> None:
        """Note every value of a section, at any depth, that says nothing of where it is from.

        A place counts once: as soon as one of its coordinates says nothing.
        """
        for inside, text in _not_said(section):
            if "installation" in inside:  # how a line is held costs no head
                continue
            where = (*path, *inside)
            entry = Provenance(self.item(where), text, "not said", path=where)
            self._not_said.append((self.source.place(where), entry))

    @property
    def is_full(self) -> bool:
        """Whether there are so many mistakes that more need no words."""
        return len(self._mistakes) >= 2 * MOST_MISTAKES

    def count_more(self, number: int) -> None:
        """Count mistakes that are not put into words."""
        self._uncounted += number

    @property
    def has_mistakes(self) -> bool:
        """Whether anything is wrong so far."""
        return bool(self._mistakes)

    def raise_mistakes(self) -> None:
        """Raise all mistakes in file order, if there are any."""
        if self._mistakes:
            raise InputError(self.mistakes)

    @property
    def mistakes(self) -> list[Mistake]:
        """All mistakes in file order; beyond ``MOST_MISTAKES`` they are only counted."""
        found = once_each(self._mistakes, self._read_at, self)
        ordered = sorted(found, key=lambda mistake: mistake.line or 0)
        left = len(ordered) + self._uncounted - MOST_MISTAKES
        if left > 0:
            last = Mistake(
                self.source.name, None, "", f"{left} more mistakes", "correct those above first"
            )
            ordered = [*ordered[:MOST_MISTAKES], last]
        return ordered

    @property
    def provenance(self) -> tuple[Provenance, ...]:
        """Assumed and filled-in values in file order."""
        ordered = sorted(self._provenance, key=lambda entry: entry[0])
        return tuple(entry for _, entry in ordered)

    @property
    def not_said(self) -> tuple[Provenance, ...]:
        """Values without an origin in file order."""
        return tuple(entry for _, entry in sorted(self._not_said, key=lambda entry: entry[0]))

    @property
    def cautions(self) -> tuple[str, ...]:
        """Remarks in file order."""
        return tuple(remark.text for remark in self.remarks)

    @property
    def remarks(self) -> tuple[Remark, ...]:
        """The same with the path of what they are about."""
        return tuple(remark for _, remark in sorted(self._cautions, key=lambda entry: entry[0]))

    def item(self, path: KeyPath) -> str:
        """Name the thing at a path in the builder's words: ``tank "left", outlet "rear", bore``."""
        words: list[str] = []
        data: Any = self.source.data
        section = ""
        for step in path:
            data = _inside(data, step)
            if isinstance(step, int):
                words += _row_words(section, step, data, words)
            else:
                section = step
                words.append(plain(step)[:60])
        return ", ".join(words)

    def _add(self, mistake: Mistake) -> None:
        if self.is_full:
            self._uncounted += 1
        else:
            self._mistakes[mistake] = None

    def _origin(self, path: KeyPath, value: str, origin: Origin, note: str) -> None:
        entry = Provenance(self.item(path), value, origin, note, path)
        self._provenance.append((self.source.place(path), entry))


def _inside(data: Any, step: str | int) -> Any:
    if isinstance(step, str) and isinstance(data, dict):
        return data.get(step)
    if isinstance(step, int) and isinstance(data, list) and step < len(data):
        return data[step]
    return None


def _row_words(section: str, index: int, data: Any, words: list[str]) -> list[str]:
    """Name an element of a list; takes back the list's own word where the name says it."""
    name = data.get("name") if isinstance(data, dict) else None
    name = plain(name)[:60] if isinstance(name, str) else ""
    if section in _NAMED:
        words.pop()
        return [f'{section} "{name}"' if name else f"{section} {index + 1}"]
    if section == "parts":
        words.pop()
        part = data.get("part") if isinstance(data, dict) else None
        called = name or (plain(part)[:60] if isinstance(part, str) else "")
        return [f'part {index + 1} "{called}"' if called else f"part {index + 1}"]
    if section == "corners" and isinstance(data, dict) and "value" not in data:
        words.pop()
        return [f"corner {index + 1}"]
    if not isinstance(data, list) and index < 3 and section in _POINT_LISTS:
        return [_AXES[index]]
    return [f"{_ROWS.get(section, 'value')} {index + 1}"]


_POINT_LISTS = (
    *("at", "inlet_at", "float_level_at", "dip_at", "floor_at", "surface_at", "sump_at"),
    *("filler_at", "vent_at", "via", "root", "tip", "corners", "cells", "points", "supports_at"),
    "drains_at",
)


def _givens(value: object) -> Iterator[tuple[KeyPath, Given]]:
    """Walk over every given value, with its path."""
    if isinstance(value, Given):
        yield (), value
    elif isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            for inside, given in _givens(getattr(value, name)):
                yield (field.alias or name, *inside), given
    elif isinstance(value, GivenPoint | tuple | list):
        for index, item in enumerate(value):
            for inside, given in _givens(item):
                yield (index, *inside), given


def _not_said(value: object) -> Iterator[tuple[KeyPath, str]]:
    """Walk over every given value, or place, without an origin: its path and text."""
    if isinstance(value, GivenPoint):
        if any(coordinate.origin is None for coordinate in value):
            yield (), ", ".join(coordinate.text for coordinate in value)
    elif isinstance(value, Given):
        if value.origin is None and not math.isnan(value.value):
            yield (), value.text
    elif isinstance(value, BaseModel):
        for name, field in type(value).model_fields.items():
            for inside, text in _not_said(getattr(value, name)):
                yield (field.alias or name, *inside), text
    elif isinstance(value, tuple | list):
        for index, item in enumerate(value):
            for inside, text in _not_said(item):
                yield (index, *inside), text
