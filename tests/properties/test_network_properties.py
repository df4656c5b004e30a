"""What every solution of every plausible network must be.

Hypothesis draws a seed; ``random_networks`` makes a network and its scenarios from it.
"""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from flowsim.network.conditions import Conditions, nominal_factors
from flowsim.network.elements import Link, Network
from flowsim.network.outcome import part_losses
from flowsim.network.solver import Solution, solve
from flowsim.system.parts import Pipe
from tests.support.random_networks import random_conditions, random_network

SEEDS = st.integers(0, 2**32 - 1)
COUNT = 8
STILL = 5e-9
"""[m3/s] A link without a linear term knows its flow near rest to this: its law is flat there, and
1e-11 m of head over a coefficient of 1e6 s2/m5 is 3e-9 m3/s."""


def drawn(seed: int, *, one_way: bool = True) -> tuple[Network, Conditions]:
    generator = np.random.default_rng(seed)
    network = random_network(generator, one_way=one_way)
    return network, random_conditions(generator, network, COUNT)


def right(solution: Solution) -> np.ndarray:
    return solution.converged & solution.supplied


def assert_same_flows(found: np.ndarray, expected: np.ndarray, rtol: float = 1e-7) -> None:
    """Compare flows (scenario, link), relative to each scenario's largest flow."""
    np.testing.assert_array_equal(np.isnan(found), np.isnan(expected))
    known = np.isfinite(expected).all(axis=1)
    largest = np.abs(expected[known]).max(axis=1, keepdims=True, initial=0.0)
    assert (np.abs(found[known] - expected[known]) <= rtol * largest + STILL).all()


@settings(max_examples=25, deadline=None)
@given(seed=SEEDS)
def test_converged_balanced_and_on_every_law(seed: int) -> None:
    network, conditions = drawn(seed)
    solution = solve(network, conditions)
    assert solution.converged.all()
    good = right(solution)
    assert (solution.imbalance[good] <= 1e-9).all()
    assert (solution.residual[good] <= 1e-6).all()
    # The same, without the solver's own books: demand met, losses equal to heads.
    balance = -np.where(network.fixed, 0.0, conditions.demand)
    np.add.at(balance.T, network.end, np.nan_to_num(solution.flow).T)
    np.add.at(balance.T, network.start, -np.nan_to_num(solution.flow).T)
    largest = np.maximum(np.abs(np.nan_to_num(solution.flow)).max(axis=1), 1e-12)
    off = np.abs(balance[:, ~network.fixed]).max(axis=1, initial=0.0)
    assert (off[good] <= 1e-9 * largest[good]).all()
    losses = part_losses(network, conditions, solution.flow).loss
    held = np.where(solution.flow > 0, conditions.held_head, 0.0)
    across = solution.head[:, network.start] - solution.head[:, network.end] - held
    for link in range(len(network.links)):
        moving = good & (np.abs(solution.flow[:, link]) > 1e-10)
        total = losses[:, network.part_link == link].sum(axis=1)
        assert (np.abs(total - across[:, link])[moving] <= 1e-6).all()


@settings(max_examples=25, deadline=None)
@given(seed=SEEDS)
def test_conditions_of_direction_hold(seed: int) -> None:
    network, conditions = drawn(seed)
    solution = solve(network, conditions)
    good = right(solution)
    flow = solution.flow[good]
    allowed = conditions.allowed[good].copy()
    allowed[:, network.one_way] &= 1
    allowed[(conditions.held_head[good] > 0) & (allowed == 3)] = 1
    slack = 1e-9 * np.abs(flow).max(axis=1, keepdims=True, initial=0.0) + 1e-11
    assert (flow[allowed == 0] == 0).all()
    assert ((flow >= -slack) | (allowed != 1)).all()
    assert ((flow <= slack) | (allowed != 2)).all()
    # A link that stands shut has no more head across it than holds it shut.
    cracking = network.cracking_pressure / (conditions.density[good, None] * 9.80665)
    threshold = cracking + conditions.held_head[good]
    head = solution.head[good]
    across = head[:, network.start] - head[:, network.end]
    shut = (np.abs(flow) <= slack) & (allowed == 1) & np.isfinite(across)
    flat = 1e-6
    assert (across[shut] <= threshold[shut] + flat).all()


@settings(max_examples=8, deadline=None)
@given(seed=SEEDS)
def test_the_answer_does_not_depend_on_the_start(seed: int) -> None:
    network, conditions = drawn(seed)
    generator = np.random.default_rng(seed)
    shape = (COUNT, len(network.links))
    start = generator.normal(size=shape) * 10 ** generator.uniform(-8, -3, shape)
    expected = solve(network, conditions)
    found = solve(network, conditions, start=start)
    assert found.converged.all()
    assert_same_flows(found.flow, expected.flow)
    both = np.isfinite(expected.head) & np.isfinite(found.head)
    np.testing.assert_allclose(found.head[both], expected.head[both], atol=1e-7)


@settings(max_examples=8, deadline=None)
@given(seed=SEEDS)
def test_a_batch_is_its_scenarios_one_by_one(seed: int) -> None:
    network, conditions = drawn(seed)
    together = solve(network, conditions)
    alone = [solve(network, conditions.take(slice(row, row + 1))) for row in range(COUNT)]
    assert_same_flows(np.vstack([one.flow for one in alone]), together.flow, rtol=1e-9)
    np.testing.assert_allclose(
        np.vstack([one.head for one in alone]), together.head, rtol=1e-9, atol=1e-9
    )


@settings(max_examples=8, deadline=None)
@given(seed=SEEDS)
def test_the_order_of_scenarios_does_not_matter(seed: int) -> None:
    network, conditions = drawn(seed)
    order = np.random.default_rng(seed).permutation(COUNT)
    found = solve(network, conditions.take(order))
    expected = solve(network, conditions)
    assert_same_flows(found.flow, expected.flow[order], rtol=1e-9)
    np.testing.assert_array_equal(found.converged, expected.converged[order])


@settings(max_examples=8, deadline=None)
@given(seed=SEEDS)
def test_the_order_of_links_does_not_matter(seed: int) -> None:
    network, conditions = drawn(seed)
    order = np.random.default_rng(seed).permutation(len(network.links))
    shuffled = replace(network, links=tuple(network.links[link] for link in order))
    moved = replace(
        conditions, allowed=conditions.allowed[:, order], held_head=conditions.held_head[:, order]
    )
    assert_same_flows(solve(shuffled, moved).flow, solve(network, conditions).flow[:, order])


@settings(max_examples=8, deadline=None)
@given(seed=SEEDS)
def test_a_mirrored_network_has_mirrored_flows(seed: int) -> None:
    """Every link written the other way round, its directions and its exit with it."""
    network, conditions = drawn(seed, one_way=False)
    conditions = replace(conditions, held_head=np.zeros_like(conditions.held_head))
    mirrored = replace(network, links=tuple(_turned(link) for link in network.links))
    swapped = (conditions.allowed >> 1) | ((conditions.allowed & 1) << 1)
    expected = solve(network, conditions)
    found = solve(mirrored, replace(conditions, allowed=swapped.astype(np.int8)))
    assert_same_flows(-found.flow, expected.flow)


def _turned(link: Link) -> Link:
    parts = tuple(replace(part, direction=-part.direction) for part in reversed(link.parts))
    return Link(name=link.name, start=link.end, end=link.start, parts=parts)


@settings(max_examples=12, deadline=None)
@given(seed=SEEDS)
def test_more_head_gives_no_less_flow(seed: int) -> None:
    """With one end: raising any tank never lowers what arrives there."""
    network, conditions = _one_end(seed)
    raised = conditions.fixed_head.copy()
    generator = np.random.default_rng(seed)
    tanks = [i for i, name in enumerate(network.node_names) if name.startswith("tank")]
    raised[:, tanks] += generator.uniform(0.0, 0.3, (COUNT, len(tanks)))
    before, after = (
        _delivered(network, conditions),
        _delivered(network, replace(conditions, fixed_head=raised)),
    )
    assert (after >= before - 1e-9 * np.abs(before) - STILL).all()


@settings(max_examples=12, deadline=None)
@given(seed=SEEDS, factor=st.floats(1.001, 1.3))
def test_a_larger_bore_gives_no_less_flow(seed: int, factor: float) -> None:
    """With one tank and one end a wider tube never delivers less.

    With more tanks it can: a wider crossfeed may feed the other tank instead of the end.
    """
    network, conditions = _one_end(seed, one_tank=True)
    pipes = [i for i, placed in enumerate(network.placed) if isinstance(placed.part, Pipe)]
    if not pipes:
        return
    chosen = np.random.default_rng(seed).random(len(pipes)) < 0.5
    nominal = nominal_factors(network)
    wider = replace(nominal, bore=nominal.bore * np.where(chosen, factor, 1.0))
    before = _delivered(network, conditions)
    after = _delivered(network, conditions, wider)
    assert (after >= before - 1e-9 * np.abs(before) - STILL).all()


def _one_end(seed: int, *, one_tank: bool = False) -> tuple[Network, Conditions]:
    """Draw a network with one end (and one tank) and no demands."""
    for offset in range(1000):
        network, conditions = drawn(seed + offset)
        ends = sum(name.startswith("end") for name in network.node_names)
        tanks = sum(name.startswith("tank") for name in network.node_names)
        if ends == 1 and (tanks == 1 or not one_tank):
            return network, replace(conditions, demand=np.zeros_like(conditions.demand))
    raise AssertionError("no such network")


def _delivered(network: Network, conditions: Conditions, factors=None) -> np.ndarray:
    """Flow into the only end (scenario,)."""
    solution = solve(network, conditions, factors)
    assert right(solution).all()
    end = network.node_names.index("end 0")
    return solution.flow[:, network.end == end].sum(axis=1)
