"""Worked examples of mensuration, built as tanks: capacity, filling, a tilted surface.

A case works in the unit its source prints; volumes scale with the cube of any unit of length.
"""

import math
from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank import solids
from flowsim.physics.tank.volume import surface_elevation, volume_below
from flowsim.system.points import Point
from tests.support.published_units import UNITS, unit

Table = Mapping[str, Any]
LEVEL = np.array([[0.0, 0.0, -1.0]])


def solid_answers(cases: list[Table]) -> Iterator[dict[str, Any]]:
    """Give every answer of every case."""
    for case in cases:
        tank = _solid(case)
        for answer in case["answer"]:
            value = _answer(tank, case, answer)
            yield {
                "label": case["example"],
                "quantity": answer["of"],
                "published": answer["published"],
                "computed": value * UNITS[unit(answer["published"])],
                **{key: answer[key] for key in ("tolerance", "how") if key in answer},
            }


def _solid(case: Table) -> Any:
    base, height = _outline(case["base"], 0.0), float(case["height"])
    if "apex" in case:
        return solids.cells([[*base, Point(0.0, 0.0, height)]])
    if "edge" in case:
        half = 0.5 * case["edge"]
        return solids.cells([[*base, Point(-half, 0.0, height), Point(half, 0.0, height)]])
    return solids.lofted(base, _outline(case.get("top", case["base"]), height))


def _outline(spec: Table, waterline: float) -> list[Point]:
    if "rectangle" in spec:
        half, side = 0.5 * spec["rectangle"][0], 0.5 * spec["rectangle"][1]
        corners = [(-half, -side), (half, -side), (half, side), (-half, side)]
    elif "regular" in spec:
        count, length = spec["regular"]
        radius = 0.5 * length / math.sin(math.pi / count)
        turns = [2.0 * math.pi * k / count for k in range(count)]
        corners = [(radius * math.cos(t), radius * math.sin(t)) for t in turns]
    else:
        corners = _triangle(*spec["triangle"])
    return [Point(x, y, waterline) for x, y in corners]


def _triangle(ab: float, bc: float, ca: float) -> list[tuple[float, float]]:
    """Corners A, B, C of a triangle from its sides."""
    x = (ab**2 + ca**2 - bc**2) / (2.0 * ab)
    return [(0.0, 0.0), (ab, 0.0), (x, math.sqrt(ca**2 - x**2))]


def _answer(tank: Any, case: Table, answer: Table) -> float:
    of = answer["of"]
    if of == "capacity":
        return float(solids.capacity(tank))
    if of == "volume below a level":
        return float(volume_below(tank, LEVEL, np.array([float(answer["level"])]))[0])
    if of == "level of a volume":
        return float(surface_elevation(tank, LEVEL, np.array([float(answer["volume"])]))[0])
    up, surface = _tilted(case, answer["uprights"])
    return float(volume_below(tank, -up[None, :], surface)[0])


def _tilted(case: Table, uprights: list[float]) -> tuple[FloatArray, FloatArray]:
    """Normal and height of the surface through the tops of uprights on the base's corners."""
    base = np.array([(p.station, p.buttline) for p in _outline(case["base"], 0.0)])
    a, b, s = np.linalg.solve(np.column_stack([-base, np.ones(3)]), uprights)
    size = math.sqrt(a**2 + b**2 + 1.0)
    return np.array([a, b, 1.0]) / size, np.array([s / size])
