"""What a case does not say of the carburettor, and the verdict's words then."""

from flowsim.studies.result import OPEN_LINE_ONLY, Verdict
from flowsim.studies.saying import Said, saying
from flowsim.system.engine import Carburettor, Engine
from flowsim.system.parts import Part

SEAT = "needle and seat"
"""Kind of the part that a carburettor's data must hold."""
NO_CARBURETTOR = "carburettor_words.no_data"
"""Key of what is said where a case states no carburettor at all."""


def missing_data(engine: Engine) -> Said:
    """Say what is not known behind the inlet.

    Parameters
    ----------
    engine : Engine

    Returns
    -------
    Said
        Empty where nothing is missing.
    """
    carburettor = engine.carburettor
    if carburettor is None:
        return saying("carburettor_words.no_data")
    if carburettor.least_inlet_pressure is not None:
        return _of_pressure(carburettor, engine)
    if any(_is_seat(part) for part in carburettor.parts):
        return ""
    return saying("carburettor_words.carburettor_needle_seat_not")


def verdict_words(verdict: Verdict, engine: Engine) -> str:
    """Give a verdict as it is said: never a plain "adequate" without the carburettor's data.

    Parameters
    ----------
    verdict : Verdict
    engine : Engine

    Returns
    -------
    Said
    """
    is_limited = verdict is Verdict.ADEQUATE and missing_data(engine)
    return OPEN_LINE_ONLY if is_limited else verdict.value


def _of_pressure(carburettor: Carburettor, engine: Engine) -> Said:
    promised, required = carburettor.least_pressure_flow, engine.burn * engine.factor
    if promised is None:
        return saying("carburettor_words.carburettor_known_least_inlet")
    if promised < required:
        return saying(
            "carburettor_words.maker_states_least_inlet", promised=promised, required=required
        )
    return ""


def _is_seat(part: Part) -> bool:
    return getattr(part, "kind", "") == SEAT
