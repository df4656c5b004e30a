"""Invented systems of which every loss goes with the square of the flow: flows by hand.

Reservoirs of stated level over pipes of fixed friction factor. What the law of the open end costs
is the velocity head of its bore (turbulent: K = 1).
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import Situation, build_scenarios, situate
from flowsim.system.bands import Exact
from flowsim.system.engine import Engine, Flight
from flowsim.system.fuel import Fuel
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line, Node
from flowsim.system.parts import MinorLoss, Part, Pipe, QuadraticLoss
from flowsim.system.points import Point
from flowsim.system.tanks import Outlet, StatedLevel, Tank, Vent

DENSITY, VISCOSITY, GRAVITY = 720.0, 6e-7, 9.80665
VAPOUR = 20000.0
"""[Pa]"""
BORE = 0.008
AREA = np.pi * BORE**2 / 4
WIDE = 0.08
"""[m] So wide that the velocity head in it is nothing."""
DARCY = 0.03


def liquid(viscosity: float = VISCOSITY, vapour_pressure: float = VAPOUR) -> Fuel:
    """Constant density, viscosity and vapour pressure."""
    return Fuel(
        name="test liquid",
        density_law="points",
        density_15=DENSITY,
        viscosity_law="constant",
        vapour_law="points",
        viscosity_points=((288.15, viscosity),),
        density_points=((288.15, DENSITY),),
        vapour_points=((288.15, vapour_pressure),),
        viscosity_band=Exact(),
        source="invented",
    )


def tube(length: float, bore: float = BORE, name: str = "tube") -> Pipe:
    """Loss DARCY length/bore velocity heads, whatever the flow."""
    return Pipe(
        name=name, length=length, bore=bore, roughness=0.0, friction_factor=DARCY, source="invented"
    )


def loss(coefficient: float, name: str = "loss") -> QuadraticLoss:
    """Loss coefficient x Q^2 [m]."""
    return QuadraticLoss(
        name=name, kind="stated", bore=BORE, coefficient=coefficient, source="invented"
    )


def reservoir(
    name: str,
    surface: float,
    outlets: Mapping[str, Point],
    *,
    pressure_coefficient: float = 0.0,
    mouth: float = 0.0,
    bore: float = BORE,
) -> Tank:
    """Surface kept at a waterline [m]; outlets cost ``mouth`` velocity heads of their bore.

    Give them the bore of the line that begins there, so that there is no step.
    """
    return Tank(
        name=name,
        shape=StatedLevel(surface=Point(1.0, 0.0, surface)),
        outlets=tuple(
            Outlet(
                name=key,
                at=at,
                bore=bore,
                entrance=MinorLoss(
                    name=f"mouth {key}", kind="loss", bore=bore, k_inf=mouth, source="invented"
                ),
            )
            for key, at in outlets.items()
        ),
        vent=Vent(
            kind="flush",
            pressure_coefficient=pressure_coefficient,
            coefficient_low=pressure_coefficient,
            coefficient_high=pressure_coefficient,
            group=name,
        ),
        placarded_capacity=None,
        unusable=None,
        least_takeoff=None,
    )


def run(
    name: str, start: str, end: str, route: Sequence[Point], *parts: Part, bore: float = BORE
) -> Line:
    """Line along straight pieces with just these parts."""
    steps = pairwise(route)
    return Line(
        name=name,
        start=start,
        end=end,
        parts=parts,
        route=tuple(route),
        length=float(sum(np.linalg.norm(np.subtract(b, a)) for a, b in steps)),
        bore=bore,
    )


def plain(
    tanks: Sequence[Tank], lines: Sequence[Line], nodes: Sequence[Node] = (), **given: Any
) -> FuelSystem:
    """System that ends at the node "engine"; its place is the end of the line that ends there."""
    last = next(line for line in lines if "engine" in (line.start, line.end))
    assert last.route is not None
    engine = {
        "inlet": "engine",
        "inlet_at": last.route[-1] if last.end == "engine" else last.route[0],
        "burn": 0.02,
        "basis": "invented",
        "factor": 1.5,
        **given.pop("engine", {}),
    }
    values: dict[str, Any] = {
        "title": "plain",
        "tanks": tuple(tanks),
        "lines": tuple(lines),
        "nodes": tuple(nodes),
        "engine": Engine(**engine),
        "flight": Flight(
            level_pitch=0.0,
            climb_pitch=0.0,
            pitch_working="stated",
            test_margin=0.0,
            climb_speed=30.0,
            pressure_altitude=0.0,
        ),
        "fuel": liquid(),
        "temperatures": (288.15,),
        "test_draw": 0.0,
        "height_deviation": 0.0,
        **given,
    }
    return FuelSystem(**values)


def situation(assembly: Assembly, pitch: Sequence[float] = (0.0,), **given: Any) -> Situation:
    """Scenarios on the ground at sea level, one for each pitch [rad]; other arrays as given."""
    values = {
        "pitch": np.array(pitch, dtype=np.float64),
        "quantity": np.zeros((len(pitch), len(assembly.system.tanks))),
        "temperature": 288.15,
        "altitude": 0.0,
        **{key: np.asarray(value) for key, value in given.items()},
    }
    cover = values.pop("cover_state", None)
    return situate(assembly, replace(build_scenarios(assembly, **values), cover_state=cover))
