"""Numbers as people write them: fractions, feet and inches, decimal commas, hours and minutes.

A number is taken where it has one meaning. Where it has two, or none, the error holds what to
write, with nothing of what was written lost.
"""

import math
import re
from dataclasses import dataclass

from flowsim.files.units.text import QuantityError, shown

_PLAIN = str.maketrans(
    {"²": "2", "³": "3", "−": "-", "–": "-", "µ": "u", "μ": "u", "\u00a0": " ", "\u202f": " ",
     "\u2009": " ", "“": '"', "”": '"', "„": '"', "‟": '"', "″": '"', "‘": "'", "’": "'", "‚": "'",
     "′": "'", "º": "°", "⁄": "/",
     "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8", "⅞": " 7/8",
     "⅓": " 1/3", "⅔": " 2/3"}
)  # fmt: skip
_INCHES = r"""(?:(?P<whole>[0-9]{1,9})(?:\s+|\s*-\s*)
      (?P<over>[0-9]{1,9})\s*/\s*(?P<under>[0-9]{1,9})
    | (?P<numerator>[0-9]{1,9})\s*/\s*(?P<denominator>[0-9]{1,9})
    | (?P<decimal>(?:[0-9][0-9.,]*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?))"""
_NUMBER = re.compile(
    rf"""\s*(?P<sign>[+-]?)\s*{_INCHES}\s*(?P<unit>|[A-Za-z%/_°"'].*)""", re.VERBOSE | re.DOTALL
)
_FEET = re.compile(
    rf"""\s*(?P<sign>[+-]?)\s*(?P<feet>[0-9]{{1,9}}(?:\.[0-9]+)?)\s*(?:ft|feet|foot|')\.?\s*[,-]?\s*
    {_INCHES}\s*(?:inches|inch|in|"|'')?\.?\s*""",
    re.VERBOSE | re.IGNORECASE,
)
_CLOCK = re.compile(
    r"\s*(?P<first>[0-9]{1,3}):(?P<second>[0-5]?[0-9](?:[.,][0-9]+)?)"
    r"(?::(?P<third>[0-5]?[0-9](?:[.,][0-9]+)?))?\s*(?P<unit>[A-Za-z: ]*?)\s*"
)
_TIMES = re.compile(
    r"\s*(?:(?P<h>[0-9]{1,3})\s*(?:hours|hour|hrs|hr|h))?\s*"
    r"(?:(?P<min>[0-9]{1,4})\s*(?:minutes|minute|mins|min|m))?\s*"
    r"(?:(?P<s>[0-9]{1,5}(?:\.[0-9]+)?)\s*(?:seconds|second|secs|sec|s))?\s*",
    re.IGNORECASE,
)
_GUESS = re.compile(
    r"\s*(?:~|≈|ca\b\.?|circa\b|about\b|approx\b\.?|approximately\b|roughly\b)\s*", re.I
)
_SPREAD = re.compile(r"(?P<value>.+?)\s*(?:±|\+\s*/\s*-|\+-)\s*(?P<spread>.+)", re.DOTALL)
_TO = re.compile(
    r"\s*(?P<low>[0-9.]+)\s*(?P<unit>[A-Za-z\"']*)\s*(?:-|\bto\b|\.\.+)\s*[0-9.]+\s*[A-Za-z\"'_/]*\s*"
)
_MOST_INCHES = 12
_Groups = dict[str, str | None]


@dataclass(frozen=True, slots=True)
class WrittenNumber:
    """A number of some unit: its value, as it may be written again, and the unit as written."""

    number: float
    words: str
    unit: str

    @property
    def text(self) -> str:
        """Number and unit as they may be written."""
        return f"{self.words} {self.unit}".strip()


def plain_text(text: str) -> str:
    """Give a text with signs of the keyboard only: straight quotes, plain blanks, ``3/8``.

    Parameters
    ----------
    text
        As the builder wrote it.

    Returns
    -------
    str
        With the same meaning.
    """
    return text.translate(_PLAIN)


def split_quantity(text: str, example: str, *, feet: bool, clock: str) -> WrittenNumber:
    """Split a text into its number and its unit.

    Parameters
    ----------
    text
        As the builder wrote it.
    example
        The remedy where nothing better can be said.
    feet
        Whether feet and inches may stand there.
    clock
        ``"min"``: a bare ``1:30`` is minutes and seconds; ``"ask"``: a time, but it may be hours
        and minutes as well; empty: no time.

    Returns
    -------
    WrittenNumber
        The unit is as written, or ``in`` of feet and inches, ``s`` of times in parts.

    Raises
    ------
    QuantityError
        Not a number and a unit, or a number of two meanings.
    """
    plain = plain_text(text)
    if feet and (match := _FEET.fullmatch(plain)):
        return _feet_and_inches(text, match.groupdict(), example)
    if clock and (found := _time(text, plain, clock, example)):
        return found
    _refuse_spread(text, plain)
    match = _NUMBER.fullmatch(plain)
    if match is None or any(c.isdigit() for c in match["unit"]):
        _refuse_range(text, plain)
    if match is None:
        _refuse_guess(text, plain)
        raise QuantityError(f"{shown(text)} is not a number and a unit", example)
    unit = match["unit"].strip()
    number, words = _number(text, match.groupdict(), unit, example)
    return (
        WrittenNumber(-number, f"-{words}", unit)
        if match["sign"] == "-"
        else WrittenNumber(number, words, unit)
    )


def _number(text: str, groups: _Groups, unit: str, example: str) -> tuple[float, str]:
    """Give the size of a matched number, without its sign, and its words."""
    if (digits := groups["decimal"]) is not None:
        return _decimal(text, groups["sign"] or "", digits, unit, example)
    under = int(groups["under"] or groups["denominator"] or 0)
    if under == 0:
        raise QuantityError(f"{shown(text)} divides by zero", example)
    over, whole = int(groups["over"] or groups["numerator"] or 0), groups["whole"]
    words = f"{over}/{under}" if whole is None else f"{whole} {over}/{under}"
    return int(whole or 0) + over / under, words


def _decimal(text: str, sign: str, digits: str, unit: str, example: str) -> tuple[float, str]:
    """Read a decimal number; a comma or a second point is taken where it can mean one thing."""
    body, _, power = digits.lower().partition("e")
    readings = _readings(body)
    tail = f"e{power}" if power else ""
    if not readings:
        raise QuantityError(f"{shown(text)} is not a number and a unit", example)
    if len(readings) > 1:
        sign = sign.removeprefix("+")
        offers = [f'"{f"{sign}{reading}{tail} {unit}".strip()}"' for reading in readings]
        problem = f"{shown(text)} may be {' or '.join(readings)}"
        raise QuantityError(problem, f"write {' or '.join(offers)}")
    digits = readings[0].removesuffix(".")
    digits = f"0{digits}" if digits.startswith(".") else digits
    number = float(digits + tail)
    if math.isinf(number):
        raise QuantityError(f"{shown(text)} is too large a number", example)
    return number, digits + tail


def _readings(body: str) -> list[str]:
    """Give the numbers that digits with points and commas may mean, with a decimal point."""
    marks = [mark for mark in body if mark in ".,"]
    if not marks or marks == ["."]:
        return [body]
    groups = re.split("[.,]", body)
    thousands = (
        len(groups[0]) <= 3 and groups[0].strip("0") != "" and all(len(g) == 3 for g in groups[1:])
    )
    joined = "".join(groups)
    if len(marks) == 1:
        decimal = [f"{groups[0]}.{groups[1]}"] if groups[1] else []
        return [*decimal, joined] if thousands else decimal
    if len(set(marks)) == 1:
        return [joined] if thousands else []
    *before, last = marks
    if len(set(before)) > 1 or last in before or not all(len(g) == 3 for g in groups[1:-1]):
        return []
    return ["".join(groups[:-1]) + "." + groups[-1]]


def _feet_and_inches(text: str, groups: _Groups, example: str) -> WrittenNumber:
    """Give feet and inches as inches; a sign goes before the whole."""
    inches, words = _number(text, groups, "in", example)
    sign = "-" if groups["sign"] == "-" else ""
    feet = float(groups["feet"] or 0.0)
    total = 12.0 * feet + inches
    if feet != int(feet):
        problem = f"{shown(text)} has a part of a foot and inches"
        raise QuantityError(problem, f'write "{sign}{total:.10g} in"')
    if inches >= _MOST_INCHES:
        problem = f"{shown(text)} has 12 inches or more beside the feet"
        meant = f"{sign}{int(total // 12)} ft {total % 12:.10g} in"
        raise QuantityError(problem, f'write "{meant}" if that is meant')
    return WrittenNumber(-total if sign else total, f"{sign}{int(feet)} ft {words}", "in")


def _time(text: str, plain: str, clock: str, example: str) -> WrittenNumber | None:
    """Read ``4:12``, ``1:02:30`` and ``4 min 12 s``; None for anything else."""
    match = _TIMES.fullmatch(plain)
    if match is not None and sum(part is not None for part in match.groups()) > 1:
        hours, minutes, seconds = (float(part or 0.0) for part in match.groups())
        return _seconds(3600.0 * hours + 60.0 * minutes + seconds)
    match = _CLOCK.fullmatch(plain)
    if match is None:
        return None
    first, second = float(match["first"]), float(match["second"].replace(",", "."))
    unit = match["unit"].lower().replace(" ", "")
    if match["third"] is not None and unit in ("", "h", "h:min:s", "hh:mm:ss"):
        third = float(match["third"].replace(",", "."))
        return _seconds(3600.0 * first + 60.0 * second + third)
    if match["third"] is None and unit in ("min", "min:s", "mm:ss", "min:sec", "m:s"):
        return _seconds(60.0 * first + second)
    if match["third"] is None and unit in ("h", "hr", "h:min", "hh:mm", "h:m"):
        return _seconds(3600.0 * first + 60.0 * second)
    if match["third"] is not None or unit:
        raise QuantityError(f"{shown(text)} is not a time", example)
    if clock == "min":
        return _seconds(60.0 * first + second)
    value = plain.strip()
    raise QuantityError(
        f"{shown(text)} may be minutes and seconds or hours and minutes",
        f'write "{value} min" or "{value} h"',
    )


def _seconds(number: float) -> WrittenNumber:
    return WrittenNumber(number, f"{number:.10g}", "s")


def _refuse_guess(text: str, plain: str) -> None:
    if match := _GUESS.match(plain):
        value = plain[match.end() :].strip()
        raise QuantityError(
            f"{shown(text)} is said to be a guess",
            f'write "{value}", in a case {{ value = "{value}", from = "assumed" }}',
        )


def _refuse_spread(text: str, plain: str) -> None:
    if match := _SPREAD.fullmatch(plain):
        value, spread = match["value"].strip(), match["spread"].strip()
        unit = spread.lstrip("0123456789./ ")
        if value[-1:].isdigit() and unit:
            value = f"{value} {unit}"
        raise QuantityError(
            f"{shown(text)} holds its accuracy",
            f'write "{value}", in a case {{ value = "{value}", accuracy = "{spread}" }}',
        )


def _refuse_range(text: str, plain: str) -> None:
    if _TO.fullmatch(plain):
        raise QuantityError(
            f"{shown(text)} is a range",
            "write one value, the likeliest; in a case accuracy says how sure it is",
        )
