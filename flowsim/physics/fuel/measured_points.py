"""Laws drawn through one or two measured points of a fuel.

One point is held constant; the caller must say so beside the result.
"""

from collections.abc import Callable

import numpy as np

from flowsim.constants import ZERO_CELSIUS
from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, FloatLike

MeasuredPoints = tuple[tuple[float, float], ...]
"""Pairs of temperature [K] and value."""

LEAST_WALTHER_VISCOSITY = 0.21e-6
"""[m2/s] Below it ASTM D341 does not reach (from memory)."""

_Law = Callable[[float, float, float, float, FloatArray], FloatArray]


def density_through(points: MeasuredPoints, temperature: FloatLike) -> FloatArray:
    """Give the density on a straight line through the points.

    Parameters
    ----------
    points : tuple of pairs
        One or two pairs (temperature [K], density [kg/m3]).
    temperature : float or array
        Temperature [K].

    Returns
    -------
    array
        Density [kg/m3], same shape (0-d for a float).

    Raises
    ------
    DomainError
        Not one or two points, points less than 1 K apart, not positive, or not falling.

    References
    ----------
    A straight line between two measured points.

    Examples
    --------
    720 kg/m3 at 15 and 712 at 25 degC: halfway 716.

    >>> round(float(density_through(((288.15, 720.0), (298.15, 712.0)), 293.15)), 9)
    716.0
    """
    return _through(points, "density", temperature, _line)


def viscosity_through(points: MeasuredPoints, temperature: FloatLike) -> FloatArray:
    """Give the kinematic viscosity on the ASTM D341 (Walther) line through the points.

    Parameters
    ----------
    points : tuple of pairs
        One or two pairs (temperature [K], kinematic viscosity [m2/s]).
    temperature : float or array
        Temperature [K].

    Returns
    -------
    array
        Kinematic viscosity [m2/s], same shape (0-d for a float).

    Raises
    ------
    DomainError
        Not one or two points, points less than 1 K apart, not positive, not falling, or a
        viscosity below 0.21 mm2/s in or out.

    Notes
    -----
    Z = nu + 0.7 + exp(-1.47 - 1.84 nu - 0.51 nu^2) with nu in mm2/s, log10 log10 Z = A - B log10 T.
    The exponential term matters below 2 mm2/s. The inverse is solved, not approximated, so the
    line goes through the points exactly. Formula as in a public code; the standard was not seen.

    Examples
    --------
    A measured Jet A (AFRL POSF-10325, Edwards): 4.50 mm2/s at -20 and 1.31 at 40 degC; read at -40:
    9.2 mm2/s.

    >>> jet = ((253.15, 4.50e-6), (313.15, 1.31e-6))
    >>> (1e6 * viscosity_through(jet, [253.15, 313.15])).round(6).tolist()
    [4.5, 1.31]
    >>> round(1e6 * float(viscosity_through(jet, 233.15)), 1)
    9.2
    """
    return _through(points, "viscosity", temperature, _walther)


def vapour_pressure_through(points: MeasuredPoints, temperature: FloatLike) -> FloatArray:
    """Give the vapour pressure on the line of ln p against 1/T through the points.

    Parameters
    ----------
    points : tuple of pairs
        One or two pairs (temperature [K], absolute true vapour pressure [Pa]).
    temperature : float or array
        Temperature [K].

    Returns
    -------
    array
        Absolute pressure [Pa], same shape (0-d for a float).

    Raises
    ------
    DomainError
        Not one or two points, points less than 1 K apart, not positive, or not rising.

    Notes
    -----
    Clausius and Clapeyron with a constant heat of vaporisation.

    Examples
    --------
    Halfway in 1/T lies the geometric mean: of 1 and 4 kPa, 2 kPa.

    >>> points = ((300.0, 1000.0), (400.0, 4000.0))
    >>> round(float(vapour_pressure_through(points, 2.0 / (1.0 / 300.0 + 1.0 / 400.0))), 9)
    2000.0
    """
    return _through(points, "vapour pressure", temperature, _clausius_clapeyron)


def walther_coefficients(points: MeasuredPoints) -> tuple[float, float]:
    """Give A and B of ASTM D341, log10 log10 Z = A - B log10 T, for two points.

    Parameters
    ----------
    points : tuple of pairs
        Two pairs (temperature [K], kinematic viscosity [m2/s]).

    Returns
    -------
    tuple of float
        A and B [-], with nu in mm2/s and T in K.

    Raises
    ------
    DomainError
        A viscosity below 0.21 mm2/s.

    References
    ----------
    ASTM D341, as in a public code; the standard was not seen.

    Examples
    --------
    In thick liquids Z is nu + 0.7: with Z of 100 at 250 K and 10 at 500 K, log10 log10 Z falls from
    log10 2 to 0 over a doubling of T, so B is 1 and A log10 500.

    >>> a, b = walther_coefficients(((250.0, 99.3e-6), (500.0, 9.3e-6)))
    >>> round(b, 9), round(10.0**a, 6)
    (1.0, 500.0)
    """
    (t1, v1), (t2, v2) = sorted(points)
    for temperature, value in ((t1, v1), (t2, v2)):
        if value < LEAST_WALTHER_VISCOSITY:
            raise DomainError(
                f"viscosity {value * 1e6:.3g} mm2/s at {temperature - ZERO_CELSIUS:.1f} degC is "
                "below 0.21 mm2/s, where ASTM D341 ends; check the measured points"
            )
    w1, w2 = (float(np.log10(np.log10(_walther_z(np.asarray(v * 1e6))))) for v in (v1, v2))
    b = (w1 - w2) / (np.log10(t2) - np.log10(t1))
    return float(w1 + b * np.log10(t1)), float(b)


def _walther_z(nu: FloatArray) -> FloatArray:
    """Give Z of ASTM D341. Tag: published (transcribed on a public page)."""
    return np.asarray(nu + 0.7 + np.exp(-1.47 - 1.84 * nu - 0.51 * nu**2))


def _walther(t1: float, v1: float, t2: float, v2: float, kelvin: FloatArray) -> FloatArray:
    """Follow the line of ASTM D341 through two points. Tag: published (transcribed)."""
    a, b = walther_coefficients(((t1, v1), (t2, v2)))
    z = 10.0 ** (10.0 ** (a - b * np.log10(kelvin)))
    # The standard's closed inverse is good to 0.03 %; Newton steps from it make it exact. The
    # slope of Z is above 0.5 everywhere, so they converge.
    x = z - 0.7
    nu = x - np.exp(-0.7487 - 3.295 * x + 0.6119 * x**2 - 0.3193 * x**3)
    for _ in range(4):
        bend = np.exp(-1.47 - 1.84 * nu - 0.51 * nu**2)
        nu = nu - (nu + 0.7 + bend - z) / (1.0 - bend * (1.84 + 1.02 * nu))
    value = np.asarray(nu * 1e-6, dtype=np.float64)
    if bool(np.any(value < LEAST_WALTHER_VISCOSITY * (1.0 - 1e-9))):
        raise DomainError(
            f"viscosity would be {float(np.min(value)) * 1e6:.3g} mm2/s, below 0.21 mm2/s, where "
            "ASTM D341 ends; check the measured points, or state a lower fuel temperature"
        )
    return value


def _line(t1: float, v1: float, t2: float, v2: float, kelvin: FloatArray) -> FloatArray:
    return np.asarray(v1 + (v2 - v1) * (kelvin - t1) / (t2 - t1))


def _clausius_clapeyron(
    t1: float, v1: float, t2: float, v2: float, kelvin: FloatArray
) -> FloatArray:
    share = (1.0 / t1 - 1.0 / kelvin) / (1.0 / t1 - 1.0 / t2)
    return np.asarray(v1 * (v2 / v1) ** share)


def _through(points: MeasuredPoints, what: str, temperature: FloatLike, law: _Law) -> FloatArray:
    """Check the points and evaluate the law; a single point is held constant."""
    kelvin = np.asarray(temperature, dtype=np.float64)
    if len(points) not in (1, 2):
        raise DomainError(f"{what}: {len(points)} measured points given; state one or two")
    values = np.asarray(points, dtype=np.float64)
    if not bool(np.all(np.isfinite(values)) and np.all(values > 0.0)):
        raise DomainError(f"{what}: a measured point is not a positive number; check the points")
    if len(points) == 1:
        return np.full_like(kelvin, points[0][1])
    (t1, v1), (t2, v2) = sorted(points)
    if t2 - t1 < 1.0:
        raise DomainError(
            f"{what}: the two measured points lie {t2 - t1:g} K apart; measure further apart"
        )
    rises = law is _clausius_clapeyron
    if (v2 <= v1) if rises else (v2 >= v1):
        raise DomainError(
            f"{what} must {'rise' if rises else 'fall'} with temperature, but the points go from "
            f"{v1:g} at {t1 - ZERO_CELSIUS:.1f} degC to {v2:g} at {t2 - ZERO_CELSIUS:.1f} degC; "
            "check that they are not swapped"
        )
    return np.asarray(law(t1, v1, t2, v2, kelvin), dtype=np.float64)
