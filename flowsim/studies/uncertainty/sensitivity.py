"""What an output's spread comes from: variance-based indices, and one input at a time.

Saltelli's plan of 2010 on a scrambled Sobol sequence, laid out and run in chunks of bounded memory.
Plan and indices are those of ``scipy.stats.sobol_indices`` (``tests/unit/studies``), without the
import of that package, which takes as long as some ten thousand draws.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import FloatArray
from flowsim.progress import Progress
from flowsim.studies.sampling.sobol_sequence import scrambled_sobol

CHUNK = 4096
"""Rows of the plan that are evaluated together, pages one after the other: a few hundred at a time
cost little less."""
CONFIDENCE = 0.9
"""[-] Of the limits of an index, from resampling the plan's rows (seeded)."""
RESAMPLES = 200
EDGE = 1e-9
"""[-] Probabilities of the plan stay this far from 0 and 1, where a normal value is infinite; a
sequence of a thousand comes that near once in a million studies."""

Evaluate = Callable[[FloatArray], FloatArray]
"""Takes probabilities (draw, input), gives the output (draw,)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VarianceIndices:
    """First-order and total indices of each input (input,) [-], with their 90 % limits.

    First-order: share of the variance that goes if the input is known. Total: share that is left
    if all the others are known; it holds what the input does together with others.
    """

    first: FloatArray
    first_low: FloatArray
    first_high: FloatArray
    total: FloatArray
    total_low: FloatArray
    total_high: FloatArray
    evaluations: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Swings:
    """Output with one input at its ``low`` and ``high`` probability (input,), others at medians.

    ``middle`` is the output with every input at its median.
    """

    middle: float
    low: FloatArray
    high: FloatArray


def variance_indices(
    evaluate: Evaluate,
    active: npt.NDArray[np.bool_],
    samples: int,
    seed: int,
    progress: Progress | None = None,
) -> VarianceIndices | None:
    """Estimate the variance-based indices of an output.

    Parameters
    ----------
    evaluate : callable
        Probabilities (draw, input) to output (draw,).
    active : (input,)
        Inputs that have a spread; the others stay at their medians and get zero.
    samples : int
        Base samples, a power of two; ``samples * (active inputs + 2)`` evaluations.
    seed : int
    progress : callable, optional

    Returns
    -------
    VarianceIndices or None
        None where an evaluation failed or the output has no spread.

    References
    ----------
    A. Saltelli et al., Comput. Phys. Commun. 181 (2010) 259; I. M. Sobol, Math. Comput. Simul. 55
    (2001) 271.
    """
    which = np.flatnonzero(active)
    size = len(which)
    if size == 0:
        return None
    points = np.clip(scrambled_sobol(2 * size, samples, seed), EDGE, 1.0 - EDGE)
    first, second = points[:, :size], points[:, size:]
    parts, count = [], samples * (size + 2)
    for begin in range(0, count, CHUNK):
        if progress is not None:
            progress("varying inputs", begin, count)
        page, row = np.divmod(np.arange(begin, min(begin + CHUNK, count)), samples)
        plan = np.full((len(row), len(active)), 0.5)
        plan[:, which] = np.where((page == 1)[:, None], second[row], first[row])
        mixed = np.flatnonzero(page > 1)
        column = page[mixed] - 2
        plan[mixed, which[column]] = second[row[mixed], column]
        parts.append(evaluate(plan))
    outputs = np.concatenate(parts).reshape(size + 2, samples)
    if not np.isfinite(outputs).all() or np.ptp(outputs[:2]) == 0.0:
        return None
    acting = np.flatnonzero((outputs[2:] != outputs[0]).any(axis=1))
    kept = outputs[np.concatenate([[0, 1], 2 + acting])]
    first_order, total_order = _indices(kept)
    generator = np.random.default_rng([seed, 1])
    resampled = np.array(
        [_indices(kept[:, generator.integers(0, samples, samples)]) for _ in range(RESAMPLES)]
    )
    limits = np.quantile(resampled, [0.5 - 0.5 * CONFIDENCE, 0.5 + 0.5 * CONFIDENCE], axis=0)

    def everywhere(values: FloatArray) -> FloatArray:
        found = np.zeros(len(active))
        found[which[acting]] = values
        return found

    return VarianceIndices(
        first=everywhere(first_order),
        first_low=everywhere(limits[0, 0]),
        first_high=everywhere(limits[1, 0]),
        total=everywhere(total_order),
        total_low=everywhere(limits[0, 1]),
        total_high=everywhere(limits[1, 1]),
        evaluations=samples * (size + 2),
    )


def _indices(outputs: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Estimate first-order and total indices from the pages of a plan (page, sample).

    Table 2 of Saltelli 2010, rows b and f, about the mean (Sobol and Levitan, Comput. Phys. Commun.
    117 (1999) 52).
    """
    about = outputs - outputs[:2].mean()
    one, other, mixed = about[0], about[1], about[2:]
    variance = about[:2].var()
    if variance == 0.0:
        return np.zeros(len(mixed)), np.zeros(len(mixed))
    first = (other * (mixed - one)).mean(axis=1) / variance
    total = 0.5 * ((one - mixed) ** 2).mean(axis=1) / variance
    return first, total


def swings(evaluate: Evaluate, inputs: int, low: float = 0.05, high: float = 0.95) -> Swings:
    """Move one input at a time from its median to a low and a high probability.

    Parameters
    ----------
    evaluate : callable
        Probabilities (draw, input) to output (draw,).
    inputs : int
        How many there are.
    low, high : float
        Probabilities [-] of the moved input.

    Returns
    -------
    Swings
    """
    plan = np.full((2 * inputs + 1, inputs), 0.5)
    index = np.arange(inputs)
    plan[1 + index, index] = low
    plan[1 + inputs + index, index] = high
    output = evaluate(plan)
    return Swings(middle=float(output[0]), low=output[1 : inputs + 1], high=output[inputs + 1 :])
