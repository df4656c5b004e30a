"""The shape of ``[calibration]``: what a ground test taught, as ``ground-test fit`` writes it."""

from typing import Annotated, Any

from pydantic import Field, PlainValidator, WithJsonSchema

from flowsim.files.case import values as v
from flowsim.files.case.given import UNREADABLE, Fault, Given, refuse
from flowsim.files.case.models import CaseSection
from flowsim.files.case.readers import number_reader
from flowsim.files.units.quantities import shown

MOST_NUMBERS = 200


def _read_numbers(raw: Any) -> tuple[float, ...]:
    """Read a list of plain numbers from -1 to 1."""
    if raw is UNREADABLE:
        return ()
    fits = isinstance(raw, list) and len(raw) <= MOST_NUMBERS
    fits = fits and all(isinstance(x, int | float) and not isinstance(x, bool) for x in raw)
    if not fits or not all(-1.0 <= x <= 1.0 for x in raw):
        refuse([Fault((), f"{shown(raw)} is not a list of numbers from -1 to 1", "fit it again")])
    return tuple(float(x) for x in raw)


_Numbers = Annotated[
    tuple[float, ...],
    PlainValidator(_read_numbers),
    WithJsonSchema({"type": "array", "items": {"type": "number", "minimum": -1, "maximum": 1}}),
]
_Score = Annotated[
    Given,
    PlainValidator(number_reader("a score", -8.0, 8.0)),
    WithJsonSchema(
        {v.SCHEMA_KEY: "number", "words": "a score", "low": -8.0, "high": 8.0, "open": False}
    ),
]


class CalibratedInputSection(CaseSection):
    """One uncertain value after the test."""

    key: v.ReferenceGiven = Field(
        description="Which value: friction, fittings, viscosity, height, or a part by its line and "
        "number.",
        examples=["feed: bowl #3"],
    )
    score: _Score = Field(
        description="Where it lies in its stated band after the test, in deviations of a normal "
        "variable (0: in the middle).",
        examples=[{"value": 0.41, "from": "measured", "accuracy": 0.3}],
    )
    centre: _Score | None = Field(
        None,
        description="The same for the draws: about it they give the times that were read; the "
        "score if not given.",
        examples=[0.52],
    )
    directions: _Numbers = Field(
        (), description="Its weight in each learned combination.", examples=[[0.8, -0.1]]
    )


class CalibrationSection(CaseSection):
    """What a ground test taught. `flowsim ground-test fit` writes it; it is not made by hand."""

    source: v.Text = Field(description="Which test.", examples=["readings.csv, 15 runs"])
    text_sha256: v.Text = Field(
        description="SHA-256 of the case's text above this section; another text is cautioned "
        "about.",
        examples=["0" * 64],
    )
    learned: _Numbers = Field(
        (),
        description="Share of its variance that the test took away from each combination.",
        examples=[[0.98, 0.6]],
    )
    input: Annotated[tuple[CalibratedInputSection, ...], v.LISTED] = Field(
        description="See [[calibration.input]]."
    )
