"""A value as the builder gave it, and how a value is refused.

``UNREADABLE`` stands in the data for what was refused already: every reader lets it pass and gives
an empty value for it. So a file with mistakes is still built as far as possible, and one run finds
the mistakes of reference beside those of form.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, NamedTuple, NoReturn

from pydantic_core import PydanticCustomError

from flowsim.files.case.words import did_you_mean, one_of, plain
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import Quantity, QuantityError, shown

ORIGINS = ("measured", "drawing", "handbook", "assumed")
"""What ``from`` may say."""

UNREADABLE: Any = type("Unreadable", (), {"__repr__": lambda _: "UNREADABLE"})()
"""Stands in the data for what was wrong or missing and has been reported."""


class Fault(NamedTuple):
    """One thing wrong inside a value: where in it, what, and what to write."""

    inside: KeyPath
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


class GivenTube(NamedTuple):
    """Outside diameter and wall [m], and the text."""

    outside_diameter: float
    wall: float
    text: str


NOT_READ = Given(math.nan)

QuantityReader = Callable[[Any, bool], tuple[float, Quantity | None]]
"""From what stands in the file to a value in SI units and the quantity, if it has a unit."""

_TABLE_KEYS = ("value", "from", "accuracy", "note")


def read_value(raw: Any, read: QuantityReader) -> Given:
    """Read a plain value or the table form ``{ value, from, accuracy, note }``.

    Parameters
    ----------
    raw
        What stands in the file.
    read
        Reads the value itself, or (True) its accuracy.

    Returns
    -------
    Given
        The value.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with faults that say what to write.
    """
    if raw is UNREADABLE:
        return NOT_READ
    if not isinstance(raw, dict):
        faults: list[Fault] = []
        value, quantity = _try(read, raw, (), faults)
        if faults:
            refuse(faults)
        return Given(value, _text_of(raw, quantity), quantity)
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
    text = _text_of(raw["value"], quantity)
    return Given(value, text, quantity, origin, plain(note), accuracy)


def _try(
    read: QuantityReader,
    raw: Any,
    inside: KeyPath,
    faults: list[Fault],
) -> tuple[float, Quantity | None]:
    try:
        return read(raw, False)
    except QuantityError as error:
        faults.append(Fault(inside, error.problem, error.remedy))
        return math.nan, None


def _text_of(raw: Any, quantity: Quantity | None) -> str:
    return as_text(raw) if quantity is None else quantity.text


def as_text(raw: Any) -> str:
    """Give a value as it was written, without quotes.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    str
        One printable line.
    """
    return shown(raw).strip('"').strip()
