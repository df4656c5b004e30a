"""Everything in a case that refers to a thing by its name, and the edits that give it another."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Literal

from flowsim.files.case.reference_sides import NODES, mirrored_name, mirrors_of, rows_of
from flowsim.files.case.sides import names_side, other_side
from flowsim.files.toml.edits import Edit
from flowsim.files.toml.sheet import EditError
from flowsim.files.toml.spans import KeyPath
from flowsim.files.toml.values import at

ReferenceSort = Literal[
    "tank", "outlet", "line", "node", "drain", "stock", "port", "position", "part"
]

_SEVERAL = " + "
"""Joins the positions of several selectors in a phase."""


@dataclass(frozen=True, slots=True)
class Reference:
    """A place that names a thing: its path, and what stands there with another name in it.

    ``is_key``: the name is the last key of the path, not the value.
    """

    path: KeyPath
    renamed: str
    is_key: bool = False


def sort_of(path: KeyPath) -> ReferenceSort | None:
    """Tell what sort of thing the name at a path belongs to.

    Parameters
    ----------
    path
        Of a key ``name``, or of a port or position.

    Returns
    -------
    str or None
        None where nothing refers to it.
    """
    match path:
        case ("tank", int(), "name"):
            return "tank"
        case ("tank", int(), "outlet", int(), "name"):
            return "outlet"
        case ("line", int(), "name"):
            return "line"
        case (str() as kind, int(), "name") if kind in NODES:
            return "node"
        case ("drain", int(), "name"):
            return "drain"
        case ("stock", int(), "name"):
            return "stock"
        case ("selector", int(), "ports", str()):
            return "port"
        case ("selector", int(), "positions", str()):
            return "position"
        case (*_, "parts", int(), "name"):
            return "part"
    return None


def references(data: dict[str, Any], path: KeyPath, new: str = "") -> tuple[Reference, ...]:
    """Find everything that refers to the thing whose name stands at a path.

    Parameters
    ----------
    data
        The case's plain data, in whatever state.
    path
        As for ``sort_of``.
    new
        Its new name.

    Returns
    -------
    tuple of Reference
        In file order within each sort; the name itself is not among them.
    """
    sort = sort_of(path)
    if sort is None:
        return ()
    old = path[-1] if sort in ("port", "position") else _get(data, path)
    if not isinstance(old, str) or not old:
        return ()
    if sort in ("port", "position"):
        of_selector = _of_port if sort == "port" else _of_position
        return tuple(of_selector(data, path[:2], old, new))
    found = [*_of_thing(data, sort, path, old, new), *_of_mirror(data, sort, path, old, new)]
    return tuple({ref.path: ref for ref in found}.values())


def _of_thing(
    data: dict[str, Any], sort: ReferenceSort, path: KeyPath, old: str, new: str
) -> Iterator[Reference]:
    """Find what names a thing by a name."""
    if sort == "tank":
        yield from _of_tank(data, path, old, new)
    elif sort == "outlet":
        tank = _get(data, (*path[:2], "name"))
        yield from _of_place(data, f"{tank}.{old}", f"{tank}.{new}")
    elif sort in ("node", "drain"):
        yield from _of_place(data, old, new)
    elif sort == "line":
        yield from _of_line(data, old, new)
    elif sort == "stock":
        yield from _of_stock(data, old, new)
    elif sort == "part":
        yield from _of_part(data, path, old, new)


def _of_mirror(
    data: dict[str, Any], sort: ReferenceSort, path: KeyPath, old: str, new: str
) -> Iterator[Reference]:
    """Find what names a thing's mirror, by the key ``mirror`` or by the name that follows."""
    if sort == "outlet":
        tank = _get(data, (*path[:2], "name"))
        for at_ in mirrors_of(data, "outlet", f"{tank}.{old}"):
            yield Reference(at_, f"{tank}.{new}")
        other = mirrored_name(data, "tank", tank) if isinstance(tank, str) else None
        if other is not None:
            names = f"{other}.{other_side(old)}", f"{other}.{other_side(new)}"
            yield from _of_place(data, *names)
        return
    kind = str(path[0])
    if sort not in ("tank", "node", "drain", "line"):
        return
    yield from (Reference(at_, new) for at_ in mirrors_of(data, kind, old))
    other = mirrored_name(data, kind, old)
    if other is not None:
        yield from _of_thing(data, sort, path, other, other_side(new))
    if sort == "tank":
        for _, outlet in rows_of(_get(data, path[:2], {}), "outlet"):
            name = outlet.get("name")
            for at_ in mirrors_of(data, "outlet", f"{old}.{name}"):
                yield Reference(at_, f"{new}.{name}")


def renamed(data: dict[str, Any], path: KeyPath, new: str) -> list[Edit]:
    """Give the edits that give a thing another name wherever it is named.

    Parameters
    ----------
    data
        The case's plain data.
    path
        As for ``sort_of``; a name to which nothing refers is simply set.
    new
        Its new name.

    Returns
    -------
    list of Edit
        The name itself last.

    Raises
    ------
    EditError
        A port or position of that name is there already; or the thing has a mirror whose name
        follows from its own, and the new name tells no side.
    """
    kind, old = str(path[0]), _get(data, path)
    if path[-1] == "name" and len(path) == 3 and isinstance(old, str):
        other = mirrored_name(data, kind, old)
        if other is not None and names_side(old, "left") != names_side(new, "left"):
            raise EditError(f'its mirror is called "{other}"; keep its side in the name')
    edits = [
        Edit("rename", ref.path, new) if ref.is_key else Edit("set", ref.path, ref.renamed)
        for ref in references(data, path, new)
    ]
    if sort_of(path) in ("port", "position"):
        if new in _get(data, path[:-1], {}):
            raise EditError(f'there is already a "{new}"; choose another name')
        return [*edits, Edit("rename", path, new)]
    return [*edits, Edit("set", path, new)]


def referring_to(data: dict[str, Any], path: KeyPath) -> tuple[Reference, ...]:
    """Find what would refer to nothing if the thing at a path were taken out.

    Parameters
    ----------
    data
        The case's plain data.
    path
        Of a tank, outlet, line, junction, tee or selector.

    Returns
    -------
    tuple of Reference
        Without what stands in the thing itself.
    """
    found = references(data, (*path, "name"))
    if path[:1] == ("tank",) and len(path) == 2:
        outlets = _get(data, (*path, "outlet"), [])
        for index in range(len(outlets) if isinstance(outlets, list) else 0):
            found += references(data, (*path, "outlet", index, "name"))
    unique = {ref.path: ref for ref in found if ref.path[: len(path)] != path}
    return tuple(unique.values())


def _get(data: Any, path: KeyPath, missing: Any = None) -> Any:
    try:
        return at(data, path)
    except LookupError:
        return missing


def _of_place(data: dict[str, Any], old: str, new: str) -> Iterator[Reference]:
    for path, line in rows_of(data, "line"):
        for key in ("from", "to"):
            if line.get(key) == old:
                yield Reference((*path, key), new)
    for path, drain in rows_of(data, "drain"):
        if drain.get("reaches") == old:
            yield Reference((*path, "reaches"), new)


def _of_tank(data: dict[str, Any], path: KeyPath, old: str, new: str) -> Iterator[Reference]:
    outlets = _get(data, (*path[:2], "outlet"), [])
    for outlet in outlets if isinstance(outlets, list) else ():
        name = outlet.get("name") if isinstance(outlet, dict) else None
        yield from _of_place(data, f"{old}.{name}", f"{new}.{name}")
    for key, field in (("drain", "reaches"), ("vent_line", "tank"), ("start", "tank")):
        for at_, row in rows_of(data, key):
            if row.get(field) == old:
                yield Reference((*at_, field), new)
    yield from _of_what_if(data, "tank-empty=", old, new)


def _of_line(data: dict[str, Any], old: str, new: str) -> Iterator[Reference]:
    for path, tee in rows_of(data, "tee"):
        run = tee.get("run")
        for index, name in enumerate(run if isinstance(run, list) else ()):
            if name == old:
                yield Reference((*path, "run", index), new)
        for key in ("branch", "common"):
            if tee.get(key) == old:
                yield Reference((*path, key), new)
    for path, selector in rows_of(data, "selector"):
        ports = selector.get("ports")
        for port, line in (ports if isinstance(ports, dict) else {}).items():
            if line == old:
                yield Reference((*path, "ports", port), new)
        if selector.get("outlet") == old:
            yield Reference((*path, "outlet"), new)
    for key, field in (("drain", "reaches"), ("crossing", "line")):
        for path, row in rows_of(data, key):
            if row.get(field) == old:
                yield Reference((*path, field), new)


def _of_stock(data: dict[str, Any], old: str, new: str) -> Iterator[Reference]:
    for path, line in rows_of(data, "line"):
        if line.get("stock") == old:
            yield Reference((*path, "stock"), new)
    usual = data.get("defaults")
    if isinstance(usual, dict) and usual.get("stock") == old:
        yield Reference(("defaults", "stock"), new)


def _of_part(data: dict[str, Any], path: KeyPath, old: str, new: str) -> Iterator[Reference]:
    tank = _get(data, (*path[:2], "name")) if path[0] == "tank" else None
    outlet = f"{tank}.{_get(data, (*path[:4], 'name'))}"
    for at_, line in rows_of(data, "line"):
        if at_ == path[:2] or outlet in (line.get("from"), line.get("to")):
            for place, corner in rows_of(line, "corners"):
                if corner.get("fitting") == old:
                    yield Reference((*at_, *place, "fitting"), new)
    words = data.get("what_if")
    for index, word in enumerate(words if isinstance(words, list) else ()):
        if isinstance(word, str) and word.partition("=")[0].strip() == old and "=" in word:
            yield Reference(("what_if", index), f"{new}={word.partition('=')[2]}")


def _of_what_if(data: dict[str, Any], lead: str, old: str, new: str) -> Iterator[Reference]:
    words = data.get("what_if")
    for index, word in enumerate(words if isinstance(words, list) else ()):
        if isinstance(word, str) and re.sub(r"\s*=\s*", "=", word.strip()) == lead + old:
            yield Reference(("what_if", index), lead + new)


def _of_port(data: dict[str, Any], selector: KeyPath, old: str, new: str) -> Iterator[Reference]:
    positions = _get(data, (*selector, "positions"), {})
    for name, ports in (positions if isinstance(positions, dict) else {}).items():
        for index, port in enumerate(ports if isinstance(ports, list) else ()):
            if port == old:
                yield Reference((*selector, "positions", name, index), new)


def _of_position(
    data: dict[str, Any], selector: KeyPath, old: str, new: str
) -> Iterator[Reference]:
    judged = _get(data, (*selector, "judged"), [])
    for index, name in enumerate(judged if isinstance(judged, list) else ()):
        if name == old:
            yield Reference((*selector, "judged", index), new)
    place = selector[1]
    for path, phase in rows_of(data, "phase"):
        words = phase.get("selector")
        if not isinstance(words, str) or not isinstance(place, int):
            continue
        each = words.split(_SEVERAL)
        if place < len(each) and each[place] == old:
            each[place] = new
            yield Reference((*path, "selector"), _SEVERAL.join(each))
