"""Water on the ground: whether it can be drained from every low place of lines and tanks.

14 CFR 23.999 (before amendment 23-64): a drain for the whole system in ground attitude. Water is
heavier than fuel and goes to every low place; what stays there is drawn in at the next climb.
"""

import math

from flowsim.errors import DomainError
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.routing.attitudes import ground_view
from flowsim.studies.routing.courses import laid_lines
from flowsim.studies.routing.findings import low_point_words, tank_pool_words
from flowsim.studies.routing.low_points import ASTRAY, far_drains, height_doubt, low_points
from flowsim.studies.routing.result import AttitudeView
from flowsim.studies.routing.tank_water import tank_pools
from flowsim.studies.saying import Said, each_of, saying
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import SEVERITY, worst
from flowsim.system.fuel_system import FuelSystem

NAME = saying("water.water_ground")
DRAIN = saying("water.put_drain_lowest_place")
LEVEL = saying("water.look_lowest_place_level")
SUMP = saying("water.describe_tank_points_state")
PLACE = saying("water.correct_point_unit_end")
COURSE = saying("water.write_course_via_straight")


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
                [saying("water.ground_attitude_not_stated")],
                [saying("water.write_ground_kind_pitch")],
            ),
        )
    try:
        found = [*_lines(system, view), *_tanks(system, view)]
    except DomainError as error:
        words = saying("water.lines_could_not_laid", error=str(error))
        found = [(Verdict.CANNOT_TELL, words, saying("water.correct"))]
    if not found:
        words = saying("water.every_low_place_lines", view=view.words)
        return (_decision(Verdict.ADEQUATE, [words], []),)
    found.sort(key=lambda item: -SEVERITY[item[0]])
    verdict = worst([item[0] for item in found])
    return (_decision(verdict, [item[1] for item in found], [item[2] for item in found]),)


def _decision(verdict: Verdict, found: list[Said], remedies: list[Said]) -> Decision:
    return Decision(
        topic=Topic.WATER,
        name=NAME,
        verdict=verdict,
        found=each_of(found),
        remedy=each_of(list(dict.fromkeys(remedies))),
    )


def _lines(system: FuelSystem, view: AttitudeView) -> list[tuple[Verdict, Said, Said]]:
    """Give what is wrong with the lines: verdict, words, remedy."""
    found: list[tuple[Verdict, Said, Said]] = []
    laid = laid_lines(system)
    for point in low_points(system, laid, (view,)):
        if point.is_drained:
            continue
        words = saying("of", what=point.place.words, said=low_point_words(point))
        if point.left_depth <= height_doubt(system):
            found.append(
                (Verdict.CANNOT_TELL, saying("water.heights_no_surer", words=words), LEVEL)
            )
        else:
            found.append((Verdict.NOT_ADEQUATE, words, DRAIN))
    for drain, reached, distance in far_drains(system, laid, ASTRAY):
        words = saying(
            "water.drain_lies_which_drains", drain=drain, distance=distance, reached=reached
        )
        found.append((Verdict.CANNOT_TELL, words, PLACE))
    known = {line.name for line in laid if line.known}
    bare = [line.name for line in system.all_lines if line.name not in known]
    if bare:
        words = saying("water.course_line_not_known", bare=tuple(bare))
        found.append((Verdict.CANNOT_TELL, words, COURSE))
    return found


def _tanks(system: FuelSystem, view: AttitudeView) -> list[tuple[Verdict, Said, Said]]:
    """Give what is wrong with the tanks: verdict, words, remedy."""
    found: list[tuple[Verdict, Said, Said]] = []
    for pool in tank_pools(system, view):
        if pool.is_drained:
            continue
        words = saying("water.tank", tank=pool.tank, tank_pool=tank_pool_words(pool))
        if math.isnan(pool.depth):
            found.append((Verdict.CANNOT_TELL, words, SUMP))
        elif pool.depth > height_doubt(system):
            found.append((Verdict.NOT_ADEQUATE, words, DRAIN))
        else:
            found.append((Verdict.CANNOT_TELL, words, LEVEL))
    return found
