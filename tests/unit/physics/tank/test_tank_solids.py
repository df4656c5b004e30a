"""Builders of solids: exact capacities, what is refused and in which words, points inside."""

import itertools
import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank import solids
from flowsim.physics.tank.section_polygons import crossing_edges, triangulate
from flowsim.physics.tank.solid_surface import arrays_of
from flowsim.system.points import Point
from flowsim.system.tanks import Solid

UNIT = solids.box(Point(0, 0, 0), Point(1, 1, 1))
SQUARE = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]


def flat(outline: list[tuple[float, float]], buttline: float) -> list[Point]:
    return [Point(x, buttline, z) for x, z in outline]


def brick(low: tuple[float, float, float], high: tuple[float, float, float]) -> list[Point]:
    return [Point(*p) for p in itertools.product(*zip(low, high, strict=True))]


# --- capacity ----------------------------------------------------------------------------------


def test_box() -> None:
    tank = solids.box(Point(2.0, -1.0, 1.0), Point(2.5, 0.5, 1.2), fill_factor=0.9)
    assert solids.capacity(tank) == pytest.approx(0.5 * 1.5 * 0.2 * 0.9, rel=1e-14)
    assert solids.extent(tank) == (Point(2.0, -1.0, 1.0), Point(2.5, 0.5, 1.2))


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("tip_at", [2.0, -2.0])
def test_lofted_turns_outward_whichever_way_it_is_given(backwards: bool, tip_at: float) -> None:
    outline = SQUARE[::-1] if backwards else SQUARE
    tank = solids.lofted(flat(outline, 0.0), flat(outline, tip_at))
    assert solids.capacity(tank) == pytest.approx(2.0, rel=1e-14)
    assert len(tank.triangles) == 12


def test_tapered_bay_is_a_frustum() -> None:
    tip = [(0.25 + 0.5 * x, 0.1 + 0.5 * z) for x, z in SQUARE]
    tank = solids.lofted(flat(SQUARE, 0.0), flat(tip, 3.0))
    assert solids.capacity(tank) == pytest.approx(3.0 / 3.0 * (1.0 + 0.25 + 0.5), rel=1e-14)


def twisted() -> tuple[list[Point], list[Point]]:
    """Sections twisted and stretched against each other: all four sides are curved."""
    root = [(0.0, 0.0), (0.9, 0.05), (0.8, 0.3), (0.1, 0.2)]
    tip = [(0.2, 0.15), (0.7, 0.02), (0.75, 0.2), (0.25, 0.35)]
    return flat(root, 0.0), flat(tip, 1.5)


def area(points: list[tuple[float, float]]) -> float:
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return abs(0.5 * sum(x1 * z2 - x2 * z1 for (x1, z1), (x2, z2) in pairs))


def test_twisted_bay_holds_what_the_prismoidal_rule_says() -> None:
    # Ruled sides give a section area that is quadratic in the span, so the rule is exact.
    root, tip = twisted()
    ends = [[(p.station, p.waterline) for p in section] for section in (root, tip)]
    middle = [(0.5 * (a + c), 0.5 * (b + d)) for (a, b), (c, d) in zip(*ends, strict=True)]
    rule = 1.5 / 6.0 * (area(ends[0]) + 4.0 * area(middle) + area(ends[1]))
    assert solids.capacity(solids.lofted(root, tip)) == pytest.approx(rule, rel=1e-13)


def test_order_of_points_and_mirroring_do_not_change_a_twisted_bay() -> None:
    root, tip = twisted()
    wanted = solids.capacity(solids.lofted(root, tip))
    for turn in range(4):
        turned = [section[turn:] + section[:turn] for section in (root, tip)]
        assert solids.capacity(solids.lofted(*turned)) == pytest.approx(wanted, rel=1e-13)
    assert solids.capacity(solids.lofted(tip[::-1], root[::-1])) == pytest.approx(wanted, rel=1e-13)
    left = [[Point(x, -y, z) for x, y, z in section] for section in (root, tip)]
    assert solids.capacity(solids.lofted(*left)) == pytest.approx(wanted, rel=1e-13)


@pytest.mark.parametrize("middle", [0.5, 0.5 + 1e-12])
def test_points_in_the_middle_of_a_straight_side(middle: float) -> None:
    outline = [
        (0.0, 0.0),
        (0.3, 0.0),
        (0.6, 0.0),
        (1.0, 0.0),
        (1.0, middle),
        (1.0, 1.0),
        (0.0, 1.0),
    ]
    tank = solids.lofted(flat(outline, 0.0), flat(outline, 1.0))
    assert solids.capacity(tank) == pytest.approx(1.0, rel=1e-12)


def test_comb_shaped_section() -> None:
    # Deep notches: ear clipping must not cut across them.
    comb = [(0.0, 1.0), (0.0, 0.0)]
    for tooth in range(4):
        comb += [(2.0 * tooth + 1.0, 0.0), (2.0 * tooth + 1.0, 0.9), (2.0 * tooth + 2.0, 0.9)]
        comb += [(2.0 * tooth + 2.0, 0.0)] if tooth < 3 else []
    comb += [(8.0, 1.0)]
    tank = solids.lofted(flat(comb, 0.0), flat(comb, 1.0))
    assert solids.capacity(tank) == pytest.approx(area(comb), rel=1e-13)
    assert crossing_edges(np.array(comb)) is None
    triangles = triangulate(np.array(comb))
    assert len(triangles) == len(comb) - 2


def test_datum_far_away_costs_nothing() -> None:
    far = solids.box(Point(1000.0, 1000.0, 1000.0), Point(1000.5, 1001.0, 1000.25))
    assert solids.capacity(far) == pytest.approx(0.125, rel=1e-14)


def test_cells_sharing_a_wall() -> None:
    tank = solids.cells([brick((0, 0, 0), (1, 1, 1)), brick((1, 0, 0), (1.5, 1, 1))])
    assert solids.capacity(tank) == pytest.approx(1.5, rel=1e-13)
    assert solids.extent(tank) == (Point(0, 0, 0), Point(1.5, 1, 1))


def test_wedge_cell() -> None:
    tank = solids.cells([[*brick((0, 0, 0), (1, 2, 0))[::2], Point(0, 0, 0.3), Point(0, 2, 0.3)]])
    assert solids.capacity(tank) == pytest.approx(0.5 * 0.3 * 2.0, rel=1e-13)


# --- refused -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "words"),
    [
        ((0, 0, 0), (1, 1, 0), "waterline must rise"),
        ((0, 2, 0), (1, 1, 1), "buttline must rise"),
        ((0, 0, 0), (math.nan, 1, 1), "station must rise"),
        ((0, 0, 0), (math.inf, 1, 1), "not a number"),
    ],
)
def test_bad_box(low: tuple[float, ...], high: tuple[float, ...], words: str) -> None:
    with pytest.raises(DomainError, match=words):
        solids.box(Point(*low), Point(*high))


@pytest.mark.parametrize("fill_factor", [0.0, -0.5, 1.01, math.nan])
def test_bad_fill_factor(fill_factor: float) -> None:
    with pytest.raises(DomainError, match="fill factor"):
        solids.box(Point(0, 0, 0), Point(1, 1, 1), fill_factor)


BOW_TIE = [(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)]
LOP_SIDED_BOW = [(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 0.3)]
SPIKE = [(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (1.0, 1e-12), (1.0, 1.0), (0.0, 1.0)]
TOUCHING_SIDE = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.5, 0.0), (0.0, 1.0)]
LINE = [(0.0, 0.0), (0.4, 0.0), (1.0, 0.0)]
TWICE = [(0.0, 0.0), (1.0, 0.0), (1.0, 0.0), (0.0, 1.0)]


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        (BOW_TIE, "crosses itself"),
        (LOP_SIDED_BOW, r"sides 1 and 3|sides 2 and 4|sides \d and \d"),
        (SPIKE, "same point|crosses or touches"),
        (TOUCHING_SIDE, "crosses or touches itself"),
        (LINE, "no area"),
        (TWICE, "points 2 and 3 are the same point"),
        (SQUARE[:2], "at least three points"),
        ([(0.0, 0.0), (1.0, math.nan), (1.0, 1.0)], "not a number"),
    ],
)
def test_bad_section(outline: list[tuple[float, float]], words: str) -> None:
    with pytest.raises(DomainError, match=words):
        solids.lofted(flat(outline, 0.0), flat(outline, 1.0))


def test_bad_pairs_of_sections() -> None:
    root = flat(SQUARE, 0.0)
    with pytest.raises(DomainError, match="root section has 4 points and the tip section 3"):
        solids.lofted(root, flat(SQUARE[:3], 1.0))
    with pytest.raises(DomainError, match="opposite ways"):
        solids.lofted(root, flat(SQUARE[::-1], 1.0))
    with pytest.raises(DomainError, match="touch or cut through"):
        solids.lofted(root, root)
    with pytest.raises(DomainError, match="touch or cut through"):
        solids.lofted(root, [Point(x, 0.3 - 0.6 * x, z) for x, z in SQUARE])
    with pytest.raises(DomainError, match="half of the way"):
        solids.lofted(root, flat(SQUARE[2:] + SQUARE[:2], 1.0))
    with pytest.raises(DomainError, match="mm off the plane"):
        solids.lofted([*root[:3], Point(0.0, 0.3, 1.0)], flat(SQUARE, 1.0))


def test_bad_cells() -> None:
    good = brick((0, 0, 0), (1, 1, 1))
    with pytest.raises(DomainError, match="at least one cell"):
        solids.cells([])
    with pytest.raises(DomainError, match="cell 2: needs at least four"):
        solids.cells([good, good[:3]])
    with pytest.raises(DomainError, match="cell 1: the corners lie in one plane"):
        solids.cells([good[:4]])
    with pytest.raises(DomainError, match=r"cell 1: corner 9 lies 100\.0 mm inside"):
        solids.cells([[*good, Point(0.1, 0.5, 0.5)]])
    with pytest.raises(DomainError, match="all of them numbers"):
        solids.cells([[*good[:7], Point(1, 1, math.nan)]])


@pytest.mark.parametrize(
    ("other", "litres"),
    [
        (brick((0.5, 0.5, 0.5), (1.5, 1.5, 1.5)), "125"),
        (brick((0.999, 0, 0), (2, 1, 1)), "1"),
        (brick((0.25, 0.25, 0.25), (0.75, 0.75, 0.75)), "125"),
        (brick((0, 0, 0), (1, 1, 1)), r"1e\+03"),
    ],
)
def test_overlapping_cells(other: list[Point], litres: str) -> None:
    apart = brick((5, 5, 5), (6, 6, 6))
    with pytest.raises(DomainError, match=f"cells 2 and 3 overlap by {litres} litre"):
        solids.cells([apart, brick((0, 0, 0), (1, 1, 1)), other])


def test_cells_that_only_touch_do_not_overlap() -> None:
    middle = brick((0, 0, 0), (1, 1, 1))
    for other in ((1, 0, 0), (1, 1, 0), (1, 1, 1)):
        high = (other[0] + 1, other[1] + 1, other[2] + 1)
        assert solids.capacity(solids.cells([middle, brick(other, high)])) == pytest.approx(2.0)
    # Skew walls: bounding boxes overlap, bodies share a face only.
    left = [Point(0, y, z) for y in (0, 1) for z in (0, 1)] + [
        Point(1 + 0.5 * z, y, z) for y in (0, 1) for z in (0, 1)
    ]
    right = [Point(3, y, z) for y in (0, 1) for z in (0, 1)] + left[4:]
    assert solids.capacity(solids.cells([left, right])) == pytest.approx(3.0, rel=1e-13)


def test_hand_made_solid_is_checked() -> None:
    flipped = tuple((c, b, a) for a, b, c in UNIT.triangles)
    with pytest.raises(DomainError, match="inside out"):
        solids.capacity(Solid(corners=UNIT.corners, triangles=flipped))
    with pytest.raises(DomainError, match="not closed"):
        solids.capacity(Solid(corners=UNIT.corners, triangles=UNIT.triangles[:-1]))
    one_turned = (flipped[0], *UNIT.triangles[1:])
    with pytest.raises(DomainError, match="not closed"):
        solids.capacity(Solid(corners=UNIT.corners, triangles=one_turned))
    with pytest.raises(DomainError, match="own corners"):
        solids.capacity(Solid(corners=UNIT.corners[:7], triangles=UNIT.triangles))
    with pytest.raises(DomainError, match="own corners"):
        solids.capacity(Solid(corners=UNIT.corners, triangles=()))
    level = tuple(Point(x, y, 0.0) for x, y, _ in UNIT.corners)
    with pytest.raises(DomainError, match="flat"):
        solids.capacity(Solid(corners=level, triangles=UNIT.triangles))


def test_unused_corner_is_ignored() -> None:
    more = Solid(
        corners=(Point(-9, -9, -9), *UNIT.corners),
        triangles=tuple((a + 1, b + 1, c + 1) for a, b, c in UNIT.triangles),
    )
    assert solids.extent(more) == solids.extent(UNIT)
    assert len(arrays_of(more).corners) == 8


# --- contains ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("point", "tolerance", "inside"),
    [
        ((0.5, 0.5, 0.5), 0.0, True),
        ((0.01, 0.99, 0.3), 0.0, True),
        ((0.5, 0.5, 0.0), 0.0, True),
        ((0.5, 0.5, -0.002), 0.0, False),
        ((0.5, 0.5, -0.002), 0.003, True),
        ((0.5, 0.5, -0.002), 0.001, False),
        ((1.0, 1.0, 1.0), 0.0, True),
        ((1.003, 1.004, 1.0), 0.0051, True),
        ((1.003, 1.004, 1.0), 0.0049, False),
        ((1.002, 0.3, 1.0), 0.0021, True),
        ((50.0, 0.5, 0.5), 0.01, False),
    ],
)
def test_contains_in_a_box(
    point: tuple[float, float, float], tolerance: float, inside: bool
) -> None:
    assert solids.contains(UNIT, Point(*point), tolerance) is inside


def test_contains_in_a_notch_and_between_cells() -> None:
    ell = [(0.0, 0.0), (0.6, 0.0), (0.6, 0.1), (0.2, 0.1), (0.2, 0.3), (0.0, 0.3)]
    tank = solids.lofted(flat(ell, 0.0), flat(ell, 1.0))
    assert solids.contains(tank, Point(0.5, 0.5, 0.05), 0.0)
    assert solids.contains(tank, Point(0.1, 0.5, 0.25), 0.0)
    assert not solids.contains(tank, Point(0.4, 0.5, 0.2), 0.01)
    pair = solids.cells([brick((0, 0, 0), (1, 1, 1)), brick((1, 0, 0), (2, 1, 1))])
    assert solids.contains(pair, Point(1.0, 0.5, 0.5), 0.0)
    assert solids.contains(pair, Point(1.0001, 0.5, 0.5), 0.0)
    assert not solids.contains(pair, Point(1.0, 0.5, 1.1), 0.05)


def test_contains_agrees_with_the_equation_of_a_bay() -> None:
    tip = [(0.25 + 0.5 * x, 0.25 + 0.5 * z) for x, z in SQUARE]
    tank = solids.lofted(flat(SQUARE, 0.0), flat(tip, 1.0))
    for x, y, z in np.random.default_rng(7).uniform(-0.2, 1.2, (300, 3)):
        half = 0.5 - 0.25 * y
        expected = 0.0 <= y <= 1.0 and abs(x - 0.5) <= half and abs(z - 0.5) <= half
        assert solids.contains(tank, Point(x, y, z), 0.0) is bool(expected)


def test_contains_refuses_nonsense() -> None:
    with pytest.raises(DomainError, match="three numbers"):
        solids.contains(UNIT, Point(math.nan, 0, 0), 0.001)
    with pytest.raises(DomainError, match="tolerance"):
        solids.contains(UNIT, Point(0, 0, 0), -0.001)
