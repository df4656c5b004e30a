"""The blocks of a document. Terminal, page and PDF are made from these; none is read back.

``above`` and ``indent`` are for plain text alone and are not kept in a file.
"""

from functools import cache
from typing import Annotated, Any, Literal

from pydantic import Field, TypeAdapter
from pydantic.dataclasses import dataclass
from pydantic.json_schema import SkipJsonSchema

from flowsim.document.config import STRICT
from flowsim.document.pictures import Picture

USUAL_INDENT = 2
"""[columns]"""

Columns = Annotated[SkipJsonSchema[int], Field(exclude=True)]
"""[columns] Set in by so much in plain text."""
Lines = Annotated[SkipJsonSchema[int], Field(exclude=True)]
"""[lines] So many blank ones above, in plain text."""
Tone = Literal["plain", "lead", "warning", "note", "sub"]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Words:
    """A paragraph; ``tone`` "warning" must strike the eye, "note" may be small, "sub" is set in."""

    type: Literal["words"] = "words"
    text: str
    tone: Tone = "plain"
    indent: Columns = USUAL_INDENT
    above: Lines = 0
    hang: Columns = 0
    """Its further lines are set in by so much more."""


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Heading:
    """A heading within a section."""

    type: Literal["heading"] = "heading"
    text: str


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Bullets:
    """A list."""

    type: Literal["bullets"] = "bullets"
    items: tuple[str, ...]
    indent: Columns = USUAL_INDENT


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Pairs:
    """Names and what belongs to them; an empty name goes on with the row above."""

    type: Literal["pairs"] = "pairs"
    rows: tuple[tuple[str, str], ...]
    indent: Columns = USUAL_INDENT


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Column:
    """A table's column."""

    name: str
    numeric: bool = False


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Table:
    """A table; a row of one cell is a heading across it."""

    type: Literal["table"] = "table"
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    foot: tuple[tuple[str, ...], ...] = ()
    above: Lines = 0


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Figure:
    """A picture with its caption; ``alt`` says in words what is to be seen."""

    type: Literal["figure"] = "figure"
    caption: str
    alt: str
    picture: Picture


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class HandStep:
    """One step of a hand check."""

    title: str
    lines: tuple[str, ...]
    result: str
    source: str


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Steps:
    """Numbered steps of a hand check."""

    type: Literal["steps"] = "steps"
    steps: tuple[HandStep, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Blanks:
    """Places to write by hand: what for, and how many lines."""

    type: Literal["blanks"] = "blanks"
    rows: tuple[tuple[str, int], ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Ticks:
    """Things to tick off by hand."""

    type: Literal["ticks"] = "ticks"
    items: tuple[str, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Explorer:
    """The place where the page lets one try attitudes."""

    type: Literal["explorer"] = "explorer"


Block = Annotated[
    Words | Heading | Bullets | Pairs | Table | Figure | Steps | Blanks | Ticks | Explorer,
    Field(discriminator="type"),
]


@cache
def _any_block() -> TypeAdapter[Block]:
    """Give what writes blocks; made when first asked for, as most commands print only."""
    return TypeAdapter(Block)


def block_object(block: Block) -> dict[str, Any]:
    """Give a block as plain dictionaries and lists, ready for JSON, as it stands in a report."""
    made: dict[str, Any] = _any_block().dump_python(block, mode="json")
    return made
