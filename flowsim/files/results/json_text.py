"""JSON as text: what the standard library writes with an indent, in a third of its time.

The library's quick writer knows no indent; this writes the same bytes
(``tests/unit/files/results/test_json_text.py``).
"""

import json
from collections.abc import Callable
from json.encoder import encode_basestring_ascii
from typing import Any

Json = dict[str, "JsonValue"]
JsonValue = str | float | int | bool | None | list["JsonValue"] | Json

INDENT = "  "


def json_text(value: Json) -> str:
    """Give a JSON object as text.

    Parameters
    ----------
    value : Json

    Returns
    -------
    str
        ASCII, two blanks of indent, ending with a line break.

    Raises
    ------
    ValueError
        For NaN and infinities, which JSON does not know.
    TypeError
        For what is no JSON value.
    """
    return _text(value, "\n") + "\n"


def _text(value: Any, gap: str) -> str:
    """Give a value that stands at a line break and blanks, ``gap``."""
    simple = _SIMPLE.get(type(value))
    if simple is not None:
        return simple(value)
    inner = gap + INDENT
    if isinstance(value, dict):
        if not value:
            return "{}"
        kept = _SIMPLE.get
        items = []
        for key, item in value.items():
            known = kept(type(item))
            shown = known(item) if known is not None else _text(item, inner)
            items.append(f"{encode_basestring_ascii(key)}: {shown}")
        return f"{{{inner}{(',' + inner).join(items)}{gap}}}"
    if isinstance(value, list | tuple):
        if not value:
            return "[]"
        return f"[{inner}{(',' + inner).join([_text(item, inner) for item in value])}{gap}]"
    return json.dumps(value, ensure_ascii=True, allow_nan=False)


def _number(value: float) -> str:
    if value - value != 0.0:
        raise ValueError(f"{value} is no number that JSON knows")
    return repr(value)


_SIMPLE: dict[type, Callable[[Any], str]] = {
    str: encode_basestring_ascii,
    float: _number,
    int: repr,
    bool: lambda value: "true" if value else "false",
    type(None): lambda _: "null",
}
