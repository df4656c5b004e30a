"""SI values as text for people: number, unit, and "no result" where there is none.

A value that is not finite never becomes a number in a report. Case text is cleaned of everything
that could steer a terminal.
"""

import math
from collections.abc import Iterable

from flowsim.document.text import clean as clean
from flowsim.files.units import shown as to
from flowsim.measures import (
    LENGTH,
    MASS_FLOW,
    NO_RESULT,
    TEMPERATURE,
    VOLUME,
    VOLUME_FLOW,
    digits,
    number,
    percent_figure,
    ratio_figure,
)

__all__ = [
    "BACK", "NO_RESULT", "RUNS_BACK", "clean", "digits", "flow_span", "flow_words", "head_words",
    "key_of_back", "mass_flow_cell", "mass_flow_words", "number", "percent_words", "pitch_words",
    "ratio_cell", "ratio_span", "ratio_words", "roll_words", "runs_back", "share_words",
    "temperature_words", "volume_words", "with_unit",
]  # fmt: skip

RUNS_BACK = "none; it runs back"
"""What stands for a flow below zero: fuel leaves the float bowl towards the tanks."""
BACK = "back"
"""The same in a cell of a table, whose key says what it means (``key_of_back``)."""


def with_unit(value: float | None, decimals: int, unit: str) -> str:
    """Give a number [unit] and its unit, or "no result" alone."""
    text = number(value, decimals)
    return text if text == NO_RESULT else f"{text} {unit}"


def runs_back(value: float | None, least: float) -> bool:
    """Tell whether a flow or a ratio of flows is below zero by ``least`` or more."""
    return value is not None and math.isfinite(value) and value <= -least


def mass_flow_words(mass_flow: float | None) -> str:
    """Give a mass flow [kg/s] in kg/h or lb/h; below zero it is none."""
    flow = None if mass_flow is None else to.kg_per_h(mass_flow)
    return RUNS_BACK if runs_back(flow, 0.05) else MASS_FLOW.words(mass_flow, 1)


def mass_flow_cell(mass_flow: float | None, decimals: int = 1) -> str:
    """Give a mass flow [kg/s] for a table, in the unit of its head; below zero it is none."""
    flow = None if mass_flow is None else to.kg_per_h(mass_flow)
    return BACK if runs_back(flow, 0.05) else MASS_FLOW.cell(mass_flow, decimals)


def key_of_back(cells: Iterable[str]) -> str:
    """Say what ``BACK`` means where it stands in one of these cells; empty where it does not."""
    return f'"{BACK}": {RUNS_BACK}.' if any(BACK in cell.split() for cell in cells) else ""


def flow_words(mass_flow: float, volume_flow: float) -> str:
    """Give one flow, known as mass [kg/s] and as volume [m3/s], in units of both."""
    if not (math.isfinite(mass_flow) and math.isfinite(volume_flow)):
        return NO_RESULT
    if mass_flow_words(mass_flow) == RUNS_BACK:
        return RUNS_BACK
    pairs = zip(MASS_FLOW.units(), VOLUME_FLOW.units(), strict=True)
    texts = [
        f"{MASS_FLOW.figure(mass, mass_flow, 1)} {mass.name}, "
        f"{VOLUME_FLOW.figure(volume, volume_flow, 1)} {volume.name}"
        for mass, volume in pairs
    ]
    return texts[0] if len(texts) == 1 else f"{texts[0]} ({texts[1]})"


def head_words(head: float) -> str:
    """Give a head [m of fuel] in millimetres or inches."""
    return LENGTH.words(head, 0)


def volume_words(volume: float) -> str:
    """Give a volume [m3] in litres or US gallons."""
    return VOLUME.words(volume, 1)


def temperature_words(temperature: float) -> str:
    """Give a temperature [K] in degC or degF."""
    return TEMPERATURE.words(temperature, 1)


def percent_words(ratio: float | None) -> str:
    """Give a ratio [-] in percent with three digits, rounded down: 99.9 % never reads as 100 %."""
    if ratio is None or not math.isfinite(ratio):
        return NO_RESULT
    return f"{percent_figure(ratio)} %"


def ratio_words(ratio: float | None) -> str:
    """Give a flow over another [-] in percent; below zero it is none."""
    if ratio == math.inf:
        return f"{ratio_figure(ratio)} %"
    return RUNS_BACK if runs_back(ratio, 0.0005) else percent_words(ratio)


def flow_span(low: float, high: float) -> str:
    """Give a band of mass flows [kg/s]; what runs back is none."""
    first, last = mass_flow_words(low), mass_flow_words(high)
    if last == RUNS_BACK:
        return RUNS_BACK
    return f"{'none' if first == RUNS_BACK else first} to {last}"


def ratio_cell(ratio: float | None) -> str:
    """Give a flow over another [-] for a table in percent, without the sign of percent."""
    return BACK if runs_back(ratio, 0.0005) else ratio_words(ratio).removesuffix(" %")


def ratio_span(low: float | None, high: float | None) -> str:
    """Give a band of a flow over another [-]: ``81.2 to 93.4 %``, ``none to 4.1 %``."""
    if runs_back(high, 0.0005) or not runs_back(low, 0.0005):
        first, last = ratio_words(low).removesuffix(" %"), ratio_words(high)
        return last if last in (RUNS_BACK, NO_RESULT) or low == math.inf else f"{first} to {last}"
    return f"none to {percent_words(high)}" if high is not None else NO_RESULT


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
