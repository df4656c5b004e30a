"""Attitudes at the ends of their ranges."""

from math import pi, radians, sin

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.attitude import (
    coordinated_turn,
    effective_gravity,
    equivalent_pitch,
    path_angle,
    pitch_from_climb,
)


class TestTurnRanges:
    @pytest.mark.parametrize(
        ("pitch", "bank", "alpha", "words"),
        [
            (100.0, 0.0, 0.0, "^pitch of 100 deg is beyond 90"),
            (0.0, 85.5, 0.0, "^bank of 85.5 deg is beyond 85"),
            (0.0, -85.5, 0.0, "^bank of 85.5 deg is beyond 85"),
            (0.0, 20.0, 46.0, "^angle of attack of 46 deg is beyond 45"),
        ],
    )
    def test_beyond_the_range_is_refused_by_name(self, pitch, bank, alpha, words) -> None:
        with pytest.raises(DomainError, match=words):
            coordinated_turn(radians(pitch), radians(bank), radians(alpha))

    def test_the_ends_of_the_range_are_in_it(self) -> None:
        """Load along the aeroplane's vertical is 1/cos bank: 11.47 at 85 deg."""
        found = coordinated_turn(0.0, np.radians([85.0, -85.0]))
        np.testing.assert_allclose(found[:, 2], -1.0 / np.cos(radians(85.0)), rtol=1e-12)
        assert np.isfinite(coordinated_turn(0.1, 0.5, pi / 4)).all()

    def test_many_attitudes_at_once(self) -> None:
        found = coordinated_turn(np.zeros((2, 1)), np.radians([0.0, 30.0, 60.0]))
        assert found.shape == (2, 3, 3)
        assert (found[..., 1] == 0.0).all()
        assert found.dtype == np.float64


class TestClimb:
    def test_slow_and_fast(self) -> None:
        """A vehicle at 0.5 m/s that rises 0.25 m/s climbs at 30 deg like one at 50 m/s."""
        np.testing.assert_allclose(
            path_angle(np.array([0.5, 50.0]), np.array([0.25, 25.0])), radians(30.0)
        )

    def test_straight_up_is_a_path(self) -> None:
        assert path_angle(30.0, 30.0) == pytest.approx(pi / 2)
        assert path_angle(30.0, -30.0) == pytest.approx(-pi / 2)

    def test_the_worst_of_many_is_told(self) -> None:
        with pytest.raises(DomainError, match=r"is -1\.5 times .*check the units"):
            path_angle(np.array([10.0, 10.0, 10.0]), np.array([11.0, -15.0, 1.0]))

    @pytest.mark.parametrize("speed", [0.0, -3.0])
    def test_standing_still_has_no_path(self, speed) -> None:
        with pytest.raises(DomainError, match=f"speed {speed:g} m/s"):
            path_angle(np.array([20.0, speed]), 0.0)

    def test_pitch_is_path_and_attack_less_incidence(self) -> None:
        climb = sin(radians(40.0))
        found = pitch_from_climb(1.0, climb, radians(42.0), radians(2.0))
        assert found == pytest.approx(radians(80.0))
        found = pitch_from_climb(30.0, 0.0, 0.0, radians(44.0))
        assert found == pytest.approx(radians(-44.0))

    def test_impossible_rigging_is_refused(self) -> None:
        with pytest.raises(DomainError, match=r"^incidence of 46 deg is beyond 45"):
            pitch_from_climb(30.0, 0.0, 0.0, radians(46.0))
        with pytest.raises(DomainError, match=r"^pitch of 95 deg is beyond 90"):
            pitch_from_climb(1.0, 1.0, radians(5.0), 0.0)


def test_whole_numbers_are_taken_as_numbers() -> None:
    np.testing.assert_array_equal(effective_gravity(0, 0), (0.0, 0.0, -1.0))
    assert effective_gravity(0, 0).dtype == np.float64
    assert equivalent_pitch(0).dtype == np.float64


def test_no_scenarios_give_no_attitudes() -> None:
    assert effective_gravity(np.empty(0), 0.0).shape == (0, 3)
    assert coordinated_turn(np.empty(0), 0.2).shape == (0, 3)
