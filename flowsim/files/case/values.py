"""The values of a case file as the models use them: a reader and a mark for the schema each."""

from typing import Annotated, Any

from pydantic import BeforeValidator, PlainValidator, WithJsonSchema

from flowsim.files.case.given import UNREADABLE, Fault, Given, GivenPoint, GivenTube, refuse
from flowsim.files.case.part_rules import known_parts
from flowsim.files.case.read_sizes import listed_points, read_point, read_tube
from flowsim.files.case.readers import (
    listed,
    number_reader,
    quantity_reader,
    read_count,
    read_named,
    read_pair_of_numbers,
    read_text,
    read_words,
    read_yes_no,
)
from flowsim.files.case.words import did_you_mean, one_of, same_word, spelled_as
from flowsim.files.units import kinds
from flowsim.files.units.kinds import Kind
from flowsim.files.units.plausible import (
    LARGEST_FLOW_COEFFICIENT,
    LARGEST_LOSS_FACTOR,
    LEAST_FLOW_COEFFICIENT,
    LEAST_SHARE,
)
from flowsim.files.units.quantities import shown

SCHEMA_KEY = "x-flowsim"
"""Marks a value in the raw schema; ``schema`` replaces it by a definition."""


def _quantity(*wanted: Kind) -> Any:
    """Make the annotation of a dimensioned value."""
    name = " or ".join(kind.name for kind in wanted)
    return (PlainValidator(quantity_reader(*wanted)), WithJsonSchema({SCHEMA_KEY: name}))


def _number(words: str, low: float, high: float) -> Any:
    """Make the annotation of a plain number."""
    schema = {SCHEMA_KEY: "number", "words": words, "low": low, "high": high}
    return (PlainValidator(number_reader(words, low, high)), WithJsonSchema(schema))


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
        meant = same_word(raw, words) if isinstance(raw, str) else None
        if meant is None:
            remedy = did_you_mean(raw, words) if isinstance(raw, str) else one_of(words)
            refuse([Fault((), f"{shown(raw)} is not known here", remedy)])
        return meant

    return (PlainValidator(read), WithJsonSchema({"type": "string", "enum": list(words)}))


LISTED = BeforeValidator(listed)
"""Goes before every list of tables or values."""

LISTED_POINTS = BeforeValidator(listed_points)
"""Goes before every list of points."""

Coordinate = Annotated[Given, *_quantity(kinds.COORDINATE)]
Length = Annotated[Given, *_quantity(kinds.LENGTH)]
Depth = Annotated[Given, *_quantity(kinds.DEPTH)]
Bore = Annotated[Given, *_quantity(kinds.BORE)]
Thickness = Annotated[Given, *_quantity(kinds.THICKNESS)]
Roughness = Annotated[Given, *_quantity(kinds.ROUGHNESS)]
Area = Annotated[Given, *_quantity(kinds.AREA)]
Volume = Annotated[Given, *_quantity(kinds.VOLUME)]
FlowGiven = Annotated[Given, *_quantity(kinds.VOLUME_FLOW, kinds.MASS_FLOW)]
VolumeFlow = Annotated[Given, *_quantity(kinds.VOLUME_FLOW)]
GaugePressure = Annotated[Given, *_quantity(kinds.GAUGE_PRESSURE)]
PressureGiven = Annotated[Given, *_quantity(kinds.PRESSURE)]
Temperature = Annotated[Given, *_quantity(kinds.TEMPERATURE)]
TemperatureRise = Annotated[Given, *_quantity(kinds.TEMPERATURE_RISE)]
Pitch = Annotated[Given, *_quantity(kinds.PITCH)]
Angle = Annotated[Given, *_quantity(kinds.ANGLE)]
Speed = Annotated[Given, *_quantity(kinds.SPEED)]
Climb = Annotated[Given, *_quantity(kinds.CLIMB)]
Acceleration = Annotated[Given, *_quantity(kinds.ACCELERATION)]
Duration = Annotated[Given, *_quantity(kinds.DURATION)]
Altitude = Annotated[Given, *_quantity(kinds.ALTITUDE)]
Density = Annotated[Given, *_quantity(kinds.DENSITY)]
Viscosity = Annotated[Given, *_quantity(kinds.VISCOSITY)]
Power = Annotated[Given, *_quantity(kinds.POWER)]
SpecificConsumption = Annotated[Given, *_quantity(kinds.SPECIFIC_CONSUMPTION)]
Mesh = Annotated[Given, *_quantity(kinds.MESH)]
LossCoefficient = Annotated[Given, *_quantity(kinds.LOSS_COEFFICIENT)]
PointGiven = Annotated[
    GivenPoint, PlainValidator(read_point), WithJsonSchema({SCHEMA_KEY: "point"})
]
Tube = Annotated[GivenTube, PlainValidator(read_tube), WithJsonSchema({SCHEMA_KEY: "tube"})]

ShareGiven = Annotated[Given, *_number("a share", LEAST_SHARE, 1.0)]
PowerShare = Annotated[Given, *_number("a share of full power", 0.0, 1.0)]
FrictionFactor = Annotated[Given, *_number("a Darcy friction factor", 0.001, 1.0)]
LossFactor = Annotated[Given, *_number("a loss factor", 0.0, LARGEST_LOSS_FACTOR)]
FlowCoefficientNumber = Annotated[
    Given, *_number("a flow coefficient", LEAST_FLOW_COEFFICIENT, LARGEST_FLOW_COEFFICIENT)
]
DischargeCoefficient = Annotated[Given, *_number("a discharge coefficient", 0.1, 1.0)]
PressureCoefficient = Annotated[
    Given, *_number("a pressure coefficient (no credit is given for ram, so not above zero)", -5, 0)
]
BandGiven = Annotated[
    tuple[float, float],
    PlainValidator(read_pair_of_numbers),
    WithJsonSchema({SCHEMA_KEY: "band"}),
]

Name = Annotated[
    str,
    PlainValidator(lambda raw: read_text(raw, False, "a name")),
    WithJsonSchema({"type": "string", "pattern": "^[^.]+$"}),
]
ReferenceGiven = Annotated[
    str,
    PlainValidator(lambda raw: read_text(raw, True, "a name")),
    WithJsonSchema({"type": "string", "minLength": 1}),
]
Text = Annotated[
    str,
    PlainValidator(lambda raw: read_text(raw, True, "text")),
    WithJsonSchema({"type": "string", "minLength": 1}),
]
PartName = Annotated[
    str,
    PlainValidator(lambda raw: spelled_as(read_text(raw, True, "text"), known_parts())),
    WithJsonSchema({"type": "string", "minLength": 1}),
]
YesNo = Annotated[bool, PlainValidator(read_yes_no), WithJsonSchema({"type": "boolean"})]
Count = Annotated[
    int,
    PlainValidator(read_count),
    WithJsonSchema({"type": "integer", "minimum": 1, "maximum": 1000}),
]
WordsGiven = Annotated[
    tuple[str, ...],
    PlainValidator(read_words),
    WithJsonSchema({"type": "array", "items": {"type": "string"}}),
]


NamedLines = Annotated[
    dict[str, str],
    PlainValidator(read_named(lambda raw: read_text(raw, True, "a name"), "ports and lines")),
    WithJsonSchema({"type": "object", "additionalProperties": {"type": "string"}}),
]
NamedPorts = Annotated[
    dict[str, tuple[str, ...]],
    PlainValidator(read_named(read_words, "positions and ports")),
    WithJsonSchema(
        {
            "type": "object",
            "additionalProperties": {"type": "array", "items": {"type": "string"}},
        }
    ),
]
