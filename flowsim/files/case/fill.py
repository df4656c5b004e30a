"""How much of a tank's shape fuel can take: a small share lifts the surface of what is in it."""

from dataclasses import replace

import numpy as np

from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_tanks import TankSection
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.measures import LENGTH
from flowsim.physics.tank.volume import surface_elevation
from flowsim.system.tanks import Solid, TankShape

LEAST_FILL_FACTOR = 0.6
"""[-] Below this the placarded capacity must say that the tank holds no more. Tag: common
practice."""

_INCH = 0.0254


def check_fill_factor(
    section: TankSection, path: KeyPath, shape: TankShape | None, ledger: Ledger
) -> None:
    """Refuse a small fill factor that no capacity bears out.

    Parameters
    ----------
    section
        ``[[tank]]`` of the file.
    path
        Its path.
    shape
        As built, or None.
    ledger
        Receives the mistake.
    """
    if not isinstance(shape, Solid) or section.capacity is not None:
        return
    if not shape.fill_factor < LEAST_FILL_FACTOR:
        return
    given = section.least_takeoff
    worth = ""
    if given is not None:
        lift = _lift(shape, given.value)
        if np.isfinite(lift):
            worth = (
                f": {given.text} stand {LENGTH.words(lift, 0)} higher than with a fill_factor of 1"
            )
    ledger.mistake(
        (*path, "fill_factor"),
        f"{shape.fill_factor:g} raises the fuel surface{worth}, and no capacity is given to check "
        "it by",
        f"fill the tank and write what it takes, {example(TankSection, 'capacity')}",
    )


def _lift(solid: Solid, quantity: float) -> float:
    """Give how much higher [m] a quantity stands in level attitude than without the factor."""
    level, some = np.array([[0.0, 0.0, -1.0]]), np.array([quantity])
    whole = replace(solid, fill_factor=1.0)
    return float((surface_elevation(solid, level, some) - surface_elevation(whole, level, some))[0])
