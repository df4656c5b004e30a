"""Least ratios over a few scenarios in all draws: what a search may look at most of the time.

And over all of them, when a few are known already: whether the others give less than those.
"""

from dataclasses import replace

import numpy as np

from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.studies.joint.beside import up_to_percentile, with_others
from flowsim.studies.joint.drawn import drawn_pairs
from flowsim.studies.joint.mirrored import alike_scenarios
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws, nominal_draws
from flowsim.studies.verdict.judging import LOW

WORST = 8
"""[-] Scenarios that are kept of each look at all. No effect on the answer."""


def percentile(ratio: FloatArray) -> float:
    """Give the 5th percentile of the least ratio in each draw (draw, scenario); NaN with any."""
    least = ratio.min(axis=1)
    return float("nan") if np.isnan(least).any() else float(np.percentile(least, LOW))


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
    return _drawn(sweep, _lowest(sweep, _distinct(sweep, draws), count), draws)


def _lowest(sweep: Sweep, rows: IntArray, count: int) -> IntArray:
    """Give those of some judged rows that give least on nominal values."""
    place = np.searchsorted(sweep.judged_rows, rows)
    nominal = np.minimum(sweep.ratio[rows], sweep.trapped_ratio[place])
    return np.asarray(rows[np.argsort(nominal, kind="stable")[:count]])


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

    ``few`` gives the 5th percentile of the least ratio over the scenarios that are known, in all
    draws. ``full`` looks among all scenarios for those that lower it, and gives it over those too.
    ``near`` [m] is a likely answer.
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
            ratio = _drawn(self.sweep, self.rows, moved)
            self._keep_worst(self.rows, ratio)
            return percentile(ratio)
        ratio = _drawn(self.sweep, self.known, moved)
        if np.isnan(ratio).any():
            return float("nan")
        least, others = ratio.min(axis=1), np.setdiff1d(self.rows, self.known)
        lower, joint = with_others(self.sweep, moved, least, others, LOW)
        if np.isnan(lower).any():
            return float("nan")
        lowers = (joint.trapped < up_to_percentile(least, LOW)[:, None]).any(axis=0)
        self.known = np.union1d(self.known, joint.rows[lowers])
        return self.few(rise)

    def _keep_worst(self, rows: IntArray, ratio: FloatArray) -> None:
        """Remember those scenarios that gave least (draw, scenario), most often."""
        if not len(rows):
            return
        often = (ratio < 1.0).sum(axis=0) - np.nan_to_num(ratio, posinf=1e9).min(axis=0) * 1e-9
        worst = rows[np.argsort(-often, kind="stable")[:WORST]]
        self.known = np.union1d(self.known, worst)

    def _moved(self, rise: float) -> Draws:
        return replace(self.draws, height=self.draws.height + rise)
