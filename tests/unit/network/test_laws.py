"""Laws of links: slope against finite differences, direction, factors, screens."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import nominal_factors
from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.network.laws import link_laws
from flowsim.physics.losses.laws import head_loss
from flowsim.system.parts import Exit, FlowCoefficient, MeasuredDrop, Orifice, Screen
from tests.support.random_networks import random_conditions, random_network
from tests.support.small_networks import (
    PETROL_DENSITY,
    PETROL_VISCOSITY,
    conditions,
    fitting,
    living,
    network,
    one_way_valve,
    quadratic,
    tube,
)

SCREEN = Screen(
    name="screen", area=1e-3, wires_per_metre=2362.0, wire_diameter=1.905e-4, clear_fraction=0.5
)
PARTS = {
    "tube": tube(1.2),
    "fitting": fitting(1.5, k_laminar=800.0),
    "flow coefficient": FlowCoefficient(name="valve", kind="valve", bore=6e-3, kv=0.4),
    "orifice": Orifice(name="seat", kind="seat", bore=3e-3, discharge_coefficient=0.65),
    "screen": SCREEN,
    "stated loss": quadratic(5e7),
    "measured": MeasuredDrop(
        name="filter", kind="filter", bore=6e-3, flows=(5e-6, 1e-5, 2e-5),
        drops=(80.0, 250.0, 900.0), density=720.0,
    ),
}  # fmt: skip


def laws_of(of, given, factors=None, direction=0):
    return link_laws(
        of,
        living(of),
        np.full((len(of.links), 1), direction, dtype=np.int8),
        given,
        nominal_factors(of) if factors is None else factors,
    )


def single(part, direction=0):
    placed = PlacedPart(part=part, key="part", direction=direction)
    link = Link(name="line", start=0, end=1, parts=(placed,))
    return Network(("A", "B"), np.array([True, True]), (link,))


@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize("flow", [-3e-5, -2e-6, 0.0, 1e-7, 8e-6, 4e-5])
def test_a_link_of_one_part_has_that_parts_law(name, flow):
    line = single(PARTS[name])
    laws = laws_of(line, conditions(line, {"A": 0.0}))
    loss, slope = laws.head_loss(np.array([[flow]]))
    expected, expected_slope = head_loss(PARTS[name], flow, PETROL_VISCOSITY)
    assert loss[0, 0] == pytest.approx(float(expected), rel=1e-12, abs=1e-15)
    assert slope[0, 0] == pytest.approx(float(expected_slope), rel=1e-12)


@pytest.mark.parametrize("seed", range(12))
def test_slopes_are_the_derivatives_of_losses(seed):
    generator = np.random.default_rng(seed)
    of = random_network(generator)
    laws = laws_of(of, random_conditions(generator, of, 9))
    size = 10 ** generator.uniform(-7, -4, (len(of.links), 9))
    flow = size * generator.choice([-1.0, 1.0], size.shape)
    step = 1e-5 * size
    _, slope = laws.head_loss(flow)
    difference = (laws.head_loss(flow + step)[0] - laws.head_loss(flow - step)[0]) / (2 * step)
    # A table of measured drops has kinks of curvature, tube friction a steep bridge: second order.
    np.testing.assert_allclose(slope, difference, rtol=2e-4, atol=1e-6 * slope.max())
    assert (slope > 0).all()


@pytest.mark.parametrize("seed", range(4))
def test_losses_rise_with_flow(seed):
    generator = np.random.default_rng(100 + seed)
    of = random_network(generator)
    laws = laws_of(of, random_conditions(generator, of, 1))
    flow = np.concatenate([-np.geomspace(1e-4, 1e-9, 300), np.geomspace(1e-9, 1e-4, 300)])
    losses = np.array([laws.head_loss(np.full((len(of.links), 1), q))[0][:, 0] for q in flow])
    assert (np.diff(losses, axis=0) > 0).all()


def test_a_part_with_a_direction_costs_its_quadratic_term_that_way_only():
    line = single(fitting(2.0, k_laminar=100.0), direction=1)
    laws = laws_of(line, conditions(line, {"A": 0.0}))
    forward, _ = laws.head_loss(np.array([[2e-5]]))
    backward, _ = laws.head_loss(np.array([[-2e-5]]))
    assert forward[0, 0] > -10 * backward[0, 0] > 0  # backward only the viscous term is left


@pytest.mark.parametrize("direction", [-1, 1])
def test_a_one_way_link_leaks_against_its_direction_and_flows_along_it(direction):
    line = single(fitting(2.0, k_laminar=100.0))
    plain = laws_of(line, conditions(line, {"A": 0.0}), direction=direction)
    leaky = replace(plain, leak=1e10)
    for flow in (2e-5, 0.0, -2e-5):
        loss, slope = leaky.head_loss(np.array([[flow]]))
        if flow * direction > 0:
            assert not leaky.stands(np.array([[flow]])).any()
            expected = plain.head_loss(np.array([[flow]]))
            assert (loss, slope) == expected
        else:
            assert leaky.stands(np.array([[flow]])).all()
            assert (loss[0, 0], slope[0, 0]) == (1e10 * flow, 1e10)
        assert not plain.stands(np.array([[flow]])).any()  # without a leak none is asked for


def test_cracking_pressure_is_asked_of_the_way_that_it_opens_only():
    line = single(one_way_valve(500.0))
    given = conditions(line, {"A": 0.0})
    head = 500.0 / (PETROL_DENSITY * STANDARD_GRAVITY)
    for direction, expected in ((1, head), (0, head), (-1, 0.0)):
        loss, _ = laws_of(line, given, direction=direction).head_loss(np.zeros((1, 1)))
        assert loss[0, 0] == pytest.approx(expected)


def test_shares_of_one_part_add_up():
    part = fitting(3.0, k_laminar=400.0)
    shares = tuple(PlacedPart(part=part, key="part", share=share) for share in (0.5, 0.5))
    split = Network(
        ("A", "B"), np.array([True, True]), (Link(name="line", start=0, end=1, parts=shares),)
    )
    whole = single(part)
    flow = np.array([[3e-5]])
    loss, _ = laws_of(split, conditions(split, {"A": 0.0})).head_loss(flow)
    expected, _ = laws_of(whole, conditions(whole, {"A": 0.0})).head_loss(flow)
    np.testing.assert_allclose(loss, expected, rtol=1e-14)


def test_a_dirty_screen_has_the_lesser_of_the_stated_clear_fraction_and_the_scenarios():
    flow = np.array([[2e-5]])
    for stated, clear, lesser in ((0.9, 0.2, 0.2), (0.05, 0.2, 0.05), (0.5, 1.0, 0.5)):
        screen = replace(SCREEN, clear_fraction=stated)
        line = single(screen)
        dirty = replace(conditions(line, {"A": 0.0}), screen_clear=np.array([clear]))
        loss, _ = laws_of(line, dirty).head_loss(flow)
        expected, _ = head_loss(replace(screen, clear_fraction=lesser), 2e-5, PETROL_VISCOSITY)
        assert loss[0, 0] == pytest.approx(float(expected), rel=1e-12)


@pytest.mark.parametrize(
    ("name", "part", "flow"),
    [("loss", quadratic(4e7), 2e-5), ("laminar", fitting(0.0, k_laminar=700.0), 2e-5),
     ("friction", tube(), 3e-5), ("loss", Exit(name="exit", bore=7.75e-3), 4e-5)],
)  # fmt: skip
def test_a_factor_scales_its_law(name, part, flow):
    line = single(part, direction=1 if isinstance(part, Exit) else 0)
    given = conditions(line, {"A": 0.0})
    nominal = nominal_factors(line)
    changed = replace(nominal, **{name: 1.3 * getattr(nominal, name)})
    plain, slope = laws_of(line, given).head_loss(np.array([[flow]]))
    scaled, scaled_slope = laws_of(line, given, changed).head_loss(np.array([[flow]]))
    np.testing.assert_allclose(scaled, 1.3 * plain, rtol=1e-12)
    np.testing.assert_allclose(scaled_slope, 1.3 * slope, rtol=1e-12)


def test_a_factor_on_the_bore_is_a_tube_of_that_bore():
    line, wider = single(tube()), single(tube(bore=1.02 * 7.75e-3))
    nominal = nominal_factors(line)
    changed = replace(nominal, bore=1.02 * nominal.bore)
    flow = np.array([[3e-5]])
    loss, slope = laws_of(line, conditions(line, {"A": 0.0}), changed).head_loss(flow)
    expected = laws_of(wider, conditions(wider, {"A": 0.0})).head_loss(flow)
    np.testing.assert_allclose([loss, slope], expected, rtol=1e-12)


def test_cracking_and_held_head_stand_at_the_threshold():
    line = network(["A", "B"], [("A", "B", (one_way_valve(720.0 * 9.80665 * 0.05),))])
    laws = laws_of(line, conditions(line, {"A": 0.0}, held={"A-B": 0.1}))
    assert laws.threshold[0, 0] == pytest.approx(0.15, rel=1e-12)
    loss, _ = laws.head_loss(np.array([[0.0]]))
    assert loss[0, 0] == pytest.approx(0.15, rel=1e-12)


def test_a_scenario_that_is_lost_does_not_change_the_laws_of_another():
    line = network(["A", "B"], [("A", "B", (tube(), Exit(name="exit", bore=7.75e-3)))])
    laws = laws_of(line, conditions(line, {"A": 0.0}))
    alone, slope = laws.head_loss(np.array([[4e-5]]))
    beside, slopes = laws.head_loss(np.array([[np.nan, 4e-5]]))
    assert np.isnan(beside[0, 0])
    assert (beside[0, 1], slopes[0, 1]) == (alone[0, 0], slope[0, 0])


@pytest.mark.parametrize("name", [name for name in PARTS if name != "measured"])
def test_the_laws_of_another_liquid_are_those_made_for_it(name):
    line = single(PARTS[name])
    given = conditions(line, {"A": 0.0})
    thicker = replace(given, kinematic_viscosity=1.7 * given.kinematic_viscosity)
    own, made = laws_of(line, given).of_viscosity(1.7), laws_of(line, thicker)
    for flow in (-3e-5, -2e-6, 1e-7, 8e-6, 4e-5):
        for got, wanted in zip(
            own.head_loss(np.array([[flow]])), made.head_loss(np.array([[flow]])), strict=True
        ):
            assert got[0, 0] == pytest.approx(wanted[0, 0], rel=1e-12)


@pytest.mark.parametrize("part", [PARTS["measured"], one_way_valve(500.0)])
def test_the_laws_of_another_liquid_are_not_guessed_where_they_hang_on_more(part):
    line = single(part)
    assert laws_of(line, conditions(line, {"A": 0.0})).of_viscosity(1.1) is None
