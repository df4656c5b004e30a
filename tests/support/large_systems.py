"""Invented fuel systems of any size, for how the cost grows: many lines, tanks or positions."""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Drain, Junction, Line, Node, Selector, Tee
from flowsim.system.points import Point
from tests.support.systems import BORE, line, tank, two_tanks

SELECTOR_AT = Point(1.4, 0.0, 0.25)
INLET_AT = Point(0.45, 0.0, 0.25)


def large_system(*, lines: int = 0, tanks: int = 2, positions: int = 4) -> FuelSystem:
    """Make a system with tanks side by side, each with two outlets, a tee and a line down.

    Parameters
    ----------
    lines : int
        Lines that it shall have at least: the longest ones are cut by junctions until it has.
    tanks : int
        At least 2.
    positions : int
        Of the selector, at least 2: first each tank alone, then more and more of them together,
        last all closed. All but the last are judged.

    Returns
    -------
    FuelSystem
    """
    wings, found, nodes = [], [], []
    for number in range(tanks):
        made, pieces, tee = _wing(number, tanks)
        wings.append(made)
        found += pieces
        nodes.append(tee)
    bowl, hose = Point(0.9, 0.0, 0.05), Point(0.5, 0.0, 0.0)
    feed = [SELECTOR_AT, bowl, hose, INLET_AT]
    found.append(line("feed", "selector", "engine", feed, fitting("sediment bowl", BORE)))
    nodes.append(_selector(tanks, positions))
    while len(found) < lines:
        longest = max(range(len(found)), key=lambda index: found[index].length)
        first, joint, second = _cut(found[longest], len(nodes))
        found[longest : longest + 1] = [first, second]
        nodes = [_renamed(node, found, first.start, second.end) for node in nodes]
        nodes.append(joint)
    base = two_tanks()
    return replace(
        base,
        title=f"{len(found)} lines, {tanks} tanks, {positions} positions",
        tanks=tuple(wings),
        lines=tuple(found),
        nodes=tuple(nodes),
        drains=(Drain(name="low drain", at=hose, reaches=found[-1].name),),
    )


def _wing(number: int, tanks: int) -> tuple[object, list[Line], Tee]:
    """Make one tank of several across the span, its lines and its tee."""
    width = 3.0 / tanks
    left = -1.5 + number * width
    middle, name = left + 0.5 * width, f"tank {number + 1}"
    front, rear = Point(1.21, middle, 1.5), Point(1.69, middle, 1.5)
    low, high = Point(1.2, left + 0.01, 1.5), Point(1.7, left + width - 0.01, 1.62 + 0.1 / tanks)
    made = tank(
        name, low, high, {"front": front, "rear": rear},
        unusable=0.018 / tanks, least_takeoff=0.05 / tanks,
    )  # fmt: skip
    tee, foot = Point(1.72, middle, 1.3), Point(1.73, middle, 0.4 + 0.001 * number)
    knee = Point(1.22, middle, 1.47)
    pieces = [
        line(f"{name} front", f"{name}.front", f"{name} tee", [front, knee, tee]),
        line(f"{name} rear", f"{name}.rear", f"{name} tee", [rear, tee]),
        line(f"{name} down", f"{name} tee", "selector", [tee, foot, SELECTOR_AT]),
    ]
    joint = Tee(
        name=f"{name} tee",
        at=tee,
        run=(f"{name} front", f"{name} down"),
        branch=f"{name} rear",
        common=f"{name} down",
        bore=BORE,
    )
    return made, pieces, joint


def _selector(tanks: int, positions: int) -> Selector:
    ports = {f"port {number + 1}": f"tank {number + 1} down" for number in range(tanks)}
    names = list(ports)
    chosen = [(name,) for name in names]
    chosen += [tuple(names[:count]) for count in range(2, tanks + 1)]
    chosen = chosen[: positions - 1]
    while len(chosen) < positions - 1:
        chosen.append(tuple(names[len(chosen) % tanks :]))
    settings = {f"position {number + 1}": some for number, some in enumerate(chosen)}
    return Selector(
        name="selector",
        at=SELECTOR_AT,
        ports=ports,
        outlet="feed",
        positions={**settings, "off": ()},
        judged=tuple(settings),
        loss=fitting("selector", BORE),
    )


def _cut(whole: Line, number: int) -> tuple[Line, Junction, Line]:
    """Cut a line in the middle of its longest straight piece."""
    assert whole.route is not None
    route = list(whole.route)
    steps = [float(np.linalg.norm(np.subtract(b, a))) for a, b in pairwise(route)]
    where = int(np.argmax(steps))
    at = Point(*(0.5 * (a + b) for a, b in zip(route[where], route[where + 1], strict=True)))
    joint = Junction(name=f"joint {number}", at=at)
    rest = whole.parts[1:]
    first = line(whole.name, whole.start, joint.name, [*route[: where + 1], at])
    second = line(f"{whole.name} {number}", joint.name, whole.end, [at, *route[where + 1 :]], *rest)
    return first, joint, second


def _renamed(node: Node, lines: list[Line], *ends: str) -> Node:
    """Let a tee or selector name the line that reaches it now."""
    if isinstance(node, Junction) or node.name not in ends:
        return node
    here = [each.name for each in lines if node.name in (each.start, each.end)]

    def now(name: str) -> str:
        if name in here:
            return name
        return next(each for each in here if each.startswith(f"{name} "))

    if isinstance(node, Tee):
        return replace(
            node, run=(now(node.run[0]), now(node.run[1])), branch=now(node.branch),
            common=now(node.common),
        )  # fmt: skip
    ports = {port: now(name) for port, name in node.ports.items()}
    return replace(node, ports=ports, outlet=now(node.outlet))
