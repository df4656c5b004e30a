"""The take-off run: its flow has a line of its own; here, whether the ground attitude is known."""

import math

from flowsim.studies.judged.scenarios import RUN
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.saying import saying
from flowsim.studies.verdict.decisions.evidence import Evidence


def takeoff_run(evidence: Evidence) -> tuple[Decision, ...]:
    """Say so where the take-off run could be judged in level attitude only.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Empty where the ground attitude is stated. A nose-up attitude on the ground adds to what
        the acceleration does, so leaving it out must not pass.
    """
    swept = evidence.swept
    system = swept.assembly.system
    if system.routing.ground is not None or not (swept.table.purpose == RUN).any():
        return ()
    level = math.degrees(system.flight.level_pitch)
    return (
        Decision(
            topic=Topic.TAKEOFF_RUN,
            name=saying("takeoff_run.take_off_run"),
            verdict=Verdict.CANNOT_TELL,
            found=saying("takeoff_run.judged_level_pitch_deg", level=level),
            remedy=saying("takeoff_run.read_pitch_datum_aeroplane"),
        ),
    )
