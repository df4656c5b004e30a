"""Values of a case as the text of a cell, and back."""

import re
from typing import Any

from flowsim.files.case.cell_text import is_plain_number
from flowsim.files.case.form import FormField
from flowsim.files.case.words import plain

NONE = "none"
"""Stands in a cell for a list that is given and holds nothing."""
PARTED = ";"
"""Between the elements of a list in one cell."""

_YES_NO = {"yes": True, "true": True, "no": False, "false": False}
_ANY_NUMBER = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")
_BARE = re.compile(r"[+-]?[0-9.,/ -]*[0-9.](?:[eE][+-]?[0-9]+)?")
_DECIMAL_COMMA = re.compile(r"(?<![0-9,.])([0-9]*),([0-9]+)(?![0-9,.])")


def text_of(value: Any, field: FormField) -> str | None:
    """Give a value as the text of one cell.

    Parameters
    ----------
    value
        Plain data of a case, without a table that says where it is from.
    field
        What it is.

    Returns
    -------
    str or None
        None where it does not fit into one cell and come back the same.
    """
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return repr(value)
    if isinstance(value, str):
        return plain(value) or None
    if isinstance(value, list) and field.kind in ("names", "band", "list"):
        return _joined(value)
    return None


def _joined(values: list[Any]) -> str | None:
    if not values:
        return NONE
    if not all(isinstance(item, str | int | float) for item in values):
        return None
    texts = [plain(item) if isinstance(item, str) else repr(item) for item in values]
    if any(not text or PARTED in text or text.casefold() == NONE for text in texts):
        return None
    return f"{PARTED} ".join(texts)


def value_of(text: str, kind: str, item: str = "") -> Any:
    """Give the value that the text of a cell stands for.

    Parameters
    ----------
    text
        Not empty.
    kind, item
        As in ``FormField``; of a kind that is not known it stays text.

    Returns
    -------
    any
        What is no value of the kind stays text, for the reader of the case to refuse.
    """
    if kind == "yes_no":
        return _YES_NO.get(text.casefold(), text)
    if kind in ("number", "count"):
        return _number(text)
    if kind in ("names", "band", "list"):
        if text.casefold() in (NONE, "[]"):
            return []
        inner = {"names": "text", "band": "number"}.get(kind, item)
        return [value_of(one.strip(), inner) for one in text.split(PARTED) if one.strip()]
    return text


def _number(text: str) -> Any:
    if not _ANY_NUMBER.fullmatch(text):
        return text
    number = float(text)
    whole = re.fullmatch(r"[+-]?[0-9]+(?:\.0+)?", text) is not None
    return int(number) if whole and "." not in text and len(text) < 16 else number


def as_count(value: Any) -> Any:
    """Give a whole number for a number that a spreadsheet wrote with decimals."""
    return int(value) if isinstance(value, float) and value.is_integer() else value


def split_unit(text: str) -> tuple[str, str]:
    """Give number and unit of a quantity that is just that, else the text and nothing."""
    number, blank, unit = text.partition(" ")
    fits = (
        blank
        and is_plain_number(number)
        and unit
        and " " not in unit
        and (unit[0].isalpha() or unit[0] == "/")
    )
    return (number, unit) if fits else (text, "")


def with_unit(text: str, unit: str) -> str:
    """Give a bare number with a unit; anything else as it is."""
    return f"{text} {unit}" if unit and _BARE.fullmatch(text) else text


def with_points(text: str) -> str:
    """Give a text with decimal points for decimal commas, where a comma parts no cells."""
    return _DECIMAL_COMMA.sub(lambda found: f"{found[1] or '0'}.{found[2]}", text)
