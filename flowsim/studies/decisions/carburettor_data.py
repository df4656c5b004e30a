"""What is known behind the carburettor's inlet: a plain "adequate" needs the needle and seat.

The seat costs more than most lines: 4 mm take 0.1 m of fuel at 40 L/h, 2.5 mm 0.7 m. The open line
says nothing of it. A maker's least pressure at the inlet is a promise of the carburettor's function
and not of a flow, so it settles the seat only together with the flow that the maker states at it.
"""

from flowsim.studies.decisions.evidence import Evidence
from flowsim.studies.result import OPEN_LINE_ONLY, Decision, Topic, Verdict
from flowsim.system.engine import Carburettor, Engine
from flowsim.system.parts import Part

SEAT = "needle and seat"
_NONE = "no carburettor data: "
_HOUR = 3600.0  # s

REMEDY = (
    "measure the bore of the needle's seat (drill shank or pin gauge), or time the flow through "
    'the carburettor at a known height of fuel over it, and state it as the part "needle and seat"'
)


def carburettor_data(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide whether the words may leave out "open line only".

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Empty where the needle and seat, or the maker's flow at the least pressure, is stated.
    """
    system = evidence.swept.assembly.system
    missing = missing_data(system.engine)
    if not missing:
        return ()
    return (
        Decision(
            topic=Topic.CARBURETTOR_DATA,
            name="carburettor data",
            verdict=Verdict.ADEQUATE,
            found=f"{missing.removeprefix(_NONE)}; nothing is said of what arrives in the float "
            "bowl",
            remedy=REMEDY,
            figure="needle and seat not known",
            open_line_only=True,
        ),
    )


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
            f"{_NONE}its inlet screen, needle and seat and float level cost head and are left out; "
            "the suction at the vents in flight is judged at the open line instead"
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
            f"the maker states {_HOUR * promised:.1f} kg/h at the least inlet pressure, less than "
            f"the {_HOUR * required:.1f} kg/h required"
        )
    return ""


def _is_seat(part: Part) -> bool:
    return getattr(part, "kind", "") == SEAT
