"""The measuring sheet: the places of each line from its start through its corners to its end."""

from typing import Any

from flowsim.files.case.draft import Draft
from flowsim.files.case.names import ENGINE
from flowsim.files.toml.spans import KeyPath
from flowsim.files.toml.values import at
from flowsim.page.wire import Wire


def measuring_sheet(draft: Draft) -> list[Wire]:
    """Give the blocks of the sheet, one for each line.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    list of dict
        ``line`` (its name), ``path``, ``rows``: each with ``place``, the ``path`` of its point,
        ``role`` (start, corner, end), and ``first``: the block in which a shared place is entered,
        None where it is entered here. A place reached by rise and aft has ``found`` (in the unit of
        the drawing, mm), to be shown in grey.
    """
    if not isinstance(draft.data, dict):
        return []
    lines = draft.data.get("line")
    seen: dict[KeyPath, str] = {}
    blocks = []
    for number, line in enumerate(lines if isinstance(lines, list) else ()):
        if isinstance(line, dict):
            blocks.append(_block(draft, number, line, seen))
    return blocks


def place_paths(data: dict[str, Any]) -> dict[str, KeyPath]:
    """Give the path of the point of every place at which a line may begin or end, by its name."""
    found: dict[str, KeyPath] = {ENGINE: ("engine", "inlet_at")}
    for number, tank in _tables(data, "tank"):
        outlets = tank.get("outlet")
        for place, outlet in enumerate(outlets if isinstance(outlets, list) else ()):
            if isinstance(outlet, dict):
                name = f"{tank.get('name')}.{outlet.get('name')}"
                found.setdefault(name, ("tank", number, "outlet", place, "at"))
    for kind in ("junction", "tee", "selector"):
        for number, node in _tables(data, kind):
            if isinstance(node.get("name"), str):
                found.setdefault(node["name"], (kind, number, "at"))
    return found


def _tables(data: dict[str, Any], key: str) -> list[tuple[int, dict[str, Any]]]:
    rows = data.get(key)
    return [(i, row) for i, row in enumerate(rows if isinstance(rows, list) else ())
            if isinstance(row, dict)]  # fmt: skip


def _block(draft: Draft, number: int, line: Wire, seen: dict[KeyPath, str]) -> Wire:
    assert draft.data is not None
    paths = place_paths(draft.data)
    name = str(line.get("name", f"line {number + 1}"))
    rows = [_end(draft, line.get("from"), "start", paths, seen, name)]
    via = line.get("via")
    for place in range(len(via) if isinstance(via, list) else 0):
        path = ("line", number, "via", place)
        rows.append({"place": f"corner {place + 1}", "path": path, "role": "corner", "first": None})
    rows.append(_end(draft, line.get("to"), "end", paths, seen, name))
    return {"line": name, "path": ("line", number), "rows": rows}


def _end(
    draft: Draft,
    place: object,
    role: str,
    paths: dict[str, KeyPath],
    seen: dict[KeyPath, str],
    line: str,
) -> Wire:
    """Give the row of a line's end; the place may not be known yet."""
    path = paths.get(place) if isinstance(place, str) else None
    if path is None:
        unknown: Wire = {"place": str(place or ""), "path": None, "role": role, "first": None}
        made = draft.places.get(str(place))
        return unknown if made is None else {**unknown, "found": [round(1000 * x, 1) for x in made]}
    row: Wire = {"place": place, "path": path, "role": role, "first": seen.get(path)}
    seen.setdefault(path, line)
    try:
        at(draft.data, path)
    except LookupError:
        found = draft.places.get(str(place))
        if found is not None:
            row["found"] = [round(1000.0 * axis, 1) for axis in found]
    return row
