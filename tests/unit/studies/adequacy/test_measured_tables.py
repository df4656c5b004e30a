"""Measured tables off their readings: what is charged, what is assumed, and what is said of it."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.assembly import assemble
from flowsim.network.outcome import part_losses
from flowsim.network.solver import solve
from flowsim.reports.pages.hand_formulas import HandLiquid, worked
from flowsim.reports.words.units import digits
from flowsim.studies.adequacy.loss_paths import loss_paths_of
from flowsim.studies.adequacy.study import judge
from flowsim.studies.joint.study import joint_result
from flowsim.studies.judged.sweep import sweep
from flowsim.studies.result import Verdict
from flowsim.studies.review.measured_words import table_assumptions
from flowsim.studies.sampling.draws import draw
from flowsim.studies.verdict.judging import judge_lines
from flowsim.studies.verdict.overall import overall
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import MeasuredDrop
from flowsim.system.points import Point
from tests.support.plain_systems import (
    DENSITY,
    GRAVITY,
    VISCOSITY,
    liquid,
    plain,
    reservoir,
    run,
    situation,
)

HEAD = 0.5
WIDE = 0.08
PER_HOUR = 3.6e6


def table(*readings: tuple[float, float], **given) -> MeasuredDrop:
    """Drops [mm of the test liquid] at flows [L/h]."""
    return MeasuredDrop(
        name="filter", kind="filter", bore=WIDE, source="invented",
        flows=tuple(flow / PER_HOUR for flow, _ in readings),
        drops=tuple(1e-3 * head * DENSITY * GRAVITY for _, head in readings),
        **{"density": DENSITY, **given},
    )  # fmt: skip


def closed_form(part: MeasuredDrop, required: float, viscosity: float = VISCOSITY) -> FuelSystem:
    """A reservoir 0.5 m above the open end and the part between; ``required`` [L/h]."""
    top, foot = Point(1.0, 0.0, 0.3), Point(1.0, 0.0, 0.0)
    burn = required / PER_HOUR * DENSITY / 1.5
    return plain(
        [reservoir("tank", HEAD, {"out": top}, bore=WIDE)],
        [run("line", "tank.out", "engine", [top, foot], part, bore=WIDE)],
        engine={"burn": burn},
        fuel=liquid(viscosity),
    )


def flow_of(part: MeasuredDrop, viscosity: float = VISCOSITY) -> float:
    """Flow [L/h] under 0.5 m."""
    assembly = assemble(closed_form(part, 1.0, viscosity))
    return PER_HOUR * float(solve(assembly.network, situation(assembly).conditions).flow[0, 0])


class TestOneHighReading:
    """1.2 m at 60 L/h: a square would let 38.7 L/h through, and asks for nothing further down."""

    def test_the_flow_is_that_of_the_straight_line(self):
        assert flow_of(table((60, 1200))) == pytest.approx(60 * 500 / 1200, rel=1e-4)

    def test_a_system_that_lives_on_the_square_is_not_adequate(self):
        result = judge(closed_form(table((60, 1200)), required=35.0), nominal=True)
        assert result.verdict is Verdict.NOT_ADEQUATE
        (reason,) = {words for words in all_told(result.reasons) if "filter" in words}
        assert "below its lowest reading (60 L/h)" in reason
        assert "measure it at 35 L/h" in reason

    def test_it_is_a_stated_assumption_of_its_exponent(self):
        result = judge(closed_form(table((60, 1200)), required=10.0), nominal=True)
        assert any("one reading, at 60 L/h" in words for words in all_told(result.assumptions))
        assert any("below its lowest reading" in words for words in all_told(result.cautions))
        judged = [scenario for scenario in result.scenarios if scenario.judged]
        assert all(
            any("below its lowest reading" in flag for flag in all_told(item.flags))
            for item in judged
        )

    def test_with_the_cautious_line_an_ample_system_stays_adequate(self):
        (line, *_) = judge(closed_form(table((60, 1200)), required=10.0), nominal=True).lines
        assert line.verdict is Verdict.ADEQUATE

    def test_a_lower_reading_never_lessens_the_flow_that_is_told(self):
        """Leaving out a measurement does not comfort: any law from straight to square."""
        for exponent in (1.0, 1.3, 1.75, 2.0):
            low = (20, 1200 * (20 / 60) ** exponent)
            assert flow_of(table(low, (60, 1200))) >= flow_of(table((60, 1200))) * (1 - 1e-9)


class TestBothSides:
    def test_beyond_the_last_reading_cannot_be_told_and_says_what_would_settle_it(self):
        result = judge(closed_form(table((5, 20), (10, 60)), required=15.0), nominal=True)
        (line, *_) = result.lines
        assert line.verdict is Verdict.CANNOT_TELL
        assert any(
            "(5 to 10 L/h): measure it at 15 L/h" in words for words in all_told(line.reasons)
        )

    def test_what_settles_it_is_the_reading_and_no_measurement_of_the_spread(self):
        """Plenty of flow in every draw; the word hangs on the missing reading alone."""
        found = sweep(closed_form(table((5, 20), (10, 60)), required=15.0))
        joint = joint_result(found, draw(found.assembly, 64, 1))
        lines = judge_lines(found, joint)
        assert all(line.flow_verdict is Verdict.ADEQUATE for line in lines)
        whole = overall(found, joint, lines)
        assert whole.verdict is Verdict.CANNOT_TELL
        assert "measure it at 15 L/h" in told(whole.settle)

    def test_below_readings_that_bend_down_cannot_be_told(self):
        """A threshold: the second reading lies below the line from rest, which is no bound then."""
        flat = table((40, 300), (80, 320))
        found = sweep(closed_form(flat, required=20.0))
        assert found.outside.any(axis=1).all()
        steep = table((40, 300), (80, 900))
        found = sweep(closed_form(steep, required=20.0))
        assert not found.outside.any()
        assert found.below.any(axis=1).all()

    def test_between_its_readings_nothing_is_said(self):
        found = sweep(closed_form(table((10, 40), (80, 900)), required=20.0))
        assert not found.outside.any()
        assert not found.below.any()

    def test_a_still_table_is_not_outside(self):
        assembly = assemble(closed_form(table((10, 40)), 1.0))
        given = situation(assembly).conditions
        losses = part_losses(assembly.network, given, np.zeros((1, 2)))
        assert not (losses.outside | losses.below).any()


class TestAnotherLiquid:
    READINGS = ((10, 100), (20, 210), (60, 800))

    def test_a_stated_viscosity_carries_the_reading_over(self):
        """All but laminar readings: a liquid twice as thick loses about twice as much."""
        part = table((10, 100), (80, 801), viscosity=VISCOSITY)
        assert flow_of(part) == pytest.approx(50, rel=2e-3)
        assert flow_of(part, 2 * VISCOSITY) == pytest.approx(25, rel=2e-3)
        assert flow_of(part, 0.8 * VISCOSITY) == pytest.approx(50 / 0.8, rel=4e-3)

    def test_the_batch_and_one_part_alone_agree(self):
        for given in ({}, {"viscosity": 1.1e-6}):
            part = table(*self.READINGS, **given)
            for nu in (4e-7, VISCOSITY, 2e-6):
                system = closed_form(part, 1.0, nu)
                assembly = assemble(system)
                here = situation(assembly)
                found = solve(assembly.network, here.conditions)
                (path,) = loss_paths_of(assembly, here, found, 0)
                assert abs(path.closure) < 1e-9

    def test_less_knowledge_never_comforts(self):
        """Without a viscosity the flow is no greater than with the fuel's, water's, a thicker."""
        unknown = table(*self.READINGS)
        for nu in (4e-7, VISCOSITY, 3e-6):
            for stated in (min(nu, 1.139e-6), 2e-6, 3e-6):
                known = replace(unknown, viscosity=stated)
                assert flow_of(unknown, nu) <= flow_of(known, nu) * (1 + 1e-9)

    def test_what_is_not_stated_is_an_assumption(self):
        thin = all_told(table_assumptions(closed_form(table(*self.READINGS), 1.0)))
        assert any("as that of the fuel at 15 degC (0.6 mm2/s)" in words for words in thin)
        thick = all_told(
            table_assumptions(closed_form(table(*self.READINGS, density=998.0), 1.0, 3e-6))
        )
        assert any("(998 kg/m3) is not said; taken as that of water" in words for words in thick)
        said = all_told(
            table_assumptions(closed_form(table(*self.READINGS, viscosity=1.1e-6), 1.0))
        )
        assert not any("15 degC" in words for words in said)
        assert all("below its first reading, at 10 L/h" in words for words in said)


class TestByHand:
    @pytest.mark.parametrize("nu", [VISCOSITY, 2 * VISCOSITY])
    def test_below_the_first_reading_the_sheet_works_the_loss_out(self, nu):
        part = table((60, 1200), viscosity=VISCOSITY)
        assembly = assemble(closed_form(part, 1.0, nu))
        here = situation(assembly)
        (path,) = loss_paths_of(assembly, here, solve(assembly.network, here.conditions), 0)
        (row,) = (row for row in path.rows if row.part == "filter")
        found = worked(row, HandLiquid(density=DENSITY, kinematic_viscosity=nu))
        assert found.head == pytest.approx(row.loss, rel=1e-9)
        assert "below the first reading a straight line" in found.lines[-1]
        assert any("times as viscous" in line for line in found.lines) is (nu != VISCOSITY)

    def test_two_tables_of_like_names_show_their_own_readings(self):
        """They were looked up by the beginning of the name."""
        first = table((20, 100), (60, 700))
        second = replace(table((20, 50), (60, 300)), name="filter two")
        top, foot = Point(1.0, 0.0, 0.3), Point(1.0, 0.0, 0.0)
        system = plain(
            [reservoir("tank", HEAD, {"out": top}, bore=WIDE)],
            [run("line", "tank.out", "engine", [top, foot], first, second, bore=WIDE)],
        )
        assembly = assemble(system)
        here = situation(assembly)
        (path,) = loss_paths_of(assembly, here, solve(assembly.network, here.conditions), 0)
        lines = {
            row.part: worked(row, HandLiquid(density=DENSITY, kinematic_viscosity=VISCOSITY)).lines
            for row in path.rows
            if "filter" in told(row.part)
        }
        for name, head in (("filter two", 0.05), ("filter", 0.1)):
            assert any(f"{digits(head * DENSITY * GRAVITY)} Pa" in line for line in lines[name])
