"""How near the surface may come to an outlet or a tee before air is drawn.

Theory, sources and limits: ``docs/theory/air.md``.
"""

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.losses.round_bore import velocity

LEAST_AIR_MARGIN = 0.005
"""[m] Smallest height of fuel above a tee that is called clear of air (common practice)."""

DIP_EXPECTED, DIP_CAUTIOUS = 2.0, 5.0
"""[-] How many times the critical dip of a still tank the surface dips in flight, where it swirls
and sloshes: expected, and on the safe side (estimate, no source). Tag: estimate."""


def critical_dip(flow: FloatLike, pull: FloatLike = 1.0) -> FloatArray:
    """Give the head of fuel above an outlet at which its surface dips into it.

    Without swirl. With swirl or sloshing allow 2 to 5 times as much (estimate).

    Parameters
    ----------
    flow : FloatLike
        Flow out of the outlet [m3/s], >= 0, any shape; a flow into the tank (negative) dips
        nothing and gives zero.
    pull : FloatLike
        Effective gravity over g0 [-], > 0, shape that broadcasts: more than 1 in a turn.

    Returns
    -------
    FloatArray
        Head [m], as heights are measured here: the depth times ``pull``, the depth falling with its
        fifth root.

    References
    ----------
    B. T. Lubin and G. S. Springer, J. Fluid Mech. 29 (1967) 385; constant 0.69 from memory.

    Examples
    --------
    Where Q^2/g0 is 1e-10 m5, its fifth root is 10 mm and the dip 6.9 mm.

    >>> flow = np.sqrt(1e-10 * STANDARD_GRAVITY)
    >>> critical_dip([flow, -flow]).round(6).tolist()
    [0.0069, 0.0]

    In a turn of 60 deg, at twice the pull, 2^-0.2 of that depth is worth twice its height in head.

    >>> float(critical_dip(flow, 2.0).round(6))
    0.012014
    """
    out = np.maximum(np.asarray(flow, dtype=np.float64), 0.0)
    strength = np.asarray(pull, dtype=np.float64)
    return np.asarray(0.69 * strength * (out**2 / (strength * STANDARD_GRAVITY)) ** 0.2)


def air_margin_least(bore: FloatLike, flow: FloatLike) -> FloatArray:
    """Give the height of fuel above a tee below which air may be drawn.

    Parameters
    ----------
    bore : FloatLike
        Bore of the tee [m], > 0.
    flow : FloatLike
        Flow past the tee [m3/s], shape that broadcasts.

    Returns
    -------
    FloatArray
        The greatest of 5 mm, one bore and one velocity head [m]: the pressure at the tee is known
        to about a velocity head, and an air tongue needs about a bore.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    At rest a bore, at least 5 mm; at 1 m/s the velocity head, 1/(2 g0) = 51 mm.

    >>> air_margin_least([0.009, 0.004], 0.0).tolist()
    [0.009, 0.005]
    >>> round(float(air_margin_least(0.004, 0.25 * np.pi * 0.004**2)), 3)
    0.051
    """
    head = velocity(flow, bore) ** 2 / (2.0 * STANDARD_GRAVITY)
    return np.asarray(np.maximum(np.maximum(LEAST_AIR_MARGIN, bore), head))
