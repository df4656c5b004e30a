"""Mistakes in what was copied by a mirror or a default: once, where it is to be corrected.

A mistake that the original has too is reported there alone. One that several copies have in the
same words is reported at what they were copied from. One that only a copy has is reported at the
copy, with the line that it was copied from.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Protocol

from flowsim.errors import Mistake
from flowsim.files.toml.lines import KeyPath
from flowsim.files.toml.source import TomlSource


class _Ledger(Protocol):
    @property
    def source(self) -> TomlSource: ...

    def item(self, path: KeyPath) -> str: ...

    def is_given_up(self, path: KeyPath) -> bool: ...


def once_each(
    mistakes: Iterable[Mistake], read_at: Mapping[Mistake, KeyPath], ledger: _Ledger
) -> list[Mistake]:
    """Give each mistake once, at the place where it is to be corrected.

    Parameters
    ----------
    mistakes
        All that were found.
    read_at
        Path of each in the data that was read.
    ledger
        Knows what was copied, and what was given up.

    Returns
    -------
    list of Mistake
        In the order in which they were found.
    """
    source = ledger.source
    if not source.copied:
        return list(mistakes)
    reported = set(read_at.values())
    found: dict[Mistake, KeyPath | None] = {}
    for mistake in mistakes:
        origin = source.origin(read_at.get(mistake, mistake.path))
        if origin is None or not (origin in reported or ledger.is_given_up(origin)):
            found[mistake] = origin
    alike = Counter((origin, m.problem) for m, origin in found.items() if origin is not None)
    once: dict[Mistake, None] = {}
    for mistake, origin in found.items():
        if origin is None:
            once[mistake] = None
        elif alike[origin, mistake.problem] > 1:
            line, item = source.line(origin), ledger.item(origin)
            once[replace(mistake, line=line, item=item, path=source.written_at(origin))] = None
        else:
            once[_at_copy(mistake, read_at.get(mistake, mistake.path), origin, source)] = None
    return list(once)


def _at_copy(mistake: Mistake, path: KeyPath, origin: KeyPath, source: TomlSource) -> Mistake:
    """Give a mistake of a copy alone, with where it was copied from."""
    line = source.lines.get((*path[:2], "mirror"), mistake.line)
    if path not in source.copied:
        return replace(mistake, line=line)
    where = f"copied from line {source.line(origin)}"
    remedy = f"{mistake.remedy} ({where}; write {path[-1]} = ... here to change it here only)"
    return replace(mistake, line=line, remedy=remedy)
