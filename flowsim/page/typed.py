"""From what was typed into a field to the value that goes into the file.

Nothing is judged here: what is no value goes into the file as it was typed, and the reader says
what is wrong with it. Only what the page promises is done: the sheet's unit, ``=``, ``?``, ``+-``.
"""

import re
from typing import Any

from flowsim.files.case.form import FormField
from flowsim.files.toml.sheet import EditError
from flowsim.files.units.quantities import parse_number

TAKE_OUT = object()
"""The field was emptied."""

_RELATIVE = re.compile(r"=\s*(?:(?P<sign>[+-])\s*(?P<by>.+))?", re.DOTALL)
_ACCURACY = re.compile(r"(?P<value>.*?)\s*(?:\+-|\+/-|±)\s*(?P<accuracy>.+)", re.DOTALL)
_NUMBER = re.compile(r"\s*[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?\s*")
_WHOLE = re.compile(r"\s*[+-]?[0-9]{1,15}\s*")
_LIST = re.compile(r"[,;]")


def typed_value(field: FormField, text: str, old: Any, unit: str = "", above: Any = None) -> Any:
    """Give the value that was typed into a field.

    Parameters
    ----------
    field : FormField
        Of the value, or of the list or point that it stands in.
    text : str
        As typed.
    old : any
        What stands there now, None if nothing does.
    unit : str
        For numbers without one: the sheet's, or else the one that the value had.
    above : any
        What stands in the cell above, for ``=``.

    Returns
    -------
    any
        Plain data, or ``TAKE_OUT``.

    Raises
    ------
    EditError
        ``=`` with nothing to refer to.
    """
    text = text.strip()
    if not text:
        return TAKE_OUT
    kind = field.item if field.kind == "list" else field.kind
    if kind in ("quantity", "point", "number"):
        return _with_origin(text, old, unit, above, is_number=kind == "number")
    if kind == "count":
        return int(text) if _WHOLE.fullmatch(text) else text
    if kind == "yes_no":
        return {"true": True, "yes": True, "false": False, "no": False}.get(text.lower(), text)
    if kind == "names":
        return [part.strip() for part in _LIST.split(text.strip("[]")) if part.strip()]
    if kind == "band":
        parts = [part for part in re.split(r"[,;]|\bto\b", text.strip("[]")) if part.strip()]
        numbers = [_plain_number(part) for part in parts]
        return numbers if all(isinstance(n, int | float) for n in numbers) else text
    return text


def typed_list(text: str, old: Any) -> list[Any]:
    """Give a list of dimensioned values typed in one field; a unit given once holds for all."""
    parts = [part.strip() for part in re.split(r"[,;]", text.strip().strip("[]")) if part.strip()]
    units = [unit for unit in map(unit_of, parts) if unit]
    if not units:
        units = [unit for unit in map(unit_of, old if isinstance(old, list) else ()) if unit]
    return [part if unit_of(part) or not units else f"{part} {units[-1]}" for part in parts]


def shown_text(value: Any) -> str:
    """Give a value as it stands in a field: the value of a table that says where it is from."""
    if isinstance(value, dict) and "value" in value:
        value = value["value"]
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, list):
        return ", ".join(map(shown_text, value))
    return "" if value is None else str(value)


def unit_of(value: Any) -> str:
    """Give the unit of a value as written, empty if it has none."""
    split = parse_number(shown_text(value))
    return "" if split is None else split[1]


def _with_origin(text: str, old: Any, unit: str, above: Any, *, is_number: bool) -> Any:
    """Take ``?`` and ``+-`` off, and give a table where there is something to say."""
    about = {key: old[key] for key in ("from", "accuracy", "note") if key in old} if isinstance(
        old, dict) else {}  # fmt: skip
    if text.endswith("?"):
        text, about["from"] = text[:-1].strip(), "assumed"
        if not text:
            text = shown_text(old)
    if match := _ACCURACY.fullmatch(text):
        text = match["value"].strip() or shown_text(old)
        about["accuracy"] = _plain(match["accuracy"], unit, is_number)
    if match := _RELATIVE.fullmatch(text):
        text = _from_above(match, above, unit)
    value = _plain(text, unit, is_number)
    return {"value": value, **about} if about else value


def _plain(text: str, unit: str, is_number: bool) -> Any:
    text = text.strip()
    if is_number:
        return _plain_number(text)
    split = parse_number(text)
    return f"{text} {unit}" if split is not None and not split[1] and unit else text


def _plain_number(text: str) -> Any:
    text = text.strip()
    if _WHOLE.fullmatch(text):
        return int(text)
    return float(text) if _NUMBER.fullmatch(text) else text


def _from_above(match: re.Match[str], above: Any, unit: str) -> str:
    """Give what ``=`` means: the cell above, or so much more or less than it."""
    shown = shown_text(above)
    base = parse_number(shown)
    if base is None:
        raise EditError('"=" takes the value of the cell above, and there is none; write it out')
    if match["by"] is None:
        return shown
    by = parse_number(match["by"])
    if by is None or (by[1] and by[1] != (base[1] or unit)):
        raise EditError(
            f'"{match[0].strip()}" is not a step in {base[1] or unit} from the cell above; '
            "write the value itself"
        )
    value = base[0] - by[0] if match["sign"] == "-" else base[0] + by[0]
    return f"{value:.10g} {base[1] or unit}".strip()
