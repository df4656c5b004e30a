"""Centre-lines at their edges: corners, joints, bends that just fit, the nearest place."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.course.centre_line import Arc, Straight, centre_line

CORNER = [(2, 1, 0), (3, 1, 0), (3, 2, 0)]


class TestJoints:
    def test_the_direction_at_a_sharp_corner_is_that_of_the_piece_that_begins(self) -> None:
        line = centre_line(CORNER, None)
        np.testing.assert_allclose(line.tangent(1.0), (0, 1, 0))
        np.testing.assert_allclose(line.tangent(np.nextafter(1.0, 0.0)), (1, 0, 0))
        np.testing.assert_allclose(line.point(1.0), (3, 1, 0))

    def test_beyond_an_end_is_that_end(self) -> None:
        line = centre_line(CORNER, 0.2)
        np.testing.assert_allclose(line.point(-5.0), (2, 1, 0))
        np.testing.assert_allclose(line.point(50.0), (3, 2, 0))
        with pytest.raises(DomainError, match="state a length"):
            line.point(math.nan)

    def test_pieces_know_their_leg_or_corner_and_the_points_are_kept(self) -> None:
        points = [(0, 0, 0), (1, 0, 0), (1, 1, 0), (1, 1, 1), (2, 1, 1)]
        line = centre_line(points, 0.1)
        legs = [piece.number for piece in line.pieces if isinstance(piece, Straight)]
        corners = [piece.number for piece in line.pieces if isinstance(piece, Arc)]
        assert (legs, corners) == ([0, 1, 2, 3], [1, 2, 3])
        np.testing.assert_array_equal(line.points, points)
        for number in corners:
            arc = next(p for p in line.pieces if isinstance(p, Arc) and p.number == number)
            off = np.linalg.norm(arc.point(arc.length / 2) - np.array(points[number]))
            assert off == pytest.approx(0.1 * (math.sqrt(2) - 1))


class TestBendsThatJustFit:
    def test_a_straight_of_a_hair_is_kept(self) -> None:
        """R tan 45 deg is 50 nm less than the leg of 10 mm."""
        spare = 5e-8
        radius = 0.01 - spare
        line = centre_line([(0, 0, 0), (0.01, 0, 0), (0.01, 1, 0)], radius)
        assert len(line.pieces) == 3
        expected = spare + radius * math.pi / 2 + 1.0 - radius
        assert line.length == pytest.approx(expected, abs=1e-12)

    def test_a_bend_too_long_by_a_hair_is_refused(self) -> None:
        with pytest.raises(DomainError, match="do not fit on leg 1"):
            centre_line([(0, 0, 0), (0.01, 0, 0), (0.01, 1, 0)], 0.01 + 1e-8)

    def test_the_refusal_tells_radius_and_leg_in_millimetres(self) -> None:
        points = [(0, 0, 0), (1, 0, 0), (1, 0.35, 0), (2, 0.35, 0)]
        with pytest.raises(DomainError, match=r"radius 200 mm do not fit on leg 2.* 350 mm long"):
            centre_line(points, 0.2)

    def test_a_leg_used_up_by_its_bends_leaves_no_straight(self) -> None:
        """A half circle of two quarter bends between parallel risers."""
        line = centre_line([(0, 0, 1), (0, 0, 0), (1, 0, 0), (1, 0, 1)], 0.5)
        assert [type(piece) for piece in line.pieces] == [Straight, Arc, Arc, Straight]
        assert line.length == pytest.approx(1.0 + 0.5 * math.pi)


class TestPoints:
    @pytest.mark.parametrize(
        "points", [[(0, 0), (1, 1)], [(0, 0, 0, 0), (1, 1, 1, 1)], [1.0, 2.0, 3.0],
                   [[(0, 0, 0), (1, 0, 0)], [(0, 1, 0), (1, 1, 0)]]]
    )  # fmt: skip
    def test_only_points_of_three_make_a_line(self, points) -> None:
        with pytest.raises(DomainError, match="points have shape"):
            centre_line(points, 0.1)

    def test_points_a_tenth_of_a_millimetre_apart_are_two(self) -> None:
        assert centre_line([(0, 0, 0), (1e-4, 0, 0)], None).length == pytest.approx(1e-4)
        with pytest.raises(DomainError, match="points 1 and 2"):
            centre_line([(0, 0, 0), (0.99e-4, 0, 0)], None)


class TestNearest:
    def test_on_a_straight_away_from_the_datum(self) -> None:
        line = centre_line([(2, 5, 1), (6, 5, 1)], None)
        assert line.nearest((3.5, 5, 3)) == pytest.approx((1.5, 2.0))
        assert line.nearest((9, 9, 1)) == pytest.approx((4.0, 5.0))

    def test_a_bend_is_not_its_whole_circle(self) -> None:
        """Across the circle from the middle of a quarter bend (R 1, legs 1 each side of it).

        The target lies on the circle, 225 deg round from the bend's start; of the line the ends
        of the legs, (0, 0, 0) and (2, 2, 0), are nearest (by hand).
        """
        line = centre_line([(0, 0, 0), (2, 0, 0), (2, 2, 0)], 1.0)
        side = math.sqrt(0.5)
        _, off = line.nearest((1 - side, 1 + side, 0))
        ends = [(0, 0, 0), (1, 0, 0), (2, 1, 0), (2, 2, 0)]
        candidates = [math.dist(end, (1 - side, 1 + side, 0)) for end in ends]
        feet = [1 + side, 2 - (1 - side)]  # square to the two legs, where the foot lies on them
        assert off == pytest.approx(min(candidates + feet))

    def test_a_line_that_begins_and_ends_with_a_bend(self) -> None:
        line = centre_line([(0, 0, 0), (1, 0, 0), (1, 1, 0)], 1.0)
        assert len(line.pieces) == 1
        assert line.nearest((-1, 0, 0)) == pytest.approx((0.0, 1.0))
        assert line.nearest((1, 3, 0)) == pytest.approx((math.pi / 2, 2.0))


class TestChords:
    def test_straight_pieces_need_their_ends_only(self) -> None:
        line = centre_line(CORNER, None)
        np.testing.assert_allclose(line.chords(), CORNER)

    @pytest.mark.parametrize(("radius", "sagitta"), [(0.5, 1e-3), (0.05, 2e-5), (0.5, 1e-2)])
    def test_chords_lie_within_the_sagitta_and_no_closer_than_needed(self, radius, sagitta) -> None:
        """A chord of angle a stands R (1 - cos a/2) off its arc (exact)."""
        line = centre_line([(0, 0, 0), (1, 0, 0), (1, 1, 0)], radius)
        points = line.chords(sagitta)
        np.testing.assert_allclose(points[0], (0, 0, 0), atol=1e-15)
        np.testing.assert_allclose(points[-1], (1, 1, 0), atol=1e-15)
        on_arc = points[1:-1]
        np.testing.assert_allclose(on_arc[0], (1 - radius, 0, 0), atol=1e-15)
        np.testing.assert_allclose(on_arc[-1], (1, radius, 0), atol=1e-15)
        from_centre = np.linalg.norm(on_arc - np.array([1 - radius, radius, 0]), axis=1)
        np.testing.assert_allclose(from_centre, radius, rtol=1e-12)
        count = len(on_arc) - 1
        steps = np.linalg.norm(np.diff(on_arc, axis=0), axis=1)
        np.testing.assert_allclose(steps, steps[0], rtol=1e-9)

        def off(chords: int) -> float:
            return radius * (1 - math.cos(math.pi / 4 / chords))

        assert off(count) <= sagitta < off(count - 1)

    def test_a_bend_smaller_than_the_sagitta_is_one_chord(self) -> None:
        line = centre_line([(0, 0, 0), (1, 0, 0), (1, 1, 0)], 0.01)
        assert len(line.chords(0.5)) == 4

    def test_as_it_stands_they_are_close_enough_for_a_drawing(self) -> None:
        """Length of the chords against the line: short by a 24th of the angle squared, so 1e-4."""
        line = centre_line([(0, 0, 0), (1, 0, 0), (1, 1, 0), (1, 1, 2)], 0.3)
        points = line.chords()
        length = float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
        assert length == pytest.approx(line.length, rel=1e-4)
        np.testing.assert_array_equal(points, line.chords(2e-5))
        middles = 0.5 * (points[1:] + points[:-1])
        assert max(line.nearest(middle)[1] for middle in middles) <= 2.001e-5

    def test_a_very_wide_bend_is_cut_at_a_thousandth_of_a_radian(self) -> None:
        """Not into more, however fine the sagitta."""
        line = centre_line([(0, 0, 0), (1, 0, 0), (1, 1, 0)], 0.5)
        assert len(line.chords(1e-12)) == 3 + math.ceil(math.pi / 2 / 1e-3)


def test_a_point_that_is_not_finite_has_no_nearest_place() -> None:
    straight = centre_line([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0]], None)
    with pytest.raises(DomainError, match="not finite"):
        straight.nearest((math.nan, 0.0, 0.0))
