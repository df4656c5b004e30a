"""From what the terminal reports print to blocks of the report, so that both say the same words."""

from collections.abc import Iterable

from rich.console import RenderableType
from rich.padding import Padding
from rich.table import Table as PrintedTable
from rich.text import Text

from flowsim.files.results.report_model import Block, Bullets, Column, Heading, Pairs, Table, Words
from flowsim.reports.render.terminal import plain

USUAL_INDENT = 2
"""[columns] Words printed further in belong to those above them."""
PICTURE = "picture"
"""A column of bars made of letters, which only a terminal needs."""


def blocks_of(parts: Iterable[RenderableType]) -> list[Block]:
    """Turn headings, paragraphs, pairs, lists and tables of a terminal report into blocks.

    Parameters
    ----------
    parts : iterable of RenderableType
        As made by ``flowsim.reports.render.terminal``.

    Returns
    -------
    list of Block
        Empty texts are left out.

    Raises
    ------
    TypeError
        For a part that the terminal module does not make.
    """
    made: list[Block] = []
    for part in parts:
        inner = part.renderable if isinstance(part, Padding) else part
        if isinstance(inner, Text):
            if plain(inner):
                made.append(_paragraph(inner, part))
        elif isinstance(inner, PrintedTable):
            made.append(_grid(inner))
        else:
            raise TypeError(f"{type(inner).__name__} has no counterpart in the report")
    return made


def without(blocks: Iterable[Block], *headings: str) -> list[Block]:
    """Leave out what stands before the first heading, and under headings that begin so."""
    kept: list[Block] = []
    keeping = False
    for block in blocks:
        if isinstance(block, Heading):
            keeping = not block.text.startswith(headings)
        if keeping:
            kept.append(block)
    return kept


def under(blocks: Iterable[Block], heading: str) -> list[Block]:
    """Give what stands under one heading, without the heading."""
    kept: list[Block] = []
    keeping = False
    for block in blocks:
        if isinstance(block, Heading):
            keeping = block.text.startswith(heading)
        elif keeping:
            kept.append(block)
    return kept


def _paragraph(text: Text, around: RenderableType) -> Block:
    """Make a heading, or words: set in where they are printed so; a title is bare and bold."""
    if not isinstance(around, Padding):
        return Words(text=plain(text))
    if text.style == "bold":
        return Heading(text=plain(text))
    return Words(text=plain(text), tone="sub" if around.left > USUAL_INDENT else "plain")


def _grid(grid: PrintedTable) -> Block:
    shown = [column for column in grid.columns if _cell(column.header) != PICTURE]
    columns = [[_cell(cell) for cell in column.cells] for column in shown]
    rows = list(zip(*columns, strict=True))
    if not grid.show_header:
        if all(row[0] == "-" for row in rows):
            return Bullets(items=tuple(row[1] for row in rows))
        return Pairs(rows=tuple((row[0], row[1]) for row in rows))
    names = tuple(
        Column(name=_cell(column.header), numeric=column.justify == "right") for column in shown
    )
    ruled = [place for place, row in enumerate(grid.rows) if row.end_section]
    body = ruled[-1] + 1 if ruled and ruled[-1] + 1 < len(rows) else len(rows)
    trimmed = [_trimmed(row) for row in rows]
    return Table(caption="", columns=names, rows=tuple(trimmed[:body]), foot=tuple(trimmed[body:]))


def _trimmed(row: tuple[str, ...]) -> tuple[str, ...]:
    """Give a row with a single filled cell as a heading across."""
    return row[:1] if row[0] and len(row) > 1 and not any(row[1:]) else row


def _cell(cell: RenderableType) -> str:
    return plain(cell) if isinstance(cell, Text) else str(cell)
