"""Systems so simple that a pocket calculator gives their flows (invented)."""

import math
from dataclasses import replace

from flowsim.system.bands import Band
from flowsim.system.engine import Engine, Flight
from flowsim.system.fuel import Fuel
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line
from flowsim.system.parts import MinorLoss, Part, Pipe
from flowsim.system.points import Point
from flowsim.system.tanks import Outlet, StatedLevel, Tank, Vent
from tests.support import plain_systems
from tests.support.plain_systems import DENSITY, GRAVITY, WIDE

HEAD = 0.8


def liquid(viscosity: float = plain_systems.VISCOSITY) -> Fuel:
    """A liquid of constant density and viscosity that does not boil."""
    return plain_systems.liquid(viscosity, vapour_pressure=100.0)


def one_line(
    parts: tuple[Part, ...], bore: float, fuel: Fuel, required: float, mouth: float | None = None
) -> FuelSystem:
    """One tank of stated level over one line into the open air; all at one station.

    ``required`` [m3/s]. The outlet has the line's bore, or that of ``mouth`` [m].
    """
    mouth = bore if mouth is None else mouth
    high, low = Point(1.0, 0.0, HEAD), Point(1.0, 0.0, 0.0)
    vent = Vent(
        kind="forward",
        pressure_coefficient=0.0,
        coefficient_low=0.0,
        coefficient_high=0.0,
        group="tank",
    )
    no_loss = MinorLoss(name="mouth", kind="loss", bore=mouth, k_inf=0.0, source="invented")
    tank = Tank(
        name="tank",
        shape=StatedLevel(surface=high),
        outlets=(
            Outlet(name="out", at=Point(1.0, 0.0, 0.5), bore=mouth, entrance=no_loss, screen=None),
        ),
        vent=vent,
        placarded_capacity=None,
        unusable=None,
        least_takeoff=None,
    )
    line = Line(
        name="line",
        start="tank.out",
        end="engine",
        parts=parts,
        route=(Point(1.0, 0.0, 0.5), low),
        length=0.5,
        bore=bore,
        material="aluminium tube",
    )
    return FuelSystem(
        title="closed form",
        tanks=(tank,),
        lines=(line,),
        nodes=(),
        engine=Engine(
            inlet="engine",
            inlet_at=low,
            burn=required * DENSITY / 1.5,
            basis="invented",
            factor=1.5,
        ),
        flight=Flight(
            level_pitch=0.0,
            climb_pitch=0.0,
            pitch_working="stated",
            test_margin=0.0,
            climb_speed=30.0,
            pressure_altitude=0.0,
        ),
        fuel=fuel,
        temperatures=(288.15,),
        test_draw=0.0,
        height_deviation=0.0,
    )


LENGTH = 0.5
VISCOSITY = 2e-4


def laminar_line(bore: float, required: float, mouth: float | None = None) -> FuelSystem:
    """A tube of thick liquid: Hagen and Poiseuille's flow, and 2 velocity heads at its end."""
    pipe = Pipe(name="line", length=LENGTH, bore=bore, roughness=0.0, source="invented")
    return one_line((pipe,), bore, liquid(VISCOSITY), required, mouth)


def laminar_head(flow: float, bore: float) -> float:
    """Head [m] that a laminar line needs: 128 nu L Q/(pi g D^4), and 2 V^2/2g lost at its end."""
    friction = 128.0 * VISCOSITY * LENGTH * flow / (math.pi * GRAVITY * bore**4)
    return friction + (4.0 * flow / (math.pi * bore**2)) ** 2 / GRAVITY


FITTING_BORE = 0.005


def one_fitting(band: Band, required: float, k: float = 40.0) -> FuelSystem:
    """A fitting and nothing else: Q = A sqrt(2 g H/K)."""
    fitting = MinorLoss(
        name="fitting", kind="restrictor", bore=FITTING_BORE, k_inf=k, band=band, source="invented"
    )
    system = one_line((fitting,), WIDE, liquid(), required)
    return replace(system, title="one fitting")


def fitting_flow(head: float = HEAD, k: float = 40.0) -> float:
    """Flow [m3/s] of ``one_fitting``, without what little is lost at the wide end."""
    area = math.pi * FITTING_BORE**2 / 4.0
    return area * math.sqrt(2.0 * GRAVITY * head / k)
