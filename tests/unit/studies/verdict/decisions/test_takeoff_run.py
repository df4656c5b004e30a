"""The take-off run: full-power burn must arrive, on the ground and with the tail up."""

import json
from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import check_json
from flowsim.network.assembly import assemble
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.attitude import effective_gravity, equivalent_pitch, height
from flowsim.physics.fuel.properties import density
from flowsim.physics.tank.surface import surface_elevation_of
from flowsim.reports.pages.check import check_text
from flowsim.reports.words.units import RUNS_BACK
from flowsim.studies.adequacy.study import judge, loss_paths
from flowsim.studies.judged.flight_conditions import gravity_along
from flowsim.studies.judged.scenarios import RUN, scenario_table
from flowsim.studies.result import Topic, Verdict
from flowsim.system.engine import USUAL_ACCELERATION, Carburettor
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import Orifice
from flowsim.system.points import Point
from flowsim.system.routing import GroundAttitude, Routing
from tests.support.systems import flight, line, one_tank, tank, two_tanks

SEVERITY = {Verdict.ADEQUATE: 0, Verdict.CANNOT_TELL: 1, Verdict.NOT_ADEQUATE: 2}


def standing(pitch: float, gear: str = "tailwheel") -> Routing:
    return Routing(ground=GroundAttitude(gear=gear, pitch=np.radians(pitch)))  # type: ignore[arg-type]


def far_ahead(*, carburettor: bool = False, **given) -> FuelSystem:
    """A tank little above an engine that lies two metres ahead of it: 0.3 g takes 0.6 m of head."""
    wing = tank("wing", Point(2.2, -0.4, 1.2), Point(2.7, 0.4, 1.35), {"o": Point(2.68, 0.0, 1.2)})
    down = line(
        "down", "wing.o", "engine",
        [Point(2.68, 0, 1.2), Point(2.7, 0, 0.3), Point(0.6, 0, 0.2), Point(0.5, 0, 0.45)],
    )  # fmt: skip
    base = one_tank(
        title="far ahead", tanks=(wing,), lines=(down,),
        flight=flight(climb_pitch=0.02, test_margin=0.02),
        routing=standing(2.0, "nosewheel"),
    )  # fmt: skip
    seat = Orifice(name="seat", kind="needle and seat", bore=0.006, discharge_coefficient=0.65)
    behind = Carburettor(parts=(seat,), float_level=Point(0.5, 0.0, 0.45)) if carburettor else None
    engine = replace(base.engine, inlet_at=Point(0.5, 0.0, 0.45), burn=0.003, carburettor=behind)
    return replace(base, engine=engine, **given)


def accelerating(system: FuelSystem, value: float | None) -> FuelSystem:
    return replace(system, flight=replace(system.flight, acceleration=value))


def line_of(result, name: str):
    return next(one for one in result.lines if told(one.name) == name)


class TestGravity:
    @pytest.mark.parametrize("pitch", [-0.05, 0.0, 0.2])
    @pytest.mark.parametrize("acceleration", [0.0, 2.0, 4.5])
    def test_it_acts_like_a_steeper_attitude_and_a_little_more_weight(self, pitch, acceleration):
        """Gravity and a level acceleration stand square to each other (Pythagoras)."""
        found = gravity_along(np.array([pitch]), np.zeros(1), acceleration)[0]
        steeper = pitch + float(equivalent_pitch(acceleration))
        expected = effective_gravity(steeper, 0.0) * np.hypot(1.0, acceleration / STANDARD_GRAVITY)
        np.testing.assert_allclose(found, expected, atol=1e-12)

    def test_the_table_knows_the_acceleration(self):
        table = scenario_table(assemble(accelerating(far_ahead(), 2.5)))
        run = table.purpose == RUN
        np.testing.assert_allclose(table.forward[run], 2.5, rtol=1e-12)
        assert (table.forward[~run] == 0.0).all()


class TestWhatIsJudged:
    def test_from_the_ground_attitude_to_the_level_one(self):
        system = two_tanks(routing=standing(11.0))
        table = scenario_table(assemble(system))
        run = table.purpose == RUN
        pitch = np.degrees(table.scenarios.pitch[run])
        assert (pitch.min(), pitch.max()) == (pytest.approx(0.0), pytest.approx(11.0))
        for degree in range(12):
            assert np.isclose(pitch, degree).any()
        assert set(table.scenarios.airspeed[run]) == {system.flight.climb_speed}
        np.testing.assert_allclose(table.required[run], system.engine.burn)
        assert {table.states[number].name for number in table.state[run]} == {"least take-off fuel"}
        names = [position.name for position in assemble(system).positions]
        assert {names[i] for i in table.scenarios.position[run]} == {"left", "right", "both"}

    @pytest.mark.parametrize("acceleration", [0.4, 1.1])
    def test_where_an_outlet_uncovers_in_the_run(self, acceleration):
        """Not where it would at rest: the fuel turns by atan(a/g0) more (docs/theory)."""
        system = two_tanks(routing=standing(11.0))
        tanks = tuple(replace(tank, least_takeoff=0.03) for tank in system.tanks)
        system = accelerating(replace(system, tanks=tanks), acceleration)
        table = scenario_table(assemble(system))
        pitch = np.unique(table.scenarios.pitch[table.purpose == RUN])
        fine = np.radians(np.arange(0.0, 11.0, 0.005))
        shape, front = system.tanks[0].shape, system.tanks[0].outlets[0].at
        gravity = gravity_along(fine, np.zeros(len(fine)), acceleration)
        surface = surface_elevation_of(shape, gravity, np.full(len(fine), 0.03))
        dip = critical_dip(system.engine.burn / density(system.fuel, 288.15))
        bare = surface - height(np.array([front]), gravity)[:, 0] - dip <= 0.0
        assert not bare[0]
        assert bare[-1]
        uncovers = fine[int(np.argmax(bare))]
        near = pitch[np.abs(pitch - uncovers) < np.radians(0.05)]
        assert near.max() >= uncovers - 1e-4  # as stated it is bare there; both ways are judged

    def test_level_alone_where_the_ground_attitude_is_not_stated(self):
        table = scenario_table(assemble(two_tanks(routing=Routing())))
        assert set(table.scenarios.pitch[table.purpose == RUN]) == {0.0}

    def test_not_stated_the_acceleration_is_the_usual_one(self):
        assert pytest.approx(0.3 * 9.80665) == USUAL_ACCELERATION
        assert flight().run_acceleration == USUAL_ACCELERATION
        assert flight(acceleration=1.0).run_acceleration == 1.0


class TestVerdict:
    @pytest.mark.parametrize("carburettor", [False, True])
    def test_what_flies_may_not_start(self, carburettor):
        name = "take-off run, 100 %, "
        name += "at the carburettor" if carburettor else "open line"
        slow = accelerating(far_ahead(carburettor=carburettor), 0.3)
        assert judge(slow, nominal=True).verdict is Verdict.ADEQUATE
        fast = judge(accelerating(slow, 5.0), nominal=True)
        assert fast.verdict is Verdict.NOT_ADEQUATE
        assert [told(one.name) for one in fast.lines if one.verdict is not Verdict.ADEQUATE] == [
            name
        ]
        assert line_of(fast, name).required == pytest.approx(slow.engine.burn)

    def test_the_usual_acceleration_counts_where_none_is_stated(self):
        name = "take-off run, 100 %, open line"
        usual = judge(accelerating(far_ahead(), None), nominal=True)
        stated = judge(accelerating(far_ahead(), 0.3 * STANDARD_GRAVITY), nominal=True)
        assert line_of(usual, name) == line_of(stated, name)

    def test_a_tail_on_the_ground_adds_to_it(self):
        name = "take-off run, 100 %, open line"
        flat = judge(accelerating(far_ahead(), 1.5), nominal=True)
        tail = judge(replace(accelerating(far_ahead(), 1.5), routing=standing(12.0)), nominal=True)
        assert line_of(tail, name).least_nominal < line_of(flat, name).least_nominal

    def test_nothing_is_claimed_of_a_ground_attitude_that_is_not_stated(self):
        found = judge(accelerating(far_ahead(routing=Routing()), 0.3), nominal=True)
        assert found.verdict is Verdict.CANNOT_TELL
        (decision,) = [one for one in found.decisions if one.topic is Topic.TAKEOFF_RUN]
        assert decision.verdict is Verdict.CANNOT_TELL
        assert "ground attitude" in told(decision.found)
        assert "[ground]" in told(decision.remedy)
        assert not decision.informs
        assert found.settle == decision.remedy

    @pytest.mark.parametrize("pitch", [-3.0, 0.0, 6.0, 14.0, 25.0])
    @pytest.mark.parametrize("acceleration", [0.3, 2.0, 3.6])
    def test_leaving_the_ground_attitude_out_never_makes_it_better(self, pitch, acceleration):
        """Not better than adequate, whatever the stated attitude would have given."""
        system = accelerating(far_ahead(), acceleration)
        stated = judge(replace(system, routing=standing(pitch)), nominal=True)
        left_out = judge(replace(system, routing=Routing()), nominal=True)
        assert left_out.verdict is not Verdict.ADEQUATE
        if stated.verdict is Verdict.ADEQUATE:
            assert SEVERITY[left_out.verdict] >= SEVERITY[stated.verdict]


class TestWords:
    def test_flow_that_runs_back_is_none(self):
        system = accelerating(far_ahead(carburettor=True), 6.0)
        result = judge(system, nominal=True)
        run = line_of(result, "take-off run, 100 %, at the carburettor")
        assert run.least_nominal < 0.0
        assert any("runs back" in reason for reason in all_told(run.reasons))
        text = check_text(system, result, "case.toml", width=90)
        assert RUNS_BACK in text
        assert "-" + text.split("Least flow of the judged scenarios: ")[1][:4] not in text
        deciding = text.split("Deciding scenario")[1].split("Each requirement")[0]
        assert f"flow {RUNS_BACK}" in " ".join(deciding.split())

    def test_the_scenario_is_named_in_text_and_json(self):
        system = accelerating(far_ahead(), 3.6)
        result = judge(system, nominal=True)
        text = " ".join(check_text(system, result, "case.toml", width=90).split())
        assert "accelerating at 0.37 g" in text
        assert "take-off run, at full-power burn" in text
        made = json.loads(check_json(system, result, "case.toml", "0" * 64))
        runs = [one for one in made["scenarios"] if one["purpose"] == "takeoff_run"]
        assert runs
        assert {round(one["forward_acceleration_g0"], 6) for one in runs} == {
            round(3.6 / STANDARD_GRAVITY, 6)
        }
        others = [one for one in made["scenarios"] if one["purpose"] != "takeoff_run"]
        assert {one["forward_acceleration_g0"] for one in others} == {0.0}
        assert made["attitude"]["ground_pitch_deg"] == pytest.approx(2.0)
        assert made["attitude"]["takeoff_acceleration_g0"] == pytest.approx(3.6 / STANDARD_GRAVITY)
        assert made["attitude"]["level_speed_kt"] == pytest.approx(60.0 * 3600 / 1852)

    def test_its_losses_close_with_the_head_in_that_gravity(self):
        system = accelerating(far_ahead(), 2.0)
        result = judge(system, nominal=True)
        run = next(s for s in result.scenarios if s.purpose == RUN)
        assert run.forward_acceleration == pytest.approx(2.0)
        for path in loss_paths(system, run):
            assert path.available == pytest.approx(sum(row.loss for row in path.rows), abs=1e-6)
            assert sum(row.loss for row in path.rows) > 0.1
