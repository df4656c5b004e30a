"""Heights along a centre-line: what is up, where it is cut, what lies below a level."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.course.centre_line import centre_line
from flowsim.physics.course.height_profile import profile, slope, upward

UP = np.array([0.0, 0.0, 1.0])


class TestUpward:
    def test_against_the_pull_and_of_length_one(self) -> None:
        """A 3-4-5 triangle: the pull (0.6, 0, -0.8) at any strength."""
        for strength in (0.5, 1.0, 3.0):
            found = upward(strength * np.array([0.6, 0.0, -0.8]))
            np.testing.assert_allclose(found, (-0.6, 0.0, 0.8), rtol=1e-15)

    @pytest.mark.parametrize(
        "pull", [(0.0, 0.0, 0.0), (0.0, 1e-7, 0.0), (math.inf, 0.0, 0.0), (math.nan, 0.0, -1.0)]
    )
    def test_nothing_is_up_without_gravity(self, pull) -> None:
        with pytest.raises(DomainError, match="check the attitude"):
            upward(np.array(pull))


class TestSlope:
    def test_signs_and_size(self) -> None:
        assert slope(np.array([0.8, 0.0, -0.6]), UP) == pytest.approx(math.asin(-0.6))
        assert slope(np.array([0.0, 0.8, 0.6]), UP) == pytest.approx(math.asin(0.6))

    def test_a_riser_in_any_attitude_is_ninety_degrees(self) -> None:
        """Rounding makes the product of a unit vector with itself a little more than one."""
        pulls = np.random.default_rng(2).normal(size=(200, 3))
        ups = [upward(pull) for pull in pulls]
        assert max(float(up @ up) for up in ups) > 1.0
        for up in ups:
            assert slope(up, up) == pytest.approx(math.pi / 2, abs=1e-7)
            assert slope(-up, up) == pytest.approx(-math.pi / 2, abs=1e-7)


class TestProfile:
    def test_cuts_end_spans_and_leave_the_line_whole(self) -> None:
        """Legs of 1 m and 2 m: cuts inside, at a joint, and beyond the ends."""
        line = centre_line([(0, 0, 0), (1, 0, 0), (1, 0, 2)], None)
        spans = profile(line, UP, cuts=(0.25, 1.0, 1.5, 2.75, -1.0, 7.0))
        assert [span.start for span in spans] == pytest.approx([0.0, 0.25, 1.0, 1.5, 2.75])
        assert [span.end for span in spans] == pytest.approx([0.25, 1.0, 1.5, 2.75, 3.0])
        assert [span.end_height for span in spans] == pytest.approx([0.0, 0.0, 0.5, 1.75, 2.0])

    def test_cuts_inside_a_bend(self) -> None:
        """A quarter bend in a plane that stands upright: 60 deg along it is R sin... high."""
        radius = 0.5
        line = centre_line([(0, 0, 0), (1, 0, 0), (1, 0, 1)], radius)
        cut = 0.5 + radius * math.radians(60)
        spans = profile(line, UP, cuts=(cut,))
        assert len(spans) == 4
        assert spans[1].end_height == pytest.approx(radius * (1 - math.cos(math.radians(60))))

    def test_a_bend_that_lies_level_is_one_span(self) -> None:
        line = centre_line([(0, 0, 3), (1, 0, 3), (1, 1, 3)], 0.2)
        spans = profile(line, UP)
        assert len(spans) == 3
        assert [span.start_height for span in spans] == pytest.approx([3.0, 3.0, 3.0])


class TestSpan:
    def level_span(self):
        (span,) = profile(centre_line([(0, 0, 1), (2, 0, 1)], None), UP)
        return span

    def test_a_level_span_at_the_level_counts_as_below(self) -> None:
        span = self.level_span()
        assert span.length_below(1.0) == 2.0
        assert span.length_below(0.999) == 0.0
        assert span.length_below(1.001) == 2.0
        assert span.place(1.0) == 0.0

    def test_a_height_off_the_span_is_refused(self) -> None:
        (span,) = profile(centre_line([(0, 0, 3), (4, 0, 0)], None), UP)
        with pytest.raises(DomainError, match=r"height 3\.5 m is not on the span from 0 to 3"):
            span.place(3.5)
        with pytest.raises(DomainError, match="not on the span"):
            span.place(math.nan)
        assert span.place(0.75) == pytest.approx(3.75)
        assert span.length_below(0.75) == pytest.approx(1.25)
        assert (span.length_below(3.0), span.length_below(0.0)) == (pytest.approx(5.0), 0.0)

    def test_ends_of_spans_on_bends_are_found_in_any_attitude(self) -> None:
        """At a crest or a lowest point the arc cosine meets its end, rounded either way."""
        line = centre_line([(0, 0, 0), (1, 0.2, 0.9), (2, 0, 0), (3, 0.5, 0.8)], 0.1)
        for pull in np.random.default_rng(7).normal(size=(300, 3)):
            up = upward(pull)
            for span in profile(line, up):
                assert span.place(span.start_height) == pytest.approx(span.start, abs=1e-7)
                assert span.place(span.end_height) == pytest.approx(span.end, abs=1e-7)

    def test_lengths_below_on_both_sides_of_a_crest(self) -> None:
        """Half a circle over its legs: 30 deg up from the springing is R sin 30 high."""
        radius = 0.4
        points = [(0, 0, 0), (0, 0, 2), (0.8, 0, 2), (0.8, 0, 0)]
        line = centre_line(points, radius)
        springing = 2.0 - radius
        level = springing + radius * math.sin(math.radians(30))
        below = [span.length_below(level) for span in profile(line, UP)]
        arc = radius * math.radians(30)
        assert below == pytest.approx([springing, arc, arc, springing])
