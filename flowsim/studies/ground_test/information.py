"""Which run tells most: how much each is expected to narrow the answer.

On one set of joint draws the answer (flow over required of the deciding scenario) and the logarithm
of every candidate's time are known together. Taken as normal, a reading of run i with error s takes
away the share cov(answer, time_i)^2 / (var(answer) (var(time_i) + s^2)) of the answer's variance.
The best is chosen, everything is conditioned on it, and so on.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class RunChoice:
    """One chosen run: its index among the candidates and what it takes away.

    ``alone`` [-] share of the answer's variance that it would take away by itself, ``gain`` [-] the
    share that it takes away after those before it, ``left`` [-] the share that is then left.
    """

    index: int
    alone: float
    gain: float
    left: float


def choose(
    answer: FloatArray,
    times: FloatArray,
    error: FloatArray,
    first: npt.NDArray[np.bool_] | None = None,
) -> tuple[RunChoice, ...]:
    """Order runs by how much each narrows the answer after those before it.

    Parameters
    ----------
    answer : FloatArray (draw,)
    times : FloatArray (draw, run)
        Logarithm of the times. A run with a draw that is not finite tells nothing and comes last.
    error : FloatArray (run,)
        One standard deviation of a reading's logarithm, > 0.
    first : (run,) of bool, optional
        Runs that are made anyway: they are ordered among themselves before the others.

    Returns
    -------
    tuple of RunChoice
        Empty where the answer has no spread.
    """
    usable = np.isfinite(times).all(axis=0)
    known = np.where(usable, np.where(np.isfinite(times), times, 0.0), 0.0)
    joint = np.column_stack([answer, known])
    if not np.isfinite(answer).all() or np.ptp(answer) == 0.0:
        return ()
    covariance = np.cov(joint, rowvar=False)
    whole = covariance[0, 0]
    noise = np.concatenate([[0.0], np.where(usable, error**2, np.inf)])
    alone = covariance[0, 1:] ** 2 / (np.diag(covariance)[1:] + noise[1:]) / whole
    left = list(range(1, joint.shape[1]))
    found: list[RunChoice] = []
    while left:
        ahead = [] if first is None else [index for index in left if first[index - 1]]
        open_to = ahead or left
        gains = covariance[0, open_to] ** 2 / (np.diag(covariance)[open_to] + noise[open_to])
        best = open_to[int(np.argmax(gains))]
        gain = float(gains.max() / whole)
        if np.isfinite(noise[best]):
            column = covariance[:, best]
            covariance = covariance - np.outer(column, column) / (column[best] + noise[best])
        found.append(
            RunChoice(
                index=best - 1,
                alone=float(alone[best - 1]),
                gain=gain,
                left=float(covariance[0, 0] / whole),
            )
        )
        left.remove(best)
    return tuple(found)


def shared_causes(
    answer: FloatArray, time: FloatArray, inputs: FloatArray, count: int = 2
) -> tuple[int, ...]:
    """Give the inputs through which a run tells most of the answer, strongest first.

    Parameters
    ----------
    answer, time : FloatArray (draw,)
    inputs : FloatArray (draw, input)
        Shares or scores.
    count : int
        How many at most; only those with a product of correlations above 0.02.

    Returns
    -------
    tuple of int
    """
    centred = inputs - inputs.mean(axis=0)
    norm = np.sqrt((centred**2).sum(axis=0))
    products = np.ones(inputs.shape[1])
    for values in (answer, time):
        mine = values - values.mean()
        size = np.sqrt((mine**2).sum())
        if not size > 0.0:
            return ()
        products *= np.abs(centred.T @ mine) / np.where(norm > 0, norm * size, 1.0)
    order = np.argsort(-products)[:count]
    return tuple(int(index) for index in order if products[index] > 0.02)
