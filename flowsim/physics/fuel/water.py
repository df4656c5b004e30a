"""Liquid water at atmospheric pressure, for tests of a rig and of lines with water.

Coefficients via public codes that carry them (the releases themselves were not seen); checked in
the tests against an independent implementation of IAPWS-95 from 1 to 60 degC.
"""

import numpy as np

from flowsim.physics.arrays import FloatArray, FloatLike

# IAPWS SR6-08(2011), specific volume at 0.1 MPa: coefficient, power of alpha or beta.
_ALPHA_TERMS = (
    (6.74458446e3, 4),
    (-2.22521604e5, 5),
    (1.00231247e8, 7),
    (-1.63552118e9, 8),
    (8.32299658e9, 9),
)
"""IAPWS SR6-08(2011), density. Tag: published (transcribed; checked against CoolProp)."""
_BETA_TERMS = (
    (5.78545292e-3, 1),
    (-1.53195665e-2, 2),
    (3.11337859e-2, 3),
    (-4.23546241e-2, 4),
    (3.38713507e-2, 5),
    (-1.19946761e-2, 6),
)
"""IAPWS SR6-08(2011), density. Tag: published (transcribed; checked against CoolProp)."""
# The same release, viscosity at 0.1 MPa: coefficient [uPa s], power of T / 300 K.
_VISCOSITY_TERMS = ((280.68, -1.9), (511.45, -7.7), (61.131, -19.6), (0.45903, -40.0))
"""IAPWS SR6-08(2011), viscosity. Tag: published (transcribed)."""
# Wagner and Pruss (1993), the line of saturation: coefficient, power of 1 - T/Tc.
_SATURATION_TERMS = (
    (-7.85951783, 1.0),
    (1.84408259, 1.5),
    (-11.7866497, 3.0),
    (22.6807411, 3.5),
    (-15.9618719, 4.0),
    (1.80122502, 7.5),
)
"""Wagner and Pruss 1993. Tag: published (transcribed; checked against CoolProp)."""
_CRITICAL_TEMPERATURE, _CRITICAL_PRESSURE = 647.096, 22.064e6
"""[K] and [Pa] Of water (IAPWS). Tag: published (transcribed)."""


def water_density(temperature: FloatLike) -> FloatArray:
    """Give the density of liquid water at 0.1 MPa.

    Parameters
    ----------
    temperature : float or array
        Temperature [K], 273.15 to 372.75 (the caller checks).

    Returns
    -------
    array
        Density [kg/m3], same shape (0-d for a float).

    Notes
    -----
    IAPWS SR6-08(2011) eq. 2; Patek et al., J. Phys. Chem. Ref. Data 38 (2009) 21.
    Tag: published (transcribed; checked against CoolProp).

    Examples
    --------
    At 4 degC, where it is densest, 999.97 kg/m3 (any handbook).

    >>> round(float(water_density(277.13)), 2)
    999.97
    """
    kelvin = np.asarray(temperature, dtype=np.float64)
    alpha, beta = 10.0 / (593.0 - kelvin), 10.0 / (kelvin - 232.0)
    total = 1.93763157e-2 + sum(a * alpha**n for a, n in _ALPHA_TERMS)
    total = total + sum(b * beta**m for b, m in _BETA_TERMS)
    return np.asarray(1.0e5 / (461.51805 * 10.0 * total), dtype=np.float64)


def water_dynamic_viscosity(temperature: FloatLike) -> FloatArray:
    """Give the dynamic viscosity of liquid water at 0.1 MPa.

    Parameters
    ----------
    temperature : float or array
        Temperature [K], 273.15 to 372.75 (the caller checks).

    Returns
    -------
    array
        Dynamic viscosity [Pa s], same shape (0-d for a float).

    Notes
    -----
    IAPWS SR6-08(2011) eq. 7: 1e-6 sum of a (T/300 K)^b.
    Tag: published (transcribed; checked against CoolProp).

    Examples
    --------
    At 20 degC 1.0016 mPa s: the reference value to which viscometers are set (ISO/TR 3666, from
    memory).

    >>> round(1e3 * float(water_dynamic_viscosity(293.15)), 4)
    1.0016
    """
    reduced = np.asarray(temperature, dtype=np.float64) / 300.0
    return np.asarray(1e-6 * sum(a * reduced**b for a, b in _VISCOSITY_TERMS), dtype=np.float64)


def water_saturation_pressure(temperature: FloatLike) -> FloatArray:
    """Give the vapour pressure of water.

    Parameters
    ----------
    temperature : float or array
        Temperature [K], 273.16 to 647.096 (the caller checks).

    Returns
    -------
    array
        Absolute pressure [Pa], same shape (0-d for a float).

    Notes
    -----
    W. Wagner and A. Pruss, J. Phys. Chem. Ref. Data 22 (1993) 783, eq. 1.

    Examples
    --------
    It boils at 99.97 degC under one standard atmosphere.

    >>> round(float(water_saturation_pressure(373.124)) / 101325.0, 4)
    1.0
    """
    kelvin = np.asarray(temperature, dtype=np.float64)
    theta = 1.0 - kelvin / _CRITICAL_TEMPERATURE
    total = sum(a * theta**n for a, n in _SATURATION_TERMS)
    return np.asarray(
        _CRITICAL_PRESSURE * np.exp(_CRITICAL_TEMPERATURE / kelvin * total), dtype=np.float64
    )
