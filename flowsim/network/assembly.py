"""A fuel system as a network: which links there are, what sits in them, what a selector closes."""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np
import numpy.typing as npt

from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.elements import Exit, Link, Network, PlacedPart
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fitting_catalogue import tee_losses
from flowsim.system.calibration import Calibration
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line, Selector, Tee
from flowsim.system.tanks import Outlet, Tank

OPEN_AIR = "open air"
FLOAT_BOWL = "float bowl"
BOTH_WAYS = FORWARD | BACKWARD


@dataclass(frozen=True, slots=True, kw_only=True)
class Position:
    """One setting of all selectors: its name, the lines it closes, whether it is judged."""

    name: str
    closed_lines: frozenset[str]
    judged: bool


@dataclass(frozen=True, eq=False)
class Assembly:
    """A fuel system's network and the indices that tie both together.

    Nodes: every tank outlet (fixed head), every junction, tee and selector, the engine's inlet,
    then the open air and, where there is a carburettor, its float bowl (both fixed). Links: every
    line in file order, then the open end and the carburettor.
    """

    system: FuelSystem
    network: Network

    @cached_property
    def node_index(self) -> dict[str, int]:
        """Index of each node by name."""
        return {name: index for index, name in enumerate(self.network.node_names)}

    @cached_property
    def outlets(self) -> tuple[tuple[int, int, Outlet], ...]:
        """Node index, tank index and outlet of every tank outlet."""
        tank_index = {tank.name: index for index, tank in enumerate(self.system.tanks)}
        return tuple(
            (self.node_index[name], tank_index[tank.name], outlet)
            for name, (tank, outlet) in self.system.outlet_nodes().items()
        )

    @cached_property
    def inlet(self) -> int:
        """Node of the engine's inlet."""
        return self.node_index[self.system.engine.inlet]

    @property
    def open_link(self) -> int:
        """Link from the inlet to the open air."""
        return len(self.system.lines)

    @property
    def carburettor_link(self) -> int | None:
        """Link from the inlet through the carburettor, None without carburettor data."""
        return None if self.system.engine.carburettor is None else len(self.system.lines) + 1

    @cached_property
    def positions(self) -> tuple[Position, ...]:
        """Every setting of the selectors; a single one named "no selector" without any."""
        return _positions(self.system)

    @cached_property
    def line_allowed(self) -> npt.NDArray[np.int8]:
        """Bits (position, link) of open directions, before outlets and ends are looked at."""
        allowed = np.full((len(self.positions), len(self.network.links)), BOTH_WAYS, dtype=np.int8)
        for row, position in enumerate(self.positions):
            for column, line in enumerate(self.system.lines):
                if line.closed or line.name in position.closed_lines:
                    allowed[row, column] = 0
        return allowed

    @cached_property
    def points(self) -> FloatArray:
        """Coordinates of all nodes (node, 3) [m]; the open air lies at the inlet."""
        places = self.system.places()
        rows = [places.get(name, self.system.engine.inlet_at) for name in self.network.node_names]
        carburettor = self.system.engine.carburettor
        if carburettor is not None and carburettor.float_level is not None:
            rows[self.node_index[FLOAT_BOWL]] = carburettor.float_level
        return np.array(rows, dtype=np.float64)

    @cached_property
    def stations(self) -> tuple[FloatArray, ...]:
        """Points (point, 3) [m] along each line; only its ends where its course is unknown."""
        network = self.network
        found = []
        for link, line in enumerate(self.system.lines):
            if line.route is None:
                found.append(self.points[[network.start[link], network.end[link]]])
            else:
                found.append(np.array(line.route, dtype=np.float64))
        return tuple(found)


def assemble(system: FuelSystem) -> Assembly:
    """Turn a checked fuel system into a network.

    Parameters
    ----------
    system : FuelSystem
        As the case reader gives it; references are taken to resolve.

    Returns
    -------
    Assembly
    """
    outlets = list(system.outlet_nodes())
    names = [*outlets, *(node.name for node in system.nodes), system.engine.inlet, OPEN_AIR]
    carburettor = system.engine.carburettor
    if carburettor is not None:
        names.append(FLOAT_BOWL)
    index = {name: position for position, name in enumerate(names)}
    links = [
        Link(
            name=line.name, start=index[line.start], end=index[line.end], parts=_parts(system, line)
        )
        for line in system.lines
    ]
    links.append(_open_end(system, index))
    if carburettor is not None:
        links.append(_carburettor(system, index))
    outside = {*outlets, OPEN_AIR, FLOAT_BOWL}
    fixed = np.array([name in outside for name in names])
    calibration = system.calibration
    if calibration is None:
        return Assembly(system, Network(tuple(names), fixed, tuple(links)))
    links = [_calibrated(link, calibration) for link in links]
    return Assembly(system, Network(tuple(names), fixed, tuple(links), calibration.friction))


def _calibrated(link: Link, calibration: Calibration) -> Link:
    """Give a link whose parts carry the factors that a ground test gave."""
    known = {factors.key: factors for factors in calibration.parts}
    parts = tuple(
        replace(
            placed,
            loss_factor=known[placed.key].loss,
            laminar_factor=known[placed.key].laminar,
            bore_factor=known[placed.key].bore,
        )
        if placed.key in known
        else placed
        for placed in link.parts
    )
    return replace(link, parts=parts)


def _positions(system: FuelSystem) -> tuple[Position, ...]:
    selectors = system.selectors
    if not selectors:
        return (Position(name="no selector", closed_lines=frozenset(), judged=True),)
    found = []
    for choice in product(*(selector.positions.items() for selector in selectors)):
        closed: set[str] = set()
        judged = True
        for selector, (name, ports) in zip(selectors, choice, strict=True):
            closed |= {line for port, line in selector.ports.items() if port not in ports}
            judged = judged and name in selector.judged
        found.append(
            Position(
                name=" + ".join(name for name, _ in choice),
                closed_lines=frozenset(closed),
                judged=judged,
            )
        )
    return tuple(found)


def _parts(system: FuelSystem, line: Line) -> tuple[PlacedPart, ...]:
    own = tuple(
        PlacedPart(part=part, key=f"{line.name}: {part.name} #{number}")
        for number, part in enumerate(line.parts)
    )
    return (
        *_end_parts(system, line, at_start=True),
        *own,
        *_end_parts(system, line, at_start=False),
    )


def _end_parts(system: FuelSystem, line: Line, *, at_start: bool) -> tuple[PlacedPart, ...]:
    """Give what the node at one end of a line adds to the line."""
    node_name = line.start if at_start else line.end
    found = system.outlet_nodes().get(node_name)
    if found is not None:
        return _outlet_parts(*found, at_start=at_start)
    for node in system.nodes:
        if node.name != node_name:
            continue
        if isinstance(node, Tee):
            return _tee_parts(node, line)
        if isinstance(node, Selector):
            return (PlacedPart(part=node.loss, key=f"selector {node.name}", share=0.5),)
    return ()


def _outlet_parts(tank: Tank, outlet: Outlet, *, at_start: bool) -> tuple[PlacedPart, ...]:
    """Entrance, screen and, against the flow, exit of a tank outlet, as seen along the line."""
    name = f"{tank.name}.{outlet.name}"
    entrance = PlacedPart(
        part=outlet.entrance, key=f"{name} entrance", direction=1 if at_start else -1
    )
    leaving = PlacedPart(
        part=Exit(name=f"exit into {tank.name}", bore=outlet.bore),
        key=f"{name} exit",
        direction=-1 if at_start else 1,
    )
    parts = [entrance, leaving]
    if outlet.screen is not None:
        parts.append(PlacedPart(part=outlet.screen, key=f"{name} screen"))
    return tuple(parts if at_start else reversed(parts))


def _tee_parts(tee: Tee, line: Line) -> tuple[PlacedPart, ...]:
    """Give the loss of one leg of a tee, on the leg's own flow."""
    return tuple(
        PlacedPart(part=loss, key=f"tee {tee.name} {line.name}")
        for name, loss in tee_losses(tee)
        if name == line.name
    )


def _bore_at_inlet(system: FuelSystem) -> float:
    """Bore [m] of the line at the engine's inlet; of several the narrowest, which costs most."""
    there = [line for line in system.lines if system.engine.inlet in (line.start, line.end)]
    return min(line.bore for line in [line for line in there if not line.closed] or there)


def _open_end(system: FuelSystem, index: dict[str, int]) -> Link:
    leaving = Exit(name="open end (kinetic energy)", bore=_bore_at_inlet(system))
    return Link(
        name="open end",
        start=index[system.engine.inlet],
        end=index[OPEN_AIR],
        parts=(PlacedPart(part=leaving, key="open end", direction=1),),
    )


def _carburettor(system: FuelSystem, index: dict[str, int]) -> Link:
    carburettor = system.engine.carburettor
    assert carburettor is not None
    placed = [
        PlacedPart(part=part, key=f"carburettor: {part.name} #{number}")
        for number, part in enumerate(carburettor.parts)
    ]
    if carburettor.least_inlet_pressure is not None:
        kinetic = Exit(name="velocity head at the inlet", bore=_bore_at_inlet(system))
        placed.append(PlacedPart(part=kinetic, key="inlet velocity", direction=1))
    return Link(
        name="carburettor",
        start=index[system.engine.inlet],
        end=index[FLOAT_BOWL],
        parts=tuple(placed),
    )
