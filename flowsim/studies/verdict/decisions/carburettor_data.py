"""What is known behind the carburettor's inlet: a plain "adequate" needs the needle and seat.

The seat costs more than most lines: 4 mm take 0.1 m of fuel at 40 L/h, 2.5 mm 0.7 m. The open line
says nothing of it. A maker's least pressure at the inlet is a promise of the carburettor's function
and not of a flow, so it settles the seat only together with the flow that the maker states at it.
"""

from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.review.carburettor_words import NO_CARBURETTOR, missing_data
from flowsim.studies.saying import Said, Saying, saying
from flowsim.studies.verdict.decisions.evidence import Evidence

REMEDY = saying("carburettor_data.measure_bore_needle_seat")


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
            name=saying("carburettor_data.carburettor_data"),
            verdict=Verdict.ADEQUATE,
            found=saying("carburettor_data.nothing_said_what_arrives", missing=_left_out(missing)),
            remedy=REMEDY,
            figure=saying("carburettor_data.needle_seat_not_known"),
            open_line_only=True,
        ),
    )


def _left_out(missing: Said) -> Said:
    """Say what is left out; that there are no data is said by the name already."""
    if isinstance(missing, Saying) and missing.key == NO_CARBURETTOR:
        return saying("carburettor_data.left_out")
    return missing
