"""The report as data: sections of blocks, and what the page lets one try. ``flowsim.report/1``.

Both forms of the report (page and PDF) are made from this alone, so a report can be made again
years later from its file. ``docs/schemas/report.schema.json`` is generated from these models.
"""

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, JsonValue

from flowsim.document.blocks import Block
from flowsim.document.config import STRICT
from flowsim.document.pictures import Chain, Number, View

SCHEMA = "flowsim.report/1"


class ReportPart(BaseModel):
    """A part of the report: unknown keys of later releases are passed over."""

    model_config = ConfigDict(frozen=True, **STRICT)


class Section(ReportPart):
    """A section; ``complete`` is False where its study gave nothing."""

    name: str
    title: str
    complete: bool
    blocks: tuple[Block, ...]


class VerdictSaid(ReportPart):
    """The answer: ``value`` of three, ``words`` as it is said, ``says`` what it means."""

    value: Literal["adequate", "not adequate", "cannot tell"]
    words: str
    says: str


class FileUsed(ReportPart):
    """A file that the report rests on, with its SHA-256 in hexadecimal."""

    file: str
    sha256: str


class TrySeen(ReportPart):
    """What is seen of one tank in one fuel state and pitch: fuel and its surface, mm."""

    fuel: Chain
    surface: Chain


class TryCell(ReportPart):
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


class TrySet(ReportPart):
    """One selector position, fuel state and end: a cell for each pitch, None where not drawn."""

    selector: int
    state: int
    end: int
    cells: tuple[TryCell | None, ...]


class Tries(ReportPart):
    """What the page lets one try; everything is worked out beforehand.

    ``flow_unit`` is shown; a flow in it is ``flow_factor`` times that in kg/h.
    """

    flow_unit: str = "kg/h"
    flow_factor: float = 1.0
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


class Report(ReportPart):
    """The whole report, its ``summary`` on two pages, and the ``units`` of its pictures.

    ``check`` is ``flowsim.check/1`` without its list of scenarios.
    """

    model_config = ConfigDict(frozen=True, extra="ignore", allow_inf_nan=False)

    schema_: Literal["flowsim.report/1"] = Field(default="flowsim.report/1", alias="schema")
    title: str
    date: str
    units: Literal["us", "metric"] = "metric"
    case: FileUsed
    readings: FileUsed | None
    verdict: VerdictSaid
    standing: tuple[str, ...]
    sections: tuple[Section, ...]
    summary: tuple[Section, ...] = ()
    tries: Tries | None
    check: dict[str, JsonValue]
    versions: dict[str, JsonValue]
