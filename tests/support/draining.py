"""Tanks that drain or equalise, with losses as a textbook gives them, flown as a profile."""

import math
from typing import Any

import numpy as np

from flowsim.physics.tank.solids import box
from flowsim.studies.flight.profile import fly
from flowsim.studies.flight.result import FlightResult
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line
from flowsim.system.parts import MinorLoss, Part
from flowsim.system.points import Point
from flowsim.system.profile import Phase, Profile
from flowsim.system.tanks import Outlet, Tank
from tests.support.systems import forward_vent, one_tank

WIDE = 2.0
"""[m] Bore of ports and ends whose own losses a textbook leaves out."""


def square_tank(
    name: str,
    area: float,
    height: float,
    at: float,
    outlets: tuple[str, ...],
    floor: float = 0.0,
    port: float = WIDE,
) -> Tank:
    """Make an upright tank of a plan area [m2], its outlets in the middle of its floor.

    ``port`` [m] is their bore; flow out of the tank loses nothing in them, flow into it its jet.
    """
    no_loss = MinorLoss(name="none", kind="stated", bore=port, k_inf=0.0)
    half = 0.5 * math.sqrt(area)
    low, high = Point(at - half, -half, floor), Point(at + half, half, floor + height)
    ports = tuple(
        Outlet(name=name, at=Point(at, 0.0, floor), bore=port, entrance=no_loss) for name in outlets
    )
    return Tank(
        name=name,
        shape=box(low, high),
        outlets=ports,
        vent=forward_vent(name),
        placarded_capacity=None,
        unusable=0.0,
        least_takeoff=0.0,
    )


def plain_line(name: str, start: str, end: str, *parts: Part, bore: float = WIDE) -> Line:
    """Make a line with the given losses alone."""
    return Line(name=name, start=start, end=end, parts=parts, route=None, length=1.0, bore=bore)


def system_of(tanks: tuple[Tank, ...], lines: tuple[Line, ...], **given: Any) -> FuelSystem:
    """Make a system whose engine sits at height zero."""
    base = one_tank()
    engine = type(base.engine)(
        inlet="engine", inlet_at=Point(0.0, 0.0, 0.0), burn=1.0, basis="test", factor=1.5
    )
    values = {"tanks": tanks, "lines": lines, "nodes": (), "engine": engine, **given}
    return type(base)(
        **{
            **{name: getattr(base, name) for name in base.__dataclass_fields__},
            **values,
        }
    )


def phase(duration: float, burn: float, **given: Any) -> Phase:
    """Make a level phase on the ground."""
    values: dict[str, Any] = {
        "name": "drain",
        "duration": duration,
        "pitch": 0.0,
        "lean": 0.0,
        "turning": False,
        "burn": burn,
        "selector": "no selector",
        "altitude": 0.0,
        "airspeed": 0.0,
        "temperature": 288.15,
        **given,
    }
    return Phase(**values)


def run(system: FuelSystem, start: dict[str, float], *phases: Phase) -> FlightResult:
    """Fly phases from a start [m3]."""
    result = fly(system, Profile(title="test", start=tuple(start.items()), phases=tuple(phases)))
    assert result.stopped == ""
    assert abs(result.balance.misfit) < 1e-9
    return result


def time_at_level(result: FlightResult, area: float, level: float) -> float:
    """Time [s] at which the first tank stands at a level [m].

    With losses that grow with the square of the flow the root of the level falls in a straight
    line, so interpolating the root is exact.
    """
    root = np.sqrt(result.history.quantity[:, 0] / area)
    return float(np.interp(-math.sqrt(level), -root, result.history.time))
