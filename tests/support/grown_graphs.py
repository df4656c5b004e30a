"""Fuel systems that grow: a seed aeroplane (tank, line, engine) is rewritten by rules.

Every number is invented. Each rule replaces a piece of the graph by a larger one that is still a
fuel system: a line gets a place in its middle, a second path, a tank ahead of it; a place gets a
drain, a dead end, another tank, another line to the engine; a line becomes a header tank between
two lines. ``grown_systems`` writes them as case files.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

ENGINE = "engine"
MOST_LINES = 60
Place = tuple[float, float, float]


@dataclass
class Run:
    """A line; ``led`` tells that fuel can only be meant to go from its start to its end."""

    name: str
    start: str
    end: str
    bore: float
    led: bool = True
    closed: bool = False
    parts: list[str] = field(default_factory=list)


@dataclass
class Vessel:
    """A tank: lowest front left corner, size, outlets by name."""

    name: str
    corner: Place
    size: Place
    outlets: dict[str, Place] = field(default_factory=dict)


class Growing:
    """The system as it grows."""

    def __init__(self, seed: int) -> None:
        self.dice = np.random.default_rng([seed, 19])
        self.spread = float(self.dice.choice([0.0, 0.05, 0.4, 1.2]))
        self.places: dict[str, Place] = {}
        self.kinds: dict[str, str] = {}
        self.vessels: list[Vessel] = []
        self.runs: list[Run] = []
        self.drains: list[tuple[str, Place | None, str | None]] = []
        self.inlet: Place = (0.0, 0.0, float(self.dice.normal(0.0, self.spread)))
        self.number = 0
        self.narrow, self.wide = sorted(self.dice.uniform(2.0, 25.0, 2).tolist())

    def pick(self, things: list[str]) -> str:
        return str(things[int(self.dice.integers(len(things)))])

    def maybe(self, share: float) -> bool:
        return bool(self.dice.random() < share)

    def new(self, stem: str) -> str:
        self.number += 1
        return f"{stem} {self.number}"

    def bore(self) -> float:
        """Bore of a line [mm]: within this aeroplane's range, its ends among them."""
        share = float(np.clip(self.dice.uniform(-0.2, 1.2), 0.0, 1.0))
        return round(self.narrow + share * (self.wide - self.narrow), 2)

    def near(self, place: Place) -> Place:
        """Give a place not far off: level with it, plumb under or over it, or anywhere."""
        kind = int(self.dice.integers(3))
        step = self.dice.normal(0.0, 0.6, 3)
        step[2] = 0.0 if kind == 0 else self.dice.normal(0.0, max(self.spread, 0.02))
        if kind == 1:
            step[:2] = 0.0
            step[2] = math.copysign(abs(step[2]) + 0.05, step[2])
        moved = np.round(np.array(place) + step, 4).tolist()
        return (moved[0], moved[1], moved[2])

    def at(self, node: str) -> Place:
        """Give where an end of a line is."""
        if node == ENGINE:
            return self.inlet
        if node in self.places:
            return self.places[node]
        for drain, place, _ in self.drains:
            if drain == node and place is not None:
                return place
        tank, _, outlet = node.partition(".")
        return next(one.outlets[outlet] for one in self.vessels if one.name == tank)

    def junction(self, place: Place) -> str:
        name = self.new("place")
        self.places[name], self.kinds[name] = place, "junction"
        return name

    def run(self, start: str, end: str, *, led: bool = True) -> None:
        self.runs.append(Run(self.new("line"), start, end, self.bore(), led))

    def tank(self, above: float) -> Vessel:
        """Add a tank with its floor about so far over the inlet [m]."""
        size = np.round(self.dice.uniform([0.2, 0.3, 0.05], [0.9, 1.6, 0.5]), 3).tolist()
        corner = (
            round(float(self.dice.uniform(-0.5, 1.5)), 3),
            round(float(self.dice.uniform(-2.0, 0.5)), 3),
            round(self.inlet[2] + above, 3),
        )
        vessel = Vessel(self.new("tank"), corner, (size[0], size[1], size[2]))
        self.vessels.append(vessel)
        return vessel

    def outlet(self, vessel: Vessel, height: float = 0.04) -> str:
        """Add an outlet, ``height`` of the tank's own over its floor."""
        share = [*self.dice.uniform(0.1, 0.9, 2).tolist(), height]
        spot = [c + s * part for c, s, part in zip(vessel.corner, vessel.size, share, strict=True)]
        name = self.new("port")
        vessel.outlets[name] = (round(spot[0], 4), round(spot[1], 4), round(spot[2], 4))
        return f"{vessel.name}.{name}"

    def junctions(self) -> list[str]:
        return list(self.places)


def _split(system: Growing) -> None:
    """A line gets a place in its middle."""
    old = system.runs[int(system.dice.integers(len(system.runs)))]
    middle = np.mean([system.at(old.start), system.at(old.end)], axis=0).tolist()
    name = system.junction(system.near((middle[0], middle[1], middle[2])))
    end, old.end = old.end, name
    system.runs.append(Run(system.new("line"), name, end, system.bore(), old.led))


def _double(system: Growing) -> None:
    """A second line beside one, or a way round by a place of its own: a ring."""
    old = system.runs[int(system.dice.integers(len(system.runs)))]
    if old.end.startswith("drain"):
        return _split(system)
    if system.maybe(0.5):
        return system.run(old.start, old.end, led=old.led)
    name = system.junction(system.near(system.at(old.end)))
    system.run(old.start, name, led=old.led)
    return system.run(name, old.end, led=old.led)


def _bridge(system: Growing) -> None:
    """A line between two places: a ring, or a way round everything between them."""
    if len(system.places) < 2:
        return _split(system)
    start, end = system.dice.choice(system.junctions(), 2, replace=False).tolist()
    return system.run(start, end, led=False)


def _blind(system: Growing) -> None:
    """A dead end: a line to a place where nothing else meets."""
    if not system.places:
        return _split(system)
    start = system.pick(system.junctions())
    return system.run(start, system.junction(system.near(system.at(start))), led=False)


def _drain(system: Growing) -> None:
    """A drain at a place, or at the end of a line of its own."""
    if not system.places:
        return _split(system)
    start, name = system.pick(system.junctions()), system.new("drain")
    if system.maybe(0.5):
        system.drains.append((name, None, start))
        return None
    system.drains.append((name, system.near(system.at(start)), None))
    return system.run(start, name, led=False)


def _another_tank(system: Growing) -> None:
    """A tank that leads into a place; at first into the inlet's own line."""
    if len(system.vessels) >= 6 or not system.places:
        return _split(system)
    above = float(system.dice.uniform(-0.2, 1.0) * max(system.spread, 0.1))
    port = system.outlet(system.tank(above))
    return system.run(port, system.pick(system.junctions()))


def _second_outlet(system: Growing) -> None:
    """A tank that there is leads into one more place."""
    if not system.places:
        return _split(system)
    vessel = system.vessels[int(system.dice.integers(len(system.vessels)))]
    height = float(system.dice.choice([0.02, 0.3, 0.9]))
    port = system.outlet(vessel, height)
    return system.run(port, system.pick(system.junctions()))


def _header(system: Growing) -> None:
    """A line becomes line, tank, line."""
    if len(system.vessels) >= 6:
        return _split(system)
    old = system.runs[int(system.dice.integers(len(system.runs)))]
    if not old.led:
        return _split(system)
    vessel = system.tank(float(system.dice.uniform(0.05, 0.3)))
    end, old.end = old.end, system.outlet(vessel, 0.85)
    return system.run(system.outlet(vessel), end)


def _second_inlet_line(system: Growing) -> None:
    """One more line at the engine."""
    if not system.places:
        return _split(system)
    return system.run(system.pick(system.junctions()), ENGINE)


RULES: tuple[tuple[Callable[[Growing], None], float], ...] = (
    (_split, 4.0), (_double, 1.0), (_bridge, 0.7), (_blind, 0.7), (_drain, 0.7),
    (_another_tank, 1.0), (_second_outlet, 0.8), (_header, 0.4), (_second_inlet_line, 0.4),
)  # fmt: skip


def grow(seed: int) -> Growing:
    """Grow the system of this seed to 1 to 60 lines."""
    system = Growing(seed)
    vessel = system.tank(float(system.dice.uniform(0.02, 1.0) * max(system.spread, 0.05)))
    system.run(system.outlet(vessel), ENGINE)
    wanted = max(1, int(MOST_LINES * system.dice.random() ** 1.5 + 0.5))
    weights = np.array([weight for _, weight in RULES])
    while len(system.runs) + 2 <= wanted:
        RULES[int(system.dice.choice(len(RULES), p=weights / weights.sum()))][0](system)
    return system
