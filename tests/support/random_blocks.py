"""Random plausible systems in blocks: one graph, many sets of sizes, a few scenarios of each.

Systems of a block share their graph and the kinds of their parts, and nothing else: bores, losses,
laminar terms, friction, heads, demands and liquids are drawn for each. That lets a block be solved
at once, and a hundred thousand systems in minutes.
"""

from dataclasses import dataclass, replace

import numpy as np

from flowsim.network.conditions import Conditions, Factors
from flowsim.network.elements import Network, PlacedPart
from flowsim.physics.arrays import FloatArray
from flowsim.physics.attitude import effective_gravity, height
from flowsim.system.parts import Exit, Pipe, Screen
from tests.support.random_networks import random_network

ATTITUDE_SHARE = 0.5
"""Share of scenarios whose heads come from points in an aeroplane in some attitude."""
EQUAL_SHARE = 0.05
"""Share of scenarios in which all heads are equal: nothing flows but what is drawn."""
SLOW_SHARE = 0.35
"""Share of scenarios whose differences of head are scaled down, by as much as a million."""
DEMAND_SHARE = 0.3


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A network, its scenarios (system by system) and each scenario's factors on the laws."""

    network: Network
    conditions: Conditions
    factors: Factors
    scenarios: int

    @property
    def systems(self) -> int:
        """Number of systems."""
        return self.conditions.count // self.scenarios


def random_block(seed: int, systems: int, scenarios: int) -> Block:
    """Draw a block; the same arguments give the same block."""
    generator = np.random.default_rng([seed, systems, scenarios])
    network = _with_rare_parts(generator, random_network(generator))
    count = systems * scenarios
    return Block(
        network=network,
        conditions=_conditions(generator, network, systems, scenarios, count),
        factors=_factors(generator, network, systems, scenarios),
        scenarios=scenarios,
    )


def _with_rare_parts(generator: np.random.Generator, network: Network) -> Network:
    """Put in a screen here and a stated friction factor there; some parts act by half."""
    links = []
    for number, link in enumerate(network.links):
        parts = []
        for placed in link.parts:
            found = placed
            if isinstance(placed.part, Pipe) and generator.random() < 0.05:
                stated = float(generator.uniform(0.02, 0.06))
                found = replace(placed, part=replace(placed.part, friction_factor=stated))
            elif generator.random() < 0.1 and not isinstance(placed.part, Pipe | Exit):
                found = replace(placed, share=0.5)
            parts.append(found)
        if generator.random() < 0.15:
            screen = Screen(
                name="screen",
                area=float(10 ** generator.uniform(-4.3, -3.0)),
                wires_per_metre=float(generator.uniform(600, 2400)),
                wire_diameter=1.9e-4,
                clear_fraction=float(generator.uniform(0.1, 1.0)),
            )
            parts.append(PlacedPart(part=screen, key=f"{number} screen"))
        links.append(replace(link, parts=tuple(parts)))
    return replace(network, links=tuple(links))


def _factors(
    generator: np.random.Generator, network: Network, systems: int, scenarios: int
) -> Factors:
    """Give each system its own sizes: bores to 0.6 and 1.6 times, losses to a tenth and tenfold."""

    def each(values: FloatArray) -> FloatArray:
        return np.repeat(values, scenarios, axis=0)

    parts, pipes = (systems, len(network.placed)), (systems, len(network.pipes.part))
    loss = 10 ** generator.uniform(-1.0, 1.0, parts)
    loss[:, _valves(network)] = 1.0
    return Factors(
        loss=each(loss),
        laminar=each(10 ** generator.uniform(-1.0, 1.0, parts)),
        bore=each(generator.uniform(0.6, 1.6, pipes)),
        friction=each(generator.uniform(0.8, 1.25, systems)),
    )


def _valves(network: Network) -> list[int]:
    return [i for i, placed in enumerate(network.placed) if placed.part.name == "valve"]


def _conditions(
    generator: np.random.Generator, network: Network, systems: int, scenarios: int, count: int
) -> Conditions:
    nodes, links = len(network.node_names), len(network.links)
    free = np.flatnonzero(~network.fixed)
    demand = np.zeros((count, nodes))
    drawing = generator.random(count) < DEMAND_SHARE
    amount = np.where(drawing, 10 ** generator.uniform(-9.0, -4.5, count), 0.0)
    demand[np.arange(count), generator.choice(free, count)] = amount
    # Which links are open, and which hold air, is the same in a block: scenarios of all systems.
    directions = np.array([0, 1, 2, 3], dtype=np.int8)
    allowed = generator.choice(directions, (scenarios, links), p=[0.08, 0.08, 0.04, 0.8])
    for index, name in enumerate(network.node_names):
        if name.startswith("end"):
            allowed[:, network.end == index] &= 1
    holds = generator.random((scenarios, links)) < 0.05
    held = np.where(np.tile(holds, (systems, 1)), generator.uniform(0, 0.3, (count, links)), 0.0)
    return Conditions(
        fixed_head=np.where(network.fixed, _heads(generator, network, count), np.nan),
        demand=demand,
        allowed=np.tile(allowed, (systems, 1)),
        kinematic_viscosity=10 ** generator.uniform(-6.5, -4.8, count),
        density=generator.uniform(680.0, 1000.0, count),
        held_head=held,
        screen_clear=np.where(generator.random(count) < 0.2, 0.2, np.nan),
    )


def _heads(generator: np.random.Generator, network: Network, count: int) -> FloatArray:
    """Heads of all nodes (scenario, node): anything, or surfaces in any attitude."""
    nodes = len(network.node_names)
    anything = generator.uniform(-0.3, 1.5, (count, nodes))
    is_end = np.array([name.startswith("end") for name in network.node_names])
    low, high = np.array([0.5, -4.0, 1.0]), np.array([2.5, 4.0, 2.0])
    points = generator.uniform(low, high, (nodes, 3))
    points[is_end] = generator.uniform([-1.0, -0.3, 0.0], [1.0, 0.3, 0.6], (is_end.sum(), 3))
    gravity = effective_gravity(
        generator.uniform(-np.pi / 2, np.pi / 2, count), generator.uniform(-np.pi, np.pi, count)
    )
    air = generator.uniform(-0.1, 0.1, (count, nodes)) * ~is_end
    heads = np.where(
        generator.random((count, 1)) < ATTITUDE_SHARE, height(points, gravity) + air, anything
    )
    slow = generator.random(count) < SLOW_SHARE
    scale = np.where(slow, 10 ** generator.uniform(-6.0, 0.0, count), 1.0)
    scale[generator.random(count) < EQUAL_SHARE] = 0.0
    return 0.4 + scale[:, None] * (heads - 0.4)
