"""A percentile of the least ratio in each draw, beside scenarios that are known already."""

import math

import numpy as np

from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.studies.joint.drawn import Least
from flowsim.studies.joint.study import JointResult, joint_result
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws


def up_to_percentile(least: FloatArray, share: float) -> FloatArray:
    """Cap least ratios (draw,) at the one above their percentile ``share`` [%].

    Whatever else is lowered beside them in some draws, the percentile of the capped ratios is that
    of the ratios themselves, to the last bit: it hangs on no greater one, and it can only fall.
    """
    place = math.floor(share / 100.0 * (len(least) - 1) + 1e-9) + 1
    capped: FloatArray = np.minimum(least, np.sort(least)[min(place, len(least) - 1)])
    return capped


def with_others(
    sweep: Sweep, draws: Draws, least: FloatArray, others: IntArray, share: float
) -> tuple[FloatArray, JointResult]:
    """Lower what is known by other scenarios, as far as a percentile of all hangs on them.

    Of most draws it is then asked only whether another gives less than the percentile, not whether
    it gives less than the least there: that is sooner proven.

    Parameters
    ----------
    sweep : Sweep
    draws : Draws
    least : FloatArray (draw,)
        Least ratio of what is known already [-], air in place; no NaN.
    others : (n,)
        Rows of the sweep's table, judged ones.
    share : float
        Percentile that is asked for [%].

    Returns
    -------
    tuple of FloatArray (draw,), JointResult
        Least ratio of all, exact up to that percentile and capped above it, NaN where a solve
        failed; and what was drawn of the others.
    """
    found = up_to_percentile(least, share)
    known = Least(full=found, trapped=found)
    joint = joint_result(sweep, draws, together=True, only=others, known=known)
    if len(joint.rows):
        every = np.ones(len(joint.rows), dtype=bool)
        found = np.minimum(found, joint.least(every, trapped=True))
    return found, joint
