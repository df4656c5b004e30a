"""At what airspeed an attitude is flown, and what the take-off run does to the fuel."""

import numpy as np

from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.attitude import effective_gravity
from flowsim.system.engine import Flight


def airspeed_at(flight: Flight, pitch: FloatArray) -> FloatArray:
    """Give the airspeed at which full power is flown at a pitch, for the suction at the vents.

    Parameters
    ----------
    flight : Flight
    pitch : FloatArray (scenario,)
        Nose-up [rad], any value.

    Returns
    -------
    FloatArray (scenario,)
        Calibrated airspeed [m/s]: the top level speed at the level pitch and below, the climb speed
        from the climb pitch on. Between them its square, and so the suction, falls evenly with
        pitch. That is more than is flown there: lift keeps the angle of attack nearly proportional
        to 1/V^2, so V^2 falls faster at first. No source.
    """
    span = flight.climb_pitch - flight.level_pitch
    if span > 0.0:
        with np.errstate(over="ignore"):  # a span of next to nothing: infinite is beyond it too
            share = np.clip((pitch - flight.level_pitch) / span, 0.0, 1.0)
    else:
        share = np.where(pitch <= flight.level_pitch, 0.0, 1.0)
    top, climb = flight.top_speed**2, flight.climb_speed**2
    speed: FloatArray = np.sqrt(top + share * (climb - top))
    return speed


def gravity_along(pitch: FloatArray, roll: FloatArray, acceleration: FloatLike) -> FloatArray:
    """Give the effective gravity over g0 while the aeroplane accelerates along the ground.

    Parameters
    ----------
    pitch, roll : FloatArray (scenario,)
        [rad] Of the datum.
    acceleration : float or FloatArray (scenario,)
        [m/s2] Forward and level, whatever the pitch; zero gives ``effective_gravity``.

    Returns
    -------
    FloatArray (scenario, 3)
        Parts (aft, right, up) [-].

    Notes
    -----
    The acceleration lies level, so along the datum's axes it is a cos pitch forward and
    -a sin pitch up. It acts like atan(a/g0) more nose-up, with gravity stronger by
    sqrt(1 + (a/g0)^2). Exact.
    """
    along = np.asarray(acceleration, dtype=np.float64)
    return effective_gravity(pitch, roll, forward=along * np.cos(pitch), up=-along * np.sin(pitch))
