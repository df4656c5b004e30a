"""A flow meter that is blocked: the required flow must come through it or round it.

14 CFR 23.955 (before amendment 23-64): with a flow meter in the system, the meter is blocked in the
flow test and the fuel goes through it or its bypass. So the whole required flow is asked for, not
the burn alone.
"""

from flowsim.studies.changes.blocked_meters import Meter, meter_words, meters_in_use, with_blocked
from flowsim.studies.result import Decision, ResultLine, Topic, Verdict
from flowsim.studies.saying import NOTHING, Said, each_of, saying
from flowsim.studies.verdict.decisions.changed_system import lines_of_changed
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import arrives_words, worst

NAME = saying("flow_meter.flow_meter_blocked")
MEASURE = saying("flow_meter.measure_blocked_hold_rotor")


def flow_meter(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide on every flow meter: each blocked alone, and all of them together.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Empty without a meter on the lines used for take-off and climb. One decision for meters of
        which it is not known what they pass when blocked, one for each set of blocked meters.
    """
    assembly = evidence.swept.assembly
    meters = meters_in_use(assembly)
    unknown = tuple(meter for meter in meters if not meter.is_known)
    known = tuple(meter for meter in meters if meter.is_known)
    found = []
    if unknown:
        found.append(
            Decision(
                topic=Topic.FLOW_METER,
                name=NAME,
                verdict=Verdict.CANNOT_TELL,
                found=saying("flow_meter.what_still_passes_when", meter=meter_words(unknown)),
                remedy=MEASURE,
            )
        )
    sets: list[tuple[Meter, ...]] = [(meter,) for meter in known]
    if len(known) > 1:
        sets.append(known)
    for some in sets:
        lines = lines_of_changed(evidence, with_blocked(assembly.system, some))
        found.append(_decision(some, lines))
    return tuple(found)


def _decision(meters: tuple[Meter, ...], lines: tuple[ResultLine, ...]) -> Decision:
    """Decide on one set of blocked meters by the gravest line."""
    verdict = worst([line.verdict for line in lines])
    least = min(
        (line for line in lines if line.verdict is verdict),
        key=lambda line: line.least_nominal if line.least_low is None else line.least_low,
    )
    low = least.least_nominal if least.least_low is None else least.least_low
    words = saying(
        "flow_meter.nominal_values" if least.least_low is None else "flow_meter.in_draws",
        meter=meter_words(meters),
        arrives=arrives_words(low),
        least=least.name,
    )
    remedy: Said = NOTHING
    if verdict is not Verdict.ADEQUATE:
        remedy = saying("flow_meter.fit_bypass_round_meter")
    return Decision(
        topic=Topic.FLOW_METER,
        name=NAME,
        verdict=verdict,
        found=each_of([words, *least.reasons]),
        remedy=remedy,
        scenario=None,
    )
