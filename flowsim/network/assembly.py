"""A fuel system as a network: which links there are, what sits in them, what a selector closes."""

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np
import numpy.typing as npt

from flowsim.network.bores import BorePiece, bore_pieces, inlet_bore, node_bores, port_bores
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.elements import Link, Network
from flowsim.network.placing import (
    CARBURETTOR_LINK,
    FLOAT_BOWL,
    OPEN_AIR,
    OPEN_END,
    carburettor_parts,
    line_parts,
    open_end_parts,
)
from flowsim.network.stations import Stations, stations_of
from flowsim.physics.arrays import FloatArray
from flowsim.system.calibration import Calibration
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.tanks import Outlet

BOTH_WAYS = FORWARD | BACKWARD

NO_SELECTOR = "no selector"
"""Name of the one position of a system without any."""


def selector_words(position: str) -> str:
    """Give a selector position in a sentence: ``selector left``, or that there is none.

    Parameters
    ----------
    position : str
        Its name in ``Assembly.positions``.

    Returns
    -------
    str
        For people.
    """
    return position if position == NO_SELECTOR else f"selector {position}"


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
        """Index by name of each node of the system; the ends behind the inlet have none."""
        inside = self.network.node_names[: self.inlet + 1]
        return {name: index for index, name in enumerate(inside)}

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
        """Node of the engine's inlet, the last of the system's own."""
        return len(self.outlet_names) + len(self.system.nodes)

    @cached_property
    def outlet_names(self) -> tuple[str, ...]:
        """Names of the tank outlets, which are the first nodes."""
        return tuple(self.system.outlet_nodes())

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
        rows = [places[name] for name in self.network.node_names[: self.inlet + 1]]
        rows += [self.system.engine.inlet_at] * (len(self.network.node_names) - len(rows))
        carburettor = self.system.engine.carburettor
        if carburettor is not None and carburettor.float_level is not None:
            rows[self.inlet + 2] = carburettor.float_level
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

    @cached_property
    def inlet_bore(self) -> float:
        """Bore [m] of the last piece at the engine's inlet."""
        return inlet_bore(self.system)

    @cached_property
    def port_bores(self) -> tuple[FloatArray, FloatArray]:
        """Smallest and largest bore (link, 2) [m] at the start and the end of each link.

        Of a line's last piece there, and of the tee or selector that it is screwed to.
        """
        ends = np.full((len(self.network.links) - self.open_link, 2), self.inlet_bore)
        smallest, largest = port_bores(self.system)
        return np.concatenate([smallest, ends]), np.concatenate([largest, ends])

    @cached_property
    def bore_pieces(self) -> tuple[tuple[BorePiece, ...], ...]:
        """The pieces of each line, in order along it."""
        return tuple(bore_pieces(line) for line in self.system.lines)

    @cached_property
    def line_stations(self) -> tuple[Stations, ...]:
        """Places along each line with their bores: its points, ends of pieces, fittings."""
        smallest, _ = self.port_bores
        return tuple(
            stations_of(self.network, link, line, self.stations[link], smallest[link])
            for link, line in enumerate(self.system.lines)
        )


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
    inside = [*outlets, *(node.name for node in system.nodes), system.engine.inlet]
    index = {name: position for position, name in enumerate(inside)}
    bores = node_bores(system)
    links = [
        Link(
            name=line.name,
            start=index[line.start],
            end=index[line.end],
            parts=line_parts(system, line, bores),
        )
        for line in system.lines
    ]
    inlet, outside = index[system.engine.inlet], [OPEN_AIR]
    parts = open_end_parts(system, bores)
    links.append(Link(name=OPEN_END, start=inlet, end=inlet + 1, parts=parts))
    if system.engine.carburettor is not None:
        outside.append(FLOAT_BOWL)
        parts = carburettor_parts(system, system.engine.carburettor, bores)
        links.append(Link(name=CARBURETTOR_LINK, start=inlet, end=inlet + 2, parts=parts))
    # By place and never by name: a builder may call a junction what an end is called here.
    fixed = np.array(
        [True] * len(outlets) + [False] * (len(inside) - len(outlets)) + [True] * len(outside)
    )
    names = (*inside, *outside)
    calibration = system.calibration
    if calibration is None:
        return Assembly(system, Network(names, fixed, tuple(links)))
    links = [_calibrated(link, calibration) for link in links]
    return Assembly(system, Network(names, fixed, tuple(links), calibration.friction))


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
        return (Position(name=NO_SELECTOR, closed_lines=frozenset(), judged=True),)
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
