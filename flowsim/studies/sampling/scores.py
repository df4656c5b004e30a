"""Normal scores: every band on one scale, so that what a test taught can be kept as a few numbers.

The score of an input is Phi^-1 of the share of its band that lies below its value. A linear-normal
posterior in scores is I - U diag(learned) U^T about a middle; its symmetric root makes draws.
"""

import math
from collections.abc import Mapping

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray
from flowsim.studies.sampling.normal_quantile import normal_quantile
from flowsim.system.calibration import Calibration

FURTHEST = 8.0
"""[-] Scores are kept within this: beyond it a share is 0 or 1 to machine precision."""

_ERF = np.frompyfunc(math.erf, 1, 1)


def share_of(score: FloatArray) -> FloatArray:
    """Give the share of the normal distribution below scores, any shape; inside 0 to 1."""
    kept = np.clip(np.asarray(score, dtype=np.float64), -FURTHEST, FURTHEST)
    share = 0.5 * (1.0 + np.asarray(_ERF(kept / math.sqrt(2.0)), dtype=np.float64))
    tiny = np.finfo(np.float64).eps
    inside: FloatArray = np.clip(share, tiny, 1.0 - tiny)
    return inside


def score_of(share: FloatArray) -> FloatArray:
    """Give the score of shares inside 0 to 1, any shape.

    Raises
    ------
    DomainError
        When a share is not inside 0 to 1.
    """
    share = np.asarray(share, dtype=np.float64)
    if not ((share > 0.0) & (share < 1.0)).all():
        raise DomainError("shares must lie above 0 and below 1")
    return normal_quantile(share)


def spread(calibration: Calibration, independent: FloatArray) -> FloatArray:
    """Turn independent scores (draw, input) into scores after the test.

    Parameters
    ----------
    calibration : Calibration
    independent : FloatArray (draw, input)
        Normal with mean 0, deviation 1, in the order of ``calibration.keys``.

    Returns
    -------
    FloatArray (draw, input)
        Mean ``centre`` (``scores`` where that is empty), covariance I - U diag(learned) U^T.
    """
    middle = np.array(calibration.centre or calibration.scores)
    if not calibration.learned:
        return middle + independent
    directions = np.array(calibration.directions)
    shrink = 1.0 - np.sqrt(1.0 - np.array(calibration.learned))
    along = independent @ directions.T
    scores: FloatArray = middle + independent - (along * shrink) @ directions
    return scores


def after_test(calibration: Calibration, shares: Mapping[str, FloatArray]) -> dict[str, FloatArray]:
    """Turn independent shares of each input into its shares after the test.

    Parameters
    ----------
    calibration : Calibration
    shares : mapping of key to FloatArray (draw,)
        Inside 0 to 1. Inputs that the test knows nothing of stay as they are; inputs that are no
        longer there are taken at their middle.

    Returns
    -------
    dict of key to FloatArray (draw,)
    """
    count = len(next(iter(shares.values())))
    columns = [
        score_of(shares[key]) if key in shares else np.zeros(count) for key in calibration.keys
    ]
    scores = spread(calibration, np.column_stack(columns))
    found = dict(shares)
    for column, key in enumerate(calibration.keys):
        if key in found:
            found[key] = share_of(scores[:, column])
    return found


def learned_of(covariance: FloatArray, least: float = 1e-4) -> tuple[FloatArray, FloatArray]:
    """Split a posterior covariance of scores into what was learned, and along what.

    Parameters
    ----------
    covariance : FloatArray (input, input)
        Not above the identity.
    least : float
        [-] Shares of variance below it are left out: then the band is a little wider, not narrower.

    Returns
    -------
    learned : FloatArray (direction,)
        Shares of variance taken away, largest first, below 1.
    directions : FloatArray (direction, input)
        Orthonormal rows.
    """
    taken, vectors = np.linalg.eigh(np.eye(len(covariance)) - covariance)
    order = [index for index in np.argsort(-taken) if taken[index] > least]
    return np.clip(taken[order], 0.0, 1.0 - 1e-9), vectors[:, order].T
