"""Edges that are sought by a few scenarios are those of all."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from flowsim.errors import UnsolvedError
from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.joint.beside import up_to_percentile
from flowsim.studies.joint.study import joint_result
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.sampling.draws import SEED, draw
from flowsim.studies.sizing import inverse
from flowsim.studies.sizing.edge_search import TOLERANCE, find_edge, find_edge_by_few
from flowsim.studies.sizing.few_scenarios import (
    MovedSurfaces,
    of_few,
    percentile,
)
from flowsim.studies.sizing.inverse import Basis

CASES = Path(__file__).parents[4] / "cases"
LIMITS = (0.0, 10.0)


def steps(*edges: float):
    """Scenarios that are met above their edges; what is known of them grows."""
    known = [0]

    def few(value: float) -> float:
        return min(value / edges[number] for number in known)

    def full(value: float) -> float:
        ratios = [value / edge for edge in edges]
        known.append(int(np.argmin(ratios)))
        return min(ratios)

    return few, full


@pytest.mark.parametrize("edges", [(3.0,), (3.0, 5.0, 4.0), (5.0, 3.0), (3.0, 20.0)])
def test_it_is_the_edge_of_all(edges):
    few, full = steps(*edges)
    plain = find_edge(full, "q", "m", 1.0, LIMITS, None, meets_above=True)
    found = find_edge_by_few(few, full, "q", "m", 1.0, LIMITS, 3.0, meets_above=True)
    assert found.always == plain.always
    assert found.value == pytest.approx(plain.value, abs=2e1 * TOLERANCE, nan_ok=True)
    if np.isfinite(found.value):
        assert full(found.value) >= 1.0
        assert full(found.value - 1.1e1 * TOLERANCE) < 1.0


def test_what_a_few_always_meet_is_asked_of_all():
    def full(value: float) -> float:
        return value - 1.0

    found = find_edge_by_few(lambda _: 2.0, full, "q", "m", 1.0, LIMITS, None, meets_above=True)
    assert found.value == pytest.approx(2.0, abs=2e1 * TOLERANCE)
    always = find_edge_by_few(
        lambda _: 2.0, lambda _: 1.5, "q", "m", 1.0, LIMITS, None, meets_above=True
    )
    assert always.always


def test_a_failed_solve_of_all_is_told():
    with pytest.raises(UnsolvedError, match="could not be solved"):
        find_edge_by_few(
            lambda value: value / 3.0,
            lambda _: float("nan"),
            "q",
            "m",
            1.0,
            LIMITS,
            None,
            meets_above=True,
        )


@pytest.mark.parametrize("name", ["one-tank", "humps"])
def test_edges_in_draws_are_those_of_every_scenario(name, monkeypatch):
    system = read_case(CASES / name / "case.toml")
    basis = Basis(draws=64, seed=SEED)
    questions = inverse.least_head, inverse.steepest_pitch, inverse.least_fuel
    quick = [question(system, basis) for question in questions]

    def plain(few, full, *given, **more):
        return find_edge(full, *given, **more)

    monkeypatch.setattr(inverse, "find_edge_by_few", plain)
    for question, edge in zip(questions, quick, strict=True):
        slow = question(system, basis)
        assert edge.always == slow.always
        within = 2.1 * TOLERANCE * (edge.high - edge.low)
        assert edge.value == pytest.approx(slow.value, abs=within, nan_ok=True)


def test_a_few_give_no_less_than_all():
    assembly = assemble(read_case(CASES / "one-tank" / "case.toml"))
    sweep = sweep_of(assembly, judged_table(assembly))
    draws = draw(assembly, 32, SEED)
    moved = MovedSurfaces(sweep, draws, -0.2)
    few = moved.few(-0.3)
    assert few >= moved.full(-0.3)
    assert moved.few(-0.3) == pytest.approx(moved.full(-0.3), rel=1e-9)
    assert percentile(of_few(sweep, draws, 2)) >= moved.full(0.0) - 1e-12


@pytest.mark.parametrize("rise", [-0.3, -0.1])
def test_all_beside_a_few_give_what_all_give(rise):
    assembly = assemble(read_case(CASES / "one-tank" / "case.toml"))
    sweep = sweep_of(assembly, judged_table(assembly))
    draws = draw(assembly, 64, SEED)
    moved = replace(draws, height=draws.height + rise)
    plain = percentile(joint_result(sweep, moved, together=True).trapped)
    beside = MovedSurfaces(sweep, draws)
    beside.known = beside.rows[-2:]  # those that give most: the others must bring it down
    assert beside.full(rise) == pytest.approx(plain, rel=1e-9)
    assert set(beside.known) > set(beside.rows[-2:])


@pytest.mark.parametrize("count", [2, 20, 21, 41, 256, 2048])
def test_a_cap_leaves_the_percentile(count):
    dice = np.random.default_rng(count)
    least = dice.normal(1.0, 0.2, count)
    capped = up_to_percentile(least, 5.0)
    assert np.percentile(capped, 5.0) == np.percentile(least, 5.0)
    lower = np.where(dice.random(count) < 0.1, 0.5, np.inf)
    assert np.percentile(np.minimum(capped, lower), 5.0) == np.percentile(
        np.minimum(least, lower), 5.0
    )
    assert count < 41 or np.ptp(capped) < np.ptp(least)
