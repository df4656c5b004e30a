"""Legs whose outlet is uncovered: they carry nothing, and fuel stands in them above a junction.

Law: docs/theory/air.md. The static pressure at the first flowing junction decides: while it is
above the tank's own air pressure, fuel stands in the leg; when it falls to it, air is drawn.
"""

from collections import deque

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.elements import Network
from flowsim.network.outcome import link_bore
from flowsim.network.scenarios import Situation
from flowsim.network.solver import Solution
from flowsim.physics.arrays import FloatArray

STILL = 1e-13
"""[m3/s] Flow below which a link counts as standing still (0.4 mL/h is 1e-10)."""


def standing_columns(assembly: Assembly, situation: Situation, solution: Solution) -> FloatArray:
    """Height of fuel standing in each uncovered leg, above its first flowing junction.

    Parameters
    ----------
    assembly : Assembly
    situation, solution
        Of the same scenarios.

    Returns
    -------
    FloatArray (scenario, outlet)
        [m], with one velocity head of the junction's fastest leg taken off, because the static
        pressure there decides. Negative: air is drawn. NaN for covered outlets and where a leg
        meets no flow (nothing moves that could draw air).
    """
    network = assembly.network
    heights = np.full(situation.cover.shape, np.nan)
    column = situation.tank_pressure / (situation.density[:, None] * STANDARD_GRAVITY)
    area = np.pi * link_bore(network) ** 2 / 4
    speed_head = (solution.flow / area) ** 2 / (2 * STANDARD_GRAVITY)
    bare = situation.uncovered & ~np.isnan(situation.cover)
    open_line = assembly.line_allowed[situation.scenarios.position] > 0
    rows = np.flatnonzero(bare.any(axis=1) & solution.converged & solution.supplied)
    moving = np.abs(solution.flow[rows]) > STILL
    state = np.where(moving, 2, open_line[rows])
    state[:, assembly.open_link :] = np.where(moving[:, assembly.open_link :], 2, 0)
    patterns, which = _patterns(state)
    for number, pattern in enumerate(patterns):
        members = rows[which.reshape(-1) == number]
        for index, (node, tank, _) in enumerate(assembly.outlets):
            here = members[bare[members, index]]
            if not len(here):
                continue
            for junction in _first_flowing(network, pattern, node):
                touches = (network.start == junction) | (network.end == junction)
                fastest = speed_head[here][:, touches].max(axis=1)
                above = solution.head[here, junction] - situation.elevation[here, junction]
                value = above - column[here, tank] - fastest
                heights[here, index] = np.fmin(heights[here, index], value)
    return heights


def _patterns(
    state: npt.NDArray[np.intp],
) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
    """Distinct rows and which of them each row is; draws of one scenario are mostly alike."""
    if len(state) and (state == state[0]).all():
        return state[:1], np.zeros(len(state), dtype=np.intp)
    patterns, which = np.unique(state, axis=0, return_inverse=True)
    return patterns, which


def _first_flowing(network: Network, pattern: npt.NDArray[np.intp], outlet: int) -> list[int]:
    """Junctions that flow and are joined to ``outlet`` by standing links alone.

    ``pattern`` (link,): 0 closed, 1 open but still, 2 moving.
    """
    found: list[int] = []
    seen = {outlet}
    queue = deque([outlet])
    while queue:
        node = queue.popleft()
        touches = (network.start == node) | (network.end == node)
        if node != outlet and (pattern[touches] == 2).any():
            found.append(node)
            continue
        for link in np.flatnonzero(touches & (pattern == 1)):
            far = int(network.end[link] if network.start[link] == node else network.start[link])
            if far not in seen and not network.fixed[far]:
                seen.add(far)
                queue.append(far)
    return found
