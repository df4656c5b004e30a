"""Suction at the vents: at the top level speed in level attitude, at climb speed in the climb."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.assembly import assemble
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE
from flowsim.studies.adequacy.study import judge
from flowsim.studies.judged.flight_conditions import airspeed_at
from flowsim.studies.judged.scenarios import CLIMB, DESCENT, FLIGHT, RUN, scenario_table
from flowsim.studies.result import Verdict
from flowsim.studies.sampling.causes import has_spread, uncertain_inputs
from flowsim.studies.sampling.draws import draw, nominal_draws
from flowsim.system.engine import Carburettor
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import Orifice
from flowsim.system.points import Point
from flowsim.system.tanks import Vent
from tests.support.systems import flight, one_tank, two_tanks

CAP = Vent(
    kind="cap", pressure_coefficient=-0.5, coefficient_low=-1.0, coefficient_high=0.0, group="wing"
)
FORWARD = Vent(
    kind="forward", pressure_coefficient=0.0, coefficient_low=-0.3, coefficient_high=0.6,
    group="wing",
)  # fmt: skip


def vented(vent: Vent, *, carburettor: bool, **flown: Any) -> FuelSystem:
    """One tank that breathes so and climbs shallow; the seat, where there is one, is wide."""
    base = one_tank(
        flight=flight(**{"climb_pitch": 0.05, "test_margin": 0.03, **flown})  # type: ignore[arg-type]
    )
    seat = Orifice(name="seat", kind="needle and seat", bore=0.006, discharge_coefficient=0.65)
    behind = Carburettor(parts=(seat,), float_level=Point(0.5, 0.0, 0.4)) if carburettor else None
    return replace(
        base,
        tanks=(replace(base.tanks[0], vent=vent),),
        engine=replace(base.engine, carburettor=behind),
    )


class TestAirspeed:
    def test_top_speed_level_and_climb_speed_in_the_climb(self):
        flown = flight(level_speed=52.0, climb_speed=31.0, level_pitch=0.02)
        climb = flown.climb_pitch
        pitch = np.array([-0.1, 0.02, 0.5 * (0.02 + climb), climb, climb + 0.1])
        found = airspeed_at(flown, pitch)
        middle = np.sqrt(0.5 * (52.0**2 + 31.0**2))
        np.testing.assert_allclose(found, [52.0, 52.0, middle, 31.0, 31.0], rtol=1e-12)
        assert (np.diff(airspeed_at(flown, np.linspace(0.02, climb, 50))) < 0).all()

    def test_not_stated_it_is_twice_the_climb_speed(self):
        assert flight(climb_speed=27.0).top_speed == 54.0
        assert flight(climb_speed=27.0, level_speed=40.0).top_speed == 40.0

    def test_a_climb_at_the_level_pitch_is_taken_at_the_faster_speed(self):
        flown = flight(climb_pitch=0.0, level_speed=50.0)
        np.testing.assert_allclose(airspeed_at(flown, np.array([0.0, 0.05])), [50.0, 30.0])

    def test_of_each_scenario(self):
        system = vented(CAP, carburettor=True, level_speed=50.0, descent_pitch=-0.1)
        system = replace(system, engine=replace(system.engine, descent_burn=0.001))
        table = scenario_table(assemble(system))
        speed, end, pitch = table.scenarios.airspeed, table.scenarios.end, table.scenarios.pitch
        climbing = table.purpose == CLIMB
        level = climbing & (end == CARBURETTOR) & (pitch == 0.0)
        steep = climbing & (end == CARBURETTOR) & (pitch >= system.flight.climb_pitch)
        assert level.any()
        assert steep.any()
        assert set(speed[level]) == {50.0}
        assert set(speed[steep]) == {30.0}
        assert set(speed[end == OPEN_LINE]) == {0.0}  # the ground test
        down = (table.purpose == DESCENT) & (end == CARBURETTOR)
        assert set(speed[down]) == {50.0}
        assert set(speed[table.purpose == RUN]) == {30.0}

    def test_without_a_carburettor_the_open_line_stands_for_it(self):
        system = vented(CAP, carburettor=False, level_speed=50.0, descent_pitch=-0.1)
        system = replace(system, engine=replace(system.engine, descent_burn=0.001))
        table = scenario_table(assemble(system))
        speed = table.scenarios.airspeed
        assert set(table.scenarios.end) == {OPEN_LINE}
        assert speed[table.purpose == FLIGHT].max() == 50.0
        assert set(speed[table.purpose == CLIMB]) == {0.0}
        assert set(speed[table.purpose == DESCENT]) == {50.0}
        assert set(speed[table.purpose == RUN]) == {30.0}


class TestVerdict:
    @pytest.mark.parametrize("carburettor", [True, False])
    def test_fast_level_flight_can_starve_what_climbs_well(self, carburettor):
        """At 70 m/s a cap loses 1.5 kPa, 0.21 m of fuel; the margin here is less than that."""
        slow = vented(CAP, carburettor=carburettor, level_speed=30.0)
        found = judge(slow, nominal=True)
        least = {told(line.name): line.least_nominal for line in found.lines}
        mine = "at the carburettor, 150 %" if carburettor else "open line in flight, 150 %"
        burn = slow.engine.burn * least[mine] / 1.02
        slow = replace(slow, engine=replace(slow.engine, burn=burn))
        fast = replace(slow, flight=replace(slow.flight, level_speed=70.0))
        assert {line.verdict for line in judge(slow, nominal=True).lines} == {Verdict.ADEQUATE}
        found = judge(fast, nominal=True)
        assert found.verdict is Verdict.NOT_ADEQUATE
        lines = {told(line.name): line for line in found.lines}
        assert lines[mine].verdict is Verdict.NOT_ADEQUATE
        assert lines["open line, 150 %"].verdict is Verdict.ADEQUATE
        deciding = found.scenarios[lines[mine].deciding]
        assert deciding.pitch < fast.flight.climb_pitch
        assert deciding.airspeed > 60.0

    def test_leaving_out_the_level_speed_is_no_better_than_stating_a_usual_one(self):
        stated = judge(vented(CAP, carburettor=True, level_speed=55.0), nominal=True)
        left_out = judge(vented(CAP, carburettor=True), nominal=True)
        for one, other in zip(stated.lines, left_out.lines, strict=True):
            assert other.least_nominal <= one.least_nominal + 1e-12

    def test_it_is_said_where_the_suction_is_left_out(self):
        words = " ".join(all_told(judge(vented(CAP, carburettor=False), nominal=True).cautions))
        assert "suction at the vents" in words
        assert "left out" in words
        words = " ".join(all_told(judge(vented(CAP, carburettor=True), nominal=True).cautions))
        assert "suction at the vents" not in words
        assert "left out there" not in words

    def test_a_forward_vent_may_suck_but_is_never_credited(self):
        """Nominal values are those without suction, the lower percentile lies below."""
        still = replace(FORWARD, coefficient_low=0.0, coefficient_high=0.0)
        fast = {"carburettor": True, "level_speed": 60.0}
        exact = judge(vented(still, **fast), draws=512).lines[1]
        found = judge(vented(FORWARD, **fast), draws=512).lines[1]
        assert found.least_nominal == pytest.approx(exact.least_nominal, rel=1e-12)
        assert found.least_low is not None
        assert exact.least_low is not None
        assert found.least_low < exact.least_low
        assert found.least_high is not None
        assert exact.least_high is not None
        assert found.least_high <= exact.least_high + 1e-9


class TestDraws:
    def test_no_draw_counts_on_ram(self):
        assembly = assemble(vented(FORWARD, carburettor=True))
        vent = draw(assembly, 900, 5).vent[:, 0]
        assert vent.max() == 0.0
        assert vent.min() == pytest.approx(-0.3, abs=0.002)
        # A third of the band lies below zero, evenly.
        assert (vent < 0.0).mean() == pytest.approx(1.0 / 3.0, abs=0.01)
        assert np.median(vent[vent < 0.0]) == pytest.approx(-0.15, abs=0.005)
        item = next(one for one in uncertain_inputs(assembly) if one.key == "vent wing")
        assert has_spread(assembly.system, item)
        assert nominal_draws(assembly, 2).vent.tolist() == [[0.0], [0.0]]

    def test_tanks_of_one_group_have_one_pressure_in_every_draw(self):
        base = two_tanks()
        tanks = tuple(replace(tank, vent=replace(CAP, group="both")) for tank in base.tanks)
        vent = draw(assemble(replace(base, tanks=tanks)), 64, 1).vent
        assert np.array_equal(vent[:, 0], vent[:, 1])
        assert np.ptp(vent[:, 0]) > 0.5
