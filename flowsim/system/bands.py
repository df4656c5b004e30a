"""How far a value may lie from what is stated: distributions of one dimensionless factor or value.

A band is data here; drawing from it is the business of ``flowsim.studies``.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Exact:
    """No spread: the factor is always one."""


@dataclass(frozen=True, slots=True)
class Triangular:
    """Factor [-] with a triangular distribution between ``low`` and ``high``, peak at ``mode``."""

    low: float
    mode: float
    high: float


@dataclass(frozen=True, slots=True)
class Lognormal:
    """Factor [-] of median one; a standard deviation multiplies or divides by ``factor`` (> 1)."""

    factor: float


@dataclass(frozen=True, slots=True)
class LognormalEnds:
    """Factor [-] known by its ends: 5 % of it lies below ``low``, 5 % above ``high``.

    Half lies on each side of ``middle`` (0 < low <= middle <= high): two halves of lognormal
    distributions that meet at the median, each with the spread that its own end asks for, so that
    ends which are not symmetric about the value are met exactly.
    """

    low: float
    high: float
    middle: float = 1.0


@dataclass(frozen=True, slots=True)
class Normal:
    """Factor [-] with mean one and standard deviation ``deviation``."""

    deviation: float


Band = Exact | Triangular | Lognormal | LognormalEnds | Normal
