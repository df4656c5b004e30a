"""The other side with right and left swapped: shown first, then made in one step."""

import re
from dataclasses import dataclass
from typing import Any, Literal

from flowsim.errors import FlowsimError
from flowsim.files.case_form import field_at, keys_at
from flowsim.files.toml_edits import Edit
from flowsim.files.toml_spans import Path
from flowsim.files.toml_values import same
from flowsim.page.changes import item
from flowsim.page.typed import shown_text

Side = Literal["left", "right"]
_KINDS = ("tank", "junction", "tee", "line", "drain", "vent_line", "obstacle", "crossing")
_WORD = re.compile(r"\b(left|right)\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Mirrored:
    """What mirroring a side makes: the edits, and for each (what, before, after) in words."""

    edits: tuple[Edit, ...]
    rows: tuple[tuple[str, str, str], ...]


def mirrored(data: dict[str, Any], side: Side) -> Mirrored:
    """Give the other side of everything whose name has ``left`` (or ``right``) in it.

    What is not there yet is made; of what is there the places are set to those mirrored.

    Parameters
    ----------
    data : dict
        The case's plain data.
    side : str
        The side that is measured.

    Returns
    -------
    Mirrored

    Raises
    ------
    FlowsimError
        Nothing is called by that side.
    """
    edits: list[Edit] = []
    rows: list[tuple[str, str, str]] = []
    any_there = False
    for kind in _KINDS:
        things = data.get(kind)
        things = things if isinstance(things, list) else []
        names = {thing.get("name"): i for i, thing in enumerate(things) if isinstance(thing, dict)}
        new = 0
        for index, thing in enumerate(things):
            name = thing.get("name") if isinstance(thing, dict) else None
            if not isinstance(name, str) or side not in _sides(name):
                continue
            any_there = True
            other = _flipped(thing, (kind, index))
            there = names.get(other["name"])
            if there is None:
                edits += _made(kind, len(things) + new, other)
                rows.append((f'{kind} "{other["name"]}"', "not there", "new, as the other side"))
                new += 1
            else:
                for path, before, after in _moved((kind, there), things[there], other):
                    edits.append(Edit("set", path, after))
                    rows.append((item(data, path), shown_text(before), shown_text(after)))
    if not any_there:
        raise FlowsimError(
            f'nothing has "{side}" in its name: call what lies on that side "{side}", '
            f'such as "{side} tank"'
        )
    return Mirrored(tuple(edits), tuple(rows))


def _made(kind: str, index: int, thing: dict[str, Any]) -> list[Edit]:
    """Make a thing; sections below it get headings of their own."""
    outlets = thing.pop("outlet", []) if kind == "tank" else []
    keys = [key for key in keys_at((kind, index)) if key in thing]
    ordered = {key: thing[key] for key in [*keys, *(k for k in thing if k not in keys)]}
    made = [Edit("add_table", (kind, index), ordered)]
    return made + [
        Edit("add_table", (kind, index, "outlet", place), outlet)
        for place, outlet in enumerate(outlets)
    ]


def _sides(name: str) -> set[str]:
    return {word.lower() for word in _WORD.findall(name)}


def _other(match: re.Match[str]) -> str:
    word = match[0]
    swapped = "right" if word.lower() == "left" else "left"
    return swapped.capitalize() if word[0].isupper() else swapped


def _flipped(value: Any, path: Path) -> Any:
    """Swap left and right in names, and the sign of what lies to a side."""
    if isinstance(value, dict):
        flipped = {
            _WORD.sub(_other, key) if _is_name(path) else key: _flipped(v, (*path, key))
            for key, v in value.items()
        }
        if path[0] == "line" and len(path) == 2 and "right" in flipped:
            flipped["right"] = _negative(flipped["right"])
        return flipped
    if isinstance(value, list):
        if _is_point(value, path):
            return [_negative(v) if i == 1 else v for i, v in enumerate(value)]
        return [_flipped(v, (*path, i)) for i, v in enumerate(value)]
    return _WORD.sub(_other, value) if isinstance(value, str) else value


def _is_name(path: Path) -> bool:
    return path[-1] in ("ports", "positions")


def _is_point(value: list[Any], path: Path) -> bool:
    field = field_at(path)
    if field is None or len(value) != 3:
        return False
    flat = not any(isinstance(v, list) for v in value)
    return flat and (field.kind == "point" or field.item in ("point", "list"))


def _negative(value: Any) -> Any:
    """Give a length with the other sign, as it is written otherwise."""
    if isinstance(value, dict):
        return {**value, "value": _negative(value["value"])} if "value" in value else value
    text = str(value).strip()
    if not text or re.match(r"[+-]?\s*0+(?:\.0*)?(?![\d./])", text):
        return value
    return text[1:].strip() if text.startswith("-") else f"-{text.removeprefix('+').strip()}"


def _moved(path: Path, before: Any, after: Any) -> list[tuple[Path, Any, Any]]:
    """Find the places of a thing that differ from the mirrored ones."""
    if isinstance(before, dict) and isinstance(after, dict):
        return [m for k in before if k in after for m in _moved((*path, k), before[k], after[k])]
    if isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        return [m for i, (b, a) in enumerate(zip(before, after, strict=True))
                  for m in _moved((*path, i), b, a)]  # fmt: skip
    field = field_at(path)
    is_place = field is not None and isinstance(path[-1], int)
    is_place = is_place and field is not None and (
        field.kind == "point" or field.item in ("point", "list"))  # fmt: skip
    return [] if same(before, after) or not is_place else [(path, before, after)]
