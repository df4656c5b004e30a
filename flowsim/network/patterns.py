"""Scenarios that are alike in what is open: the graph is then the same, and is walked once."""

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import IntArray

CODES_PER_WORD = 20
"""Codes of three bits that fit into one 64-bit number."""


def alike_rows(codes: npt.NDArray[np.int8]) -> Iterator[IntArray]:
    """Group rows of small codes that are equal.

    Parameters
    ----------
    codes : array of int (row, link)
        0 to 7 each.

    Yields
    ------
    IntArray (member,)
        The rows of each group, ascending.
    """
    differing = codes[:, (codes != codes[:1]).any(axis=0)]
    if not differing.shape[1]:
        yield np.arange(len(codes))
        return
    number = _packed(differing[:, :CODES_PER_WORD])
    for first in range(CODES_PER_WORD, differing.shape[1], CODES_PER_WORD):
        _, number = np.unique(number, return_inverse=True)
        _, packed = np.unique(
            _packed(differing[:, first : first + CODES_PER_WORD]), return_inverse=True
        )
        number = number * len(codes) + packed
    # Small numbers are sorted in a fraction of the time.
    small = number.max() <= np.iinfo(np.int16).max
    order = np.argsort(number.astype(np.int16) if small else number, kind="stable")
    edges = np.flatnonzero(np.diff(number[order])) + 1
    yield from np.split(order, edges)


def _packed(codes: npt.NDArray[np.int8]) -> IntArray:
    """Give one number for each row of codes (row, up to ``CODES_PER_WORD``)."""
    return codes.astype(np.int64) @ (8 ** np.arange(codes.shape[1], dtype=np.int64))
