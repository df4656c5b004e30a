"""Capacities and partly filled tanks against worked examples in print (see sources.toml)."""

import math

import numpy as np
import pytest

from flowsim.physics import solids
from flowsim.physics.tank_volume import surface_elevation, volume_below
from flowsim.system.points import Point

CUBIC_INCHES_PER_CUBIC_FOOT = 12.0**3
LEVEL = np.array([[0.0, 0.0, -1.0]])


def rectangle(length: float, width: float, waterline: float) -> list[Point]:
    half, side = 0.5 * length, 0.5 * width
    return [
        Point(x, y, waterline)
        for x, y in ((-half, -side), (half, -side), (half, side), (-half, side))
    ]


def regular(count: int, side: float, waterline: float) -> list[Point]:
    radius = 0.5 * side / math.sin(math.pi / count)
    turns = [2.0 * math.pi * k / count for k in range(count)]
    return [Point(radius * math.cos(t), radius * math.sin(t), waterline) for t in turns]


# --- Machinery's Handbook, 31st edition, pages 88 and 89 (read) ----------


def test_rectangular_prism() -> None:
    # a = 6 in, b = 5 in, c = 4 in: 120 in3.
    assert solids.capacity(solids.box(Point(0, 0, 0), Point(6, 5, 4))) == pytest.approx(120.0)


def test_height_to_which_a_box_is_filled() -> None:
    # A box 4 ft long and 2.5 ft wide that is to hold 25 ft3: height 2.5 ft. Here a taller one.
    tank = solids.box(Point(0, 0, 0), Point(4.0, 2.5, 6.0))
    assert surface_elevation(tank, LEVEL, np.array([25.0])) == pytest.approx([2.5], rel=1e-13)


def test_hexagonal_prism() -> None:
    # Side 7.5 cm, 25 cm high: 3653.5 cm3, from the multiplier 2.598 (2.598076 in full: +3e-5).
    tank = solids.lofted(regular(6, 7.5, 0.0), regular(6, 7.5, 25.0))
    assert solids.capacity(tank) == pytest.approx(3653.5, rel=5e-5)


def test_square_pyramid() -> None:
    # Base 3 ft square, height 5 ft: 15 ft3.
    tank = solids.cells([[*rectangle(3.0, 3.0, 0.0), Point(0, 0, 5.0)]])
    assert solids.capacity(tank) == pytest.approx(15.0, rel=1e-13)


def test_frustum_of_pyramid() -> None:
    # Base 2 x 3 ft, top 1 x 1.5 ft, 4.5 ft high: 15.75 ft3.
    tank = solids.lofted(rectangle(3.0, 2.0, 0.0), rectangle(1.5, 1.0, 4.5))
    assert solids.capacity(tank) == pytest.approx(15.75, rel=1e-13)


def test_frustum_is_a_pyramid_filled_to_a_level() -> None:
    # The same example as a surface: the whole pyramid is 9 ft high, filled to 4.5 ft.
    tank = solids.cells([[*rectangle(3.0, 2.0, 0.0), Point(0, 0, 9.0)]])
    assert volume_below(tank, LEVEL, np.array([4.5])) == pytest.approx([15.75], rel=1e-13)
    assert surface_elevation(tank, LEVEL, np.array([15.75])) == pytest.approx([4.5], rel=1e-12)


def test_wedge() -> None:
    # Base 4 x 3 in, edge 5 in, height 4.5 in: 29.25 in3.
    edge = [Point(-2.5, 0, 4.5), Point(2.5, 0, 4.5)]
    tank = solids.cells([[*rectangle(4.0, 3.0, 0.0), *edge]])
    assert solids.capacity(tank) == pytest.approx(29.25, rel=1e-13)


# --- Griffiths, The Artillerist's Manual (public transcription) ----------


def test_pyramid_of_the_manual() -> None:
    # Square base of side 30, height 25: 7500.
    tank = solids.cells([[*rectangle(30.0, 30.0, 0.0), Point(0, 0, 25.0)]])
    assert solids.capacity(tank) == pytest.approx(7500.0, rel=1e-13)


def test_timber_of_the_manual() -> None:
    # Square ends of 15 and 6 in, 24 ft long: 33 696 in3 or 19.5 ft3.
    tank = solids.lofted(rectangle(15.0, 15.0, 0.0), rectangle(6.0, 6.0, 288.0))
    assert solids.capacity(tank) == pytest.approx(33696.0, rel=1e-13)
    assert solids.capacity(tank) / CUBIC_INCHES_PER_CUBIC_FOOT == pytest.approx(19.5, rel=1e-13)


# --- Early mensuration textbook, Problems VIII and IX (public transcription) ----------


def test_log_of_wood() -> None:
    # Square ends of 10 and 15 in, 18 ft long: 19.7916 ft3.
    tank = solids.lofted(rectangle(15.0, 15.0, 0.0), rectangle(10.0, 10.0, 216.0))
    assert solids.capacity(tank) / CUBIC_INCHES_PER_CUBIC_FOOT == pytest.approx(19.7916, abs=1e-4)


@pytest.mark.parametrize(
    ("count", "height", "greater", "less", "printed"),
    [(6, 12.0, 3.0, 2.0, 197.453472), (8, 20.0, 10.0, 6.0, 6309.14431)],
)
def test_frustum_of_a_regular_pyramid(
    count: int, height: float, greater: float, less: float, printed: float
) -> None:
    tank = solids.lofted(regular(count, greater, 0.0), regular(count, less, height))
    assert solids.capacity(tank) == pytest.approx(printed, rel=3e-6)


def test_prismoid_by_the_rule() -> None:
    # Problem IX, example I: 20 x 16 ft below, 12 x 10 ft above, 40 ft high. The text gives the
    # data and the rule (ends plus four times the middle section, times a sixth of the height);
    # the middle section is 16 x 13 ft. Not similar rectangles: no pyramid could be made of it.
    rule = 40.0 / 6.0 * (20.0 * 16.0 + 12.0 * 10.0 + 4.0 * 16.0 * 13.0)
    tank = solids.lofted(rectangle(20.0, 16.0, 0.0), rectangle(12.0, 10.0, 40.0))
    assert solids.capacity(tank) == pytest.approx(rule, rel=1e-13)


# --- Truncated prism: a tilted surface ----------


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


# --- Prismatoid formula, CRC Standard Mathematical Tables, 28th ed., pp 128, 132 ----------


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
