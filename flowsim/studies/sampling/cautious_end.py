"""Everything that is uncertain at its unfavourable end at once: less flow than nearly any draw."""

from dataclasses import replace

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.conditions import Factors
from flowsim.network.scenarios import Situation
from flowsim.physics.air.atmosphere import dynamic_pressure
from flowsim.physics.losses.law_shape import BandActs
from flowsim.physics.losses.laws import loss_law
from flowsim.studies.sampling.causes import cause_of, uncertain_inputs
from flowsim.studies.sampling.draws import Draws, draws_from

UNFAVOURABLE = 0.05
"""[-] Share of each band that lies beyond the end that is taken: bands are known by these ends.
Tag: common practice."""


def cautious_draw(assembly: Assembly) -> Draws:
    """Give one draw with every uncertain input at its unfavourable end (5 or 95 %).

    Every law rises with its factor, so a draw in which no input lies further out gives more flow.
    """
    # Of a coefficient or a bore a small one costs more.
    small = {
        cause_of(placed)
        for placed in assembly.network.placed
        if loss_law(placed.part).acts is not BandActs.LOSS
    }
    shares = [
        UNFAVOURABLE
        if item.key in small or item.key == "height" or item.of_vent
        else 1.0 - UNFAVOURABLE
        for item in uncertain_inputs(assembly)
    ]
    return draws_from(assembly, np.array([shares]))


def at_cautious_end(assembly: Assembly, situation: Situation) -> tuple[Situation, Factors]:
    """Give a situation and the factors on the laws with everything at its unfavourable end.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation

    Returns
    -------
    tuple of Situation, Factors
        The factors are shared by all scenarios.
    """
    drawn = cautious_draw(assembly)
    conditions, scenarios = situation.conditions, situation.scenarios
    ram = dynamic_pressure(scenarios.airspeed, scenarios.altitude)
    stated = np.array([tank.vent.pressure_coefficient for tank in assembly.system.tanks])
    change = np.minimum(drawn.vent[0] - stated, 0.0) * ram[:, None]
    weight = situation.density * STANDARD_GRAVITY
    heads = np.array(np.broadcast_to(conditions.fixed_head, situation.elevation.shape))
    for node, tank, _ in assembly.outlets:
        heads[:, node] += drawn.height[0] + change[:, tank] / weight
    viscosity = conditions.kinematic_viscosity * drawn.viscosity[0]
    worse = replace(
        situation,
        tank_pressure=situation.tank_pressure + change,
        conditions=replace(conditions, fixed_head=heads, kinematic_viscosity=viscosity),
    )
    return worse, drawn.factors
