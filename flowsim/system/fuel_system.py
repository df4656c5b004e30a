"""The whole system, as the studies see it."""

from dataclasses import dataclass, field
from typing import Literal

from flowsim.system.calibration import Calibration
from flowsim.system.engine import Engine, Flight
from flowsim.system.fuel import Fuel
from flowsim.system.lines import Drain, Line, Node, Selector, Tee
from flowsim.system.points import Point
from flowsim.system.routing import Routing
from flowsim.system.tanks import Outlet, Tank

Origin = Literal["measured", "drawing", "handbook", "assumed", "default", "not said"]


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where one value is from: ``item`` names it, ``value`` shows it as written.

    ``path`` is where it stands in the case file (keys and indices from the top), empty where
    nobody asked.
    """

    item: str
    value: str
    origin: Origin
    note: str = ""
    path: tuple[str | int, ...] = field(default=(), compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelSystem:
    """A checked fuel system: every reference resolves, every node has a place.

    ``drain_lines`` lead to drains and carry nothing to the engine: they are no part of ``lines``.
    ``what_ifs`` are the words of the what-ifs that the case lists.

    ``note`` is what the case says of itself.

    ``temperatures`` [K] are the fuel temperatures to judge; ``test_draw`` [m3] is what one run of
    the ground test draws from each tank; ``height_deviation`` [m] is one standard deviation of
    measured heights. ``provenance`` lists what is assumed or defaulted, in file order,
    ``not_said`` what is stated without saying where from;
    ``cautions`` are remarks of the reader; ``calibration`` is what a ground test taught, if there
    was one; ``routing`` is how the lines are laid.
    """

    title: str
    tanks: tuple[Tank, ...]
    lines: tuple[Line, ...]
    nodes: tuple[Node, ...]
    engine: Engine
    flight: Flight
    fuel: Fuel
    temperatures: tuple[float, ...]
    test_draw: float
    height_deviation: float
    drains: tuple[Drain, ...] = ()
    drain_lines: tuple[Line, ...] = ()
    note: str = ""
    provenance: tuple[Provenance, ...] = ()
    not_said: tuple[Provenance, ...] = ()
    cautions: tuple[str, ...] = ()
    what_ifs: tuple[str, ...] = ()
    calibration: Calibration | None = None
    routing: Routing = field(default_factory=Routing)

    @property
    def all_lines(self) -> tuple[Line, ...]:
        """The lines that feed, then those that lead to drains."""
        return (*self.lines, *self.drain_lines)

    @property
    def selectors(self) -> tuple[Selector, ...]:
        """The selector valves, in file order."""
        return tuple(node for node in self.nodes if isinstance(node, Selector))

    @property
    def tees(self) -> tuple[Tee, ...]:
        """The tees, in file order."""
        return tuple(node for node in self.nodes if isinstance(node, Tee))

    def outlet_nodes(self) -> dict[str, tuple[Tank, Outlet]]:
        """Tank outlets by node name ``tank.outlet``."""
        return {
            f"{tank.name}.{outlet.name}": (tank, outlet)
            for tank in self.tanks
            for outlet in tank.outlets
        }

    def places(self) -> dict[str, Point]:
        """Coordinates of every node by name: outlets, junctions, tees, selectors, the inlet."""
        places = {name: outlet.at for name, (_, outlet) in self.outlet_nodes().items()}
        places.update({node.name: node.at for node in self.nodes})
        places[self.engine.inlet] = self.engine.inlet_at
        return places
