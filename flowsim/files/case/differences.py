"""What differs between two case files: keys and values, by the names of things, not by lines."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from flowsim.files.case.source import open_case
from flowsim.files.case.validate import toml_text
from flowsim.files.toml.source import decode, file_name, read_bytes

WRITTEN_OUT = ("defaults", "stock")
"""Sections that are compared where they hold: what is said once is no other case."""

_NAMES = ("name", "part", "reaches")
"""Keys by which the rows of a list are told apart, best first."""


@dataclass(frozen=True, slots=True)
class Difference:
    """One key whose value differs: its place in words, and both values as text (None: not there).

    ``first`` and ``second`` are TOML.
    """

    place: str
    first: str | None
    second: str | None


def case_differences(first: Path, second: Path) -> tuple[Difference, ...]:
    """Compare two case files by content.

    Parameters
    ----------
    first, second : Path
        Case files that can be read.

    Returns
    -------
    tuple of Difference
        In the order of the first file, then what only the second has. A moved line or another
        comment is no difference; a thing of another name is another thing.

    Raises
    ------
    InputError
        A file cannot be read or is no TOML.
    """
    before, after = _flat(_data(first)), _flat(_data(second))
    places = dict.fromkeys([*before, *after])
    return tuple(
        Difference(place, before.get(place), after.get(place))
        for place in places
        if before.get(place) != after.get(place)
    )


def _data(path: Path) -> Any:
    name = file_name(path)
    data = open_case(decode(read_bytes(path), name), name).ledger.source.data
    return {key: value for key, value in data.items() if key not in WRITTEN_OUT}


def _flat(value: Any, place: str = "") -> dict[str, str]:
    """Turn nested tables into places and values; an inline ``value`` stands for its table."""
    if isinstance(value, dict):
        found: dict[str, str] = {}
        for key, inner in value.items():
            here = place if key == "value" and place else f"{place}.{key}" if place else str(key)
            found.update(_flat(inner, here))
        return found
    if isinstance(value, list) and value and all(isinstance(item, dict) for item in value):
        found = {}
        for label, item in zip(_labels(value), value, strict=True):
            found.update(_flat(item, f"{place} {label}"))
        return found
    return {place: toml_text(value)}


def _labels(rows: list[dict[str, Any]]) -> list[str]:
    """Name the rows of a list; equal names are numbered."""
    labels: list[str] = []
    seen: dict[str, int] = {}
    for row in rows:
        name = next((row[key] for key in _NAMES if isinstance(row.get(key), str)), "row")
        seen[name] = seen.get(name, 0) + 1
        labels.append(f'"{name}"' if seen[name] == 1 else f'"{name}" ({seen[name]})')
    return labels
