"""The flow that arrives, and the flow at which air begins, where both are square roots by hand.

A tank with a low outlet that feeds and an uncovered one, both over one junction: fuel stands in the
bare leg while the static pressure at the junction is above the tank's air (docs/theory/air.md).
With square losses the standing column is c0 - k Q^2, so air begins at Q = sqrt(c0/k).
"""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.conditions import nominal_factors
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE
from flowsim.studies.delivery.deliver import (
    ONSET_COLUMN,
    ONSET_WIDTH,
    air_onset,
    deliver,
    end_flow,
    take,
    take_delivery,
    with_demand,
)
from flowsim.system.engine import Carburettor
from flowsim.system.lines import Junction
from flowsim.system.points import Point
from tests.support.plain_systems import (
    DENSITY,
    GRAVITY,
    WIDE,
    loss,
    plain,
    reservoir,
    run,
    situation,
)

SURFACE, JUNCTION = 0.8, 0.3
UPPER, LOWER = 4e7, 1e7
"""[s2/m5] Of the feeding leg and of the line behind the junction; most is lost above it, so that
air comes before the flow is full."""
COLUMN = SURFACE - JUNCTION
SPEED_HEAD = 1.0 / (2 * GRAVITY * (np.pi * WIDE**2 / 4) ** 2)
"""[s2/m5] Velocity head in the bore."""
ONSET = np.sqrt(COLUMN / (UPPER + SPEED_HEAD))
FULL = np.sqrt(SURFACE / (UPPER + LOWER))


def wye(high: float = 0.9, upper: float = UPPER, lower: float = LOWER, **engine) -> Assembly:
    """Give the tank; the inlet lies at height 0, the second outlet at ``high``."""
    middle = Point(1.0, 0.0, JUNCTION)
    outlets = {"low": Point(1.0, 0.0, 0.5), "high": Point(1.0, 0.0, high)}
    end = Point(1.0, 0.0, 0.0)
    lines = [
        run("low", "tank.low", "middle", [outlets["low"], middle], loss(upper), bore=WIDE),
        run("high", "tank.high", "middle", [outlets["high"], middle], loss(upper), bore=WIDE),
        run("feed", "middle", "engine", [middle, end], loss(lower), bore=WIDE),
    ]
    tank = reservoir("tank", SURFACE, outlets, bore=WIDE)
    nodes = [Junction(name="middle", at=middle)]
    return assemble(plain([tank], lines, nodes, engine=engine))


class TestDeliver:
    def test_the_numbers_of_these_tests(self):
        assert FULL > 1.05 * ONSET

    def test_a_flow_that_would_draw_air_is_cut_to_where_air_begins(self):
        assembly = wye()
        found = deliver(assembly, situation(assembly))
        assert found.solved == pytest.approx([FULL], rel=1e-4)
        assert found.air_limited.tolist() == [True]
        # Not above the onset, and short of it by no more than a millimetre of column costs.
        assert found.deliverable[0] <= ONSET * (1 + 1e-9)
        assert found.deliverable == pytest.approx([ONSET], rel=2 * ONSET_COLUMN / COLUMN)

    def test_covered_outlets_deliver_what_is_solved(self):
        assembly = wye(high=0.5)
        found = deliver(assembly, situation(assembly))
        assert found.air_limited.tolist() == [False]
        expected = np.sqrt(SURFACE / (UPPER / 4 + LOWER))  # both legs share the flow
        assert found.deliverable == pytest.approx([expected], rel=1e-4)
        assert found.deliverable.tolist() == found.solved.tolist()

    def test_a_leg_that_stays_wet_limits_nothing(self):
        # Little is lost above the junction: the column stays up at the full flow.
        assembly = wye(upper=1e6, lower=1e8)
        found = deliver(assembly, situation(assembly))
        assert found.air_limited.tolist() == [False]
        assert found.deliverable == pytest.approx([np.sqrt(SURFACE / 1.01e8)], rel=1e-4)

    def test_each_scenario_is_limited_by_itself(self):
        # Nose-up by p all heights at one station go with cos p, and flows with its root. The dip of
        # a demand uncovers nothing here; the middle scenario is the steeper one.
        assembly = wye()
        pitch = np.array([0.0, 0.6, 0.0])
        found = deliver(assembly, situation(assembly, pitch))
        assert found.air_limited.tolist() == [True] * 3
        root = np.sqrt(np.cos(pitch))
        assert found.solved == pytest.approx(FULL * root, rel=1e-4)
        assert found.deliverable == pytest.approx(ONSET * root, rel=2.5 * ONSET_COLUMN / COLUMN)

    def test_only_the_scenarios_with_a_bare_leg_are_limited(self):
        # The level of the second tank's outlet turns with roll: bare only when it is the high side.
        middle, end = Point(1.0, 0.0, JUNCTION), Point(1.0, 0.0, 0.0)
        low, side = Point(1.0, 0.0, 0.5), Point(1.0, 1.0, 0.75)
        lines = [
            run("low", "tank.low", "middle", [low, middle], loss(UPPER)),
            run("side", "tank.side", "middle", [side, middle], loss(UPPER)),
            run("feed", "middle", "engine", [middle, end], loss(LOWER), bore=WIDE),
        ]
        tank = reservoir("tank", SURFACE, {"low": low, "side": side})
        nodes = [Junction(name="middle", at=middle)]
        assembly = assemble(plain([tank], lines, nodes))
        here = situation(assembly, (0.0, 0.0), roll=[0.2, -0.2])
        bare = here.uncovered[:, 1]
        assert sorted(bare.tolist()) == [False, True]
        found = deliver(assembly, here)
        assert found.air_limited.tolist() == bare.tolist()
        wet = ~found.air_limited
        assert found.deliverable[wet].tolist() == found.solved[wet].tolist()
        assert (found.deliverable[~wet] < found.solved[~wet]).all()

    def test_a_failed_solve_delivers_no_number(self):
        assembly = wye()
        here = situation(assembly, (0.0, 0.0))
        heads = here.conditions.fixed_head.copy()
        heads[0] = np.nan
        surface = here.surface.copy()
        lost = replace(here, surface=surface, conditions=replace(here.conditions, fixed_head=heads))
        found = deliver(assembly, lost)
        assert np.isnan(found.deliverable[0])
        assert not found.solution.converged[0]
        assert found.deliverable[1] == pytest.approx(ONSET, rel=2 * ONSET_COLUMN / COLUMN)

    def test_factors_on_the_losses_move_the_onset(self):
        # All square losses times 1.21 (and the mouth has none): onset and flow fall by 1.1.
        assembly = wye(upper=4e8)
        nominal = nominal_factors(assembly.network)
        rows = np.array([1.0, 1.21])[:, None]
        factors = replace(
            nominal,
            loss=nominal.loss * rows,
            laminar=np.repeat(nominal.laminar, 2, axis=0),
            bore=np.repeat(nominal.bore, 2, axis=0),
            friction=np.ones(2),
        )
        found = deliver(assembly, situation(assembly, (0.0, 0.0)), factors)
        full = np.sqrt(SURFACE / ((4e8 + LOWER) * rows[:, 0]))
        assert found.solved == pytest.approx(full, rel=1e-4)
        onset = np.sqrt(COLUMN / (4e8 * rows[:, 0] + SPEED_HEAD))
        assert found.air_limited.all()
        assert found.deliverable == pytest.approx(onset, rel=2 * ONSET_COLUMN / COLUMN)

    @pytest.mark.parametrize("near", [0.3 * ONSET, 0.9 * ONSET, ONSET, 1.04 * ONSET, 5 * ONSET])
    def test_where_to_look_shortens_the_search_and_nothing_else(self, near):
        assembly = wye()
        here = situation(assembly)
        plainly = deliver(assembly, here)
        found = deliver(
            assembly,
            here,
            start=plainly.solution.flow,
            onset_near=np.full(len(plainly.solved), near),
        )
        assert found.deliverable[0] <= ONSET * (1 + 1e-9)
        assert found.deliverable == pytest.approx(plainly.deliverable, rel=3e-3)

    def test_an_onset_above_what_is_known_is_not_looked_for(self):
        # Below the onset air has not begun: infinite. Above it, at the full flow and beyond, and
        # where nothing is known or asked: the same number as without.
        assembly = wye()
        known = np.array([0.5 * ONSET, 0.999 * ONSET, 1.02 * ONSET, FULL, 3 * FULL, np.nan, 0.0])
        here = situation(assembly, tuple(np.zeros(len(known))))
        plainly = deliver(assembly, here)
        found = deliver(assembly, here, onset_above=known)
        assert np.isinf(found.deliverable).tolist() == [True] * 2 + [False] * 5
        sharp = 2 * ONSET_COLUMN / COLUMN
        assert found.deliverable[2:] == pytest.approx(plainly.deliverable[2:], rel=sharp)
        assert found.deliverable[2:] == pytest.approx(np.full(5, ONSET), rel=sharp)
        assert found.air_limited.all()
        assert found.solved == pytest.approx(plainly.solved)

    def test_what_is_known_of_each_scenario_meets_its_own_factors(self):
        # Losses above the junction fourfold: the onset is at nearly half the flow.
        assembly = wye()
        nominal = nominal_factors(assembly.network)
        rows = np.array([1.0, 4.0, 4.0])[:, None]
        factors = replace(
            nominal,
            loss=nominal.loss * rows,
            laminar=np.repeat(nominal.laminar, 3, axis=0),
            bore=np.repeat(nominal.bore, 3, axis=0),
            friction=np.ones(3),
        )
        late = np.sqrt(COLUMN / (4.0 * UPPER + SPEED_HEAD))
        known = np.array([0.9 * ONSET, 0.98 * late, 1.01 * late])
        assert known[1] < known[2] < known[0]
        found = deliver(assembly, situation(assembly, (0.0,) * 3), factors, onset_above=known)
        assert np.isinf(found.deliverable).tolist() == [True, True, False]
        assert found.deliverable[2] == pytest.approx(late, rel=2 * ONSET_COLUMN / COLUMN)

    def test_what_is_known_says_nothing_of_a_scenario_without_air(self):
        assembly = wye(upper=1e6, lower=1e8)
        found = deliver(assembly, situation(assembly), onset_above=np.array([1e-9]))
        assert found.deliverable == pytest.approx(found.solved)


class TestOnset:
    def test_no_flow_without_a_wet_leg(self):
        # The junction lies above the surface: whatever the flow, air comes.
        assembly = wye()
        here = situation(assembly)
        low = replace(
            here, conditions=replace(here.conditions, fixed_head=here.conditions.fixed_head - 0.6)
        )
        onset = air_onset(assembly, low, np.array([FULL]), np.array([-0.2]))
        assert onset.tolist() == [0.0]
        near = air_onset(assembly, low, np.array([FULL]), np.array([-0.2]), near=0.5 * FULL)
        assert near.tolist() == [0.0]

    def test_an_unknown_flow_stays_unknown(self):
        assembly = wye()
        here = situation(assembly, (0.0, 0.0))
        onset = air_onset(assembly, here, np.array([np.nan, FULL]), np.array([np.nan, -0.1]))
        assert np.isnan(onset[0])
        assert onset[1] == pytest.approx(ONSET, rel=2 * ONSET_COLUMN / COLUMN)

    @pytest.mark.parametrize("column", [-1e-3, -0.1, -10.0, np.nan])
    def test_the_column_at_the_start_is_only_a_hint(self, column):
        assembly = wye()
        onset = air_onset(assembly, situation(assembly), np.array([FULL]), np.array([column]))
        assert onset[0] <= ONSET * (1 + 1e-9)
        assert onset == pytest.approx([ONSET], rel=2 * ONSET_COLUMN / COLUMN + ONSET_WIDTH)

    def test_a_leg_that_nothing_flows_past_draws_no_air(self):
        # No bare outlet: any trial is wet, so the search ends just below the flow it was given.
        assembly = wye(high=0.5)
        onset = air_onset(assembly, situation(assembly), np.array([FULL]), np.array([-0.1]))
        assert onset[0] <= FULL
        assert onset == pytest.approx([FULL], rel=2 * ONSET_WIDTH)

    def test_flows_to_start_from_change_nothing(self):
        assembly = wye()
        here = situation(assembly, (0.0, 0.3))
        solved = deliver(assembly, here)
        columns = np.array([-0.1, -0.1])
        cold = air_onset(assembly, here, solved.solved, columns)
        warm = air_onset(assembly, here, solved.solved, columns, flow=solved.solution.flow)
        assert warm == pytest.approx(cold, rel=1e-6)

    def test_inputs_are_left_alone(self):
        assembly = wye()
        flow, column = np.array([FULL]), np.array([-0.1])
        air_onset(assembly, situation(assembly), flow, column, near=1.5 * ONSET)
        assert flow.tolist() == [FULL]
        assert column.tolist() == [-0.1]


class TestSituations:
    def test_a_demand_shuts_both_ends_and_is_drawn_from_the_inlet(self):
        bowl = Carburettor(parts=(loss(1e6),), float_level=Point(1.0, 0.0, 0.0))
        assembly = wye(carburettor=bowl)
        here = situation(assembly, (0.0, 0.0), end=np.array([OPEN_LINE, CARBURETTOR]))
        drawn = with_demand(assembly, here, np.array([1e-5, 2e-5]))
        allowed = drawn.conditions.allowed
        assert (allowed[:, assembly.open_link :] == 0).all()
        before = here.conditions.allowed
        assert np.array_equal(allowed[:, : assembly.open_link], before[:, : assembly.open_link])
        expected = np.zeros_like(here.elevation)
        expected[:, assembly.inlet] = [1e-5, 2e-5]
        assert np.array_equal(drawn.conditions.demand, expected)
        assert before[0, assembly.open_link] != 0  # the one given is left alone
        assert drawn.elevation is here.elevation

    def test_one_row_of_open_directions_serves_all(self):
        assembly = wye()
        here = situation(assembly, (0.0, 0.1))
        one = replace(
            here, conditions=replace(here.conditions, allowed=here.conditions.allowed[:1])
        )
        drawn = with_demand(assembly, one, np.array([1e-5, 2e-5]))
        assert drawn.conditions.allowed.shape == (2, 4)

    def test_the_flow_of_either_end_arrives(self):
        bowl = Carburettor(parts=(loss(1e6),), float_level=Point(1.0, 0.0, 0.0))
        assembly = wye(high=0.5, carburettor=bowl)
        here = situation(assembly, (0.0, 0.0), end=np.array([OPEN_LINE, CARBURETTOR]))
        found = deliver(assembly, here)
        resistance = UPPER / 4 + LOWER + np.array([0.0, 1e6])
        assert found.solved == pytest.approx(np.sqrt(SURFACE / resistance), rel=1e-4)
        flow = found.solution.flow.copy()
        assert end_flow(assembly, found.solution) == pytest.approx(found.solved)
        assert np.array_equal(found.solution.flow, flow)

    def test_rows_can_be_taken_in_any_order_and_twice(self):
        assembly = wye()
        here = situation(assembly, (0.0, 0.1, 0.2), airspeed=[0.0, 10.0, 20.0])
        rows = np.array([2, 0, 2])
        taken = take(here, rows)
        for name in ("elevation", "surface", "cover", "tank_pressure", "density"):
            assert np.array_equal(getattr(taken, name), getattr(here, name)[rows]), name
        assert np.array_equal(taken.kinematic_viscosity, here.kinematic_viscosity[rows])
        assert taken.scenarios.pitch.tolist() == [0.2, 0.0, 0.2]
        fixed = here.conditions.fixed_head[rows]
        assert np.array_equal(taken.conditions.fixed_head, fixed, equal_nan=True)
        assert taken.density == pytest.approx(np.full(3, DENSITY))

    def test_rows_of_a_delivery_with_its_flows(self):
        assembly = wye()
        found = deliver(assembly, situation(assembly, (0.0, 0.3, 0.6)))
        rows = np.array([2, 0])
        taken = take_delivery(found, rows)
        for name in ("deliverable", "solved", "air_limited"):
            assert np.array_equal(getattr(taken, name), getattr(found, name)[rows]), name
        for name in ("flow", "head", "converged", "supplied", "iterations"):
            whole = getattr(found.solution, name)
            assert np.array_equal(getattr(taken.solution, name), whole[rows]), name
        assert len(set(taken.solved)) == 2
