"""Public functions of the core say what they take, give, refuse, and where a law is from."""

import doctest
import importlib
import warnings
from dataclasses import dataclass

import pytest

from flowsim.physics.losses.laws import LAWS
from tests.support.docstrings import (
    faults_of,
    faults_of_fields,
    faults_of_method,
    modules,
    public_functions,
    public_methods,
    public_records,
)

FUNCTIONS = dict(public_functions())
METHODS = {path: (function, is_property) for path, function, is_property in public_methods()}


def test_docstrings_are_complete():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the validator's own imports
        found = [
            f"{path}: {fault}" for path in FUNCTIONS for fault in faults_of(path, FUNCTIONS[path])
        ]
    assert not found, "\n".join(found)


def test_methods_say_as_much():
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # the validator's own imports
        found = [
            f"{path}: {fault}" for path, what in METHODS.items()
            for fault in faults_of_method(path, *what)
        ]  # fmt: skip
    assert not found, "\n".join(found)


def test_fields_of_numbers_are_said_with_units():
    records = list(public_records())
    found = [f"{cls.__name__}: {fault}" for cls in records for fault in faults_of_fields(cls)]
    assert not found, "\n".join(found)
    assert len(records) > 80


def test_what_is_looked_at_is_there():
    assert len(METHODS) > 90
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


class LeavesMuchUnsaid:
    """A thing."""

    @property
    def length(self) -> float:
        """Give it."""
        return 1.0

    def point(self, along: float) -> float:
        """Give it."""
        return along


def test_a_method_that_leaves_things_unsaid_is_found():
    of = f"{__name__}.LeavesMuchUnsaid"
    length, point = LeavesMuchUnsaid.length.fget, LeavesMuchUnsaid.point
    assert faults_of_method(f"{of}.length", length, True) == ["what it gives has no [unit]"]
    found = faults_of_method(f"{of}.point", point, False)
    assert [fault[:4] for fault in found] == ["PR01", "RT01"]


@dataclass
class HoldsMuchUnsaid:
    """A ``length``."""

    length: float
    width: float


def test_a_field_that_is_left_unsaid_is_found():
    assert faults_of_fields(HoldsMuchUnsaid) == ["width is not said", "has no [unit]"]
