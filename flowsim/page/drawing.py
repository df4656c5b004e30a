"""What the page draws of a case, finished or not: places, courses and tanks, in mm.

The script turns and projects it; nothing is worked out there.
"""

import math

from flowsim.files.case.draft import Draft
from flowsim.files.case.names import ENGINE
from flowsim.files.case.places import point_of
from flowsim.files.toml.spans import KeyPath
from flowsim.page.wire import Wire
from flowsim.system.points import Point
from flowsim.system.tanks import Solid


def drawing(draft: Draft) -> Wire:
    """Give places, lines and tanks as far as they are known.

    Parameters
    ----------
    draft : Draft

    Returns
    -------
    dict
        ``places`` (name, kind, path, at), ``lines`` (name, path, course, known), ``tanks`` (name,
        path, corners, outlets); coordinates are [aft, right, up] in mm.
    """
    if draft.model is None:
        return {"places": [], "lines": [], "tanks": []}
    return {"places": _places(draft), "lines": _lines(draft), "tanks": _tanks(draft)}


def _mm(point: Point) -> list[float]:
    return [round(1000.0 * axis, 1) for axis in point]


def _is_known(point: Point | None) -> bool:
    return point is not None and all(math.isfinite(axis) for axis in point)


def _places(draft: Draft) -> list[Wire]:
    """List every place with a name, and the corners of the lines under the line's name."""
    model = draft.model
    assert model is not None
    found: list[tuple[str, str, KeyPath]] = [(ENGINE, "engine", ("engine", "inlet_at"))]
    for number, tank in enumerate(model.tank):
        for place, outlet in enumerate(tank.outlet):
            path: KeyPath = ("tank", number, "outlet", place, "at")
            found.append((f"{tank.name}.{outlet.name}", "outlet", path))
    named = (("junction", [node.name for node in model.junction]),
             ("tee", [node.name for node in model.tee]),
             ("selector", [node.name for node in model.selector]))  # fmt: skip
    for kind, names in named:
        found += [(name, kind, (kind, number, "at")) for number, name in enumerate(names)]
    made = []
    for name, kind, path in found:
        point = draft.places.get(name)
        if name and point is not None and _is_known(point):
            made.append({"name": name, "kind": kind, "path": path, "at": _mm(point)})
    return made


def _lines(draft: Draft) -> list[Wire]:
    """Give the course of every line as far as its points can be read."""
    assert draft.model is not None
    made = []
    for number, line in enumerate(draft.model.line):
        ends = (draft.places.get(line.start), draft.places.get(line.to))
        via = [point_of(given) for given in line.via or ()]
        course = [point for point in (ends[0], *via, ends[1]) if point is not None]
        course = [point for point in course if _is_known(point)]
        corners = [
            {"path": ("line", number, "via", place), "at": _mm(point)}
            for place, point in enumerate(via)
            if _is_known(point)
        ]
        if course:
            known = bool(line.via) or bool(line.straight)
            known = known and len(course) == len(via) + 2
            made.append(
                {
                    "name": line.name,
                    "path": ("line", number),
                    "course": [_mm(point) for point in course],
                    "known": known,
                    "closed": bool(line.closed),
                    "corners": corners,
                }
            )
    return made


def _tanks(draft: Draft) -> list[Wire]:
    assert draft.model is not None
    made = []
    for number, (section, tank) in enumerate(zip(draft.model.tank, draft.tanks, strict=False)):
        corners: list[list[float]] = []
        if tank is not None and isinstance(tank.shape, Solid):
            corners = [_mm(corner) for corner in tank.shape.corners if _is_known(corner)]
        made.append({"name": section.name, "path": ("tank", number), "corners": corners})
    return made
