"""Balance at the nodes, the mending of its last digits, and what a solution says."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.balance import balance, rebalance
from flowsim.network.conditions import nominal_factors
from flowsim.network.outcome import part_description, part_losses
from flowsim.network.solver import solve
from flowsim.physics.losses.fitting_catalogue import fitting as catalogued
from flowsim.system.parts import Exit
from tests.support.random_networks import random_conditions, random_network
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


@pytest.fixture
def star():
    return network(
        ["A", "B", "C"],
        [
            ("A", "J", (tube(),)),
            ("B", "J", (tube(),)),
            ("J", "K", (tube(),)),
            ("K", "C", (tube(),)),
        ],
    )


class TestBalance:
    def test_counts_inflow_less_outflow_less_demand(self, star):
        reached = living(star)
        flow = np.array([[1.0], [2.0], [2.5], [2.0]])
        demand = np.zeros((5, 1))
        demand[star.node_names.index("K")] = 0.25
        found = dict(zip(reached.free, balance(reached, flow, demand)[:, 0], strict=True))
        assert found[star.node_names.index("J")] == pytest.approx(0.5)
        assert found[star.node_names.index("K")] == pytest.approx(0.25)

    def test_mends_an_imbalance(self, star):
        reached = living(star)
        demand = np.zeros((5, 3))
        flow = np.array([[1e-5], [2e-5], [3e-5], [3e-5]]) * [1.0, 1.0, 0.0]
        off = flow + np.array([[0.0, 1e-13, 0.0]] * 4) * [[1.0], [-1.0], [2.0], [0.5]]
        mended = rebalance(reached, off, demand)
        assert np.abs(balance(reached, mended, demand)).max() <= 1e-12 * 3e-5
        np.testing.assert_allclose(mended, off, atol=1e-12)
        np.testing.assert_array_equal(mended[:, [0, 2]], off[:, [0, 2]])  # in balance: untouched

    @pytest.mark.parametrize("seed", range(5))
    def test_mends_any_network(self, seed):
        generator = np.random.default_rng(seed)
        of = random_network(generator)
        count = len(of.links)
        reached = living(of)
        flow = generator.normal(size=(count, 4)) * 1e-5
        demand = np.zeros((len(of.node_names), 4))
        # Demands that this flow meets exactly, then a flow that is slightly off.
        demand[reached.free] = balance(reached, flow, demand)
        off = flow * (1 + 1e-9 * generator.normal(size=flow.shape))
        mended = rebalance(reached, off, demand)
        largest = np.abs(flow).max(axis=0)
        assert (np.abs(balance(reached, mended, demand)) <= 1e-12 * largest).all()
        assert (np.abs(mended - flow) <= 1e-7 * largest).all()


class TestPartLosses:
    @pytest.mark.parametrize("seed", range(10))
    def test_parts_of_a_flowing_link_add_up_to_its_head(self, seed):
        generator = np.random.default_rng(seed)
        of = random_network(generator)
        given = random_conditions(generator, of, 8)
        nominal = nominal_factors(of)
        factors = replace(
            nominal,
            loss=generator.uniform(0.7, 1.4, (8, len(of.placed))),
            laminar=generator.uniform(0.7, 1.4, (8, len(of.placed))),
            bore=generator.uniform(0.97, 1.03, (8, len(of.pipes.part))),
            friction=generator.uniform(0.9, 1.1, 8),
        )
        found = solve(of, given, factors)
        losses = part_losses(of, given, found.flow, factors).loss
        across = found.head[:, of.start] - found.head[:, of.end]
        across = across - np.where(found.flow > 0, given.held_head, 0.0)
        for link in range(len(of.links)):
            total = losses[:, of.part_link == link].sum(axis=1)
            moving = np.abs(found.flow[:, link]) > 1e-10
            np.testing.assert_allclose(total[moving], across[moving, link], atol=1e-6)

    def test_a_failed_scenario_has_no_losses(self):
        line = network(["A", "B"], [("A", "B", (tube(), fitting(1.0), quadratic(1e6)))])
        given = conditions(line, {"A": [1.0, np.nan], "B": 0.0})
        losses = part_losses(line, given, solve(line, given).flow).loss
        assert np.isfinite(losses[0]).all()
        assert np.isnan(losses[1]).all()

    def test_cracking_head_belongs_to_the_valve(self):
        line = network(["A", "B"], [("A", "B", (one_way_valve(300.0), quadratic(1e6)))])
        given = conditions(line, {"A": [0.3, -0.3], "B": 0.0})
        found = solve(line, given)
        losses = part_losses(line, given, found.flow).loss
        own = one_way_valve(0.0)
        bare = network(["A", "B"], [("A", "B", (own, quadratic(1e6)))])
        without = part_losses(bare, given, found.flow).loss
        assert losses[0, 0] - without[0, 0] == pytest.approx(
            300.0 / (PETROL_DENSITY * STANDARD_GRAVITY), rel=1e-9
        )
        np.testing.assert_array_equal(losses[1], 0.0)

    def test_laws_outside_their_range_are_flagged(self):
        rough = tube(roughness=0.06 * 7.75e-3)
        elbow = catalogued("elbow 90", 7.54e-3)
        line = network(["A", "B"], [("A", "B", (rough, elbow, fitting(1.0)))])
        given = conditions(line, {"A": [1.0, 2e5], "B": 0.0})
        outside = part_losses(line, given, solve(line, given).flow).outside
        np.testing.assert_array_equal(outside[:, 0], [True, True])  # Moody's chart ends at 0.05
        np.testing.assert_array_equal(outside[:, 1], [False, True])  # Re above 1e6
        np.testing.assert_array_equal(outside[:, 2], [False, False])  # the builder's own number

    def test_an_exit_costs_what_leaves(self):
        line = network(["A", "B"], [("A", "B", (quadratic(1e5), Exit(name="e", bore=7.75e-3)))])
        given = conditions(line, {"A": [0.5, -0.5], "B": 0.0})
        losses = part_losses(line, given, solve(line, given).flow).loss
        assert losses[0, 1] > 0
        assert losses[1, 1] == 0.0


def test_bore_and_words_of_parts():
    line = network(
        ["A", "B"],
        [("A", "B", (fitting(1.0, bore=5e-3), tube())), ("B", "A", (fitting(1.0, bore=5e-3),))],
    )
    assert part_description(line, 1)[:2] == ("tube", "cautious friction")
    assert part_description(line, 0)[:2] == ("fitting", "K + K1/Re")
