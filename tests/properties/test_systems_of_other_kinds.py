"""A reduced run of ``tests/benchmarks/systems_of_other_kinds.py``, and what once broke it."""

import numpy as np
import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_case_text
from flowsim.network.assembly import assemble
from flowsim.network.solver import solve
from flowsim.studies.delivery.deliver import deliver
from tests.benchmarks import systems_of_other_kinds as kinds


@pytest.mark.parametrize(("kind", "first"), [("grown", 5000), ("laid", 7000)])
def test_a_few_systems_of_each_kind(kind: str, first: int) -> None:
    tally = kinds.run(kind, 24, first, processes=1)
    assert tally.failures == []
    assert len(tally.solved) == 24
    assert sum(one.scenarios for one in tally.solved) > 2000
    assert sum(one.arriving for one in tally.solved) > 400
    # The systems are what they are meant to be: small and large, one way to feed and many.
    assert max(one.lines for one in tally.solved) > 30
    assert max(one.tanks for one in tally.solved) > 3
    assert max(one.positions for one in tally.solved) > 3
    assert kinds.table(tally).count("\n") == 16


@pytest.mark.parametrize("kind", sorted(kinds.KINDS))
def test_what_the_cases_hold(kind: str) -> None:
    text = "\n".join(kinds.KINDS[kind](seed) for seed in range(200))
    words = (
        '"one-way valve"', '"restrictor"', "measured = [", '"screen"', "positions = {",
        "[[drain]]", "[[selector]]", "[[tee]]", '"6000 m"', '"-40 degC"',
    )  # fmt: skip
    assert [word for word in words if word not in text] == []


@pytest.mark.parametrize(
    ("kind", "seed"),
    [
        # Fuel that ran back out of the bowl past a bare outlet was cut to a thousandth of it, or to
        # nothing, and called limited by air: there is no flow that arrives and so none to limit.
        pytest.param("laid", 4, id="backward flow cut to a share of itself"),
        pytest.param("grown", 8, id="backward flow cut to nothing"),
    ],
)
def test_air_limits_no_flow_that_does_not_arrive(kind: str, seed: int) -> None:
    assembly = assemble(read_case_text(kinds.KINDS[kind](seed), kind))
    situation = kinds.scenarios_of(assembly, np.random.default_rng([seed, 7]))
    found = deliver(assembly, situation)
    back = found.solved < 0.0
    assert back.any()
    assert not found.air_limited[back].any()
    assert found.deliverable[back].tolist() == found.solved[back].tolist()
    assert kinds.examine(kind, seed).broken == []


def test_a_broken_bound_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(kinds, "LARGEST_OPENING", -1.0)
    tally = kinds.run("laid", 1, 2, processes=1)
    assert "heads not closed along" in tally.failures[0]
    assert "BROKEN: laid seed 2: heads not closed along" in capsys.readouterr().out


def test_a_flow_that_is_not_the_solved_one_is_found() -> None:
    # The checks are put to the test: half a millilitre an hour too much in one line, or a flow that
    # no balance has, is not let pass.
    assembly = assemble(read_case_text(kinds.laid_case(3), "case"))
    situation = kinds.scenarios_of(assembly, np.random.default_rng(0))
    solution = solve(assembly.network, situation.conditions)
    solution.flow[:, 0] += 1.4e-10
    finding = kinds.Finding(3)
    kinds.check(finding, assembly, situation, solution, "end")
    assert any("balance at" in words for words in finding.broken)


def test_a_refused_system_is_not_counted_as_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(kinds.KINDS, "laid", lambda _: 'title = "x"\n')
    with pytest.raises(InputError):
        read_case_text(kinds.KINDS["laid"](0), "case")
    tally = kinds.run("laid", 3, 0, processes=1)
    assert tally.solved == []
    assert tally.failures[-1] == "3 of 3 systems were refused"
