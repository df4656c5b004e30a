"""Where a requirement is just met: the search for the edge."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np

from flowsim.errors import UnsolvedError
from flowsim.studies.saying import Said, saying

TOLERANCE = 1e-5
"""[-] Of the range's width: how closely the edge is found. Draws spread it far more."""
FIRST_STEP = 0.01
"""[-] Of the range's width: how far from a likely place the other side is looked for at first."""
ROUNDING = 1e-3
"""[-] Of the tolerance: how far a root that is one but for rounding is moved."""
ROUNDS = 12
"""[-] How often the edge of a few scenarios is sought before that of all is."""
WIDER = 4.0
"""[-] By how much each further step is longer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """Where the requirement is just met.

    ``asked`` of ``subject`` (empty: of the system). ``present`` is the value as it is, ``value``
    that at the edge [SI], NaN where there is none; then ``always`` says that it is met over the
    whole range from ``low`` to ``high``, else that it is met nowhere in it. ``meets_above`` tells
    on which side it is met.
    """

    asked: str
    subject: str
    unit: str
    present: float
    value: float
    low: float
    high: float
    always: bool
    meets_above: bool

    @property
    def question(self) -> Said:
        """What was asked, and of what."""
        if not self.subject:
            return self.asked
        return saying("sizing.question_of", asked=self.asked, subject=self.subject)


def find_edge(
    ratio: Callable[[float], float],
    asked: str,
    unit: str,
    present: float,
    limits: tuple[float, float],
    near: float | None,
    *,
    meets_above: bool,
    subject: str = "",
) -> Edge:
    """Find where ``ratio`` passes one, between two limits.

    Parameters
    ----------
    ratio : callable
        Ratio of flow to required [-] at a value [unit]; NaN where it could not be solved.
    asked, unit : str
    present : float
        The value as it is [unit].
    limits : tuple of float
        Least and greatest value [unit].
    near : float or None
        Where the edge is likely to lie [unit]: the search begins there, and looks at the limits
        only if it must.
    meets_above : bool
        Whether the requirement is met on the side of the greater values.
    subject : str
        Of what it was asked; empty for the whole system.

    Returns
    -------
    Edge
        Its value, where there is one, meets the requirement; the edge is no farther away than
        ``TOLERANCE`` of the range.

    Raises
    ------
    UnsolvedError
        Where the ratio is not known at a value that was tried.
    """
    from scipy.optimize import brentq

    @cache
    def misfit(value: float) -> float:
        found = ratio(value)
        if np.isnan(found):
            raise _unsolved(asked, subject, value, unit)
        return found - 1.0

    low, high = limits
    better = 1.0 if meets_above else -1.0
    first, second = _bracket(misfit, low, high, near, better)
    value, tolerance = float("nan"), TOLERANCE * (high - low)
    passes = (misfit(first) >= 0.0) != (misfit(second) >= 0.0)
    if passes:
        value = float(brentq(misfit, first, second, xtol=0.5 * tolerance, rtol=1e-12))
        value = _on_the_good_side(misfit, value, better * tolerance, limits)
    return Edge(
        asked=asked,
        subject=subject,
        unit=unit,
        present=present,
        value=value,
        low=low,
        high=high,
        always=not passes and misfit(first) >= 0.0,
        meets_above=meets_above,
    )


def find_edge_by_few(
    few: Callable[[float], float],
    full: Callable[[float], float],
    asked: str,
    unit: str,
    present: float,
    limits: tuple[float, float],
    near: float | None,
    *,
    meets_above: bool,
    subject: str = "",
) -> Edge:
    """Find where ``full`` passes one, looking mostly at what is cheaper and never less.

    Parameters
    ----------
    few : callable
        Ratio over some of the scenarios [-], so no less than that over all; it may know more of
        them each time that ``full`` was asked.
    full : callable
        Ratio over all scenarios [-].
    asked, unit, present, limits, near, meets_above, subject
        As in ``find_edge``.

    Returns
    -------
    Edge
        Its value meets the requirement in all scenarios; ``TOLERANCE`` of the range away it is not
        met in some of them.

    Raises
    ------
    UnsolvedError
        Where the ratio is not known at a value that was tried.
    """

    def edge_of(ratio: Callable[[float], float]) -> Edge:
        return find_edge(
            ratio, asked, unit, present, limits, near, meets_above=meets_above, subject=subject
        )

    for _ in range(ROUNDS):
        edge = edge_of(few)
        found = edge.value
        if np.isnan(found):
            if not edge.always:
                return edge
            found = limits[0] if meets_above else limits[1]
        ratio = full(found)
        if np.isnan(ratio):
            raise _unsolved(asked, subject, found, unit)
        if ratio >= 1.0:
            return edge
        near = found
    return edge_of(full)


def _unsolved(asked: str, subject: str, value: float, unit: str) -> UnsolvedError:
    return UnsolvedError(
        f"{asked}{' of ' + subject if subject else ''}: a judged scenario could not be "
        f"solved at {value:.6g} {unit}"
    )


def _bracket(
    misfit: Callable[[float], float], low: float, high: float, near: float | None, better: float
) -> tuple[float, float]:
    """Give two values of which one meets the requirement and the other does not.

    Without such a pair, the limit at which the search ended, twice; or both limits.
    """
    if near is None or not low < near < high:
        return low, high
    meets = misfit(near) >= 0.0
    way, step, here = (-better if meets else better), FIRST_STEP * (high - low), near
    while True:
        there = min(max(here + way * step, low), high)
        if (misfit(there) >= 0.0) is not meets or there in (low, high):
            return here, there
        here, step = there, WIDER * step


def _on_the_good_side(
    misfit: Callable[[float], float], value: float, step: float, limits: tuple[float, float]
) -> float:
    """Move a value until the requirement is met there: a root is met to rounding, a jump is not."""
    moved, by = value, ROUNDING * step
    while misfit(moved) < 0.0 and limits[0] < moved < limits[1]:
        moved = min(max(value + by, limits[0]), limits[1])
        by = max(step, 2.0 * by)
    return moved
