"""Random plausible networks: tanks, tees, loops, one-way valves, closed and directed links."""

import numpy as np

from flowsim.network.conditions import Conditions
from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.system.parts import (
    Exit,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Part,
    Pipe,
    QuadraticLoss,
)

BORES = (0.00437, 0.00457, 0.00616, 0.00775, 0.00993, 0.0109, 0.0127)


def random_part(generator: np.random.Generator, bore: float) -> Part:
    """Draw one fitting of any kind."""
    kind = int(generator.integers(0, 6))
    if kind == 0:
        return FlowCoefficient(
            name="meter", kind="meter", bore=bore, kv=float(generator.uniform(0.2, 4.0))
        )
    if kind == 1:
        return Orifice(
            name="seat",
            kind="orifice",
            bore=float(generator.uniform(0.002, 0.006)),
            discharge_coefficient=float(generator.uniform(0.55, 0.8)),
        )
    if kind == 2:
        flows = np.cumsum(generator.uniform(2e-6, 1e-5, 4))
        drops = np.cumsum(generator.uniform(5.0, 800.0, 4))
        return MeasuredDrop(
            name="filter",
            kind="filter",
            bore=bore,
            flows=tuple(flows.tolist()),
            drops=tuple(drops.tolist()),
            density=720.0,
        )
    if kind == 3:
        return QuadraticLoss(
            name="loss", kind="loss", bore=bore, coefficient=float(10 ** generator.uniform(5, 9))
        )
    return MinorLoss(
        name="fitting",
        kind="fitting",
        bore=bore,
        k_inf=float(generator.uniform(0.05, 5.0)),
        k_laminar=float(generator.uniform(0.0, 1500.0)),
    )


def random_network(generator: np.random.Generator, *, one_way: bool = True) -> Network:
    """Draw a connected network of 1-6 tanks, some junctions, loops, and one or two ends."""
    tanks = int(generator.integers(1, 7))
    junctions = int(generator.integers(1, 6))
    ends = int(generator.integers(1, 3))
    names = [
        *(f"tank {i}" for i in range(tanks)),
        *(f"junction {i}" for i in range(junctions)),
        *(f"end {i}" for i in range(ends)),
    ]
    fixed = np.array([True] * tanks + [False] * junctions + [True] * ends)
    pairs: list[tuple[int, int]] = []
    for junction in range(1, junctions):
        pairs.append((tanks + int(generator.integers(0, junction)), tanks + junction))
    for tank in range(tanks):
        pairs.append((tank, tanks + int(generator.integers(0, junctions))))
    for end in range(ends):
        pairs.append((tanks + int(generator.integers(0, junctions)), tanks + junctions + end))
    for _ in range(int(generator.integers(0, 4))):
        first, second = (int(i) for i in generator.integers(0, tanks + junctions, 2))
        if first != second:
            pairs.append((first, second))
    links = []
    for number, (start, end) in enumerate(pairs):
        bore = float(generator.choice(BORES))
        parts: list[PlacedPart] = []
        if generator.random() < 0.9:
            length = float(generator.uniform(0.05, 3.0))
            pipe = Pipe(name="tube", length=length, bore=bore, roughness=1.5e-6)
            parts.append(PlacedPart(part=pipe, key=f"{number} tube"))
        for extra in range(int(generator.integers(0 if parts else 1, 4))):
            part = random_part(generator, bore)
            parts.append(PlacedPart(part=part, key=f"{number} {extra}"))
        if one_way and generator.random() < 0.15:
            valve = OneWayValve(
                name="valve",
                bore=bore,
                cracking_pressure=float(generator.choice([0.0, 50.0, 200.0])),
                kv=float(generator.uniform(0.3, 2.0)),
            )
            parts.append(PlacedPart(part=valve, key=f"{number} valve"))
        if end >= tanks + junctions:
            leaving = Exit(name="exit", bore=bore)
            parts.append(PlacedPart(part=leaving, key=f"{number} exit", direction=1))
        links.append(Link(name=f"link {number}", start=start, end=end, parts=tuple(parts)))
    return Network(tuple(names), fixed, tuple(links))


def random_conditions(generator: np.random.Generator, network: Network, count: int) -> Conditions:
    """Draw heads, demands, viscosities and open directions for ``count`` scenarios."""
    nodes, links = len(network.node_names), len(network.links)
    head = np.where(network.fixed, generator.uniform(-0.3, 1.5, (count, nodes)), np.nan)
    equal = generator.random(count) < 0.1
    head[equal] = np.where(network.fixed, 0.4, np.nan)
    demand = np.zeros((count, nodes))
    drawing = generator.random(count) < 0.3
    free = np.flatnonzero(~network.fixed)
    where = generator.choice(free, count)
    amount = generator.uniform(0.0, 3e-5, count)
    demand[np.arange(count), where] = np.where(drawing, amount, 0.0)
    allowed = generator.choice(
        np.array([0, 1, 2, 3], dtype=np.int8), (count, links), p=[0.08, 0.08, 0.04, 0.8]
    )
    for index, name in enumerate(network.node_names):
        if name.startswith("end"):
            allowed[:, network.end == index] &= 1
    held = np.where(
        generator.random((count, links)) < 0.05, generator.uniform(0.0, 0.3, (count, links)), 0.0
    )
    return Conditions(
        fixed_head=head,
        demand=demand,
        allowed=allowed.astype(np.int8),
        kinematic_viscosity=10 ** generator.uniform(-6.5, -4.8, count),
        density=generator.uniform(680.0, 1000.0, count),
        held_head=held,
        screen_clear=np.full(count, np.nan),
    )
