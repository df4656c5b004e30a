"""Newton's method with a line search on the content of a network, many scenarios at once.

The step is the global gradient step of Todini and Pilati (A gradient algorithm for the analysis of
pipe networks, 1987): heads are solved, flows follow.
"""

from dataclasses import dataclass

import numpy as np

from flowsim.network.form_laws import take_columns
from flowsim.network.laws import LinkLaws
from flowsim.network.reach import Reach, only
from flowsim.physics.arrays import BoolArray, FloatArray, FloatLike, IntArray

FLOOR_FLOW = 1e-11
"""[m3/s] Below it the *step* takes a quadratic law's slope at this flow (a slope of zero would
divide by zero); the law itself stays as it is."""
LEAK_SHARE = 1e-12
"""[-] Least slope of a step over that of a leak: nodes that hang on leaks alone keep a head."""
MOST_CUTS = 40
"""Looks at the laws for one step; the bracket then is a billionth of it."""
PATIENCE = 12
"""Iterations after which links that close or open count in the line search, and after as many more
do not: leaving them out may go round in a circle, counting them may creep along a kink."""
WORTH_CUTTING = 0.7
"""[-] Scenarios that are done are left out of the arrays when not more than this share is left:
the copying costs about as much as a third of an iteration."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RootsFound:
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
        self.masked = not reached.alive.all()
        self.count = heads.shape[1]
        self.outflow = np.ascontiguousarray(demand[reached.free])
        held = np.zeros(heads.shape)
        held[reached.fixed] = np.nan_to_num(heads[reached.fixed])
        self.push = held[reached.start] - held[reached.end]
        spread = np.zeros(self.count)
        if len(reached.fixed):
            held = held[reached.fixed]
            spread = held.max(axis=0) - held.min(axis=0)
        self.tolerance = tolerance * np.maximum(1.0, spread)

    def run(self, laws: LinkLaws, begin: FloatArray, most: int) -> RootsFound:
        """Search the flows at which every node is in balance.

        Parameters
        ----------
        laws : LinkLaws
            Of the links of ``reached``, in all scenarios.
        begin : FloatArray (link, scenario)
            [m3/s] Flows to start from; of (link, 1) all scenarios start from the laws of the
            first, which shifts no answer: the first step is whole, and only the flows that it
            brings into balance count.
        most : int
            Iterations at most.

        Returns
        -------
        RootsFound
        """
        count, reached = self.count, self.reached
        flow = np.empty((len(begin), count))
        head = np.full((len(reached.free), count), np.nan)
        iterations = np.zeros(count, dtype=np.intp)
        residual = np.full(count, np.nan)
        if not len(reached.links):
            residual = np.zeros(count)
            return RootsFound(flow=flow, head=head, iterations=iterations, residual=residual)
        active = np.arange(count)
        going = np.ones(count, dtype=bool)
        outflow, push, tolerance = self.outflow, self.push, self.tolerance
        free_head, least = head, _least_slope(laws)
        current = only(begin, laws.alive)
        first = laws.take(np.zeros(1, dtype=np.intp)) if begin.shape[1] == 1 else laws
        loss, slope = first.head_loss(begin)
        for iteration in range(1, most + 1):
            weight = _weight(slope, least, laws.alive)
            target, drop, free_head = self._step(current, loss, weight, push, outflow)
            enough = np.inf if iteration == 1 else tolerance
            counted = bool((iteration - 1) // PATIENCE % 2)
            current, loss, slope = _line_search(
                laws, current, target, drop, loss, enough, counts_kinks=counted
            )
            misfit = _misfit(laws, loss, drop)
            done = going & (misfit <= tolerance)
            if done.any():
                finished = active[done]
                flow[:, finished] = current[:, done]
                head[:, finished] = free_head[:, done]
                residual[finished] = misfit[done]
                iterations[finished] = iteration
                going &= ~done
                left = np.flatnonzero(going)
                if not len(left):
                    break
                if len(left) <= WORTH_CUTTING * len(going):
                    active, laws, going = active[left], laws.take(left), going[left]
                    outflow, push, least, current, loss, slope, free_head = (
                        take_columns(values, left)
                        for values in (outflow, push, least, current, loss, slope, free_head)
                    )
                    tolerance = tolerance[left]
        else:
            left = np.flatnonzero(going)
            flow[:, active[left]] = take_columns(current, left)
            head[:, active[left]] = take_columns(free_head, left)
            iterations[active[left]] = most
        return RootsFound(flow=flow, head=head, iterations=iterations, residual=residual)

    def _step(
        self,
        flow: FloatArray,
        loss: FloatArray,
        weight: FloatArray,
        push: FloatArray,
        outflow: FloatArray,
    ) -> tuple[FloatArray, FloatArray, FloatArray]:
        """One global gradient step: flows, head drops of the links, and heads of the free nodes.

        ``push`` (link, scenario) [m] is the head drop of each link if all free nodes stood at zero.
        """
        reached = self.reached
        base = push - loss
        base *= weight
        base += flow
        inflow = reached.excess(base, outflow)
        free_head = reached.elimination.solve(weight, inflow, dead=self.masked)
        rise = reached.drop(free_head)
        drop = push + rise
        rise *= weight
        rise += base
        return rise, drop, free_head


def step_weight(laws: LinkLaws, slope: FloatArray) -> FloatArray:
    """Flow per head [m2/s] of a step (link, scenario), at the ``slope`` [s/m2] of the laws.

    Parameters
    ----------
    laws : LinkLaws
        Of the living links.
    slope : FloatArray (link, scenario)
        [s/m2]

    Returns
    -------
    FloatArray (link, scenario)
        [m2/s]
    """
    return _weight(slope, _least_slope(laws), laws.alive)


def _least_slope(laws: LinkLaws) -> FloatArray:
    """Slope [s/m2] below which a step does not go (link, scenario)."""
    least = laws.quadratic_size() * FLOOR_FLOW
    if np.isfinite(laws.leak):
        least = np.maximum(least, LEAK_SHARE * laws.leak)
    return least


def _weight(slope: FloatArray, least: FloatArray, alive: BoolArray) -> FloatArray:
    weight = np.maximum(slope, least)
    np.divide(1.0, weight, out=weight)
    return only(weight, alive)


def _line_search(
    laws: LinkLaws,
    flow: FloatArray,
    target: FloatArray,
    drop: FloatArray,
    loss: FloatArray,
    enough: FloatLike,
    *,
    counts_kinks: bool = False,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Go towards ``target`` until the content stops falling; give flow, loss and slope there.

    The derivative of the content along the step is sum((loss - drop) step): it starts below zero
    and rises. A full step is taken unless the derivative has become positive and as large as half
    of where it began; then the step is cut to where a straight line through both would be zero.
    A step that ends with a misfit within ``enough`` [m] is taken whole, for near the solution both
    derivatives are rounding; so is the very first, which only brings the flows into balance. Links
    that close or open in the step are left out of the sum: a full step puts them on the other side
    of their kink, where the next step is exact, while cutting the step there would stall the rest.
    Without them steps may go round in a circle, so now and then they count (``counts_kinks``).
    """
    new_loss, new_slope = laws.head_loss(target)
    wrong = ~(_misfit(laws, new_loss, drop) <= enough)
    if not wrong.any():
        return target, new_loss, new_slope
    step = target - flow
    weight = step
    if np.isfinite(laws.leak) and not counts_kinks:
        weight = np.where(laws.against(flow) | laws.against(target), 0.0, step)
    begin = _along(loss, drop, weight)
    end = _along(new_loss, drop, weight)
    columns = np.flatnonzero(wrong & (end > 0.5 * np.abs(begin)))
    if not len(columns):
        return target, new_loss, new_slope
    some = laws.take(columns)
    flow, step, weight, drop = (
        take_columns(values, columns) for values in (flow, step, weight, drop)
    )
    begin, end = begin[columns], end[columns]
    current, cut_loss, cut_slope = _cut(some, flow, step, weight, drop, begin, end)
    found = target.copy()
    found[:, columns] = current
    new_loss[:, columns], new_slope[:, columns] = cut_loss, cut_slope
    return found, new_loss, new_slope


def _misfit(laws: LinkLaws, loss: FloatArray, drop: FloatArray) -> FloatArray:
    """Largest misfit of a living link's law (scenario,) [m]."""
    off = only(loss - drop, laws.alive)
    np.abs(off, out=off)
    worst: FloatArray = off.max(axis=0)
    return worst


def _along(loss: FloatArray, drop: FloatArray, weight: FloatArray) -> FloatArray:
    """Give the derivative of the content along a step (scenario,)."""
    off = loss - drop
    off *= weight
    along: FloatArray = off.sum(axis=0)
    return along


def _cut(
    laws: LinkLaws,
    flow: FloatArray,
    step: FloatArray,
    weight: FloatArray,
    drop: FloatArray,
    begin: FloatArray,
    end: FloatArray,
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Cut steps that go too far: flow, loss and slope where the derivative is half gone.

    ``begin`` and ``end`` (scenario,) are the derivatives at either end of the whole step.
    """
    fraction = np.ones(flow.shape[1])
    low, high = np.zeros_like(fraction), fraction.copy()
    low_value, high_value = begin, end
    current, loss, slope = flow, flow, flow
    overshoot = np.ones(flow.shape[1], dtype=bool)
    for trial in range(MOST_CUTS):
        with np.errstate(invalid="ignore", divide="ignore"):
            secant = (low * high_value - high * low_value) / (high_value - low_value)
        middle = 0.5 * (low + high)
        inside = (secant > low) & (secant < high) & (trial % 3 != 2)
        fraction = np.where(overshoot, np.where(inside, secant, middle), fraction)
        current = flow + fraction * step
        loss, slope = laws.head_loss(current)
        value = _along(loss, drop, weight)
        above = overshoot & (value > 0)
        below = overshoot & (value <= 0)
        high, high_value = np.where(above, fraction, high), np.where(above, value, high_value)
        low, low_value = np.where(below, fraction, low), np.where(below, value, low_value)
        overshoot = overshoot & (np.abs(value) > 0.5 * np.abs(begin))
        if not overshoot.any():
            break
    return current, loss, slope
