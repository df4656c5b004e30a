"""Balance of flow at the nodes: how far it is off, and the last rounding mended."""

import numpy as np

from flowsim.network.form_laws import take_columns
from flowsim.network.laws import LinkLaws
from flowsim.network.reach import Reach, only
from flowsim.network.search import step_weight
from flowsim.physics.arrays import FloatArray

GOOD = 1e-12
"""[-] Imbalance over the largest flow that is left as it is."""
STILL_FLOW = 1e-13
"""[m3/s] A scenario without a larger flow stands still: what is left is rounding."""
LEAST_FLOW = 1e-12
"""[m3/s] Flow against a one-way link's direction that is still taken for rounding; the least flow
that an imbalance is measured by."""
LEAST_SHARE = 1e-3
"""[-] Weight of a still link against one with the scenario's largest flow."""


def balance(reached: Reach, flow: FloatArray, demand: FloatArray) -> FloatArray:
    """Inflow less outflow less demand at every free node (free node, scenario) [m3/s].

    Parameters
    ----------
    reached : Reach
        The living part of the network.
    flow : FloatArray (link, scenario)
        [m3/s]
    demand : FloatArray (free node, scenario)
        [m3/s]

    Returns
    -------
    FloatArray (free node, scenario)
        [m3/s]
    """
    return reached.excess(flow, demand[reached.free])


def settle(
    reached: Reach, laws: LinkLaws, flow: FloatArray, head: FloatArray, demand: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Bring what a search found into balance to the last digits.

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
        Flows [m3/s], zero in scenarios that stand still; heads [m]; the largest misfit of a node's
        balance over the largest flow (scenario,) [-].
    """
    misfit, largest = _misfit(reached, flow, demand)
    if (misfit > GOOD * largest).any():
        flow, head = refine(reached, laws, flow, head, demand)
        flow = rebalance(reached, flow, demand)
        misfit, largest = _misfit(reached, flow, demand)
    still = largest < STILL_FLOW
    if still.any():
        flow = np.where(still, 0.0, flow)
        misfit, largest = _misfit(reached, flow, demand)
    return flow, head, misfit / np.maximum(largest, LEAST_FLOW)


def _misfit(reached: Reach, flow: FloatArray, demand: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Largest misfit of a node's balance, and largest flow (scenario,) [m3/s]."""
    excess = balance(reached, flow, demand)
    return _largest(excess), _largest(flow)


def _largest(values: FloatArray) -> FloatArray:
    """Largest size in each scenario (scenario,)."""
    size: FloatArray = np.abs(values).max(axis=0, initial=0.0)
    return size


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
    largest = _largest(flow)
    columns = np.flatnonzero(_largest(excess) > GOOD * largest)
    if not len(columns):
        return flow, head
    some = laws.take(columns)
    _, slope = some.head_loss(take_columns(flow, columns))
    potential, push = _spread(reached, step_weight(some, slope), take_columns(excess, columns))
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
        [m3/s]
    """
    excess = balance(reached, flow, demand)
    largest = _largest(flow)
    columns = np.flatnonzero(_largest(excess) > GOOD * largest)
    if not len(columns):
        return flow
    size = np.abs(take_columns(flow, columns))
    weight = only(size + LEAST_SHARE * largest[columns], take_columns(reached.alive, columns))
    _, push = _spread(reached, weight, take_columns(excess, columns))
    mended = flow.copy()
    mended[:, columns] += push
    return mended


def _spread(
    reached: Reach, weight: FloatArray, excess: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give potentials (free node, scenario) and flows (link, scenario) that take up an excess."""
    dead = not reached.alive.all()
    potential = reached.elimination.solve(weight, excess.copy(), dead=dead)
    return potential, weight * reached.drop(potential)
