"""Leak check with air before any fuel: what pressure, how long, and what a drop means.

Ideal gas p V = m R T for air (any text; the gas constant cancels but for masses). The pressures to
hold are common practice without a source, as marked.
"""

import math
from dataclasses import dataclass

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError

HEAD_FACTOR = 1.5
"""[-] Test pressure over the largest head of fuel (common practice, no source)."""
LEAST_PRESSURE = 3500.0
"""[Pa] Least test pressure, about 0.5 psi (common practice, no source)."""
RELIEF_FACTOR = 1.25
"""[-] Opening of the relief valve over the test pressure, the upper limit (common practice, no
source)."""
READABLE = 2.0
"""[-] Divisions of the gauge by which the pressure must fall before a person calls it a fall
(common practice, no source)."""
LEAST_LEAK = 1.0e-6 / 60.0
"""[m3/s] Leak of air to be found: 1 mL a minute, a bubble of 6 mm every 7 s (common practice, no
source). Fuel leaks less by volume, for it is thicker."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakResult:
    """What a fall of pressure was made of.

    ``drop`` [Pa] of the gauge; ``by_temperature`` and ``by_ambient`` [Pa] the parts that cooling
    and the weather explain; ``by_leak`` [Pa] what is left; ``leak`` [m3/s] of air at ambient
    pressure and the end's temperature; ``uncertainty`` [Pa] one deviation of what is left.
    ``hidden`` [m3/s] is the leak that falls by twice that; ``held`` [Pa] the pressure at the start.
    """

    drop: float
    by_temperature: float
    by_ambient: float
    by_leak: float
    leak: float
    uncertainty: float
    hidden: float
    held: float


def pressure_to_hold(density: float, head: float) -> float:
    """Give the pressure above ambient at which the empty system is to be held.

    Parameters
    ----------
    density : float
        Of the fuel, cold [kg/m3], > 0.
    head : float
        Height from the highest fuel surface to the lowest point of the lines, in the attitude where
        it is largest [m], > 0.

    Returns
    -------
    float
        [Pa] 1.5 times the fuel's pressure there, at least 3.5 kPa.

    Raises
    ------
    DomainError
        A value that is not a finite number above zero.

    References
    ----------
    ``HEAD_FACTOR`` and ``LEAST_PRESSURE``.

    Examples
    --------
    2 m of fuel of 750 kg/m3 press with 750 x 9.80665 x 2 = 14710 Pa, times 1.5; a few
    centimetres ask for the least.

    >>> round(pressure_to_hold(750.0, 2.0))
    22065
    >>> pressure_to_hold(750.0, 0.05)
    3500.0
    """
    _positive(density=density, head=head)
    return max(HEAD_FACTOR * density * STANDARD_GRAVITY * head, LEAST_PRESSURE)


def least_time(
    volume: float, resolution: float, pressure: float, ambient: float, leak: float = LEAST_LEAK
) -> float:
    """Give the least time after which a leak shows on a gauge.

    Parameters
    ----------
    volume : float
        Of the air in the lines, hose and gauge [m3], > 0.
    resolution : float
        Smallest division of the gauge [Pa], > 0.
    pressure : float
        Above ambient at the start [Pa], > 0.
    ambient : float
        [Pa], > 0.
    leak : float
        Smallest leak to be found, as air at ambient pressure [m3/s], > 0.

    Returns
    -------
    float
        [s] Two divisions over the fall per time, p_a q/V.

    Raises
    ------
    DomainError
        A value that is not a finite number above zero, or two divisions that are more than the
        pressure to hold: then the gauge is too coarse.

    Notes
    -----
    Isothermal: d(pV) = -p_a q dt. The fall is taken as steady.

    Examples
    --------
    1 L at 1 bar, a leak of 1 mL/s, divisions of 1 mbar: 2 x 100 Pa x 0.001 m3 is 0.2 J, over
    1e5 Pa x 1e-6 m3/s = 0.1 W.

    >>> round(least_time(0.001, 100.0, 5000.0, 1.0e5, 1.0e-6), 9)
    2.0
    """
    _positive(volume=volume, resolution=resolution, pressure=pressure, ambient=ambient, leak=leak)
    if READABLE * resolution > pressure:
        raise DomainError(
            "the gauge is too coarse: two of its divisions are more than the pressure to hold; "
            "take a water column or a gauge of smaller range"
        )
    return READABLE * resolution * volume / (ambient * leak)


def leak_left(
    *,
    volume: float,
    start_pressure: float,
    end_pressure: float,
    start_temperature: float,
    end_temperature: float,
    start_ambient: float,
    end_ambient: float,
    seconds: float,
    resolution: float = 0.0,
    temperature_error: float = 0.5,
) -> LeakResult:
    """Split a fall of pressure into temperature, weather and leak.

    Parameters
    ----------
    volume : float
        Of the air [m3], > 0.
    start_pressure, end_pressure : float
        Above ambient [Pa], > 0 at the start.
    start_temperature, end_temperature : float
        Of the air inside [K], > 0.
    start_ambient, end_ambient : float
        Absolute [Pa], > 0.
    seconds : float
        Between the readings [s], > 0.
    resolution : float
        Smallest division of the gauge [Pa], >= 0.
    temperature_error : float
        One deviation of the difference of temperature [K], >= 0 (0.5 K: common practice, no
        source).

    Returns
    -------
    LeakResult
        ``leak`` is negative where the pressure fell less than cooling explains.

    Raises
    ------
    DomainError
        A value outside its range or not finite.

    Notes
    -----
    Without a leak p2 = p1 T2/T1 (absolute). What is missing of that, dp, is a mass dp V/(R T2);
    as air at ambient pressure and T2 it is dp V/p_a2.

    Examples
    --------
    1 L that loses 1 kPa in 1000 s, nothing else changed: 1000 x 0.001/1e5/1000 = 1e-8 m3/s. Cooled
    from 300 to 297 K, 105 kPa fall by 1050 Pa without any leak.

    >>> same = {"volume": 1e-3, "start_ambient": 1e5, "end_ambient": 1e5, "seconds": 1000.0}
    >>> warm = {"start_temperature": 300.0, "end_temperature": 300.0}
    >>> leak = leak_left(start_pressure=5000.0, end_pressure=4000.0, **warm, **same)
    >>> round(leak.leak, 12)
    1e-08
    >>> cold = {"start_temperature": 300.0, "end_temperature": 297.0}
    >>> tight = leak_left(start_pressure=5000.0, end_pressure=3950.0, **cold, **same)
    >>> round(tight.by_temperature, 6), round(tight.by_leak, 6)
    (1050.0, 0.0)
    """
    _positive(
        volume=volume,
        start_pressure=start_pressure,
        start_temperature=start_temperature,
        end_temperature=end_temperature,
        start_ambient=start_ambient,
        end_ambient=end_ambient,
        seconds=seconds,
    )
    if not (math.isfinite(end_pressure) and end_pressure > -end_ambient):
        raise DomainError("end_pressure must be finite and above an absolute vacuum")
    if not (resolution >= 0.0 and temperature_error >= 0.0):
        raise DomainError("resolution and temperature_error must be zero or above")
    absolute = start_pressure + start_ambient
    tight = absolute * end_temperature / start_temperature
    missing = tight - (end_pressure + end_ambient)
    uncertainty = math.hypot(resolution, absolute * temperature_error / start_temperature)
    return LeakResult(
        drop=start_pressure - end_pressure,
        by_temperature=absolute - tight,
        by_ambient=end_ambient - start_ambient,
        by_leak=missing,
        leak=missing * volume / end_ambient / seconds,
        uncertainty=uncertainty,
        hidden=2.0 * uncertainty * volume / end_ambient / seconds,
        held=start_pressure,
    )


def _positive(**values: float) -> None:
    for name, value in values.items():
        if not (math.isfinite(value) and value > 0.0):
            raise DomainError(f"{name.replace('_', ' ')} must be a finite number above zero")
