"""The column ``key`` of the sheet ``other``: a path into a case as one text.

Keys are parted by dots; an element of a list of things with names goes by its name, of any other
list by its number from 1. ``#2`` is the second whatever its name; what holds a dot is in quotes.
"""

import re
from typing import Any, NamedTuple

from flowsim.files.case.words import plain
from flowsim.files.tables.layout import NAMED, name_of
from flowsim.files.toml.lines import KeyPath

_STEP = re.compile(r'\s*(?:"(?P<quoted>(?:[^"]|"")*)"|(?P<bare>[^."]*))\s*(?P<dot>\.|$)')


class KeyStep(NamedTuple):
    """One step: ``number`` is 0 where it is none, ``is_number`` tells that it can be no name."""

    text: str
    number: int = 0
    is_number: bool = False


def written_path(path: KeyPath, data: Any) -> str:
    """Give a path as it is written.

    Parameters
    ----------
    path
        Keys, and indices from 0.
    data
        Of the case.

    Returns
    -------
    str
    """
    steps = []
    above: KeyPath = ()
    for step in path:
        data = data[step]
        if isinstance(step, int):
            steps.append(_element(step, above, name_of(data)))
        else:
            steps.append(_quoted(plain(step)))
        above = (*above, step)
    return ".".join(steps)


def _element(index: int, above: KeyPath, name: str) -> str:
    if not goes_by_name(above):
        return str(index + 1)
    return _quoted(name) if name else f"#{index + 1}"


def goes_by_name(path: KeyPath) -> bool:
    """Tell whether the elements of the list at a path go by name."""
    return (len(path) == 1 and path[0] in NAMED) or (
        len(path) == 3 and path[0] == "tank" and path[2] == "outlet"
    )


def _quoted(text: str) -> str:
    if re.search(r'[."]|^#|^\s|\s$|^$', text):
        return '"' + text.replace('"', '""') + '"'
    return text


def read_path(text: str) -> list[KeyStep] | None:
    """Read a path.

    Parameters
    ----------
    text
        As written.

    Returns
    -------
    list of KeyStep or None
        None where it is no path.
    """
    steps: list[KeyStep] = []
    at = 0
    while True:
        found = _STEP.match(text, at)
        if found is None:
            return None
        if found["quoted"] is not None:
            steps.append(KeyStep(found["quoted"].replace('""', '"')))
        else:
            bare = found["bare"].strip()
            if not bare:
                return None
            digits = re.fullmatch(r"(#?)([0-9]{1,6})", bare)
            steps.append(
                KeyStep(bare, int(digits[2]), bool(digits[1])) if digits else KeyStep(bare)
            )
        at = found.end()
        if not found["dot"]:
            return steps
