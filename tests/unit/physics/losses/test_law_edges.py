"""Edges of the laws of friction and losses: where a law begins, ends, or refuses."""

import fluids.friction
import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.losses.friction import cautious, darcy_factor, expected, friction_flags
from flowsim.physics.losses.laws import head_loss, outside_range
from flowsim.physics.losses.pipe_law import pipe_loss
from flowsim.system.parts import MeasuredDrop, Pipe
from tests.support.small_networks import tube


class TestFriction:
    @pytest.mark.parametrize("rough", [0.0, 1e-4, 0.03])
    @pytest.mark.parametrize("reynolds", [100.0, 100.5, 1500.0, 2500.0, 1e4, 1e6])
    def test_expected_is_churchill_down_to_smooth_walls(self, rough, reynolds):
        """The library fluids (1.3) is the reference."""
        found, _ = expected(np.array(reynolds), np.array(rough))
        assert found == pytest.approx(
            reynolds * fluids.friction.Churchill_1977(reynolds, rough), rel=1e-9
        )

    @pytest.mark.parametrize("law", [cautious, expected])
    @pytest.mark.parametrize("rough", [1.0, 1.5, -1e-9, np.nan, np.inf])
    def test_impossible_roughness_gives_no_number(self, law, rough):
        for reynolds in (500.0, 2100.0, 1e5):
            product, slope = law(np.array(reynolds), np.array(rough))
            assert np.isnan(product)
            assert np.isnan(slope)

    def test_factor_at_rest_is_infinite_and_warns_nobody(self):
        factor = darcy_factor(np.array([0.0, -1.0, np.nan, np.inf, 64.0]), 0.0)
        assert factor[0] == np.inf
        assert np.isnan(factor[1:4]).all()
        assert factor[4] == pytest.approx(1.0)

    def test_whole_numbers_are_taken_as_numbers(self):
        assert darcy_factor(2000, 0) == darcy_factor(2000.0, 0.0)
        assert not friction_flags(2000, 0)

    def test_flags_lie_just_outside_the_chart(self):
        """Moody's chart: roughness/bore to 0.05, Re to 1e8 (both still inside)."""
        assert not friction_flags(1e8, 0.05)
        assert friction_flags(np.nextafter(1e8, np.inf), 0.05)
        assert friction_flags(1e8, np.nextafter(0.05, 1))
        assert friction_flags(-1.0, 0.01)
        assert friction_flags(1e4, -1e-12)


class TestLosses:
    def test_a_stated_friction_factor_has_the_slope_of_a_square(self):
        pipe = Pipe(name="p", length=2.0, bore=8e-3, roughness=0.0, friction_factor=0.03)
        flow = np.array([-2e-5, 0.0, 3e-5])
        loss, slope = pipe_loss(pipe, flow, np.full(3, 1e-6))
        area = np.pi * pipe.bore**2 / 4
        a = 0.03 * 2.0 / 8e-3 / (2 * STANDARD_GRAVITY * area**2)
        np.testing.assert_allclose(loss, a * flow * np.abs(flow), rtol=1e-12)
        np.testing.assert_allclose(slope, 2 * a * np.abs(flow), rtol=1e-12)
        assert slope.shape == (3,)

    @pytest.mark.parametrize("law", ["cautious", "expected"])
    def test_any_part_follows_the_law_that_is_asked_for(self, law):
        flow, viscosity = 1.2e-5, 0.9e-6  # Re 2200
        found = head_loss(tube(), flow, viscosity, law)
        np.testing.assert_array_equal(found, pipe_loss(tube(), flow, viscosity, law))
        other = "expected" if law == "cautious" else "cautious"
        assert found[0] != head_loss(tube(), flow, viscosity, other)[0]

    def test_a_pipe_without_bore_is_refused_by_name(self):
        with pytest.raises(DomainError, match=r'"tube": bore 0\.0 must be'):
            pipe_loss(tube(bore=0.0), 1e-5, 1e-6)

    def test_a_table_is_read_as_head_of_its_own_liquid(self):
        part = MeasuredDrop(
            name="f", kind="own", bore=8e-3, flows=(1e-5, 2e-5), drops=(100.0, 400.0), density=700.0
        )
        loss, slope = head_loss(part, np.array([1e-5, -2e-5]), 1e-6)
        np.testing.assert_allclose(loss * 700.0 * STANDARD_GRAVITY, [100.0, -400.0])
        assert (slope > 0).all()

    def test_ranges_hold_their_ends(self):
        """Armour and Cannon to 1000, fittings to 1e6; a builder's own number has no range."""
        assert not outside_range("screen", 1000.0)
        assert outside_range("screen", 1000.1)
        assert not outside_range("elbow 90", 1e6)
        assert outside_range("elbow 90", 1.0001e6)
        assert not outside_range("own", 1e12)
        assert outside_range("own", np.nan)
