"""Air at less than the required flow, where the outlets of several tanks are open at once."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.network.standing import rank
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.delivery.deliver import LOOKED_AT, take
from flowsim.studies.delivery.pressures import at_drawn_flow, at_required_flow
from flowsim.studies.judged.sweep import sweep_of
from flowsim.system.fuel_system import FuelSystem
from tests.support.random_systems import random_system


def lowered(seed: int) -> FuelSystem:
    """Give a random system with little fuel in its tanks."""
    system, dice = random_system(seed), np.random.default_rng([seed, 9])
    tanks = tuple(
        replace(
            tank,
            unusable=tank.unusable * dice.uniform(0.02, 1),
            least_takeoff=tank.least_takeoff * dice.uniform(0.02, 1),
        )
        for tank in system.tanks
    )
    return replace(system, tanks=tanks)


@pytest.mark.parametrize("seed", [87, 246])
def test_air_is_found_that_is_drawn_at_lesser_flows_alone(seed: int):
    assembly = assemble(lowered(seed))
    table = judged_table(assembly)
    swept = sweep_of(assembly, table)
    rows = swept.judged_rows
    judged, required = take(swept.situation, rows), table.required[rows]
    at_required = at_required_flow(assembly, judged, required)
    worst = rank(at_required.air_margin, at_required.air_least)
    for share in LOOKED_AT:  # every flow in every scenario, without the short cut
        drawn = at_drawn_flow(assembly, judged, share * required)
        worst = np.fmin(worst, rank(drawn.air_margin, drawn.air_least))
    found = swept.at_required
    np.testing.assert_allclose(rank(found.air_margin, found.air_least), worst, atol=1e-7)
    hidden = (found.air_margin < 0) & ~(at_required.air_margin < 0)
    assert hidden.any()
    assert not (found.air_margin > at_required.air_margin).any()
