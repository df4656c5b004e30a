"""Newton's method with a line search on the content of a network, many scenarios at once.

The step is the global gradient step of Todini and Pilati (A gradient algorithm for the analysis of
pipe networks, 1987): heads are solved, flows follow.
"""

from dataclasses import dataclass

import numpy as np

from flowsim.network.elements import IntArray
from flowsim.network.laws import LinkLaws
from flowsim.network.linear import solve_symmetric
from flowsim.network.reach import Reach, hold_dead_nodes, only
from flowsim.physics.arrays import FloatArray

FLOOR_FLOW = 1e-11
"""[m3/s] Below it the *step* takes a quadratic law's slope at this flow (a slope of zero would
divide by zero); the law itself stays as it is."""
LEAK_SHARE = 1e-12
"""[-] Least slope of a step over that of a leak: nodes that hang on leaks alone keep a head."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """Where a search ended.

    ``flow`` (link, scenario) [m3/s], heads of the free nodes ``head`` (node, scenario) [m],
    ``iterations`` and ``residual`` (scenario,) [m], NaN if not converged.
    """

    flow: FloatArray
    head: FloatArray
    iterations: IntArray
    residual: FloatArray


class Search:
    """A search over the scenarios of one chunk.

    ``heads`` (node, scenario) of fixed nodes, ``demand`` (node, scenario); ``tolerance`` [-] on the
    residual, relative to the largest difference of fixed heads (at least 1 m).
    """

    def __init__(
        self, reached: Reach, heads: FloatArray, demand: FloatArray, tolerance: float
    ) -> None:
        self.reached = reached
        self.heads = np.where(np.isnan(heads), 0.0, heads)
        self.demand = demand
        self.count = heads.shape[1]
        spread = np.zeros(self.count)
        if len(reached.fixed):
            held = self.heads[reached.fixed]
            spread = held.max(axis=0) - held.min(axis=0)
        self.tolerance = tolerance * np.maximum(1.0, spread)

    def run(self, laws: LinkLaws, begin: FloatArray, most: int) -> Found:
        """Search from flows ``begin`` (link, scenario), at most ``most`` iterations."""
        count, reached = self.count, self.reached
        flow = only(begin.copy(), laws.alive)
        head = np.full((len(reached.free), count), np.nan)
        iterations = np.zeros(count, dtype=np.intp)
        residual = np.full(count, np.nan)
        if not len(reached.links):
            return Found(flow=flow, head=head, iterations=iterations, residual=np.zeros(count))
        active = np.arange(count)
        heads, demand = self.heads, self.demand
        current = flow
        loss, slope = laws.head_loss(current)
        free_head = head
        for iteration in range(1, most + 1):
            target, free_head = self._newton_flow(current, loss, slope, laws, heads, demand)
            drop = self._drop(heads, free_head)
            current, loss, slope = _line_search(
                laws, current, target, drop, loss, first=iteration == 1
            )
            misfit = np.abs(only(loss - drop, laws.alive)).max(axis=0)
            iterations[active] = iteration
            done = misfit <= self.tolerance[active]
            if done.any():
                finished = active[done]
                flow[:, finished] = current[:, done]
                head[:, finished] = free_head[:, done]
                residual[finished] = misfit[done]
                left = np.flatnonzero(~done)
                if not len(left):
                    break
                active, laws, heads = active[left], laws.take(left), heads[:, left]
                demand, current = demand[:, left], current[:, left]
                loss, slope = loss[:, left], slope[:, left]
                free_head = free_head[:, left]
        else:
            flow[:, active], head[:, active] = current, free_head
        return Found(flow=flow, head=head, iterations=iterations, residual=residual)

    def _newton_flow(
        self,
        flow: FloatArray,
        loss: FloatArray,
        slope: FloatArray,
        laws: LinkLaws,
        heads: FloatArray,
        demand: FloatArray,
    ) -> tuple[FloatArray, FloatArray]:
        """One global gradient step: heads of the free nodes, and the flows that follow."""
        reached = self.reached
        weight = step_weight(laws, slope)
        size, count = len(reached.free), flow.shape[1]
        matrix = np.zeros((size, size, count))
        right = -demand[reached.free]
        for row, (start, end) in enumerate(zip(reached.start, reached.end, strict=True)):
            first, second = reached.position[start], reached.position[end]
            base = flow[row] - weight[row] * loss[row]
            if first >= 0:
                matrix[first, first] += weight[row]
                right[first] -= base
            else:
                base = base + weight[row] * heads[start]
            if second >= 0:
                matrix[second, second] += weight[row]
                right[second] += base
                if first < 0:
                    continue
                matrix[first, second] -= weight[row]
                matrix[second, first] -= weight[row]
            elif first >= 0:
                right[first] += weight[row] * heads[end]
        hold_dead_nodes(matrix, laws.alive)
        free_head = solve_symmetric(matrix, right)
        drop = self._drop(heads, free_head)
        return flow + weight * (drop - loss), free_head

    def _drop(self, heads: FloatArray, free_head: FloatArray) -> FloatArray:
        """Head difference start minus end of every link (link, scenario)."""
        node = heads.copy()
        node[self.reached.free] = free_head
        difference: FloatArray = node[self.reached.start] - node[self.reached.end]
        return difference


def step_weight(laws: LinkLaws, slope: FloatArray) -> FloatArray:
    """Flow per head [m2/s] of a step (link, scenario), at the ``slope`` [s/m2] of the laws."""
    least = laws.quadratic_size() * FLOOR_FLOW
    if np.isfinite(laws.leak):
        least = np.maximum(least, LEAK_SHARE * laws.leak)
    return only(1.0 / np.maximum(slope, least), laws.alive)


def _line_search(
    laws: LinkLaws,
    flow: FloatArray,
    target: FloatArray,
    drop: FloatArray,
    loss: FloatArray,
    *,
    first: bool,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Go towards ``target`` until the content stops falling; give flow, loss and slope there.

    The derivative of the content along the step is sum((loss - drop) step): it starts below zero
    and rises. A full step is taken unless the derivative has become positive and as large as half
    of where it began; then the step is cut to where a straight line through both would be zero.
    The very first step only brings the flows into balance and is taken whole. Links that close or
    open in the step are left out of the sum: a full step puts them on the other side of their kink,
    where the next step is exact, while cutting the step there would stall everything else.
    """
    step = target - flow
    new_loss, new_slope = laws.head_loss(target)
    if first:
        return target, new_loss, new_slope
    weight = np.where(laws.stands(flow) | laws.stands(target), 0.0, step)
    begin = ((loss - drop) * weight).sum(axis=0)
    end = ((new_loss - drop) * weight).sum(axis=0)
    fraction = np.ones(flow.shape[1])
    low = np.zeros_like(fraction)
    overshoot = end > 0.5 * np.abs(begin)
    current, high_value, low_value = target, end, begin
    high = fraction.copy()
    for trial in range(40):
        if not overshoot.any():
            break
        with np.errstate(invalid="ignore", divide="ignore"):
            secant = (low * high_value - high * low_value) / (high_value - low_value)
        middle = 0.5 * (low + high)
        inside = (secant > low) & (secant < high) & (trial % 3 != 2)
        fraction = np.where(overshoot, np.where(inside, secant, middle), fraction)
        current = flow + fraction * step
        new_loss, new_slope = laws.head_loss(current)
        value = ((new_loss - drop) * weight).sum(axis=0)
        above = overshoot & (value > 0)
        below = overshoot & (value <= 0)
        high, high_value = np.where(above, fraction, high), np.where(above, value, high_value)
        low, low_value = np.where(below, fraction, low), np.where(below, value, low_value)
        overshoot = overshoot & (np.abs(value) > 0.5 * np.abs(begin))
    return current, new_loss, new_slope
