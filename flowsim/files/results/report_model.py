"""The report as data: sections of blocks, and what the page lets one try. ``flowsim.report/1``.

Both forms of the report (page and PDF) are made from this alone, so a report can be made again
years later from its file. ``docs/report.schema.json`` is generated from these models.
"""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field, JsonValue

from flowsim.files.results.report_pictures import Chain, Number, Part, Picture, View

SCHEMA = "flowsim.report/1"


class Words(Part):
    """A paragraph; ``tone`` "warning" must strike the eye, "note" may be small, "sub" is set in."""

    type: Literal["words"] = "words"
    text: str
    tone: Literal["plain", "lead", "warning", "note", "sub"] = "plain"


class Heading(Part):
    """A heading within a section."""

    type: Literal["heading"] = "heading"
    text: str


class Bullets(Part):
    """A list."""

    type: Literal["bullets"] = "bullets"
    items: tuple[str, ...]


class Pairs(Part):
    """Names and what belongs to them; an empty name goes on with the row above."""

    type: Literal["pairs"] = "pairs"
    rows: tuple[tuple[str, str], ...]


class Column(Part):
    """A table's column."""

    name: str
    numeric: bool = False


class Table(Part):
    """A table; a row of one cell is a heading across it."""

    type: Literal["table"] = "table"
    caption: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]
    foot: tuple[tuple[str, ...], ...] = ()


class Figure(Part):
    """A picture with its caption; ``alt`` says in words what is to be seen."""

    type: Literal["figure"] = "figure"
    caption: str
    alt: str
    picture: Picture


class Step(Part):
    """One step of a hand check."""

    title: str
    lines: tuple[str, ...]
    result: str
    source: str


class Steps(Part):
    """Numbered steps of a hand check."""

    type: Literal["steps"] = "steps"
    steps: tuple[Step, ...]


class Blanks(Part):
    """Places to write by hand: what for, and how many lines."""

    type: Literal["blanks"] = "blanks"
    rows: tuple[tuple[str, int], ...]


class Ticks(Part):
    """Things to tick off by hand."""

    type: Literal["ticks"] = "ticks"
    items: tuple[str, ...]


class Explorer(Part):
    """The place where the page lets one try attitudes."""

    type: Literal["explorer"] = "explorer"


Block = Annotated[
    Words | Heading | Bullets | Pairs | Table | Figure | Steps | Blanks | Ticks | Explorer,
    Field(discriminator="type"),
]


class Section(Part):
    """A section; ``complete`` is False where its study gave nothing."""

    name: str
    title: str
    complete: bool
    blocks: tuple[Block, ...]


class Verdict(Part):
    """The answer: ``value`` of three, ``words`` as it is said, ``says`` what it means."""

    value: Literal["adequate", "not adequate", "cannot tell"]
    words: str
    says: str


class CaseFile(Part):
    """A file that the report rests on, with its SHA-256 in hexadecimal."""

    file: str
    sha256: str


class TrySeen(Part):
    """What is seen of one tank in one fuel state and pitch: fuel and its surface, mm."""

    fuel: Chain
    surface: Chain


class TryCell(Part):
    """The least of the scenarios at one pitch; numbers as the page shows them.

    ``flow_kg_per_h`` None: a solve failed. ``low_kg_per_h`` and ``high_kg_per_h`` only where
    drawn. ``uncovered`` indexes ``Tries.outlets``. ``remark`` is said below the numbers.
    """

    flow_kg_per_h: Number
    percent_of_required: Number
    percent_of_burn: Number
    required_kg_per_h: float
    low_kg_per_h: Number
    high_kg_per_h: Number
    uncovered: tuple[int, ...]
    verdict: str
    judged: bool
    remark: str


class TrySet(Part):
    """One selector position, fuel state and end: a cell for each pitch, None where not drawn."""

    selector: int
    state: int
    end: int
    cells: tuple[TryCell | None, ...]


class Tries(Part):
    """What the page lets one try; everything is worked out beforehand."""

    pitch_deg: tuple[float, ...]
    pitch_names: tuple[str, ...]
    selectors: tuple[str, ...]
    states: tuple[str, ...]
    ends: tuple[str, ...]
    outlets: tuple[str, ...]
    tanks: tuple[str, ...]
    start: tuple[int, int, int, int]
    view: View
    outlet_at: Chain
    sets: tuple[TrySet, ...]
    seen: tuple[tuple[tuple[TrySeen, ...], ...], ...]


class Report(Part):
    """The whole report. ``check`` is ``flowsim.check/1`` without its list of scenarios."""

    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False)

    schema_: Literal["flowsim.report/1"] = Field(default="flowsim.report/1", alias="schema")
    title: str
    date: str
    case: CaseFile
    readings: CaseFile | None
    verdict: Verdict
    standing: tuple[str, ...]
    sections: tuple[Section, ...]
    tries: Tries | None
    check: dict[str, JsonValue]
    versions: dict[str, JsonValue]
