"""Rows that belong together: to one line, outlet, tank and so on, in the order of their numbers."""

from dataclasses import dataclass

from flowsim.files.case.words import closest, did_you_mean, one_of, same_word
from flowsim.files.tables.book import SheetLedger
from flowsim.files.tables.headings import LIKENESS, HeadedColumn, HeadedTable
from flowsim.files.tables.layout import owners, words_of
from flowsim.files.tables.rows import Filling
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import shown

Cells = dict[HeadedColumn, str]

OF = ("line", "outlet", "tank", "tee", "junction", "selector", "drain", "engine", "carburettor",
      "obstacle", "crossing", "vent line", "installation")  # fmt: skip
"""What the column ``of`` may say."""
_NAMELESS = ("engine", "carburettor")


@dataclass(slots=True)
class SectionGroup:
    """Rows of one owner: its path, what it is, the further word that they share, the rows."""

    path: KeyPath
    of: str
    then: str
    rows: list[tuple[int, Cells]]


def groups(
    table: HeadedTable, leads: tuple[str, ...], filling: Filling, *, then: str = ""
) -> list[SectionGroup]:
    """Put the rows of a sheet together by whose they are.

    Parameters
    ----------
    table
        The sheet.
    leads
        The headings that say whose a row is: ``("of", "which")`` or one that names what it is.
    filling
        The case so far; its complaints receive what cannot be understood.
    then
        A further heading of which rows of one group have the same text.

    Returns
    -------
    list of SectionGroup
        In the order of their first rows; rows inside by the column ``no``, where it is filled.
    """
    there = owners(filling.data)
    found: dict[tuple[KeyPath, str], SectionGroup] = {}
    for number, cells in table.rows:
        owner = _owner(table, number, cells, leads, there, filling.complaints)
        if owner is None:
            continue
        shared = cell(cells, then)[1] if then else ""
        group = found.setdefault(
            (there[owner], " ".join(shared.casefold().split())),
            SectionGroup(there[owner], owner[0], shared, []),
        )
        group.rows.append((number, cells))
    for group in found.values():
        _sort(table, group, filling.complaints)
    return list(found.values())


def cell(cells: Cells, base: str) -> tuple[HeadedColumn | None, str]:
    """Give the column and the text of a row under a heading; empty where there is none."""
    return next(((c, t) for c, t in cells.items() if c.base == base and not c.facet), (None, ""))


def known_word(
    table: HeadedTable,
    number: int,
    cells: Cells,
    base: str,
    known: tuple[str, ...],
    to: SheetLedger,
) -> str | None:
    """Give the word out of a few that a cell holds, or that it was meant to hold.

    Parameters
    ----------
    table, number, cells
        The sheet, the row's number and its cells.
    base
        The heading.
    known
        What may be written.
    to
        Receives what is wrong.

    Returns
    -------
    str or None
        None where it cannot be told.
    """
    column, text = cell(cells, base)
    word = same_word(text, known)
    if word is None:
        place = table.place(number, column or HeadedColumn(base, "", "", base))
        problem = f"{shown(text)} is not known here" if text else "the cell is empty"
        to.say(place, problem, did_you_mean(text, known) if text else one_of(known))
        word = closest(text, known, LIKENESS)
    return word


def _owner(
    table: HeadedTable,
    number: int,
    cells: Cells,
    leads: tuple[str, ...],
    there: dict[tuple[str, str], KeyPath],
    to: SheetLedger,
) -> tuple[str, str] | None:
    """Give whose row it is, as the headings ``of`` and ``which`` say it."""
    of: str | None = leads[0]
    if len(leads) > 1:
        of = known_word(table, number, cells, leads[0], OF, to)
    if of is None:
        return None
    column, which = cell(cells, leads[-1])
    if of in _NAMELESS:
        return of, ""
    names = tuple(name for kind, name in there if kind == of)
    name = same_word(which, names)
    if name is None:
        place = table.place(number, column or HeadedColumn(leads[-1], "", "", leads[-1]))
        thing = words_of(of)
        problem = f"unknown {thing} {shown(which)}" if which else f"the {thing} is not named"
        remedy = did_you_mean(which, names) if names else f"add the {thing}, or delete the row"
        to.say(place, problem, remedy)
        name = closest(which, names, LIKENESS)
    return None if name is None else (of, name)


def _sort(table: HeadedTable, group: SectionGroup, to: SheetLedger) -> None:
    """Bring the rows of a group into the order of their numbers, where all have one."""
    numbers: list[float] = []
    for number, cells in group.rows:
        column, text = cell(cells, "no")
        if not text:
            continue
        try:
            order = float(text.replace(",", "."))
        except ValueError:
            to.say(table.place(number, column), f"{shown(text)} is not a number", "write 1, 2, 3")
            return
        if order in numbers:
            problem = f"number {text} is there twice"
            to.say(table.place(number, column), problem, "number the rows in their order")
        numbers.append(order)
    if len(numbers) == len(group.rows):
        order_of = dict(zip((n for n, _ in group.rows), numbers, strict=True))
        group.rows.sort(key=lambda row: order_of[row[0]])
    elif numbers:
        number = next(n for n, cells in group.rows if not cell(cells, "no")[1])
        problem = "some rows that belong together have a number and this one has none"
        to.say(table.place(number), problem, "number all of them in their order, or none")
