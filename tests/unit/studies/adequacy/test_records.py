"""What the main study puts into its answer: requirement, losses, the parts that cost most."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import all_told, told
from flowsim.files.results.check_json import all_cautions
from flowsim.physics.fuel.properties import density
from flowsim.studies.adequacy.study import (
    DRAWS,
    SEED,
    costliest,
    judge,
    loss_paths,
    requirement_of,
)
from flowsim.studies.result import AdequacyResult, LossPath, LossRow, Verdict
from flowsim.studies.review.remarks import assumptions
from flowsim.studies.review.unmeasured import words_of
from flowsim.system.engine import Carburettor
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import Screen
from flowsim.system.points import Point
from tests.support.plain_systems import loss, plain, reservoir, run, tube
from tests.support.systems import flight, one_tank

ROUTE = [Point(1.0, 0.5, 0.5), Point(1.2, -0.3, 0.0)]
STRAINER = Screen(
    name="strainer", area=2e-4, wires_per_metre=2000.0, wire_diameter=1e-4, clear_fraction=0.8
)


@cache
def judged() -> AdequacyResult:
    return judge(one_tank(), nominal=True)


def screened(clear: float = 0.8) -> FuelSystem:
    """A tank of stated level, a screen, a float bowl: both ends and dirty screens are judged."""
    bowl = Carburettor(parts=(loss(1e6, "seat"),), float_level=ROUTE[-1])
    strainer = replace(STRAINER, clear_fraction=clear)
    line = run("feed", "tank.out", "engine", ROUTE, tube(0.9), strainer, loss(1e8))
    return plain([reservoir("tank", 0.8, {"out": ROUTE[0]})], [line], engine={"carburettor": bowl})


def row(part: str, lost: float, line: str = "down") -> LossRow:
    return LossRow(
        part=part, line=line, law="", flow=0.0, bore=0.0, velocity=0.0, reynolds=0.0,
        coefficient=0.0, loss=lost, share=0.0, source="", terms=(),
    )  # fmt: skip


def path(*rows: LossRow) -> LossPath:
    return LossPath(
        tank="", outlet="", end="", surface_elevation=0.0, end_elevation=0.0,
        tank_pressure_head=0.0, end_pressure_head=0.0, available=0.0, rows=rows, closure=0.0,
    )  # fmt: skip


class TestRequirement:
    def test_it_is_the_burn_times_the_factor(self):
        found = requirement_of(one_tank())
        assert (found.burn, found.factor, found.basis) == (0.005, 1.5, "stated")
        assert found.required == pytest.approx(0.0075)

    def test_its_volumes_are_shown_at_15_degrees(self):
        system = one_tank(temperatures=(303.15,))
        assert requirement_of(system).density == float(density(system.fuel, 288.15))


class TestCostliest:
    def test_the_dearest_come_first_with_their_line(self):
        found = costliest((path(row("a", 0.1), row("b", 0.3), row("c", 0.2), row("d", 0.05)),))
        assert all_told(found) == ("b (down)", "c (down)", "a (down)")

    def test_a_part_on_two_ways_counts_once_by_its_dearer_loss(self):
        ways = (path(row("a", 0.1), row("b", 0.2)), path(row("a", 0.3)), path(row("a", 0.15)))
        assert all_told(costliest(ways)) == ("a (down)", "b (down)")
        assert all_told(costliest(ways, count=1)) == ("a (down)",)

    def test_parts_of_one_name_in_two_lines_are_two(self):
        assert all_told(costliest((path(row("a", 0.1), row("a", 0.2, "up")),))) == (
            "a (up)",
            "a (down)",
        )
        assert costliest(()) == ()


class TestAnswer:
    def test_it_says_what_was_asked(self):
        found = judged()
        assert found.title == "one tank"
        assert found.draws == 0
        assert found.seed == SEED
        assert found.level_pitch == 0.0
        assert found.climb_pitch == pytest.approx(np.radians(10.0))
        assert found.test_pitch == pytest.approx(np.radians(15.0))
        assert found.requirement == requirement_of(one_tank())
        losses = tuple(words_of(item) for item in found.unmeasured)
        assert losses
        assert found.assumptions == (*losses, *assumptions(one_tank()))
        assert found.contributions == ()
        assert found.settle == ""
        assert found.verdict is found.lines[0].verdict is Verdict.ADEQUATE
        assert found.verdict_words == "adequate, open line only"
        assert found.reasons == ()
        assert all_cautions(found.cautions)[: len(ALWAYS)] == ALWAYS

    def test_losses_are_those_of_the_scenario_that_decides(self):
        found = judged()
        deciding = found.scenarios[found.deciding]
        assert found.deciding_scenario is deciding
        again = loss_paths(one_tank(), deciding)
        assert len(again) == len(found.losses) == 1
        for one, other in zip(found.losses[0].rows, again[0].rows, strict=True):
            assert other.part == one.part
            assert other.loss == pytest.approx(one.loss, rel=1e-6, abs=1e-12)
        assert found.costliest == costliest(found.losses)

    def test_progress_starts_with_the_sweep_and_counts_the_draws(self):
        said: list[tuple[str, int, int]] = []
        found = judge(one_tank(), draws=16, seed=5, progress=lambda *words: said.append(words))
        assert said[0] == ("sweeping attitudes", 0, 1)
        word, done, whole = said[-1]
        assert word == "drawing"
        assert done == whole == sum(item.judged for item in found.scenarios)
        assert [done for _, done, _ in said[1:]] == sorted(done for _, done, _ in said[1:])
        assert (found.draws, found.seed) == (16, 5)
        assert found.contributions
        assert found.deciding_scenario.flow_low is not None

    def test_another_seed_draws_otherwise(self):
        first, second, third = (
            judge(one_tank(), draws=16, seed=seed).lines[0].least_low for seed in (1, 2, 1)
        )
        assert first == third != second

    def test_pitches_are_sums_of_what_is_stated(self):
        system = one_tank(flight=flight(level_pitch=0.02, climb_pitch=0.1, test_margin=0.05))
        found = judge(system, nominal=True)
        assert (found.level_pitch, found.climb_pitch) == (0.02, 0.1)
        assert found.test_pitch == pytest.approx(0.15)
        assert DRAWS == 2048


class TestLossPathsOfARecord:
    def test_every_kind_of_record_gives_its_own_flow(self):
        system = screened()
        found = judge(system, nominal=True)
        kinds = {}
        for item in found.scenarios:
            if item.judged:
                kinds.setdefault((item.end, told(item.screens)), item)
        assert set(kinds) == {
            (end, screens)
            for end in ("open line", "carburettor")
            for screens in ("as stated", "20 % clear")
        }
        flows = set()
        for (end, screens), item in kinds.items():
            (path_,) = loss_paths(system, item)
            assert path_.rows[0].flow == pytest.approx(item.volume_flow, rel=1e-8)
            assert path_.end == {"open line": "open end", "carburettor": "carburettor"}[end]
            strainer = next(line for line in path_.rows if line.part == "strainer")
            clear = 0.8 if screens == "as stated" else 0.2
            assert dict(strainer.terms)["clear_fraction"] == clear
            flows.add(round(path_.rows[0].flow, 9))
        assert len(flows) == 4

    @pytest.mark.parametrize("clear", [0.19, 0.02])
    def test_a_screen_stated_dirtier_than_a_dirty_one_is_judged_as_stated(self, clear):
        """The judged set's 20 % clear must not clean it: each draw would be too high."""
        found, cleaner = (judge(screened(share), draws=64) for share in (clear, 0.2))
        for here, there in zip(found.lines, cleaner.lines, strict=True):
            assert here.least_nominal < there.least_nominal
            assert here.least_low < there.least_low or there.least_low == float("inf")
        assert found.lines[0].least_low < cleaner.lines[0].least_low < float("inf")
        assert {told(item.screens) for item in found.scenarios} == {
            "as stated", "20 % clear, or as stated where less",
        }  # fmt: skip
        for item in found.scenarios[:: max(1, len(found.scenarios) // 7)]:
            (path_,) = loss_paths(screened(clear), item)
            strainer = next(line for line in path_.rows if line.part == "strainer")
            assert dict(strainer.terms)["clear_fraction"] == clear

    def test_a_rolled_record_is_worked_out_rolled(self):
        # The surface's place (buttline 0) and the inlet (-0.3 m) are 0.3 m apart sideways.
        system = screened()
        item = next(item for item in judge(system, nominal=True).scenarios if item.judged)
        heads = [
            loss_paths(system, replace(item, roll=roll))[0].available for roll in (-0.1, 0.0, 0.1)
        ]
        assert abs(heads[2] - heads[0]) == pytest.approx(2 * 0.3 * np.sin(0.1), rel=1e-6)
        assert heads[1] == pytest.approx(0.5 * (heads[0] + heads[2]) / np.cos(0.1), rel=1e-6)
