"""One builder of scenarios: what is one number holds in all of them, and lengths must fit."""

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE, build_scenarios
from flowsim.physics.attitude import effective_gravity
from tests.support.systems import one_tank, two_tanks

PITCH = np.array([0.0, 0.1, 0.2])


def test_one_number_holds_in_all_scenarios():
    made = build_scenarios(assemble(one_tank()), pitch=PITCH, quantity=0.03, temperature=288.15)
    assert made.count == 3
    assert made.quantity.tolist() == [[0.03]] * 3
    assert made.temperature.tolist() == [288.15] * 3
    assert made.end.tolist() == [OPEN_LINE] * 3
    assert made.position.dtype == np.intp
    np.testing.assert_array_equal(made.gravity, effective_gravity(PITCH, np.zeros(3)))


def test_every_axis_may_be_the_one_that_counts():
    assembly = assemble(two_tanks())
    made = build_scenarios(
        assembly,
        pitch=0.1,
        quantity=np.array([0.02, 0.03]),
        temperature=np.array([270.0, 300.0]),
        end=CARBURETTOR,
    )
    assert made.count == 2
    assert made.pitch.tolist() == [0.1, 0.1]
    assert made.quantity.tolist() == [[0.02, 0.03]] * 2
    assert made.end.tolist() == [CARBURETTOR] * 2
    assert made.altitude.tolist() == [assembly.system.flight.pressure_altitude] * 2


def test_none_at_all_are_none():
    made = build_scenarios(
        assemble(one_tank()), pitch=np.zeros(0), quantity=np.zeros((0, 1)), temperature=288.15
    )
    assert made.count == 0


def test_screens_are_dirty_only_where_there_are_any():
    bare = assemble(one_tank())
    assert not bare.network.has_screens
    made = build_scenarios(bare, pitch=0.0, quantity=0.03, temperature=288.0, screen_clear=0.2)
    assert np.isnan(made.screen_clear).all()


def test_lengths_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="broadcast"):
        build_scenarios(
            assemble(one_tank()), pitch=PITCH, quantity=0.03, temperature=np.array([280.0, 290.0])
        )


def test_each_scenario_has_memory_of_its_own():
    made = build_scenarios(assemble(one_tank()), pitch=PITCH, quantity=0.03, temperature=288.15)
    made.quantity[0] = 0.01
    assert made.quantity[1, 0] == 0.03
