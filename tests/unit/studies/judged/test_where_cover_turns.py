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


def heights(made: FuelSystem, required: float, pull: float = 1.0) -> np.ndarray:
    """Give the depth at which doubt ends, that at which the outlet uncovers, where doubt begins.

    The dip is deepest in hot fuel, which is the lightest; what is in doubt hot and cold is judged.
    """
    hot, cold = (float(critical_dip(required / density(made.fuel, t), pull)) for t in (HOT, COLD))
    slack = DEVIATIONS * np.sqrt(2.0) * DEVIATION  # of surface and outlet
    return np.array([DIP_MOST * cold + slack, hot, hot - slack])


def matched(
    found: np.ndarray, depths: list[float], required: float, forward: float, steepest: float
) -> None:
    """Compare with the closed form, and see that each lies on the side that is in doubt."""
    made, pull = system(), float(np.hypot(1.0, forward / STANDARD_GRAVITY))
    steeper = np.arctan2(forward, STANDARD_GRAVITY)
    over = heights(made, required, pull)
    seen = 0
    for depth in depths:
        arm, lag = np.hypot(depth, LENGTH / 2), np.arctan2(LENGTH / 2, depth)
        for number, pitch in enumerate(np.arccos(over / pull / arm) - lag - steeper):
            if not 0.0 < pitch < steepest:
                continue
            nearest = found[np.argmin(np.abs(found - pitch))]
            assert nearest == pytest.approx(pitch, abs=CLOSE)
            here = pull * arm * np.cos(nearest + lag + steeper)
            assert (here > over[number]) == (number == 2)
            seen += 1
    assert seen == len(found) >= 2


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


CLIMBED = [DEPTHS["test quantity"], DEPTHS["least take-off fuel"]]


@pytest.mark.parametrize("purpose", [CLIMB, FLIGHT])
def test_in_the_climb_at_both_of_its_quantities(table, purpose):
    found = beside_whole(pitches(table, purpose, temperature=COLD))
    matched(found, CLIMBED, FACTOR * BURN, 0.0, np.radians(15.0))


def test_at_the_declared_unusable_fuel_by_its_own_flow(table):
    found = beside_whole(pitches(table, UNUSABLE, temperature=HOT))
    matched(found, [DEPTHS["declared unusable fuel"]], BURN, 0.0, np.radians(15.0))


def test_in_the_run_the_fuel_lies_further_back(table):
    found = beside_whole(pitches(table, RUN))
    matched(found, [DEPTHS["least take-off fuel"]], BURN, FORWARD, np.radians(12.0))


def test_between_the_stated_temperatures_each_quantity_has_its_own(table):
    names = [state.name for state in table.states]
    between = (table.scenarios.temperature > COLD) & (table.scenarios.temperature < HOT)
    climbing = between & (table.purpose == CLIMB)
    # With the test quantity in the tank nothing is easier than with the take-off fuel.
    assert {names[number] for number in table.state[climbing]} == {"test quantity"}
    found = beside_whole(np.unique(table.scenarios.pitch[climbing]), 5)
    matched(found, [DEPTHS["test quantity"]], FACTOR * BURN, 0.0, np.radians(15.0))


def test_a_vent_that_cannot_suck_adds_no_flight():
    """Without a carburettor the open line is flown only where air at a vent can take head away."""
    plain = system()
    (wing,) = plain.tanks
    for low, flown in ((-1.0, True), (0.0, False), (0.5, False)):
        vent = replace(wing.vent, coefficient_low=low, coefficient_high=0.6)
        made = scenario_table(assemble(replace(plain, tanks=(replace(wing, vent=vent),))))
        assert (made.purpose == FLIGHT).any() == flown
        assert not (made.purpose == DESCENT).any()
