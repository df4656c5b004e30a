"""Read ``"number unit"`` text into SI floats.

The number is read by our own rule (decimal, scientific, fraction ``3/8``, mixed ``1 3/8``) and the
unit must stand in the list of its kind. What a unit is worth was worked out by the unit library
beforehand (``flowsim.files.unit_factors``): the library never sees a builder's text, in which it
would evaluate arithmetic and take ``gal`` for the US gallon without a word.
"""

import difflib
import math
import re
from dataclasses import dataclass

from flowsim.errors import FlowsimError
from flowsim.files.quantity_kinds import (
    ALIASES,
    AMBIGUOUS,
    KINDS,
    OFTEN_WRITTEN,
    Kind,
)
from flowsim.files.unit_factors import TO_SI

LONGEST_TEXT = 100
"""Characters in a quantity; longer text is refused unread."""

_NUMBER = re.compile(
    r"""\s*(?P<sign>[+-]?)\s*
    (?:
        (?P<whole>[0-9]{1,9})\s+(?P<over>[0-9]{1,9})\s*/\s*(?P<under>[0-9]{1,9})
      | (?P<numerator>[0-9]{1,9})\s*/\s*(?P<denominator>[0-9]{1,9})
      | (?P<decimal>(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)
    )
    \s*(?P<unit>|[A-Za-z%/_°"'].*)""",
    re.VERBOSE | re.DOTALL,
)
_COMMA = re.compile(r"\s*[+-]?[0-9]+,[0-9]+")
_WRITTEN_OTHERWISE = str.maketrans(
    {"²": "2", "³": "3", "−": "-", "µ": "u", "μ": "u", "\u00a0": " ", "\u202f": " "}
)


class QuantityError(FlowsimError):
    """A text is not a quantity of the kind asked for.

    ``problem`` says what is wrong and ``remedy`` what to write.
    """

    exit_code = 4

    def __init__(self, problem: str, remedy: str) -> None:
        self.problem = problem
        self.remedy = remedy
        super().__init__(f"{problem}; {remedy}")


@dataclass(frozen=True, slots=True)
class Quantity:
    """A value in the SI unit of its ``kind``, with the builder's own ``number``, ``unit``, text."""

    value: float
    kind: Kind
    number: float
    unit: str
    text: str


def shown(value: object, longest: int = 60) -> str:
    """Give a value as it may stand in a message: one line, printable, quoted, not too long.

    Parameters
    ----------
    value
        Anything read from a file.
    longest
        Largest number of characters before it is cut.

    Returns
    -------
    str
        The value in double quotes if it is text, else its plain form.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int) and abs(value) >= 10**18:
        return "a huge whole number"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    text = str(value)[: longest + 1]
    text = "".join(c if c.isprintable() else "?" for c in text)
    if len(text) > longest:
        text = text[: longest - 3] + "..."
    return f'"{text}"' if isinstance(value, str) else text


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
        raise QuantityError(
            f"{shown(text)} is not {usual.words}", f'write for example "{usual.example}"'
        )
    number, unit = _split(text, usual)
    if not unit:
        raise QuantityError("a bare number has no unit", _with_usual_unit(text.strip(), usual))
    for kind in kinds:
        if unit in kind.units:
            return _in_range(Quantity(_to_si(number, unit, kind), kind, number, unit, text.strip()))
    raise _unit_error(text, number, unit, kinds)


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


def _split(text: str, kind: Kind) -> tuple[float, str]:
    """Split text into its number and its unit as written."""
    example = f'write for example "{kind.example}"'
    if len(text) > LONGEST_TEXT:
        raise QuantityError(f"{shown(text, 30)} is too long for {kind.words}", example)
    plain = text.translate(_WRITTEN_OTHERWISE)
    if match := _COMMA.match(plain):
        right = plain.replace(",", ".", 1).strip()
        raise QuantityError(
            f"{shown(text)} has a decimal comma", f"write {shown(right)} with a point"
        )
    match = _NUMBER.fullmatch(plain)
    if match is None:
        raise QuantityError(f"{shown(text)} is not a number and a unit", example)
    number = _number(match)
    if number is None or not math.isfinite(number):
        what = "divides by zero" if number is None else "is too large a number"
        raise QuantityError(f"{shown(text)} {what}", example)
    unit = match["unit"].strip()
    return number, ALIASES.get(unit, unit)


def _number(match: re.Match[str]) -> float | None:
    """Give the value of a matched number, or None for a fraction of zero."""
    if match["decimal"] is not None:
        size = float(match["decimal"])
    else:
        under = int(match["under"] or match["denominator"])
        if under == 0:
            return None
        size = int(match["whole"] or 0) + int(match["over"] or match["numerator"]) / under
    return -size if match["sign"] == "-" else size


def _with_usual_unit(number: str, kind: Kind) -> str:
    return f'write "{number} {kind.usual_unit}"'


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
        f"{shown(quantity.text)} is out of sense: {kind.words} must be {bound}",
        f'write for example "{kind.example}"',
    )


def _unit_error(text: str, number: float, unit: str, kinds: tuple[Kind, ...]) -> QuantityError:
    """Say why a unit does not fit, and what would."""
    usual = kinds[0]
    fitting = [name for kind in kinds for name in kind.units]
    choices = [choice for choice in _both_readings(unit) if choice in fitting]
    if choices:
        return QuantityError(
            f"{shown(unit)} may mean US or imperial",
            "write " + " or ".join(f'"{choice}"' for choice in choices),
        )
    if other := next((kind for kind in KINDS if unit in kind.units), None):
        return QuantityError(
            f"{shown(text.strip())} is {other.words}, not {usual.words}",
            f'write for example "{usual.example}"',
        )
    close = OFTEN_WRITTEN.get(unit) or next(
        iter(difflib.get_close_matches(unit, fitting, 1, 0.5)), None
    )
    if close in fitting:
        return QuantityError(f"unknown unit {shown(unit)}", f'write "{number:.12g} {close}"')
    return QuantityError(
        f"{shown(unit)} is not a unit for {usual.words}",
        f'write for example "{usual.example}" (units: {", ".join(fitting)})',
    )


def _both_readings(unit: str) -> list[str]:
    """Spell out the US and the imperial reading of a unit that does not say which it is."""
    atoms = unit.split("/")
    if not any(atom in AMBIGUOUS for atom in atoms):
        return []
    return ["/".join(AMBIGUOUS.get(a, (a, a))[which] for a in atoms) for which in (0, 1)]


def _to_si(number: float, unit: str, kind: Kind) -> float:
    """Convert a number of a listed unit to the kind's SI unit."""
    factor, offset = TO_SI[kind.si, unit]
    return number * factor + offset
