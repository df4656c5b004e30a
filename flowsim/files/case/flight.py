"""How the aeroplane of a case is flown: pitches, speeds, the take-off run."""

import math

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.files.case.fuel import split_message
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models import FlightSection
from flowsim.files.case.validate import example
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import in_unit_of, shown
from flowsim.measures import airspeed_words
from flowsim.physics.air.atmosphere import HIGHEST_AIRSPEED
from flowsim.physics.attitude import pitch_from_climb
from flowsim.system.engine import LEVEL_SPEED_FACTOR, USUAL_ACCELERATION, Flight

TEST_MARGIN = math.radians(5.0)
"""[rad] Added to the steepest climb pitch for the test (AC 90-89A, 1995; AC 90-89B, 2015, is
the later edition). Tag: published (read)."""

_FLIGHT: KeyPath = ("flight",)
_CLIMB = ("rate_of_climb", "angle_of_attack", "incidence")


def build_flight(section: FlightSection, ledger: Ledger) -> Flight:
    """Build how the aeroplane is flown.

    Parameters
    ----------
    section
        ``[flight]`` of the file.
    ledger
        Receives mistakes, origins and cautions.

    Returns
    -------
    Flight
        Angles are NaN where a mistake prevents them.
    """
    if section.level_pitch is None:
        ledger.default((*_FLIGHT, "level_pitch"), "0 deg", "datum level in level flight")
    level = 0.0 if section.level_pitch is None else section.level_pitch.value
    climb, working = _climb_pitch(section, ledger)
    key = "climb_pitch" if section.climb_pitch is not None else "level_pitch"
    if climb < level:
        ledger.mistake(
            (*_FLIGHT, key),
            f"the climb pitch, {math.degrees(climb):.3g} deg, is less than the level pitch",
            "correct one of them",
        )
    descent = section.descent_pitch
    if descent is not None and descent.value > level:
        ledger.mistake(
            (*_FLIGHT, "descent_pitch"),
            f"{shown(descent.text)} is nose-up of level flight",
            f"write nose-down as negative, {example(FlightSection, 'descent_pitch')}",
        )
    return Flight(
        level_pitch=level,
        climb_pitch=climb,
        pitch_working=working,
        test_margin=TEST_MARGIN,
        climb_speed=section.climb_speed.value,
        pressure_altitude=section.pressure_altitude.value,
        level_speed=_level_speed(section, ledger),
        descent_pitch=None if descent is None else descent.value,
        acceleration=_acceleration(section, ledger),
    )


def _level_speed(section: FlightSection, ledger: Ledger) -> float | None:
    """Give the top level speed [m/s], None where it is assumed; check both speeds."""
    climb, level = section.climb_speed, section.level_speed
    for key, given in (("climb_speed", climb), ("level_speed", level)):
        if given is not None:
            refuse_fast(ledger, (*_FLIGHT, key), given, example(FlightSection, key))
    if level is None:
        if LEVEL_SPEED_FACTOR * climb.value > HIGHEST_AIRSPEED >= climb.value:
            problem = f"is missing, and twice the climb speed ({climb.text}) is not plausible"
            remedy = f"write {example(FlightSection, 'level_speed')}"
            ledger.mistake((*_FLIGHT, "level_speed"), problem, remedy)
        elif climb.quantity is not None and not ledger.is_reported((*_FLIGHT, "level_speed")):
            text = in_unit_of(LEVEL_SPEED_FACTOR * climb.value, climb.quantity)
            ledger.default((*_FLIGHT, "level_speed"), text, "twice the climb speed, no source")
        return None
    if level.value < climb.value:
        ledger.mistake(
            (*_FLIGHT, "level_speed"),
            f"{shown(level.text)} is less than the climb speed, {climb.text}",
            "write the top speed in level flight, or correct climb_speed",
        )
    return level.value


def refuse_fast(ledger: Ledger, path: KeyPath, given: Given, likely: str) -> None:
    """Take down an airspeed beyond what the vents' law holds for.

    Parameters
    ----------
    ledger : Ledger
    path : KeyPath
        Where it stands.
    given : Given
        The speed [m/s].
    likely : str
        A plausible one, as it would be written.
    """
    if given.value > HIGHEST_AIRSPEED:
        ledger.mistake(
            path,
            f"{shown(given.text)} is faster than {airspeed_words(HIGHEST_AIRSPEED, 0)}; the "
            "pressure at the vents is worked out for slower flight only",
            f"write {likely}",
        )


def _acceleration(section: FlightSection, ledger: Ledger) -> float | None:
    """Give the acceleration along the take-off run [m/s2], None where it is assumed."""
    given = section.acceleration
    if given is None:
        if not ledger.is_reported((*_FLIGHT, "acceleration")):
            text = f"{USUAL_ACCELERATION / STANDARD_GRAVITY:.2g} g0"
            ledger.default((*_FLIGHT, "acceleration"), text, "common practice, no source")
        return None
    if given.value <= 0.0:
        ledger.mistake(
            (*_FLIGHT, "acceleration"),
            f"{shown(given.text)} is not a plausible acceleration along a take-off run",
            f"write {example(FlightSection, 'acceleration')}",
        )
    return given.value


def _climb_pitch(section: FlightSection, ledger: Ledger) -> tuple[float, str]:
    """Give the steepest climb pitch [rad] and its working."""
    given = [key for key in _CLIMB if getattr(section, key) is not None]
    if section.climb_pitch is not None:
        for key in given:
            ledger.mistake((*_FLIGHT, key), "climb_pitch is given as well", "keep one of them")
        return section.climb_pitch.value, f"{section.climb_pitch.text} as stated"
    rate, attack, rigging = section.rate_of_climb, section.angle_of_attack, section.incidence
    if rate is None or attack is None or rigging is None:
        for key in _CLIMB if given else ():
            if key not in given and not ledger.is_reported((*_FLIGHT, key)):
                remedy = f"write {example(FlightSection, key)} or climb_pitch"
                ledger.mistake((*_FLIGHT, key), "is missing", remedy)
        if not given and not ledger.is_reported(_FLIGHT):
            ledger.mistake(
                (*_FLIGHT, "climb_pitch"),
                "the climb pitch is missing",
                f"write {example(FlightSection, 'climb_pitch')}, or rate_of_climb, "
                "angle_of_attack and incidence",
            )
        return math.nan, ""
    speed = section.climb_speed
    if math.isnan(speed.value + rate.value + attack.value + rigging.value):
        return math.nan, ""
    try:
        pitch = pitch_from_climb(speed.value, rate.value, attack.value, rigging.value)
    except DomainError as error:
        ledger.mistake((*_FLIGHT, "rate_of_climb"), *split_message(error))
        return math.nan, ""
    path = math.degrees(pitch - attack.value + rigging.value)
    working = (
        f"path asin({rate.text} / {speed.text}) = {path:.1f} deg, plus angle of attack "
        f"{attack.text}, less incidence {rigging.text} = {math.degrees(pitch):.1f} deg"
    )
    if pitch > math.radians(60.0):
        ledger.mistake((*_FLIGHT, "rate_of_climb"), f"not plausible: {working}", "check the four")
    return pitch, working
