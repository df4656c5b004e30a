"""A document as plain text for terminals and pipes, any width, ASCII rules.

Nothing here reads markup, so a key like ``[tank]`` in a case stays what it is. Bold is the only
style and never says anything alone.
"""

import io
import textwrap
from collections.abc import Iterable

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
    HandStep,
    Heading,
    Pairs,
    Steps,
    Table,
    Ticks,
    Words,
)
from flowsim.document.document import Document
from flowsim.reports.render.tables import GLUE, glued, laid_out

NARROWEST = 40
WIDEST = 100

_STEP_INDENT, _HANG = 3, 4
"""[columns] A step's lines under its number; the further lines of a formula."""
_LONGEST_NAME = 0.4
"""[of the width] Where a name is longer, what belongs to it stands below it."""


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
    width = max(NARROWEST, min(WIDEST, width))
    parts += [part for block in blocks for part in _shown(block, width)]
    buffer = io.StringIO()
    console = Console(
        file=buffer,
        width=width,
        force_terminal=styled,
        force_jupyter=False,
        color_system="auto" if styled else None,
        markup=False,
        emoji=False,
        highlight=False,
        legacy_windows=False,
    )
    console.print(Group(*parts))
    text = buffer.getvalue().replace(GLUE, " ")
    return "\n".join(line.rstrip() for line in text.splitlines()) + "\n"


def _shown(block: Block, width: int) -> list[RenderableType]:
    """Give what is printed for a block."""
    match block:
        case Heading():
            return [Padding(Text(block.text, style="bold"), (1, 0, 0, 0))]
        case Words():
            text = _hanging(block.text, width - block.indent, block.hang)
            return [_set_in(text, block.indent, block.above)]
        case Pairs():
            return [_set_in(_pairs(block, width - block.indent), block.indent)]
        case Bullets():
            rows = (("-", item) for item in block.items)
            return [_set_in(_two_columns(rows, apart=1), block.indent)]
        case Table():
            return [
                *([_set_in(glued(block.caption))] if block.caption else []),
                _set_in(laid_out(block, width - USUAL_INDENT), above=block.above),
            ]
        case Figure():
            return [_set_in(glued(f"{block.caption} {block.alt}"))]
        case Steps():
            numbered = enumerate(block.steps, 1)
            return [part for place, step in numbered for part in _step(place, step, width)]
        case Blanks():
            return [_set_in(Text(f"{name}: ________")) for name, _ in block.rows]
        case Ticks():
            return [_set_in(_two_columns((("[ ]", item) for item in block.items), apart=1))]
        case Explorer():
            return []


def _step(place: int, step: HandStep, width: int) -> list[RenderableType]:
    lines = (*step.lines, step.result, f"source: {step.source}")
    title = _hanging(f"{place}. {step.title}", width - USUAL_INDENT, _HANG)
    inside = USUAL_INDENT + _STEP_INDENT
    return [
        _set_in(title),
        *(_set_in(_hanging(line, width - inside, _HANG), inside) for line in lines),
    ]


def _hanging(text: str, width: int, hang: int) -> Text:
    """Give text whose further lines are set in; a formula so stays one."""
    if not hang:
        return glued(text)
    lines = textwrap.wrap(
        glued(text).plain, width, subsequent_indent=" " * hang, break_on_hyphens=False
    )
    return Text("\n".join(lines), overflow="fold")


def _set_in(part: RenderableType, indent: int = USUAL_INDENT, above: int = 0) -> RenderableType:
    return Padding(part, (above, 0, 0, indent))


def _pairs(block: Pairs, width: int) -> RenderableType:
    """Give names with their texts beside them, or below them where there is no room."""
    longest = max((len(name) for name, _ in block.rows), default=0)
    if longest <= max(_LONGEST_NAME * width, 8) or longest + 42 <= width:
        return _two_columns(block.rows, apart=2)
    lines: list[RenderableType] = []
    for name, text in block.rows:
        lines += [glued(name)] if name else []
        lines.append(Padding(glued(text), (0, 0, 0, 4)))
    return Group(*lines)


def _two_columns(rows: Iterable[tuple[str, str]], *, apart: int) -> Grid:
    grid = Grid.grid(padding=(0, apart))
    grid.add_column(no_wrap=True)
    grid.add_column(overflow="fold")
    for name, text in rows:
        grid.add_row(Text(name), glued(text))
    return grid
