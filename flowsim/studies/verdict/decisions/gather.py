"""The decisions of a judgement, topic by topic; the verdict is the worst of them all."""

from collections.abc import Callable

from flowsim.studies.result import Decision
from flowsim.studies.verdict.decisions.air import air
from flowsim.studies.verdict.decisions.carburettor_data import carburettor_data
from flowsim.studies.verdict.decisions.cover import cover
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.decisions.flow import flow
from flowsim.studies.verdict.decisions.flow_meter import flow_meter
from flowsim.studies.verdict.decisions.fuel_data import fuel_data
from flowsim.studies.verdict.decisions.header_refill import header_refill
from flowsim.studies.verdict.decisions.humps import humps
from flowsim.studies.verdict.decisions.little_fuel import little_fuel
from flowsim.studies.verdict.decisions.slip import slip
from flowsim.studies.verdict.decisions.takeoff_run import takeoff_run
from flowsim.studies.verdict.decisions.tank_data import tank_data
from flowsim.studies.verdict.decisions.unusable_fuel import unusable_fuel
from flowsim.studies.verdict.decisions.vapour import vapour
from flowsim.studies.verdict.decisions.water import water

Decide = Callable[[Evidence], tuple[Decision, ...]]

TOPICS: tuple[Decide, ...] = (
    flow,
    air,
    cover,
    vapour,
    tank_data,
    fuel_data,
    flow_meter,
    carburettor_data,
    header_refill,
    unusable_fuel,
    little_fuel,
    humps,
    takeoff_run,
    slip,
    water,
)
"""In the order in which they are shown. A topic that a case gives no ground for gives nothing."""


def decisions_of(evidence: Evidence) -> tuple[Decision, ...]:
    """Give every decision on what was swept and drawn.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        In the order of ``TOPICS``.
    """
    return tuple(decision for topic in TOPICS for decision in topic(evidence))
