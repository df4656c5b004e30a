"""Air shut in over the fuel: how its pressure falls as fuel is drawn from a tank without a vent.

The tank is rigid and tight, the temperature stays. The air follows Boyle's law; the fuel's vapour
stays saturated, so its pressure stays. Theory, limits: ``docs/theory/unusable.md``.
"""

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, FloatLike


def pressure_fall(
    ambient: FloatLike, vapour_pressure: FloatLike, ullage: FloatLike, drawn: FloatLike
) -> FloatArray:
    """Give by how much the pressure over the fuel has fallen once fuel was drawn.

    Parameters
    ----------
    ambient : float or array
        Absolute pressure at which the vent was shut [Pa], above the vapour pressure.
    vapour_pressure : float or array
        True vapour pressure of the fuel [Pa], >= 0.
    ullage : float or array
        Room over the fuel when the vent was shut [m3], >= 0.
    drawn : float or array
        Fuel drawn since [m3], >= 0.

    Returns
    -------
    array
        (p_a - p_v) V / (V_u + V) [Pa], the shapes broadcast; never more than p_a - p_v, at which
        the fuel boils. With no room at all, that much as soon as anything is drawn.

    Raises
    ------
    DomainError
        A value outside its range or not finite; fuel that boils at ambient pressure.

    Notes
    -----
    Isothermal ideal gas (Boyle) with a saturated vapour (Dalton); exact for that model. Air that
    comes out of solution would slow the fall a little and is left out.

    Examples
    --------
    9 L of air at 100 kPa over dry liquid grow to 10 L: a tenth less. Boyle's law by hand.

    >>> round(float(pressure_fall(1.0e5, 0.0, 0.009, 0.001)), 6)
    10000.0
    """
    air = _air_pressure(ambient, vapour_pressure)
    room, out = _not_negative(ullage, "ullage"), _not_negative(drawn, "fuel drawn")
    total = room + out
    share = np.where(out > 0.0, out / np.where(total > 0.0, total, 1.0), 0.0)
    return np.asarray(air * share, dtype=np.float64)


def drawn_for_fall(
    ambient: FloatLike, vapour_pressure: FloatLike, ullage: FloatLike, fall: FloatLike
) -> FloatArray:
    """Give how much fuel must be drawn for the pressure over it to fall by an amount.

    Parameters
    ----------
    ambient : float or array
        Absolute pressure at which the vent was shut [Pa], above the vapour pressure.
    vapour_pressure : float or array
        True vapour pressure of the fuel [Pa], >= 0.
    ullage : float or array
        Room over the fuel when the vent was shut [m3], >= 0.
    fall : float or array
        Fall of the pressure [Pa], >= 0; the head that drives the flow, when asked for its end.

    Returns
    -------
    array
        V_u dp / (p_a - p_v - dp) [m3], the shapes broadcast; infinite where the fall cannot be
        reached, because the fuel boils first.

    Raises
    ------
    DomainError
        A value outside its range or not finite; fuel that boils at ambient pressure.

    Notes
    -----
    The inverse of ``pressure_fall``.

    Examples
    --------
    The other way round; the fuel boils before its vapour pressure's share of the fall is reached.

    >>> round(float(drawn_for_fall(1.0e5, 0.0, 0.009, 10000.0)), 9)
    0.001
    >>> float(drawn_for_fall(1.0e5, 4.0e4, 0.009, 6.0e4))
    inf
    """
    air = _air_pressure(ambient, vapour_pressure)
    room, wanted = _not_negative(ullage, "ullage"), _not_negative(fall, "fall of pressure")
    left = air - wanted
    drawn = np.where(left > 0.0, room * wanted / np.where(left > 0.0, left, 1.0), np.inf)
    return np.asarray(drawn, dtype=np.float64)


def _air_pressure(ambient: FloatLike, vapour_pressure: FloatLike) -> FloatArray:
    """Partial pressure of the air when the vent was shut [Pa]."""
    whole = _not_negative(ambient, "ambient pressure")
    vapour = _not_negative(vapour_pressure, "vapour pressure")
    air = np.asarray(whole - vapour, dtype=np.float64)
    if not bool(np.all(air > 0.0)):
        raise DomainError(
            "the fuel boils at ambient pressure: its vapour pressure is not below it; check "
            "temperature, altitude and fuel"
        )
    return air


def _not_negative(value: FloatLike, name: str) -> FloatArray:
    number = np.asarray(value, dtype=np.float64)
    if not bool(np.all(np.isfinite(number) & (number >= 0.0))):
        raise DomainError(f"{name} must be a finite number, zero or above")
    return number
