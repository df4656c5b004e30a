"""Cells and rows of the measuring sheet: what is known is printed, the rest is to be written."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from flowsim.document.blocks import Bullets, Heading, Words
from flowsim.files.case.given import Given, GivenPoint, GivenTube
from flowsim.files.units.quantities import in_unit_of
from flowsim.reports.pages.measuring_sheet_words import how
from flowsim.reports.words.units import clean

Value = Given | GivenTube | str | int | bool | float | None
"""A value of the case, as its model holds it."""

MARKS = {"measured": "m", "drawing": "d", "handbook": "h", "assumed": "a"}
NOT_SAID = "?"
MOST_SHOWN = 120
"""Characters of a value; a cell has no room for more."""


@dataclass(frozen=True, slots=True)
class SheetCell:
    """One cell: printed text, or a line to write on with what is used now beside it.

    ``kind``: "label", "known" or "blank"; ``hint`` stands small on the line.
    """

    kind: Literal["label", "known", "blank"]
    text: str = ""
    hint: str = ""


@dataclass(frozen=True, slots=True)
class Form:
    """A table to be filled in: the widths of its columns are parts of the page's width."""

    caption: str
    columns: tuple[tuple[str, float], ...]
    rows: tuple[tuple[SheetCell, ...], ...]


@dataclass(frozen=True, slots=True)
class SheetDrawing:
    """A picture, as SVG."""

    svg: str
    alt: str


@dataclass(frozen=True, slots=True)
class Chapter:
    """Begins a chapter; ``fresh``: on a new page."""

    title: str
    fresh: bool = False


@dataclass(frozen=True, slots=True)
class Ruled:
    """The rest of the page as lines to write on."""


SheetPiece = Chapter | Heading | Words | Bullets | Form | SheetDrawing | Ruled
"""What the sheet is made of, in the order of the paper."""


VALUES = (
    ("what", 25.0),
    ("value", 24.0),
    ("±", 11.0),
    ("from", 7.0),
    ("with what, how well", 33.0),
)
PLACES = (
    ("no", 5.0), ("place", 24.0), ("station", 14.0), ("buttline", 14.0), ("waterline", 14.0),
    ("±", 9.0), ("from", 7.0), ("remark", 13.0),
)  # fmt: skip
COURSE = (*PLACES[:-1], ("bend radius", 13.0))
PARTS = (
    ("no", 5.0), ("part", 30.0), ("bore", 16.0), ("± bore", 10.0), ("from", 7.0),
    ("Cv, K, flow and drop, mesh, ...", 32.0),
)  # fmt: skip


def label(text: str) -> SheetCell:
    """Give a printed word."""
    return SheetCell("label", clean(text))


def blank(hint: str = "") -> SheetCell:
    """Give a line to write on."""
    return SheetCell("blank", "", clean(hint)[:MOST_SHOWN])


def value_cell(value: Value, *, mirrored: bool = False) -> SheetCell:
    """Give a value, or a line to write on where it is missing, assumed or the other side's."""
    text = text_of(value)
    if not text:
        return blank()
    if isinstance(value, Given) and value.origin == "assumed":
        return blank(f"(assumed {text})")
    if mirrored:
        return blank(f"(mirror {text})")
    return SheetCell("known", clean(text)[:MOST_SHOWN])


def text_of(value: Value) -> str:
    """Give a value as it was written, empty where there is none."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Given):
        return "" if math.isnan(value.value) else value.text
    if isinstance(value, GivenTube):
        return "" if math.isnan(value.wall) else value.text
    return str(value)


def accuracy_cell(values: Sequence[Value]) -> SheetCell:
    """Give how well values are known, if all are known equally well, or a line to write on."""
    found = {_accuracy(value) for value in values}
    text = found.pop() if len(found) == 1 else ""
    return SheetCell("known", clean(text)) if text else blank()


def _accuracy(value: Value) -> str:
    if not isinstance(value, Given) or value.accuracy is None:
        return ""
    if value.quantity is None:
        return f"{value.accuracy:.3g}"
    if value.quantity.kind.has_offset:
        return f"{value.accuracy:.3g} K"
    return in_unit_of(value.accuracy, value.quantity)


def origin_cell(values: Sequence[Value]) -> SheetCell:
    """Give where values are from as a mark; a line to write on where nothing is printed."""
    said = {value.origin for value in values if isinstance(value, Given) and text_of(value)}
    if len(said) != 1 or "assumed" in said:
        return blank()
    origin = said.pop()
    return SheetCell("known", NOT_SAID if origin is None else MARKS[origin])


def value_row(
    what: str, value: Value, key: str, *, mirrored: bool = False
) -> tuple[SheetCell, ...]:
    """Give the row of one value: what, value, how sure, from where, how to measure it."""
    cell = value_cell(value, mirrored=mirrored)
    if cell.kind == "known" and isinstance(value, Given):
        beside = (accuracy_cell([value]), origin_cell([value]))
    else:
        empty = blank() if cell.kind == "blank" else label("")
        beside = (empty, empty)
    return label(what), cell, *beside, label(how(key))


def point_row(
    number: str, what: str, point: GivenPoint | None, last: SheetCell, *, mirrored: bool = False
) -> tuple[SheetCell, ...]:
    """Give the row of one place: three coordinates, how sure, from where, and a last cell."""
    coordinates: Sequence[Value] = (None, None, None) if point is None else tuple(point)
    cells = [value_cell(one, mirrored=mirrored) for one in coordinates]
    known = [v for v, c in zip(coordinates, cells, strict=True) if c.kind == "known"]
    return (
        label(number),
        label(what),
        *cells,
        accuracy_cell(known),
        origin_cell(known),
        last,
    )
