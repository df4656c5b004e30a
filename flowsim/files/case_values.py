"""The values of a case file: how each is written, read and described in the schema.

Every reader lets ``UNREADABLE`` pass and gives an empty value for it. So a file with mistakes is
still built as far as possible, and one run finds the mistakes of reference beside those of form.
"""

import dataclasses
import difflib
import math
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Annotated, Any, NamedTuple, NoReturn

from pydantic import BeforeValidator, PlainValidator, WithJsonSchema
from pydantic_core import PydanticCustomError

from flowsim.files import quantity_kinds as kinds
from flowsim.files.quantities import Quantity, QuantityError, parse_quantity, shown
from flowsim.files.quantity_kinds import Kind
from flowsim.files.toml_lines import Path

ORIGINS = ("measured", "drawing", "handbook", "assumed")
"""What ``from`` may say."""

SCHEMA_KEY = "x-flowsim"
"""Marks a value in the raw schema; ``schema`` replaces it by a definition."""

UNREADABLE: Any = type("Unreadable", (), {"__repr__": lambda _: "UNREADABLE"})()
"""Stands in the data for what was wrong or missing and has been reported."""


class Fault(NamedTuple):
    """One thing wrong inside a value: where in it, what, and what to write."""

    inside: Path
    problem: str
    remedy: str


def refuse(faults: Sequence[Fault]) -> NoReturn:
    """Refuse a value with one or more faults.

    Parameters
    ----------
    faults
        At least one.

    Raises
    ------
    PydanticCustomError
        Always; its context carries the faults.
    """
    raise PydanticCustomError("flowsim", "faults", {"faults": list(faults)})


@dataclass(frozen=True, slots=True)
class Given:
    """A value as the builder gave it.

    ``value`` is in SI units (NaN where it could not be read), ``text`` as written, ``origin`` and
    ``note`` as stated, ``accuracy`` one standard deviation in the same unit or None.
    """

    value: float
    text: str = ""
    quantity: Quantity | None = None
    origin: str | None = None
    note: str = ""
    accuracy: float | None = None


class GivenPoint(NamedTuple):
    """Station, buttline, waterline as given."""

    station: Given
    buttline: Given
    waterline: Given


class TubeSize(NamedTuple):
    """Outside diameter and wall [m], and the text."""

    outside_diameter: float
    wall: float
    text: str


NOT_READ = Given(math.nan)

_DASH = re.compile(r"\s*(?:AN|an|dash)?\s*-?\s*[0-9]{1,2}\s*")
_TABLE_KEYS = ("value", "from", "accuracy", "note")


def _read_value(raw: Any, read: Callable[[Any, bool], tuple[float, Quantity | None]]) -> Given:
    """Read a plain value or the table form ``{ value, from, accuracy, note }``."""
    if raw is UNREADABLE:
        return NOT_READ
    if not isinstance(raw, dict):
        faults: list[Fault] = []
        value, quantity = _try(read, raw, (), faults)
        if faults:
            refuse(faults)
        return Given(value, _as_text(raw), quantity)
    faults = [
        Fault((key,), "unknown key", did_you_mean(str(key), _TABLE_KEYS))
        for key in raw
        if key not in _TABLE_KEYS
    ]
    if "value" not in raw:
        faults.append(
            Fault((), 'the key "value" is missing', 'write { value = ..., from = "..." }')
        )
        refuse(faults)
    value, quantity = _try(read, raw["value"], ("value",), faults)
    accuracy = None
    if "accuracy" in raw:
        accuracy, _ = _try(lambda x, _: read(x, True), raw["accuracy"], ("accuracy",), faults)
    origin, note = raw.get("from"), raw.get("note", "")
    if origin is not None and origin not in ORIGINS:
        faults.append(Fault(("from",), f"{shown(origin)} is not an origin", one_of(ORIGINS)))
    if not isinstance(note, str):
        faults.append(Fault(("note",), "a note is text", 'write note = "..."'))
    if faults:
        refuse(faults)
    return Given(value, _as_text(raw["value"]), quantity, origin, plain(note), accuracy)


def _try(
    read: Callable[[Any, bool], tuple[float, Quantity | None]],
    raw: Any,
    inside: Path,
    faults: list[Fault],
) -> tuple[float, Quantity | None]:
    try:
        return read(raw, False)
    except QuantityError as error:
        faults.append(Fault(inside, error.problem, error.remedy))
        return math.nan, None


def _as_text(raw: Any) -> str:
    return shown(raw).strip('"').strip()


def plain(text: str) -> str:
    """Give text on one line with nothing in it that a terminal would obey.

    Parameters
    ----------
    text
        Any text.

    Returns
    -------
    str
        Printable text.
    """
    return "".join(c if c.isprintable() else " " for c in text).strip()


def did_you_mean(word: str, known: Sequence[str]) -> str:
    """Give the remedy for an unknown word.

    Parameters
    ----------
    word
        What was written.
    known
        What may be written.

    Returns
    -------
    str
        ``did you mean "..."?`` or the list of what may be written.
    """
    close = closest(word, known)
    return one_of(known) if close is None else f'did you mean "{close}"?'


def closest(word: str, known: Sequence[str]) -> str | None:
    """Give the known word that a written one is nearest to, if any is near.

    Parameters
    ----------
    word
        What was written.
    known
        What may be written.

    Returns
    -------
    str or None
        The nearest.
    """
    return next(iter(difflib.get_close_matches(word[:100], known[:300], 1, 0.6)), None)


def one_of(words: Sequence[str]) -> str:
    """Give the remedy that lists what may be written.

    Parameters
    ----------
    words
        What may be written.

    Returns
    -------
    str
        ``write one of "a", "b"``.
    """
    if not words:
        return "delete it"
    listed = ", ".join(shown(word) for word in words[:20])
    return f"write {listed}" if len(words) == 1 else f"write one of {listed}"


def _quantity_reader(*wanted: Kind) -> Callable[[Any], Given]:
    deviations = tuple(
        dataclasses.replace(
            kind,
            low=0.0,
            low_is_open=True,
            low_words="zero",
            words=f"an accuracy of {kind.words}",
            units=("K",) if kind.has_offset else kind.units,
            example="2 K" if kind.has_offset else kind.example,
        )
        for kind in wanted
    )

    def read(raw: Any, is_deviation: bool) -> tuple[float, Quantity | None]:
        if kinds.BORE in wanted and isinstance(raw, str) and _DASH.fullmatch(raw):
            raise QuantityError(
                f"{shown(raw)} is a dash number, which does not tell the bore "
                "(of tube it is the outside diameter, of hose only a size class)",
                'measure and write for example "0.305 in"',
            )
        quantity = parse_quantity(raw, *(deviations if is_deviation else wanted))
        return quantity.value, quantity

    return lambda raw: _read_value(raw, read)


def _quantity(*wanted: Kind) -> Any:
    """Make the annotation of a dimensioned value."""
    name = " or ".join(kind.name for kind in wanted)
    return (PlainValidator(_quantity_reader(*wanted)), WithJsonSchema({SCHEMA_KEY: name}))


def _number_reader(
    words: str, low: float, high: float, low_is_open: bool = False
) -> Callable[[Any], Given]:
    def read(raw: Any, is_deviation: bool) -> tuple[float, Quantity | None]:
        bounds = f"from {low:g} to {high:g}" if not low_is_open else f"above {low:g} to {high:g}"
        if isinstance(raw, str) and raw.rstrip().endswith("%"):
            value = parse_quantity(raw, kinds.SHARE).value
        elif isinstance(raw, bool) or not isinstance(raw, int | float):
            hint = "write it without quotes" if isinstance(raw, str) else f"write a number {bounds}"
            raise QuantityError(f"{shown(raw)} is not a number ({words})", hint)
        else:
            value = float(raw) if abs(raw) < 1e300 else math.inf
        if is_deviation and value > 0.0:
            return value, None
        if not low <= value <= high or (low_is_open and value == low):
            raise QuantityError(f"{shown(raw)} is out of sense for {words}", f"write {bounds}")
        return value, None

    return lambda raw: _read_value(raw, read)


def _number(words: str, low: float, high: float, low_is_open: bool = False) -> Any:
    """Make the annotation of a plain number."""
    schema = {SCHEMA_KEY: "number", "words": words, "low": low, "high": high, "open": low_is_open}
    return (PlainValidator(_number_reader(words, low, high, low_is_open)), WithJsonSchema(schema))


_coordinate = _quantity_reader(kinds.COORDINATE)


def _read_point(raw: Any) -> GivenPoint:
    """Read ``[station, buttline, waterline]``."""
    if raw is UNREADABLE:
        return GivenPoint(NOT_READ, NOT_READ, NOT_READ)
    if not isinstance(raw, list) or len(raw) != 3:
        what = f"{len(raw)} values" if isinstance(raw, list) else shown(raw)
        refuse(
            [
                Fault(
                    (),
                    f"a point has three lengths (station, buttline, waterline), not {what}",
                    'write for example ["-38 in", "0 in", "12 in"]',
                )
            ]
        )
    given: list[Given] = []
    faults: list[Fault] = []
    for index, item in enumerate(raw):
        try:
            given.append(_coordinate(item))
        except PydanticCustomError as error:
            found: list[Fault] = (error.context or {})["faults"]
            faults += [Fault((index, *f.inside), f.problem, f.remedy) for f in found]
    if faults:
        refuse(faults)
    return GivenPoint(*given)


def _read_tube(raw: Any) -> TubeSize:
    """Read ``outside diameter x wall``."""
    if raw is UNREADABLE:
        return TubeSize(math.nan, math.nan, "")
    remedy = 'write for example "3/8 in x 0.035 in" (outside diameter x wall)'
    if not isinstance(raw, str):
        refuse([Fault((), f"{shown(raw)} is not a tube size", remedy)])
    if _DASH.fullmatch(raw):
        problem = f"{shown(raw)} is a dash number, which does not tell the wall"
        refuse([Fault((), problem, remedy)])
    sizes = re.split(r"\s*[x×]\s*", raw.strip()) if len(raw) < 100 else []
    if len(sizes) != 2:
        refuse([Fault((), f"{shown(raw)} is not outside diameter x wall", remedy)])
    try:
        outside = parse_quantity(sizes[0], kinds.BORE).value
        wall = parse_quantity(sizes[1], kinds.THICKNESS).value
    except QuantityError as error:
        refuse([Fault((), error.problem, remedy)])
    if outside <= 2.0 * wall:
        refuse([Fault((), f"{shown(raw)} has a wall that leaves no bore", remedy)])
    return TubeSize(outside, wall, _as_text(raw))


def _read_text(raw: Any, dots: bool, words: str) -> str:
    if raw is UNREADABLE:
        return ""
    if not isinstance(raw, str) or not plain(raw):
        refuse([Fault((), f"{shown(raw)} is not {words}", 'write text in quotes, "..."')])
    if len(raw) > 500:
        refuse([Fault((), f"{words} has more than 500 characters", "write it shorter")])
    if not dots and "." in raw:
        refuse([Fault((), f"{shown(raw)} has a dot, which parts tank and outlet", "leave it out")])
    return plain(raw)


def _read_yes_no(raw: Any) -> bool:
    if raw is UNREADABLE:
        return False
    if not isinstance(raw, bool):
        refuse([Fault((), f"{shown(raw)} is not a yes or no", "write true or false")])
    return raw


def _read_count(raw: Any) -> int:
    if raw is UNREADABLE:
        return 1
    if isinstance(raw, bool) or not isinstance(raw, int) or not 1 <= raw <= 1000:
        refuse([Fault((), f"{shown(raw)} is not a count", "write a whole number from 1 to 1000")])
    return raw


def _read_words(raw: Any) -> tuple[str, ...]:
    if raw is UNREADABLE:
        return ()
    if not isinstance(raw, list):
        refuse([Fault((), f"{shown(raw)} is not a list of names", 'write ["left", "right"]')])
    faults = [
        Fault((index,), f"{shown(item)} is not a name", 'write it in quotes, "left"')
        for index, item in enumerate(raw)
        if not isinstance(item, str) or not plain(item)
    ]
    if faults:
        refuse(faults)
    return tuple(plain(item) for item in raw)


def _read_pair_of_numbers(raw: Any) -> tuple[float, float]:
    if raw is UNREADABLE:
        return (1.0, 1.0)
    fits = isinstance(raw, list) and len(raw) == 2
    fits = fits and all(isinstance(x, int | float) and not isinstance(x, bool) for x in raw)
    if not fits or not all(-1e6 < x < 1e6 for x in raw) or not raw[0] <= raw[1]:
        refuse([Fault((), "a band is two numbers, low and high", "write for example [0.8, 1.3]")])
    return float(raw[0]), float(raw[1])


def choice(*words: str) -> Any:
    """Make the annotation of a word out of a few.

    Parameters
    ----------
    words
        What may be written.

    Returns
    -------
    tuple
        Validator and schema, to be unpacked into ``Annotated[str, *choice(...)]``.
    """

    def read(raw: Any) -> str:
        if raw is UNREADABLE:
            return ""
        if raw not in words:
            remedy = did_you_mean(raw, words) if isinstance(raw, str) else one_of(words)
            refuse([Fault((), f"{shown(raw)} is not known here", remedy)])
        return str(raw)

    return (PlainValidator(read), WithJsonSchema({"type": "string", "enum": list(words)}))


def _listed(raw: Any) -> Any:
    """Let a list through; name the mistake if it is something else."""
    if raw is UNREADABLE:
        return ()
    if not isinstance(raw, list | tuple):
        refuse([Fault((), f"{shown(raw)} is not a list", "write it in [ ], or [[ ]] as a heading")])
    return tuple(raw)


LISTED = BeforeValidator(_listed)
"""Goes before every list of tables or values."""

Coordinate = Annotated[Given, *_quantity(kinds.COORDINATE)]
Length = Annotated[Given, *_quantity(kinds.LENGTH)]
Depth = Annotated[Given, *_quantity(kinds.DEPTH)]
Bore = Annotated[Given, *_quantity(kinds.BORE)]
Thickness = Annotated[Given, *_quantity(kinds.THICKNESS)]
Roughness = Annotated[Given, *_quantity(kinds.ROUGHNESS)]
Area = Annotated[Given, *_quantity(kinds.AREA)]
Volume = Annotated[Given, *_quantity(kinds.VOLUME)]
Flow = Annotated[Given, *_quantity(kinds.VOLUME_FLOW, kinds.MASS_FLOW)]
VolumeFlow = Annotated[Given, *_quantity(kinds.VOLUME_FLOW)]
GaugePressure = Annotated[Given, *_quantity(kinds.GAUGE_PRESSURE)]
Pressure = Annotated[Given, *_quantity(kinds.PRESSURE)]
Temperature = Annotated[Given, *_quantity(kinds.TEMPERATURE)]
Pitch = Annotated[Given, *_quantity(kinds.PITCH)]
Angle = Annotated[Given, *_quantity(kinds.ANGLE)]
Speed = Annotated[Given, *_quantity(kinds.SPEED)]
Climb = Annotated[Given, *_quantity(kinds.CLIMB)]
Acceleration = Annotated[Given, *_quantity(kinds.ACCELERATION)]
Altitude = Annotated[Given, *_quantity(kinds.ALTITUDE)]
Density = Annotated[Given, *_quantity(kinds.DENSITY)]
Viscosity = Annotated[Given, *_quantity(kinds.VISCOSITY)]
Power = Annotated[Given, *_quantity(kinds.POWER)]
SpecificConsumption = Annotated[Given, *_quantity(kinds.SPECIFIC_CONSUMPTION)]
Mesh = Annotated[Given, *_quantity(kinds.MESH)]
LossCoefficient = Annotated[Given, *_quantity(kinds.LOSS_COEFFICIENT)]
PointGiven = Annotated[
    GivenPoint, PlainValidator(_read_point), WithJsonSchema({SCHEMA_KEY: "point"})
]
Tube = Annotated[TubeSize, PlainValidator(_read_tube), WithJsonSchema({SCHEMA_KEY: "tube"})]

Share = Annotated[Given, *_number("a share", 0.0, 1.0, True)]
FrictionFactor = Annotated[Given, *_number("a Darcy friction factor", 0.001, 1.0)]
LossFactor = Annotated[Given, *_number("a loss factor", 0.0, 1e6)]
FlowCoefficientNumber = Annotated[Given, *_number("a flow coefficient", 0.0, 1e6, True)]
DischargeCoefficient = Annotated[Given, *_number("a discharge coefficient", 0.1, 1.0)]
PressureCoefficient = Annotated[
    Given, *_number("a pressure coefficient (no credit is given for ram, so not above zero)", -5, 0)
]
Band = Annotated[
    tuple[float, float],
    PlainValidator(_read_pair_of_numbers),
    WithJsonSchema({SCHEMA_KEY: "band"}),
]

Name = Annotated[
    str,
    PlainValidator(lambda raw: _read_text(raw, False, "a name")),
    WithJsonSchema({"type": "string", "pattern": "^[^.]+$"}),
]
Reference = Annotated[
    str,
    PlainValidator(lambda raw: _read_text(raw, True, "a name")),
    WithJsonSchema({"type": "string", "minLength": 1}),
]
Text = Annotated[
    str,
    PlainValidator(lambda raw: _read_text(raw, True, "text")),
    WithJsonSchema({"type": "string", "minLength": 1}),
]
YesNo = Annotated[bool, PlainValidator(_read_yes_no), WithJsonSchema({"type": "boolean"})]
Count = Annotated[
    int,
    PlainValidator(_read_count),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 1000}),
]
Words = Annotated[
    tuple[str, ...],
    PlainValidator(_read_words),
    WithJsonSchema({"type": "array", "items": {"type": "string"}}),
]


def _read_named(read: Callable[[Any], Any], words: str) -> Callable[[Any], dict[str, Any]]:
    def run(raw: Any) -> dict[str, Any]:
        if raw is UNREADABLE:
            return {}
        if not isinstance(raw, dict):
            refuse([Fault((), f"{shown(raw)} is not a table of {words}", "write { name = ... }")])
        result, faults = {}, []
        for key, item in raw.items():
            try:
                result[plain(str(key))] = read(item)
            except PydanticCustomError as error:
                found: list[Fault] = (error.context or {})["faults"]
                faults += [Fault((key, *f.inside), f.problem, f.remedy) for f in found]
        if faults:
            refuse(faults)
        return result

    return run


NamedLines = Annotated[
    dict[str, str],
    PlainValidator(_read_named(lambda raw: _read_text(raw, True, "a name"), "ports and lines")),
    WithJsonSchema({"type": "object", "additionalProperties": {"type": "string"}}),
]
NamedPorts = Annotated[
    dict[str, tuple[str, ...]],
    PlainValidator(_read_named(_read_words, "positions and ports")),
    WithJsonSchema(
        {
            "type": "object",
            "additionalProperties": {"type": "array", "items": {"type": "string"}},
        }
    ),
]
