"""Least distances and crossings in a picture against constructions worked by hand."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.course.distances import chain_distance, picture_crossings, segment_distance


def rows(*points: tuple[float, ...]) -> np.ndarray:
    return np.array(points, dtype=float)


class TestSegments:
    @pytest.mark.parametrize("scale", [1e-3, 1.0, 1e3])
    def test_skew_pieces_of_any_size(self, scale) -> None:
        """The diagonals of a unit square, one lifted by 0.5: half apart, at both middles."""
        ends = scale * rows((0, 0, 0), (1, 1, 0), (0, 1, 0.5), (1, 0, 0.5))
        distance, s, t = segment_distance(*ends)
        assert distance == pytest.approx(0.5 * scale)
        assert (s, t) == pytest.approx((0.5, 0.5))

    def test_a_place_at_an_end(self) -> None:
        """The foot of the perpendicular from the second's start lies on the first's end."""
        found = segment_distance(*rows((0, 0, 0), (1, 0, 0), (1, 2, 0), (3, 5, 0)))
        assert found == pytest.approx((2.0, 1.0, 0.0))


class TestChains:
    def test_a_point_against_a_point_and_a_chain(self) -> None:
        point, other = rows((1, 1, 1)), rows((4, 5, 1))
        both = chain_distance(point, other)
        assert (both.distance, both.first_along, both.second_along) == (5.0, 0.0, 0.0)
        np.testing.assert_array_equal(both.first, (1, 1, 1))
        np.testing.assert_array_equal(both.second, (4, 5, 1))
        chain = rows((0, 0, 0), (0, 3, 0), (4, 3, 0))
        for swapped in (False, True):
            pair = (rows((2, 2, 0)), chain)
            found = chain_distance(*(pair[::-1] if swapped else pair))
            assert found.distance == pytest.approx(1.0)
            along = found.first_along if swapped else found.second_along
            assert along == pytest.approx(5.0)

    def test_the_two_points_and_places_along(self) -> None:
        """A riser at (2.25, *, *) is 0.4 above the second leg, 3 + 1.25 along; by hand."""
        first = rows((1, 3, 0), (1, 0, 0), (4, 0, 0), (4, 3, 0))
        second = rows((2.25, -3, 2), (2.25, -1, 0.4), (2.25, 1, 0.4), (2.25, 1, 2))
        found = chain_distance(first, second)
        assert found.distance == pytest.approx(0.4)
        np.testing.assert_allclose(found.first, (2.25, 0, 0), atol=1e-15)
        np.testing.assert_allclose(found.second, (2.25, 0, 0.4), atol=1e-15)
        assert found.first_along == pytest.approx(4.25)
        assert found.second_along == pytest.approx(math.hypot(2, 1.6) + 1.0)

    def test_a_far_piece_does_not_hide_a_near_one_behind_it(self) -> None:
        """The chain leaves, and comes back closer than where it started."""
        first = rows((0, 0, 0), (1, 0, 0), (2, 0, 0))
        second = rows((0.5, 0, 0.3), (0.5, 0, 9), (1.5, 0, 9), (1.5, 0, 0.1))
        found = chain_distance(first, second)
        assert found.distance == pytest.approx(0.1)
        assert found.first_along == pytest.approx(1.5)

    def test_of_equally_near_places_the_first_is_told(self) -> None:
        """A point under the ridge of a roof is as near to one side as to the other."""
        found = chain_distance(rows((0, 0, 0), (1, 1, 0), (2, 0, 0)), rows((1, 0, 0)))
        assert found.distance == pytest.approx(math.sqrt(0.5))
        assert found.first_along == pytest.approx(math.sqrt(0.5))

    def test_against_every_pair_of_pieces(self) -> None:
        """Skipping by boxes changes no answer."""
        rng = np.random.default_rng(11)
        for _ in range(40):
            first, second = rng.normal(size=(5, 3)), rng.normal(size=(4, 3)) + rng.normal(size=3)
            plain = min(
                segment_distance(first[i], first[i + 1], second[j], second[j + 1])[0]
                for i in range(4)
                for j in range(3)
            )
            found = chain_distance(first, second)
            assert found.distance == plain
            gap = float(np.linalg.norm(found.first - found.second))
            assert gap == pytest.approx(plain, abs=1e-14)


class TestPictures:
    @pytest.mark.parametrize("scale", [1e-7, 1e-4, 1.0, 100.0])
    @pytest.mark.parametrize("axes", [(0, 1), (1, 2), (0, 2), (2, 0)])
    def test_pieces_made_to_cross(self, scale, axes) -> None:
        """Two pieces drawn through one place of the picture; the third coordinate differs."""
        rng = np.random.default_rng(5)
        hidden = ({0, 1, 2} - set(axes)).pop()
        for s, t in ((0.2, 0.7), (0.9, 0.4), (0.5, 0.05)):
            a, b = rng.normal(size=3), rng.normal(size=3)
            over, place = rng.normal(size=3), rng.normal(size=3)
            over[list(axes)] = place[list(axes)]
            first = scale * np.array([place - s * a, place + (1 - s) * a])
            second = scale * np.array([over - t * b, over + (1 - t) * b])
            ((one, other),) = picture_crossings(first, second, axes)
            np.testing.assert_allclose(one, scale * place, atol=1e-12 * scale)
            np.testing.assert_allclose(other, scale * over, atol=1e-12 * scale)
            assert one[hidden] != other[hidden]

    @pytest.mark.parametrize(
        "second",
        [
            [(2, -3, 1), (2, -1, 1)],
            [(2, 1, 1), (2, 3, 1)],
            [(-1, -1, 1), (-1, 1, 1)],
            [(5, -1, 1), (5, 1, 1)],
        ],
    )
    def test_pieces_that_stop_short_do_not_cross(self, second) -> None:
        first = rows((0, 0, 0), (4, 0, 0))
        assert picture_crossings(first, rows(*second), (0, 1)) == []
        assert picture_crossings(rows(*second), first, (0, 1)) == []

    def test_a_crossing_at_a_corner_counts_once(self) -> None:
        """Each piece owns its start and not its end, so a corner belongs to one of its two."""
        bent = rows((0, 0, 0), (1, 1, 0), (2, 0.5, 0))
        straight = rows((1, -1, 1), (1, 3, 1))
        for first, second in ((bent, straight), (straight, bent)):
            ((one, other),) = picture_crossings(first, second, (0, 1))
            np.testing.assert_allclose(one[:2], (1, 1))
            np.testing.assert_allclose(other[:2], (1, 1))

    @pytest.mark.parametrize("swapped", [False, True])
    def test_a_short_piece_along_a_long_one_crosses_nowhere(self, swapped) -> None:
        """It leans by 1e-10 rad, which over its millimetre is nothing but rounding."""
        pair = (
            rows((0, 0, 0), (1, 0, 0)),
            rows((0.5, -0.5e-13, 1), (0.501, 0.5e-13, 1)),
        )
        assert picture_crossings(*(pair[::-1] if swapped else pair), axes=(0, 1)) == []

    def test_a_piece_along_does_not_hide_the_next(self) -> None:
        first = rows((0, 0, 0), (2, 0, 0))
        second = rows((0, 0, 1), (1, 0, 1), (1, -1, 1), (1.5, 1, 1))
        crossed = picture_crossings(first, second, (0, 1))
        assert [float(one[0]) for one, _ in crossed] == pytest.approx([1.0, 1.25])

    def test_a_riser_is_a_point_from_above(self) -> None:
        riser = rows((1, 0, 0), (1, 0, 3))
        assert picture_crossings(riser, riser, (0, 1)) == []
        assert picture_crossings(rows((0, 0, 1), (2, 0, 1)), riser, (0, 1)) == []


def test_a_chain_with_a_corner_that_is_not_finite_has_no_distance() -> None:
    good = np.array([[0.5, 1.0, 0.0], [0.6, 1.0, 0.0]])
    bad = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [np.nan, 0.0, 0.0]])
    for first, second in ((good, bad), (bad, good)):
        with pytest.raises(DomainError, match="not finite"):
            chain_distance(first, second)
