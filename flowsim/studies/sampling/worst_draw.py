"""All that is uncertain as bad as in any of some draws, all at once: a bound for them all."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import FloatArray
from flowsim.physics.losses.friction import LAMINAR_END, TURBULENT_START, cautious
from flowsim.studies.sampling.draws import Draws


def worst_draws(assembly: Assembly, draws: Draws, groups: Sequence[npt.NDArray[np.intp]]) -> Draws:
    """Give for each group of draws one in which no flow is greater than in any of the group.

    Parameters
    ----------
    assembly : Assembly
    draws : Draws
    groups : sequence of arrays
        Which draws belong together, at least one in each.

    Returns
    -------
    Draws
        One for each group: losses, friction and viscosity the greatest, bores, surfaces and air
        over the fuel the least. Where a thicker liquid flows laminar its friction may be less than
        that of a thinner one: friction is raised by as much as the law can step there.
    """
    factors = draws.factors

    def most(values: FloatArray) -> FloatArray:
        return np.stack([values[group].max(axis=0) for group in groups])

    def least(values: FloatArray) -> FloatArray:
        return np.stack([values[group].min(axis=0) for group in groups])

    bore = least(factors.bore)
    return replace(
        draws,
        factors=replace(
            factors,
            loss=most(factors.loss),
            laminar=most(factors.laminar),
            bore=bore,
            friction=most(factors.friction) * _step_of_friction(assembly, bore),
        ),
        viscosity=most(draws.viscosity),
        height=least(draws.height),
        vent=least(draws.vent),
        values=draws.values[[group[0] for group in groups]],
    )


def _step_of_friction(assembly: Assembly, bore: FloatArray) -> float:
    """Give by how much friction may rise as a liquid thins: from laminar to turbulent, at most."""
    pipes = assembly.network.pipes
    if not len(pipes.part):
        return 1.0
    roughness = pipes.roughness / (pipes.bore * bore.min(axis=0))
    start = np.full_like(roughness, TURBULENT_START)
    turbulent = cautious(start, roughness)[0] / TURBULENT_START
    return max(1.0, float(turbulent.max()) * LAMINAR_END / 64.0)
