"""Examples in messages, in the units in which the case is shown: no inches to a metric case."""

import re

from flowsim.measures import (
    ALTITUDE,
    AREA,
    DENSITY,
    LENGTH,
    MASS,
    MASS_FLOW,
    PRESSURE,
    TEMPERATURE,
    VOLUME,
    VOLUME_FLOW,
    Measure,
    Unit,
    Units,
    choice,
)

_PER_LITRE = Measure(Unit("kg/L", 1e3), DENSITY.us)
"""Densities [kg/m3] as cases write them."""
_MEASURES = (
    LENGTH, ALTITUDE, VOLUME, VOLUME_FLOW, MASS, MASS_FLOW, PRESSURE, TEMPERATURE, AREA,
    _PER_LITRE, DENSITY,
)  # fmt: skip
_QUANTITY = re.compile(r'"(-?\d+(?:\.\d+)?) ([A-Za-z_/0-9]+)"')


def example_words(text: str) -> str:
    """Put the quoted quantities of an example into the system that is shown.

    Parameters
    ----------
    text : str
        Such as ``bend_radius = "1.25 in"``; names of tubes and units without a counterpart stay.

    Returns
    -------
    str
        The same where both systems are shown.
    """
    return _QUANTITY.sub(_swapped, text)


def unit_words(unit: str) -> str:
    """Give the unit of the system that is shown that takes the place of another.

    Parameters
    ----------
    unit : str
        As a case file may write it.

    Returns
    -------
    str
    """
    found = _counterpart(unit)
    return unit if found is None else _written(found[1])


def _swapped(quantity: re.Match[str]) -> str:
    found = _counterpart(quantity[2])
    if found is None:
        return quantity[0]
    here, there = found
    figure = there.of(float(quantity[1]) * here.worth + here.zero)
    return f'"{float(f"{figure:.3g}"):.10g} {_written(there)}"'


def _counterpart(name: str) -> tuple[Unit, Unit] | None:
    """Give a unit and that of the other system, where only that system is shown."""
    shown = choice().sentences
    for measure in _MEASURES:
        if shown is Units.METRIC and name == _written(measure.us):
            return measure.us, measure.metric
        if shown is Units.US and name == _written(measure.metric):
            return measure.metric, measure.us
    return None


def _written(unit: Unit) -> str:
    """Give a unit's name as a case file writes it."""
    return unit.name.replace(" ", "_")
