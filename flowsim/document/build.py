"""Short ways to make the blocks of a document; sayings are told, and what a case says is cleaned.

Nothing is read as markup, so a key like ``[tank]`` in a case stays what it is.
"""

from collections.abc import Iterable, Sequence

from flowsim.document.blocks import (
    USUAL_INDENT,
    Bullets,
    Column,
    Heading,
    Pairs,
    Table,
    Tone,
    Words,
)
from flowsim.document.text import clean
from flowsim.studies.saying import Said


def heading(text: Said) -> Heading:
    """Give a heading."""
    return Heading(text=clean(text).rstrip())


def paragraph(text: Said, indent: int = USUAL_INDENT, *, above: int = 0) -> Words:
    """Give a paragraph; one that is set in further [columns] belongs to what stands above it."""
    tone: Tone = "sub" if indent > USUAL_INDENT else "plain"
    return Words(text=clean(text).rstrip(), tone=tone, indent=indent, above=above)


def pairs(rows: Iterable[tuple[Said, Said]], indent: int = USUAL_INDENT) -> Pairs:
    """Give a name and its text in each row; an empty name goes on with the row above."""
    made = tuple((clean(name).rstrip(), clean(text).rstrip()) for name, text in rows)
    return Pairs(rows=made, indent=indent)


def bullets(items: Iterable[Said], indent: int = USUAL_INDENT) -> Bullets:
    """Give a list."""
    return Bullets(items=tuple(clean(item).rstrip() for item in items), indent=indent)


def table(
    names: Sequence[Said],
    rows: Iterable[Sequence[Said]],
    *,
    left: int = 1,
    foot: Iterable[Sequence[Said]] = (),
    above: int = 0,
) -> Table:
    """Give a table.

    Parameters
    ----------
    names : sequence of str
        Column heads.
    rows : iterable of sequences of str
        Cells; a row with one cell is a heading inside the table, one with fewer cells than columns
        is filled up.
    left : int
        So many first columns hold words; the others hold numbers.
    foot : iterable of sequences of str
        Closing rows.
    above : int
        Blank lines above in plain text.

    Returns
    -------
    Table
    """
    columns = tuple(
        Column(name=clean(name).rstrip(), numeric=number >= left)
        for number, name in enumerate(names)
    )
    return Table(
        caption="",
        columns=columns,
        rows=tuple(_row(row, len(columns)) for row in rows),
        foot=tuple(_row(row, len(columns)) for row in foot),
        above=above,
    )


def _row(cells: Sequence[Said], count: int) -> tuple[str, ...]:
    """Clean a row, filled up to all columns; with its first cell alone filled it is a heading."""
    row = tuple(clean(cell).rstrip() for cell in cells)
    row += ("",) * (count - len(row))
    return row[:1] if row[0] and count > 1 and not any(row[1:]) else row
