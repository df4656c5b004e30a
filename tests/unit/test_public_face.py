"""The public face: its names, its documentation, its page, and that it costs nothing to import."""

import doctest
import inspect
import os
import subprocess
import sys
from pathlib import Path

import pytest

import flowsim
from tests.support.reference_page import PAGE, reference_page

ROOT = Path(__file__).parents[2]


def test_the_names_are_these():
    assert sorted(flowsim.__all__) == flowsim.__all__
    assert set(flowsim.__all__) == {
        "AdequacyResult", "Decision", "DomainError", "FlowsimError", "FuelSystem", "InputError",
        "LossPath", "Mistake", "OutputError", "Requirement", "ResultLine", "ScenarioResult",
        "Topic", "UnsolvedError", "Verdict", "judge", "read_case",
    }  # fmt: skip


@pytest.mark.parametrize("name", flowsim.__all__)
def test_each_name_is_documented(name):
    assert inspect.getdoc(getattr(flowsim, name))
    assert name in dir(flowsim)


def test_a_name_that_is_not_there_is_an_attribute_error():
    with pytest.raises(AttributeError, match="no attribute 'safe'"):
        _ = flowsim.safe


def test_the_example_runs(monkeypatch):
    monkeypatch.chdir(ROOT)
    found = doctest.testmod(flowsim)
    assert found.attempted >= 5
    assert not found.failed


def test_the_page_is_current():
    assert PAGE.read_text(encoding="utf-8") == reference_page(), "tests.support.reference_page"


def test_importing_it_loads_no_slow_library():
    words = "import sys, flowsim; print(sorted({'numpy', 'scipy', 'typer'} & set(sys.modules)))"
    done = subprocess.run(
        [sys.executable, "-c", words], cwd=ROOT, capture_output=True, text=True, check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    assert done.stdout.strip() == "[]"
