"""Tables as plain text: as wide as they need, narrower by wrapping, as lists where that fails.

No figure is cut: a column of numbers is as wide as its numbers, a column of words as its longest
word; where even that is wider than the terminal, each row becomes a paragraph.
"""

import re
import textwrap
from collections.abc import Sequence

from rich.box import Box
from rich.console import Group, RenderableType
from rich.table import Table as Grid
from rich.text import Text

from flowsim.document.blocks import Column, Table

RULED = Box(
    "    \n"  # top
    "    \n"  # head
    " -- \n"  # under the head
    "    \n"  # row
    " -- \n"  # between rows
    " -- \n"  # above the foot
    "    \n"  # foot
    "    \n",  # bottom
    ascii=True,
)

GLUE = "\ue000"
"""Stands for a blank at which no line may break; cleaned text cannot hold it."""

UNIT_BLANK = re.compile(
    r"(?<=[\d_]) (?=(?:%|mm\b|mL|in\b|in2|um\b|ft\b|kg\b|g\b|lb\b|oz\b|kg/h|lb/h|L/h|L\b|US gal|"
    r"US fl|kPa|Pa\b|psi|deg|kg/m3|lb/US|kt\b|mph\b|m/s|s\b|min\b|of \d))"
    r"|(?<=US) (?=gal|fl|quarts)|(?<=fl) (?=oz)"
)

_APART = 3
"""[columns] Between two columns."""
_LEAST = 6
"""[columns] A column of words is no narrower."""
_LEAST_OF_MANY = 12
"""[columns] Where words would stand in less than this, a list reads better."""
_CHART = re.compile(r"^[+\-=|R. ]*$")
"""A cell drawn in signs, which a list leaves out."""


def glued(text: str) -> Text:
    """Give text in which no line breaks between a number and its unit."""
    return Text(UNIT_BLANK.sub(GLUE, text), overflow="fold")


def laid_out(block: Table, width: int) -> RenderableType:
    """Give a table as it fits.

    Parameters
    ----------
    block : Table
    width : int
        [columns]

    Returns
    -------
    RenderableType
        A table, or a list of its rows.
    """
    heads = [column.name for column in block.columns]
    widths = _widths(block, heads, width)
    if widths is None:
        heads = [_broken(block, index) for index in range(len(heads))]
        widths = _widths(block, heads, width)
    return _list(block) if widths is None else _grid(block, heads, widths)


def _widths(block: Table, heads: Sequence[str], width: int) -> list[int] | None:
    """Give the width of each column; None where they do not fit."""
    least, most = [], []
    for index, column in enumerate(block.columns):
        cells = [*_column(block, index)]
        lines = heads[index].split("\n")
        if column.numeric:
            need = max(map(len, [*cells, *lines]), default=0)
            least.append(need)
            most.append(need)
            continue
        words = [w for text in [*cells, *lines] for w in UNIT_BLANK.sub(GLUE, text).split()]
        longest = max(map(len, words), default=0)
        widest = max([_LEAST, *map(len, [*cells, *lines])])
        least.append(max(_LEAST, longest, min(widest, _LEAST_OF_MANY)))
        most.append(widest)
    room = width - _APART * (len(least) - 1) - sum(least)
    if room < 0:
        return None
    return _shared(least, most, room)


def _shared(least: list[int], most: list[int], room: int) -> list[int]:
    """Share what room is left among the columns that want more, the narrowest first."""
    found = list(least)
    while room > 0:
        wanting = [i for i, now in enumerate(found) if now < most[i]]
        if not wanting:
            break
        found[min(wanting, key=lambda i: found[i])] += 1
        room -= 1
    return found


def _column(block: Table, index: int) -> list[str]:
    """Give the cells of a column; a row of one cell is a heading across."""
    rows = [*block.rows, *block.foot]
    return [row[index] for row in rows if index < len(row) and len(row) > 1]


def _broken(block: Table, index: int) -> str:
    """Break the head of a column of numbers so that it is no wider than it must be."""
    column = block.columns[index]
    if not column.numeric or not column.name:
        return column.name
    words = UNIT_BLANK.sub(GLUE, column.name).split()
    cells = max(map(len, _column(block, index)), default=1)
    fitting = max(cells, *map(len, words))
    return "\n".join(textwrap.wrap(column.name, fitting, break_long_words=False)) or column.name


def _grid(block: Table, heads: Sequence[str], widths: Sequence[int]) -> RenderableType:
    """Give the table with a rule under its head and above its foot; columns of words wrap."""
    grid = Grid(
        box=RULED, show_edge=False, pad_edge=False, padding=(0, 1), header_style="bold",
        show_header=any(heads),
    )  # fmt: skip
    for column, head, width in zip(block.columns, heads, widths, strict=True):
        if column.numeric:
            grid.add_column(Text(head), width=width, justify="right", overflow="fold")
        else:
            grid.add_column(Text(head), width=width, overflow="fold")
    for number, row in enumerate(block.rows):
        last = bool(block.foot) and number == len(block.rows) - 1
        grid.add_row(*_cells(row, widths), end_section=last)
    for row in block.foot:
        grid.add_row(*_cells(row, widths))
    return grid


def _cells(row: Sequence[str], widths: Sequence[int]) -> list[Text]:
    """Give a row's cells; a number and its unit stay together where the column is wide enough."""
    made = []
    for cell, width in zip(row, widths, strict=False):
        longest = max(map(len, UNIT_BLANK.sub(GLUE, cell).split()), default=0)
        made.append(glued(cell) if longest <= width else Text(cell, overflow="fold"))
    return made


def _list(block: Table) -> RenderableType:
    """Give each row as a paragraph: its first cell, then every other with its column's name."""
    lines: list[RenderableType] = []
    for row in (*block.rows, *block.foot):
        words = "; ".join([row[0].strip(), *_said(block.columns, row)])
        if len(row) == 1:
            lines.append(glued(words))
            continue
        item = Grid.grid(padding=(0, 1))
        item.add_column(no_wrap=True)
        item.add_column(overflow="fold")
        item.add_row(Text("-"), glued(words))
        lines.append(item)
    return Group(*lines)


def _said(columns: Sequence[Column], row: Sequence[str]) -> list[str]:
    said: list[str] = []
    for column, cell in zip(columns[1:], row[1:], strict=False):
        if not cell or (len(cell) > 1 and _CHART.match(cell)):
            continue
        if column.name:
            said.append(f"{column.name}: {cell}")
        elif said:
            said[-1] += f", {cell}"
        else:
            said.append(cell)
    return said
