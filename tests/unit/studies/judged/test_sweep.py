"""The sweep on nominal values: flows, ratios and doubts put together in the order of the table."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.network.scenarios import situate
from flowsim.studies.delivery.deliver import deliver
from flowsim.studies.judged.scenarios import CLIMB, DRAWN, ScenarioTable
from flowsim.studies.judged.sweep import NOTABLE_SHARE, Sweep, sweep, sweep_of
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Selector
from flowsim.system.parts import MeasuredDrop
from flowsim.system.points import Point
from tests.support.plain_systems import (
    BORE,
    DENSITY,
    WIDE,
    loss,
    plain,
    reservoir,
    run,
    situation,
    tube,
)
from tests.support.systems import two_tanks

HEAD, RESISTANCE = 0.8, 5e9
ROUTE = [Point(1, 0, 0.5), Point(1, 0, 0.1), Point(1, 0, 0.3), Point(1, 0, 0.0)]
"""Falls 0.3 m behind a hump that the little flow of this resistance does not clear."""
PITCH = np.array([0.0, 0.6, 0.3, 0.0])
JUDGED = [1, 2]


def one_line(*parts, switch: bool = False) -> FuelSystem:
    """A tank over one line; with a ``switch`` a selector with the positions off and on."""
    parts = parts or (loss(RESISTANCE),)
    tank = reservoir("tank", HEAD, {"out": ROUTE[0]}, bore=WIDE)
    if not switch:
        return plain([tank], [run("feed", "tank.out", "engine", ROUTE, *parts, bore=WIDE)])
    end = ROUTE[-1]
    lines = [
        run("down", "tank.out", "switch", ROUTE, *parts, bore=WIDE),
        run("feed", "switch", "engine", [end, end], tube(1e-9, WIDE), bore=WIDE),
    ]
    selector = Selector(
        name="switch",
        at=end,
        ports={"tank": "down"},
        outlet="feed",
        positions={"off": (), "on": ("tank",)},
        judged=("on",),
        loss=loss(1.0, "passage"),
    )
    return plain([tank], lines, [selector])


def table_of(system: FuelSystem, position=(0, 0, 0, 0), required=(0.01, 0.01, 0.02, 0.03)):
    scenarios = situation(
        assemble(system), PITCH, position=np.array(position, dtype=np.intp)
    ).scenarios
    return ScenarioTable(
        scenarios=scenarios,
        states=(),
        state=np.zeros(4, dtype=np.intp),
        purpose=np.array([DRAWN, CLIMB, CLIMB, DRAWN]),
        required=np.array(required),
        dirty=np.zeros(4, dtype=bool),
    )


@cache
def swept() -> Sweep:
    system = one_line()
    return sweep_of(assemble(system), table_of(system))


def mass_flow(head: np.ndarray) -> np.ndarray:
    return DENSITY * np.sqrt(head / RESISTANCE)


class TestRatios:
    def test_flow_is_a_mass_flow_over_what_is_required(self):
        # All at one station: heads go with cos pitch.
        expected = mass_flow(HEAD * np.cos(PITCH))
        assert swept().flow == pytest.approx(expected, rel=1e-4)
        assert swept().ratio == pytest.approx(expected / [0.01, 0.01, 0.02, 0.03], rel=1e-4)

    def test_only_judged_scenarios_are_looked_at_further(self):
        found = swept()
        assert found.judged_rows.tolist() == JUDGED
        assert found.trapped.held == pytest.approx(0.3 * np.cos(PITCH[JUDGED]))
        expected = mass_flow(0.5 * np.cos(PITCH[JUDGED])) / [0.01, 0.02]
        assert found.trapped_ratio == pytest.approx(expected, rel=1e-4)
        demand = found.at_required.situation.conditions.demand.sum(axis=1)
        assert demand * DENSITY == pytest.approx([0.01, 0.02])
        assert found.outside.shape[0] == 2
        assert found.situation.scenarios.count == found.delivery.solved.shape[0] == 4

    def test_a_whole_system_has_the_table_of_its_own(self):
        found = sweep(one_line())
        assert found.table.judged.any()
        assert len(found.judged_rows) == found.table.judged.sum()
        assert np.isfinite(found.ratio).all()


class TestOffPositions:
    def test_off_gives_nothing_and_the_rest_is_solved_as_ever(self):
        system = one_line(switch=True)
        assembly = assemble(system)
        names = [item.name for item in assembly.positions]
        assert names == ["off", "on"]
        found = sweep_of(assembly, table_of(system, position=(0, 1, 1, 0)))
        some = deliver(assembly, situate(assembly, found.table.scenarios))
        for name in ("deliverable", "solved"):
            values = getattr(found.delivery, name)
            assert values == pytest.approx([0.0, *getattr(some, name)[1:3], 0.0])
            assert values.dtype == np.float64
        assert found.delivery.air_limited.tolist() == [False] * 4
        assert found.delivery.air_limited.dtype == bool
        solution = found.delivery.solution
        off = [0, 3]
        assert (solution.flow[off] == 0.0).all()
        assert np.isnan(solution.head[off]).all()
        assert solution.iterations[off].tolist() == [0, 0]
        assert solution.residual[off].tolist() == solution.imbalance[off].tolist() == [0.0, 0.0]
        assert solution.converged.tolist() == solution.supplied.tolist() == [True] * 4
        on = [1, 2]
        assert solution.flow[on] == pytest.approx(some.solution.flow[on])
        assert solution.head[on] == pytest.approx(some.solution.head[on])
        assert (solution.iterations[on] > 0).all()
        assert (solution.flow[on, 0] > 0).all()

    @pytest.mark.parametrize("position", [0, 1])
    def test_all_off_and_all_on_are_solved_as_they_are(self, position):
        system = one_line(switch=True)
        found = sweep_of(assemble(system), table_of(system, position=(position,) * 4))
        assert (found.flow > 0).tolist() == [position == 1] * 4
        assert found.delivery.solution.converged.all()

    def test_air_limits_of_a_real_selector_stay_with_their_rows(self):
        found = sweep(two_tanks())
        off = found.table.scenarios.position == 3
        assert found.assembly.positions[3].name == "off"
        whole = deliver(found.assembly, situate(found.assembly, found.table.scenarios))
        assert off.any()
        assert (found.flow[off] == 0.0).all()
        assert np.array_equal(found.delivery.air_limited, whole.air_limited)
        assert found.delivery.air_limited.any()
        assert found.delivery.deliverable == pytest.approx(whole.deliverable, rel=1e-6, abs=1e-12)


class TestOutside:
    @staticmethod
    def metered(highest: float, size: float = 1.0) -> Sweep:
        """Give a table measured up to ``highest`` [m3/s]; the judged flows are 1.4 and 2.8e-5."""
        table = MeasuredDrop(
            name="meter",
            kind="meter",
            bore=BORE,
            flows=(highest / 2, highest),
            drops=(size * 25.0, size * 100.0),
            density=DENSITY,
        )
        system = one_line(tube(1e-9), loss(RESISTANCE), table)
        return sweep_of(assemble(system), table_of(system))

    def test_a_part_beyond_its_data_at_the_required_flow_is_marked(self):
        found = self.metered(2e-5, size=10.0)  # 0.14 m and more of 1 and 4 m
        (part,) = (
            index
            for index, placed in enumerate(found.assembly.network.placed)
            if placed.part.name == "meter"
        )
        assert found.outside[:, part].tolist() == [False, True]
        assert found.outside.sum() == 1

    def test_what_costs_next_to_nothing_does_not_matter(self):
        # A hundredth of a pascal at its end: far below 0.5 % of the losses.
        assert not self.metered(2e-5, size=1e-4).outside.any()
        assert pytest.approx(0.005) == NOTABLE_SHARE

    def test_the_share_counts_of_all_losses_together(self):
        # At 2.8e-5 m3/s the resistance loses 3.86 m. The table goes on as it rose: near 4 times
        # its last drop. A drop of 0.3 % of all is not notable, one of 0.8 % is.
        flow = 0.02 / DENSITY
        whole = RESISTANCE * flow**2
        for share, notable in ((0.003, False), (0.008, True)):
            end = share * whole * DENSITY * 9.80665 / (flow / 2e-5) ** 2
            found = self.metered(2e-5, size=end / 100.0)
            assert found.outside[1].any() is np.bool_(notable)

    def test_the_share_is_that_of_each_scenario(self):
        # Beyond its data in both, 0.8 % of the losses of each; 0.16 % of both in the first.
        assert self.metered(1e-5, size=0.28).outside.any(axis=1).tolist() == [True, True]

    def test_a_required_flow_that_cannot_be_supplied_marks_nothing(self):
        system = replace(one_line(tube(1e-9), loss(RESISTANCE)))
        shut = replace(system, lines=(replace(system.lines[0], closed=True),))
        found = sweep_of(assemble(shut), table_of(shut))
        assert not found.outside.any()
        assert (found.flow == 0.0).all()
