"""A line loses what its parts lose one by one, in every scenario by itself."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.conditions import nominal_factors
from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.network.placing import of_liquid
from flowsim.physics.fuel.catalogue import fuel_named
from flowsim.physics.fuel.properties import kinematic_viscosity
from flowsim.physics.losses.laws import head_loss
from flowsim.system.parts import Exit, MinorLoss, Step
from tests.support.small_networks import PETROL_VISCOSITY as VISCOSITY
from tests.support.small_networks import (
    conditions,
    fitting,
    quadratic,
    tube,
)
from tests.unit.network.test_laws import PARTS, SCREEN, laws_of

FLOWS = (-4e-5, -3e-6, 2e-7, 5e-6, 4e-5)
NARROWS = Step(name="narrows", bore_from=9e-3, bore_to=6e-3)
WIDENS = Step(name="widens", bore_from=6e-3, bore_to=9e-3)
EXIT = Exit(name="exit", bore=7.75e-3)
LINES = {
    "two of one way, two of the other": (
        (fitting(2.0, k_laminar=300.0), 1), (quadratic(3e7), 1), (fitting(1.2), -1),
        (quadratic(2e7), -1), (tube(), 0),
    ),
    "equal steps beside another": ((WIDENS, 1), (WIDENS, 1), (NARROWS, 1), (EXIT, 1), (EXIT, -1)),
    "a step and its way back": ((NARROWS, 1), (WIDENS, -1), (tube(0.4), 0)),
    "all kinds": tuple((part, 0) for part in PARTS.values()),
    "a loss too small to see beside a screen": ((fitting(1e-9), 0), (SCREEN, 0)),
}  # fmt: skip


def line_of(parts):
    placed = tuple(
        PlacedPart(part=part, key=f"part {number}", direction=direction)
        for number, (part, direction) in enumerate(parts)
    )
    ends = np.array([True, True])
    return Network(("A", "B"), ends, (Link(name="line", start=0, end=1, parts=placed),))


def one_by_one(parts, flow):
    """The sum of what every part loses; against its direction only a viscous term is left."""
    loss = 0.0
    for part, direction in parts:
        against = flow * direction < 0
        if isinstance(part, Exit | Step):
            lost = 0.0 if against else np.sign(flow) * head_loss(part, abs(flow), VISCOSITY)[0]
        elif against:
            viscous = isinstance(part, MinorLoss)
            lost = head_loss(replace(part, k_inf=0.0), flow, VISCOSITY)[0] if viscous else 0.0
        else:
            lost = head_loss(part, flow, VISCOSITY)[0]
        loss += float(lost)
    return loss


@pytest.mark.parametrize("name", LINES)
@pytest.mark.parametrize("flow", FLOWS)
def test_a_line_loses_what_its_parts_lose(name, flow):
    line = line_of(LINES[name])
    loss, _ = laws_of(line, conditions(line, {"A": 0.0})).head_loss(np.array([[flow]]))
    assert loss[0, 0] == pytest.approx(one_by_one(LINES[name], flow), rel=1e-9)


@pytest.mark.parametrize("name", LINES)
def test_a_line_of_another_liquid_is_made_of_its_steps_too(name):
    line = line_of([item for item in LINES[name] if item[0] is not PARTS["measured"]])
    given = conditions(line, {"A": 0.0})
    thicker = replace(given, kinematic_viscosity=2.3 * given.kinematic_viscosity)
    own, made = laws_of(line, given).of_viscosity(2.3), laws_of(line, thicker)
    for flow in FLOWS:
        got, wanted = (one.head_loss(np.array([[flow]]))[0] for one in (own, made))
        np.testing.assert_allclose(got, wanted, rtol=1e-12)


def test_each_scenario_has_its_own_screens_and_factors():
    line = line_of(LINES["all kinds"])
    clear = np.array([np.nan, 0.2, 0.1, 0.4])
    given = conditions(line, {"A": np.zeros(4)})
    given = replace(given, screen_clear=clear)
    nominal = nominal_factors(line)
    scale = np.array([[1.0], [1.4], [0.8], [1.1]])
    factors = replace(
        nominal, loss=scale * nominal.loss, laminar=scale**2 * nominal.laminar,
        bore=np.tile(nominal.bore, (4, 1)), friction=np.tile(nominal.friction, 4),
    )  # fmt: skip
    flow = 2e-5
    together = laws_of(line, given, factors).head_loss(np.full((1, 4), flow))[0][0]
    for number in range(4):
        alone = laws_of(line, given.take(np.array([number])), factors.take(np.array([number])))
        expected = alone.head_loss(np.array([[flow]]))[0][0, 0]
        assert together[number] == pytest.approx(expected, rel=1e-12)
    assert len(set(np.round(together, 9))) == 4


def test_laws_of_some_scenarios_are_those_of_all():
    line = line_of(LINES["two of one way, two of the other"])
    given = conditions(line, {"A": np.zeros(3)})
    given = replace(given, kinematic_viscosity=np.array([0.6e-6, 1e-6, 2e-6]))
    nominal = nominal_factors(line)
    scale = np.array([[0.9], [1.0], [1.2]])
    factors = replace(
        nominal, loss=scale * nominal.loss, laminar=np.tile(nominal.laminar, (3, 1)),
        bore=np.tile(nominal.bore, (3, 1)), friction=np.tile(nominal.friction, 3),
    )  # fmt: skip
    laws = laws_of(line, given, factors)
    for flow in (-2e-5, 2e-5):
        whole = laws.head_loss(np.full((1, 3), flow))[0]
        some = laws.take(np.array([2, 0])).head_loss(np.full((1, 2), flow))[0]
        np.testing.assert_array_equal(some, whole[:, [2, 0]])


def test_a_table_without_a_liquid_is_taken_as_read_with_the_fuel_and_a_stated_one_stays():
    fuel = fuel_named("avgas 100LL")
    table = PARTS["measured"]
    assert table.viscosity is None
    found = of_liquid(table, fuel)
    assert found.viscosity == pytest.approx(float(kinematic_viscosity(fuel, 288.15)), rel=1e-12)
    stated = replace(found, viscosity=3e-6)
    assert of_liquid(stated, fuel) is stated
    assert of_liquid(SCREEN, fuel) is SCREEN


def test_nominal_factors_are_shared_and_cannot_be_written_to():
    factors = nominal_factors(line_of(LINES["all kinds"]))
    for shared in (factors.loss, factors.laminar, factors.bore, factors.friction):
        with pytest.raises(ValueError, match="read-only"):
            shared[...] = 2.0
