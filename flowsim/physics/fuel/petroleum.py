"""Laws of petroleum liquids and of their blends with ethanol: density and vapour pressure.

Sources, accuracy and checks: docs/theory/fuel.md.
"""

from typing import Literal

import numpy as np

from flowsim.constants import ZERO_CELSIUS
from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, FloatLike

BASE_TEMPERATURE = ZERO_CELSIUS + 15.0
"""[K] Temperature at which ``density_15`` is stated."""

PSI = 6894.757293168361
"""[Pa] One pound-force per square inch: 0.45359237 kg x 9.80665 m/s2 / (0.0254 m)^2."""

LEAST_DENSITY_15, MOST_DENSITY_15 = 653.0, 1075.0
"""[kg/m3] Range of ``density_15`` of the petroleum law (ASTM D1250)."""

MOST_ETHANOL_AS_PETROLEUM = 0.20
"""[-] Volume fraction to which a blend expands like petroleum within 0.2 % (own computation).
Tag: estimate."""

# ASTM D1250 / API MPMS 11.1 table 54B: lower end of band [kg/m3], K0, K1, K2. Five independent
# public implementations agree; the standard itself was not seen.
_D1250_BANDS = (
    (LEAST_DENSITY_15, 346.4228, 0.4388, 0.0),  # gasolines
    (770.5, 2680.3206, 0.0, -0.00336312),  # between gasolines and kerosines
    (787.5, 594.5418, 0.0, 0.0),  # kerosines
    (838.5, 186.9696, 0.4862, 0.0),  # gas oils and fuel oils
)
"""ASTM D1250, table 54B. Tag: published (transcribed in public codes)."""

# AP-42 ch. 7.1: ln psia = A - B / degR (public codes carrying the newer edition's table).
_FIXED_VAPOUR = {"kerosene": (12.390, 8933.0), "distillate": (12.101, 8907.0)}
"""AP-42 ch. 7.1. Tag: published (transcribed in public codes)."""


def petroleum_density(density_15: float, temperature: FloatLike) -> FloatArray:
    """Give the density of a petroleum liquid from its density at 15 degC.

    Parameters
    ----------
    density_15 : float
        Density at 15 degC [kg/m3], 653 to 1075. It alone chooses the band of constants.
    temperature : float or array
        Temperature [K]; checked for -40 to 60 degC.

    Returns
    -------
    array
        Density [kg/m3], same shape (0-d for a float).

    Raises
    ------
    DomainError
        ``density_15`` outside the bands.

    Notes
    -----
    rho = rho15 exp(-x (1 + 0.8 x)), x = alpha (t - 15 degC), alpha = K0/rho15^2 + K1/rho15 + K2.
    ASTM D1250 / API MPMS 11.1 table 54B, without the historical rounding of its tables.
    Tag: published (transcribed in public codes).

    Examples
    --------
    800 kg/m3 at 25 degC by hand: alpha = 594.5418/800^2 = 0.000928972, x = 0.00928972 and
    exp(-0.00935876) = 0.990685, so 792.548. A Jet A of 804.96 was read as 787.33 kg/m3 at 40 degC
    (AFRL POSF-10325, Edwards; the law is good to 0.3 %).

    >>> round(float(petroleum_density(800.0, 298.15)), 3)
    792.548
    >>> abs(float(petroleum_density(804.96, 313.15)) / 787.33 - 1.0) < 0.003
    True
    """
    if not LEAST_DENSITY_15 <= density_15 <= MOST_DENSITY_15:
        raise DomainError(
            f"density at 15 degC of {density_15:g} kg/m3 is outside the petroleum law's "
            f"{LEAST_DENSITY_15:g} to {MOST_DENSITY_15:g} kg/m3; check the value and its unit, or "
            "give measured density points"
        )
    _, k0, k1, k2 = [band for band in _D1250_BANDS if band[0] <= density_15][-1]
    alpha = k0 / density_15**2 + k1 / density_15 + k2
    x = alpha * (np.asarray(temperature, dtype=np.float64) - BASE_TEMPERATURE)
    return np.asarray(density_15 * np.exp(-x * (1.0 + 0.8 * x)), dtype=np.float64)


def reid_vapour_pressure(
    reid_pressure: float, distillation_slope: float, temperature: FloatLike
) -> FloatArray:
    """Give the true vapour pressure of a refined petroleum stock from its Reid vapour pressure.

    Parameters
    ----------
    reid_pressure : float
        Reid (dry) vapour pressure at 37.8 degC [Pa], 7 to 140 kPa.
    distillation_slope : float
        Slope of the ASTM D86 curve at 10 % evaporated [degF per vol %], above 0 to 10.
    temperature : float or array
        Temperature [K].

    Returns
    -------
    array
        Absolute pressure [Pa], same shape (0-d for a float).

    Raises
    ------
    DomainError
        Reid vapour pressure or slope outside its range.

    Notes
    -----
    US EPA AP-42 ch. 7.1 (via public codes; the document itself was not seen): ln P = A - B / T in
    psia and degF + 459.6, A = 15.64 - 1.854 S^0.5 - (0.8742 - 0.3280 S^0.5) ln RVP,
    B = 8742 - 1042 S^0.5 - (1049 - 179.4 S^0.5) ln RVP.
    Tag: published (transcribed in public codes).

    Examples
    --------
    AP-42, table 7.1-2 (1997), stock of 10 psi: 5.2 psi at 60 degF, 10.5 psi at 100 degF, on a chart
    to which the equation is fitted within 2.6 %.

    >>> kelvin = [ZERO_CELSIUS + (60.0 - 32.0) / 1.8, ZERO_CELSIUS + (100.0 - 32.0) / 1.8]
    >>> found = reid_vapour_pressure(10.0 * PSI, 3.0, kelvin) / PSI
    >>> bool((abs(found / [5.2, 10.5] - 1.0) < 0.026).all())
    True
    """
    if not 7.0e3 <= reid_pressure <= 140.0e3:
        raise DomainError(
            f"Reid vapour pressure of {reid_pressure / 1000.0:g} kPa is outside 7 to 140 kPa; "
            "check the value and its unit"
        )
    if not 0.0 < distillation_slope <= 10.0:
        raise DomainError(
            f"distillation slope of {distillation_slope:g} degF per vol % is outside 0 to 10; "
            "use 3 for motor gasoline, 2 for aviation gasoline"
        )
    root, log_reid = np.sqrt(distillation_slope), np.log(reid_pressure / PSI)
    a = 15.64 - 1.854 * root - (0.8742 - 0.3280 * root) * log_reid
    b = 8742.0 - 1042.0 * root - (1049.0 - 179.4 * root) * log_reid
    return _exponential(float(a), float(b), np.asarray(temperature, dtype=np.float64))


def distillate_vapour_pressure(
    stock: Literal["kerosene", "distillate"], temperature: FloatLike
) -> FloatArray:
    """Give the true vapour pressure of jet kerosene or of diesel (No. 2 distillate).

    Parameters
    ----------
    stock : {"kerosene", "distillate"}
        Which constants.
    temperature : float or array
        Temperature [K].

    Returns
    -------
    array
        Absolute pressure [Pa], same shape (0-d for a float). Measured jet fuels lie higher, to
        2.3 kPa at 60 degC; all are small beside the air's pressure.

    Notes
    -----
    US EPA AP-42 ch. 7.1 (via public codes): ln P = A - B / T in psia and degR, A and B 12.390 and
    8933.0 for jet kerosene, 12.101 and 8907.0 for No. 2 distillate.

    Examples
    --------
    Diesel at 60 degF by hand: exp(12.101 - 8907/519.6) = 0.00647 psi.

    >>> kelvin = ZERO_CELSIUS + (60.0 - 32.0) / 1.8
    >>> round(float(distillate_vapour_pressure("distillate", kelvin)) / PSI, 5)
    0.00647
    """
    return _exponential(*_FIXED_VAPOUR[stock], np.asarray(temperature, dtype=np.float64))


def ethanol_density(temperature: FloatLike) -> FloatArray:
    """Give the density of ethanol.

    Parameters
    ----------
    temperature : float or array
        Temperature [K], -40 to 60 degC.

    Returns
    -------
    array
        Density [kg/m3], same shape (0-d for a float); a cubic fitted to a reference equation of
        state, largest error 0.011 % (own fit).
    Tag: published (a fit to a reference library).

    Examples
    --------
    CoolProp 8.0.0 has 789.42 kg/m3 at 20 and 823.35 at -20 degC; the fit is good to 0.011 %.

    >>> found = ethanol_density([293.15, 253.15])
    >>> bool((abs(found / [789.42, 823.35] - 1.0) < 1.2e-4).all())
    True
    """
    t = np.asarray(temperature, dtype=np.float64) - ZERO_CELSIUS
    return np.asarray(806.422 + t * (-0.84533 + t * (-9.660e-5 - t * 5.892e-6)), dtype=np.float64)


def ethanol_dynamic_viscosity(temperature: FloatLike) -> FloatArray:
    """Give the dynamic viscosity of ethanol.

    Parameters
    ----------
    temperature : float or array
        Temperature [K], -40 to 60 degC.

    Returns
    -------
    array
        Dynamic viscosity [Pa s], same shape (0-d for a float); fitted to a reference correlation,
        largest error 0.8 % (own fit).
    Tag: published (a fit to a reference library).

    Examples
    --------
    CoolProp 8.0.0 has 1.194 mPa s at 20 and 2.918 at -20 degC; the fit is good to 0.8 %.

    >>> found = 1e3 * ethanol_dynamic_viscosity([293.15, 253.15])
    >>> bool((abs(found / [1.194, 2.918] - 1.0) < 0.008).all())
    True
    """
    kelvin = np.asarray(temperature, dtype=np.float64)
    return np.asarray(
        1e-3 * np.exp(-6.71681 + 2334.66 / kelvin - 91948.0 / kelvin**2), dtype=np.float64
    )


def blend_density(density_15: float, ethanol: float, temperature: FloatLike) -> FloatArray:
    """Give the density of a gasoline with much ethanol, by ideal mixing of the volumes.

    Parameters
    ----------
    density_15 : float
        Density of the finished blend at 15 degC [kg/m3].
    ethanol : float
        Volume fraction of ethanol at 15 degC [-], 0 to 1.
    temperature : float or array
        Temperature [K], -40 to 60 degC.

    Returns
    -------
    array
        Density [kg/m3], same shape (0-d for a float); equal to ``density_15`` at 15 degC.

    Raises
    ------
    DomainError
        Share outside 0 to 1, or a density that no gasoline with that share of ethanol has.

    Notes
    -----
    Excess volume is left out (below 0.2 %, from memory). Above 90 % ethanol the gasoline is too
    little to be inferred, and which it is hardly matters: 745 kg/m3 is taken for its expansion; the
    density may then be off the mixture's by 2.5 %, for a few percent of water in the ethanol.

    Examples
    --------
    At 15 degC what is stated; pure ethanol expands as ethanol does.

    >>> round(float(blend_density(780.0, 0.85, BASE_TEMPERATURE)), 9)
    780.0
    >>> pure = float(ethanol_density(BASE_TEMPERATURE))
    >>> round(float(blend_density(pure, 1.0, 293.15) / ethanol_density(293.15)), 9)
    1.0
    """
    share = ethanol_share(ethanol)
    ethanol_15 = float(ethanol_density(BASE_TEMPERATURE))
    if share > 0.9:
        rest_15 = 745.0
        mixed = share * ethanol_15 + (1.0 - share) * rest_15
        if not abs(density_15 - mixed) <= 0.025 * mixed:
            raise DomainError(
                f"{density_15:g} kg/m3 at 15 degC with {100.0 * share:g} % ethanol: about "
                f"{mixed:.0f} kg/m3 is expected; check both, or give measured density points"
            )
    else:
        rest_15 = (density_15 - share * ethanol_15) / (1.0 - share)
    if not LEAST_DENSITY_15 <= rest_15 <= 838.5:
        raise DomainError(
            f"{density_15:g} kg/m3 at 15 degC with {100.0 * share:g} % ethanol would need a "
            f"gasoline of {rest_15:.0f} kg/m3; check both, or give measured density points"
        )
    kelvin = np.asarray(temperature, dtype=np.float64)
    volume = share * ethanol_15 / ethanol_density(kelvin)
    volume = volume + (1.0 - share) * rest_15 / petroleum_density(rest_15, kelvin)
    return np.asarray(density_15 / volume, dtype=np.float64)


def ethanol_vapour_factor(ethanol: float, temperature: FloatLike) -> FloatArray:
    """Give the factor by which the Reid law is too low for a blend with ethanol when hot.

    Parameters
    ----------
    ethanol : float
        Volume fraction of ethanol [-], 0 to 1.
    temperature : float or array
        Temperature [K].

    Returns
    -------
    array
        Factor [-], never below one, same shape (0-d for a float).

    Raises
    ------
    DomainError
        Share outside 0 to 1.

    Notes
    -----
    1 + 0.0038 (t - 45) above 45 degC to 20 % ethanol; beyond 20 %, 1.04 + 0.0067 (t - 45) where
    above one. Both are straight lines under a computed activity-coefficient model (E3 to E20, and
    E85), not measurements. Below 3 % the full factor is used too: it errs to the cautious side.
    Tag: estimate.

    Examples
    --------
    At 55 degC, ten above 45: 1.038 to 20 %, 1.04 + 0.067 beyond; none without ethanol.

    >>> [round(float(ethanol_vapour_factor(share, 328.15)), 6) for share in (0.0, 0.1, 0.85)]
    [1.0, 1.038, 1.107]
    """
    share = ethanol_share(ethanol)
    above_45 = np.asarray(temperature, dtype=np.float64) - (ZERO_CELSIUS + 45.0)
    if share == 0.0:
        return np.ones_like(above_45)
    if share <= MOST_ETHANOL_AS_PETROLEUM:
        return np.asarray(1.0 + 0.0038 * np.maximum(above_45, 0.0), dtype=np.float64)
    return np.asarray(np.maximum(1.0, 1.04 + 0.0067 * above_45), dtype=np.float64)


def ethanol_share(ethanol: float) -> float:
    """Return a volume fraction of ethanol [-], or raise DomainError outside 0 to 1.

    Parameters
    ----------
    ethanol : float
        Volume fraction [-], 0 to 1.

    Returns
    -------
    float
        The same [-].

    Raises
    ------
    DomainError
        When it is outside 0 to 1.

    References
    ----------
    By definition.

    Examples
    --------
    >>> ethanol_share(0.1)
    0.1
    """
    if not 0.0 <= ethanol <= 1.0:
        raise DomainError(f"ethanol share {ethanol:g} is outside 0 to 1; state a volume fraction")
    return float(ethanol)


def _exponential(a: float, b: float, kelvin: FloatArray) -> FloatArray:
    """Give AP-42's exponential law [Pa]. Tag: published (transcribed in public codes)."""
    rankine = 1.8 * (kelvin - ZERO_CELSIUS) + 32.0 + 459.6  # AP-42's own 459.6
    return np.asarray(PSI * np.exp(a - b / rankine), dtype=np.float64)
