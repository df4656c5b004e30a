"""Tilted surfaces and twisted sides against formulas of mensuration; see source.toml."""

import math

import numpy as np
import pytest

from flowsim.physics.tank import solids
from flowsim.physics.tank.volume import surface_elevation, volume_below
from flowsim.system.points import Point


def rectangle(length: float, width: float, waterline: float) -> list[Point]:
    half, side = 0.5 * length, 0.5 * width
    return [
        Point(x, y, waterline)
        for x, y in ((-half, -side), (half, -side), (half, side), (-half, side))
    ]


def test_truncated_triangular_prism_is_a_tank_under_a_tilted_surface() -> None:
    # Board examination, April 1996: sides AB 10, BC 9, CA 12 ft; uprights 8.6, 7.1, 5.5 ft at
    # A, B, C: 311 ft3. The slanting top is the fuel surface in a tank that is tall enough.
    x = (10.0**2 + 12.0**2 - 9.0**2) / 20.0
    base = np.array([[0.0, 0.0], [10.0, 0.0], [x, math.sqrt(12.0**2 - x**2)]])
    uprights = np.array([8.6, 7.1, 5.5])
    tank = solids.lofted([Point(*p, 0.0) for p in base], [Point(*p, 20.0) for p in base])
    # Plane a x + b y + z = s through the three tops; gravity is against its normal.
    a, b, s = np.linalg.solve(np.column_stack([-base, np.ones(3)]), uprights)
    up = np.array([a, b, 1.0]) / math.sqrt(a**2 + b**2 + 1.0)
    surface = np.array([s / math.sqrt(a**2 + b**2 + 1.0)])
    quantity = volume_below(tank, -up[None, :], surface)
    assert quantity == pytest.approx([311.0], abs=0.5)
    # Exact: base area times the mean upright (CRC Standard Mathematical Tables, from memory).
    area = 0.5 * 10.0 * base[2, 1]
    assert quantity == pytest.approx([area * uprights.mean()], rel=1e-13)
    assert surface_elevation(tank, -up[None, :], quantity) == pytest.approx(surface, rel=1e-12)


@pytest.mark.parametrize("turn", [0.0, 20.0, 45.0])
def test_prismatoid_formula(turn: float) -> None:
    # V = h/6 (A1 + 4 M + A2), with the top turned against the base: ruled, twisted sides.
    base, angle = rectangle(3.0, 2.0, 0.0), math.radians(turn)
    top = [
        Point(
            0.5 * (p.station * math.cos(angle) - p.buttline * math.sin(angle)),
            0.5 * (p.station * math.sin(angle) + p.buttline * math.cos(angle)),
            1.2,
        )
        for p in base
    ]
    middle = [(0.5 * (p[0] + q[0]), 0.5 * (p[1] + q[1])) for p, q in zip(base, top, strict=True)]
    pairs = zip(middle, middle[1:] + middle[:1], strict=True)
    area = 0.5 * sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs)
    expected = 1.2 / 6.0 * (6.0 + 4.0 * area + 1.5)
    assert solids.capacity(solids.lofted(base, top)) == pytest.approx(expected, rel=1e-13)
