"""What the report's pictures show, as numbers: every picture is drawn from one of these alone.

A number that does not exist is None. Units stand in the names.
"""

from typing import Annotated, Literal

from pydantic import Field
from pydantic.dataclasses import dataclass

from flowsim.document.config import STRICT

Number = float | None
Pair = tuple[float, float]
Chain = tuple[Pair, ...]
Sign = Literal["", "uncovered", "air begins", "air drawn"]
Sort = Literal["outlet", "junction", "tee", "selector", "engine", "carburettor"]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class AxisMark:
    """A value on an axis with a name: an attitude, a quantity, a node."""

    value: float
    name: str


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class BandRow:
    """One requirement: flow in percent of the required, nominal and over the draws."""

    name: str
    nominal_percent: Number
    low_percent: Number
    middle_percent: Number
    high_percent: Number


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Bands:
    """Every requirement with its band, against 100 percent."""

    kind: Literal["bands"] = "bands"
    rows: tuple[BandRow, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class FlowPoint:
    """Flow at a pitch; ``sign``: "" , "uncovered", "air begins" or "air drawn"."""

    pitch_deg: float
    kg_per_h: Number
    sign: Sign = ""


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class FlowCurve:
    """One fuel state; ``style`` counts the states, so that one looks alike in every picture."""

    name: str
    style: int = 0
    points: tuple[FlowPoint, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class FlowBand:
    """Band of the least flow at one pitch."""

    pitch_deg: float
    low_kg_per_h: float
    high_kg_per_h: float


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Flow:
    """Flow against pitch in one selector position at one end."""

    kind: Literal["flow"] = "flow"
    title: str
    required_kg_per_h: float
    burn_kg_per_h: float
    top_kg_per_h: float
    marks: tuple[AxisMark, ...]
    judged_deg: Pair | None
    curves: tuple[FlowCurve, ...]
    band: tuple[FlowBand, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Margin:
    """Percent of the required flow over pitch (columns) and quantity in each tank (rows)."""

    kind: Literal["margin"] = "margin"
    title: str
    pitch_deg: tuple[float, ...]
    litres: tuple[float, ...]
    percent: tuple[tuple[Number, ...], ...]
    air: tuple[tuple[bool, ...], ...]
    pitch_marks: tuple[AxisMark, ...]
    litre_marks: tuple[AxisMark, ...]
    judged_deg: Pair


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class HeadRow:
    """A part and the head it costs, counted from ``before_mm`` already gone."""

    part: str
    line: str
    before_mm: float
    loss_mm: float


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Head:
    """Where the head goes, from a tank's surface to the end."""

    kind: Literal["head"] = "head"
    title: str
    available_mm: float
    rows: tuple[HeadRow, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class PressurePoint:
    """A place on the way to the inlet."""

    name: str
    distance_mm: float
    elevation_mm: float
    grade_mm: float


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Pressure:
    """Height of the line and of the level to which its pressure would lift the fuel."""

    kind: Literal["pressure"] = "pressure"
    title: str
    points: tuple[PressurePoint, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class SchemeNode:
    """A place of the scheme: ``rank`` counts from the engine, ``place`` [0 to 1] lies across."""

    name: str
    sort: Sort
    tank: str
    rank: int
    place: float


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class SchemeLine:
    """A line of the scheme; ``start`` and ``end`` index the nodes."""

    number: int
    start: int
    end: int
    label: str
    fittings: int
    closed: bool


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Scheme:
    """The system as a scheme, not to scale."""

    kind: Literal["scheme"] = "scheme"
    nodes: tuple[SchemeNode, ...]
    lines: tuple[SchemeLine, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class ViewTank:
    """A tank's outline and its fuel, mm in the view's axes."""

    name: str
    outline: Chain
    fuel: Chain
    surface: Chain


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class ViewLine:
    """A line's course; ``known`` is False where only its ends are."""

    name: str
    course: Chain
    known: bool


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class ViewPoint:
    """A numbered place."""

    name: str
    at: Pair


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class View:
    """A view in true proportion: "side" (turned by ``pitch_deg``) or "top"."""

    kind: Literal["view"] = "view"
    view: Literal["side", "top"]
    title: str
    pitch_deg: float
    tanks: tuple[ViewTank, ...]
    lines: tuple[ViewLine, ...]
    points: tuple[ViewPoint, ...]


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class RankRow:
    """Share of the spread [percent] that would go if this were known, and its error."""

    name: str
    share_percent: float
    error_percent: float


@dataclass(frozen=True, kw_only=True, slots=True, config=STRICT)
class Ranking:
    """What the spread comes from."""

    kind: Literal["ranking"] = "ranking"
    rows: tuple[RankRow, ...]


Picture = Annotated[
    Bands | Flow | Margin | Head | Pressure | Scheme | View | Ranking, Field(discriminator="kind")
]
