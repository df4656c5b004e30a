"""The surface over an outlet in a turn, against the dip at that pull worked by hand."""

import math

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import assemble
from flowsim.network.scenarios import OPEN_LINE, build_scenarios, situate
from flowsim.physics.attitude import coordinated_turn, height
from flowsim.physics.fuel.properties import density
from flowsim.physics.tank.surface import quantity_below
from tests.support.systems import one_tank


@pytest.mark.parametrize("depth", [0.95, 1.05])
def test_an_outlet_of_a_turning_tank_uncovers_at_that_depth(depth) -> None:
    """A box that turns about its own axis keeps a level surface: only the pull differs."""
    assembly = assemble(one_tank())
    bank = math.radians(30.0)
    gravity = coordinated_turn(np.zeros(1), np.array([bank]))
    wing, outlet = assembly.system.tanks[0], assembly.outlets[0]
    flow = assembly.system.engine.burn / float(density(assembly.system.fuel, 288.15))
    dip = 0.69 * (flow**2 * math.cos(bank) / STANDARD_GRAVITY) ** 0.2
    level = height(np.array([wing.outlets[0].at]), gravity)[:, 0]
    quantity = quantity_below(wing.shape, gravity, level + depth * dip / math.cos(bank))
    scenarios = build_scenarios(
        assembly, position=0, gravity=gravity, pitch=np.zeros(1), quantity=quantity[:, None],
        temperature=288.15, end=OPEN_LINE, dip_flow=assembly.system.engine.burn,
    )  # fmt: skip
    covered = situate(assembly, scenarios).cover[0, 0] > 0.0
    assert outlet[0] == 0
    assert covered == (depth > 1.0)
