"""Sweeps of the small systems, made once for all tests that only look at them."""

from functools import cache

from flowsim.studies.judged.sweep import Sweep, sweep
from tests.support.systems import one_tank, two_tanks


@cache
def swept() -> Sweep:
    """The one-tank system."""
    return sweep(one_tank())


@cache
def swept_pair() -> Sweep:
    """The two-tank system."""
    return sweep(two_tanks())
