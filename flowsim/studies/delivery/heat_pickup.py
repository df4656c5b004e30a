"""Heat that the fuel picks up at the engine: stated, on the lines that end at the inlet."""

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import vapour_pressure


def heat_at_the_engine(assembly: Assembly, temperature: FloatArray) -> FloatArray:
    """Give what the heat picked up adds to the vapour pressure on each link.

    Parameters
    ----------
    assembly : Assembly
    temperature : FloatArray (scenario,)
        Of the fuel in the tanks [K].

    Returns
    -------
    FloatArray (scenario, link)
        [Pa]; zero but on the lines that end at the engine's inlet, which take it over their whole
        length: where the firewall is need not be known.
    """
    system = assembly.system
    added = np.zeros((len(temperature), len(assembly.network.links)))
    pickup = system.engine.heat_pickup
    if pickup == 0.0:
        return added
    cold = vapour_pressure(system.fuel, temperature)
    rise = vapour_pressure(system.fuel, temperature + pickup) - cold
    for index, line in enumerate(system.lines):
        if system.engine.inlet in (line.start, line.end):
            added[:, index] = rise
    return added
