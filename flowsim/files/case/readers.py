"""The readers of a case file's values: from what stands in the file to numbers and words.

Every reader lets ``UNREADABLE`` pass; see ``case_given``.
"""

import dataclasses
import math
import re
from collections.abc import Callable
from typing import Any

from pydantic_core import PydanticCustomError

from flowsim.files.case.given import UNREADABLE, Fault, Given, read_value, refuse
from flowsim.files.case.words import plain
from flowsim.files.units import kinds
from flowsim.files.units.kinds import Kind
from flowsim.files.units.quantities import Quantity, QuantityError, parse_quantity, shown

_YES_NO = {"yes": "true", "true": "true", "on": "true", "no": "false", "false": "false",
           "off": "false"}  # fmt: skip
DASH_NUMBER = re.compile(r"\s*(?:AN|an|dash)?\s*-?\s*[0-9]{1,2}\s*")


def quantity_reader(*wanted: Kind) -> Callable[[Any], Given]:
    """Make the reader of a dimensioned value.

    Parameters
    ----------
    *wanted
        Kinds that may stand there, the usual one first.

    Returns
    -------
    callable
        From what stands in the file to the given value; it refuses with faults.
    """
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
        if kinds.BORE in wanted and isinstance(raw, str) and DASH_NUMBER.fullmatch(raw):
            raise QuantityError(
                f"{shown(raw)} is a dash number, which does not tell the bore "
                "(of tube it is the outside diameter, of hose only a size class)",
                'measure and write for example "0.305 in"',
            )
        quantity = parse_quantity(raw, *(deviations if is_deviation else wanted))
        return quantity.value, quantity

    return lambda raw: read_value(raw, read)


def number_reader(words: str, low: float, high: float) -> Callable[[Any], Given]:
    """Make the reader of a plain number.

    Parameters
    ----------
    words
        What the number is, for messages.
    low, high
        [-] Its bounds.

    Returns
    -------
    callable
        From what stands in the file to the given value; it refuses with faults.
    """

    def read(raw: Any, is_deviation: bool) -> tuple[float, Quantity | None]:
        bounds = "above 0" if is_deviation else f"from {low:g} to {high:g}"
        if isinstance(raw, str) and raw.rstrip().endswith("%"):
            value = parse_quantity(raw, kinds.SHARE).value
        elif isinstance(raw, bool) or not isinstance(raw, int | float):
            hint = _as_number(raw) or f"write a number {bounds}"
            raise QuantityError(f"{shown(raw)} is not a number ({words})", hint)
        else:
            value = float(raw) if abs(raw) < 1e300 else math.inf
        fits = 0.0 < value < math.inf if is_deviation else low <= value <= high
        if not fits:
            raise QuantityError(
                f"{shown(raw)} is not a plausible value for {words}", f"write {bounds}"
            )
        return value, None

    return lambda raw: read_value(raw, read)


def _as_number(raw: Any) -> str:
    """Give the remedy for a number in quotes; empty where it is none."""
    text = raw.strip().replace(",", ".") if isinstance(raw, str) else ""
    return f"write {text} without quotes" if re.fullmatch(r"[+-]?[0-9]*\.?[0-9]+", text) else ""


def read_text(raw: Any, dots: bool, words: str) -> str:
    """Read text.

    Parameters
    ----------
    raw
        What stands in the file.
    dots
        Whether a dot may stand in it.
    words
        What it is, for messages.

    Returns
    -------
    str
        On one line.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    if raw is UNREADABLE:
        return ""
    if not isinstance(raw, str) or not plain(raw):
        refuse([Fault((), f"{shown(raw)} is not {words}", 'write text in quotes, "..."')])
    if len(raw) > 500:
        refuse([Fault((), f"{words} has more than 500 characters", "write it shorter")])
    if not dots and "." in raw:
        refuse(
            [
                Fault(
                    (),
                    f"{shown(raw)} has a dot, which stands between tank and outlet in tank.outlet",
                    "leave it out",
                )
            ]
        )
    return plain(raw)


def read_yes_no(raw: Any) -> bool:
    """Read true or false.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    bool
        The answer.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    if raw is UNREADABLE:
        return False
    if not isinstance(raw, bool):
        said = str(raw).strip().casefold() if isinstance(raw, str) else ""
        meant = _YES_NO.get(said, "true or false")
        refuse([Fault((), f"{shown(raw)} is not a yes or no", f"write {meant}")])
    return raw


def read_count(raw: Any) -> int:
    """Read a whole number from 1 to 1000.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    int
        The count.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    if raw is UNREADABLE:
        return 1
    if isinstance(raw, bool) or not isinstance(raw, int) or not 1 <= raw <= 1000:
        refuse([Fault((), f"{shown(raw)} is not a count", "write a whole number from 1 to 1000")])
    return raw


def read_words(raw: Any) -> tuple[str, ...]:
    """Read a list of names.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    tuple of str
        In file order.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    if raw is UNREADABLE:
        return ()
    if not isinstance(raw, list):
        meant = f"[{shown(raw)}]" if isinstance(raw, str) and raw else '["left", "right"]'
        refuse([Fault((), f"{shown(raw)} is not a list of names", f"write {meant}")])
    faults = [
        Fault((index,), f"{shown(item)} is not a name", 'write it in quotes, "left"')
        for index, item in enumerate(raw)
        if not isinstance(item, str) or not plain(item)
    ]
    if faults:
        refuse(faults)
    return tuple(plain(item) for item in raw)


def read_pair_of_numbers(raw: Any) -> tuple[float, float]:
    """Read ``[low, high]``.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    tuple of float
        Low and high.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    if raw is UNREADABLE:
        return (1.0, 1.0)
    fits = isinstance(raw, list) and len(raw) == 2
    fits = fits and all(isinstance(x, int | float) and not isinstance(x, bool) for x in raw)
    if not fits or not all(-1e6 < x < 1e6 for x in raw) or not raw[0] <= raw[1]:
        refuse([Fault((), "a band is two numbers, low and high", "write for example [0.8, 1.3]")])
    return float(raw[0]), float(raw[1])


def listed(raw: Any) -> Any:
    """Let a list through; name the mistake if it is something else.

    Parameters
    ----------
    raw
        What stands in the file.

    Returns
    -------
    tuple
        Its elements, unread.

    Raises
    ------
    PydanticCustomError
        Anything else, refused with a fault that says what to write.
    """
    if raw is UNREADABLE:
        return ()
    if not isinstance(raw, list | tuple):
        remedy = f"write [{shown(raw)}]" if isinstance(raw, str) else "write it in [ ]"
        refuse([Fault((), f"{shown(raw)} is not a list", remedy)])
    return tuple(raw)


def read_named(read: Callable[[Any], Any], words: str) -> Callable[[Any], dict[str, Any]]:
    """Make the reader of a table of names and values.

    Parameters
    ----------
    read
        Reader of each value.
    words
        What the table holds, for messages.

    Returns
    -------
    callable
        From what stands in the file to a dict; it refuses with faults.
    """

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
