"""The measuring sheet: what to take into the workshop, filled in as far as the case goes."""

from collections.abc import Mapping

from flowsim.document.blocks import Bullets, Words
from flowsim.document.words.telling import told
from flowsim.files.case.draft import Draft
from flowsim.reports.pages import measuring_sheet_words as words
from flowsim.reports.pages.measuring_sheet_axes import ALT, axes_svg
from flowsim.reports.pages.measuring_sheet_cells import (
    Chapter,
    Form,
    Ruled,
    SheetCell,
    SheetDrawing,
    SheetPiece,
    blank,
    label,
)
from flowsim.reports.pages.measuring_sheet_own import OwnValues
from flowsim.reports.pages.measuring_sheet_places import joint_tables, line_tables
from flowsim.reports.pages.measuring_sheet_values import (
    carburettor_tables,
    engine_table,
    flight_table,
    fuel_table,
    tank_tables,
)
from flowsim.reports.pages.unmeasured import name_of, tag_words
from flowsim.reports.words.units import share_words
from flowsim.studies.result import AdequacyResult, Unmeasured

MOST_LOSSES = 10
"""Losses that the first table lists, beside what has no share and decides all the same."""
LEAST_SHARE = 0.01
"""[-] Of the head; a loss below it is not among them."""
EMPTY_LINES, EMPTY_TANKS = 4, 2
"""Forms on a sheet without a case."""
_FIRST = (("no", 5.0), ("what", 30.0), ("from", 15.0), ("share", 9.0), ("how", 41.0))


def measuring_sheet(draft: Draft | None, result: AdequacyResult | None) -> tuple[SheetPiece, ...]:
    """Give the sheet.

    Parameters
    ----------
    draft : Draft or None
        The case as far as it can be read; None gives an empty sheet.
    result : AdequacyResult or None
        Its judgement, which ranks what to measure; None where it cannot be judged.

    Returns
    -------
    tuple of SheetPiece
        In the order of the paper: what usually matters most to the answer stands first, and among
        the lines the one that costs most.
    """
    model = None if draft is None else draft.model
    own = OwnValues(draft)
    ranked = "The line whose unmeasured losses cost most stands first."
    return (
        *_front(),
        *_first(draft, result),
        Chapter("Carburettor and engine inlet"),
        *carburettor_tables(model),
        Chapter("Lines"),
        *(() if result is None else (Words(text=ranked, tone="note"),)),
        *line_tables(model, own, _shares(result), EMPTY_LINES),
        Chapter("Tees, junctions, selector, drains"),
        *joint_tables(model, own),
        Chapter("Tanks, outlets, vents"),
        *tank_tables(model, own, EMPTY_TANKS),
        Chapter("Attitudes, engine, fuel"),
        flight_table(model),
        engine_table(model),
        fuel_table(model),
        Chapter("Notes and sketches", fresh=True),
        Ruled(),
    )


def _front() -> tuple[SheetPiece, ...]:
    """Give caution, axes and tools."""
    datum = (("datum: where it is", 50.0), ("datum line for pitch: where it is", 50.0))
    tools = tuple(tuple(label(text) for text in row) for row in words.tools())
    return (
        Words(text=words.CAUTION, tone="warning"),
        Chapter("Axes and datum"),
        SheetDrawing(axes_svg(), ALT),
        Bullets(items=words.AXES),
        Form("", datum, ((blank(), blank()),)),
        Chapter("How to fill it in"),
        Bullets(items=words.READING),
        Form(
            f"With what, and how well ({words.TOOLS_SOURCE})",
            (("what", 28.0), ("with", 40.0), ("how well", 32.0)),
            tools,
        ),
    )


def _first(draft: Draft | None, result: AdequacyResult | None) -> tuple[SheetPiece, ...]:
    """Give what to measure first, ranked where the case could be judged."""
    heading = Chapter("What to measure first")
    if result is not None and result.unmeasured:
        chosen = _chosen(result.unmeasured)
        rows = tuple(_ranked(number, item) for number, item in enumerate(chosen, 1))
        left = len(result.unmeasured) - len(chosen)
        more = Words(text=f"And {left} more of small share or on other ways.", tone="note")
        pieces = (heading, Words(text=words.RANKED), Form("", _FIRST, rows))
        return (*pieces, more) if left > 0 else pieces
    said: tuple[SheetPiece, ...] = ()
    if draft is not None:
        count = len(draft.mistakes)
        why = f"{count} mistake{'' if count == 1 else 's'}" if count else "see flowsim check"
        said = (Words(text=words.NOT_RANKED.format(why=why)),)
    source = Words(text=words.FIRST_SOURCE, tone="note")
    return (heading, *said, Bullets(items=words.FIRST), source)


def _chosen(unmeasured: tuple[Unmeasured, ...]) -> list[Unmeasured]:
    """Give the losses of largest share, then what decides and says nothing of where it is from."""
    losses = [item for item in unmeasured if (item.share or 0.0) >= LEAST_SHARE]
    return [*losses[:MOST_LOSSES], *(item for item in unmeasured if not item.line)]


def _ranked(number: int, item: Unmeasured) -> tuple[SheetCell, ...]:
    share = "" if item.share is None else share_words(item.share)
    name = name_of(item).replace("_", " ")
    texts = (str(number), name, tag_words(item.tag), share, told(item.measure))
    return tuple(label(text) for text in texts)


def _shares(result: AdequacyResult | None) -> Mapping[str, float]:
    """Give the share of the unmeasured losses of each line by its name."""
    shares: dict[str, float] = {}
    for item in () if result is None else result.unmeasured:
        shares[item.line] = shares.get(item.line, 0.0) + (item.share or 0.0)
    return shares
