"""SI values as text for people: number, unit, and "no result" where there is none.

A value that is not finite never becomes a number in a report. Case text is cleaned of everything
that could steer a terminal.
"""

import math

from flowsim.document.text import clean as clean
from flowsim.files.units import shown as to

NO_RESULT = "no result"
"""What stands where a number does not exist."""
RUNS_BACK = "none; it runs back"
"""What stands for a flow below zero: fuel leaves the float bowl towards the tanks."""


def number(value: float | None, decimals: int) -> str:
    """Give a number with fixed decimals.

    Parameters
    ----------
    value : float or None
        [any unit]
    decimals : int
        Digits after the point, >= 0.

    Returns
    -------
    str
        "no result" for None, NaN and infinity; never "-0.0".
    """
    if value is None or not math.isfinite(value):
        return NO_RESULT
    text = f"{value:.{decimals}f}"
    return text.removeprefix("-") if float(text) == 0.0 else text


def with_unit(value: float | None, decimals: int, unit: str) -> str:
    """Give a number [unit] and its unit, or "no result" alone."""
    text = number(value, decimals)
    return text if text == NO_RESULT else f"{text} {unit}"


def digits(value: float | None, count: int = 6) -> str:
    """Give a number [any unit] with ``count`` significant digits, for calculating on with it."""
    if value is None or not math.isfinite(value):
        return NO_RESULT
    return f"{value:.{count}g}"


def runs_back(value: float | None, least: float) -> bool:
    """Tell whether a flow or a ratio of flows is below zero by ``least`` or more."""
    return value is not None and math.isfinite(value) and value <= -least


def mass_flow_words(mass_flow: float | None) -> str:
    """Give a mass flow [kg/s] in kg/h; below zero it is none."""
    flow = None if mass_flow is None else to.kg_per_h(mass_flow)
    return RUNS_BACK if runs_back(flow, 0.05) else with_unit(flow, 1, "kg/h")


def flow_words(mass_flow: float, volume_flow: float) -> str:
    """Give one flow, known as mass [kg/s] and as volume [m3/s], in kg/h, L/h and US gal/h."""
    if not (math.isfinite(mass_flow) and math.isfinite(volume_flow)):
        return NO_RESULT
    if mass_flow_words(mass_flow) == RUNS_BACK:
        return RUNS_BACK
    return ", ".join(
        (
            mass_flow_words(mass_flow),
            with_unit(to.l_per_h(volume_flow), 1, "L/h"),
            with_unit(to.us_gal_per_h(volume_flow), 2, "US gal/h"),
        )
    )


def head_words(head: float) -> str:
    """Give a head [m of fuel] in millimetres and inches."""
    if not math.isfinite(head):
        return NO_RESULT
    return f"{number(to.millimetres(head), 0)} mm ({number(to.inches(head), 1)} in)"


def volume_words(volume: float) -> str:
    """Give a volume [m3] in litres and US gallons."""
    if not math.isfinite(volume):
        return NO_RESULT
    return f"{number(to.litres(volume), 1)} L ({number(to.us_gallons(volume), 2)} US gal)"


def temperature_words(temperature: float) -> str:
    """Give a temperature [K] in degC and degF."""
    if not math.isfinite(temperature):
        return NO_RESULT
    celsius, fahrenheit = to.celsius(temperature), to.fahrenheit(temperature)
    return f"{number(celsius, 1)} degC ({number(fahrenheit, 1)} degF)"


def percent_words(ratio: float | None) -> str:
    """Give a ratio [-] in percent, rounded down so that 99.9 % never reads as 100 %."""
    if ratio is None or not math.isfinite(ratio):
        return NO_RESULT
    # The small number forgives the last bit of an exact quotient.
    return f"{number(math.floor(to.percent(ratio) * 10.0 + 1e-6) / 10.0, 1)} %"


def ratio_words(ratio: float | None) -> str:
    """Give a flow over another [-] in percent; below zero it is none."""
    return RUNS_BACK if runs_back(ratio, 0.0005) else percent_words(ratio)


def share_words(ratio: float) -> str:
    """Give a share of a whole [-] in whole percent."""
    return with_unit(to.percent(ratio), 0, "%")


def pitch_words(pitch: float) -> str:
    """Give a pitch angle [rad] in words: nose-up, nose-down or level."""
    if not math.isfinite(pitch):
        return NO_RESULT
    text = number(abs(to.degrees(pitch)), 1)
    if float(text) == 0.0:
        return "level (0.0 deg)"
    return f"{text} deg {'nose-up' if pitch > 0 else 'nose-down'}"


def roll_words(roll: float) -> str:
    """Give a roll angle [rad] in words."""
    if not math.isfinite(roll):
        return NO_RESULT
    text = number(abs(to.degrees(roll)), 1)
    if float(text) == 0.0:
        return "wings level"
    return f"{text} deg {'right' if roll > 0 else 'left'} wing down"
