"""From SI floats to the units that results are shown in; every factor is exact by definition.

Only plain numbers: the unit library reads case files and is not needed here. A unit test compares
each factor with it. Text with units is made by ``flowsim.reports.words.units``.
"""

import math

from flowsim.constants import ZERO_CELSIUS
from flowsim.measures import HOUR, INCH, KNOT, POUND, US_GALLON


def kg_per_h(mass_flow: float) -> float:
    """Convert a mass flow [kg/s] to [kg/h]."""
    return mass_flow * HOUR


def lb_per_h(mass_flow: float) -> float:
    """Convert a mass flow [kg/s] to [lb/h]."""
    return mass_flow * HOUR / POUND


def l_per_h(volume_flow: float) -> float:
    """Convert a volume flow [m3/s] to [L/h]."""
    return volume_flow * HOUR * 1000.0


def us_gal_per_h(volume_flow: float) -> float:
    """Convert a volume flow [m3/s] to [US gal/h]."""
    return volume_flow * HOUR / US_GALLON


def litres(volume: float) -> float:
    """Convert a volume [m3] to [L]."""
    return volume * 1000.0


def us_gallons(volume: float) -> float:
    """Convert a volume [m3] to [US gal]."""
    return volume / US_GALLON


def millimetres(length: float) -> float:
    """Convert a length [m] to [mm]."""
    return length * 1000.0


def inches(length: float) -> float:
    """Convert a length [m] to [in]."""
    return length / INCH


def degrees(angle: float) -> float:
    """Convert an angle [rad] to [deg]."""
    return math.degrees(angle)


def celsius(temperature: float) -> float:
    """Convert a temperature [K] to [degC]."""
    return temperature - ZERO_CELSIUS


def fahrenheit(temperature: float) -> float:
    """Convert a temperature [K] to [degF]."""
    return celsius(temperature) * 1.8 + 32.0


def kilopascals(pressure: float) -> float:
    """Convert a pressure [Pa] to [kPa]."""
    return pressure / 1000.0


def knots(speed: float) -> float:
    """Convert a speed [m/s] to [kt]."""
    return speed / KNOT


def percent(ratio: float) -> float:
    """Convert a ratio [-] to [%]."""
    return ratio * 100.0
