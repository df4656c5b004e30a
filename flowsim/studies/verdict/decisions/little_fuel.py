"""The fuel on which the required flow is judged: unusable fuel and what a short test draws.

The rule of the trade starts from the unusable fuel plus what the test needs (14 CFR 23.955 before
amendment 23-64, read). A large draw would raise the surface from which the flow is worked out, and
so hide what little fuel gives.
"""

from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.saying import saying
from flowsim.studies.verdict.decisions.evidence import Evidence

LONGEST = 900.0
"""[s] Of the required flow that a test's draw may last: a run takes a minute or two, a vent test
some more. Tag: common practice."""
ALWAYS_SMALL = 0.005
"""[m3] A draw up to this is small for any engine. Tag: common practice."""


def little_fuel(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide whether the test draws so much that its fuel state is not one of little fuel.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        Empty where the draw is small; cannot tell where it is not.
    """
    system = evidence.swept.assembly.system
    required = system.engine.burn * system.engine.factor / system.fuel.density_15
    most = max(LONGEST * required, ALWAYS_SMALL)
    if system.test_draw <= most:
        return ()
    minutes = system.test_draw / required / 60.0
    return (
        Decision(
            topic=Topic.TEST_QUANTITY,
            name=saying("little_fuel.fuel_test"),
            verdict=Verdict.CANNOT_TELL,
            found=saying(
                "little_fuel.required_flow_judged_unusable",
                test_draw=system.test_draw,
                minutes=minutes,
            ),
            remedy=saying("little_fuel.write_draw_test_what", most=most),
            figure=saying("little_fuel.test_draws_too_much"),
        ),
    )
