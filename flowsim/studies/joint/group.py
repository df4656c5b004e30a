"""The least of all scenarios of one end and purpose in each draw: what is drawn to know it."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import BoolArray, FloatArray, IntArray
from flowsim.studies.joint.drawn import Least, drawn_pairs
from flowsim.studies.joint.proof import Proof
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws

Found = dict[int, tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]]

NONE_ARRIVES = 1e-6
"""[-] Of what is required: no more is none. An onset of air is found to some 1e-8 of it."""
MOST_TOGETHER = 16384
"""Scenarios times draws that are solved at once: more is no quicker, and takes memory."""
WORTH_ASKING = 2048
"""[-] Solved scenarios times draws that cost about as much as one more proof; no effect on the
answer."""
CLOSE = 1.06
"""[-] A scenario whose nominal ratio is within this of the least is looked at by itself before the
others like it: it is likely to be drawn. No effect on the answer."""


class ScenarioGroup:
    """Scenarios of one end and purpose: draws what may be the least.

    ``pending`` (any,) are those left, by their number among the judged, in the order of their
    nominal ratio ``nominal`` (judged scenario,); ``known`` what the drawn ones gave; ``found``
    takes, by row of the sweep's table, what was drawn. What is ``known`` from the start is what
    others gave that are not asked for here. In a draw in which nothing arrives in one
    scenario no other is asked for: how hard fuel would run back there is for information.
    """

    def __init__(
        self,
        sweep: Sweep,
        draws: Draws,
        proof: Proof,
        pending: IntArray,
        found: Found,
        known: Least | None = None,
    ) -> None:
        self.sweep, self.draws, self.proof = sweep, draws, proof
        self.pending, self.found = pending, found
        self.nominal = np.minimum(sweep.ratio[sweep.judged_rows], sweep.trapped_ratio)
        self.close = CLOSE * float(self.nominal[pending[0]])
        if known is None:
            unknown = np.full(draws.count, np.inf)
            self.known = Least(full=unknown, trapped=unknown)
            self._draw_together(pending[:1], np.arange(draws.count))
            self.pending = pending[1:]
        else:
            self.known = Least(
                full=_none_is_least(known.full), trapped=_none_is_least(known.trapped)
            )
            self.close = min(self.close, CLOSE * float(np.median(known.trapped)))
        if len(self.pending) and sweep.trapped.held[pending].any():
            self._draw_lowest_full()

    def settle(self) -> Iterator[None]:
        """Show of all pending that they need not be drawn, or draw them; yields now and then."""
        while len(self.pending):
            yield
            if np.isnan(self.known.full).any() or np.isnan(self.known.trapped).any():
                return  # a draw failed: nobody knows, whatever the others give
            family = self.proof.family[self.pending]
            mates = self.pending[family == family[0]]
            self.pending = self.pending[family != family[0]]
            self._settle(mates)

    def _draw_lowest_full(self) -> None:
        """Draw what gives least with lines full: the first in order may be so for its air."""
        place = int(np.argmin(self.sweep.ratio[self.sweep.judged_rows[self.pending]]))
        lowest, self.pending = int(self.pending[place]), np.delete(self.pending, place)
        self._draw_if_open(lowest)

    def _settle(self, mates: IntArray) -> None:
        """Show what can be shown of a family, and draw the rest from the hardest on."""
        if self.nominal[mates[0]] < self.close and self._draw_if_open(int(mates[0])):
            mates = mates[1:]
        proof, left = self.proof, np.arange(self.draws.count)
        while len(mates):
            where = np.flatnonzero(proof.open_draws(mates, self.known.take(left)))
            if not len(where):
                return
            # What is shown in a draw stays shown, as the least can only fall.
            proof, left = proof.part(where), left[where]
            over = proof.spare(mates, self.known.take(left))
            order = np.argsort(over, kind="stable")
            mates = mates[order[over[order] < 0.0]]
            mates = self._draw_while_open(mates, proof, left)

    def _draw_while_open(self, mates: IntArray, proof: Proof, left: IntArray) -> IntArray:
        """Draw from the hardest on until some are shown not to be the least; give those left.

        ``proof`` is that in the draws ``left``, the only ones in which they may be the least.
        More at once each time: solving many together costs little more than solving one, and where
        none lowers the least and none can be shown not to, there are many.
        """
        count, alone, drawn = 1, 0, False
        while len(mates):
            where = self._open(proof, mates[:count], left)
            # Too much in common is asked of them, unless solving it costs less than asking again.
            if count > 1 and where.sum() > alone and count * (where.sum() - alone) > WORTH_ASKING:
                count = 1
                where = self._open(proof, mates[:1], left)
            batch, mates = mates[:count], mates[count:]
            if not where.any():
                if drawn:  # what is known has fallen: much may be shown at once
                    return mates
                continue
            drawn = True
            alone = where.sum() if count == 1 else alone
            self._draw_together(batch, left[where])
            count = int(np.clip(MOST_TOGETHER // where.sum(), 1, 2 * count))
        return mates

    def _draw_together(self, batch: IntArray, some: IntArray) -> None:
        """Draw scenarios in the same draws ``some``, and keep what is known then."""
        rows = self.sweep.judged_rows[batch]
        pairs = np.tile(some, len(batch))
        solved = drawn_pairs(
            self.sweep, np.repeat(rows, len(some)), self.draws.take(pairs), self.known.take(pairs)
        )
        least = [self.known.full.copy(), self.known.trapped.copy()]
        for number, row in enumerate(rows):
            part = slice(number * len(some), (number + 1) * len(some))
            both = np.full((2, self.draws.count), np.inf)
            both[:, some] = solved[0][part], solved[1][part]
            self.found[int(row)] = both[0], both[1]
            least = [np.minimum(known, own) for known, own in zip(least, both, strict=True)]
        self.known = Least(full=_none_is_least(least[0]), trapped=_none_is_least(least[1]))

    def _open(self, proof: Proof, batch: IntArray, left: IntArray) -> BoolArray:
        """Tell in which of the draws ``left`` scenarios may be the least.

        With the flow spread as each draw spreads it only where air limits what they give: else the
        flow itself is found by one such solve, and needs no proof.
        """
        limited = self.sweep.delivery.air_limited[self.sweep.judged_rows[batch]]
        return proof.open_draws(batch, self.known.take(left), own_shares=bool(limited.any()))

    def _draw_if_open(self, judged: int) -> bool:
        """Draw a scenario in the draws in which it may be the least; tell whether there are any."""
        everywhere = np.arange(self.draws.count)
        where = np.flatnonzero(self._open(self.proof, np.array([judged]), everywhere))
        if len(where):
            self._draw_together(np.array([judged]), where)
        return len(where) > 0


def _none_is_least(ratio: FloatArray) -> FloatArray:
    """Give minus infinity where nothing arrives: no other scenario can deliver less than that."""
    return np.where(ratio <= NONE_ARRIVES, -np.inf, ratio)
