"""Points near the skin of a tank, against the distance worked out another way."""

import itertools
import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank import solids
from flowsim.physics.tank.solid_surface import arrays_of
from flowsim.system.points import Point
from flowsim.system.tanks import Solid

LOW, HIGH = np.array([2.0, -0.9, 0.4]), np.array([2.3, -0.2, 0.5])
SMALL = solids.box(Point(*map(float, LOW)), Point(*map(float, HIGH)))


def brick(low: tuple[float, float, float], high: tuple[float, float, float]) -> list[Point]:
    return [Point(*p) for p in itertools.product(*zip(low, high, strict=True))]


def assert_off(tank: Solid, point: np.ndarray, distance: float) -> None:
    """Within reach of a tolerance a little above the distance, out of reach of one below."""
    at = Point(*map(float, point))
    assert solids.contains(tank, at, distance * (1 + 1e-6))
    assert not solids.contains(tank, at, distance * (1 - 1e-6))


def test_distance_from_a_box_in_all_directions() -> None:
    """What a coordinate is beyond its range, taken together (exact)."""
    rng = np.random.default_rng(3)
    for point in rng.uniform(LOW - 0.3, HIGH + 0.3, (90, 3)):
        distance = float(np.linalg.norm(point - np.clip(point, LOW, HIGH)))
        if distance > 0.0:
            assert_off(SMALL, point, distance)
        else:
            assert solids.contains(SMALL, Point(*map(float, point)), 0.0)


def test_distance_over_the_slanted_face_of_a_wedge() -> None:
    """A roof at 45 deg: a step along its normal from any place on it is the distance."""
    section = [(0.0, 0.0), (0.2, 0.0), (0.0, 0.2)]
    wedge = solids.lofted(
        [Point(x, 0.0, z) for x, z in section], [Point(x, 0.5, z) for x, z in section]
    )
    for along, across in itertools.product((0.02, 0.1, 0.19), (0.01, 0.25, 0.4)):
        foot = np.array([along, across, 0.2 - along])
        assert_off(wedge, foot + 0.03 * np.array([1, 0, 1]) / math.sqrt(2), 0.03)


def test_triangles_without_area_do_no_harm() -> None:
    """A point in the middle of an edge of a box, closed by a triangle that is a line."""
    corners = (*SMALL.corners, Point(2.15, -0.9, 0.4))
    new = len(corners) - 1
    at = {tuple(round(x, 9) for x in corner): k for k, corner in enumerate(SMALL.corners)}
    a, b = at[(2.0, -0.9, 0.4)], at[(2.3, -0.9, 0.4)]
    triangles = []
    for triangle in SMALL.triangles:
        turned = [triangle[k:] + triangle[:k] for k in range(3)]
        split = next((t for t in turned if t[:2] == (a, b)), None)
        triangles += [(a, new, split[2]), (new, b, split[2])] if split else [triangle]
    triangles += [(a, b, new)]
    tank = Solid(corners=corners, triangles=tuple(triangles))
    assert float(np.linalg.norm(arrays_of(tank).area_vectors, axis=1).min()) < 1e-12
    assert solids.capacity(tank) == pytest.approx(0.3 * 0.7 * 0.1)
    assert_off(tank, np.array([2.15, -0.93, 0.36]), 0.05)
    assert_off(tank, np.array([2.1, -0.5, 0.58]), 0.08)
    assert solids.contains(tank, Point(2.15, -0.5, 0.45), 0.0)
    assert not solids.contains(tank, Point(2.15, -0.95, 0.45), 0.0)


class TestCells:
    @pytest.mark.parametrize("size", [0.05, 0.3, 2.0])
    def test_small_and_large_cells_are_turned_outward(self, size) -> None:
        """A pyramid holds a third of base times height, whichever corner comes first."""
        base = [(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 1, 0), (0.4, 0.3, 0.6)]
        points = [Point(*(size * x for x in corner)) for corner in base]
        for first in range(5):
            for order in (points, points[::-1]):
                turned = order[first:] + order[:first]
                tank = solids.cells([turned])
                assert solids.capacity(tank) == pytest.approx(0.2 * size**3)

    def test_corners_just_inside_far_from_the_datum(self) -> None:
        """A corner 0.5 mm inside a cell of 1 m is a mistake, 1 km from the datum too."""
        corners = [*brick((1000, 0, 0), (1001, 1, 1)), Point(1000.5, 0.5, 0.9995)]
        with pytest.raises(DomainError, match=r"corner 9 lies 0\.5 mm inside"):
            solids.cells([corners])

    def test_corners_just_inside_a_small_cell(self) -> None:
        """A thousandth of a millimetre in 100 mm is more than a millionth."""
        corners = [*brick((0, 0, 0), (0.1, 0.1, 0.1)), Point(0.05, 0.05, 0.1 - 1e-6)]
        with pytest.raises(DomainError, match="corner 9 lies"):
            solids.cells([corners])

    def test_a_corner_on_a_face_is_no_mistake(self) -> None:
        tank = solids.cells([[*brick((0, 0, 0), (1, 1, 1)), Point(0.5, 0.5, 1.0)]])
        assert solids.capacity(tank) == pytest.approx(1.0)


class TestOverlap:
    @pytest.mark.parametrize("sign", [1.0, -1.0])
    @pytest.mark.parametrize("datum", [0.0, 1e4])
    def test_the_common_part_is_told_in_litres(self, sign, datum) -> None:
        """0.3 m x 0.2 m x 10 mm is 0.6 litre, on the left as on the right side."""
        spans = [((0.1, 0.1, 0.1), (0.4, 0.3, 0.3)), ((0.1, 0.1, 0.29), (0.4, 0.3, 0.6))]
        two = [
            [Point(datum + p[0], sign * p[1], sign * p[2]) for p in brick(low, high)]
            for low, high in spans
        ]
        with pytest.raises(DomainError, match=r"cells 1 and 2 overlap by 0\.6 litre"):
            solids.cells(two)

    def test_a_small_common_part_of_small_cells(self) -> None:
        """0.1 mm of a cube of 100 mm: a thousandth of it, 1 mL."""
        two = [brick((0, 0, 0), (0.1, 0.1, 0.1)), brick((0.0999, 0, 0), (0.2, 0.1, 0.1))]
        with pytest.raises(DomainError, match=r"overlap by 0\.001 litre"):
            solids.cells(two)

    def test_cells_about_the_datum(self) -> None:
        two = [brick((-1, -1, -1), (1, 1, 1)), brick((-0.5, -2, -0.5), (0.5, 2, 0.5))]
        with pytest.raises(DomainError, match="overlap by 2e\\+03 litre"):
            solids.cells(two)

    @pytest.mark.parametrize("gap", [1e-3, 0.3])
    def test_apart_though_the_boxes_round_them_are_not(self, gap) -> None:
        """Two halves of a cube cut along a diagonal plane and drawn apart."""
        lower = [(0, 0, 0), (1, 0, 0), (0, 0, 1), (0, 1, 0), (1, 1, 0), (0, 1, 1)]
        upper = [(1, 0, 1), (1, 0, 0), (0, 0, 1), (1, 1, 1), (1, 1, 0), (0, 1, 1)]
        apart = [Point(x + gap, y, z + gap) for x, y, z in upper]
        tank = solids.cells([[Point(*p) for p in lower], apart])
        assert solids.capacity(tank) == pytest.approx(1.0)

    @pytest.mark.parametrize("way", [(1, 1, 1), (-1, 1, 1), (1, -1, 1), (1, 1, -1), (-1, -1, -1)])
    def test_needles_that_cross(self, way) -> None:
        """A needle 4 m long and 0.2 m thick at its root, crossed by a brick near the root.

        The brick cuts off what lies beyond 0.1 m of its 4: (0.1 to 4)^3/4^3 of a third of base
        times height, by similar triangles: 1/3 x 0.04 x 4 x (3.9/4)^3 m3 = 49.43 litre.
        """
        for axis in range(3):
            turn = np.roll(np.eye(3), axis, axis=0)
            needle = [(-0.1, 0, -0.1), (0.1, 0, -0.1), (-0.1, 0, 0.1), (0.1, 0, 0.1), (0, 4, 0)]
            other = brick((-1, 0.1, -1), (1, 5, 1))
            made = [[Point(*(turn @ p * way).tolist()) for p in cell] for cell in (needle, other)]
            with pytest.raises(DomainError, match=r"overlap by 49\.4 litre"):
                solids.cells(made)
