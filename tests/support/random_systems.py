"""Random plausible fuel systems, built without a case file; every number is invented.

High-wing aeroplanes of one to three tanks with one or two outlets each, tees, a selector or none,
one-way valves, humps, a ring of lines now and then, screens, vents of several kinds, with and
without a carburettor. Bands are now narrow, now wide, so that scenarios scatter against each other.
"""

from dataclasses import replace
from itertools import pairwise

import numpy as np

from flowsim.physics.fuel.catalogue import fuel_named
from flowsim.physics.losses.fitting_catalogue import BORE_BAND, fitting
from flowsim.physics.tank.solids import box
from flowsim.system.bands import Band, Exact, Lognormal, Triangular
from flowsim.system.engine import Carburettor, Engine
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Junction, Line, Node, Selector, Tee
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Part,
    Pipe,
    Screen,
)
from flowsim.system.points import Point
from flowsim.system.tanks import Outlet, Tank, Vent
from tests.support.systems import flight

BORES = (0.00616, 0.00775, 0.00775, 0.00940, 0.0109)


class _Maker:
    """One random system; its methods draw from the same generator in turn."""

    def __init__(self, seed: int) -> None:
        self.random = np.random.default_rng(seed)
        self.bore = float(self.random.choice(BORES))
        self.tanks: list[Tank] = []
        self.lines: list[Line] = []
        self.nodes: list[Node] = []

    def chance(self, share: float) -> bool:
        """Tell yes with this probability."""
        return bool(self.random.random() < share)

    def between(self, low: float, high: float) -> float:
        """Draw evenly."""
        return float(self.random.uniform(low, high))

    def band(self) -> Band:
        """Draw a band: none, narrow, wide or one-sided."""
        kind = int(self.random.integers(0, 4))
        if kind == 0:
            return Exact()
        if kind == 1:
            return Lognormal(self.between(1.02, 1.08))
        if kind == 2:
            return Lognormal(self.between(1.3, 1.9))
        return Triangular(self.between(0.5, 0.9), 1.0, self.between(1.5, 3.0))

    def part(self) -> Part:
        """Draw one thing in a line."""
        kind = int(self.random.integers(0, 5))
        if kind == 0:
            return fitting("elbow 90", self.bore, count=int(self.random.integers(1, 4)))
        if kind == 1:
            return MinorLoss(
                name="bowl",
                kind="bowl",
                bore=self.bore,
                k_inf=self.between(0.5, 8.0),
                k_laminar=self.between(0.0, 900.0),
                band=self.band(),
                laminar_band=self.band(),
                source="invented",
            )
        if kind == 2:
            return FlowCoefficient(
                name="valve",
                kind="valve",
                bore=self.bore,
                kv=self.between(0.4, 2.5),
                band=self.band(),
                source="invented",
            )
        if kind == 3:
            flows = np.cumsum(self.random.uniform(4e-6, 1.5e-5, 3))
            drops = np.cumsum(self.random.uniform(30.0, 900.0, 3))
            return MeasuredDrop(
                name="filter",
                kind="filter",
                bore=self.bore,
                flows=tuple(flows.tolist()),
                drops=tuple(drops.tolist()),
                density=720.0,
                band=self.band(),
                source="invented",
            )
        return fitting("elbow 45", self.bore)

    def line(self, name: str, start: str, end: str, *points: Point, one_way: float = 0.0) -> None:
        """Add a line through some points, with a hump now and then."""
        route = [points[0]]
        for here, there in pairwise(points):
            if self.chance(0.12):
                middle = (np.array(here) + np.array(there)) / 2
                rise = self.between(0.01, 0.12)
                high = max(here.waterline, there.waterline) + rise
                route.append(Point(float(middle[0]), float(middle[1]), high))
            route.append(there)
        length = float(sum(np.linalg.norm(np.subtract(b, a)) for a, b in pairwise(route)))
        parts: list[Part] = [
            Pipe(
                name=name,
                length=length,
                bore=self.bore,
                roughness=1.5e-6,
                bore_band=BORE_BAND,
                source="invented",
            )
        ]
        parts += [self.part() for _ in range(int(self.random.integers(0, 3)))]
        if self.chance(one_way):
            parts.append(
                OneWayValve(
                    name="one-way",
                    bore=self.bore,
                    cracking_pressure=self.between(0.0, 150.0),
                    kv=self.between(0.8, 3.0),
                    band=self.band(),
                )
            )
        self.lines.append(
            Line(
                name=name,
                start=start,
                end=end,
                parts=tuple(parts),
                route=tuple(route),
                length=length,
                bore=self.bore,
            )
        )

    def vent(self, group: str) -> Vent:
        """Draw how a tank breathes."""
        if self.chance(0.5):
            return Vent(
                kind="forward",
                pressure_coefficient=0.0,
                coefficient_low=0.0,
                coefficient_high=0.0,
                group=group,
            )
        return Vent(
            kind="flush",
            pressure_coefficient=-0.5,
            coefficient_low=-1.0,
            coefficient_high=0.0,
            group=group,
        )

    def outlet(self, name: str, at: Point) -> Outlet:
        """Draw an outlet, with a screen now and then."""
        screen = None
        if self.chance(0.4):
            screen = Screen(
                name="finger screen",
                area=self.between(2e-4, 1.2e-3),
                wires_per_metre=630.0,
                wire_diameter=0.0004,
                clear_fraction=self.between(0.5, 1.0),
                band=self.band(),
                source="invented",
            )
        return Outlet(
            name=name,
            at=at,
            bore=self.bore,
            entrance=fitting("flush outlet", self.bore),
            screen=screen,
        )

    def tank(self, name: str, side: float) -> tuple[str, Point]:
        """Add a tank with its lines down to where they meet; give that node and its place."""
        low = self.between(1.2, 1.6)
        front, chord, span = self.between(1.0, 1.3), self.between(0.35, 0.7), self.between(0.5, 1.2)
        inner, outer = (
            sorted((0.45 * side, (0.45 + span) * side)) if side else (-span / 2, span / 2)
        )
        root = 0.46 * side
        places = {"rear": Point(front + chord - 0.01, root, low)}
        if self.chance(0.6):
            places["front"] = Point(front + 0.01, root, low + self.between(0.0, 0.01))
        volume = chord * span * 0.15
        self.tanks.append(
            Tank(
                name=name,
                shape=box(Point(front, inner, low), Point(front + chord, outer, low + 0.15)),
                outlets=tuple(self.outlet(key, at) for key, at in places.items()),
                vent=self.vent(name if self.chance(0.7) else "common"),
                placarded_capacity=None,
                unusable=volume * self.between(0.03, 0.25),
                least_takeoff=volume * self.between(0.3, 0.8),
            )
        )
        if len(places) == 1:
            return f"{name}.rear", places["rear"]
        tee = Point(front + self.between(0.0, chord), root, low - self.between(0.03, 0.5))
        self.line(f"{name} front", f"{name}.front", f"{name} tee", places["front"], tee)
        self.line(f"{name} rear", f"{name}.rear", f"{name} tee", places["rear"], tee)
        return f"{name} tee", tee

    def joined(self) -> tuple[str, Point]:
        """Add tanks and join them; give the node from which the engine is fed, and its place."""
        count = int(self.random.choice([1, 2, 2, 2, 3]))
        sides = {1: [0.0], 2: [-1.0, 1.0], 3: [-1.0, 1.0, 0.0]}[count]
        names = ["left", "right", "middle"][:count] if count > 1 else ["wing"]
        feet = [self.tank(name, side) for name, side in zip(names, sides, strict=True)]
        if count == 1:
            node, place = feet[0]
            if not node.endswith("tee"):
                return node, place
            foot = Point(place.station, 0.0, 0.5)
            self.line("down", node, "foot", place, foot)
            self._tee("wing", "down", place)
            self.nodes.append(Junction(name="foot", at=foot))
            return "foot", foot
        at = Point(self.between(0.9, 1.5), 0.0, self.between(0.1, 0.6))
        one_way = 0.5 if self.chance(0.2) else 0.0
        for name, (node, place) in zip(names, feet, strict=True):
            corner = Point(place.station, place.buttline, self.between(0.4, 0.9))
            self.line(f"{name} down", node, "valve", place, corner, at, one_way=one_way)
            if node.endswith("tee"):
                self._tee(name, f"{name} down", place)
        if self.chance(0.25):
            self.nodes.append(Junction(name="valve", at=at))
        else:
            self._selector(names, at)
        if self.chance(0.12) and all(node.endswith("tee") for node, _ in feet[:2]):
            self.line("across", feet[0][0], feet[1][0], feet[0][1], feet[1][1])
            self.nodes = [
                Junction(name=node.name, at=node.at) if isinstance(node, Tee) else node
                for node in self.nodes
            ]
        return "valve", at

    def _tee(self, name: str, down: str, at: Point) -> None:
        self.nodes.append(
            Tee(
                name=f"{name} tee",
                at=at,
                run=(f"{name} front", down),
                branch=f"{name} rear",
                common=down,
                bore=self.bore,
            )
        )

    def _selector(self, names: list[str], at: Point) -> None:
        positions = {name: (name,) for name in names}
        if self.chance(0.7):
            positions["both"] = tuple(names)
        self.nodes.append(
            Selector(
                name="valve",
                at=at,
                ports={name: f"{name} down" for name in names},
                outlet="feed",
                positions={**positions, "off": ()},
                judged=tuple(positions),
                loss=fitting("selector", self.bore),
            )
        )

    def system(self) -> FuelSystem:
        """Make the whole."""
        node, place = self.joined()
        inlet = Point(0.4, 0.0, self.between(-0.1, 0.6))
        low = Point(0.8, 0.0, min(place.waterline, inlet.waterline) - self.between(0.0, 0.2))
        self.line("feed", node, "engine", place, low, inlet, one_way=0.08)
        parts: tuple[Part, ...] = (
            Orifice(
                name="seat",
                kind="needle and seat",
                bore=self.between(0.0025, 0.005),
                discharge_coefficient=0.61,
                band=self.band(),
            ),
        )
        carburettor = Carburettor(
            parts=parts, float_level=Point(0.42, 0.0, inlet.waterline + self.between(-0.02, 0.03))
        )
        temperatures = tuple(sorted(self.between(253.0, 315.0) for _ in range(2)))
        return FuelSystem(
            title="invented",
            tanks=tuple(self.tanks),
            lines=tuple(self.lines),
            nodes=tuple(self.nodes),
            engine=Engine(
                inlet="engine",
                inlet_at=inlet,
                burn=self.between(0.003, 0.012),
                basis="stated",
                factor=1.5,
                carburettor=carburettor if self.chance(0.6) else None,
                descent_burn=0.002 if self.chance(0.3) else None,
            ),
            flight=flight(
                climb_pitch=np.radians(self.between(2.0, 14.0)),
                climb_speed=self.between(25.0, 45.0),
                **({"descent_pitch": np.radians(-6.0)} if self.chance(0.3) else {}),
            ),
            fuel=fuel_named("avgas 100LL"),
            temperatures=temperatures,
            test_draw=0.002,
            height_deviation=self.between(0.0, 0.008),
        )


def random_system(seed: int) -> FuelSystem:
    """Give the plausible system of a seed; its burn is such that the verdict is not far off.

    Parameters
    ----------
    seed : int

    Returns
    -------
    FuelSystem
    """
    return _Maker(seed).system()


def with_burn(system: FuelSystem, burn: float) -> FuelSystem:
    """Give the same system with another full-power burn [kg/s]."""
    return replace(system, engine=replace(system.engine, burn=burn))
