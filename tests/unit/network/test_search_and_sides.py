"""The solver's inside: elimination, steps, graph work, and links that change sides."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network import patterns as patterns_module
from flowsim.network import search as search_module
from flowsim.network import solver as solver_module
from flowsim.network.balance import balance, refine
from flowsim.network.conditions import BACKWARD, FORWARD, nominal_factors
from flowsim.network.laws import link_laws
from flowsim.network.linear import Elimination
from flowsim.network.outcome import gauge_pressure, part_description
from flowsim.network.reach import reach
from flowsim.network.scenarios import OPEN_LINE
from flowsim.network.search import FLOOR_FLOW, LEAK_SHARE, Search, step_weight
from flowsim.network.solver import _Task, solve
from flowsim.studies.judged.sweep import sweep
from flowsim.system.parts import Exit
from tests.support.random_blocks import random_block
from tests.support.small_networks import (
    conditions,
    fitting,
    living,
    network,
    one_way_valve,
    quadratic,
    tube,
)
from tests.support.systems import two_tanks


def laplacian(size, first, second, conductance):
    """The node matrix (scenario, row, column) of links between free nodes and to fixed ones."""
    matrix = np.zeros((conductance.shape[1], size, size))
    for weight, one, other in zip(conductance, first, second, strict=True):
        for node in (one, other):
            if node >= 0:
                matrix[:, node, node] += weight
        if one >= 0 and other >= 0:
            matrix[:, one, other] -= weight
            matrix[:, other, one] -= weight
    return matrix


class TestElimination:
    @pytest.mark.parametrize("size", [1, 2, 5, 16, 30])
    def test_against_numpy(self, size):
        """Random graphs, some of their nodes joined to fixed ones, some links in parallel."""
        generator = np.random.default_rng(size)
        first, second = list(range(size)), [-1] * size
        for one in range(size):
            for other in range(one):
                if other == one - 1 or generator.random() < 0.2:
                    first.append(one)
                    second.append(other)
        first.append(first[-1])
        second.append(second[-1])
        conductance = 10 ** generator.uniform(-2, 2, (len(first), 7))
        right = generator.normal(size=(size, 7))
        matrix = laplacian(size, first, second, conductance)
        expected = np.linalg.solve(matrix, right.T[:, :, None])[:, :, 0].T
        elimination = Elimination(size, first, second)
        found = elimination.solve(conductance, right.copy(), dead=False)
        np.testing.assert_allclose(found, expected, rtol=1e-9)
        assert found.flags.c_contiguous
        one = elimination.solve(conductance[:, :1], right.copy(), dead=False)
        np.testing.assert_array_equal(
            one, elimination.solve(np.tile(conductance[:, :1], 7), right.copy(), dead=False)
        )

    def test_links_of_very_different_conductance_keep_their_digits(self):
        """Node 1 hangs on the fixed head by a trickle and on node 0 by a wide tube.

        The head at 1 is the inflow over the trickle's conductance (series of two, by hand); a
        matrix whose diagonal holds 1e12 + 1e-6 has lost the trickle.
        """
        elimination = Elimination(2, [0, 0], [1, -1])
        conductance = np.array([[1e12], [1e-6]])
        found = elimination.solve(conductance, np.array([[0.0], [1e-9]]), dead=False)
        np.testing.assert_allclose(found, 1e-3, rtol=1e-14)

    def test_a_node_without_a_link_has_no_head_to_be_asked_for(self):
        elimination = Elimination(2, [0, 1], [-1, -1])
        conductance = np.array([[2.0, 2.0], [0.0, 4.0]])
        found = elimination.solve(conductance, np.array([[1.0, 1.0], [0.0, 1.0]]), dead=True)
        np.testing.assert_array_equal(found, [[0.5, 0.5], [0.0, 0.25]])

    def test_a_tree_fills_in_nothing(self):
        """A hundred tees on one line: as many pairs after elimination as before."""
        joints = range(100)
        chain = list(pairwise(joints))
        tree = Elimination(
            100, [*joints, *(a for a, _ in chain)], [*([-1] * 100), *(b for _, b in chain)]
        )
        assert tree.pairs == len(chain)

    def test_a_long_chain(self):
        """Twenty equal laminar tubes in a row share the head equally (Hagen-Poiseuille)."""
        names = ["A", *(f"J{i}" for i in range(19)), "B"]
        links = [(a, b, (tube(0.5),)) for a, b in pairwise(names)]
        line = network(["A", "B"], links)
        found = solve(line, conditions(line, {"A": [0.02, 0.01], "B": 0.0}, viscosity=1e-5))
        assert found.converged.all()
        expected = 128 * 1e-5 * 0.5 / (np.pi * STANDARD_GRAVITY * 7.75e-3**4)
        np.testing.assert_allclose(
            found.flow, np.array([[0.001], [0.0005]]) / expected * np.ones(20), rtol=1e-9
        )


@pytest.fixture
def chain():
    return network(["A", "B"], [("A", "J", (tube(),)), ("J", "B", (tube(2.0), quadratic(1e7)))])


def laws_of(of, given):
    reached = living(of)
    both = np.zeros((len(of.links), 1), dtype=np.int8)
    return reached, link_laws(of, reached, both, given, nominal_factors(of))


class TestSearch:
    def test_ends_in_words_when_it_may_not_go_on(self, chain):
        """Too few iterations: NaN for what is not there yet, the rest as it is."""
        given = conditions(chain, {"A": [1.0, 1e-9], "B": 0.0})
        reached, laws = laws_of(chain, given)
        search = Search(reached, given.fixed_head.T, given.demand.T, 1e-11)
        begin = np.full((2, 2), 1e-5)
        found = search.run(laws, begin, 2)
        assert np.isnan(found.residual[0])
        assert found.iterations.tolist() == [2, 2]
        more = search.run(laws, begin, 100)
        assert (more.residual <= 1e-11).all()
        assert more.iterations[0] > 2
        np.testing.assert_array_equal(begin, 1e-5)

    def test_the_tolerance_goes_with_the_difference_of_heads(self, chain):
        for heads, spread in (({"A": 0.2, "B": 0.1}, 1.0), ({"A": 5.0, "B": -2.0}, 7.0)):
            given = conditions(chain, heads)
            reached, _ = laws_of(chain, given)
            search = Search(reached, given.fixed_head.T, given.demand.T, 1e-11)
            np.testing.assert_allclose(search.tolerance, 1e-11 * spread)

    def test_a_network_of_no_living_link_is_at_rest(self):
        of = network(["A"], [("J", "K", (tube(),))])
        found = solve(of, conditions(of, {"A": 1.0}))
        assert found.converged.all()
        np.testing.assert_array_equal(found.flow, 0.0)
        assert np.isnan(found.head[0, 1:]).all()

    def test_a_step_never_divides_by_zero(self, chain):
        given = conditions(chain, {"A": 1.0, "B": 0.0})
        _, laws = laws_of(chain, given)
        slope = np.zeros((2, 1))
        size = laws.quadratic_size()
        size[0] = 1.0  # a tube has no quadratic term; any will do here
        with np.errstate(divide="ignore"):
            weight = step_weight(laws, slope)
        assert weight[1, 0] == pytest.approx(1 / (2 * 1e7 * FLOOR_FLOW))
        leaky = step_weight(replace(laws, leak=1e10), slope)
        np.testing.assert_allclose(leaky, 1 / (1e10 * LEAK_SHARE))
        np.testing.assert_allclose(step_weight(laws, slope + 2.0), 0.5)

    def test_refining_takes_up_an_imbalance_along_the_laws(self, chain):
        """A little out of balance: the node balances after the step, and both laws hold."""
        given = conditions(chain, {"A": 1.0, "B": 0.0})
        reached, laws = laws_of(chain, given)
        exact = solve(chain, given)
        off = exact.flow.T * np.array([[1 + 1e-7], [1 - 2e-7]])
        head = exact.head[:, reached.free].T
        flow, raised = refine(reached, laws, off, head, given.demand.T)
        assert np.abs(balance(reached, flow, given.demand.T)).max() <= 1e-12 * off.max()
        assert raised[0, 0] != head[0, 0]
        before, _ = laws.head_loss(off)
        after, _ = laws.head_loss(flow)
        change = after - before
        np.testing.assert_allclose(change[0], -(raised - head)[0], rtol=1e-5)
        np.testing.assert_allclose(change[1], (raised - head)[0], rtol=1e-5)
        same_flow, same_head = refine(reached, laws, exact.flow.T, head, given.demand.T)
        assert same_flow is not off
        np.testing.assert_array_equal(same_flow, exact.flow.T)
        np.testing.assert_array_equal(same_head, head)


class TestWayRoundInACircle:
    """Systems in which steps that leave out closing links come back to where they were."""

    @staticmethod
    def unsolved(seed, systems, scenarios):
        block = random_block(seed, systems, scenarios)
        task = _Task(block.network, block.conditions, block.factors, None)
        task.flow, task.same_start = task.flow.copy(), False
        for rows, reached in task.chunks(np.arange(block.conditions.count), None):
            heads, demand, laws = task.pieces(rows, reached)
            begin = np.ascontiguousarray(task.flow[rows].T[reached.links])
            leaky = replace(laws, leak=1e10)
            found = Search(reached, heads, demand, 1e-7).run(leaky, begin, 60)
            yield from np.isnan(found.residual).tolist()

    @pytest.mark.parametrize("block", [(121, 4, 8), (24, 5, 20), (111, 3, 60)])
    def test_it_ends_where_closing_links_are_counted_now_and_then(self, block, monkeypatch):
        assert not any(self.unsolved(*block))
        monkeypatch.setattr(search_module, "PATIENCE", 1000)
        assert any(self.unsolved(*block))


class TestSides:
    @pytest.mark.parametrize("seed", range(12))
    def test_one_link_at_a_time_comes_to_the_same(self, seed, monkeypatch):
        block = random_block(seed, 3, 4)
        expected = solve(block.network, block.conditions, block.factors)
        whole = solver_module._wrong_side

        def careful(*arguments, only_worst):
            return whole(*arguments, only_worst=True)

        monkeypatch.setattr(solver_module, "_wrong_side", careful)
        found = solve(block.network, block.conditions, block.factors)
        assert found.converged.all()
        largest = np.nan_to_num(np.abs(expected.flow)).max(axis=1, keepdims=True)
        off = np.nan_to_num(np.abs(found.flow - expected.flow))
        assert (off <= 1e-7 * largest + 1e-8).all()

    def test_sides_that_are_never_found_give_nan(self, monkeypatch):
        """A failed search is NaN everywhere, never the last try."""
        of = network(
            ["A", "B", "C"],
            [("A", "J", (one_way_valve(), tube())), ("B", "J", (one_way_valve(), tube())),
             ("J", "C", (one_way_valve(), tube()))],
        )  # fmt: skip
        given = conditions(of, {"A": [1.0, 1.0], "B": [0.2, 1.0], "C": 0.0})
        assert solve(of, given).converged.all()
        whole = solver_module._wrong_side

        def never(task, shut, rows, *, only_worst):
            return whole(task, shut, rows, only_worst=only_worst) | (rows == 0)[:, None]

        monkeypatch.setattr(solver_module, "_wrong_side", never)
        found = solve(of, given)
        assert found.converged.tolist() == [False, True]
        assert np.isnan(found.flow[0]).all()
        assert np.isnan(found.head[0]).all()
        assert np.isnan(found.residual[0])
        assert np.isnan(found.imbalance[0])
        assert np.isfinite(found.flow[1]).all()

    def test_a_demand_that_shut_links_cut_off_opens_one(self):
        """A valve holds back the only feed until the demand has drawn its node down."""
        of = network(
            ["A", "C"],
            [("A", "J", (one_way_valve(20000.0), tube())), ("J", "C", (tube(),))],
        )
        given = conditions(of, {"A": 0.0, "C": 0.0}, demands={"J": 1e-6}, allowed={"J-C": FORWARD})
        found = solve(of, given)
        assert found.converged.all()
        assert found.supplied.all()
        np.testing.assert_allclose(found.flow[0], [1e-6, 0.0], rtol=1e-9)
        assert found.head[0, of.node_names.index("J")] < -2.5

    @pytest.mark.parametrize("turned", [False, True])
    def test_both_directions_hold_alike(self, turned):
        """The same valve written either way round, its line allowed one way only."""
        ends = ("J", "A") if turned else ("A", "J")
        of = network(["A", "B"], [(*ends, (tube(),)), ("J", "B", (tube(),))])
        way = BACKWARD if turned else FORWARD
        name = "-".join(ends)
        given = conditions(of, {"A": [1.0, -1.0], "B": 0.0}, allowed={name: way})
        found = solve(of, given)
        sign = -1 if turned else 1
        assert sign * found.flow[0, 0] > 1e-6
        np.testing.assert_array_equal(found.flow[1], 0.0)

    def test_a_closed_link_stays_closed(self):
        of = network(["A", "B"], [("A", "B", (tube(),)), ("A", "B", (tube(),))])
        given = conditions(of, {"A": 1.0, "B": 0.0}, allowed={"A-B 0": 0})
        found = solve(of, given)
        assert found.flow[0, 0] == 0.0
        assert found.flow[0, 1] > 0.0

    def test_chunks_and_patterns_do_not_matter(self, monkeypatch):
        block = random_block(5, 6, 4)
        expected = solve(block.network, block.conditions, block.factors)
        monkeypatch.setattr(solver_module, "CHUNK", 3)
        monkeypatch.setattr(patterns_module, "CODES_PER_WORD", 2)
        found = solve(block.network, block.conditions, block.factors)
        np.testing.assert_allclose(found.flow, expected.flow, rtol=1e-9, atol=1e-12)
        np.testing.assert_array_equal(found.supplied, expected.supplied)

    @pytest.mark.parametrize("seed", range(20, 32))
    def test_scenarios_with_other_open_links_do_not_disturb_each_other(self, seed, monkeypatch):
        """Solved together, behind masks, and each pattern by itself."""
        block = random_block(seed, 4, 8)
        patterns = len(np.unique(block.conditions.allowed, axis=0))
        together = solve(block.network, block.conditions, block.factors)
        monkeypatch.setattr(solver_module, "FEW", 0)
        alone = solve(block.network, block.conditions, block.factors)
        assert patterns > 1
        largest = np.nan_to_num(np.abs(alone.flow)).max(axis=1, keepdims=True)
        np.testing.assert_array_equal(np.isnan(together.flow), np.isnan(alone.flow))
        assert (np.nan_to_num(np.abs(together.flow - alone.flow)) <= 1e-8 * largest + 1e-9).all()
        np.testing.assert_array_equal(np.isnan(together.head), np.isnan(alone.head))
        np.testing.assert_allclose(together.head, alone.head, atol=1e-8)
        for name in ("converged", "supplied"):
            np.testing.assert_array_equal(getattr(together, name), getattr(alone, name))


class TestReach:
    def test_patterns_side_by_side_are_those_one_by_one(self):
        of = network(["A"], [("A", "J", (tube(),)), ("J", "K", (tube(),)), ("L", "J", (tube(),))])
        allowed = np.array([[3, 3, 3], [FORWARD, BACKWARD, 0], [0, 3, 3]], dtype=np.int8)
        shut = np.array([[False, True, False], [False] * 3, [False] * 3])
        found = reach(of, allowed, shut)
        for row in range(3):
            single = living(of, allowed[row], shut[row])
            alive = np.zeros(3, dtype=bool)
            alive[single.links] = True
            whole = np.zeros(3, dtype=bool)
            whole[found.links] = found.alive[:, row]
            np.testing.assert_array_equal(whole, alive)
            np.testing.assert_array_equal(found.cut_off[:, row], single.cut_off[:, 0])
            np.testing.assert_array_equal(found.unsupplied[:, row], single.unsupplied[:, 0])
        names = np.array(of.node_names)
        assert set(names[found.cut_off[:, 0]]) == {"K"}
        assert set(names[found.cut_off[:, 1]]) == {"L"}
        assert set(names[found.unsupplied[:, 1]]) == {"K", "L"}
        assert set(names[found.cut_off[:, 2]]) == {"J", "K", "L"}
        assert set(names[found.free]) == {"J", "K", "L"}

    def test_nodes_beyond_a_one_way_link_cannot_be_fed_against_it(self):
        of = network(["A"], [("J", "A", (tube(),)), ("J", "K", (tube(),))])
        found = living(of, [FORWARD, 3])
        names = np.array(of.node_names)
        assert set(names[found.free]) == {"J", "K"}
        assert set(names[found.unsupplied[:, 0]]) == {"J", "K"}
        shut = living(of, [FORWARD, 3], [True, False])
        assert set(names[shut.cut_off[:, 0]]) == {"J", "K"}
        assert len(shut.links) == 0
        fed = living(of, [BACKWARD, 3])
        assert not fed.unsupplied.any()
        assert fed.position[of.node_names.index("A")] == -1


class TestOutcome:
    def test_gauge_pressure_is_weight_of_head_over_elevation(self):
        found = sweep(two_tanks())
        head = found.situation.elevation + 0.25
        expected = found.situation.density[:, None] * STANDARD_GRAVITY * 0.25
        np.testing.assert_allclose(gauge_pressure(found.situation, head), expected + 0 * head)

    def test_words_for_laws(self):
        of = network(
            ["A", "B"],
            [("A", "B", (tube(), replace(tube(), friction_factor=0.03), Exit(name="e", bore=8e-3),
                         one_way_valve(), quadratic(1e7), fitting(2.0)))],
        )  # fmt: skip
        laws = [part_description(of, index)[1] for index in range(6)]
        assert laws == [
            "cautious friction",
            "fixed friction factor",
            "kinetic energy",
            "one-way valve",
            "h = c Q^2",
            "K + K1/Re",
        ]
        assert part_description(of, 2)[0] == "e"


def test_open_line_of_a_least_inlet_pressure() -> None:
    """A carburettor of a least inlet pressure: its head is the inlet's and that pressure."""
    base = two_tanks()
    carburettor = replace(base.engine.carburettor, float_level=None, least_inlet_pressure=2500.0)
    found = sweep(replace(base, engine=replace(base.engine, carburettor=carburettor)))
    inlet = found.assembly.inlet
    situation = found.situation
    heads = situation.conditions.fixed_head
    rise = heads[:, inlet + 2] - heads[:, inlet + 1]
    np.testing.assert_allclose(rise, 2500.0 / (situation.density * STANDARD_GRAVITY))
    ends = found.table.scenarios.end
    assert (situation.conditions.allowed[:, found.assembly.open_link] == (ends == OPEN_LINE)).all()
