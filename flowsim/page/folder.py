"""The cases that may be opened: those of a folder, a new one from the starter, the examples.

The page never names a file: it picks from what is listed here, or gives a title from which a name
is made.
"""

import os
import re
import sys
from dataclasses import dataclass
from pathlib import Path

import flowsim
from flowsim.errors import OutputError
from flowsim.files.case.starter import starter_text

MOST = 200
"""Files that are listed."""
_EXAMPLES = (
    Path(flowsim.__file__).parents[1] / "cases",
    Path(sys.prefix) / "share" / "flowsim" / "cases",
)
"""Beside the package in a clone; where the installer puts data otherwise."""
_LOOKS = re.compile(rb"^\s*\[\[(?:tank|line)\]\]", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class CaseChoice:
    """Something to open: ``path`` is the case, ``text`` what a new one begins with."""

    label: str
    path: Path
    text: str = ""


def cases_in(folder: Path) -> list[CaseChoice]:
    """List the case files of a folder by name: TOML files with a tank or a line."""
    found = []
    try:
        files = sorted(folder.glob("*.toml"))[:MOST]
    except OSError:
        files = []
    for file in files:
        try:
            with file.open("rb") as stream:
                if _LOOKS.search(stream.read(200_000)):
                    found.append(CaseChoice(file.name, file))
        except OSError:
            continue
    return found


def examples(folder: Path) -> list[CaseChoice]:
    """List the bundled examples as copies to be made in a folder, where they are installed."""
    found = []
    files = next((f for place in _EXAMPLES if (f := sorted(place.glob("*/case.toml")))), [])
    for file in files:
        name = file.parent.name
        text = file.read_bytes().decode("utf-8")
        found.append(CaseChoice(name, free_name(folder, name), text))
    return found


def new_case(folder: Path, title: str) -> CaseChoice:
    """Give a new case from the starter under a free name made from its title."""
    stem = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")[:40] or "my-plane"
    return CaseChoice(title, free_name(folder, stem), starter_text(title))


def free_name(folder: Path, stem: str) -> Path:
    """Give a name that no file of the folder has."""
    for number in range(1, 1000):
        path = folder / f"{stem}{'' if number == 1 else f'-{number}'}.toml"
        if not os.path.lexists(path):
            return path
    raise OutputError(f'"{folder}" has too many files called {stem}; choose another title')
