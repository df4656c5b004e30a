"""One record per scenario: every number of it is the row's own, put in by hand where it can be."""

from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.scenarios import CARBURETTOR, END_NAMES, OPEN_LINE
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.studies.adequacy.scenario_results import scenario_result, scenario_results
from flowsim.studies.joint.study import JointResult
from flowsim.studies.judged.scenarios import CLIMB, DRAWN
from flowsim.studies.judged.sweep import Sweep, sweep
from flowsim.studies.result import ScenarioResult, Verdict
from flowsim.system.points import Point
from tests.support.plain_systems import loss, plain, reservoir, run
from tests.support.swept import swept, swept_pair


def row_of(found: Sweep, **wanted) -> int:
    """First row with these values, e.g. purpose or judged."""
    table = found.table
    same = np.ones(table.scenarios.count, dtype=bool)
    for key, value in wanted.items():
        source = table if hasattr(table, key) else table.scenarios
        same &= getattr(source, key) == value
    return int(np.flatnonzero(same)[0])


def with_judged(found: Sweep, judged: int, **values: float) -> Sweep:
    state = found.at_required
    changed = {name: getattr(state, name).copy() for name in values}
    for name, value in values.items():
        changed[name][judged] = value
    return replace(found, at_required=replace(state, **changed))


def with_flow(found: Sweep, row: int, flow: float) -> Sweep:
    flows = found.flow.copy()
    flows[row] = flow
    return replace(found, flow=flows)


def made_joint(rows, full, trapped=None) -> JointResult:
    full = np.array(full, dtype=np.float64)
    return JointResult(
        rows=np.array(rows, dtype=np.intp),
        full=full,
        trapped=full if trapped is None else np.array(trapped, dtype=np.float64),
        draws=cast("object", SimpleNamespace()),  # type: ignore[arg-type]
    )


class TestOneRecord:
    def test_a_judged_row_says_what_its_scenario_is(self):
        found = swept_pair()
        row = row_of(found, end=CARBURETTOR, purpose=CLIMB, state=1)
        table, scenarios = found.table, found.table.scenarios
        judged = found.judged_rows.tolist().index(row)
        item = scenario_result(found, None, row)
        assert item.index == row
        assert item.selector == found.assembly.positions[scenarios.position[row]].name
        assert (item.pitch, item.roll) == (scenarios.pitch[row], 0.0)
        assert (item.airspeed, item.altitude) == (60.0, 2000.0)  # level: twice the climb speed
        assert item.fuel_state == "least take-off fuel"
        assert item.quantities == (("left", 0.025), ("right", 0.025))
        assert item.temperature == 288.15
        assert item.end == "carburettor"
        assert item.screens == "as stated"
        assert item.purpose == CLIMB
        assert item.judged is True
        assert item.required == table.required[row]
        assert item.flow == found.flow[row]
        density = found.situation.density[row]
        assert item.solved_flow == pytest.approx(found.delivery.solved[row] * density)
        assert item.volume_flow == found.delivery.deliverable[row]
        state = found.at_required
        assert item.inlet_pressure_at_required == state.inlet_pressure[judged]
        assert item.head_left == state.head_left[judged]
        assert item.vapour_margin == state.vapour_margin[judged]
        assert item.lowest_pressure_margin == state.tank_margin[judged]
        assert item.trapped_air_head == found.trapped.held[judged]
        assert item.flow_trapped == pytest.approx(found.trapped.flow[judged] * density)
        assert item.humps == found.trapped.humps[judged]
        assert item.residual == found.delivery.solution.residual[row]
        assert item.converged is True
        assert item.flow_low is None
        assert item.flow_high is None

    def test_a_row_that_is_only_drawn_has_no_margins(self):
        found = swept()
        row = row_of(found, purpose=DRAWN)
        item = scenario_result(found, None, row)
        assert item.judged is False
        assert item.purpose == DRAWN
        margins = (
            item.inlet_pressure_at_required,
            item.head_left,
            item.air_margin,
            item.vapour_margin,
            item.lowest_pressure_margin,
        )
        assert np.isnan(margins).all()
        assert item.trapped_air_head == 0.0
        assert item.flow_trapped == item.flow == found.flow[row]
        assert item.humps == ()
        assert item.air_drawn is False

    def test_air_held_in_a_hump_is_told_with_the_flow_it_leaves(self):
        judged = 3
        row = int(swept().judged_rows[judged])
        held = np.zeros_like(swept().trapped.held_head)
        held[judged] = 0.1, 0.02
        flow = np.full(len(held), 2e-5)
        flow[judged] = 1e-5
        humps = [("elsewhere",)] * len(held)
        humps[judged] = ("down, point 2: will not clear",)
        trapped = replace(swept().trapped, held_head=held, flow=flow, humps=tuple(humps))
        item = scenario_result(replace(swept(), trapped=trapped), None, row)
        assert item.trapped_air_head == pytest.approx(0.12)
        assert item.flow_trapped == pytest.approx(1e-5 * swept().situation.density[row])
        assert all_told(item.humps) == ("down, point 2: will not clear",)
        assert item.flow == swept().flow[row]

    def test_pressure_in_the_tanks_is_absolute(self):
        base = swept_pair()
        pressure = np.tile([50.0, -20.0], (base.table.scenarios.count, 1))
        found = replace(base, situation=replace(base.situation, tank_pressure=pressure))
        ambient = float(standard_pressure(2000.0))
        told = scenario_result(found, None, 3).tank_air_pressure
        assert [name for name, _ in told] == ["left", "right"]
        assert [value for _, value in told] == pytest.approx([ambient + 50.0, ambient - 20.0])

    def test_dirty_screens_are_told(self):
        base = swept()
        dirty = base.table.dirty.copy()
        dirty[4] = True
        found = replace(base, table=replace(base.table, dirty=dirty))
        assert told(scenario_result(found, None, 4).screens) == "20 % clear"
        assert scenario_result(found, None, 5).screens == "as stated"

    def test_all_records_come_in_the_order_of_the_table(self):
        found = swept()
        records = scenario_results(found, None)
        assert [item.index for item in records] == list(range(found.table.scenarios.count))
        assert all(isinstance(item, ScenarioResult) for item in records)
        for row in (0, 30, 77):
            assert repr(records[row]) == repr(scenario_result(found, None, row))
        assert END_NAMES[OPEN_LINE] == records[0].end
        drawn = int(found.judged_rows[0])
        with_band = scenario_results(found, made_joint([drawn], [[0.9], [1.1]]))
        assert [item.index for item in with_band if item.flow_low is not None] == [drawn]


class TestAir:
    def test_a_negative_column_at_the_required_flow_draws_air(self):
        judged = 2
        row = int(swept().judged_rows[judged])
        for margin, drawn in ((-0.001, True), (0.0, False), (0.01, False), (np.nan, False)):
            found = with_judged(swept(), judged, air_margin=margin)
            item = scenario_result(found, None, row)
            assert item.air_drawn is drawn
            assert item.air_margin == pytest.approx(margin, nan_ok=True)

    @pytest.mark.parametrize(("share", "drawn"), [(0.99, True), (1.0, False)])
    def test_air_that_limits_the_flow_below_the_required_is_drawn(self, share, drawn):
        row = row_of(swept(), purpose=DRAWN)
        found = with_flow(swept(), row, share * swept().table.required[row])
        assert scenario_result(found, None, row).air_drawn is False
        limited = np.zeros(found.table.scenarios.count, dtype=bool)
        limited[row] = True
        found = replace(found, delivery=replace(found.delivery, air_limited=limited))
        item = scenario_result(found, None, row)
        assert item.air_drawn is drawn
        assert "flow limited to where air begins to be drawn" in all_told(item.flags)

    def test_uncovered_outlets_are_named(self):
        found = swept_pair()
        row = int(np.flatnonzero(found.situation.uncovered[:, 0])[0])
        item = scenario_result(found, None, row)
        names = list(found.assembly.system.outlet_nodes())
        bare = found.situation.uncovered[row]
        expected = tuple(name for name, is_bare in zip(names, bare, strict=True) if is_bare)
        assert item.uncovered == expected
        assert [flag for flag in all_told(item.flags) if flag.startswith("uncovered: ")] == [
            f"uncovered: {name}" for name in expected
        ]


class TestVerdict:
    def ratio(self, row: int, ratio: float) -> Sweep:
        return with_flow(swept(), row, ratio * swept().table.required[row])

    @pytest.mark.parametrize(
        ("ratio", "verdict"), [(1.0, Verdict.ADEQUATE), (0.99, Verdict.NOT_ADEQUATE)]
    )
    def test_on_nominal_values_the_ratio_decides(self, ratio, verdict):
        row = row_of(swept(), purpose=DRAWN)
        assert scenario_result(self.ratio(row, ratio), None, row).verdict is verdict

    def test_a_drawn_scenario_is_judged_by_its_own_band(self):
        # 101 draws from 0.9 to 1.1 (5th percentile 0.91, 95th 1.09), less with air in place.
        row = int(swept().judged_rows[3])
        full = np.linspace(0.9, 1.1, 101)[:, None]
        item = scenario_result(swept(), made_joint([row], full, full - 0.05), row)
        required = swept().table.required[row]
        assert item.flow_low == pytest.approx(0.86 * required)
        assert item.flow_high == pytest.approx(1.09 * required)
        assert item.verdict is Verdict.CANNOT_TELL
        low = scenario_result(swept(), made_joint([row], full - 0.2), row)
        assert low.verdict is Verdict.NOT_ADEQUATE
        high = scenario_result(swept(), made_joint([row], full + 0.2), row)
        assert high.verdict is Verdict.ADEQUATE

    def test_what_was_not_drawn_is_judged_by_the_widest_spread_of_what_was(self):
        # Two drawn rows at nominal ratio 2: bands 0.8 to 1.1 and 0.9 to 1.2 of nominal.
        first, second = (int(row) for row in swept().judged_rows[:2])
        other = row_of(swept(), purpose=DRAWN)
        joint = made_joint([first, second], [[1.6, 1.8], [2.2, 2.4]])
        low, high = 1.6 + 0.05 * 0.6, 2.4 - 0.05 * 0.6
        for ratio, verdict in (
            (1.001 * 2.0 / low, Verdict.ADEQUATE),
            (0.999 * 2.0 / low, Verdict.CANNOT_TELL),
            (1.001 * 2.0 / high, Verdict.CANNOT_TELL),
            (0.999 * 2.0 / high, Verdict.NOT_ADEQUATE),
        ):
            found = with_flow(self.ratio(other, ratio), first, 2.0 * swept().table.required[first])
            found = with_flow(found, second, 2.0 * swept().table.required[second])
            assert scenario_result(found, joint, other).verdict is verdict
            assert scenario_result(found, joint, other).flow_low is None

    @pytest.mark.parametrize(
        ("ratio", "verdict"),
        # A drawn row at nominal ratio 0.5 has a band from 0.8 to 1.2 of it.
        [
            (1.26, Verdict.ADEQUATE),
            (1.24, Verdict.CANNOT_TELL),
            (0.84, Verdict.CANNOT_TELL),
            (0.83, Verdict.NOT_ADEQUATE),
        ],
    )
    def test_a_judged_row_that_was_not_drawn_has_the_same_spread(self, ratio, verdict):
        first, other = (int(row) for row in swept().judged_rows[:2])
        flow = swept().trapped.flow.copy()
        flow[1] = ratio * swept().table.required[other] / swept().situation.density[other]
        base = with_flow(self.ratio(other, ratio), first, 0.5 * swept().table.required[first])
        found = replace(base, trapped=replace(base.trapped, flow=flow))
        joint = made_joint([first], [[0.4]] * 20 + [[0.6]] * 20)
        assert scenario_result(found, joint, other).verdict is verdict

    def test_a_drawn_row_without_nominal_flow_widens_nothing(self):
        first, other = int(swept().judged_rows[0]), row_of(swept(), purpose=DRAWN)
        found = with_flow(self.ratio(other, 1.01), first, 0.0)
        item = scenario_result(found, made_joint([first], [[0.1], [0.2]]), other)
        assert item.verdict is Verdict.ADEQUATE

    @pytest.mark.parametrize("bad", [[[0.0], [0.0]], [[np.nan], [2.0]]])
    def test_a_band_that_says_nothing_widens_nothing(self, bad):
        first, other = int(swept().judged_rows[0]), row_of(swept(), purpose=DRAWN)
        item = scenario_result(self.ratio(other, 1.01), made_joint([first], bad), other)
        assert item.verdict is Verdict.ADEQUATE

    def test_a_judged_row_that_was_not_drawn_counts_its_trapped_air(self):
        judged = 5
        row = int(swept().judged_rows[judged])
        for trapped, verdict in ((1.2, Verdict.ADEQUATE), (0.9, Verdict.CANNOT_TELL)):
            flow = swept().trapped.flow.copy()
            flow[judged] = trapped * swept().table.required[row] / swept().situation.density[row]
            base = self.ratio(row, 1.5)
            found = replace(base, trapped=replace(base.trapped, flow=flow))
            assert scenario_result(found, None, row).verdict is verdict

    def test_air_and_vapour_count_besides_the_flow(self):
        judged = 1
        row = int(swept().judged_rows[judged])
        found = with_judged(self.ratio(row, 2.0), judged, vapour_margin=-1000.0)
        item = scenario_result(found, None, row)
        assert item.verdict is Verdict.NOT_ADEQUATE
        assert any("boils" in flag for flag in all_told(item.flags))


class TestFlags:
    def test_nothing_to_say(self):
        row = row_of(swept(), purpose=DRAWN)
        bare = swept().situation.uncovered[row].any()
        assert bool(scenario_result(swept(), None, row).flags) is bool(bare)

    def test_humps_and_low_pressures_are_told(self):
        judged = 4
        row = int(swept().judged_rows[judged])
        humps = list(swept().trapped.humps)
        humps[judged] = ("down, point 3: will not clear",)
        for margin, low in ((-201.0, True), (-199.0, False), (0.0, False)):
            base = with_judged(swept(), judged, tank_margin=margin)
            found = replace(base, trapped=replace(base.trapped, humps=tuple(humps)))
            flags = all_told(scenario_result(found, None, row).flags)
            assert "hump: down, point 3: will not clear" in flags
            assert any("below tank air pressure" in flag for flag in flags) is low

    def test_a_failed_solve_is_told(self):
        row = row_of(swept(), purpose=DRAWN)
        solution = swept().delivery.solution
        converged = solution.converged.copy()
        converged[row] = False
        delivery = replace(swept().delivery, solution=replace(solution, converged=converged))
        item = scenario_result(replace(swept(), delivery=delivery), None, row)
        assert item.converged is False
        assert told(item.flags[-1]) == "not solved"


class TestBackflow:
    @pytest.mark.parametrize("turned", [False, True])
    def test_a_tank_that_is_filled_is_named_once_where_it_is(self, turned):
        at = Point(1, 0, 0.4)
        ends = [("tank.a", "engine"), ("tank.b", "engine")]
        lines = [
            run(name, *(pair[::-1] if turned else pair), [at, at], loss(1e8))
            for name, pair in zip("ab", ends, strict=True)
        ]
        found = sweep(plain([reservoir("tank", 0.8, {"a": at, "b": at})], lines))
        assert all(item.backflow == () for item in scenario_results(found, None))
        flow = np.zeros_like(found.delivery.solution.flow)
        into = 1e-9 if turned else -1e-9
        flow[0, :2] = into, into  # both outlets of the one tank
        flow[1:, :2] = -into
        solution = replace(found.delivery.solution, flow=flow)
        changed = replace(found, delivery=replace(found.delivery, solution=solution))
        records = scenario_results(changed, None)
        assert records[0].backflow == ("tank",)
        assert "flows back into tank" in all_told(records[0].flags)
        assert all(item.backflow == () for item in records[1:])
