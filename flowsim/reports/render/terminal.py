"""Plain text for terminals and pipes: headings, pairs, lists, tables, any width, ASCII rules.

Nothing here reads markup, so a key like ``[tank]`` in a case stays what it is. Bold is the only
style and never says anything alone.
"""

import io
import re
from collections.abc import Iterable, Sequence

from rich.box import Box
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from flowsim.reports.words.units import clean

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


def words(text: str) -> Text:
    """Give cleaned text in which no line breaks between a number and its unit."""
    return Text(_UNIT_BLANK.sub(_GLUE, clean(text)), overflow="fold")


def plain(text: Text) -> str:
    """Give made text as a string, with plain blanks between numbers and units."""
    return text.plain.replace(_GLUE, " ").rstrip()


def heading(text: str) -> RenderableType:
    """Give a section's heading, with a blank line above."""
    return Padding(Text(text, style="bold"), (1, 0, 0, 0))


def paragraph(text: str, indent: int = 2) -> RenderableType:
    """Give wrapped text, cleaned."""
    return Padding(words(text), (0, 0, 0, indent))


def pairs(rows: Iterable[tuple[str, str]], indent: int = 2) -> RenderableType:
    """Give a name and its text in each row; an empty name goes on with the row above."""
    grid = Table.grid(padding=(0, 2))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for name, text in rows:
        grid.add_row(Text(name), words(text))
    return Padding(grid, (0, 0, 0, indent))


def bullets(items: Iterable[str], indent: int = 2) -> RenderableType:
    """Give a list with a dash before each item."""
    grid = Table.grid(padding=(0, 1))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for item in items:
        grid.add_row(Text("-"), words(item))
    return Padding(grid, (0, 0, 0, indent))


def table(
    names: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    left: int = 1,
    foot: Iterable[Sequence[str]] = (),
) -> RenderableType:
    """Give a table with a rule under its head and above its foot.

    Parameters
    ----------
    names : sequence of str
        Column heads.
    rows : iterable of sequences of str
        Cells; a row with one cell is a heading inside the table.
    left : int
        So many first columns hold words and may wrap; the others hold numbers, to the right.
    foot : iterable of sequences of str
        Closing rows.

    Returns
    -------
    RenderableType
        Ready for ``render``.
    """
    grid = Table(box=_RULED, show_edge=False, pad_edge=False, padding=(0, 1), header_style="bold")
    for column, name in enumerate(names):
        if column < left:
            grid.add_column(Text(clean(name)), overflow="fold", min_width=6)
        else:
            grid.add_column(Text(clean(name)), justify="right", no_wrap=True)
    rows, foot = list(rows), list(foot)
    for number, row in enumerate(rows):
        last = bool(foot) and number == len(rows) - 1
        grid.add_row(*(Text(clean(cell)) for cell in row), end_section=last)
    for row in foot:
        grid.add_row(*(Text(clean(cell)) for cell in row))
    return Padding(grid, (0, 0, 0, 2))


def render(parts: Iterable[RenderableType], width: int, *, styled: bool = False) -> str:
    """Lay parts out as text.

    Parameters
    ----------
    parts : iterable of RenderableType
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
