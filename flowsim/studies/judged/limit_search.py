"""The quantity below which something is lost: bracketing, for many attitudes at once.

While the same outlets stay covered, flow and standing columns only fall as a tank empties. They
jump only where an outlet uncovers, and these quantities are known beforehand. So the range is cut
there, both ends of each piece are tried, and only a piece that changes inside is halved. What is
found is the least quantity that is fine and above which every quantity is fine too.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import BoolArray, FloatArray

TOLERANCE = 1e-5
"""[m3] 0.01 L: how closely a limit is found; the end that is still fine is given."""
BESIDE = 1e-7
"""[m3] 0.1 mL: how far beside a jump each side of it is tried."""
CHUNK = 40_000
"""Trials at once, so that memory stays bounded."""

RowsHold = Callable[[npt.NDArray[np.intp], FloatArray], BoolArray]
"""Tells whether rows are fine at quantities [m3]: (rows (n,), quantity (n,)) to (n, criterion)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """``quantity`` (row, criterion) [m3]: fine at it and above it.

    Infinite where not even the highest quantity is fine; the lowest where all are (``always``).
    """

    quantity: FloatArray
    always: BoolArray


def find_limits(
    trial: RowsHold, low: FloatArray, high: FloatArray, jumps: FloatArray, criteria: int
) -> Limits:
    """Find for each row and criterion the quantity below which it is no longer fine.

    Parameters
    ----------
    trial : callable
        See ``RowsHold``. Anything but a plain yes (a failed solve) must count as not fine.
    low, high : FloatArray (row,)
        [m3] Range of the quantity.
    jumps : FloatArray (row, jump)
        [m3] Quantities at which the answer may jump; NaN or outside the range: not used.
    criteria : int
        How many criteria ``trial`` answers.

    Returns
    -------
    Limits
    """
    cuts = _cuts(low, high, jumps)
    beside = np.minimum(BESIDE, 0.25 * np.diff(cuts, axis=1))
    bottom, top = cuts[:, :-1] + beside, cuts[:, 1:] - beside
    wide = top > bottom
    fine_bottom = _tried(trial, bottom, wide, criteria)
    fine_top = _tried(trial, top, wide, criteria)
    count = len(low)
    quantity = np.tile(low[:, None], (1, criteria))
    settled = np.zeros((count, criteria), dtype=bool)
    open_low = np.full((count, criteria), np.nan)
    open_high = np.full((count, criteria), np.nan)
    last = cuts.shape[1] - 2
    for piece in range(last, -1, -1):
        solid = wide[:, piece][:, None]
        lost_top = ~settled & solid & ~fine_top[:, piece]
        quantity = np.where(lost_top, cuts[:, piece + 1][:, None], quantity)
        lost_inside = ~settled & solid & fine_top[:, piece] & ~fine_bottom[:, piece]
        open_low = np.where(lost_inside, bottom[:, piece][:, None], open_low)
        open_high = np.where(lost_inside, top[:, piece][:, None], open_high)
        settled |= lost_top | lost_inside
    quantity = _halve(trial, quantity, open_low, open_high)
    never = settled & np.isnan(open_low) & (quantity >= high[:, None])
    return Limits(quantity=np.where(never, np.inf, quantity), always=~settled)


def _cuts(low: FloatArray, high: FloatArray, jumps: FloatArray) -> FloatArray:
    """Give the ends of the pieces (row, cut), rising; useless jumps fall to the low end."""
    inside = (jumps > low[:, None]) & (jumps < high[:, None])
    useful = np.where(inside, jumps, low[:, None])
    return np.sort(np.column_stack([low, useful, high]), axis=1)


def _tried(trial: RowsHold, quantity: FloatArray, wide: BoolArray, criteria: int) -> BoolArray:
    """Try a table of quantities (row, piece), in chunks: (row, piece, criterion).

    A piece that is not ``wide`` is not looked at.
    """
    rows, pieces = np.nonzero(wide)
    answers = np.zeros((*quantity.shape, criteria), dtype=bool)
    for start in range(0, len(rows), CHUNK):
        row, piece = rows[start : start + CHUNK], pieces[start : start + CHUNK]
        answers[row, piece] = trial(row, quantity[row, piece])
    return answers


def _halve(
    trial: RowsHold, quantity: FloatArray, open_low: FloatArray, open_high: FloatArray
) -> FloatArray:
    """Halve the open brackets together until each is no wider than the tolerance."""
    row, criterion = np.nonzero(~np.isnan(open_low))
    low, high = open_low[row, criterion], open_high[row, criterion]
    while True:
        wide = np.flatnonzero(high - low > TOLERANCE)
        if not len(wide):
            break
        middle = 0.5 * (low[wide] + high[wide])
        fine = trial(row[wide], middle)[np.arange(len(wide)), criterion[wide]]
        high[wide] = np.where(fine, middle, high[wide])
        low[wide] = np.where(fine, low[wide], middle)
    found = quantity.copy()
    found[row, criterion] = high
    return found
