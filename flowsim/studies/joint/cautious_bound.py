"""A bound from below on what a scenario gives in any draw: every band at its cautious end at once.

Each factor is taken beyond its 1e-5 quantile on the side that costs flow: losses, friction and
coefficients high, bores low, surfaces low, vents low, fuel both thick and thin, air of uncleared
humps in place. The laws are monotone in each, so no draw gives less (but for one in 1e5 for each
input).
"""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import Factors
from flowsim.physics.air.atmosphere import dynamic_pressure
from flowsim.physics.arrays import FloatArray
from flowsim.studies.delivery.deliver import deliver, take
from flowsim.studies.delivery.trapped_air import with_held_head
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.causes import uncertain_inputs
from flowsim.studies.sampling.draws import Draws, draws_from

BEYOND = 1e-5
"""[-] Share of its distribution that lies beyond the end at which each input is taken.

Tag: common practice (a convention of this program, no source).
"""


def cautious_ratios(sweep: Sweep, rows: npt.NDArray[np.intp]) -> FloatArray:
    """Give the ratio of flow to required with every band at its cautious end.

    Parameters
    ----------
    sweep : Sweep
    rows : (n,)
        Rows of the sweep's table, judged ones.

    Returns
    -------
    FloatArray (n,)
        The lesser of thick and thin fuel [-]; zero where it cannot be solved, which proves nothing.
    """
    if not len(rows):
        return np.zeros(0)
    ends = _ends(sweep)
    least = np.full(len(rows), np.inf)
    for viscosity in ends.viscosity:
        least = np.minimum(least, _ratios(sweep, rows, ends, float(viscosity)))
    return least


def _ends(sweep: Sweep) -> Draws:
    """Give two draws: all inputs beyond their low and beyond their high end."""
    count = len(uncertain_inputs(sweep.assembly))
    return draws_from(
        sweep.assembly, np.array([np.full(count, BEYOND), np.full(count, 1.0 - BEYOND)])
    )


def _ratios(sweep: Sweep, rows: npt.NDArray[np.intp], ends: Draws, viscosity: float) -> FloatArray:
    size = len(rows)
    factors = Factors(
        loss=np.tile(ends.factors.loss.max(axis=0), (size, 1)),
        laminar=np.tile(ends.factors.laminar.max(axis=0), (size, 1)),
        bore=np.tile(ends.factors.bore.min(axis=0), (size, 1)),
        friction=np.full(size, ends.factors.friction.max()),
    )
    base = take(sweep.situation, rows)
    conditions, scenarios = base.conditions, base.scenarios
    ram = dynamic_pressure(scenarios.airspeed, scenarios.altitude)
    pressure = ends.vent.min(axis=0) * ram[:, None]
    weight = base.density * STANDARD_GRAVITY
    heads = conditions.fixed_head.copy()
    for node, tank, _ in sweep.assembly.outlets:
        change = (pressure[:, tank] - base.tank_pressure[:, tank]) / weight
        heads[:, node] += ends.height.min() + change
    situation = replace(
        base,
        tank_pressure=pressure,
        conditions=replace(
            conditions,
            fixed_head=heads,
            kinematic_viscosity=conditions.kinematic_viscosity * viscosity,
        ),
    )
    judged = np.searchsorted(sweep.judged_rows, rows)
    held = sweep.trapped.held_head[judged]
    if held.any():
        situation = with_held_head(situation, held)
    found = deliver(sweep.assembly, situation, factors)
    ratio = found.deliverable * situation.density / sweep.table.required[rows]
    return np.asarray(np.nan_to_num(ratio, nan=0.0))
