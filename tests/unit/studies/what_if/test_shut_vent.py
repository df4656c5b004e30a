"""Fuel drawn from under a shut vent until the flow is lost, by Boyle's law on a pocket calculator.

The sweep of a small system supplies the scenarios; heads left over are put in by hand.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.fuel.properties import vapour_pressure
from flowsim.studies.adequacy.brief import Brief
from flowsim.studies.judged.scenarios import CLIMB
from flowsim.studies.judged.sweep import Sweep, sweep
from flowsim.studies.verdict.judging import judge_lines, overall
from flowsim.studies.what_if.shut_vent import UntilLost, drawn_until_lost, lost_words
from tests.support.swept import swept, swept_pair
from tests.support.systems import forward_vent, two_tanks
from tests.unit.studies.study_systems import fitting_flow, one_fitting

CAPACITY = 0.5 * 0.6 * 0.15
"""[m3] Box of ``one_tank``."""
PAIR_CAPACITY = 0.5 * 1.1 * 0.12
"""[m3] Each box of ``two_tanks``."""
HEAD = 0.6
"""[m] Left over at the required flow, where it is put in by hand."""


@cache
def swept_shared() -> Sweep:
    base = two_tanks()
    return sweep(
        replace(base, tanks=tuple(replace(tank, vent=forward_vent("wings")) for tank in base.tanks))
    )


def with_head(found: Sweep, head: float = HEAD) -> Sweep:
    left = np.full(len(found.judged_rows), head)
    return replace(found, at_required=replace(found.at_required, head_left=left))


def brief(found: Sweep) -> Brief:
    lines = judge_lines(found, None)
    return Brief(
        swept=found, joint=None, lines=lines, decisions=(), overall=overall(found, None, lines)
    )


def climbs(found: Sweep) -> np.ndarray:
    """Which of the judged scenarios are climbs."""
    return found.table.purpose[found.judged_rows] == CLIMB


def by_hand(found: Sweep, room: np.ndarray, head: float = HEAD, extra: float = 0.0) -> np.ndarray:
    """Boyle: air at p_a - p_v in ``room`` stretches until its pressure has fallen by rho g head."""
    rows = found.judged_rows
    air = standard_pressure(2000.0) + extra - vapour_pressure(found.assembly.system.fuel, 288.15)
    fall = found.situation.density[rows] * STANDARD_GRAVITY * head
    return air * room / (air - fall) - room


class TestOneTank:
    def test_the_air_stretches_until_its_pull_eats_the_head(self):
        found = drawn_until_lost(brief(with_head(swept())), "wing")
        fuel = swept().table.scenarios.quantity[swept().judged_rows, 0]
        assert found.held == pytest.approx(fuel)
        some = climbs(swept())
        expected = by_hand(swept(), CAPACITY - fuel)
        assert found.drawn[some] == pytest.approx(expected[some], rel=1e-9)
        assert set(np.round(fuel[some], 6)) == {0.014, 0.025}

    def test_only_the_climb_is_looked_at(self):
        found = drawn_until_lost(brief(with_head(swept())), "wing")
        assert (~climbs(swept())).any()
        assert np.isnan(found.drawn[~climbs(swept())]).all()
        assert not found.lost[~climbs(swept())].any()

    def test_a_filling_replaces_the_fuel_of_every_scenario(self):
        found = drawn_until_lost(brief(with_head(swept())), "wing", filled=0.9)
        assert found.held == pytest.approx(np.full(len(found.held), 0.9 * CAPACITY))
        room = np.full(len(found.held), 0.1 * CAPACITY)
        some = climbs(swept())
        assert found.drawn[some] == pytest.approx(by_hand(swept(), room)[some], rel=1e-9)

    @pytest.mark.parametrize("head", [0.0, -0.3])
    def test_with_no_head_left_it_is_lost_at_once(self, head):
        found = drawn_until_lost(brief(with_head(swept(), head)), "wing")
        some = climbs(swept())
        assert (found.drawn[some] == 0.0).all()
        assert found.lost[some].all()

    def test_an_unknown_head_gives_no_number(self):
        found = drawn_until_lost(brief(with_head(swept(), np.nan)), "wing")
        assert np.isnan(found.drawn).all()
        assert not found.lost.any()

    def test_a_pull_that_the_air_cannot_give_is_never_reached(self):
        # 30 m of fuel are more than the whole pressure of the air: the fuel boils first.
        found = drawn_until_lost(brief(with_head(swept(), 30.0)), "wing")
        assert np.isinf(found.drawn[climbs(swept())]).all()
        assert not found.lost.any()

    def test_a_pressure_at_the_vent_counts_with_the_ambient(self):
        base = with_head(swept())
        situation = replace(
            base.situation, tank_pressure=np.full_like(base.situation.tank_pressure, 900.0)
        )
        found = drawn_until_lost(brief(replace(base, situation=situation)), "wing")
        fuel = swept().table.scenarios.quantity[swept().judged_rows, 0]
        expected = by_hand(swept(), CAPACITY - fuel, extra=900.0)
        some = climbs(swept())
        assert found.drawn[some] == pytest.approx(expected[some], rel=1e-9)

    def test_an_overfull_tank_has_no_air_to_stretch(self):
        found = drawn_until_lost(brief(with_head(swept())), "wing", filled=1.05)
        assert (found.drawn[climbs(swept())] == 0.0).all()

    def test_fuel_that_boils_is_refused(self):
        base = with_head(swept())
        scenarios = base.table.scenarios
        high = replace(scenarios, altitude=np.full_like(scenarios.altitude, 10900.0))
        hot = replace(high, temperature=np.full_like(scenarios.temperature, 318.15))
        changed = replace(base, table=replace(base.table, scenarios=hot))
        with pytest.raises(DomainError, match="boils"):
            drawn_until_lost(brief(changed), "wing")

    def test_a_tank_of_unknown_capacity_gives_no_number(self):
        found = sweep(one_fitting(swept().assembly.system.fuel.viscosity_band, fitting_flow() / 2))
        for filled in (None, 0.5):
            lost = drawn_until_lost(brief(found), "tank", filled)
            assert len(lost.drawn) == len(found.judged_rows) > 0
            assert np.isnan(lost.drawn).all()
            assert not lost.lost.any()


class TestTwoTanks:
    def test_a_tank_that_another_helps_gives_no_number(self):
        found = drawn_until_lost(brief(with_head(swept_pair())), "right")
        rows = swept_pair().judged_rows
        names = [item.name for item in swept_pair().assembly.positions]
        alone = swept_pair().table.scenarios.position[rows] == names.index("right")
        some = climbs(swept_pair()) & alone
        fuel = swept_pair().table.scenarios.quantity[rows, 1]
        extra = swept_pair().situation.tank_pressure[rows, 1]
        expected = by_hand(swept_pair(), PAIR_CAPACITY - fuel, extra=extra)
        assert some.any()
        assert found.drawn[some] == pytest.approx(expected[some], rel=1e-9)
        assert np.isnan(found.drawn[~some]).all()
        assert found.held == pytest.approx(fuel)

    def test_tanks_of_one_vent_share_their_air(self):
        found = drawn_until_lost(brief(with_head(swept_shared())), "wings")
        rows = swept_shared().judged_rows
        fuel = swept_shared().table.scenarios.quantity[rows].sum(axis=1)
        expected = by_hand(swept_shared(), 2.0 * PAIR_CAPACITY - fuel)
        some = climbs(swept_shared())
        assert found.held == pytest.approx(fuel)
        assert found.drawn[some] == pytest.approx(expected[some], rel=1e-9)


class TestWords:
    def test_lost_when_less_is_drawn_than_is_held(self):
        found = UntilLost(
            drawn=np.array([0.001, 0.004, 0.005, np.nan, np.inf]),
            held=np.array([0.004, 0.004, 0.004, 0.004, 0.004]),
        )
        assert found.lost.tolist() == [True, False, False, False, False]

    def test_the_soonest_loss_is_told_in_litres_and_minutes(self):
        # 15 L at 10 mL/s last 1500 s.
        found = UntilLost(drawn=np.array([0.025, 0.015, 0.0005]), held=np.array([1.0, 1.0, 1e-4]))
        words = lost_words("the left vent", found, 10e-6)
        assert words.startswith("with the left vent ")
        assert "15.00 L" in words
        assert "25.0 min at full power" in words

    def test_fuel_that_runs_out_first_is_told(self):
        found = UntilLost(drawn=np.array([0.005]), held=np.array([0.004]))
        assert "runs out before" in lost_words("it", found, 1e-5)
