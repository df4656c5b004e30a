"""What is known behind the carburettor's inlet: a plain "adequate" needs the needle and seat.

The seat costs more than most lines: 4 mm take 0.1 m of fuel at 40 L/h, 2.5 mm 0.7 m. The open line
says nothing of it. A maker's least pressure at the inlet is a promise of the carburettor's function
and not of a flow, so it settles the seat only together with the flow that the maker states at it.
"""

from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.review.carburettor_words import NO_DATA, missing_data
from flowsim.studies.verdict.decisions.evidence import Evidence

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
            found=f"{missing.removeprefix(NO_DATA)}; nothing is said of what arrives in the float "
            "bowl",
            remedy=REMEDY,
            figure="needle and seat not known",
            open_line_only=True,
        ),
    )
