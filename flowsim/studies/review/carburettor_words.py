"""What a case does not say of the carburettor, and the verdict's words then."""

from flowsim.measures import MASS_FLOW
from flowsim.studies.result import OPEN_LINE_ONLY, Verdict
from flowsim.system.engine import Carburettor, Engine
from flowsim.system.parts import Part

SEAT = "needle and seat"
NO_DATA = "no carburettor data: "


def missing_data(engine: Engine) -> str:
    """Say what is not known behind the inlet.

    Parameters
    ----------
    engine : Engine

    Returns
    -------
    str
        Empty where nothing is missing.
    """
    carburettor = engine.carburettor
    if carburettor is None:
        return (
            f"{NO_DATA}its inlet screen, needle and seat and float level cost head and are left "
            "out; the suction at the vents in flight is judged at the open line instead"
        )
    if carburettor.least_inlet_pressure is not None:
        return _of_pressure(carburettor, engine)
    if any(_is_seat(part) for part in carburettor.parts):
        return ""
    return "the carburettor's needle and seat is not stated; it costs head and is left out"


def verdict_words(verdict: Verdict, engine: Engine) -> str:
    """Give a verdict as it is said: never a plain "adequate" without the carburettor's data.

    Parameters
    ----------
    verdict : Verdict
    engine : Engine

    Returns
    -------
    str
    """
    is_limited = verdict is Verdict.ADEQUATE and missing_data(engine)
    return OPEN_LINE_ONLY if is_limited else verdict.value


def _of_pressure(carburettor: Carburettor, engine: Engine) -> str:
    promised, required = carburettor.least_pressure_flow, engine.burn * engine.factor
    if promised is None:
        return (
            "the carburettor is known by its least inlet pressure alone: nobody states which flow "
            "passes its needle and seat at it"
        )
    if promised < required:
        return (
            f"the maker states {MASS_FLOW.words(promised, 1)} at the least inlet pressure, less "
            f"than "
            f"the {MASS_FLOW.words(required, 1)} required"
        )
    return ""


def _is_seat(part: Part) -> bool:
    return getattr(part, "kind", "") == SEAT
