"""The other side with right and left swapped: shown first, then made in one step.

What the other side of a name or of a place is, the reader knows (``files.case_sides``).
"""

from dataclasses import dataclass
from typing import Any, Literal

from flowsim.errors import FlowsimError
from flowsim.files.case.form import field_at, keys_at
from flowsim.files.case.mirror import KEY, MIRRORED
from flowsim.files.case.sides import named, names_side, other_side, turned
from flowsim.files.toml.edits import Edit
from flowsim.files.toml.spans import KeyPath
from flowsim.files.toml.values import same
from flowsim.page.changes import item
from flowsim.page.typed import shown_text

Side = Literal["left", "right"]


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
        Nothing is called by that side, or the file has the reader do it already.
    """
    if isinstance(data.get("defaults"), dict) and KEY in data["defaults"]:
        raise FlowsimError(
            "[defaults] says mirror: the other side is made from the written one whenever the case "
            "is read, so nothing is to be copied"
        )
    edits: list[Edit] = []
    rows: list[tuple[str, str, str]] = []
    any_there = False
    for kind in MIRRORED:
        things = data.get(kind)
        things = things if isinstance(things, list) else []
        names = {thing.get("name"): i for i, thing in enumerate(things) if isinstance(thing, dict)}
        new = 0
        for thing in things:
            name = thing.get("name") if isinstance(thing, dict) else None
            if not isinstance(name, str) or not names_side(name, side):
                continue
            any_there = True
            other = _flipped(thing)
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


def _flipped(thing: dict[str, Any]) -> dict[str, Any]:
    """Give a thing as it is on the other side: places turned, names exchanged."""
    made = {key: turned(key, value) for key, value in thing.items()}
    return {
        key: named(key, value, lambda _key, name: other_side(name)) for key, value in made.items()
    }


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


def _moved(path: KeyPath, before: Any, after: Any) -> list[tuple[KeyPath, Any, Any]]:
    """Find the places of a thing that differ from the mirrored ones."""
    if isinstance(before, dict) and isinstance(after, dict) and "value" not in before:
        return [m for k in before if k in after for m in _moved((*path, k), before[k], after[k])]
    if isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        pairs = enumerate(zip(before, after, strict=True))
        return [m for i, (b, a) in pairs for m in _moved((*path, i), b, a)]
    field = field_at(path)
    if field is None or not isinstance(path[-1], int) or same(before, after):
        return []
    is_place = field.kind == "point" or field.item in ("point", "list")
    return [(path, before, after)] if is_place else []
