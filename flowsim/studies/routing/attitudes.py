"""The attitudes in which the lines are looked at."""

import math

import numpy as np

from flowsim.physics.attitude import coordinated_turn, effective_gravity
from flowsim.studies.routing.result import AttitudeView
from flowsim.system.fuel_system import FuelSystem

GROUND, LEVEL, CLIMB, STEEPEST = "ground", "level", "climb", "climb+5"
DESCENT, BANKED, SLIP_LEFT, SLIP_RIGHT = "descent", "banked", "slip left", "slip right"
STAYING = (GROUND, LEVEL)
"""Attitudes in which water settles and is drained; a dip there needs a drain."""


def attitudes_of(system: FuelSystem) -> tuple[tuple[AttitudeView, ...], tuple[str, ...]]:
    """Give the attitudes of a case, and what is missing for the others.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of AttitudeView, tuple of str
        Ground, level, climb, climb + 5, descent, banked, and slips where stated. A turn without
        slip has no sideways part, so left and right are alike.
    """
    flight, routing = system.flight, system.routing
    views, missing = [], []
    if routing.ground is None:
        missing.append("ground attitude: write [ground] with kind and pitch")
    else:
        words = f"{routing.ground.gear}, as stated"
        views.append(_rolled(GROUND, routing.ground.pitch, 0.0, words, on_ground=True))
    views.append(_rolled(LEVEL, flight.level_pitch, 0.0, "stated level attitude"))
    views.append(_rolled(CLIMB, flight.climb_pitch, 0.0, flight.pitch_working))
    steepest = flight.climb_pitch + flight.test_margin
    more = f"climb and {math.degrees(flight.test_margin):.3g} deg more"
    views.append(_rolled(STEEPEST, steepest, 0.0, more))
    if flight.descent_pitch is None:
        missing.append("descent: write descent_pitch in [flight]")
    else:
        views.append(_rolled(DESCENT, flight.descent_pitch, 0.0, "stated descent"))
    views.append(
        AttitudeView(
            name=BANKED,
            pitch=flight.level_pitch,
            roll=routing.bank,
            gravity=np.asarray(coordinated_turn(flight.level_pitch, routing.bank)),
            on_ground=False,
            words="level turn without slip, left and right alike",
        )
    )
    if routing.slip is not None:
        for name, side in ((SLIP_LEFT, -1.0), (SLIP_RIGHT, 1.0)):
            roll = side * routing.slip
            views.append(_rolled(name, flight.level_pitch, roll, "stated slip, level pitch"))
    return tuple(views), tuple(missing)


def pitch_band(views: tuple[AttitudeView, ...]) -> tuple[float, float]:
    """Give the lowest and the highest pitch [rad] of the attitudes with wings level."""
    pitches = [view.pitch for view in views if view.roll == 0.0]
    return min(pitches), max(pitches)


def _rolled(
    name: str, pitch: float, roll: float, words: str, *, on_ground: bool = False
) -> AttitudeView:
    gravity = np.asarray(effective_gravity(pitch, roll))
    return AttitudeView(
        name=name, pitch=pitch, roll=roll, gravity=gravity, on_ground=on_ground, words=words
    )
