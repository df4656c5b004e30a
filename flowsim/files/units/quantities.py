"""Read ``"number unit"`` text into SI floats.

The number is read by our own rules (``written_numbers``) and the unit must be one of its kind, in
any spelling that has one meaning (``unit_spellings``). What a unit is worth was worked out by the
unit library beforehand (``flowsim.files.units.factors``): the library never sees a builder's text,
in which it would evaluate arithmetic and take ``gal`` for the US gallon without a word.
"""

import difflib
import math
from dataclasses import dataclass

from flowsim.files.units.examples import example_words, unit_words
from flowsim.files.units.factors import TO_SI
from flowsim.files.units.kinds import KINDS, Kind
from flowsim.files.units.spellings import two_readings, unit_meant, unit_suggested
from flowsim.files.units.text import QuantityError, shown
from flowsim.files.units.written_numbers import WrittenNumber, split_quantity

__all__ = [
    "LONGEST_TEXT",
    "Quantity",
    "QuantityError",
    "floor_in_unit_of",
    "in_unit_of",
    "parse_number",
    "parse_quantity",
    "shown",
]

LONGEST_TEXT = 100
"""Characters in a quantity; longer text is refused unread."""


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in the SI unit of its ``kind``, with the builder's own ``number``, ``unit``, text."""

    value: float
    kind: Kind
    number: float
    unit: str
    text: str


def parse_quantity(text: object, *kinds: Kind) -> Quantity:
    """Read ``"number unit"`` text as a quantity of one of some kinds.

    Parameters
    ----------
    text
        What was written, for instance ``"1 3/8 in"``; anything but text is refused.
    kinds
        The kinds that may stand here, the usual one first.

    Returns
    -------
    Quantity
        Its ``value`` is in the kind's SI unit, within the kind's range.

    Raises
    ------
    QuantityError
        No unit, not a number and a unit, unknown or ambiguous unit, unit of another kind, not
        finite, or outside the range of sense.
    """
    usual = kinds[0]
    if isinstance(text, int | float) and not isinstance(text, bool) and -1e15 < text < 1e15:
        raise QuantityError("a bare number has no unit", _with_usual_unit(shown(text), usual))
    if not isinstance(text, str):
        raise QuantityError(f"{shown(text)} is not {usual.words}", _for_example(usual))
    written = _split(text, kinds)
    if not written.unit:
        raise QuantityError("a bare number has no unit", _with_usual_unit(written.words, usual))
    for kind in kinds:
        if (unit := unit_meant(written.unit, kind.units)) is not None:
            value = _to_si(written.number, unit, kind)
            own = WrittenNumber(written.number, written.words, unit)
            return _in_range(Quantity(value, kind, written.number, unit, own.text))
    raise _unit_error(text, written, kinds)


def parse_number(text: str) -> tuple[float, str] | None:
    """Split a number and its unit by the file's own rule, whatever the unit is.

    Parameters
    ----------
    text
        Such as ``"31 1/2 in"`` or ``"31 1/2"``.

    Returns
    -------
    tuple of float and str, or None
        The number and the unit as it stands in the list of units, empty without one. None where it
        is no number.
    """
    if len(text) > LONGEST_TEXT:
        return None
    try:
        written = split_quantity(text, "", feet=True, clock="")
    except QuantityError:
        return None
    found = (unit_meant(written.unit, kind.units) for kind in KINDS if written.unit)
    return written.number, next((unit for unit in found if unit is not None), written.unit)


def in_unit_of(value: float, like: Quantity, digits: int = 4) -> str:
    """Show an SI value in the unit of a quantity that was written.

    Parameters
    ----------
    value
        [SI unit of the quantity's kind].
    like
        The quantity whose unit is used.
    digits
        Significant digits.

    Returns
    -------
    str
        ``"number unit"``.
    """
    zero = _to_si(0.0, like.unit, like.kind)
    one = _to_si(1.0, like.unit, like.kind)
    return f"{(value - zero) / (one - zero):.{digits}g} {like.unit}"


def floor_in_unit_of(value: float, like: Quantity, digits: int = 3) -> str:
    """Show an SI value in the unit of a quantity that was written, rounded down.

    Parameters
    ----------
    value
        [SI unit of the quantity's kind], above zero; of a kind without offset.
    like
        The quantity whose unit is used.
    digits
        Significant digits.

    Returns
    -------
    str
        ``"number unit"``, never more than ``value``.
    """
    number = value / _to_si(1.0, like.unit, like.kind)
    step = 10.0 ** (math.floor(math.log10(number)) + 1 - digits)
    return f"{math.floor(number / step * (1.0 + 1e-12)) * step:.{digits}g} {like.unit}"


def _split(text: str, kinds: tuple[Kind, ...]) -> WrittenNumber:
    """Split text into its number and its unit as written."""
    example = _for_example(kinds[0])
    if len(text) > LONGEST_TEXT:
        raise QuantityError(f"{shown(text, 30)} is too long for {kinds[0].words}", example)
    feet = any("in" in kind.units and "ft" in kind.units for kind in kinds)
    clock = next((kind.clock for kind in kinds if kind.clock), "")
    return split_quantity(text, example, feet=feet, clock=clock)


def _with_usual_unit(number: str, kind: Kind) -> str:
    return f'write "{number} {unit_words(kind.usual_unit)}"'


def _for_example(kind: Kind) -> str:
    return example_words(f'write for example "{kind.example}"')


def _in_range(quantity: Quantity) -> Quantity:
    """Refuse what cannot be meant."""
    kind, value = quantity.kind, quantity.value
    if kind.low_is_open and value <= kind.low:
        bound = f"more than {kind.low_words}"
    elif value < kind.low:
        bound = f"at least {kind.low_words}"
    elif value > kind.high:
        bound = f"at most {kind.high_words}"
    else:
        return quantity
    raise QuantityError(
        f"{shown(quantity.text)} is not plausible: {kind.words} must be {bound}",
        _for_example(kind),
    )


def _unit_error(text: str, written: WrittenNumber, kinds: tuple[Kind, ...]) -> QuantityError:
    """Say why a unit does not fit, and what would; nothing of the number is lost."""
    usual, unit = kinds[0], written.unit
    fitting = [name for kind in kinds for name in kind.units]
    readings, whose = two_readings(unit, fitting)
    if readings:
        offers = " or ".join(f'"{written.words} {reading}"' for reading in readings)
        return QuantityError(f"{shown(unit)} may mean {whose}", f"write {offers}")
    example = _for_example(usual)
    close = unit_suggested(unit, fitting)
    other = next((kind for kind in KINDS if unit_meant(unit, kind.units) is not None), None)
    if other is not None:
        remedy = example if close is None else f'write "{written.words} {close}" if that is meant'
        problem = f"{shown(text.strip())} is {other.words}, not {usual.words}"
        return QuantityError(problem, remedy)
    if close is None and not any(c.isdigit() for c in unit):
        close = next(iter(difflib.get_close_matches(unit, fitting, 1, 0.5)), None)
    if close is not None:
        return QuantityError(f"unknown unit {shown(unit)}", f'write "{written.words} {close}"')
    return QuantityError(
        f"{shown(unit)} is not a unit for {usual.words}",
        f"{example} (units: {', '.join(fitting)})",
    )


def _to_si(number: float, unit: str, kind: Kind) -> float:
    """Convert a number of a listed unit to the kind's SI unit."""
    factor, offset = TO_SI[kind.si, unit]
    return number * factor + offset
