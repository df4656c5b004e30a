"""Networks whose answer is known in closed form."""

import math

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.solver import solve
from flowsim.physics.losses.laws import quadratic_and_linear
from flowsim.physics.losses.round_bore import reynolds
from flowsim.system.parts import Exit
from tests.support.small_networks import (
    PETROL_VISCOSITY,
    conditions,
    fitting,
    network,
    quadratic,
    tube,
)


def single(*parts):
    return network(["tank", "end"], [("tank", "end", parts)])


class TestSingleLine:
    def test_hagen_poiseuille(self):
        # Q = pi g h D^4/(128 nu L), exact for developed laminar flow (Hagen 1839, Poiseuille 1840).
        head = np.array([1e-4, 1e-3, 5e-3, 2e-2])
        line = single(tube(length=2.5, bore=4.57e-3))
        solution = solve(line, conditions(line, {"tank": head, "end": 0.0}))
        exact = math.pi * STANDARD_GRAVITY * head * 4.57e-3**4 / (128 * PETROL_VISCOSITY * 2.5)
        assert reynolds(exact, 4.57e-3, PETROL_VISCOSITY).max() < 1900
        np.testing.assert_allclose(solution.flow[:, 0], exact, rtol=1e-9)

    def test_torricelli(self):
        # A jet without other losses leaves with sqrt(2 g h); turbulent, so one velocity head.
        line = single(Exit(name="exit", bore=7.75e-3))
        solution = solve(line, conditions(line, {"tank": [0.1, 0.5, 2.0], "end": 0.0}))
        speed = solution.flow[:, 0] / (math.pi * 7.75e-3**2 / 4)
        np.testing.assert_allclose(
            speed, np.sqrt(2 * STANDARD_GRAVITY * np.array([0.1, 0.5, 2.0])), rtol=1e-9
        )

    def test_linear_and_quadratic_fitting(self):
        # q Q^2 + l nu Q = h: the positive root of a quadratic equation.
        part = fitting(3.0, k_laminar=900.0)
        q, linear = quadratic_and_linear(part)
        lin = linear * PETROL_VISCOSITY
        head = np.geomspace(1e-5, 1.0, 7)
        line = single(part)
        solution = solve(line, conditions(line, {"tank": head, "end": 0.0}))
        root = 2 * head / (lin + np.sqrt(lin**2 + 4 * q * head))
        np.testing.assert_allclose(solution.flow[:, 0], root, rtol=1e-7)

    def test_parts_in_series_add_up(self):
        whole, split = (
            single(quadratic(6e7)),
            single(quadratic(1e7), quadratic(2e7), quadratic(3e7)),
        )
        flow = [
            solve(line, conditions(line, {"tank": 0.7, "end": 0.0})).flow[0, 0]
            for line in (whole, split)
        ]
        assert flow[0] == pytest.approx(math.sqrt(0.7 / 6e7), rel=1e-11)
        assert flow[1] == pytest.approx(flow[0], rel=1e-11)

    def test_only_the_difference_of_heads_counts(self):
        line = single(tube(), fitting(2.0))
        shift = np.array([0.0, 1.0, -50.0])
        solution = solve(line, conditions(line, {"tank": 0.4 + shift, "end": shift}))
        np.testing.assert_allclose(solution.flow, solution.flow[0, 0], rtol=1e-9)


class TestEquivalentLines:
    @pytest.mark.parametrize("count", [2, 3, 7])
    def test_equal_lines_in_parallel_carry_equal_shares(self, count):
        line = (tube(1.8), fitting(2.5, k_laminar=500.0))
        one = network(["tank", "end"], [("tank", "end", line)])
        many = network(["tank", "end"], [("tank", "end", line)] * count)
        heads = {"tank": np.geomspace(1e-3, 1.0, 9), "end": 0.0}
        alone = solve(one, conditions(one, heads)).flow
        together = solve(many, conditions(many, heads)).flow
        np.testing.assert_allclose(together, np.repeat(alone, count, axis=1), rtol=1e-9)

    def test_quadratic_lines_in_parallel_are_one(self):
        # sqrt(h/c) = sum sqrt(h/c_i)
        each = np.array([1e7, 3e7, 8e8])
        many = network(["tank", "end"], [("tank", "end", (quadratic(c),)) for c in each])
        solution = solve(many, conditions(many, {"tank": 0.3, "end": 0.0}))
        together = (each**-0.5).sum() ** -2
        assert solution.flow.sum() == pytest.approx(math.sqrt(0.3 / together), rel=1e-11)

    def test_a_line_cut_in_two_carries_the_same(self):
        whole = single(tube(2.0), fitting(3.0))
        cut = network(
            ["tank", "end"], [("tank", "J", (tube(0.5),)), ("J", "end", (tube(1.5), fitting(3.0)))]
        )
        heads = {"tank": np.geomspace(1e-3, 1.0, 9), "end": 0.0}
        expected = solve(whole, conditions(whole, heads)).flow
        found = solve(cut, conditions(cut, heads)).flow
        np.testing.assert_allclose(found, np.repeat(expected, 2, axis=1), rtol=1e-9)


def two_tanks(left=(), right=()):
    return network(
        ["left", "right", "end"],
        [
            ("left", "tee", (tube(1.5), *left)),
            ("right", "tee", (tube(1.5), *right)),
            ("tee", "end", (tube(1.0), fitting(3.0), Exit(name="exit", bore=7.75e-3))),
        ],
    )


class TestTwoTanks:
    def test_equal_sides_give_equal_shares(self):
        system = two_tanks()
        level = np.geomspace(5e-3, 1.5, 11)
        flow = solve(system, conditions(system, {"left": level, "right": level, "end": 0.0})).flow
        np.testing.assert_allclose(flow[:, 0], flow[:, 1], rtol=1e-12)
        np.testing.assert_allclose(flow[:, 0], 0.5 * flow[:, 2], rtol=1e-12)

    def test_mirrored_tanks_swap_their_flows(self):
        system, mirrored = two_tanks(left=(fitting(5.0),)), two_tanks(right=(fitting(5.0),))
        flow = solve(system, conditions(system, {"left": 0.8, "right": 0.7, "end": 0.0})).flow[0]
        swapped = solve(mirrored, conditions(mirrored, {"left": 0.7, "right": 0.8, "end": 0.0}))
        np.testing.assert_allclose(swapped.flow[0], flow[[1, 0, 2]], rtol=1e-10)

    def test_the_higher_tank_feeds_the_lower(self):
        system = two_tanks()
        found = solve(
            system,
            conditions(system, {"left": 1.0, "right": 0.2, "end": 0.0}, allowed={"tee-end": 0}),
        )
        assert found.flow[0, 0] > 0
        assert found.flow[0, 1] == pytest.approx(-found.flow[0, 0], rel=1e-9)
        assert found.flow[0, 2] == 0.0

    def test_demand_is_shared_by_balance(self):
        system = two_tanks()
        found = solve(
            system,
            conditions(system, {"left": 0.6, "right": 0.5, "end": 0.0}, demands={"tee": 2e-5}),
        )
        assert found.flow[0, 0] + found.flow[0, 1] == pytest.approx(
            found.flow[0, 2] + 2e-5, rel=1e-9
        )

    def test_demand_alone_gives_the_head_that_is_left(self):
        part = quadratic(4e7)
        line = network(["tank"], [("tank", "engine", (part,))])
        found = solve(line, conditions(line, {"tank": 1.0}, demands={"engine": [1e-5, 5e-5]}))
        np.testing.assert_allclose(found.flow[:, 0], [1e-5, 5e-5], rtol=1e-9)
        np.testing.assert_allclose(found.head[:, 1], 1.0 - 4e7 * np.array([1e-5, 5e-5]) ** 2)


class TestSigns:
    links = (
        ("A", "J", (tube(1.0), fitting(2.0, k_laminar=300.0))),
        ("B", "J", (tube(0.7, 6.2e-3),)),
        ("J", "K", (tube(1.3),)),
        ("J", "C", (quadratic(5e7),)),
        ("K", "C", (tube(0.4), fitting(1.0))),
    )

    def test_heads_turned_over_turn_the_flows(self):
        system = network(["A", "B", "C"], self.links)
        heads = {"A": 0.9, "B": 0.3, "C": 0.1}
        flow = solve(system, conditions(system, heads)).flow
        turned = solve(system, conditions(system, {name: -h for name, h in heads.items()})).flow
        np.testing.assert_allclose(turned, -flow, rtol=1e-9)

    def test_links_written_the_other_way_round(self):
        system = network(["A", "B", "C"], self.links)
        backward = network(["A", "B", "C"], [(end, start, p) for start, end, p in self.links])
        heads = {"A": 0.9, "B": 0.3, "C": 0.1}
        flow = solve(system, conditions(system, heads)).flow
        turned = solve(backward, conditions(backward, heads)).flow
        np.testing.assert_allclose(turned, -flow, rtol=1e-9)


class TestStill:
    def test_equal_heads_move_nothing(self):
        system = two_tanks()
        found = solve(system, conditions(system, {"left": 0.4, "right": 0.4, "end": 0.4}))
        assert found.converged.all()
        np.testing.assert_array_equal(found.flow, 0.0)
        np.testing.assert_allclose(found.head, 0.4, atol=1e-12)

    def test_a_bridge_in_balance_carries_nothing(self):
        arms = [
            ("A", "J", (quadratic(1e7),)), ("A", "K", (quadratic(2e7),)),
            ("J", "E", (quadratic(3e7),)), ("K", "E", (quadratic(6e7),)),
            ("J", "K", (tube(0.5),)),
        ]  # fmt: skip
        bridge = network(["A", "E"], arms)
        found = solve(bridge, conditions(bridge, {"A": 1.0, "E": 0.0}))
        assert abs(found.flow[0, 4]) < 1e-12
        assert found.head[0, 2] == pytest.approx(found.head[0, 3], abs=1e-11)
