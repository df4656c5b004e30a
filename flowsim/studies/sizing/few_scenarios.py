"""Least ratios over a few scenarios in all draws: what a search may look at most of the time."""

from dataclasses import replace

import numpy as np

from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.studies.joint.drawn import drawn_pairs
from flowsim.studies.joint.mirrored import alike_scenarios
from flowsim.studies.joint.study import joint_result
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws, nominal_draws

WORST = 8
"""[-] Scenarios that are kept of each look at all. No effect on the answer."""


def percentile(ratio: FloatArray) -> float:
    """Give the 5th percentile of the least ratio in each draw (draw, scenario); NaN with any."""
    least = ratio.min(axis=1)
    return float("nan") if np.isnan(least).any() else float(np.percentile(least, 5.0))


def of_few(sweep: Sweep, draws: Draws, count: int) -> FloatArray:
    """Solve the scenarios that give least on nominal values in every draw.

    Parameters
    ----------
    sweep : Sweep
    draws : Draws
    count : int
        How many, of those that are alike one.

    Returns
    -------
    FloatArray (draw, scenario)
        Ratio of flow to required [-] with air in place.
    """
    rows = _distinct(sweep, draws)
    place = np.searchsorted(sweep.judged_rows, rows)
    nominal = np.minimum(sweep.ratio[rows], sweep.trapped_ratio[place])
    return _drawn(sweep, rows[np.argsort(nominal, kind="stable")[:count]], draws)


def _distinct(sweep: Sweep, draws: Draws) -> IntArray:
    """Give the rows of the judged scenarios, of those that are alike one."""
    first = np.unique(alike_scenarios(sweep, draws), return_index=True)[1]
    return np.asarray(sweep.judged_rows[first])


def _drawn(sweep: Sweep, rows: IntArray, draws: Draws) -> FloatArray:
    """Ratios of scenarios in every draw (draw, scenario)."""
    pairs = np.tile(np.arange(draws.count), len(rows))
    found = drawn_pairs(sweep, np.repeat(rows, draws.count), draws.take(pairs))[1]
    return found.reshape(len(rows), draws.count).T


class MovedSurfaces:
    """A system whose surfaces all stand higher by a rise [m], over whatever end is judged.

    ``full`` gives the 5th percentile of the least ratio over all scenarios and remembers those
    that gave least, which ``few`` looks at. ``near`` [m] is a likely answer.
    """

    def __init__(self, sweep: Sweep, draws: Draws, near: float = 0.0) -> None:
        self.sweep, self.draws = sweep, draws
        self.rows = _distinct(sweep, draws)
        # On nominal values, raised to where the answer is likely to lie.
        single = nominal_draws(sweep.assembly, 1)
        least = _drawn(sweep, self.rows, replace(single, height=single.height + near))[0]
        self.known = self.rows[np.argsort(least, kind="stable")[:WORST]]

    def few(self, rise: float) -> float:
        """Ratio over the scenarios that are known [-]."""
        return percentile(_drawn(self.sweep, self.known, self._moved(rise)))

    def full(self, rise: float) -> float:
        """Ratio over all scenarios [-]."""
        moved = self._moved(rise)
        if self.draws.count == 1:
            # A single draw of all is sooner solved than proven not to be the least.
            rows, ratio = self.rows, _drawn(self.sweep, self.rows, moved)
        else:
            joint = joint_result(self.sweep, moved, together=True)
            rows, ratio = joint.rows, joint.trapped
        often = (ratio < 1.0).sum(axis=0) - np.nan_to_num(ratio, posinf=1e9).min(axis=0) * 1e-9
        worst = rows[np.argsort(-often, kind="stable")[:WORST]]
        self.known = np.union1d(self.known, worst)
        return percentile(ratio)

    def _moved(self, rise: float) -> Draws:
        return replace(self.draws, height=self.draws.height + rise)
