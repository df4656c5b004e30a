"""Fuel temperatures between the stated ones: where friction jumps, and evenly spaced."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.physics.fuel.properties import density, kinematic_viscosity
from flowsim.studies.adequacy.study import judge
from flowsim.studies.judged.scenarios import CLIMB, DESCENT, RUN, UNUSABLE, scenario_table
from flowsim.studies.judged.temperatures import evenly_spaced, turning_temperatures
from flowsim.studies.result import Verdict
from flowsim.system.bands import Exact
from flowsim.system.calibration import Calibration
from flowsim.system.fuel import Fuel
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Junction
from flowsim.system.parts import Pipe
from flowsim.system.points import Point
from tests.support import systems
from tests.support.systems import line, one_tank, tank, two_tanks

COLD, HOT = 273.15, 313.15
TURNS = 2300.0
"""Re from which the cautious law is turbulent (docs/theory/friction.md)."""


def thick_fuel() -> Fuel:
    """An invented liquid whose viscosity falls by more than half from 0 to 40 degC."""
    return Fuel(
        name="thick liquid",
        density_law="points",
        density_15=780.0,
        viscosity_law="d341",
        vapour_law="points",
        viscosity_points=((COLD, 2.2e-6), (HOT, 0.9e-6)),
        density_points=((COLD, 790.0), (HOT, 762.0)),
        vapour_points=((COLD, 500.0), (HOT, 3000.0)),
        viscosity_band=Exact(),
        source="invented",
    )


def pipe(name: str, length: float, bore: float) -> Pipe:
    return Pipe(name=name, length=length, bore=bore, roughness=1.5e-6, source="invented")


def reynolds(system: FuelSystem, mass_flow: float, bore: float, temperature: float) -> float:
    viscosity = float(kinematic_viscosity(system.fuel, temperature))
    viscosity *= float(density(system.fuel, temperature))
    return 4.0 * mass_flow / (np.pi * bore * viscosity)


def judged_temperatures(system: FuelSystem, purpose: str = CLIMB) -> np.ndarray:
    table = scenario_table(assemble(system))
    return np.unique(table.scenarios.temperature[table.purpose == purpose])


def turning(system: FuelSystem, mass_flow: float, bore: float) -> float:
    """Temperature at which Re is 2300, by halving."""
    low, high = COLD, HOT
    for _ in range(60):
        middle = 0.5 * (low + high)
        below = reynolds(system, mass_flow, bore, middle) < TURNS
        low, high = (middle, high) if below else (low, middle)
    return 0.5 * (low + high)


def long_line(bore: float = 0.0088) -> FuelSystem:
    """One tank over one long line of thick liquid."""
    base = one_tank(fuel=thick_fuel(), temperatures=(COLD, HOT), height_deviation=0.0)
    (down,) = base.lines
    return replace(base, lines=(replace(down, parts=(pipe("tube", 6.0, bore),), bore=bore),))


class TestTurning:
    def test_each_piece_of_a_line_turns_at_its_own_temperature(self):
        base = long_line()
        (down,) = base.lines
        pieces = (pipe("wide", 2.0, 0.0050), pipe("thin", 1.0, 0.0035))
        system = replace(base, lines=(replace(down, parts=pieces),))
        flows = {CLIMB: 1.5 * system.engine.burn, UNUSABLE: system.engine.burn,
                 RUN: system.engine.burn}  # fmt: skip
        seen = 0
        for purpose, flow in flows.items():
            found = judged_temperatures(system, purpose)
            for piece in pieces:
                ends = [reynolds(system, flow, piece.bore, t) for t in (COLD, HOT)]
                if not ends[0] < TURNS < ends[1]:
                    continue
                seen += 1
                expected = turning(system, flow, piece.bore)
                assert np.abs(found - expected).min() < 0.02
        assert seen >= 3

    def test_a_descent_turns_at_its_own_burn(self):
        base = long_line(0.0088)
        system = replace(
            base,
            engine=replace(base.engine, descent_burn=0.8 * base.engine.burn),
            flight=systems.flight(descent_pitch=-0.1),
        )
        flow = 0.8 * base.engine.burn
        (down,) = system.lines
        bore = 0.0031
        system = replace(system, lines=(replace(down, parts=(pipe("t", 1.0, bore),), bore=bore),))
        assert reynolds(system, flow, bore, COLD) < TURNS < reynolds(system, flow, bore, HOT)
        found = judged_temperatures(system, DESCENT)
        assert np.abs(found - turning(system, flow, bore)).min() < 0.02

    def test_legs_that_share_the_flow_turn_at_their_share(self):
        """Two equal tanks meet at a junction: half of the flow runs in each leg."""
        bore = 0.0025
        left = tank(
            "left", Point(1.0, -1.0, 1.4), Point(1.5, -0.2, 1.6), {"o": Point(1.4, -0.3, 1.4)}
        )
        right = tank(
            "right", Point(1.0, 0.2, 1.4), Point(1.5, 1.0, 1.6), {"o": Point(1.4, 0.3, 1.4)}
        )
        meet = Point(1.4, 0.0, 0.6)
        lines = tuple(
            line(name, f"{name}.o", "meet", [Point(1.4, y, 1.4), meet], bore=bore)
            for name, y in (("left", -0.3), ("right", 0.3))
        )  # fmt: skip
        down = line("down", "meet", "engine", [meet, Point(0.5, 0.0, 0.2)], bore=0.02)
        base = one_tank(
            tanks=(left, right), lines=(*lines, down), fuel=thick_fuel(), temperatures=(COLD, HOT),
            nodes=(Junction(name="meet", at=meet),),
        )  # fmt: skip
        system = replace(base, engine=replace(base.engine, inlet_at=Point(0.5, 0.0, 0.2)))
        half = 0.5 * 1.5 * system.engine.burn
        assert reynolds(system, half, bore, COLD) < TURNS < reynolds(system, half, bore, HOT)
        exact = turning(system, half, bore)
        found = judged_temperatures(system)
        warmer = found[found >= exact - 1e-6]
        assert warmer.min() - exact <= 5.0

    def test_liquid_of_one_viscosity_turns_nowhere(self):
        fuel = replace(
            thick_fuel(), viscosity_law="constant", viscosity_points=((COLD, 1e-6),),
            density_points=((COLD, 780.0),),
        )  # fmt: skip
        found = judged_temperatures(replace(long_line(), fuel=fuel))
        np.testing.assert_allclose(found, np.linspace(COLD, HOT, 5))


class TestEvenly:
    def test_three_lie_between_two(self):
        np.testing.assert_allclose(evenly_spaced((300.0, 260.0)), [270.0, 280.0, 290.0])

    def test_one_alone_stays_alone(self):
        assert evenly_spaced((290.0,)).size == 0
        found = judged_temperatures(replace(long_line(), temperatures=(HOT,)))
        assert found.tolist() == [HOT]

    @pytest.mark.parametrize("stated", [(260.0, 300.0), (255.0, 280.0, 310.0)])
    @pytest.mark.parametrize("more", [250.0, 271.0, 289.9, 320.0])
    def test_a_further_stated_temperature_takes_none_away(self, stated, more):
        before, after = evenly_spaced(stated), evenly_spaced((*stated, more))
        for value in before:
            assert np.abs(after - value).min() < 1e-9

    def test_in_a_whole_system_too(self):
        system = two_tanks(temperatures=(258.15, 308.15))
        before = judged_temperatures(system)
        after = judged_temperatures(replace(system, temperatures=(258.15, 280.0, 315.0, 308.15)))
        for value in before:
            assert np.abs(after - value).min() < 0.06


class TestVerdict:
    def test_flow_that_arrives_at_both_ends_and_not_between(self):
        """Cold the line is laminar, hot it is thin: the worst lies where it turns turbulent."""
        bore = 0.0068
        base = long_line(bore)

        def least(*temperatures: float, burn: float) -> float:
            engine = replace(base.engine, burn=burn)
            system = replace(base, engine=engine, temperatures=temperatures)
            return judge(system, nominal=True).lines[0].least_nominal

        # The burn at which both ends just arrive: 3 % to spare.
        burn = base.engine.burn
        for _ in range(30):
            burn *= min(least(COLD, burn=burn), least(HOT, burn=burn)) / 1.03
        assert min(least(COLD, burn=burn), least(HOT, burn=burn)) == pytest.approx(1.03, abs=0.002)
        ends = [reynolds(base, 1.5 * burn, bore, t) for t in (COLD, HOT)]
        assert ends[0] < TURNS < ends[1]
        engine = replace(base.engine, burn=burn)
        found = judge(replace(base, engine=engine), nominal=True)
        assert found.verdict is Verdict.NOT_ADEQUATE
        open_line = found.lines[0]
        assert open_line.least_nominal < 0.99
        assert COLD < found.scenarios[open_line.deciding].temperature < HOT


def test_where_a_flow_turns_goes_with_the_viscosity_that_a_test_found():
    """Re = 4 m/(pi D mu): a fifth more of mu is turned by a fifth more of flow (by hand)."""
    system = replace(one_tank(), fuel=thick_fuel(), temperatures=(COLD, HOT))
    assembly = assemble(system)
    middle = float(kinematic_viscosity(system.fuel, 293.15) * density(system.fuel, 293.15))
    bore = float(assembly.network.pipes.bore[0])
    flow = TURNS * np.pi * bore * middle / 4.0
    whole = np.ones((1, len(assembly.network.pipes.bore)))
    assert turning_temperatures(assembly, flow, whole) == pytest.approx([293.15], abs=0.02)
    found = Calibration(keys=(), scores=(), learned=(), directions=(), viscosity=1.2)
    calibrated = assemble(replace(system, calibration=found))
    assert turning_temperatures(calibrated, 1.2 * flow, whole) == pytest.approx([293.15], abs=0.02)
    assert abs(turning_temperatures(calibrated, flow, whole)[0] - 293.15) > 1.0
    assert len(turning_temperatures(assembly, 100.0 * flow, whole)) == 0
