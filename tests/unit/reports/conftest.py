"""An invented aeroplane with one part of every kind, judged once; and how to change a result."""

import math
from dataclasses import replace

import pytest

from flowsim.physics.fuel.catalogue import fuel_named
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.physics.tank.solids import box
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import AdequacyResult
from flowsim.system.engine import Carburettor, Engine, Flight
from flowsim.system.fuel_system import FuelSystem, Provenance
from flowsim.system.lines import Line, Selector
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Pipe,
    QuadraticLoss,
    Screen,
)
from flowsim.system.points import Point
from flowsim.system.tanks import Outlet, Tank, Vent

BORE = 0.00775
LB_PER_H = 0.45359237 / 3600.0


def a_tank(name: str, side: float) -> Tank:
    """A box of 1.5 by 0.6 by 0.15 m in the wing on one side."""
    inner, outer = sorted((0.4 * side, 1.9 * side))
    return Tank(
        name=name,
        shape=box(Point(2.0, inner, 1.50), Point(2.6, outer, 1.65)),
        outlets=(
            Outlet(
                name="rear",
                at=Point(2.58, 0.42 * side, 1.50),
                bore=BORE,
                entrance=fitting("flush outlet", BORE, name="flush outlet"),
                screen=Screen(
                    name="finger screen",
                    area=0.0010,
                    wires_per_metre=630.0,
                    wire_diameter=0.00046,
                    clear_fraction=1.0,
                    source="invented",
                ),
            ),
        ),
        vent=Vent(
            kind="forward",
            pressure_coefficient=0.0,
            coefficient_low=0.0,
            coefficient_high=0.0,
            group=name,
        ),
        placarded_capacity=0.135,
        unusable=0.004,
        least_takeoff=0.020,
    )


def a_tank_line(name: str, tank: str, side: float) -> Line:
    route = (Point(2.58, 0.42 * side, 1.50), Point(2.58, 0.42 * side, 0.60), Point(1.2, 0.0, 0.55))
    return Line(
        name=name,
        start=f"{tank}.rear",
        end="selector",
        parts=(
            Pipe(name="tube 3/8 in", length=2.4, bore=BORE, roughness=1.5e-6, source="invented"),
            MinorLoss(
                name="elbows",
                kind="elbow 90",
                bore=BORE,
                k_inf=1.5,
                k_laminar=800.0,
                count=2,
                source="drilled elbow as a mitre",
            ),
            Pipe(
                name="wide hose",
                length=0.3,
                bore=0.0200,
                roughness=3e-5,
                source="invented",
            ),
        ),
        route=route,
        length=2.7,
        bore=BORE,
    )


def a_main_line() -> Line:
    return Line(
        name="main",
        start="selector",
        end="engine",
        parts=(
            Pipe(name="hose", length=1.1, bore=BORE, roughness=3e-5, source="invented"),
            Pipe(
                name="old pipe",
                length=0.2,
                bore=BORE,
                roughness=0.0,
                friction_factor=0.045,
                source="stated by the builder",
            ),
            FlowCoefficient(
                name="shut-off", kind="valve", bore=0.0064, kv=2.77, k_laminar=500.0, source="table"
            ),
            MeasuredDrop(
                name="bowl filter",
                kind="filter",
                bore=BORE,
                flows=(1.0e-5, 2.0e-5, 4.0e-5),
                drops=(60.0, 190.0, 700.0),
                density=720.0,
                source="measured on a bench (invented)",
            ),
            OneWayValve(name="flap", bore=BORE, cracking_pressure=40.0, kv=1.5, source="invented"),
            QuadraticLoss(
                name="meter", kind="meter", bore=BORE, coefficient=3.0e7, source="invented"
            ),
        ),
        route=(Point(1.2, 0.0, 0.55), Point(0.2, 0.0, 0.30)),
        length=1.3,
        bore=BORE,
    )


def a_system(burn_lb_per_h: float = 55.0) -> FuelSystem:
    return FuelSystem(
        title="Invented two-tank high-wing [test]",
        tanks=(a_tank("left", -1.0), a_tank("right", 1.0)),
        lines=(
            a_tank_line("left line", "left", -1.0),
            a_tank_line("right line", "right", 1.0),
            a_main_line(),
        ),
        nodes=(
            Selector(
                name="selector",
                at=Point(1.2, 0.0, 0.55),
                ports={"L": "left line", "R": "right line"},
                outlet="main",
                positions={"Left": ("L",), "Right": ("R",), "Both": ("L", "R"), "Off": ()},
                judged=("Left", "Right", "Both"),
                loss=FlowCoefficient(
                    name="selector valve", kind="selector", bore=BORE, kv=1.2, source="invented"
                ),
            ),
        ),
        engine=Engine(
            inlet="engine",
            inlet_at=Point(0.2, 0.0, 0.30),
            burn=burn_lb_per_h * LB_PER_H,
            basis="100 hp x 0.55 lb/(hp h), AC 90-89A's example",
            factor=1.5,
            carburettor=Carburettor(
                parts=(
                    Orifice(
                        name="needle and seat",
                        kind="seat",
                        bore=0.0045,
                        discharge_coefficient=0.65,
                        source="sharp orifice",
                    ),
                ),
                float_level=Point(0.2, 0.0, 0.28),
            ),
        ),
        flight=Flight(
            level_pitch=0.0,
            climb_pitch=math.radians(12.0),
            pitch_working="stated",
            test_margin=math.radians(5.0),
            climb_speed=33.0,
            pressure_altitude=0.0,
        ),
        fuel=fuel_named("avgas 100LL"),
        temperatures=(288.15,),
        test_draw=0.004,
        height_deviation=0.005,
        provenance=(
            Provenance('line "main"', "1.3 m", "assumed"),
            Provenance('tank "left", vent', "forward", "default"),
        ),
        cautions=("The reader has a remark.",),
    )


@pytest.fixture(scope="session")
def system() -> FuelSystem:
    return a_system()


@pytest.fixture(scope="session")
def result(system: FuelSystem) -> AdequacyResult:
    return judge(system, draws=128)


@pytest.fixture(scope="session")
def nominal_result(system: FuelSystem) -> AdequacyResult:
    return judge(system, nominal=True)


@pytest.fixture(scope="session")
def quiet_result(nominal_result: AdequacyResult) -> AdequacyResult:
    """A result without a deciding path, whose numbers do not exist."""
    broken = replace(
        nominal_result.deciding_scenario,
        flow=math.nan,
        solved_flow=math.nan,
        volume_flow=math.nan,
        head_left=math.nan,
        converged=False,
        residual=math.nan,
    )
    scenarios = list(nominal_result.scenarios)
    scenarios[nominal_result.deciding] = broken
    return replace(nominal_result, scenarios=tuple(scenarios), losses=())
