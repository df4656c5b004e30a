"""A scenario of a result as arrays again, to work on with it."""

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import CARBURETTOR, END_NAMES, OPEN_LINE, Scenarios, build_scenarios
from flowsim.studies.judged.blocks import DIRTY_SCREEN
from flowsim.studies.judged.flight_conditions import gravity_along
from flowsim.studies.result import AS_STATED, ScenarioResult


def scenarios_of(assembly: Assembly, scenario: ScenarioResult) -> Scenarios:
    """Give a scenario of a result as the one row of an array.

    Parameters
    ----------
    assembly : Assembly
        Of the system that the result is of.
    scenario : ScenarioResult

    Returns
    -------
    Scenarios
        One scenario.
    """
    names = [position.name for position in assembly.positions]
    held = dict(scenario.quantities)
    dirty = scenario.screens != AS_STATED
    pitch, roll = np.array([scenario.pitch]), np.array([scenario.roll])
    return build_scenarios(
        assembly,
        gravity=gravity_along(pitch, roll, scenario.forward_acceleration),
        pitch=pitch,
        roll=roll,
        position=names.index(scenario.selector),
        quantity=np.array([held[tank.name] for tank in assembly.system.tanks]),
        temperature=scenario.temperature,
        airspeed=scenario.airspeed,
        altitude=scenario.altitude,
        end=OPEN_LINE if scenario.end == END_NAMES[OPEN_LINE] else CARBURETTOR,
        dip_flow=scenario.required,
        screen_clear=DIRTY_SCREEN if dirty else np.nan,
    )
