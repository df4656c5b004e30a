"""The routing study: where lines trap water and air, how they are held, what to cut."""

from collections.abc import Sequence

from flowsim.studies.review.remarks import assumptions
from flowsim.studies.routing import findings as say
from flowsim.studies.routing.attitudes import GROUND, attitudes_of, pitch_band
from flowsim.studies.routing.clearances import bodies_of, clearances, crossings, wires_under
from flowsim.studies.routing.courses import LaidLine, laid_lines
from flowsim.studies.routing.cut_list import cut_list, fittings
from flowsim.studies.routing.high_points import high_points
from flowsim.studies.routing.low_points import (
    far_drains,
    height_doubt,
    low_points,
    vent_low_points,
)
from flowsim.studies.routing.refill import refills
from flowsim.studies.routing.result import AttitudeView, Grade, RoutingResult, TankPool
from flowsim.studies.routing.slopes import runs_of
from flowsim.studies.routing.supports import (
    bends_of,
    span_limit,
    spans_of,
    straight_rigid_lines,
    support_places,
)
from flowsim.studies.routing.tank_water import tank_pools
from flowsim.studies.routing.ticks import ticks
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem

FAR_FROM_LINE = 0.05
"""[m] A drain farther from its line than this is remarked on (common practice, no source)."""

_ORDER = (Grade.MEND, Grade.UNKNOWN, Grade.LOOK)


def route_study(system: FuelSystem) -> RoutingResult:
    """Look at the lines of a system in every attitude.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    RoutingResult

    Raises
    ------
    DomainError
        A route that is no line: points that coincide, a line that doubles back, bends that do not
        fit between their neighbours.
    """
    lines = laid_lines(system)
    views, missing = attitudes_of(system)
    band = pitch_band(views)
    wanted = system.routing.wanted_margin
    runs = runs_of(lines, views, band, wanted, system.flight.level_pitch)
    lows = (*low_points(system, lines, views), *vent_low_points(system, views))
    feeding = {line.name for line in system.lines}
    highs = high_points(system, [line for line in lines if line.name in feeding], views)
    refilled = refills(system, lines, views)
    bends, spans = bends_of(system, lines), spans_of(system, lines, views)
    bodies, assumed_sizes = bodies_of(system, lines)
    gaps = clearances(system, bodies)
    cuts = cut_list(system, lines, gaps)
    found = [
        *say.low_point_findings(lows, height_doubt(system)),
        *say.tank_pool_findings(_pools(system, views), height_doubt(system)),
        *say.high_point_findings(highs),
        *say.attitude_findings(missing),
        *say.course_findings(lines, [line.name for line in system.all_lines]),
        *say.drain_findings(far_drains(system, lines, FAR_FROM_LINE)),
        *say.bend_findings(bends),
        *say.support_findings(spans, _unsupported(system, lines)),
        *say.clearance_findings(gaps, wires_under(system, gaps)),
        *say.refill_findings(refilled),
        *say.straight_findings(straight_rigid_lines(system, lines)),
        *say.run_findings(runs, wanted),
    ]
    return RoutingResult(
        title=system.title,
        attitudes=views,
        missing_attitudes=tuple(attitude.words for attitude in missing),
        pitch_band=band,
        wanted_margin=wanted,
        runs=runs,
        low_points=lows,
        high_points=highs,
        refills=refilled,
        bends=bends,
        spans=spans,
        clearances=gaps,
        crossings=crossings(bodies),
        cuts=cuts,
        fittings=fittings(system),
        ticks=ticks(system, lines),
        findings=tuple(sorted(found, key=lambda finding: _ORDER.index(finding.grade))),
        assumptions=(*_assumptions(system), *assumed_sizes),
        cautions=_cautions(system),
        of_the_case=assumptions(system),
        required=system.engine.burn * system.engine.factor,
    )


def _pools(system: FuelSystem, views: Sequence[AttitudeView]) -> tuple[TankPool, ...]:
    """Give the water that stays in the tanks; nothing where the ground attitude is not stated."""
    return tuple(pool for view in views if view.name == GROUND for pool in tank_pools(system, view))


def _unsupported(
    system: FuelSystem, lines: Sequence[LaidLine]
) -> list[tuple[str, float | None, int]]:
    """Give lines without stated supports: largest span [m] and how many supports that makes."""
    by_name = {line.name: line for line in system.all_lines}
    found: list[tuple[str, float | None, int]] = []
    for laid in lines:
        installation = system.routing.installation(laid.name)
        if support_places(laid, installation) is not None:
            continue
        limit, _ = span_limit(by_name[laid.name], installation)
        count = 0 if limit is None else max(0, -int(-(laid.length / limit - 1e-9) // 1) - 1)
        found.append((laid.name, limit, count))
    return found


def _assumptions(system: FuelSystem) -> list[Said]:
    """List what the case leaves open and the study fills in."""
    routing, words = system.routing, list[Said]()
    usual = {
        "wanted_margin": saying("routing.wanted_margin_slope_deg"),
        "bank": saying("routing.bank_turn_deg"),
        "trim": saying("routing.trim_each_end_piece", trim=routing.trim),
        "sleeve": saying("routing.sleeves", sleeve=routing.sleeve),
    }
    words += [
        saying("routing.not_given_common_practice", text=text)
        for key, text in usual.items()
        if key not in routing.stated and not (key == "trim" and _all_trimmed(system))
    ]
    without = [
        line.name
        for line in system.all_lines
        if routing.installation(line.name).start_make_up is None
        or routing.installation(line.name).end_make_up is None
    ]
    if without:
        words.append(saying("routing.make_up_fittings_not", lines=tuple(without)))
    words.append(saying("routing.ends_every_line_taken"))
    words.append(saying("routing.humps_judged_test_quantity"))
    return words


def _all_trimmed(system: FuelSystem) -> bool:
    """Tell whether every line has a trim of its own."""
    named = (system.routing.installation(line.name) for line in system.all_lines)
    return all(installation.trim is not None for installation in named)


def _cautions(system: FuelSystem) -> tuple[Said, ...]:
    words = [saying("routing.volumes_bore_area_times")]
    if system.height_deviation > 0.0:
        words.append(saying("routing.heights_known_about_slope", deviation=system.height_deviation))
    return tuple(words)
