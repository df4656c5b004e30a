"""The pitches that are judged because an outlet's cover turns there, against a closed form.

A box tank that is L long and holds a depth d, its floor wet all over, has the surface
d cos p - L/2 sin p above an outlet at the middle of its front edge: it turns about its middle.
"""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import assemble
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.fuel.properties import density
from flowsim.studies.judged.blocks import ScenarioTable
from flowsim.studies.judged.cover_doubt import DEVIATIONS, DIP_MOST
from flowsim.studies.judged.scenarios import (
    CLIMB,
    DESCENT,
    FLIGHT,
    RUN,
    UNUSABLE,
    fuel_states,
    scenario_table,
)
from flowsim.system.engine import Engine
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point
from flowsim.system.routing import GroundAttitude, Routing
from flowsim.system.tanks import Vent
from tests.support.systems import flight, line, one_tank, tank

LENGTH, AREA = 0.2, 0.2
DEPTHS = {"declared unusable fuel": 0.023, "test quantity": 0.028, "least take-off fuel": 0.034}
"""[m] Of fuel in the level tank."""
COLD, HOT = 248.15, 328.15
BURN, FACTOR, DEVIATION, FORWARD = 0.008, 1.5, 0.0005, 0.8
CLOSE = np.radians(0.0201)
"""[rad] A turn is found to 0.02 deg."""


def system(**given) -> FuelSystem:
    at = Point(1.2, 0.0, 1.4)
    wing = tank(
        "wing", Point(1.2, -0.5, 1.4), Point(1.2 + LENGTH, 0.5, 1.6), {"front": at},
        unusable=AREA * DEPTHS["declared unusable fuel"],
        least_takeoff=AREA * DEPTHS["least take-off fuel"],
        vent=Vent(kind="cap", pressure_coefficient=-0.5, coefficient_low=-1.0,
                  coefficient_high=0.0, group="wing"),
    )  # fmt: skip
    down = line("down", "wing.front", "engine", [at, Point(1.2, 0, 0.3), Point(0.5, 0, 0.2)])
    engine = Engine(
        inlet="engine", inlet_at=Point(0.5, 0, 0.2), burn=BURN, basis="stated", factor=FACTOR
    )
    return one_tank(
        tanks=(wing,),
        lines=(down,),
        engine=engine,
        temperatures=(COLD, HOT),
        test_draw=AREA * (DEPTHS["test quantity"] - DEPTHS["declared unusable fuel"]),
        height_deviation=DEVIATION,
        flight=flight(acceleration=FORWARD),
        routing=Routing(ground=GroundAttitude(gear="tailwheel", pitch=np.radians(12.0))),
        drains=(),
        **given,
    )


def turns(made: FuelSystem, depth: float, required: float, forward: float = 0.0) -> np.ndarray:
    """Pitches [rad] at which doubt begins, the outlet uncovers as stated, and doubt ends.

    The dip is deepest in hot fuel, which is the lightest; what is in doubt hot and cold is judged.
    """
    pull = float(np.hypot(1.0, forward / STANDARD_GRAVITY))
    hot, cold = (
        float(critical_dip(required / density(made.fuel, t), pull)) for t in (HOT, COLD)
    )  # fmt: skip
    slack = DEVIATIONS * np.sqrt(2.0) * DEVIATION  # of surface and outlet
    heights = np.array([DIP_MOST * cold + slack, hot, hot - slack])
    arm = np.hypot(depth, LENGTH / 2)
    steeper = np.arctan2(forward, STANDARD_GRAVITY)
    return np.arccos(heights / pull / arm) - np.arctan2(LENGTH / 2, depth) - steeper


def pitches(table: ScenarioTable, purpose: str, **wanted) -> np.ndarray:
    rows = table.purpose == purpose
    for name, value in wanted.items():
        rows &= getattr(table if name == "state" else table.scenarios, name) == value
    return np.unique(table.scenarios.pitch[rows])


def beside_whole(found: np.ndarray, step: int = 1) -> np.ndarray:
    """Those that are no multiple of so many degrees, nor the climb's own two."""
    degrees = np.degrees(found)
    whole = np.isclose(degrees / step, np.round(degrees / step), atol=1e-6)
    return found[~(whole | np.isclose(degrees, 10.0) | np.isclose(degrees, 15.0))]


@pytest.fixture(scope="module")
def table() -> ScenarioTable:
    return scenario_table(assemble(system()))


def matched(found: np.ndarray, expected: np.ndarray) -> None:
    expected = np.sort(expected)
    assert len(found) == len(expected)
    np.testing.assert_allclose(found, expected, atol=CLOSE)


@pytest.mark.parametrize("purpose", [CLIMB, FLIGHT])
def test_in_the_climb_at_both_of_its_quantities(table, purpose):
    both = [
        turns(system(), DEPTHS[name], FACTOR * BURN)
        for name in ("test quantity", "least take-off fuel")
    ]
    expected = np.concatenate(both)
    found = beside_whole(pitches(table, purpose, temperature=COLD))
    matched(found, expected[(expected > 0.0) & (expected < np.radians(15.0))])


def test_at_the_declared_unusable_fuel_by_its_own_flow(table):
    expected = turns(system(), DEPTHS["declared unusable fuel"], BURN)
    assert (expected > np.radians(-3.0)).all()
    found = beside_whole(pitches(table, UNUSABLE, temperature=HOT))
    matched(found, expected[expected > 0.0])


def test_in_the_run_the_fuel_lies_further_back(table):
    expected = turns(system(), DEPTHS["least take-off fuel"], BURN, FORWARD)
    assert ((expected > 0.0) & (expected < np.radians(12.0))).sum() >= 2
    found = beside_whole(pitches(table, RUN))
    matched(found, expected[(expected > 0.0) & (expected < np.radians(12.0))])


@pytest.mark.parametrize("name", ["test quantity", "least take-off fuel"])
def test_between_the_stated_temperatures_each_quantity_has_its_own(name):
    names = [state.name for state in fuel_states(assemble(system()))]
    made = scenario_table(assemble(system()))
    between = (made.scenarios.temperature > COLD) & (made.scenarios.temperature < HOT)
    mine = between & (made.purpose == CLIMB) & (made.state == names.index(name))
    if name == "least take-off fuel":
        assert not mine.any()  # with less in the tank nothing is easier
        return
    expected = turns(system(), DEPTHS[name], FACTOR * BURN)
    found = beside_whole(np.unique(made.scenarios.pitch[mine]), 5)
    matched(found, expected[(expected > 0.0) & (expected < np.radians(15.0))])


def test_a_vent_that_cannot_suck_adds_no_flight():
    """Without a carburettor the open line is flown only where air at a vent can take head away."""
    plain = system()
    (wing,) = plain.tanks
    for low, flown in ((-1.0, True), (0.0, False), (0.5, False)):
        vent = replace(wing.vent, coefficient_low=low, coefficient_high=0.6)
        made = scenario_table(assemble(replace(plain, tanks=(replace(wing, vent=vent),))))
        assert (made.purpose == FLIGHT).any() == flown
        assert not (made.purpose == DESCENT).any()
