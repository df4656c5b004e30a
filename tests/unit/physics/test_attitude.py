"""Attitude, effective gravity and heights.

The identities are mechanics and need no source; the rotation matrices here are written anew from
their definition (roll, then pitch).
"""

from math import asin, atan, cos, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from flowsim.constants import STANDARD_GRAVITY as G0
from flowsim.errors import DomainError
from flowsim.physics.attitude import (
    coordinated_turn,
    effective_gravity,
    equivalent_pitch,
    height,
    in_datum_axes,
    path_angle,
    pitch_from_climb,
)

pitches = st.floats(-1.5, 1.5)
rolls = st.floats(-3.1, 3.1)
lengths = st.floats(-10, 10)


def axes(pitch, roll):
    """Unit vectors aft, right, up of the aeroplane in north-east-down, heading north."""
    forward = np.array([cos(pitch), 0.0, -sin(pitch)])
    right = np.array([sin(roll) * sin(pitch), cos(roll), sin(roll) * cos(pitch)])
    down = np.array([cos(roll) * sin(pitch), -sin(roll), cos(roll) * cos(pitch)])
    return np.array([-forward, right, -down])


@given(pitches, rolls)
def test_length_is_one_at_rest(pitch, roll):
    assert float(np.linalg.norm(effective_gravity(pitch, roll))) == pytest.approx(1.0, abs=1e-12)


@given(pitches, rolls)
def test_matches_rotation_of_the_vertical(pitch, roll):
    expected = axes(pitch, roll) @ np.array([0.0, 0.0, 1.0])
    np.testing.assert_allclose(effective_gravity(pitch, roll), expected, atol=1e-12)


def test_signs():
    np.testing.assert_allclose(effective_gravity(0.0, 0.0), [0, 0, -1], atol=1e-15)
    assert effective_gravity(0.1, 0.0)[0] > 0  # nose up: fuel runs aft
    assert effective_gravity(0.0, 0.1)[1] > 0  # right wing down: fuel runs right
    assert effective_gravity(0.0, 0.0, forward=1.0)[0] > 0  # take-off: fuel runs aft
    assert effective_gravity(0.0, 0.0, right=1.0)[1] < 0
    assert effective_gravity(0.0, 0.0, up=G0)[2] == pytest.approx(-2.0)


@given(pitches, lengths, lengths, lengths)
def test_height_without_roll(pitch, station, buttline, waterline):
    # z cos(pitch) - x sin(pitch), whatever the buttline.
    point = np.array([[station, buttline, waterline]])
    got = height(point, effective_gravity(pitch, 0.0))
    expected = waterline * cos(pitch) - station * sin(pitch)
    assert float(got[0]) == pytest.approx(expected, abs=1e-12)


@given(pitches, rolls, lengths, lengths)
def test_height_is_the_level_in_space(pitch, roll, station, waterline):
    point = np.array([[station, 1.5, waterline]])
    in_space = axes(pitch, roll).T @ point[0]
    got = height(point, effective_gravity(pitch, roll))
    assert float(got[0]) == pytest.approx(-in_space[2], abs=1e-9)


def test_height_shapes_and_batch_identity():
    points = np.arange(12.0).reshape(4, 3)
    pitch = np.linspace(-0.3, 0.5, 7)
    gravity = effective_gravity(pitch, np.zeros(7))
    heights = height(points, gravity)
    assert heights.shape == (7, 4)
    for i in range(7):
        np.testing.assert_array_equal(heights[i], height(points, gravity[i]))
    assert effective_gravity(pitch[:, None], np.zeros(3)).shape == (7, 3, 3)


def test_height_refuses_wrong_shapes():
    with pytest.raises(DomainError, match="points have shape"):
        height(np.zeros(3), np.zeros((2, 3)))
    with pytest.raises(DomainError, match="gravity has shape"):
        height(np.zeros((2, 3)), np.zeros((2, 2)))


@given(pitches, st.floats(-1.2, 1.2))
def test_turn_without_angle_of_attack(pitch, bank):
    got = coordinated_turn(pitch, bank)
    expected = [sin(pitch), 0.0, -cos(pitch) / cos(bank)]
    np.testing.assert_allclose(got, expected, rtol=1e-12, atol=1e-12)
    assert got[1] == 0.0


@given(st.floats(-0.4, 0.4), st.floats(-1.0, 1.0), st.floats(-0.2, 0.4))
def test_turn_matches_its_acceleration(pitch, bank, alpha):
    """The three parts come back from the level acceleration square to the track."""
    body = axes(pitch, bank)
    velocity = -cos(alpha) * body[0] - sin(alpha) * body[2]
    square = np.array([-velocity[1], velocity[0], 0.0])
    lateral_gravity = body[1][2]
    acceleration = square * lateral_gravity / float(square @ body[1])
    aft, right, up = body @ acceleration * G0
    expected = effective_gravity(pitch, bank, forward=-aft, right=right, up=up)
    np.testing.assert_allclose(coordinated_turn(pitch, bank, alpha), expected, atol=1e-12)


@given(st.floats(-0.3, 0.3), st.floats(-1.0, 1.0), st.floats(-0.2, 0.3))
def test_turn_matches_wind_axes(climb, wind_bank, alpha):
    """In axes of the flight path the parts are (sin climb, 0, -cos climb / cos bank)."""
    wind = np.array([sin(climb), 0.0, -cos(climb) / cos(wind_bank)])
    aft = wind[0] * cos(alpha) - wind[2] * sin(alpha)
    up = wind[2] * cos(alpha) + wind[0] * sin(alpha)
    # Attitude of the aeroplane: bank about the path, then nose up by alpha.
    body = axes(climb, wind_bank)
    forward = -cos(alpha) * body[0] + sin(alpha) * body[2]
    pitch = asin(-forward[2])
    bank = asin(body[1][2] / cos(pitch))
    got = coordinated_turn(pitch, bank, alpha)
    np.testing.assert_allclose(got, [aft, 0.0, up], atol=1e-9)


def test_turn_with_angle_of_attack_acts_more_nose_up():
    plain, tilted = (coordinated_turn(0.2, 0.5, a) for a in (0.0, 0.2))
    assert tilted[0] > plain[0]


def test_level_turn_at_sixty_degrees_is_two_g():
    # Load factor 1 / cos(bank), any textbook of flight mechanics (from memory).
    assert float(coordinated_turn(0.0, radians(60.0))[2]) == pytest.approx(-2.0)


def test_path_angle():
    # 1000 ft/min at 60 kt is 9.5 deg of path (own arithmetic).
    angle = path_angle(60.0 * 1852.0 / 3600.0, 1000.0 * 0.3048 / 60.0)
    assert np.degrees(float(angle)) == pytest.approx(9.5, abs=0.05)
    assert path_angle(np.array([30.0, 40.0]), 5.0).shape == (2,)
    assert float(path_angle(10.0, -10.0)) == pytest.approx(-pi / 2)
    for speed, rate in ((10.0, 10.1), (0.0, 0.0), (-5.0, 1.0), (float("nan"), 1.0)):
        with pytest.raises(DomainError):
            path_angle(speed, rate)


def test_pitch_from_climb():
    got = pitch_from_climb(30.0, 5.0, radians(10.0), radians(2.0))
    assert isinstance(got, float)
    assert got == pytest.approx(asin(5.0 / 30.0) + radians(8.0))
    with pytest.raises(DomainError, match="angle of attack"):
        pitch_from_climb(30.0, 5.0, 10.0, 0.0)
    with pytest.raises(DomainError, match="pitch"):
        pitch_from_climb(10.0, 9.99, radians(40.0), 0.0)


@given(st.floats(0.0, 15.0))
def test_equivalent_pitch_tilts_alike(acceleration):
    angle = float(equivalent_pitch(acceleration))
    aft, _, up = effective_gravity(0.0, 0.0, forward=acceleration)
    assert tan(angle) == pytest.approx(-aft / up, abs=1e-12)
    assert angle == pytest.approx(atan(acceleration / G0))


def test_take_off_like_seventeen_degrees():
    assert np.degrees(float(equivalent_pitch(0.3 * G0))) == pytest.approx(16.7, abs=0.05)
    with pytest.raises(DomainError):
        equivalent_pitch(float("nan"))


@pytest.mark.parametrize(
    ("pitch", "roll", "word"),
    [(1.6, 0.0, "pitch"), (15.0, 0.0, "pitch"), (0.0, 3.2, "roll"), (float("nan"), 0.0, "pitch")],
)
def test_refuses_impossible_angles(pitch, roll, word):
    with pytest.raises(DomainError, match=word):
        effective_gravity(pitch, roll)


def test_refuses_impossible_turns_and_accelerations():
    with pytest.raises(DomainError, match="bank"):
        coordinated_turn(0.0, radians(90.0))
    with pytest.raises(DomainError, match="no steady turn"):
        coordinated_turn(radians(-80.0), radians(80.0), radians(44.0))
    with pytest.raises(DomainError, match="upward"):
        effective_gravity(0.0, 0.0, up=float("inf"))


def test_level_flight_axes_turn_into_the_datum_s():
    """Without roll the turned gravity is that of the whole pitch; its length never changes."""
    level, above = np.radians(3.0), np.radians([-9.0, 0.0, 14.0])
    turned = in_datum_axes(effective_gravity(above, 0.0), level)
    np.testing.assert_allclose(turned, effective_gravity(above + level, 0.0), atol=1e-15)
    rolled = effective_gravity(above, 0.4, forward=2.0)
    lengths = np.linalg.norm(in_datum_axes(rolled, level), axis=-1)
    np.testing.assert_allclose(lengths, np.linalg.norm(rolled, axis=-1), rtol=1e-14)


def test_a_turned_datum_gives_the_same_heights_in_a_slip():
    """Points and pitches of another datum line: every height but for the datum's own stays."""
    angle, level, above, roll = np.radians(4.0), np.radians(1.5), np.radians(8.0), 0.5
    points = np.array([[1.0, 0.3, 2.0], [0.2, -0.8, 0.5]])
    turn = np.array(
        [
            [np.cos(angle), 0.0, np.sin(angle)],
            [0.0, 1.0, 0.0],
            [-np.sin(angle), 0.0, np.cos(angle)],
        ]
    )
    flown = effective_gravity(above, roll, forward=1.0)
    one = height(points, in_datum_axes(flown, level))
    other = height(points @ turn.T, in_datum_axes(flown, level - angle))
    np.testing.assert_allclose(one, other, atol=1e-14)
