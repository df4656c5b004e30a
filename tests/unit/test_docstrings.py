"""Public functions of the core say what they take, give, refuse, and where a law is from."""

import doctest
import importlib
import warnings

import pytest

from flowsim.physics.losses.laws import LAWS
from tests.support.docstrings import faults_of, modules, public_functions

FUNCTIONS = dict(public_functions())


def test_docstrings_are_complete():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the validator's own imports
        found = [
            f"{path}: {fault}" for path in FUNCTIONS for fault in faults_of(path, FUNCTIONS[path])
        ]
    assert not found, "\n".join(found)


def test_what_is_looked_at_is_there():
    rooms = {path.split(".")[1] for path in FUNCTIONS}
    assert rooms == {"system", "physics", "network", "files", "studies"}
    assert len(FUNCTIONS) > 150


@pytest.mark.parametrize("law", LAWS.values(), ids=lambda law: type(law).__name__)
def test_every_law_has_an_example(law):
    assert ">>>" in (type(law).__doc__ or "")


@pytest.mark.parametrize("name", [module.__name__ for module in modules()])
def test_examples_hold(name):
    assert doctest.testmod(importlib.import_module(name)).failed == 0


def leaves_much_unsaid(flow: float, bores) -> float:
    """Give a thing.

    Parameters
    ----------
    flow : float
        How much.
    """
    if flow < 0:
        raise ValueError("no")
    return flow


def test_a_docstring_that_leaves_things_unsaid_is_found():
    path = f"{__name__}.leaves_much_unsaid"
    found = faults_of(path, leaves_much_unsaid)
    assert any("bores" in fault and fault.startswith("PR01") for fault in found)
    assert "flow has no [unit]" in found
    assert "ValueError is raised and not under Raises" in found
    assert any(fault.startswith("RT01") for fault in found)
