"""A document as plain text for terminals and pipes, any width, ASCII rules.

Nothing here reads markup, so a key like ``[tank]`` in a case stays what it is. Bold is the only
style and never says anything alone.
"""

import io
import re
from collections.abc import Iterable

from rich.box import Box
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table as Grid
from rich.text import Text

from flowsim.document.blocks import (
    USUAL_INDENT,
    Blanks,
    Block,
    Bullets,
    Explorer,
    Figure,
    Heading,
    Pairs,
    Step,
    Steps,
    Table,
    Ticks,
    Words,
)
from flowsim.document.document import Document

NARROWEST = 40
WIDEST = 100

_RULED = Box(
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


_GLUE = "\ue000"
"""Stands for a blank at which no line may break; cleaned text cannot hold it."""

_UNIT_BLANK = re.compile(
    r"(?<=\d) (?=(?:%|mm\b|in\b|kg/h|lb/h|L/h|L\b|US gal|kPa|Pa\b|deg|kg/m3|s\b|of \d))"
    r"|(?<=US) (?=gal)|(?<=US) (?=quarts)"
)


def render(document: Document | Iterable[Block], width: int, *, styled: bool = False) -> str:
    """Lay a document out as text.

    Parameters
    ----------
    document : Document or iterable of Block
        What to print, in order.
    width : int
        Columns; kept between 40 and 100.
    styled : bool
        Whether bold may be used (a terminal); pipes get plain text.

    Returns
    -------
    str
        Lines without trailing blanks, the last one ended.
    """
    parts: list[RenderableType] = []
    if isinstance(document, Document):
        if document.title:
            parts.append(Text(document.title, style="bold"))
        blocks: Iterable[Block] = document.blocks()
    else:
        blocks = document
    parts += [part for block in blocks for part in _shown(block)]
    buffer = io.StringIO()
    console = Console(
        file=buffer,
        width=max(NARROWEST, min(WIDEST, width)),
        force_terminal=styled,
        force_jupyter=False,
        color_system="auto" if styled else None,
        markup=False,
        emoji=False,
        highlight=False,
        legacy_windows=False,
    )
    console.print(Group(*parts))
    text = buffer.getvalue().replace(_GLUE, " ")
    return "\n".join(line.rstrip() for line in text.splitlines()) + "\n"


def _shown(block: Block) -> list[RenderableType]:
    """Give what is printed for a block."""
    match block:
        case Heading():
            return [Padding(Text(block.text, style="bold"), (1, 0, 0, 0))]
        case Words():
            return [_set_in(_glued(block.text), block.indent, block.above)]
        case Pairs():
            return [_set_in(_two_columns(block.rows, apart=2), block.indent)]
        case Bullets():
            rows = (("-", item) for item in block.items)
            return [_set_in(_two_columns(rows, apart=1), block.indent)]
        case Table():
            return [
                *([_set_in(_glued(block.caption))] if block.caption else []),
                _set_in(_table(block), above=block.above),
            ]
        case Figure():
            return [_set_in(_glued(f"{block.caption} {block.alt}"))]
        case Steps():
            return [part for step in block.steps for part in _step(step)]
        case Blanks():
            return [_set_in(Text(f"{name}: ________")) for name, _ in block.rows]
        case Ticks():
            return [_set_in(_two_columns((("[ ]", item) for item in block.items), apart=1))]
        case Explorer():
            return []


def _step(step: Step) -> list[RenderableType]:
    lines = (*step.lines, step.result, f"source: {step.source}")
    return [_set_in(_glued(step.title)), *(_set_in(_glued(line), 4) for line in lines)]


def _glued(text: str) -> Text:
    """Give text in which no line breaks between a number and its unit."""
    return Text(_UNIT_BLANK.sub(_GLUE, text), overflow="fold")


def _set_in(part: RenderableType, indent: int = USUAL_INDENT, above: int = 0) -> RenderableType:
    return Padding(part, (above, 0, 0, indent))


def _two_columns(rows: Iterable[tuple[str, str]], *, apart: int) -> Grid:
    grid = Grid.grid(padding=(0, apart))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for name, text in rows:
        grid.add_row(Text(name), _glued(text))
    return grid


def _table(block: Table) -> Grid:
    """Lay out a table with a rule under its head and above its foot; columns of words wrap."""
    grid = Grid(box=_RULED, show_edge=False, pad_edge=False, padding=(0, 1), header_style="bold")
    for column in block.columns:
        if column.numeric:
            grid.add_column(Text(column.name), justify="right", no_wrap=True)
        else:
            grid.add_column(Text(column.name), overflow="fold", min_width=6)
    for number, row in enumerate(block.rows):
        last = bool(block.foot) and number == len(block.rows) - 1
        grid.add_row(*map(Text, row), end_section=last)
    for row in block.foot:
        grid.add_row(*map(Text, row))
    return grid
