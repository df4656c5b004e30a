"""Water on the ground: whether it can be drained from every low place of lines and tanks.

14 CFR 23.999 (before amendment 23-64): a drain for the whole system in ground attitude. Water is
heavier than fuel and goes to every low place; what stays there is drawn in at the next climb.
"""

import math

from flowsim.errors import DomainError
from flowsim.measures import LENGTH
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.routing.attitudes import ground_view
from flowsim.studies.routing.courses import laid_lines
from flowsim.studies.routing.findings import low_point_words, tank_pool_words
from flowsim.studies.routing.low_points import ASTRAY, far_drains, height_doubt, low_points
from flowsim.studies.routing.result import AttitudeView
from flowsim.studies.routing.tank_water import tank_pools
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import SEVERITY, worst
from flowsim.system.fuel_system import FuelSystem

NAME = "water on the ground"
DRAIN = "put a drain at the lowest place and state it ([[drain]] with reaches and at)"
LEVEL = "look at the lowest place with a level, or state a drain there ([[drain]])"
SUMP = "describe the tank by points, or state its lowest place (sump_at) and the drain there"
PLACE = "correct its point and its unit, or end a line at the drain that shows how it is reached"
COURSE = "write its course (via, or straight = true)"


def water(evidence: Evidence) -> tuple[Decision, ...]:
    """Decide whether water can be drained as the aeroplane stands.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    tuple of Decision
        One. Not adequate where water stays in a dip or a tank; cannot tell where the ground
        attitude, the course of a line or the lowest place of a tank is not stated, and where what
        stays is shallower than two standard deviations of the stated heights.
    """
    system = evidence.swept.assembly.system
    view = ground_view(system)
    if view is None:
        return (
            _decision(
                Verdict.CANNOT_TELL,
                ["the ground attitude is not stated, so nothing is said of water"],
                ["write [ground] with kind and pitch: as the aeroplane stands"],
            ),
        )
    try:
        found = [*_lines(system, view), *_tanks(system, view)]
    except DomainError as error:
        found = [(Verdict.CANNOT_TELL, f"the lines could not be laid: {error}", "correct it")]
    if not found:
        words = f"every low place of lines and tanks is drained ({view.words})"
        return (_decision(Verdict.ADEQUATE, [words], []),)
    found.sort(key=lambda item: -SEVERITY[item[0]])
    verdict = worst([item[0] for item in found])
    return (_decision(verdict, [item[1] for item in found], [item[2] for item in found]),)


def _decision(verdict: Verdict, found: list[str], remedies: list[str]) -> Decision:
    return Decision(
        topic=Topic.WATER,
        name=NAME,
        verdict=verdict,
        found="; ".join(found),
        remedy="; ".join(dict.fromkeys(remedies)),
    )


def _lines(system: FuelSystem, view: AttitudeView) -> list[tuple[Verdict, str, str]]:
    """Give what is wrong with the lines: verdict, words, remedy."""
    found = []
    laid = laid_lines(system)
    for point in low_points(system, laid, (view,)):
        if point.is_drained:
            continue
        words = f"{point.place.words}: {low_point_words(point)}"
        if point.left_depth <= height_doubt(system):
            found.append((Verdict.CANNOT_TELL, f"{words} (heights are no surer)", LEVEL))
        else:
            found.append((Verdict.NOT_ADEQUATE, words, DRAIN))
    for drain, reached, distance in far_drains(system, laid, ASTRAY):
        words = f'drain "{drain}" lies {LENGTH.words(distance, 0)} from {reached}, which it drains'
        found.append((Verdict.CANNOT_TELL, words, PLACE))
    known = {line.name for line in laid if line.known}
    bare = [f'"{line.name}"' for line in system.all_lines if line.name not in known]
    if bare:
        words = f"the course of line {', '.join(bare)} is not known, so its low places are not"
        found.append((Verdict.CANNOT_TELL, words, COURSE))
    return found


def _tanks(system: FuelSystem, view: AttitudeView) -> list[tuple[Verdict, str, str]]:
    """Give what is wrong with the tanks: verdict, words, remedy."""
    found = []
    for pool in tank_pools(system, view):
        if pool.is_drained:
            continue
        words = f'tank "{pool.tank}": {tank_pool_words(pool)}'
        if math.isnan(pool.depth):
            found.append((Verdict.CANNOT_TELL, words, SUMP))
        elif pool.depth > height_doubt(system):
            found.append((Verdict.NOT_ADEQUATE, words, DRAIN))
        else:
            found.append((Verdict.CANNOT_TELL, words, LEVEL))
    return found
