"""A second solver, slow and plain, to hold the batch solve against.

Another formulation: the unknowns are the heads of the free nodes, a link's flow is the inverse of
its law (found by bracketing, one link and one scenario at a time), and Newton's method brings the
flows at each node into balance. One-way conditions: every set of standing links is tried, fewest
first, until one is consistent. The search runs in floats; its answer is then refined in fifty
digits, and so is the check of the conditions.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from types import SimpleNamespace
from typing import Any

import mpmath
import numpy as np
from scipy.optimize import brentq

from flowsim.network.conditions import Conditions, Factors
from flowsim.network.elements import Network
from flowsim.system.parts import OneWayValve
from tests.exactness.slow_laws import G, Law, Number, part_law

FLOATS = SimpleNamespace(
    mpf=float, log=math.log, exp=math.exp, sqrt=math.sqrt, pi=math.pi, eps=2.0**-52
)
DIGITS = 50
MOST_DIRECTED = 5
MOST_FLOW = 1.0
"""[m3/s] No law of a fuel system is followed further."""
LEAST_SLOPE = 1e-9
"""[s/m2] In a step only: a flat law at rest has none to divide by."""
TIGHT, TINY = mpmath.mpf("1e-20"), mpmath.mpf("1e-24")


class NoAnswerError(Exception):
    """No set of standing links is consistent, or the search failed."""


class TooManyError(NoAnswerError):
    """There are too many sets of standing links to try them all."""


@dataclass(frozen=True)
class SlowLink:
    """One link: its nodes, its law, and what opens it (``threshold`` m, negative for flow back)."""

    start: int
    end: int
    law: Law
    threshold: Number
    allowed: int


def slow_links(
    network: Network, conditions: Conditions, factors: Factors, row: int, lib: Any
) -> list[SlowLink]:
    """Write the links of one scenario with the second set of laws."""

    def at(values: Any, *index: int) -> Any:
        return values[(row if len(values) > 1 else 0, *index)]

    pipe_of = {int(part): pipe for pipe, part in enumerate(network.pipes.part)}
    density = lib.mpf(float(at(conditions.density)))
    links, index = [], 0
    for number, link in enumerate(network.links):
        laws, cracking, valve = [], lib.mpf(0), False
        for placed in link.parts:
            bore = factors.bore
            laws.append(
                part_law(
                    placed,
                    viscosity=lib.mpf(float(at(conditions.kinematic_viscosity))),
                    density=density,
                    screen_clear=float(at(conditions.screen_clear)),
                    loss=lib.mpf(float(at(factors.loss, index))),
                    laminar=lib.mpf(float(at(factors.laminar, index))),
                    bore_factor=lib.mpf(
                        float(at(bore, pipe_of[index])) if index in pipe_of else 1.0
                    ),
                    friction=lib.mpf(float(at(factors.friction))),
                    lib=lib,
                )
            )
            if isinstance(placed.part, OneWayValve):
                valve, cracking = True, cracking + lib.mpf(placed.part.cracking_pressure)
            index += 1
        held = lib.mpf(float(at(conditions.held_head, number)))
        allowed = int(at(conditions.allowed, number))
        if valve:
            allowed &= 1
        if held != 0 and allowed == 3:
            allowed = 1 if held > 0 else 2
        threshold = lib.mpf(0)
        if allowed == 1:
            threshold = cracking / (density * G) + max(held, 0)
        elif allowed == 2:
            threshold = min(held, lib.mpf(0))
        links.append(SlowLink(link.start, link.end, _sum(laws), threshold, allowed))
    return links


def _sum(laws: list[Law]) -> Law:
    return lambda flow: sum(law(flow) for law in laws)


@dataclass
class Answer:
    """Flows (link,) and heads (node,), None where a node hangs on no fixed head.

    ``determined`` nodes have one head only: a node that hangs on fixed heads by one-way links at
    rest may stand anywhere between what would open them.
    """

    flow: list[Number]
    head: list[Number | None]
    standing: tuple[int, ...]
    determined: tuple[int, ...]


def solve_slowly(
    network: Network, conditions: Conditions, factors: Factors, row: int = 0
) -> Answer:
    """Solve one scenario; the answer is in fifty digits.

    Raises
    ------
    NoAnswerError
        When no set of standing links is consistent.
    """
    rough = slow_links(network, conditions, factors, row, FLOATS)
    heads = conditions.fixed_head[row if len(conditions.fixed_head) > 1 else 0]
    demand = conditions.demand[row if len(conditions.demand) > 1 else 0]
    directed = [i for i, link in enumerate(rough) if link.allowed in (1, 2)]
    if len(directed) > MOST_DIRECTED:
        raise TooManyError(f"{len(directed)} directed links")
    with mpmath.workdps(DIGITS):
        fine = slow_links(network, conditions, factors, row, mpmath.mp)
        for size in range(len(directed) + 1):
            for standing in combinations(directed, size):
                graph = _Graph(network, rough, standing)
                if any(demand[node] for node in graph.cut_off):
                    continue
                flow, head, off = graph.solve(rough, heads, demand, FLOATS)
                clear = off <= 1e-9 * max(abs(value) for value in flow)
                if clear and not graph.consistent(rough, flow, head, 1e-9, 1e-13):
                    continue
                flow, head, off = graph.solve(fine, heads, demand, mpmath.mp, (flow, head))
                if off > TIGHT * max(abs(value) for value in flow) + TINY:
                    raise NoAnswerError("Newton's method stalled")
                if graph.consistent(fine, flow, head, TIGHT, TINY):
                    return Answer(flow, head, standing, graph.determined(fine, flow))
    raise NoAnswerError("no set of standing links is consistent")


class _Graph:
    """The network without some links: which nodes hang on a fixed head."""

    def __init__(self, network: Network, links: Sequence[SlowLink], standing: Sequence[int]):
        self.network, self.standing = network, set(standing)
        self.open = [i for i, link in enumerate(links) if link.allowed and i not in self.standing]
        known = {int(i) for i in np.flatnonzero(network.fixed)}
        self.fixed = set(known)
        while True:
            ends = [(links[i].start, links[i].end) for i in self.open]
            more = {n for pair in ends if known & set(pair) for n in pair} - known
            if not more:
                break
            known |= more
        self.known = known
        self.free = sorted(known - self.fixed)
        self.cut_off = [n for n in range(len(network.node_names)) if n not in known]

    def determined(self, links: Sequence[SlowLink], flow: Sequence[Number]) -> tuple[int, ...]:
        """Nodes that hang on a fixed head by links that flow or may flow either way."""
        sure = set(self.fixed)
        firm = [i for i in self.open if links[i].allowed == 3 or abs(flow[i]) > 1e-13]
        for _ in firm:
            for i in firm:
                ends = {links[i].start, links[i].end}
                sure |= ends if ends & sure else set()
        return tuple(sorted(sure))

    def solve(self, links, heads, demand, lib, begin=None):
        """Newton's method on the heads of the free nodes, the step halved until it helps."""
        head = [lib.mpf(float(heads[n])) if n in self.fixed else None for n in range(len(heads))]
        middle = sum(head[n] for n in self.fixed) / len(self.fixed)
        low = min(head[n] for n in self.fixed)
        flow = [lib.mpf(0) for _ in links]
        for rank, node in enumerate(self.free):
            head[node] = middle + (low - middle) * rank / 97 if begin is None else begin[1][node]
        if begin is not None:
            flow = [lib.mpf(value) for value in begin[0]]
        head = [None if value is None else lib.mpf(value) for value in head]
        flow, slope, misfit = self._flows(links, head, demand, flow, lib)
        for _ in range(80):
            size = max((abs(value) for value in misfit), default=0)
            largest = max((abs(value) for value in flow), default=0)
            good = lib.mpf(10) ** (-24 if lib is mpmath.mp else -12)
            if size <= good * (largest + lib.mpf(10) ** -6):
                break
            step = self._step(links, slope, misfit, lib)
            found = self._along(links, head, step, misfit, demand, flow, lib)
            if found is None:
                break  # as good as the number type allows; the caller checks
            head, flow, slope, misfit = found
        return flow, head, max((abs(value) for value in misfit), default=lib.mpf(0))

    def _along(self, links, head, step, misfit, demand, flow, lib):
        """Go along a step to about where the work of the misfits along it changes sign.

        The misfits are the slope of a convex function of the heads (the network's co-content), so
        that point is its lowest on the way. Links at rest with a flat law need this: their flow is
        the root of the head, and whole steps would go to and fro.
        """

        def work(values):
            return sum(a * b for a, b in zip(values, step, strict=True))

        begin, low, high, share = work(misfit), lib.mpf(0), lib.mpf(1), lib.mpf(1)
        found = None
        for _ in range(60):
            trial = list(head)
            for node, change in zip(self.free, step, strict=True):
                trial[node] = head[node] + change * share
            values = self._flows(links, trial, demand, flow, lib)
            here = work(values[2])
            if here >= 0 or abs(here) <= abs(begin) / 2:
                found = (trial, *values)
                low = share
                if abs(here) <= abs(begin) / 2:
                    break
            else:
                high = share
            if low >= 1 or high - low <= 1e-6:
                break
            share = (low + high) / 2
        return found

    def _flows(self, links, head, demand, near, lib):
        """Flows of open links by their inverse laws, 1/slope of each, misfit of free nodes."""
        flow, slope = [lib.mpf(0) for _ in links], [lib.mpf(0) for _ in links]
        for i in self.open:
            link = links[i]
            if head[link.start] is None or head[link.end] is None:
                continue
            drop = head[link.start] - head[link.end] - link.threshold
            flow[i] = inverse(link.law, drop, near[i], lib)
            slope[i] = max(_slope(link.law, flow[i], lib), LEAST_SLOPE)
        misfit = []
        for node in self.free:
            value = -lib.mpf(float(demand[node]))
            for i in self.open:
                value += flow[i] * ((links[i].end == node) - (links[i].start == node))
            misfit.append(value)
        return flow, slope, misfit

    def _step(self, links, slope, misfit, lib):
        index = {node: k for k, node in enumerate(self.free)}
        size = len(index)
        matrix = mpmath.matrix(size, size) if lib is mpmath.mp else np.zeros((size, size))
        for i in self.open:
            ends = [index.get(links[i].start), index.get(links[i].end)]
            for k in ends:
                if k is not None:
                    matrix[k, k] += 1 / slope[i]
            if None not in ends and ends[0] != ends[1]:
                matrix[ends[0], ends[1]] -= 1 / slope[i]
                matrix[ends[1], ends[0]] -= 1 / slope[i]
        if lib is mpmath.mp:
            return list(mpmath.lu_solve(matrix, mpmath.matrix(misfit)))
        return list(np.linalg.solve(matrix, np.array(misfit)))

    def consistent(self, links, flow, head, head_slack, flow_slack) -> bool:
        """Whether balance holds, open links flow their way and standing links are held shut."""
        for i in self.open:
            sign = {1: 1, 2: -1, 3: 0}[links[i].allowed]
            if sign * flow[i] < -flow_slack:
                return False
        # Unknown heads may lie anywhere that holds all standing links: difference constraints
        # x[j] >= x[i] - threshold, which some heads meet unless they go round in a growing circle.
        arcs = []
        for i in sorted(self.standing):
            link = links[i]
            start, end = (link.start, link.end) if link.allowed == 1 else (link.end, link.start)
            arcs.append((start, end, abs(link.threshold) + head_slack))
        for i in self.open:
            if links[i].start in self.cut_off:
                arcs += [(links[i].start, links[i].end, 0), (links[i].end, links[i].start, 0)]
        least: dict[int, Number] = {n: head[n] for n in self.known}
        for _ in range(len(head) + 1):
            changed = False
            for start, end, threshold in arcs:
                if start not in least:
                    continue
                bound = least[start] - threshold
                if end in self.known:
                    if bound > least[end]:
                        return False
                elif end not in least or bound > least[end]:
                    least[end], changed = bound, True
            if not changed:
                return True
        return False


def _slope(law: Law, flow: Number, lib: Any) -> Number:
    """Slope of a law by a central difference."""
    least = lib.mpf(10) ** (-DIGITS if lib is mpmath.mp else -13)
    width = max(abs(flow) * lib.sqrt(lib.sqrt(lib.eps)) / 8, least)
    return (law(flow + width) - law(flow - width)) / (2 * width)


def inverse(law: Law, drop: Number, near: Number, lib: Any) -> Number:
    """Flow at which a rising law gives ``drop``."""
    if drop == 0:
        return lib.mpf(0)
    if lib is not mpmath.mp:
        far = math.copysign(1e-7, drop)
        while abs(law(far)) < abs(drop):
            far *= 4
            if abs(far) > MOST_FLOW:  # an exit loses nothing inwards: the set is not consistent
                return far
        return brentq(lambda flow: law(flow) - drop, 0.0, far, xtol=1e-22, rtol=1e-15)
    # In many digits: Newton from the answer in floats (or from 1e-9), kept within a bracket.
    far = mpmath.sign(drop) * MOST_FLOW
    if abs(law(far)) < abs(drop):
        return far
    low, high = sorted((lib.mpf(0), far))
    flow = near if low < near < high else mpmath.sign(drop) * lib.mpf(10) ** -9
    for _ in range(300):
        value = law(flow) - drop
        low, high = (low, flow) if value > 0 else (flow, high)
        if value == 0:
            return flow
        step = value / _slope(law, flow, lib)
        trial = flow - step
        if not low < trial < high:
            trial = (low + high) / 2
        if abs(trial - flow) <= 16 * lib.eps * abs(trial):
            return trial
        flow = trial
    raise NoAnswerError("a law could not be inverted")
