"""Attitude: which way the fuel feels "down", and how high a point then stands.

Axes are the aeroplane's: station (aft positive), buttline (right positive), waterline (up
positive). Pitch nose-up and roll right-wing-down are positive. Angles are in radians.

Effective gravity is gravity less the acceleration of the aeroplane, over standard gravity: what a
plumb bob in the cabin shows. Its three parts are (aft, right, up).
"""

from math import pi

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, FloatLike


def effective_gravity(
    pitch: FloatLike,
    roll: FloatLike,
    forward: FloatLike = 0.0,
    right: FloatLike = 0.0,
    up: FloatLike = 0.0,
) -> FloatArray:
    """Give the effective gravity over g0 in the aeroplane's axes.

    Parameters
    ----------
    pitch : float or array
        Nose-up angle of the fuel system's datum above the horizon [rad], -pi/2 to pi/2.
    roll : float or array
        Right-wing-down angle [rad], -pi to pi: parked on a slope, or slipping. For a turn without
        slip see `coordinated_turn`.
    forward, right, up : float or array
        Acceleration of the aeroplane along its own axes [m/s2].

    Returns
    -------
    array
        Shape (..., 3): parts (aft, right, up) [-]. Length one when unaccelerated; level and at
        rest it is (0, 0, -1).

    Raises
    ------
    DomainError
        An angle outside its range, or a value not finite.

    Notes
    -----
    (sin pitch + a_forward/g0, sin roll cos pitch - a_right/g0, -cos roll cos pitch - a_up/g0).
    Rotation of the vertical by roll about the longitudinal axis, then pitch; exact.

    Examples
    --------
    Level and at rest all of it points down; nose up by 30 deg half of it points aft. So does a
    take-off run at half of g0.

    >>> effective_gravity([0.0, pi / 6], 0.0).round(6).tolist()
    [[0.0, 0.0, -1.0], [0.5, 0.0, -0.866025]]
    >>> effective_gravity(0.0, 0.0, forward=0.5 * STANDARD_GRAVITY).tolist()
    [0.5, 0.0, -1.0]
    """
    theta = _angle(pitch, "pitch", pi / 2.0)
    phi = _angle(roll, "roll", pi)
    a_forward = _finite(forward, "forward acceleration") / STANDARD_GRAVITY
    a_right = _finite(right, "acceleration to the right") / STANDARD_GRAVITY
    a_up = _finite(up, "upward acceleration") / STANDARD_GRAVITY
    return _stack(
        np.sin(theta) + a_forward,
        np.sin(phi) * np.cos(theta) - a_right,
        -np.cos(phi) * np.cos(theta) - a_up,
    )


def coordinated_turn(
    pitch: FloatLike, bank: FloatLike, angle_of_attack: FloatLike = 0.0
) -> FloatArray:
    """Give the effective gravity over g0 in a steady turn without slip.

    Parameters
    ----------
    pitch : float or array
        Nose-up angle of the datum above the horizon [rad], -pi/2 to pi/2.
    bank : float or array
        Right-wing-down angle [rad], within +-85 deg.
    angle_of_attack : float or array
        Angle between the datum and the flight path in the plane of symmetry [rad], within +-pi/4.
        Zero takes the turn's acceleration as square to the heading.

    Returns
    -------
    array
        Shape (..., 3): parts (aft, right, up) [-]; the right part is exactly zero.

    Raises
    ------
    DomainError
        An angle outside its range or not finite, or an angle of attack at which no steady turn
        exists.

    Notes
    -----
    In a steady turn the acceleration is level and square to the track. Asking that nothing pulls
    sideways fixes its size. With no angle of attack the parts are (sin pitch, 0,
    -cos pitch / cos bank): the part along the aeroplane's vertical grows by 1/cos bank, the
    fore-and-aft part does not. With angle of attack alpha the track lies outside of the heading,
    the acceleration has a forward part, and

    (sin pitch + K sin alpha sin bank cos pitch, 0, -cos bank cos pitch - K sin bank cos alpha
    cos pitch), K = sin bank cos pitch / (sin alpha sin pitch + cos alpha cos pitch cos bank).

    So a turn with angle of attack acts a little more nose-up than its pitch. Exact; derived in
    docs/theory/attitude.md, where it is checked against the wind-axis form.

    Examples
    --------
    A level turn at 60 deg of bank is flown at twice the weight (any flying handbook).

    >>> coordinated_turn(0.0, pi / 3).round(9).tolist()
    [0.0, 0.0, -2.0]
    """
    theta = _angle(pitch, "pitch", pi / 2.0)
    phi = _angle(bank, "bank", np.radians(85.0))
    alpha = _angle(angle_of_attack, "angle of attack", pi / 4.0)
    climb = np.cos(theta)
    along_track = np.sin(alpha) * np.sin(theta) + np.cos(alpha) * climb * np.cos(phi)
    if not bool(np.all(along_track > 0.0)):
        raise DomainError(
            "no steady turn without slip exists at this pitch, bank and angle of attack; "
            "check the three angles"
        )
    size = np.sin(phi) * climb / along_track
    return _stack(
        np.sin(theta) + size * np.sin(alpha) * np.sin(phi) * climb,
        np.zeros_like(size),
        -np.cos(phi) * climb - size * np.sin(phi) * np.cos(alpha) * climb,
    )


def in_datum_axes(parts: FloatArray, level_pitch: FloatLike) -> FloatArray:
    """Turn an effective gravity from the axes of level flight to those of the datum.

    A turn, a slip and a take-off run are flown about the aeroplane's level-flight axis, not about
    a datum line that somebody chose; worked out in level-flight axes and turned, they are the same
    for any datum.

    Parameters
    ----------
    parts : array
        Shape (..., 3): effective gravity over g0 [-] in level-flight axes (aft, right, up), as the
        other functions give it for a pitch counted from level flight.
    level_pitch : float or array
        Pitch of the datum in level flight [rad], nose-up positive, -pi/2 to pi/2, shape (...).

    Returns
    -------
    array
        Shape (..., 3): the same in the datum's axes [-].

    Raises
    ------
    DomainError
        An angle outside its range or not finite.

    Notes
    -----
    Rotation about the lateral axis; without roll or acceleration it gives back
    ``effective_gravity(pitch, 0)``. Exact.

    Examples
    --------
    A datum that stands 30 deg nose up in level flight: half of the weight points aft along it.

    >>> in_datum_axes(np.array([0.0, 0.0, -1.0]), pi / 6).round(6).tolist()
    [0.5, 0.0, -0.866025]
    """
    level = _angle(level_pitch, "level pitch", pi / 2.0)
    pull = np.asarray(parts, dtype=np.float64)
    aft, right, up = pull[..., 0], pull[..., 1], pull[..., 2]
    return _stack(
        aft * np.cos(level) - up * np.sin(level),
        right,
        aft * np.sin(level) + up * np.cos(level),
    )


def height(points: FloatArray, gravity: FloatArray) -> FloatArray:
    """Give the height of points against the effective gravity.

    A difference of two heights times density times g0 is the pressure difference of the fuel
    between them; in unaccelerated attitudes it is the plain difference in level.

    Parameters
    ----------
    points : array
        Shape (point, 3): station, buttline, waterline [m].
    gravity : array
        Shape (scenario, 3), or (3,) for one attitude: effective gravity over g0 [-], parts (aft,
        right, up), as `effective_gravity` gives it.

    Returns
    -------
    array
        Shape (scenario, point), or (point,) for one attitude: -(g . r) [m].

    Raises
    ------
    DomainError
        An array that does not end in three parts.

    Examples
    --------
    At rest the waterline; at a nose-up sine of 0.6 and cosine of 0.8 a point 1 m aft is 0.6 m
    lower, one 2 m up is 1.6 m higher.

    >>> points = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 2.0]])
    >>> found = height(points, np.array([[0.0, 0.0, -1.0], [0.6, 0.0, -0.8]]))
    >>> (found.round(9) + 0.0).tolist()
    [[0.0, 2.0], [-0.6, 1.6]]
    """
    place = np.asarray(points, dtype=np.float64)
    pull = np.asarray(gravity, dtype=np.float64)
    if place.ndim != 2 or place.shape[-1] != 3:
        raise DomainError(f"points have shape {place.shape}; they must be (point, 3)")
    if pull.ndim not in (1, 2) or pull.shape[-1] != 3:
        raise DomainError(f"gravity has shape {pull.shape}; it must be (scenario, 3) or (3,)")
    # Three products in fixed order, so that one scenario gives the same bits alone or in a batch.
    station, buttline, waterline = place.T
    along = pull[..., 0:1] * station + pull[..., 1:2] * buttline + pull[..., 2:3] * waterline
    return np.asarray(-along, dtype=np.float64)


def path_angle(speed: FloatLike, rate_of_climb: FloatLike) -> FloatArray:
    """Give the angle of the flight path above the horizon.

    Parameters
    ----------
    speed : float or array
        True airspeed along the path [m/s], above 0.
    rate_of_climb : float or array
        Vertical speed [m/s], negative in descent, not larger than the speed.

    Returns
    -------
    array
        asin(rate / speed) [rad], still air, shapes broadcast (0-d for floats).

    Raises
    ------
    DomainError
        Speed not above zero, rate larger than the speed, or a value not finite.

    Examples
    --------
    15 m/s up at 30 m/s along the path: the sine is a half.

    >>> round(float(np.degrees(path_angle(30.0, 15.0))), 9)
    30.0
    """
    along = _finite(speed, "speed")
    vertical = _finite(rate_of_climb, "rate of climb")
    if not bool(np.all(along > 0.0)):
        raise DomainError(f"speed {float(np.min(along)):g} m/s: it must be above zero")
    ratio = np.asarray(vertical / along, dtype=np.float64)
    if not bool(np.all(np.abs(ratio) <= 1.0)):
        worst = float(ratio.ravel()[int(np.argmax(np.abs(ratio)))])
        raise DomainError(
            f"rate of climb is {worst:.3g} times the speed along the path; "
            "it cannot exceed it: check the units of both"
        )
    return np.asarray(np.arcsin(ratio), dtype=np.float64)


def pitch_from_climb(
    speed: float, rate_of_climb: float, angle_of_attack: float, incidence: float
) -> float:
    """Work out the pitch of the fuel system's datum in a climb, wings level, in still air.

    Parameters
    ----------
    speed : float
        True airspeed [m/s], above 0.
    rate_of_climb : float
        Vertical speed [m/s].
    angle_of_attack : float
        Angle of the wing's chord to the flight path [rad], within +-pi/4.
    incidence : float
        Angle of the wing's chord to the datum [rad], leading edge up positive, within +-pi/4.

    Returns
    -------
    float
        Path angle + angle of attack - incidence [rad].

    Raises
    ------
    DomainError
        A value outside its range, or a pitch beyond +-90 deg.

    Examples
    --------
    30 deg of path and 10 deg of attack, less 4 deg of incidence.

    >>> pitch = pitch_from_climb(30.0, 15.0, np.radians(10.0), np.radians(4.0))
    >>> round(float(np.degrees(pitch)), 9)
    36.0
    """
    alpha = float(_angle(angle_of_attack, "angle of attack", pi / 4.0))
    rigging = float(_angle(incidence, "incidence", pi / 4.0))
    pitch = float(path_angle(speed, rate_of_climb)) + alpha - rigging
    return float(_angle(pitch, "pitch", pi / 2.0))


def equivalent_pitch(acceleration: FloatLike) -> FloatArray:
    """Give the nose-up pitch at rest that tilts the fuel like a forward acceleration when level.

    Parameters
    ----------
    acceleration : float or array
        Forward acceleration [m/s2], as in the take-off run.

    Returns
    -------
    array
        atan(a / g0) [rad], same shape (0-d for a float): 0.3 g acts like 16.7 deg.

    Raises
    ------
    DomainError
        A value not finite.

    Examples
    --------
    One g0 forward acts like 45 deg.

    >>> round(float(np.degrees(equivalent_pitch(STANDARD_GRAVITY))), 9)
    45.0
    """
    return np.asarray(
        np.arctan(_finite(acceleration, "acceleration") / STANDARD_GRAVITY), dtype=np.float64
    )


def _finite(value: FloatLike, name: str) -> FloatArray:
    number = np.asarray(value, dtype=np.float64)
    if not bool(np.all(np.isfinite(number))):
        raise DomainError(f"{name} is not a finite number; state a value")
    return number


def _angle(value: FloatLike, name: str, most: float) -> FloatArray:
    """Return the angle, refusing what is not finite or beyond ``most`` [rad]."""
    angle = _finite(value, name)
    largest = float(np.max(np.abs(angle), initial=0.0))
    if largest > most * (1.0 + 1e-12):
        raise DomainError(
            f"{name} of {np.degrees(largest):.4g} deg is beyond {np.degrees(most):.4g} deg; "
            "check the angle and its unit"
        )
    return angle


def _stack(aft: FloatArray, right: FloatArray, up: FloatArray) -> FloatArray:
    return np.stack(np.broadcast_arrays(aft, right, up), axis=-1).astype(np.float64)


def pull_of(gravity: FloatArray) -> FloatArray:
    """Give the strength of an effective gravity.

    Parameters
    ----------
    gravity : FloatArray
        Effective gravity over g0 (..., 3) [-].

    Returns
    -------
    FloatArray
        (...) [-]: 1 at rest and in straight flight, 1/cos(bank) in a turn without slip.

    Examples
    --------
    >>> float(pull_of(np.array([0.0, 3.0, -4.0])))
    5.0
    """
    return np.asarray(np.sqrt((np.asarray(gravity) ** 2).sum(axis=-1)))
