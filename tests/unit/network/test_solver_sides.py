"""How the solver decides which one-way links stand: the rules one by one, and the way round."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network import solver
from flowsim.network.conditions import BACKWARD, FORWARD, nominal_factors
from flowsim.network.patterns import alike_rows
from flowsim.network.solver import DRAWN_DOWN, LEAST_FLOW, _failed, _Task, _wrong_side
from tests.support.random_blocks import random_block
from tests.support.small_networks import (
    PETROL_DENSITY,
    conditions,
    fitting,
    network,
    one_way_valve,
    quadratic,
    tube,
)

CRACKING = 500.0
CRACKING_HEAD = CRACKING / (PETROL_DENSITY * STANDARD_GRAVITY)


def two_tanks_and_an_end(valve=None):
    return network(
        ["A", "B", "E"],
        [
            ("A", "J", (tube(),) if valve is None else (tube(), valve)),
            ("B", "J", (tube(),)),
            ("J", "E", (tube(),)),
        ],
    )


def task_of(of, heads, allowed=None, **more):
    given = conditions(of, heads, allowed=allowed, **more)
    return _Task(of, given, nominal_factors(of), None)


def put(task, flow, head):
    """Put in what a solve would have found."""
    task.solution.flow[:] = flow
    task.solution.head[:] = head
    task.solution.converged[:] = True


def wrong(task, shut, only_worst=False):
    rows = np.arange(len(task.solution.flow))
    return _wrong_side(task, np.array(shut), rows, only_worst=only_worst).tolist()


class TestRules:
    """Heads are put in by hand: node order A, B, E, J."""

    def test_forward_only_may_not_flow_back(self):
        task = task_of(two_tanks_and_an_end(), {"A": 1, "B": 1, "E": 0}, {"A-J": FORWARD})
        open_all = [[False, False, False]]
        for flow, bad in ((1e-5, False), (0.0, False), (-1e-13, False), (-1e-9, True)):
            put(task, [[flow, 1e-9, 1e-9]], [[1.0, 1.0, 0.0, 0.9]])
            assert wrong(task, open_all) == [[bad, False, False]]

    def test_backward_only_may_not_flow_forward(self):
        task = task_of(two_tanks_and_an_end(), {"A": 1, "B": 1, "E": 0}, {"A-J": BACKWARD})
        for flow, bad in ((-1e-5, False), (0.0, False), (1e-13, False), (1e-9, True)):
            put(task, [[flow, 1e-9, 1e-9]], [[1.0, 1.0, 0.0, 0.9]])
            assert wrong(task, [[False] * 3]) == [[bad, False, False]]

    def test_rounding_goes_with_the_largest_flow_of_the_scenario(self):
        """1e-10 of the largest, and 1e-12 m3/s more; each scenario by its own."""
        of = two_tanks_and_an_end()
        task = task_of(of, {"A": [1.0, 1.0], "B": 1.0, "E": 0.0}, {"A-J": FORWARD})
        against = -(1e-10 * 1e-2 + 0.5 * LEAST_FLOW)
        put(task, [[against, 1e-2, 0.0], [against, 1e-5, 0.0]], [[1.0, 1.0, 0.0, 0.9]] * 2)
        assert wrong(task, [[False] * 3] * 2) == [[False] * 3, [True, False, False]]

    def test_a_shut_link_opens_for_head_along_its_direction(self):
        for code, sign in ((FORWARD, 1.0), (BACKWARD, -1.0)):
            task = task_of(two_tanks_and_an_end(), {"A": 1, "B": 1, "E": 0}, {"A-J": code})
            for drop, opens in ((0.1, True), (2e-9, True), (0.0, False), (-0.1, False)):
                put(task, [[0.0, 1e-5, 1e-5]], [[1.0, 1.0, 0.0, 1.0 - sign * drop]])
                assert wrong(task, [[True, False, False]]) == [[opens, False, False]]

    def test_a_shut_link_needs_its_cracking_pressure_and_what_air_holds(self):
        of = two_tanks_and_an_end(one_way_valve(CRACKING))
        task = task_of(of, {"A": 1, "B": 1, "E": 0})
        held = np.zeros((1, 3))
        held[0, 0] = 0.2
        with_air = _Task(of, replace(task.conditions, held_head=held), nominal_factors(of), None)
        for case, need in ((task, CRACKING_HEAD), (with_air, CRACKING_HEAD + 0.2)):
            for drop, opens in ((0.999 * need, False), (1.001 * need, True)):
                put(case, [[0.0, 1e-5, 1e-5]], [[1.0, 1.0, 0.0, 1.0 - drop]])
                assert wrong(case, [[True, False, False]]) == [[opens, False, False]]

    def test_head_that_air_holds_makes_a_two_way_link_one_way(self):
        of = two_tanks_and_an_end()
        given = conditions(of, {"A": 1, "B": 1, "E": 0})
        held = np.array([[0.2, 0.0, 0.0]])
        task = _Task(of, replace(given, held_head=held), nominal_factors(of), None)
        assert task.direction.tolist() == [[1, 0, 0]]

    def test_links_open_both_ways_are_never_wrong(self):
        task = task_of(two_tanks_and_an_end(), {"A": 1, "B": 1, "E": 0})
        put(task, [[-1e-5, 1e-5, 0.0]], [[1.0, 1.0, 0.0, 0.9]])
        assert wrong(task, [[False] * 3]) == [[False] * 3]

    def test_a_one_way_valve_in_a_closed_link_stays_closed(self):
        of = two_tanks_and_an_end(one_way_valve())
        task = task_of(of, {"A": 1, "B": 1, "E": 0}, {"A-J": 0})
        assert task.allowed.tolist() == [[0, 3, 3]]
        back = task_of(of, {"A": 1, "B": 1, "E": 0}, {"A-J": BACKWARD})
        assert back.allowed.tolist() == [[0, 3, 3]]

    def test_unknown_heads_and_flows_change_nothing(self):
        alone = {"A-J": FORWARD, "B-J": 0, "J-E": 0}
        task = task_of(two_tanks_and_an_end(), {"A": 1, "B": 1, "E": 0}, alone)
        for shut in (True, False):
            put(task, [[np.nan] * 3], [[1.0, 1.0, 0.0, np.nan]])
            assert wrong(task, [[shut, False, False]]) == [[False] * 3]

    def test_a_demand_that_is_cut_off_opens_what_leads_to_it_first(self):
        of = two_tanks_and_an_end()
        task = task_of(of, {"A": 1, "B": 1, "E": 0}, {"A-J": FORWARD, "B-J": FORWARD, "J-E": 0})
        put(task, [[0.0, 0.0, 0.0]], [[1.0, 1.0, 0.0, np.nan]])
        task.cut_off[0, of.node_names.index("J")] = True
        assert wrong(task, [[True, True, False]]) == [[False, False, False]]
        task.starved[0] = True
        assert wrong(task, [[True, True, False]]) == [[True, True, False]]
        assert wrong(task, [[True, True, False]], only_worst=True) == [[True, False, False]]
        task.cut_off[:] = False  # starved elsewhere: these links do not lead there
        assert wrong(task, [[True, True, False]]) == [[False, False, False]]
        assert DRAWN_DOWN > 100.0

    def test_only_the_worst_changes_late_and_opening_comes_before_closing(self):
        codes = {"A-J": FORWARD, "B-J": FORWARD}
        task = task_of(two_tanks_and_an_end(), {"A": 1, "B": 1, "E": 0}, codes)
        put(task, [[-1e-6, -2e-6, 1e-9]], [[1.0, 1.0, 0.0, 1.2]])
        assert wrong(task, [[False] * 3], only_worst=True) == [[False, True, False]]
        put(task, [[-1.0, 0.0, 1e-9]], [[1.0, 1.0, 0.0, 0.9]])
        assert wrong(task, [[False, True, False]], only_worst=True) == [[False, True, False]]
        put(task, [[0.0, 0.0, 1e-9]], [[1.0, 1.1, 0.0, 0.9]])
        assert wrong(task, [[True, True, False]], only_worst=True) == [[False, True, False]]


class TestPlacesWithoutAHead:
    """Node order A, B, E, J: J hangs on shut links alone, and its head is unknown."""

    @pytest.mark.parametrize(
        ("heads", "opens"),
        [((1.0, 2.0), False), ((1.0, 1.0), False), ((2.0, 1.0), True), ((1.0 + 2e-9, 1.0), True)],
    )
    def test_links_stay_shut_while_some_head_lies_between_them(self, heads, opens):
        """A holds J up, and B lets it down: more at A than at B would flow through both."""
        codes = {"A-J": FORWARD, "B-J": BACKWARD, "J-E": 0}
        given = {"A": heads[0], "B": heads[1], "E": 0.0}
        task = task_of(two_tanks_and_an_end(), given, codes)
        put(task, [[0.0, 0.0, 0.0]], [[*heads, 0.0, np.nan]])
        assert wrong(task, [[True, True, False]]) == [[opens, opens, False]]

    def test_a_search_that_failed_says_nothing_of_sides_and_is_searched_again(self):
        task = task_of(two_tanks_and_an_end(), {"A": [1.0, 1.0, 1.0], "B": 1.0, "E": 0.0},
                       {"A-J": BACKWARD})  # fmt: skip
        put(task, np.nan, np.nan)
        task.solution.converged[:] = [False, True, False]
        task.direction[2] = 0
        assert wrong(task, [[True, False, False]] * 3) == [[False] * 3] * 3
        assert _failed(task, np.arange(3)).tolist() == [True, False, False]


class TestPatterns:
    @pytest.mark.parametrize("links", [1, 3, 20, 21, 45])
    def test_every_scenario_is_in_the_group_of_its_own_row(self, links):
        generator = np.random.default_rng(links)
        kinds = generator.integers(0, 8, (5, links)).astype(np.int8)
        codes = kinds[generator.integers(0, 5, 60)]
        groups = list(alike_rows(codes))
        assert len(groups) == len(np.unique(codes, axis=0))
        np.testing.assert_array_equal(np.sort(np.concatenate(groups)), np.arange(60))
        for members in groups:
            assert (codes[members] == codes[members[0]]).all()
            assert (np.diff(members) > 0).all()

    def test_neighbouring_codes_are_told_apart(self):
        codes = np.array([[7, 0], [0, 1], [1, 0], [0, 0], [7, 0]], dtype=np.int8)
        groups = {tuple(members.tolist()) for members in alike_rows(codes)}
        assert groups == {(0, 4), (1,), (2,), (3,)}


class TestTask:
    def test_a_search_from_the_answer_is_shorter(self):
        of = network(["A", "B"], [("A", "B", (tube(), fitting(3.0)))])
        given = conditions(of, {"A": [1.0, 0.3], "B": 0.0})
        first = solver.solve(of, given)
        again = solver.solve(of, given, start=first.flow)
        assert (again.iterations < first.iterations).all()
        np.testing.assert_allclose(again.flow, first.flow, rtol=1e-9)

    def test_the_start_given_is_not_written_to(self):
        of = two_tanks_and_an_end(one_way_valve())
        start = np.full((1, 3), 1e-5)
        solver.solve(of, conditions(of, {"A": 0.2, "B": 1.0, "E": 0.0}), start=start)
        np.testing.assert_array_equal(start, 1e-5)

    @pytest.mark.parametrize("few", [0, 2, 3, 4, 1024])
    def test_chunks_hold_every_scenario_once_with_the_links_that_it_has(self, few, monkeypatch):
        monkeypatch.setattr(solver, "FEW", few)
        monkeypatch.setattr(solver, "CHUNK", 2)
        of = two_tanks_and_an_end()
        given = conditions(of, {"A": np.ones(6), "B": 1.0, "E": 0.0})
        allowed = np.full((6, 3), 3, dtype=np.int8)
        allowed[[1, 4], 0] = 0
        allowed[5, 1] = FORWARD
        task = _Task(of, replace(given, allowed=allowed), nominal_factors(of), None)
        shut = np.zeros((6, 3), dtype=bool)
        shut[5, 1] = True
        seen = []
        for rows, reached in task.chunks(np.arange(6), shut):
            alive = np.zeros((3, len(rows)), dtype=bool)
            alive[reached.links] = reached.alive
            np.testing.assert_array_equal(alive.T, (allowed[rows] > 0) & ~shut[rows])
            assert len(rows) <= 2
            seen += rows.tolist()
        assert sorted(seen) == list(range(6))

    @pytest.mark.parametrize("seed", range(40, 48))
    def test_led_by_weaker_leaks_it_comes_to_the_same(self, seed, monkeypatch):
        """The first search may take one step only: every scenario goes the long way."""
        block = random_block(seed, 3, 4)
        expected = solver.solve(block.network, block.conditions, block.factors)
        monkeypatch.setattr(solver, "FLIPS", 0)
        monkeypatch.setattr(solver, "LEAKY_ITERATIONS", 1)
        ran = []
        real = solver.Search.run

        def counting(self, laws, begin, most):
            ran.append(laws.leak)
            return real(self, laws, begin, most)

        monkeypatch.setattr(solver.Search, "run", counting)
        found = solver.solve(block.network, block.conditions, block.factors)
        assert set(solver.LEAKS[1:]) <= set(ran)
        assert found.converged.all()
        largest = np.nan_to_num(np.abs(expected.flow)).max(axis=1, keepdims=True)
        off = np.nan_to_num(np.abs(found.flow - expected.flow))
        assert (off <= 1e-7 * largest + 1e-8).all()

    def test_failed_rows_hold_no_number(self):
        of = two_tanks_and_an_end()
        task = task_of(of, {"A": [1.0, 2.0], "B": 1.0, "E": 0.0})
        put(task, 1e-5, 0.5)
        task.solution.residual[:] = task.solution.imbalance[:] = 0.0
        task.solution.converged[:] = True
        task.fail(np.array([1]))
        assert task.solution.converged.tolist() == [True, False]
        for values in (task.solution.flow, task.solution.head):
            assert np.isfinite(values[0]).all()
            assert np.isnan(values[1]).all()
        assert np.isnan(task.solution.residual).tolist() == [False, True]
        assert np.isnan(task.solution.imbalance).tolist() == [False, True]

    def test_a_trickle_beside_a_still_scenario_stays(self):
        """What counts as still is decided scenario by scenario."""
        of = network(["A", "B"], [("A", "B", (tube(), quadratic(1e9)))])
        found = solver.solve(of, conditions(of, {"A": [1.0, 0.0, 1e-6], "B": 0.0}))
        assert (found.flow[[0, 2]] > 0).all()
        assert found.flow[1, 0] == 0.0
