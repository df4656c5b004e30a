"""The quantity at which something is lost, in every draw: its band, and what it rests on.

In each draw the largest limit of many rows is sought. It is sought in the row that is largest on
nominal values; another is searched only in the draws in which it is not fine there. A row that is
fine there with everything as bad as in any draw needs no trial of its own: what is fine stays so
with more fuel and with less loss (docs/theory/unusable.md).
"""

import math

import numpy as np

from flowsim.physics.arrays import BoolArray, FloatArray, IntArray
from flowsim.studies.judged.limit_search import CHUNK, TOLERANCE, find_limits
from flowsim.studies.sampling.draws import DRAWN, Draws
from flowsim.studies.sampling.worst_draw import worst_draws
from flowsim.studies.unusable.result import QuantityBand
from flowsim.studies.unusable.rows import Trials

LOW, MIDDLE, HIGH = 0.05, 0.50, 0.95
"""[-] Shares of the draws that lie at or below the percentiles. Tag: common practice."""
BESIDE = 2e-7
"""[m3] 0.2 mL: a limit is tried so far above it, as at a jump itself an outlet is still bare."""
GROUPS = (1, 4, 16)
"""[-] Into so many groups of like height the draws are cut, each with a bound of its own: what one
cut does not settle goes to the next. No effect on the answer."""


class DrawnTrials:
    """Tries rows in draws of their own; remembers in which draws a solve failed (draw,)."""

    def __init__(self, trials: Trials, draws: Draws) -> None:
        self.trials = trials
        self.draws = draws.take(np.arange(min(DRAWN, draws.count)))
        self.failed = np.zeros(self.draws.count, dtype=bool)
        self.least, self.most = trials.range()
        order = np.argsort(self.draws.height, kind="stable")
        cuts = [np.array_split(order, min(number, len(order))) for number in GROUPS]
        self.cuts = [(cut, worst_draws(trials.assembly, self.draws, cut)) for cut in cuts]

    @property
    def count(self) -> int:
        """Number of draws."""
        return self.draws.count

    def fine(
        self, rows: IntArray, draw: IntArray, quantity: FloatArray, criteria: tuple[int, ...]
    ) -> BoolArray:
        """Whether rows, each in a draw of its own, are fine by all criteria (pair,)."""
        found = np.zeros(len(rows), dtype=bool)
        for start in range(0, len(rows), CHUNK):
            part = slice(start, start + CHUNK)
            answer, solved = self.trials.tried(
                rows[part], quantity[part], self.draws.take(draw[part])
            )
            found[part] = answer[:, list(criteria)].all(axis=1)
            self.failed[draw[part][~solved]] = True
        return found

    def doubtful(
        self,
        rows: IntArray,
        quantity: FloatArray,
        criteria: tuple[int, ...],
        among: BoolArray | None = None,
    ) -> BoolArray:
        """Tell which rows are not shown to be fine in which draws (row, draw).

        ``quantity`` (draw,) or (draw, tank) [m3] is what the emptied tanks hold; ``among``
        (row, draw) tells what is asked for, else all is.
        """
        every = np.ones((len(rows), self.count), dtype=bool)
        found = every if among is None else among.copy()
        for groups, worst in self.cuts:
            least = np.stack([quantity[group].min(axis=0) for group in groups])
            open_ = np.column_stack([found[:, group].any(axis=1) for group in groups])
            row, number = np.nonzero(open_)
            if not len(row):
                break
            answer, _ = self.trials.tried(rows[row], least[number], worst.take(number))
            fine = answer[:, list(criteria)].all(axis=1)
            for shown, group in zip(row[fine], number[fine], strict=True):
                found[shown, groups[group]] = False
        return found

    def lost(
        self,
        rows: IntArray,
        quantity: FloatArray,
        criteria: tuple[int, ...],
        emptied: BoolArray,
        hard: BoolArray,
    ) -> tuple[IntArray, BoolArray]:
        """Give the places of the rows that were found lost, and the draws lost (draw, tank).

        ``quantity`` (draw, tank) [m3]; ``emptied`` (row, tank) tells whose fuel runs out in a row.
        A draw is lost for a tank as soon as one of its rows is, so that no other is tried for it
        there: first the ``hard`` ones (row,), likely lost, then the row that is in doubt in most
        draws, then twice as many each time. The order has no effect on the draws lost.
        """
        lost = np.zeros((self.count, emptied.shape[1]), dtype=bool)
        found = [np.empty(0, dtype=np.intp)]

        def look(batch: IntArray, doubtful: BoolArray) -> None:
            place, draw = np.nonzero(doubtful & self._open(emptied[batch], lost))
            if not len(place):
                return
            bad = ~self.fine(rows[batch[place]], draw, quantity[draw], criteria)
            for own, one in zip(batch[place[bad]], draw[bad], strict=True):
                lost[one] |= emptied[own]
            found.append(batch[place[bad]])

        for row in np.flatnonzero(hard):
            look(np.array([row]), np.ones((1, self.count), dtype=bool))
        others = np.flatnonzero(~hard)
        among = self._open(emptied[others], lost) if lost.any() else None
        doubtful = self.doubtful(rows[others], quantity, criteria, among)
        often = doubtful.sum(axis=1)
        order = np.argsort(-often, kind="stable")[: np.count_nonzero(often)]
        start, count = 0, 1
        while start < len(order):
            batch = order[start : start + count]
            look(others[batch], doubtful[batch])
            start, count = start + count, 2 * count
        return np.concatenate(found), lost

    @staticmethod
    def _open(emptied: BoolArray, lost: BoolArray) -> BoolArray:
        """Tell in which draws a row's tanks are not all lost yet (row, draw)."""
        return np.asarray((emptied[:, None] & ~lost[None]).any(axis=2))

    def limits(self, rows: IntArray, draw: IntArray, criteria: tuple[int, ...]) -> FloatArray:
        """Least quantity that is fine (pair,) [m3]; infinite where not even a full tank is."""
        found = find_limits(
            lambda which, quantity: self.fine(rows[which], draw[which], quantity, criteria)[
                :, None
            ],
            self.least[rows],
            self.most[rows],
            self.trials.jumps(rows, self.draws.take(draw)),
            1,
        )
        return found.quantity[:, 0]

    def largest(self, rows: IntArray, nominal: FloatArray, criteria: tuple[int, ...]) -> FloatArray:
        """Largest limit of some rows in every draw (draw,) [m3]; NaN in draws that failed.

        ``nominal`` (row,) [m3] are their limits on nominal values: the largest is searched first.
        That has no effect on the answer.
        """
        order = rows[np.argsort(-nominal, kind="stable")]
        every = np.arange(self.count)
        found = self.limits(np.full(self.count, order[0]), every, criteria)
        others = order[1:]
        if len(others):
            place, draw = np.nonzero(self.doubtful(others, found + BESIDE, criteria))
            self._raise(found, others, (place, draw), criteria)
        return np.where(self.failed, np.nan, found)

    def _raise(
        self,
        found: FloatArray,
        rows: IntArray,
        pairs: tuple[IntArray, IntArray],
        criteria: tuple[int, ...],
    ) -> None:
        """Raise what was found (draw,) until all pairs of a row's place and a draw are fine.

        The first in order of each draw is searched, and what is not fine there is halved together.
        """
        place, draw = self._lost(found, rows, pairs, criteria)
        if not len(place):
            return
        order = np.lexsort((place, draw))
        first = order[np.unique(draw[order], return_index=True)[1]]
        higher = self.limits(rows[place[first]], draw[first], criteria)
        found[draw[first]] = np.maximum(found[draw[first]], higher)
        left = np.delete(place, first), np.delete(draw, first)
        place, draw = self._lost(found, rows, left, criteria)
        low, high = found.copy(), found.copy()
        high[draw] = self.most[rows[place]]
        while True:
            with np.errstate(invalid="ignore"):  # infinite on either side: settled
                wide = np.flatnonzero((high - low > TOLERANCE)[draw])
            if not len(wide):
                break
            place, draw = place[wide], draw[wide]
            middle = 0.5 * (low + high)
            lost = ~self.fine(rows[place], draw, middle[draw], criteria)
            tried, bad = np.unique(draw), np.unique(draw[lost])
            good = np.setdiff1d(tried, bad)
            low[bad], high[good] = middle[bad], middle[good]
            # What is fine where another is not cannot be the largest.
            keep = lost | np.isin(draw, good)
            place, draw = place[keep], draw[keep]
        found[:] = high

    def _lost(
        self,
        found: FloatArray,
        rows: IntArray,
        pairs: tuple[IntArray, IntArray],
        criteria: tuple[int, ...],
    ) -> tuple[IntArray, IntArray]:
        """Give the pairs that are not fine; a draw in which one is not on full tanks is settled."""
        place, draw = pairs
        for at_most in (False, True):
            left = np.flatnonzero(np.isfinite(found[draw]))
            place, draw = place[left], draw[left]
            held = self.most[rows[place]] - BESIDE if at_most else found[draw] + BESIDE
            lost = ~self.fine(rows[place], draw, held, criteria)
            if at_most:
                found[draw[lost]] = np.inf
            else:
                place, draw = place[lost], draw[lost]
        left = np.flatnonzero(np.isfinite(found[draw]))
        return place[left], draw[left]


def band_of(limits: FloatArray | None, stated: float) -> QuantityBand:
    """Give the band of limits in draws.

    Parameters
    ----------
    limits : FloatArray (draw,) or None
        [m3] Least quantity that is enough; infinite where none is, NaN where a solve failed. None
        where nothing is asked for: a band of no draws.
    stated : float
        [m3] Quantity whose share is asked for; NaN for none.

    Returns
    -------
    QuantityBand
        Percentiles are limits that were found: the least that is enough in that share of the
        draws. So the stated quantity is no less than ``high`` where it is enough in 95 % of them.
    """
    drawn = np.empty(0) if limits is None else limits
    failed = int(np.isnan(drawn).sum())
    if limits is None or failed:
        return QuantityBand(
            low=math.nan, middle=math.nan, high=math.nan, draws=len(drawn), failed=failed,
            enough=math.nan,
        )  # fmt: skip
    ordered = np.sort(limits)
    low, middle, high = (
        float(ordered[math.ceil(share * len(ordered) - 1e-9) - 1]) for share in (LOW, MIDDLE, HIGH)
    )
    enough = math.nan if math.isnan(stated) else float((limits <= stated).mean())
    return QuantityBand(
        low=low, middle=middle, high=high, draws=len(limits), failed=0, enough=enough
    )
