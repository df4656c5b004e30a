"""A bound from below on what a scenario gives in any draw: every band at its cautious end at once.

Each factor is taken beyond its 1e-5 quantile on the side that costs flow: losses, friction and
coefficients high, bores low, surfaces low, vents low, fuel both thick and thin, air of uncleared
humps in place. Where an outlet is bare, the air of its own tank draws down the fuel in its leg: the
vents of such tanks are taken high as well. The laws are monotone in each, so no draw gives less
(but for one in 1e5 for each input).
"""

from dataclasses import replace
from itertools import product

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import Factors
from flowsim.physics.air.atmosphere import dynamic_pressure
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.delivery.deliver import deliver, take
from flowsim.studies.delivery.trapped_air import with_held_head
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.causes import uncertain_inputs
from flowsim.studies.sampling.draws import Draws, draws_from

BEYOND = 1e-5
"""[-] Share of its distribution that lies beyond the end at which each input is taken.

Tag: common practice (a convention of this program, no source).
"""


def cautious_ratios(
    sweep: Sweep, rows: npt.NDArray[np.intp], enough: float = -np.inf
) -> FloatArray:
    """Give the ratio of flow to required with every band at its cautious end.

    Parameters
    ----------
    sweep : Sweep
    rows : (n,)
        Rows of the sweep's table, judged ones.
    enough : float
        [-] What gives less than that at one end is not looked at at the others.

    Returns
    -------
    FloatArray (n,)
        The lesser of thick and thin fuel [-], and more only below ``enough``; zero where it cannot
        be solved, which proves nothing.
    """
    if not len(rows):
        return np.zeros(0)
    ends = _ends(sweep)
    least = np.full(len(rows), np.inf)
    bare = _bare_tanks(sweep, rows)
    vented = (bare & (np.ptp(ends.vent, axis=0) > 0)).any(axis=1)
    vents = ((np.ones(len(rows), dtype=bool), np.zeros_like(bare)), (vented, bare))
    for viscosity, (asked, raised) in product(ends.viscosity.tolist(), vents):
        some = np.flatnonzero(asked & (least >= enough))
        if len(some):
            found = _ratios(sweep, rows[some], ends, viscosity, raised[some])
            least[some] = np.minimum(least[some], found)
    return least


def _bare_tanks(sweep: Sweep, rows: npt.NDArray[np.intp]) -> BoolArray:
    """Tanks with an outlet that fuel does not cover (scenario, tank)."""
    bare = np.zeros((len(rows), len(sweep.assembly.system.tanks)), dtype=bool)
    uncovered = sweep.situation.uncovered[rows]
    for index, (_, tank, _) in enumerate(sweep.assembly.outlets):
        bare[:, tank] |= uncovered[:, index]
    return bare


def _ends(sweep: Sweep) -> Draws:
    """Give two draws: all inputs beyond their low and beyond their high end."""
    count = len(uncertain_inputs(sweep.assembly))
    return draws_from(
        sweep.assembly, np.array([np.full(count, BEYOND), np.full(count, 1.0 - BEYOND)])
    )


def _ratios(
    sweep: Sweep, rows: npt.NDArray[np.intp], ends: Draws, viscosity: float, raised: BoolArray
) -> FloatArray:
    """Give the ratios at one end of the viscosity, with the vents of ``raised`` tanks high."""
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
    vent = np.where(raised, ends.vent.max(axis=0), ends.vent.min(axis=0))
    pressure = vent * ram[:, None]
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
