"""Lines, and the places where they meet."""

from collections.abc import Mapping
from dataclasses import dataclass

from flowsim.system.parts import Part, Pipe, is_tube
from flowsim.system.points import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class StatedCorner:
    """Formed bends of a line whose points are not known: ``angle`` [rad], ``radius`` [m], count."""

    angle: float
    radius: float
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One run of tube or hose with its fittings, from node ``start`` to node ``end``.

    ``parts`` lie in order from start to end; at least one is usually a Pipe. ``route`` holds the
    centre-line's points including both ends, or is None where the builder gave only length and
    rise (then high and low points between the ends are unknown). A ``closed`` line carries nothing.
    ``bend_radius`` [m] of the formed bends, None where unknown; where they differ, ``corner_radii``
    holds that of each point between the ends, zero where a fitting makes the corner. ``corners``
    are those of a line without a route. ``outside_diameter`` and ``wall`` [m] are None where only a
    bore was given. ``outlet_parts`` are those of its parts that sit at a tank outlet.
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
    corner_radii: tuple[float, ...] = ()
    corners: tuple[StatedCorner, ...] = ()
    outlet_parts: tuple[Part, ...] = ()

    @property
    def pipes(self) -> tuple[Pipe, ...]:
        """Its lengths of tube and hose, in order."""
        return tuple(part for part in self.parts if is_tube(part))

    @property
    def radii(self) -> tuple[float | None, ...]:
        """Bend radius [m] at each point between the ends of its route, None where unknown."""
        inner = max(0, len(self.route or ()) - 2)
        return self.corner_radii or (self.bend_radius,) * inner

    @property
    def tightest_bend(self) -> float | None:
        """The least bend radius [m] that is stated for it, None where none is."""
        own = [radius for radius in self.corner_radii if radius > 0.0]
        own += [corner.radius for corner in self.corners]
        if self.bend_radius is not None and not self.corner_radii:
            own.append(self.bend_radius)
        return min(own, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Junction:
    """A plain place where lines meet; what it costs stands among the parts of the lines."""

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
