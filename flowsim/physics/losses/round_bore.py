"""Speed and Reynolds number in a round bore, and a K on it as coefficients of the flow."""

import math

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.checks import require_positive

_TWO_G = 2.0 * STANDARD_GRAVITY


def velocity(flow: FloatLike, bore: FloatLike) -> FloatArray:
    """Give the mean velocity in a round bore.

    Parameters
    ----------
    flow : FloatLike
        Flow [m3/s], either sign.
    bore : FloatLike
        Bore [m], > 0, shape that broadcasts.

    Returns
    -------
    FloatArray
        Velocity [m/s], with the sign of the flow.

    References
    ----------
    Continuity.

    Examples
    --------
    >>> round(float(velocity(2e-5, 0.008)), 4)
    0.3979
    """
    return np.asarray(flow / (0.25 * math.pi * np.asarray(bore, dtype=np.float64) ** 2))


def reynolds(flow: FloatLike, bore: FloatLike, kinematic_viscosity: FloatLike) -> FloatArray:
    """Give the Reynolds number in a round bore.

    Parameters
    ----------
    flow : FloatLike
        Flow [m3/s], either sign.
    bore : FloatLike
        Bore [m], > 0, shape that broadcasts.
    kinematic_viscosity : FloatLike
        Kinematic viscosity [m2/s], > 0, shape that broadcasts.

    Returns
    -------
    FloatArray
        Reynolds number [-], >= 0.

    References
    ----------
    Definition, on the mean velocity and the bore.

    Examples
    --------
    >>> round(float(reynolds(-2e-5, 0.008, 6e-7)))
    5305
    """
    return np.asarray(np.abs(velocity(flow, bore)) * bore / kinematic_viscosity)


def coefficients_of_k(
    name: str, bore: float, k_inf: float, k_laminar: float
) -> tuple[float, float]:
    """Turn K = k_inf + k_laminar/Re on a bore into h = quadratic Q |Q| + linear nu Q.

    Parameters
    ----------
    name : str
        The part, in the builder's words.
    bore : float
        Bore [m], > 0.
    k_inf, k_laminar : float
        [-], >= 0 and finite.

    Returns
    -------
    tuple of float
        ``quadratic`` [s2/m5] and ``linear`` [s2/m4], both >= 0.

    Raises
    ------
    DomainError
        When the bore is not positive, or a K is negative or no number.

    References
    ----------
    K V^2/2g with V = Q/A.

    Examples
    --------
    >>> quadratic, linear = coefficients_of_k("elbow", 0.008, 1.5, 1000.0)
    >>> area = math.pi * 0.008**2 / 4
    >>> round(quadratic * 2 * 9.80665 * area**2, 9), round(linear * 2 * 9.80665 * area * 0.008, 6)
    (1.5, 1000.0)
    """
    require_positive(name, "bore", bore)
    if not (0.0 <= k_inf < math.inf and 0.0 <= k_laminar < math.inf):
        raise DomainError(f'"{name}": K {k_inf} and K1 {k_laminar} must be finite and not negative')
    area = 0.25 * math.pi * bore**2
    return k_inf / (_TWO_G * area**2), k_laminar / (_TWO_G * area * bore)
