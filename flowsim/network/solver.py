"""The batch solve: flows and heads of a network in thousands of scenarios at once.

Every law h(Q) is strictly increasing, so the flows minimise a convex function (the "content" of
the network) under the balance of flow at the nodes: there is one solution, and Newton's method with
a line search reaches it from anywhere (``flowsim.network.search``).

One-way links are conditions on top: closed with the head against them, or open with flow along
them. A first search lets closed links leak a little, which tells the closed ones; then the rest is
solved exactly without them, and the conditions are checked on that exact solution. A link that
breaks its condition changes sides and the rest is solved again.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.balance import LEAST_FLOW, settle
from flowsim.network.conditions import BACKWARD, FORWARD, Conditions, Factors, nominal_factors
from flowsim.network.elements import Network
from flowsim.network.enclosed import head_bounds
from flowsim.network.form_laws import as_slice
from flowsim.network.laws import LinkLaws, link_laws
from flowsim.network.patterns import alike_rows
from flowsim.network.reach import Reach, reach
from flowsim.network.search import Search
from flowsim.physics.arrays import FloatArray, IntArray

CHUNK = 8192
"""Most scenarios solved together: large enough to be quick."""
ENTRIES = 160_000
"""Links times scenarios solved together, small enough to stay in the cache: with many links fewer
scenarios, but not fewer than ``FEW``."""
KEPT_MEMORY = 31 << 20
"""[byte] A piece so large, freed once, tells the usual C library to keep freed memory at hand
instead of giving it back after each array: a third of the time of a solve. No more is used."""
FEW = 1024
"""Fewer scenarios with the same open links are solved together with others of that kind: beyond it
a search of their own is quicker than one that carries links they do not have."""
MOST_ITERATIONS = 100
LEAKY_ITERATIONS = 30
"""Of the first search; scenarios that need more are led there by weaker leaks."""
FLIPS = 3
"""Rounds of changing sides before the first search."""
MOST_ROUNDS = 40
"""Rounds of changing sides; from half of them on only the worst link of a scenario changes."""
HEAD_TOLERANCE = 1e-11
"""[-] Residual of a link's head relative to the largest head difference (at least 1 m)."""
LEAKY_TOLERANCE = 1e-7
LEAKS = (1e10, 1e6, 1e8, 1e10)
"""[s/m2] Resistance of closed links in the first search: 1 m of head leaks 1e-10 m3/s. Scenarios
that do not converge with the first are led there in steps."""
DRAWN_DOWN = 1e3
"""[m] More than any head: by which a demand that is cut off opens links that lead to it."""
START_VELOCITY = 0.6
"""[m/s] Where the search for flows starts in every link."""


np.empty(KEPT_MEMORY, dtype=np.uint8)


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """What came out, per scenario.

    ``flow`` (scenario, link) [m3/s], positive from start to end; ``head`` (scenario, node) [m],
    NaN where a node is cut off from every fixed head. ``converged`` False means NaN everywhere.
    ``supplied`` is False where a demand has no way to reach it (then its flows are NaN, which is
    not a failure of the search). ``residual`` [m] largest misfit of a link's law;
    ``imbalance`` [-] largest misfit of a node's balance over the largest flow.
    """

    flow: FloatArray
    head: FloatArray
    iterations: npt.NDArray[np.intp]
    residual: FloatArray
    imbalance: FloatArray
    converged: npt.NDArray[np.bool_]
    supplied: npt.NDArray[np.bool_]


def solve(
    network: Network,
    conditions: Conditions,
    factors: Factors | None = None,
    *,
    start: FloatArray | None = None,
) -> Solution:
    """Solve ``network`` in every scenario of ``conditions``.

    Parameters
    ----------
    network : Network
    conditions : Conditions
        Heads [m], demands [m3/s], liquid and open links of each scenario.
    factors : Factors, optional
        Factors on the laws; 1 where not given.
    start : FloatArray (scenario, link), optional
        Flows [m3/s] to start from. The answer does not depend on it.

    Returns
    -------
    Solution
        Scenarios that did not converge hold NaN.
    """
    factors = nominal_factors(network) if factors is None else factors
    task = _Task(network, conditions, factors, start)
    rows = np.arange(conditions.count)
    # A first guess that is nearly always right: what may only flow backward (an uncovered outlet's
    # leg) stands still, what may only flow forward (the open end) flows. It is checked like any. So
    # are the sides of flows to start from.
    shut = task.direction < 0
    if start is not None:
        still = (task.direction != 0) & (start * task.direction <= 0)
        shut = np.where(np.isnan(start).any(axis=1, keepdims=True), shut, still)
    task.exact(rows, shut)
    wrong = _wrong_side(task, shut, rows, only_worst=False)
    for _ in range(FLIPS):
        # Most of the rest is right with what was wrong on the other side: quicker than a search.
        again = np.flatnonzero(wrong.any(axis=1) & ~_failed(task, rows))
        if not len(again):
            break
        shut[rows[again]] ^= wrong[again]
        task.exact(rows[again], shut)
        rows = rows[wrong.any(axis=1) | _failed(task, rows)]
        wrong = _wrong_side(task, shut, rows, only_worst=False)
    rows = rows[wrong.any(axis=1) | _failed(task, rows)]
    if not len(rows):
        return task.solution
    shut[rows] = False
    task.leaky(rows, shut)
    for number in range(MOST_ROUNDS):
        task.exact(rows, shut)
        wrong = _wrong_side(task, shut, rows, only_worst=number > MOST_ROUNDS // 2)
        if not wrong.any():
            return task.solution
        shut[rows] ^= wrong
        rows = rows[wrong.any(axis=1)]
    task.fail(rows)
    return task.solution


def _open_directions(network: Network, conditions: Conditions) -> npt.NDArray[np.int8]:
    """Open directions (scenario, link), narrowed by one-way valves and by held head."""
    shape = (conditions.count, len(network.links))
    allowed = np.array(np.broadcast_to(conditions.allowed, shape), dtype=np.int8)
    allowed[:, network.one_way] &= FORWARD
    held = np.broadcast_to(conditions.held_head, shape)
    both = allowed == FORWARD | BACKWARD
    allowed[both & (held > 0)] = FORWARD
    allowed[both & (held < 0)] = BACKWARD
    return allowed


def _wrong_side(
    task: "_Task",
    shut: npt.NDArray[np.bool_],
    rows: IntArray,
    *,
    only_worst: bool,
) -> npt.NDArray[np.bool_]:
    """Links (row, link) that flow against their direction, or stay shut with head to open them."""
    network, solution = task.network, task.solution
    direction = task.direction[rows]
    wrong = np.zeros(direction.shape, dtype=bool)
    links = np.flatnonzero(direction.any(axis=0))
    if not len(links):
        return wrong
    direction, closed = direction[:, links], shut[np.ix_(rows, links)]
    start, end = network.start[links], network.end[links]
    largest = np.fmax.reduce(np.abs(solution.flow[rows]), axis=1, initial=0.0)[:, None]
    flow = direction * solution.flow[np.ix_(rows, links)]
    against = -flow - 1e-10 * largest - LEAST_FLOW
    least, most = _least_and_most(task, rows, links)
    # Where a head is not known, the least that may push and the most that may stand against it.
    drop = np.where(direction < 0, least[:, end] - most[:, start], least[:, start] - most[:, end])
    opened = drop - _threshold(task, rows, links, direction) - 1e-9
    if task.starved.any():
        # A demand that shut links cut off would draw its nodes down until one of them opens.
        inward = np.where(
            direction < 0, task.cut_off[np.ix_(rows, start)], task.cut_off[np.ix_(rows, end)]
        )
        opened = np.where(inward & task.starved[rows, None], DRAWN_DOWN, opened)
    # Nothing is greater than zero where a head is not known.
    found = (direction != 0) & (np.where(closed, opened, against) > 0)
    if only_worst:
        rank = np.where(found, np.where(closed, 1e3 + opened, against), 0.0)
        worst = np.zeros_like(found)
        worst[np.arange(len(rows)), rank.argmax(axis=1)] = True
        found &= worst
    wrong[:, links] = found
    return wrong


def _threshold(
    task: "_Task", rows: IntArray, links: IntArray, direction: npt.NDArray[np.int8]
) -> FloatArray:
    """Head [m] that opens shut links (row, link)."""
    conditions, cracking = task.conditions, task.network.cracking_pressure[links]
    if not (cracking.any() or conditions.held_head.any()):
        return np.zeros((1, 1))
    here = conditions.take(rows)
    held = np.maximum(direction * here.held_head[:, links], 0.0)
    return held + np.where(
        direction < 0, 0.0, cracking / (here.density[:, None] * STANDARD_GRAVITY)
    )


def _failed(task: "_Task", rows: IntArray) -> npt.NDArray[np.bool_]:
    """Scenarios whose search did not end, or whose demand shut links cut off (row,)."""
    failed: npt.NDArray[np.bool_] = task.direction[rows].any(axis=1)
    failed &= ~task.solution.converged[rows]
    return failed


def _least_and_most(
    task: "_Task", rows: IntArray, links: IntArray
) -> tuple[FloatArray, FloatArray]:
    """Bounds of heads (row, node): a known head twice, else what shut links leave to it."""
    network, head = task.network, task.solution.head[rows]
    known = task.solution.converged[rows] & task.solution.supplied[rows]
    unknown = np.isnan(head) & known[:, None]
    where = np.flatnonzero(unknown.any(axis=1))
    touched = unknown[:, network.start[links]] | unknown[:, network.end[links]]
    if not touched.any():
        return head, head
    least, most = head.copy(), head.copy()
    some = rows[where]
    opening = _threshold(task, some, np.arange(len(network.links)), task.direction[some])
    opening = np.broadcast_to(opening, task.direction[some].shape)
    least[where], most[where] = head_bounds(network, task.allowed[some], opening, head[where])
    return least, most


class _Task:
    """One call of ``solve``: what is asked, and the solution as it fills up."""

    def __init__(
        self,
        network: Network,
        conditions: Conditions,
        factors: Factors,
        start: FloatArray | None,
    ) -> None:
        self.network = network
        self.conditions = conditions
        self.factors = factors
        count, links = conditions.count, len(network.links)
        self.allowed = _open_directions(network, conditions)
        self.direction = (self.allowed == FORWARD).astype(np.int8) - (self.allowed == BACKWARD)
        begin = START_VELOCITY * network.typical_area
        self.flow = np.broadcast_to(begin, (count, links)) if start is None else start
        self.same_start = start is None and factors.count == 1
        self.fed = np.ones((count, len(network.node_names)), dtype=bool)
        self.cut_off = np.zeros((count, len(network.node_names)), dtype=bool)
        self.starved = np.zeros(count, dtype=bool)
        self.solution = Solution(
            flow=np.full((count, links), np.nan),
            head=np.full((count, len(network.node_names)), np.nan),
            iterations=np.zeros(count, dtype=np.intp),
            residual=np.full(count, np.nan),
            imbalance=np.full(count, np.nan),
            converged=np.zeros(count, dtype=bool),
            supplied=np.ones(count, dtype=bool),
        )

    def chunks(
        self, rows: IntArray, shut: npt.NDArray[np.bool_] | None
    ) -> Iterator[tuple[IntArray, Reach]]:
        """Scenarios to solve together, and the graph that they share or have between them."""
        if not len(rows):
            return
        size = min(CHUNK, max(FEW, ENTRIES // len(self.network.links)))
        codes = self.allowed[rows]
        closed = np.zeros(codes.shape, dtype=bool) if shut is None else shut[rows]
        groups = list(alike_rows(codes + 4 * closed))
        few = [members for members in groups if len(members) < FEW]
        if len(few) > 1:
            groups = [members for members in groups if len(members) >= FEW]
            together = np.concatenate(few)
            first = np.array([members[0] for members in few])
            pattern = np.repeat(np.arange(len(few)), [len(members) for members in few])
            reached = reach(self.network, codes[first], closed[first])
            for begin in range(0, len(together), size):
                some = slice(begin, begin + size)
                yield rows[together[some]], reached.of(pattern[some])
        for members in groups:
            reached = reach(self.network, codes[members[:1]], closed[members[:1]])
            for begin in range(0, len(members), size):
                yield rows[members[begin : begin + size]], reached

    def pieces(
        self, rows: IntArray | slice, reached: Reach
    ) -> tuple[FloatArray, FloatArray, LinkLaws]:
        """Give fixed heads and demands (node, scenario) and the laws of one chunk."""
        here = self.conditions.take(rows)
        direction = self.direction[rows]
        shape = (len(direction), len(self.network.node_names))
        heads = np.ascontiguousarray(np.broadcast_to(here.fixed_head, shape).T)
        demand = np.broadcast_to(here.demand, shape).T
        direction = np.ascontiguousarray(direction.T[reached.links])
        laws = link_laws(self.network, reached, direction, here, self.factors.take(rows))
        return heads, demand, laws

    def leaky(self, some: IntArray, shut: npt.NDArray[np.bool_]) -> None:
        """Search rows ``some`` with closed links that leak; mark those that end up shut."""
        if not len(some):
            return
        self.flow, self.same_start = self.flow.copy(), False
        for rows, reached in self.chunks(some, None):
            heads, demand, laws = self.pieces(rows, reached)
            search = Search(reached, heads, demand, LEAKY_TOLERANCE)
            start = np.ascontiguousarray(self.flow[rows].T[reached.links])
            found = search.run(replace(laws, leak=LEAKS[0]), start, LEAKY_ITERATIONS)
            flow = found.flow
            if np.isnan(found.residual).any():
                begin = START_VELOCITY * self.network.typical_area[reached.links, None]
                flow = np.where(laws.direction < 0, -begin, begin)
                for leak in LEAKS[1:]:
                    flow = search.run(replace(laws, leak=leak), flow, MOST_ITERATIONS).flow
                flow = np.where(np.isnan(found.residual), flow, found.flow)
            grid = np.ix_(rows, reached.links)
            self.solution.iterations[rows] += found.iterations
            self.flow[grid] = flow.T
            shut[grid] = (laws.against(flow) & reached.alive).T

    def exact(self, rows: IntArray, shut: npt.NDArray[np.bool_]) -> None:
        """Solve ``rows`` without their shut links; write the solution."""
        network, solution = self.network, self.solution
        for members, reached in self.chunks(rows, shut):
            chunk = as_slice(members)
            heads, demand, laws = self.pieces(chunk, reached)
            search = Search(reached, heads, demand, HEAD_TOLERANCE)
            begin = (self.flow[:1] if self.same_start else self.flow[chunk]).T[reached.links]
            found = search.run(laws, np.ascontiguousarray(begin), MOST_ITERATIONS)
            asked = demand != 0
            supplied = ~(asked & reached.unsupplied).any(axis=0)
            fed = ~(asked & reached.cut_off).any(axis=0)
            self.fed[chunk] = ~reached.unsupplied.T
            self.cut_off[chunk] = reached.cut_off.T
            self.starved[chunk] = supplied & ~fed
            known = np.isfinite(heads[reached.fixed]).all(axis=0)
            good = np.isfinite(found.residual) & known & fed & supplied
            flow, free_head, imbalance = settle(reached, laws, found.flow, found.head, demand)
            full = np.zeros((len(network.links), len(members)))
            full[reached.links] = flow
            head = np.full(heads.shape, np.nan)
            head[reached.fixed], head[reached.free] = heads[reached.fixed], free_head
            np.copyto(head, np.nan, where=reached.cut_off)
            solution.flow[chunk], solution.head[chunk] = full.T, head.T
            solution.residual[chunk], solution.imbalance[chunk] = found.residual, imbalance
            solution.iterations[chunk] += found.iterations
            solution.converged[chunk] = good | ~supplied
            solution.supplied[chunk] = supplied
            self.blank(members[~good])

    def blank(self, rows: IntArray) -> None:
        """Leave no number where a search failed or a demand has no supply."""
        solution = self.solution
        solution.flow[rows] = solution.head[rows] = np.nan
        solution.residual[rows] = solution.imbalance[rows] = np.nan

    def fail(self, rows: IntArray) -> None:
        """Mark scenarios whose one-way links found no consistent sides: NaN, never a guess."""
        self.blank(rows)
        self.solution.converged[rows] = False
