"""Plain values written as TOML, and the plain meaning of an edit: both without any text around."""

import copy
import math
import re
from typing import Any

from flowsim.files.toml.spans import KeyPath

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_SHORT = {"\b": "\\b", "\t": "\\t", "\n": "\\n", "\f": "\\f", "\r": "\\r", '"': '\\"', "\\": "\\\\"}


def written(value: Any) -> str:
    """Write a value as TOML on one line.

    Parameters
    ----------
    value
        Text, whole number, number, truth value, list or table of such.

    Returns
    -------
    str
        What the standard library's reader reads as the same value.

    Raises
    ------
    TypeError
        For anything else.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return f'"{"".join(_escaped(c) for c in value)}"'
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return repr(value) if math.isfinite(value) else str(value)
    if isinstance(value, dict):
        inside = ", ".join(f"{written_key(key)} = {written(item)}" for key, item in value.items())
        return f"{{ {inside} }}" if inside else "{}"
    if isinstance(value, list | tuple):
        return f"[{', '.join(written(item) for item in value)}]"
    raise TypeError(f"no TOML value: {type(value).__name__}")


def written_key(key: str) -> str:
    """Write a key as TOML, in quotes where it needs them."""
    return key if _BARE_KEY.fullmatch(key) else written(key)


def _escaped(character: str) -> str:
    if character in _SHORT:
        return _SHORT[character]
    if ord(character) < 0x20 or ord(character) == 0x7F:
        return f"\\u{ord(character):04x}"
    return character


def same(one: Any, other: Any) -> bool:
    """Tell whether two values are the same in kind and in value, NaN and order of lists included.

    The order of keys does not count: TOML gives it no meaning.
    """
    if type(one) is not type(other):
        return False
    if isinstance(one, dict):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list):
        return len(one) == len(other) and all(map(same, one, other))
    if isinstance(one, float):
        return one == other or (math.isnan(one) and math.isnan(other))
    return bool(one == other)


def at(data: Any, path: KeyPath) -> Any:
    """Give what stands at a path.

    Parameters
    ----------
    data
        Tables and lists.
    path
        Keys and indices.

    Returns
    -------
    any

    Raises
    ------
    LookupError
        There is nothing.
    """
    for step in path:
        in_table = isinstance(step, str) and isinstance(data, dict)
        in_list = isinstance(step, int) and isinstance(data, list) and 0 <= step < len(data)
        if not (in_table or in_list):
            raise LookupError(path)
        data = data[step]
    return data


def plain(value: Any) -> Any:
    """Give a value as it comes back from a reader: lists for tuples, all of it copied."""
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [plain(item) for item in value]
    return copy.copy(value)
