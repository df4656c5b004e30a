"""Lines, and the places where they meet."""

from collections.abc import Mapping
from dataclasses import dataclass

from flowsim.system.parts import Part
from flowsim.system.points import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One run of tube or hose with its fittings, from node ``start`` to node ``end``.

    ``parts`` lie in order from start to end; at least one is usually a Pipe. ``route`` holds the
    centre-line's points including both ends, or is None where the builder gave only length and
    rise (then high and low points between the ends are unknown). A ``closed`` line carries nothing.
    ``bend_radius`` [m] of the formed bends, None where unknown. ``outside_diameter`` and ``wall``
    [m] are None where only a bore was given.
    """

    name: str
    start: str
    end: str
    parts: tuple[Part, ...]
    route: tuple[Point, ...] | None
    length: float
    bore: float
    closed: bool = False
    material: str = ""
    outside_diameter: float | None = None
    wall: float | None = None
    bend_radius: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction:
    """A plain place where lines meet, without a loss of its own."""

    name: str
    at: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Tee:
    """A tee: two lines on its straight ``run``, one on its ``branch``; ``common`` carries the sum.

    ``bore`` [m] of its legs; losses are K on each leg's own flow (see the catalogue).
    """

    name: str
    at: Point
    run: tuple[str, str]
    branch: str
    common: str
    bore: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Selector:
    """A rotary selector valve.

    ``ports`` maps a port's name to the line that ends there; ``outlet`` is the line that leaves.
    ``positions`` maps each position's name to the ports it opens (none: off). ``judged`` lists the
    positions meant for take-off and climb. ``loss`` is the whole loss of one passage: half sits on
    each port's own flow and half on the total.
    """

    name: str
    at: Point
    ports: Mapping[str, str]
    outlet: str
    positions: Mapping[str, tuple[str, ...]]
    judged: tuple[str, ...]
    loss: Part


@dataclass(frozen=True, slots=True, kw_only=True)
class Drain:
    """A low-point drain: at a point of a line, a junction or a tank; ``reaches`` names which."""

    name: str
    at: Point
    reaches: str


Node = Junction | Tee | Selector
