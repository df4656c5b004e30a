"""Small invented fuel systems, built without a case file."""

from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from flowsim.physics.fuel.catalogue import fuel_named
from flowsim.physics.losses.fitting_catalogue import BORE_BAND, fitting
from flowsim.physics.tank.solids import box
from flowsim.system.engine import Carburettor, Engine, Flight
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Drain, Line, Selector, Tee
from flowsim.system.parts import Orifice, Part, Pipe
from flowsim.system.points import Point
from flowsim.system.routing import GroundAttitude, Routing
from flowsim.system.tanks import Outlet, Tank, Vent

BORE = 0.00775


def line(
    name: str, start: str, end: str, route: list[Point], *parts: Part, bore: float = BORE
) -> Line:
    """Make a line of smooth tube along straight pieces."""
    steps = pairwise(route)
    length = float(sum(np.linalg.norm(np.subtract(b, a)) for a, b in steps))
    pipe = Pipe(
        name=name, length=length, bore=bore, roughness=1.5e-6, bore_band=BORE_BAND, source="test"
    )
    return Line(
        name=name,
        start=start,
        end=end,
        parts=(pipe, *parts),
        route=tuple(route),
        length=length,
        bore=bore,
    )


def tank(name: str, low: Point, high: Point, outlets: dict[str, Point], **given: Any) -> Tank:
    """Make a box tank with flush outlets and a forward vent."""
    values = {"unusable": 0.014, "least_takeoff": 0.025, "placarded_capacity": None, **given}
    vent = values.pop("vent", forward_vent(name))
    return Tank(
        name=name,
        shape=box(low, high),
        outlets=tuple(
            Outlet(name=key, at=at, bore=BORE, entrance=fitting("flush outlet", BORE))
            for key, at in outlets.items()
        ),
        vent=vent,
        **values,
    )


def forward_vent(group: str) -> Vent:
    """Make a vent that gets no credit for ram."""
    return Vent(
        kind="forward", pressure_coefficient=0, coefficient_low=0, coefficient_high=0, group=group
    )


def flight(**given: float) -> Flight:
    """Make a climb at 10 deg and a test attitude of 15 deg."""
    values: dict[str, Any] = {
        "level_pitch": 0.0,
        "climb_pitch": np.radians(10.0),
        "pitch_working": "stated",
        "test_margin": np.radians(5.0),
        "climb_speed": 30.0,
        "pressure_altitude": 2000.0,
        **given,
    }
    return Flight(**values)


def one_tank(**given: Any) -> FuelSystem:
    """Make one tank, one line, open end; everything on the centre plane."""
    wing = tank(
        "wing",
        Point(1.2, -0.3, 1.4),
        Point(1.7, 0.3, 1.55),
        {"rear": Point(1.69, 0.0, 1.4)},
        unusable=0.012,
    )
    down = line(
        "down",
        "wing.rear",
        "engine",
        [Point(1.69, 0, 1.4), Point(1.7, 0, 0.5), Point(0.6, 0, 0.1), Point(0.5, 0, 0.4)],
        fitting("elbow 90", BORE, count=2),
    )
    values: dict[str, Any] = {
        "title": "one tank",
        "tanks": (wing,),
        "lines": (down,),
        "nodes": (),
        "engine": Engine(
            inlet="engine", inlet_at=Point(0.5, 0, 0.4), burn=0.005, basis="stated", factor=1.5
        ),
        "flight": flight(),
        "fuel": fuel_named("avgas 100LL"),
        "temperatures": (288.15,),
        "test_draw": 0.002,
        "height_deviation": 0.003,
        "routing": Routing(ground=GroundAttitude(gear="nosewheel", pitch=0.0)),
        "drains": (Drain(name="low drain", at=Point(0.6, 0.0, 0.1), reaches="down"),),
        **given,
    }
    return FuelSystem(**values)


def two_tanks(*, carburettor: bool = True, **given: Any) -> FuelSystem:
    """Make mirrored tanks with front and rear outlets, tees and a selector."""
    tanks, lines, nodes = [], [], []
    for side, sign in (("left", -1), ("right", 1)):
        y = (0.5 * sign, 1.6 * sign)
        tanks.append(
            tank(
                side,
                Point(1.2, min(y), 1.5),
                Point(1.7, max(y), 1.62),
                {
                    "front": Point(1.21, 0.52 * sign, 1.5),
                    "rear": Point(1.69, 0.52 * sign, 1.5),
                },
                unusable=0.02,
                least_takeoff=0.025,
            )
        )
        tee = Point(1.72, 0.5 * sign, 1.3)
        knee = Point(1.22, 0.5 * sign, 1.47)
        lines.append(
            line(
                f"{side} front",
                f"{side}.front",
                f"{side} tee",
                [tanks[-1].outlets[0].at, knee, tee],
            )
        )
        lines.append(
            line(f"{side} rear", f"{side}.rear", f"{side} tee", [tanks[-1].outlets[1].at, tee])
        )
        foot = Point(1.73, 0.5 * sign, 0.4)
        lines.append(
            line(f"{side} down", f"{side} tee", "selector", [tee, foot, Point(1.4, 0, 0.25)])
        )
        nodes.append(
            Tee(
                name=f"{side} tee",
                at=tee,
                run=(f"{side} front", f"{side} down"),
                branch=f"{side} rear",
                common=f"{side} down",
                bore=BORE,
            )
        )
    lines.append(
        line(
            "feed",
            "selector",
            "engine",
            [Point(1.4, 0, 0.25), Point(0.5, 0, 0.0), Point(0.45, 0, 0.25)],
            fitting("sediment bowl", BORE),
        )
    )
    nodes.append(
        Selector(
            name="selector",
            at=Point(1.4, 0, 0.25),
            ports={"left": "left down", "right": "right down"},
            outlet="feed",
            positions={
                "left": ("left",),
                "right": ("right",),
                "both": ("left", "right"),
                "off": (),
            },
            judged=("left", "right", "both"),
            loss=fitting("selector", BORE),
        )
    )
    seat = Orifice(name="seat", kind="needle and seat", bore=0.005, discharge_coefficient=0.65)
    engine = Engine(
        inlet="engine",
        inlet_at=Point(0.45, 0, 0.25),
        burn=0.007,
        basis="stated",
        factor=1.5,
        carburettor=Carburettor(parts=(seat,), float_level=Point(0.47, 0, 0.26))
        if carburettor
        else None,
    )
    base = one_tank(
        title="two tanks",
        tanks=tuple(tanks),
        lines=tuple(lines),
        nodes=tuple(nodes),
        drains=(Drain(name="low drain", at=Point(0.5, 0.0, 0.0), reaches="feed"),),
    )
    return replace(base, engine=engine, **given)
