"""A bench system whose times and posterior have closed forms (invented)."""

import math
from dataclasses import replace

from flowsim.physics.fuel.catalogue import fuel_named
from flowsim.studies.ground_test.runs import Reading, Setting
from flowsim.system.bands import Band, Exact
from flowsim.system.engine import Engine, Flight
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line
from flowsim.system.parts import MinorLoss, Pipe, QuadraticLoss
from flowsim.system.points import Point
from flowsim.system.tanks import Outlet, Solid, StatedLevel, Tank, TankShape, Vent

COEFFICIENT = 1.0e10
"""[s2/m5] So large that all else on the line is nothing beside it: 1 m of head gives 36 L/h."""
HEAD = 1.0
SIDE = 0.5
BORE = 0.02


def box(low: float, high: float) -> Solid:
    """A square box of 0.5 m between two waterlines."""
    corners = tuple(
        Point(x, y, z) for z in (low, high) for x, y in ((0, 0), (SIDE, 0), (SIDE, SIDE), (0, SIDE))
    )
    triangles = (
        (0, 2, 1), (0, 3, 2), (4, 5, 6), (4, 6, 7), (0, 1, 5), (0, 5, 4),
        (1, 2, 6), (1, 6, 5), (2, 3, 7), (2, 7, 6), (3, 0, 4), (3, 4, 7),
    )  # fmt: skip
    return Solid(corners=corners, triangles=triangles)


def bench(band: Band, shape: TankShape | None = None) -> FuelSystem:
    """One tank over one line with one large quadratic loss."""
    bottom = Point(0.25, 0.25, HEAD)
    shape = StatedLevel(surface=Point(0.25, 0.25, HEAD + 0.1)) if shape is None else shape
    stated = isinstance(shape, StatedLevel)
    vent = Vent(
        kind="forward", pressure_coefficient=0, coefficient_low=0, coefficient_high=0, group="tank"
    )
    entrance = MinorLoss(name="entrance", kind="flush outlet", bore=BORE, k_inf=0.5)
    tank = Tank(
        name="tank",
        shape=shape,
        outlets=(Outlet(name="out", at=bottom, bore=BORE, entrance=entrance),),
        vent=vent,
        placarded_capacity=None,
        unusable=None if stated else 0.002,
        least_takeoff=None if stated else 0.010,
    )
    end = Point(0.25, 0.25, 0.1)
    line = Line(
        name="line",
        start="tank.out",
        end="engine",
        parts=(
            Pipe(name="line", length=HEAD, bore=BORE, roughness=1.5e-6, bore_band=Exact()),
            QuadraticLoss(
                name="restrictor", kind="quadratic loss", bore=BORE, coefficient=COEFFICIENT,
                band=band,
            ),
        ),
        route=(bottom, end),
        length=HEAD,
        bore=BORE,
    )  # fmt: skip
    return FuelSystem(
        title="Bench (invented)",
        tanks=(tank,),
        lines=(line,),
        nodes=(),
        engine=Engine(inlet="engine", inlet_at=end, burn=3e-3, basis="invented", factor=1.5),
        flight=Flight(
            level_pitch=0.0,
            climb_pitch=math.radians(10.0),
            pitch_working="stated",
            test_margin=math.radians(5.0),
            climb_speed=30.0,
            pressure_altitude=0.0,
        ),
        fuel=replace(fuel_named("avgas 100LL"), viscosity_band=Exact()),
        temperatures=(288.15,),
        test_draw=0.003,
        height_deviation=1e-9,
    )


def setting(**changes: object) -> Setting:
    """A level run of 1 L from the bench."""
    base = Setting(
        position="no selector", pitch=0.0, end_height=0.0, quantities=(0.0,), volume=1e-3,
        temperature=288.15,
    )  # fmt: skip
    return replace(base, **changes)  # type: ignore[arg-type]


def reading(seconds: float, name: str = "1", made: Setting | None = None, **changes: object):
    """A reading of a run with the usual errors."""
    base = Reading(
        name=name, line=1, setting=made or setting(), seconds=seconds, density=715.0,
        density_measured=True, container="1 L", container_error=0.005,
    )  # fmt: skip
    return replace(base, **changes)  # type: ignore[arg-type]
