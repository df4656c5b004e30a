"""Balance of flow at the nodes: how far it is off, and the last rounding mended."""

import numpy as np

from flowsim.network.laws import LinkLaws, take_columns
from flowsim.network.linear import solve_symmetric
from flowsim.network.reach import Reach, hold_dead_nodes, only
from flowsim.network.search import step_weight
from flowsim.physics.arrays import FloatArray

GOOD = 1e-12
"""[-] Imbalance over the largest flow that is left as it is."""
LEAST_SHARE = 1e-3
"""[-] Weight of a still link against one with the scenario's largest flow."""


def balance(reached: Reach, flow: FloatArray, demand: FloatArray) -> FloatArray:
    """Inflow less outflow less demand at every free node (free node, scenario) [m3/s]."""
    excess = -demand[reached.free]
    for row, (start, end) in enumerate(zip(reached.start, reached.end, strict=True)):
        if reached.position[start] >= 0:
            excess[reached.position[start]] -= flow[row]
        if reached.position[end] >= 0:
            excess[reached.position[end]] += flow[row]
    return excess


def refine(
    reached: Reach, laws: LinkLaws, flow: FloatArray, head: FloatArray, demand: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Take one more step, in what is left out of balance, where a search ended out of balance.

    A link with an all but flat law beside viscous ones makes the heads of a whole step good to
    some 1e-7 m only. The step from the excess alone does not suffer: it is small, and so are its
    errors.

    Parameters
    ----------
    reached : Reach
    laws : LinkLaws (link, scenario)
    flow : FloatArray (link, scenario)
        [m3/s]
    head : FloatArray (free node, scenario)
        [m]
    demand : FloatArray (node, scenario)
        [m3/s]

    Returns
    -------
    tuple of FloatArray
        Flows [m3/s] and heads [m] of the same shapes.
    """
    excess = balance(reached, flow, demand)
    largest = np.abs(flow).max(axis=0, initial=0.0)
    columns = np.flatnonzero(np.abs(excess).max(axis=0, initial=0.0) > GOOD * largest)
    if not len(columns):
        return flow, head
    some = laws.take(columns)
    _, slope = some.head_loss(flow[:, columns])
    potential, push = _spread(reached, step_weight(some, slope), excess[:, columns])
    finer, raised = flow.copy(), head.copy()
    finer[:, columns] += push
    raised[:, columns] += potential
    return finer, raised


def rebalance(reached: Reach, flow: FloatArray, demand: FloatArray) -> FloatArray:
    """Spread what rounding left out of balance over the links, the larger flows taking more.

    A still link without a linear term has an all but flat law, so the last bit of its head is a
    good many bits of its flow. The corrections are that small: they change heads by rounding.

    Parameters
    ----------
    reached : Reach
    flow : FloatArray (link, scenario)
        [m3/s]
    demand : FloatArray (node, scenario)
        [m3/s]

    Returns
    -------
    FloatArray (link, scenario)
    """
    excess = balance(reached, flow, demand)
    largest = np.abs(flow).max(axis=0, initial=0.0)
    columns = np.flatnonzero(np.abs(excess).max(axis=0, initial=0.0) > GOOD * largest)
    if not len(columns):
        return flow
    size = np.abs(flow[:, columns])
    weight = only(size + LEAST_SHARE * largest[columns], take_columns(reached.alive, columns))
    _, push = _spread(reached, weight, excess[:, columns])
    mended = flow.copy()
    mended[:, columns] += push
    return mended


def _spread(
    reached: Reach, weight: FloatArray, excess: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give potentials (free node, scenario) and flows (link, scenario) that take up an excess."""
    count = len(reached.free)
    matrix = np.zeros((count, count, excess.shape[1]))
    for row, (start, end) in enumerate(zip(reached.start, reached.end, strict=True)):
        first, second = reached.position[start], reached.position[end]
        for node in (first, second):
            if node >= 0:
                matrix[node, node] += weight[row]
        if first >= 0 and second >= 0:
            matrix[first, second] -= weight[row]
            matrix[second, first] -= weight[row]
    hold_dead_nodes(matrix, reached.alive)
    potential = solve_symmetric(matrix, excess.copy())
    padded = np.vstack([potential, np.zeros(excess.shape[1])])
    push = padded[reached.position[reached.start]] - padded[reached.position[reached.end]]
    return potential, weight * push
