"""Where judged scenarios cannot be solved, every study says that it cannot tell."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.errors import UnsolvedError
from flowsim.network import solver
from flowsim.studies.adequacy.study import judge
from flowsim.studies.changes.resize import Size
from flowsim.studies.delivery import deliver
from flowsim.studies.result import Verdict
from flowsim.studies.sizing import inverse
from flowsim.studies.sizing import study as sizing
from flowsim.studies.sizing.inverse import Basis
from flowsim.studies.uncertainty import study as uncertainty
from tests.support.systems import one_tank, two_tanks


@pytest.fixture
def one_in_four_fails(monkeypatch):
    """Every fourth scenario of a batch is not solved."""
    real = solver.solve

    def partly(*given, **more):
        found = real(*given, **more)
        bad = np.arange(len(found.flow)) % 4 == 3
        return replace(
            found,
            flow=np.where(bad[:, None], np.nan, found.flow),
            head=np.where(bad[:, None], np.nan, found.head),
            converged=found.converged & ~bad,
        )

    monkeypatch.setattr(deliver, "solve", partly)


@pytest.fixture
def nothing_is_solved(monkeypatch):
    monkeypatch.setattr(solver, "MOST_ITERATIONS", 0)


@pytest.mark.parametrize("draws", [0, 64])
@pytest.mark.parametrize("how", ["one_in_four_fails", "nothing_is_solved"])
class TestQuestions:
    @pytest.mark.parametrize(
        "question", [inverse.least_head, inverse.steepest_pitch, inverse.least_fuel]
    )
    def test_no_edge_is_given(self, request, question, how, draws):
        request.getfixturevalue(how)
        with pytest.raises(UnsolvedError, match="could not be solved") as refused:
            question(one_tank(), Basis(draws=draws, seed=1))
        assert refused.value.exit_code == 3


@pytest.mark.parametrize("how", ["one_in_four_fails", "nothing_is_solved"])
class TestStudies:
    def test_uncertainty_has_no_chance_and_cannot_tell(self, request, how):
        assert uncertainty.uncertainty(one_tank(), draws=64, seed=1, samples=0).verdict is (
            Verdict.ADEQUATE
        )
        request.getfixturevalue(how)
        found = uncertainty.uncertainty(one_tank(), draws=64, seed=1, samples=8)
        assert found.verdict is Verdict.CANNOT_TELL
        assert found.failed == 64
        for spread in (found.together, *found.convergence):
            assert np.isnan([spread.low, spread.middle, spread.chance, spread.full_high]).all()
        assert found.indices is None
        assert len(found.lines) == len(judge(one_tank(), draws=64).lines)

    def test_no_size_is_called_enough_and_none_too_small(self, request, how):
        request.getfixturevalue(how)
        system = one_tank()
        line = system.lines[0].name
        found = sizing.size_lines(
            system, (line,), (Size("wide", 0.011),), nominal=False, draws=64, seed=1
        )
        assert found.smallest_nominal is None
        assert found.smallest_low is None
        assert {item.verdict for item in found.sizes} == {Verdict.CANNOT_TELL}

    def test_a_check_cannot_tell(self, request, how):
        request.getfixturevalue(how)
        assert judge(one_tank(), draws=64).verdict is Verdict.CANNOT_TELL


def test_one_end_without_any_result_leaves_the_other_its_band(monkeypatch):
    """All scenarios through the carburettor fail: the open line still has numbers."""
    system = two_tanks()
    real = solver.solve

    def no_carburettor(network, conditions, *given, **more):
        found = real(network, conditions, *given, **more)
        through = conditions.allowed[:, -1] > 0
        return replace(found, flow=np.where(through[:, None], np.nan, found.flow))

    monkeypatch.setattr(deliver, "solve", no_carburettor)
    found = uncertainty.uncertainty(system, draws=64, seed=1, samples=0)
    ends = {item.line.end: item for item in found.lines if "150 %" in told(item.line.name)}
    assert np.isfinite(ends["open line"].spread.low)
    assert np.isnan(ends["carburettor"].spread.low)
    assert ends["carburettor"].line.verdict is Verdict.CANNOT_TELL
    assert np.isnan(found.together.low)
    assert found.verdict is Verdict.CANNOT_TELL
