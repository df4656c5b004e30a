"""The standard atmosphere below 11 km, and the dynamic pressure of the airspeed.

Altitudes are geopotential, which is what an altimeter set to 1013.25 hPa shows (pressure altitude).
"""

from typing import Literal

import numpy as np

from flowsim.constants import (
    AIR_GAS_CONSTANT,
    STANDARD_GRAVITY,
    STANDARD_PRESSURE,
    STANDARD_TEMPERATURE,
    TEMPERATURE_LAPSE,
)
from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, FloatLike

LOWEST_ALTITUDE = -1000.0
"""[m] Lowest altitude taken; the standard itself reaches lower."""

HIGHEST_ALTITUDE = 11000.0
"""[m] Top of the layer with constant temperature lapse (ISO 2533:1975)."""

HIGHEST_AIRSPEED = 100.0
"""[m/s] Above it the incompressible dynamic pressure is more than 2.2 % short of the impact
pressure (1 + M^2/4 at sea level), so it is refused."""


def standard_temperature(altitude: FloatLike) -> FloatArray:
    """Give the air temperature of the standard atmosphere.

    Parameters
    ----------
    altitude : float or array
        Geopotential altitude [m], -1000 to 11000.

    Returns
    -------
    array
        Temperature [K], same shape (0-d for a float).

    Raises
    ------
    DomainError
        Altitude outside the range or not finite.

    Notes
    -----
    T = T0 - L H; ISO 2533:1975.

    Examples
    --------
    By the table of ISO 2533 at 5000 m: 255.65 K.

    >>> round(float(standard_temperature(5000.0)), 2)
    255.65
    """
    height = _altitude(altitude)
    return np.asarray(STANDARD_TEMPERATURE - TEMPERATURE_LAPSE * height, dtype=np.float64)


def standard_pressure(pressure_altitude: FloatLike) -> FloatArray:
    """Give the air pressure at a pressure altitude.

    Exact by the meaning of pressure altitude, whatever the day's temperature.

    Parameters
    ----------
    pressure_altitude : float or array
        Pressure altitude [m], -1000 to 11000.

    Returns
    -------
    array
        Absolute pressure [Pa], same shape (0-d for a float).

    Raises
    ------
    DomainError
        Altitude outside the range or not finite.

    Notes
    -----
    p = p0 (T/T0)^(g0 / (R L)); ISO 2533:1975.

    Examples
    --------
    By the table of ISO 2533 at 5000 m: 540.199 hPa.

    >>> round(float(standard_pressure(5000.0)), 1)
    54019.9
    """
    ratio = standard_temperature(pressure_altitude) / STANDARD_TEMPERATURE
    exponent = STANDARD_GRAVITY / (AIR_GAS_CONSTANT * TEMPERATURE_LAPSE)
    return np.asarray(STANDARD_PRESSURE * ratio**exponent, dtype=np.float64)


def standard_density(altitude: FloatLike) -> FloatArray:
    """Give the air density of the standard atmosphere.

    Parameters
    ----------
    altitude : float or array
        Geopotential altitude [m], -1000 to 11000.

    Returns
    -------
    array
        Density [kg/m3], same shape (0-d for a float).

    Raises
    ------
    DomainError
        Altitude outside the range or not finite.

    Notes
    -----
    rho = p / (R T); ISO 2533:1975.

    Examples
    --------
    By the table of ISO 2533 at 5000 m: 0.736116 kg/m3.

    >>> round(float(standard_density(5000.0)), 6)
    0.736116
    """
    pressure = standard_pressure(altitude)
    return np.asarray(
        pressure / (AIR_GAS_CONSTANT * standard_temperature(altitude)), dtype=np.float64
    )


def dynamic_pressure(
    airspeed: FloatLike,
    altitude: FloatLike = 0.0,
    meaning: Literal["calibrated", "true"] = "calibrated",
) -> FloatArray:
    """Give the dynamic pressure of an airspeed.

    A *calibrated* airspeed (the instrument's, corrected for its own and its position error) is
    defined by the pressure it makes at sea level: the sea-level density 1.225 kg/m3 is used and the
    altitude has no influence. A *true* airspeed takes the standard density at the altitude.

    Parameters
    ----------
    airspeed : float or array
        Airspeed [m/s], 0 to 100.
    altitude : float or array
        Pressure altitude [m], -1000 to 11000; checked also where it has no influence.
    meaning : {"calibrated", "true"}
        What the airspeed is.

    Returns
    -------
    array
        Dynamic pressure [Pa], the shapes broadcast (0-d for floats).

    Raises
    ------
    DomainError
        Airspeed negative, above 100 m/s or not finite; altitude outside its range; unknown meaning.

    Notes
    -----
    q = rho V^2 / 2, incompressible: short of the impact pressure by at most 0.6 % to 100 kt and
    2.2 % at 100 m/s.

    Examples
    --------
    50 m/s by hand: 1.225 x 50^2 / 2 = 1531.25 Pa, at any altitude. As a true airspeed at 5000 m,
    0.736116 x 50^2 / 2 = 920.1 Pa.

    >>> round(float(dynamic_pressure(50.0, 5000.0)), 2)
    1531.25
    >>> round(float(dynamic_pressure(50.0, 5000.0, "true")), 1)
    920.1
    """
    speed = np.asarray(airspeed, dtype=np.float64)
    if not bool(np.all((speed >= 0.0) & (speed <= HIGHEST_AIRSPEED))):
        raise DomainError(
            f"airspeed {_worst(speed, 0.0, HIGHEST_AIRSPEED):g} m/s is outside 0 to "
            f"{HIGHEST_AIRSPEED:g} m/s; state an airspeed within it"
        )
    if meaning not in ("calibrated", "true"):
        raise DomainError(f'airspeed meaning "{meaning}" is unknown; write "calibrated" or "true"')
    height = _altitude(altitude)
    air_density = standard_density(height if meaning == "true" else 0.0)
    shape = np.broadcast_shapes(speed.shape, height.shape)
    return np.array(np.broadcast_to(0.5 * air_density * speed**2, shape), dtype=np.float64)


def _altitude(altitude: FloatLike) -> FloatArray:
    height = np.asarray(altitude, dtype=np.float64)
    if not bool(np.all((height >= LOWEST_ALTITUDE) & (height <= HIGHEST_ALTITUDE))):
        worst = _worst(height, LOWEST_ALTITUDE, HIGHEST_ALTITUDE)
        raise DomainError(
            f"altitude {worst:g} m is outside the standard atmosphere's {LOWEST_ALTITUDE:g} to "
            f"{HIGHEST_ALTITUDE:g} m; state a pressure altitude within it"
        )
    return height


def _worst(values: FloatArray, low: float, high: float) -> float:
    """Return the first value that lies outside the range or is not a number."""
    flat = np.atleast_1d(values).ravel()
    return float(flat[~((flat >= low) & (flat <= high))][0])
