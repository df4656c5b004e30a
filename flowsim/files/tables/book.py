"""A case as sheets of text: what is written into a file of tables, what was read from one."""

from dataclasses import dataclass, field
from typing import NamedTuple

from flowsim.errors import Mistake

LARGEST_GRID = 5000
"""Rows of one sheet; more is no case."""
WIDEST_GRID = 200
"""Cells of one row that are looked at."""
LONGEST_CELL = 2000
"""Characters in a cell."""


class CellPlace(NamedTuple):
    """A cell as the spreadsheet shows it; without a column the row, without a row the sheet."""

    sheet: str
    row: int = 0
    column: str = ""

    def __str__(self) -> str:
        """Give the place in words: ``lines, row 7, column bore``."""
        words = [self.sheet]
        if self.row:
            words.append(f"row {self.row}")
        if self.column:
            words.append(f"column {self.column}")
        return ", ".join(words)


@dataclass(slots=True)
class BookSheet:
    """One sheet to be written: its headings, and in each row a text for each of them.

    ``numeric`` are the headings under which a plain number is a number for the spreadsheet too.
    """

    name: str
    headings: list[str]
    rows: list[dict[str, str]] = field(default_factory=list)
    numeric: set[str] = field(default_factory=set)


@dataclass(frozen=True, slots=True)
class ReadSheet:
    """One sheet that was read: the number of each row that holds anything, and its cells."""

    name: str
    rows: list[tuple[int, list[str]]] = field(default_factory=list)


@dataclass(slots=True)
class SheetLedger:
    """Collects what is wrong in a file of tables, each with its place."""

    file: str
    found: list[tuple[CellPlace, Mistake]] = field(default_factory=list)

    def say(self, place: CellPlace, problem: str, remedy: str) -> None:
        """Note a mistake at a place."""
        self.found.append((place, Mistake(self.file, None, str(place), problem, remedy)))
