"""Attitudes of a flight by hand: whole degrees from level, turns, slips, the take-off run."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.studies.judged.flight_attitudes import (
    FLOWN_SLIP,
    LEVEL,
    RUN,
    SLIP,
    TURN,
    attitudes_of,
    flown_slips,
)
from flowsim.system.routing import GroundAttitude, Routing
from tests.support.systems import flight, one_tank

LOW, LEVEL_PITCH, CLIMB, MARGIN, GROUND = np.radians([-2.5, 1.0, 10.0, 5.0, 12.0])


def flown(**routing):
    ground = GroundAttitude(gear="tailwheel", pitch=float(GROUND))
    pitches = flight(level_pitch=LEVEL_PITCH, climb_pitch=CLIMB, test_margin=MARGIN)
    pitches = replace(pitches, descent_pitch=float(LOW))
    return one_tank(flight=pitches, routing=Routing(ground=ground, **routing))


def of_kind(attitudes, kind):
    mine = np.array(attitudes.kind) == kind
    return attitudes.pitch[mine], attitudes.lean[mine], attitudes.gravity[mine]


def test_pitches_are_whole_degrees_from_level_between_descent_and_test_attitude():
    """From 2.5 deg nose-down to 10 + 5 deg, level at 1 deg: -2.5, -2, ..., 15."""
    pitch, lean, gravity = of_kind(attitudes_of(flown()), LEVEL)
    expected = [-2.5, *range(-2, 16)]
    assert np.degrees(pitch) == pytest.approx(expected, abs=1e-9)
    assert (lean == 0.0).all()
    # Station line aft, waterline up: nose-up, what is down lies aft and below.
    assert gravity[:, 0] == pytest.approx(np.sin(pitch), abs=1e-12)
    assert gravity[:, 2] == pytest.approx(-np.cos(pitch), abs=1e-12)


def test_without_a_stated_descent_nothing_lies_below_level():
    system = flown()
    system = replace(system, flight=replace(system.flight, descent_pitch=None))
    pitch, _, _ = of_kind(attitudes_of(system), LEVEL)
    assert np.degrees(pitch) == pytest.approx(list(range(1, 16)), abs=1e-9)


def test_turns_and_slips_are_at_every_pitch_to_either_side():
    attitudes = attitudes_of(flown())
    _, turns, _ = of_kind(attitudes, TURN)
    _, slips, gravity = of_kind(attitudes, SLIP)
    count = (np.array(attitudes.kind) == LEVEL).sum()
    assert np.unique(np.degrees(turns).round(9)).tolist() == [20.0, 30.0]
    assert np.unique(np.degrees(slips).round(9)).tolist() == [-30.0, -20.0, 20.0, 30.0]
    assert (len(turns), len(slips)) == (2 * count, 4 * count)
    # A slip leans what is down towards the low wing: as much as its sine where pitch is level.
    assert (np.sign(gravity[:, 1]) == np.sign(slips)).all()


def test_the_run_is_in_the_ground_attitude_and_level():
    pitch, _, gravity = of_kind(attitudes_of(flown()), RUN)
    assert pitch == pytest.approx([LEVEL_PITCH, GROUND])
    assert np.linalg.norm(gravity, axis=1) == pytest.approx([np.hypot(1.0, 0.3)] * 2, rel=0.01)
    system = flown()
    unstated = replace(system, routing=replace(system.routing, ground=None))
    assert of_kind(attitudes_of(unstated), RUN)[0] == pytest.approx([LEVEL_PITCH])


def test_flown_slips_are_level_and_in_the_descent_to_either_side():
    """A slip leans what is down to the low wing; nose-down, less of it lies aft."""
    assert flown_slips(flown()) is None
    slip = float(np.radians(12.0))
    system = flown(slip=slip)
    found = flown_slips(system)
    assert found is not None
    assert set(found.kind) == {FLOWN_SLIP}
    assert found.pitch == pytest.approx([LOW, LEVEL_PITCH] * 2)
    assert found.lean == pytest.approx([-slip, -slip, slip, slip])
    across = np.sin(found.lean) * np.cos(found.pitch - LEVEL_PITCH)
    assert found.gravity[:, 1] == pytest.approx(across)
    for row in (1, 3):  # level: no part of it along the level axis
        level_axis = np.array([np.cos(LEVEL_PITCH), 0.0, np.sin(LEVEL_PITCH)])
        assert found.gravity[row] @ level_axis == pytest.approx(0.0, abs=1e-12)
    assert found.gravity[0, 0] < found.gravity[1, 0]  # nose-down: less of it aft
    among = attitudes_of(system)
    assert of_kind(among, FLOWN_SLIP)[1] == pytest.approx(found.lean)
    undescended = replace(system, flight=replace(system.flight, descent_pitch=None))
    assert flown_slips(undescended).pitch == pytest.approx([LEVEL_PITCH] * 2)
