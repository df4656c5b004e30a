"""Closed links, one-way valves, held heads, and what lies beyond the reach of any tank."""

import math

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.solver import solve
from flowsim.physics.losses.laws import quadratic_and_linear
from flowsim.system.parts import Exit
from tests.support.small_networks import (
    PETROL_DENSITY,
    conditions,
    fitting,
    living,
    network,
    one_way_valve,
    quadratic,
    tube,
)

CRACKING = 500.0
CRACKING_HEAD = CRACKING / (PETROL_DENSITY * STANDARD_GRAVITY)


@pytest.fixture
def valve_line():
    return network(["A", "B"], [("A", "B", (one_way_valve(CRACKING), quadratic(2e7)))])


class TestOneWayValve:
    def test_forward_loses_its_cracking_head(self, valve_line):
        coefficient = quadratic_and_linear(one_way_valve())[0] + 2e7
        head = CRACKING_HEAD + np.array([1e-4, 0.01, 0.5])
        flow = solve(valve_line, conditions(valve_line, {"A": head, "B": 0.0})).flow[:, 0]
        exact = np.sqrt((head - CRACKING_HEAD) / coefficient)
        np.testing.assert_allclose(flow, exact, rtol=1e-7)

    @pytest.mark.parametrize("head", [-1.0, -1e-6, 0.0, 0.5 * CRACKING_HEAD, 0.999 * CRACKING_HEAD])
    def test_holds_against_the_flow_and_below_cracking(self, valve_line, head):
        found = solve(valve_line, conditions(valve_line, {"A": head, "B": 0.0}))
        assert found.converged.all()
        np.testing.assert_array_equal(found.flow, 0.0)

    def test_both_sides_in_one_batch(self, valve_line):
        found = solve(valve_line, conditions(valve_line, {"A": [0.5, -0.5, 0.02], "B": 0.0}))
        assert found.flow[0, 0] > 0
        np.testing.assert_array_equal(found.flow[1:, 0], 0.0)

    def test_keeps_one_tank_from_filling_the_other(self):
        def system(valves):
            return network(
                ["left", "right", "end"],
                [("left", "tee", (tube(), *valves)), ("right", "tee", (tube(), *valves)),
                 ("tee", "end", (tube(), fitting(400.0)))],
            )  # fmt: skip

        heads = {"left": 1.0, "right": 0.2, "end": 0.0}
        bare, guarded = system(()), system((one_way_valve(),))
        assert solve(bare, conditions(bare, heads)).flow[0, 1] < 0
        found = solve(guarded, conditions(guarded, heads))
        assert found.flow[0, 1] == 0.0
        assert found.flow[0, 0] == pytest.approx(found.flow[0, 2], rel=1e-9)
        assert found.head[0, 3] >= 0.2 - 1e-9

    def test_the_lower_tank_joins_in_when_the_junction_falls_below_it(self):
        system = network(
            ["left", "right", "end"],
            [("left", "tee", (tube(), one_way_valve())),
             ("right", "tee", (tube(), one_way_valve())), ("tee", "end", (tube(0.2),))],
        )  # fmt: skip
        found = solve(system, conditions(system, {"left": 1.0, "right": 0.9, "end": 0.0}))
        assert (found.flow[0] > 0).all()


class TestHeldHead:
    def test_takes_its_head_from_the_flow(self):
        line = network(["A", "B"], [("A", "B", (quadratic(3e7),))])
        held = np.array([0.0, 0.1, 0.4])
        found = solve(line, conditions(line, {"A": 0.5, "B": 0.0}, held={"A-B": held}))
        np.testing.assert_allclose(found.flow[:, 0], np.sqrt((0.5 - held) / 3e7), rtol=1e-8)

    @pytest.mark.parametrize("held", [0.5 + 1e-6, 0.6, 5.0])
    def test_stops_the_flow(self, held):
        line = network(["A", "B"], [("A", "B", (quadratic(3e7),))])
        found = solve(line, conditions(line, {"A": 0.5, "B": 0.0}, held={"A-B": held}))
        assert found.converged.all()
        assert found.flow[0, 0] == 0.0

    def test_the_other_way_round_nothing_passes(self):
        # Where head is held, the link is taken as one-way.
        line = network(["A", "B"], [("A", "B", (quadratic(3e7),))])
        found = solve(line, conditions(line, {"A": 0.0, "B": 1.0}, held={"A-B": 0.1}))
        assert found.flow[0, 0] == 0.0


class TestDirections:
    def test_closed_link(self):
        line = network(["A", "B"], [("A", "B", (tube(),))])
        found = solve(line, conditions(line, {"A": 1.0, "B": 0.0}, allowed={"A-B": 0}))
        assert found.converged.all()
        assert found.supplied.all()
        np.testing.assert_array_equal(found.flow, 0.0)
        np.testing.assert_array_equal(found.head, [[1.0, 0.0]])

    @pytest.mark.parametrize(("allowed", "sign"), [(FORWARD, 1), (BACKWARD, -1)])
    @pytest.mark.parametrize("head", [0.4, -0.4])
    def test_open_one_way_only(self, allowed, sign, head):
        line = network(["A", "B"], [("A", "B", (quadratic(3e7),))])
        found = solve(line, conditions(line, {"A": head, "B": 0.0}, allowed={"A-B": allowed}))
        expected = math.copysign(math.sqrt(0.4 / 3e7), head) if head * sign > 0 else 0.0
        assert found.flow[0, 0] == pytest.approx(expected, rel=1e-9)

    def test_the_open_end_takes_no_air_in(self):
        line = network(["A", "end"], [("A", "end", (tube(), Exit(name="exit", bore=7.75e-3)))])
        found = solve(line, conditions(line, {"A": -0.2, "end": 0.0}, allowed={"A-end": FORWARD}))
        assert found.flow[0, 0] == 0.0

    def test_an_exit_costs_only_what_leaves(self):
        line = network(["A", "B"], [("A", "B", (quadratic(1e5), Exit(name="e", bore=7.75e-3)))])
        found = solve(line, conditions(line, {"A": [0.3, -0.3], "B": 0.0})).flow[:, 0]
        assert found[1] == pytest.approx(-math.sqrt(0.3 / 1e5), rel=1e-9)
        assert found[0] < -0.5 * found[1]


def islands():
    return network(
        ["A", "end"],
        [("A", "J", (tube(),)), ("J", "end", (tube(),)), ("J", "K", (tube(),)),
         ("K", "L", (tube(),))],
    )  # fmt: skip


class TestCutOff:
    def test_nodes_without_a_tank_have_no_head(self):
        system = islands()
        found = solve(system, conditions(system, {"A": 1.0, "end": 0.0}, allowed={"J-K": 0}))
        assert found.converged.all()
        assert found.flow[0, 0] > 0
        np.testing.assert_array_equal(found.flow[0, 2:], 0.0)
        names = system.node_names
        assert np.isfinite(found.head[0, names.index("J")])
        assert np.isnan(found.head[0, [names.index("K"), names.index("L")]]).all()

    def test_a_demand_there_is_not_supplied(self):
        system = islands()
        found = solve(
            system,
            conditions(
                system, {"A": 1.0, "end": 0.0}, demands={"L": [1e-5, 0.0]}, allowed={"J-K": 0}
            ),
        )
        np.testing.assert_array_equal(found.supplied, [False, True])
        assert np.isnan(found.flow[0]).all()
        assert np.isnan(found.head[0]).all()
        assert np.isfinite(found.flow[1]).all()

    def test_a_demand_behind_a_wrong_way_link_is_not_supplied(self):
        line = network(["A"], [("A", "engine", (tube(),))])
        given = {"A": 1.0}, {"engine": 1e-5}, {"A-engine": BACKWARD}
        found = solve(line, conditions(line, given[0], demands=given[1], allowed=given[2]))
        assert not found.supplied[0]
        assert np.isnan(found.flow).all()

    def test_a_still_column_has_the_head_of_its_tank(self):
        line = network(["A"], [("A", "J", (tube(),)), ("J", "K", (quadratic(1e7),))])
        found = solve(line, conditions(line, {"A": 0.35}))
        np.testing.assert_array_equal(found.flow, 0.0)
        np.testing.assert_allclose(found.head, 0.35, atol=1e-9)

    def test_reach_names_what_is_cut_off_and_what_cannot_be_fed(self):
        system = islands()
        found = living(system, [3, 3, BACKWARD, 3])
        names = np.array(system.node_names)
        assert not found.cut_off.any()
        assert set(names[found.unsupplied[:, 0]]) == {"K", "L"}
        closed = living(system, [3, 3, BACKWARD, 3], [False, False, True, False])
        assert set(names[closed.cut_off[:, 0]]) == {"K", "L"}
        np.testing.assert_array_equal(closed.links, [0, 1])


class TestNeverANumber:
    """A failed computation gives NaN and says so; it does not disturb its neighbours."""

    def test_unknown_head(self):
        line = network(["A", "B"], [("A", "B", (tube(),))])
        found = solve(line, conditions(line, {"A": [1.0, np.nan, 0.5], "B": [0.0, 0.0, np.nan]}))
        np.testing.assert_array_equal(found.converged, [True, False, False])
        assert np.isnan(found.flow[1:]).all()
        assert np.isnan(found.head[1:]).all()
        assert np.isnan(found.residual[1:]).all()
        assert found.flow[0, 0] > 0

    @pytest.mark.parametrize("viscosity", [np.nan, -1e-6])
    def test_impossible_viscosity(self, viscosity):
        line = network(["A", "B"], [("A", "B", (tube(),))])
        found = solve(line, conditions(line, {"A": 1.0, "B": 0.0}, viscosity=viscosity))
        assert not found.converged.any()
        assert np.isnan(found.flow).all()

    def test_unknown_demand(self):
        line = network(["A"], [("A", "engine", (tube(),))])
        found = solve(line, conditions(line, {"A": 1.0}, demands={"engine": [np.nan, 1e-5]}))
        np.testing.assert_array_equal(found.converged, [False, True])
        assert np.isnan(found.flow[0]).all()

    def test_unknown_held_head(self):
        line = network(["A", "B"], [("A", "B", (tube(),))])
        found = solve(line, conditions(line, {"A": 1.0, "B": 0.0}, held={"A-B": np.nan}))
        assert not found.converged.any()
        assert np.isnan(found.flow).all()
