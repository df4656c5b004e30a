"""Random systems by the thousand: is every scenario solved, in balance, closed and unique.

    python -m tests.benchmarks.robustness --systems 100000 --scenarios 4 --processes 2

Systems come in blocks that share a graph (``tests/support/random_blocks.py``); every scenario is
solved from two starts. Prints counts and the worst figures; leaves with 1 when a bound is broken,
naming the seeds of the blocks.
"""

import argparse
import sys
import time
import warnings
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, fields

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.outcome import part_losses
from flowsim.network.solver import Solution, solve
from flowsim.physics.arrays import FloatArray
from tests.support.random_blocks import Block, random_block

LARGEST_IMBALANCE = 1e-9
"""[-] Misfit of a node's balance over the scenario's largest flow."""
LARGEST_OPENING = 1e-6
"""[m] Head closure: a link's part losses against the heads of its nodes."""
LARGEST_DIFFERENCE = 1e-7
"""[-] of the scenario's largest flow, or [m] of head, between two starts."""
SAME_HEAD = 1e-10
"""[m] Two flows of a link that lose the same to this are the same to the solver: it ends at 1e-11
of the spread of heads. A wide or flat link near rest knows its flow no better than that."""
LEAST_FLOW = 1e-12
"""[m3/s] Four millionths of a litre an hour: what the solver takes for rounding against the
direction of a one-way link, so that two answers may differ by it."""


@dataclass
class Tally:
    """Counts and worst figures of some blocks."""

    graphs: int = 0
    systems: int = 0
    scenarios: int = 0
    unconverged: int = 0
    unsupplied: int = 0
    still: int = 0
    transitional: int = 0
    turbulent: int = 0
    shut: int = 0
    imbalance: float = 0.0
    opening: float = 0.0
    against: float = 0.0
    difference: float = 0.0
    flow_difference: float = 0.0
    head_difference: float = 0.0
    iterations: Counter[int] = field(default_factory=Counter)
    broken: list[str] = field(default_factory=list)

    def add(self, other: "Tally") -> None:
        """Take another tally in."""
        for item in fields(self):
            mine, theirs = getattr(self, item.name), getattr(other, item.name)
            value = max(mine, theirs) if isinstance(mine, float) else mine + theirs
            setattr(self, item.name, value)


def examine(seed: int, systems: int, scenarios: int) -> Tally:
    """Draw one block, solve it from two starts and hold it against every bound."""
    block = random_block(seed, systems, scenarios)
    generator = np.random.default_rng([seed, 1])
    shape = (block.conditions.count, len(block.network.links))
    start = generator.normal(size=shape) * 10 ** generator.uniform(-9, -3, shape)
    with warnings.catch_warnings(record=True) as warned:
        warnings.simplefilter("always")
        first = solve(block.network, block.conditions, block.factors)
        second = solve(block.network, block.conditions, block.factors, start=start)
    tally = Tally(graphs=1, systems=block.systems, scenarios=block.conditions.count)
    tally.unconverged = int((~first.converged).sum() + (~second.converged).sum())
    tally.unsupplied = int((first.converged & ~first.supplied).sum())
    tally.iterations = Counter(first.iterations.tolist())
    good = first.converged & first.supplied
    _regimes(tally, block, first, good)
    for solution in (first, second):
        rows = solution.converged & solution.supplied
        tally.imbalance = max(tally.imbalance, imbalance(block, solution, rows))
        opening, against = closure(block, solution, rows)
        tally.opening = max(tally.opening, opening)
        tally.against = max(tally.against, against)
    _compare(tally, block, first, second)
    checks = {
        "unconverged": tally.unconverged > 0,
        "warning": len(warned) > 0,
        "balance": not tally.imbalance <= LARGEST_IMBALANCE,
        "closure": not tally.opening <= LARGEST_OPENING,
        "direction": not tally.against <= LARGEST_OPENING,
        "start": not max(tally.difference, tally.head_difference) <= LARGEST_DIFFERENCE,
    }
    words = [name for name, bad in checks.items() if bad]
    if words:
        tally.broken = [f"block {seed} of {systems} x {scenarios}: {', '.join(words)}"]
    return tally


def imbalance(block: Block, solution: Solution, rows: FloatArray) -> float:
    """Largest misfit of a free node's balance over the scenario's largest flow."""
    network, flow = block.network, solution.flow[rows]
    if not len(flow):
        return 0.0
    excess = -block.conditions.demand[rows]
    np.add.at(excess.T, network.end, flow.T)
    np.add.at(excess.T, network.start, -flow.T)
    largest = np.maximum(np.abs(flow).max(axis=1), LEAST_FLOW)
    return float((np.abs(excess[:, ~network.fixed]).max(axis=1) / largest).max())


def closure(block: Block, solution: Solution, rows: FloatArray) -> tuple[float, float]:
    """Largest misfit of part losses against heads, and of the conditions of standing links [m]."""
    network = block.network
    conditions, flow = block.conditions.take(rows), solution.flow[rows]
    if not len(flow):
        return 0.0, 0.0
    lost = _link_losses(block, flow, rows)
    head = solution.head[rows]
    across = head[:, network.start] - head[:, network.end]
    known = np.isfinite(across)
    allowed = conditions.allowed.copy()
    allowed[:, network.one_way] &= 1
    allowed[(conditions.held_head > 0) & (allowed == 3)] = 1
    along = ((allowed == 1) & (flow > 0)) | ((allowed == 2) & (flow < 0))
    moving = known & ((allowed == 3) | along)
    opening = np.abs(lost - across)[moving].max(initial=0.0)
    cracking = network.cracking_pressure / (conditions.density[:, None] * STANDARD_GRAVITY)
    threshold = np.where(allowed == 1, cracking + conditions.held_head, 0.0)
    push = np.where(allowed == 2, -across, across)
    standing = known & ((allowed == 1) | (allowed == 2)) & ~moving
    against = (push - threshold)[standing].max(initial=0.0)
    slack = 1e-9 * np.abs(flow).max(axis=1, keepdims=True) + 1e-11
    wrong = ((flow < -slack) & (allowed == 1)) | ((flow > slack) & (allowed == 2))
    wrong |= (flow != 0) & (allowed == 0)
    return float(opening), float("inf") if wrong.any() else float(against)


def _regimes(tally: Tally, block: Block, solution: Solution, good: FloatArray) -> None:
    """Count what kinds of flow there were."""
    network, flow = block.network, solution.flow[good]
    pipes = network.pipes
    bore = pipes.bore * block.factors.bore[good]
    speed = np.abs(flow[:, pipes.link]) / (np.pi * bore**2 / 4)
    reynolds = speed * bore / block.conditions.kinematic_viscosity[good, None]
    tally.still = int((np.abs(flow).max(axis=1, initial=0.0) == 0.0).sum())
    tally.transitional = int(((reynolds > 1900) & (reynolds < 2300)).any(axis=1).sum())
    tally.turbulent = int((reynolds >= 2300).any(axis=1).sum())
    directed = (block.conditions.allowed[good] != 3) | network.one_way
    is_open = block.conditions.allowed[good] > 0
    tally.shut = int((directed & is_open & (flow == 0)).any(axis=1).sum())


def _compare(tally: Tally, block: Block, first: Solution, second: Solution) -> None:
    both = np.isfinite(first.flow).all(axis=1) & np.isfinite(second.flow).all(axis=1)
    if not both.any():
        return
    one, other = first.flow[both], second.flow[both]
    apart = np.abs(one - other)
    lost = np.abs(_link_losses(block, one, both) - _link_losses(block, other, both))
    tally.flow_difference = float(apart.max())
    largest = np.maximum(np.abs(one).max(axis=1, keepdims=True), LEAST_FLOW)
    told_apart = (lost > SAME_HEAD) & (apart > LEAST_FLOW)
    tally.difference = float((np.where(told_apart, apart, 0.0) / largest).max())
    known = determined(block, one, both) & determined(block, other, both)
    off = np.abs(first.head[both] - second.head[both])
    tally.head_difference = float(off[known].max(initial=0.0))


def _link_losses(block: Block, flow: FloatArray, rows: FloatArray) -> FloatArray:
    """Losses of each link's parts, and what trapped air holds (scenario, link) [m]."""
    conditions = block.conditions.take(rows)
    losses = part_losses(block.network, conditions, flow, block.factors.take(rows)).loss
    total = np.where(flow > 0, conditions.held_head, 0.0)
    np.add.at(total.T, block.network.part_link, losses.T)
    return total


def determined(block: Block, flow: FloatArray, rows: FloatArray) -> FloatArray:
    """Nodes (scenario, node) with one head only.

    They hang on a fixed head by links that flow or may flow either way. A node that hangs by
    one-way links at rest may stand anywhere between what would open them.
    """
    network, conditions = block.network, block.conditions.take(rows)
    firm = (conditions.allowed == 3) & ~network.one_way & ~(conditions.held_head > 0)
    firm |= np.abs(flow) > LEAST_FLOW
    sure = np.tile(network.fixed, (len(flow), 1))
    for _ in network.node_names:
        for link, (start, end) in enumerate(zip(network.start, network.end, strict=True)):
            joined = firm[:, link] & (sure[:, start] | sure[:, end])
            sure[:, start] |= joined
            sure[:, end] |= joined
    return sure


def _examine(arguments: tuple[int, int, int]) -> Tally:
    return examine(*arguments)


def run(systems: int, scenarios: int, sizes: int, processes: int, first: int, most: float) -> Tally:
    """Examine blocks until there are ``systems``, or ``most`` seconds are over."""
    blocks = -(-systems // sizes)
    tasks = [(first + block, sizes, scenarios) for block in range(blocks)]
    tally, begin = Tally(), time.monotonic()
    if processes == 1:
        for task in tasks:
            tally.add(_examine(task))
            if time.monotonic() - begin > most:
                break
        return tally
    with ProcessPoolExecutor(processes) as pool:
        for batch in range(0, blocks, 40 * processes):
            for found in pool.map(_examine, tasks[batch : batch + 40 * processes], chunksize=10):
                tally.add(found)
            if time.monotonic() - begin > most:
                break
    return tally


def words(tally: Tally) -> str:
    """Say what was found."""
    counts = np.array(sorted(tally.iterations.elements()))
    middle, most, rare = np.percentile(counts, [50, 95, 99.9])
    return "\n".join(
        [
            f"systems                                     {tally.systems}",
            f"  on graphs of their own                    {tally.graphs}",
            f"scenarios, each from two starts             {tally.scenarios}",
            f"  nothing flows                             {tally.still}",
            f"  a pipe between Re 1900 and 2300           {tally.transitional}",
            f"  a pipe above Re 2300                      {tally.turbulent}",
            f"  a one-way link that stands                {tally.shut}",
            f"  a demand that no way leads to             {tally.unsupplied}",
            f"unconverged                                 {tally.unconverged}",
            f"worst balance of a node, of largest flow    {tally.imbalance:.1e}",
            f"worst head closure of a link, m             {tally.opening:.1e}",
            f"worst head on a standing one-way link, m    {tally.against:.1e}",
            f"largest difference between starts, m3/s     {tally.flow_difference:.1e}",
            f"  worth more than {SAME_HEAD:g} m, of largest    {tally.difference:.1e}",
            f"largest difference between starts, head, m  {tally.head_difference:.1e}",
            f"iterations: median, 95 %, 99.9 %, most      {middle:.0f}, {most:.0f}, {rare:.0f}, "
            f"{counts[-1]}",
            *(f"BROKEN: {line}" for line in tally.broken),
        ]
    )


def main() -> int:
    """Run as told by the command line."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--systems", type=int, default=1000)
    parser.add_argument("--scenarios", type=int, default=4)
    parser.add_argument("--sizes", type=int, default=10, help="systems on each graph")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--first", type=int, default=0, help="seed of the first block")
    parser.add_argument("--most-seconds", type=float, default=1e9, help="stop after about this")
    given = parser.parse_args()
    begin = time.monotonic()
    tally = run(
        given.systems,
        given.scenarios,
        given.sizes,
        given.processes,
        given.first,
        given.most_seconds,
    )
    print(words(tally))
    print(f"time, s                                     {time.monotonic() - begin:.0f}")
    return 1 if tally.broken else 0


if __name__ == "__main__":
    sys.exit(main())
