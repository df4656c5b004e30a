"""Which input the spread of the margin comes from, from draws that were made anyway.

An input's share is its first-order index: how much of the variance of the margin would go, on
average, if that input were known. It is found by fitting the margin with a sum of smooth curves,
one for each input (additive fit; docs/theory/uncertainty.md). ``check`` and the uncertainty study
use this same estimate, so that they name the same measurement.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.studies.sampling.causes import Uncertain
from flowsim.studies.saying import Said

DEGREE = 3
"""Powers in the curve of each input: straight, bent, twisted."""
EVEN_ERRORS = 2.0
"""Shares that differ by less than so many standard errors count as even."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """One input's part in the spread.

    ``share`` [-] of the variance that would go if the input were known; an input that does nothing
    has a share near zero, of either sign. ``error`` [-] is its standard error.
    """

    key: str
    name: Said
    measurement: Said
    share: float
    error: float


class AdditiveFit:
    """Least-squares fit of an output by a sum of cubics, one per input; takes draws in batches.

    Only sums are kept, so memory does not grow with the number of draws.
    """

    def __init__(self, inputs: int) -> None:
        size = inputs * DEGREE + 2
        self.inputs = inputs
        self.count = 0
        self._origin = 0.0
        self._sums = np.zeros((size, size))

    def add(self, values: FloatArray, output: FloatArray) -> None:
        """Take more draws.

        Parameters
        ----------
        values : FloatArray (draw, input)
            Probabilities, above 0 and below 1, as ``Draws.values``.
        output : FloatArray (draw,)
            What came of each draw [any unit]; one NaN makes every share NaN.
        """
        if self.count == 0 and len(output):
            self._origin = float(output[0])
        score = np.log(values / (1.0 - values))  # any smooth stretch of the tails would do
        powers = [score**power for power in range(1, DEGREE + 1)]
        columns = np.column_stack([np.ones(len(output)), *powers, output - self._origin])
        self._sums += columns.T @ columns
        self.count += len(output)

    def variance(self) -> float:
        """Variance of the output so far [unit of the output, squared]."""
        mean = self._sums[0, -1] / self.count
        return float(self._sums[-1, -1] / self.count - mean**2)

    def shares(self) -> tuple[FloatArray, FloatArray]:
        """First-order share of each input and its standard error (input,), (input,).

        Returns
        -------
        tuple of FloatArray
            NaN where the output has no spread, holds a NaN, or there are too few draws.
        """
        nothing = np.full(self.inputs, np.nan)
        terms = self.inputs * DEGREE
        total = self.variance() if self.count else np.nan
        if not (total > 0.0) or self.count < 2 * (terms + 1):
            return nothing, nothing
        mean = self._sums[0] / self.count
        covariance = self._sums[1:, 1:] / self.count - np.outer(mean[1:], mean[1:])
        scale = np.sqrt(np.diagonal(covariance)[:-1])
        within = covariance[:-1, :-1] / np.outer(scale, scale)
        across = covariance[:-1, -1] / scale
        weight = np.linalg.solve(within, across)
        left = max(total - float(weight @ across), 0.0) * self.count / (self.count - terms - 1)
        noise = DEGREE * left / self.count  # what a curve picks up where there is nothing
        explained = np.empty(self.inputs)
        for index in range(self.inputs):
            mine = np.arange(DEGREE) * self.inputs + index
            explained[index] = weight[mine] @ within[np.ix_(mine, mine)] @ weight[mine] - noise
        # The curves' own variances, not the draws': inputs are independent, draws only nearly so.
        whole = float(explained.sum()) + left
        error = np.sqrt((4.0 * np.maximum(explained, 0.0) + 2.0 * noise) * left / self.count)
        return explained / whole, error / whole


def ranked_shares(inputs: Sequence[Uncertain], fit: AdditiveFit) -> tuple[Share, ...]:
    """Name the shares of a fit, largest first; empty where there is no spread to share out.

    Parameters
    ----------
    inputs : sequence of Uncertain
        In the order of the fit's inputs.
    fit : AdditiveFit

    Returns
    -------
    tuple of Share
    """
    share, error = fit.shares()
    if np.isnan(share).any():
        return ()
    return tuple(
        Share(
            key=inputs[index].key,
            name=inputs[index].name,
            measurement=inputs[index].measurement,
            share=float(share[index]),
            error=float(error[index]),
        )
        for index in np.argsort(-share, kind="stable")
    )


def shares_of(
    inputs: Sequence[Uncertain], values: FloatArray, output: FloatArray
) -> tuple[Share, ...]:
    """Rank inputs on one set of draws.

    Parameters
    ----------
    inputs : sequence of Uncertain
    values : FloatArray (draw, input)
        Probabilities, as ``Draws.values``.
    output : FloatArray (draw,)
        The least margin in each draw [-].

    Returns
    -------
    tuple of Share
        Largest first; empty where there is no spread, a draw failed, or draws are too few.
    """
    fit = AdditiveFit(len(inputs))
    fit.add(values, output)
    return ranked_shares(inputs, fit)


def even(first: Share, other: Share) -> bool:
    """Tell whether two shares cannot be told apart."""
    return first.share - other.share < EVEN_ERRORS * float(np.hypot(first.error, other.error))
