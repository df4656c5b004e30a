"""Short ways to make the blocks that sections are made of."""

from collections.abc import Iterable, Sequence

from flowsim.document.blocks import Block, Bullets, Column, Table, Words
from flowsim.document.words.telling import told
from flowsim.files.results.report_model import Section
from flowsim.measures import LENGTH
from flowsim.reports.words.units import number
from flowsim.studies.saying import Said

NOT_THERE = "There is no result here: "


def table(
    names: Sequence[str],
    rows: Iterable[Sequence[str]],
    *,
    caption: str = "",
    foot: Iterable[Sequence[str]] = (),
) -> Table:
    """Make a table.

    Parameters
    ----------
    names : sequence of str
        Column heads; one that begins with "#" holds numbers, to the right.
    rows, foot : iterable of sequences of str
        Cells; a row of one cell is a heading across.
    caption : str
        What the table shows.

    Returns
    -------
    Table
    """
    return Table(
        caption=caption,
        columns=tuple(Column(name=n.removeprefix("#"), numeric=n.startswith("#")) for n in names),
        rows=tuple(tuple(row) for row in rows),
        foot=tuple(tuple(row) for row in foot),
    )


def section(name: str, title: str, blocks: Iterable[Block]) -> Section:
    """Make a complete section."""
    return Section(name=name, title=title, complete=True, blocks=tuple(blocks))


def gap(name: str, title: str, why: Said) -> Section:
    """Make a section that says why it has nothing."""
    words = Words(text=f"{NOT_THERE}{told(why) or 'the study gave none'}.", tone="warning")
    return Section(name=name, title=title, complete=False, blocks=(words,))


def bullets(items: Iterable[str], empty: str) -> Block:
    """Make a list, or words where it is empty."""
    found = tuple(items)
    return Bullets(items=found) if found else Words(text=empty)


def finite(value: float | None, scale: float = 1.0, decimals: int = 3) -> float | None:
    """Give a rounded number for a picture, None where there is none."""
    text = number(None if value is None else scale * value, decimals)
    try:
        return float(text)
    except ValueError:
        return None


def mm(value: float) -> float:
    """Give a length [m] in mm, to a tenth."""
    return round(1000.0 * value, 1)


def mm_in(length: float) -> str:
    """Give a length [m] in mm or inches."""
    return LENGTH.words(length, 1)
