"""What the routing study says of what it found: to be mended, not known, or to be looked at."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

from flowsim.studies.routing.attitudes import STAYING, MissingAttitude
from flowsim.studies.routing.clearances import WIRE_BETTER
from flowsim.studies.routing.courses import LaidLine
from flowsim.studies.routing.low_points import ASTRAY, NOTABLE_VOLUME
from flowsim.studies.routing.result import (
    Bend,
    Clearance,
    Clearing,
    Finding,
    Grade,
    HighPoint,
    LowPoint,
    Refill,
    Run,
    Sense,
    SupportSpan,
    TankPool,
    Venting,
)
from flowsim.studies.routing.supports import MEASURING
from flowsim.studies.saying import Said, run_on, saying

_VENT_RULE = saying("findings.vent_rule")
_DRAIN_RULE = saying("findings.drain_rule")
_SLACK = 1e-6

T = TypeVar("T")


def low_point_findings(points: Sequence[LowPoint], doubt: float) -> Iterator[Finding]:
    """Give what is wrong with low points: each place once, with its attitudes.

    ``doubt`` [m]: a dip shallower than this may be none, or be drained, as the heights are known.
    """
    undrained = [point for point in points if not point.is_drained]
    for _, mine in _grouped(undrained, lambda point: f"{point.vent_line} {point.place.key}"):
        staying = [point for point in mine if point.attitude in STAYING]
        worst = max(staying or mine, key=lambda point: point.left)
        words = saying(
            "findings.most",
            low_point=low_point_words(worst),
            attitudes=tuple(point.attitude for point in mine),
            attitude=worst.attitude,
        )
        if not staying:
            words = run_on(words, saying("findings.ground_level_flight_none"))
        grade = Grade.MEND if staying else Grade.LOOK
        if staying and all(point.left_depth <= doubt for point in staying):
            grade = Grade.UNKNOWN
            words = run_on(words, saying("findings.heights_known_best_look", doubt=doubt))
        yield Finding(
            grade=grade,
            topic="vent line low point" if worst.vent_line else "low point",
            item=worst.place.words,
            words=words,
            source=_VENT_RULE if worst.vent_line else _DRAIN_RULE,
        )


def low_point_words(point: LowPoint) -> Said:
    """Say what stays in a dip, and which of its drains leaves least."""
    words = saying("findings.dip_holds", depth=point.depth, holds=point.volume)
    if not point.drains:
        return saying("findings.undrained", words=words)
    return saying(
        "findings.drain_leaves", words=words, drain=point.drains[0].drain, left=point.left
    )


def tank_pool_findings(pools: Sequence[TankPool], doubt: float) -> Iterator[Finding]:
    """Give the tanks in which water stays on the ground; ``doubt`` [m] as for low points."""
    for pool in pools:
        if pool.is_drained:
            continue
        grade = Grade.MEND
        if not pool.depth > doubt:
            grade = Grade.UNKNOWN
        yield Finding(
            grade=grade,
            topic="tank low point",
            item=saying("findings.tank", tank=pool.tank),
            words=tank_pool_words(pool),
            source=_DRAIN_RULE,
        )


def tank_pool_words(pool: TankPool) -> Said:
    """Say what stays in a tank on the ground."""
    if math.isnan(pool.depth):
        return saying("findings.shape_not_known_nor")
    if math.isnan(pool.volume):
        return saying("findings.water_stays_below", way_out=pool.way_out, depth=pool.depth)
    return saying(
        "findings.stays_below_deep_aeroplane",
        much=pool.volume,
        way_out=pool.way_out,
        depth=pool.depth,
    )


def high_point_findings(points: Sequence[HighPoint]) -> Iterator[Finding]:
    """Give what is wrong with high points: each place once, with its worst attitude."""
    rank = list(Clearing)
    for _, mine in _grouped(points, lambda point: point.place.key):
        worst = max(mine, key=lambda point: (rank.index(point.state), point.column))
        if worst.state is Clearing.CLEARS:
            continue
        where = tuple(point.attitude for point in mine if point.state is worst.state)
        grade = {
            Clearing.NO_FLOW: Grade.LOOK,
            Clearing.UNCERTAIN: Grade.UNKNOWN,
            Clearing.WILL_NOT_CLEAR: Grade.MEND,
        }[worst.state]
        if worst.state is Clearing.NO_FLOW:
            words = saying("findings.holds_air_while_no", holds=worst.volume, where=where)
        else:
            doubt = None
            if all(point.is_doubtful for point in mine if point.state is worst.state):
                grade = Grade.UNKNOWN if grade is Grade.MEND else grade
                doubt = saying("findings.if_high_point_which")
            words = saying(
                "findings.may_hold" if grade is Grade.UNKNOWN else "findings.holds",
                state=worst.state,
                where=where,
                column=worst.column,
                flow=worst.flow,
                clearing_flow=worst.clearing_flow,
                attitude=worst.attitude,
                case=worst.case,
                doubt=doubt,
            )
        yield Finding(
            grade=grade,
            topic="high point",
            item=worst.place.words,
            words=words,
            source=saying("findings.clearing_laws_docs_theory"),
        )


def refill_findings(items: Sequence[Refill]) -> Iterator[Finding]:
    """Give the outlets below which air stays on refill."""
    broken = [item for item in items if item.answer is Venting.HOLDS_AIR]
    for _, mine in _grouped(broken, lambda item: f"{item.outlet} {item.broken_at}"):
        attitudes = tuple(item.attitude for item in mine)
        yield Finding(
            grade=Grade.LOOK,
            topic="refill",
            item=mine[0].outlet,
            words=saying(
                "findings.after_tank_has_run", broken_at=mine[0].broken_at, attitudes=attitudes
            ),
            source=saying("findings.continuous_rise_low_point"),
        )


def run_findings(runs: Sequence[Run], wanted: float) -> Iterator[Finding]:
    """Give the runs with less slope than is wanted."""
    for run in runs:
        if run.margin >= 0.0:
            continue
        least = math.degrees(run.least)
        if run.sense is Sense.CHANGES:
            words = saying("findings.changes_falling_rising_within", least=least)
        else:
            words = saying(
                "findings.only_deg_worst_deg", sense=run.sense, least=least, wanted=wanted
            )
        item = saying(
            "findings.line_run_mean" if run.is_mean else "findings.line_run",
            line=run.line,
            number=run.number,
        )
        yield Finding(grade=Grade.LOOK, topic="slope", item=item, words=words)


def course_findings(lines: Sequence[LaidLine], all_names: Iterable[str]) -> Iterator[Finding]:
    """Give the lines whose course is not known."""
    known = {line.name for line in lines if line.known}
    for name in all_names:
        if name not in known:
            yield Finding(
                grade=Grade.UNKNOWN,
                topic="course",
                item=saying("findings.line", name=name),
                words=saying("findings.only_length_ends_known"),
                source=saying("findings.missing_coordinates"),
            )


def drain_findings(far: Sequence[tuple[str, Said, float]]) -> Iterator[Finding]:
    """Give drains that lie far from what they drain: drain, what, distance [m]."""
    for drain, reached, distance in far:
        yield Finding(
            grade=Grade.UNKNOWN if distance > ASTRAY else Grade.LOOK,
            topic="drain",
            item=saying("findings.drain", drain=drain),
            words=saying("findings.lies_taken_drain_nearest", distance=distance, reached=reached),
            source=saying("findings.geometry"),
        )


def bend_findings(bends: Sequence[Bend]) -> Iterator[Finding]:
    """Give bends that are tighter than allowed, and those of which that is not known."""
    for line, mine in _grouped(bends, lambda bend: bend.line):
        if any(bend.least is None for bend in mine):
            yield Finding(
                grade=Grade.UNKNOWN,
                topic="bend radius",
                item=saying("findings.line", name=line),
                words=saying("findings.no_table_has_least"),
                source=saying("findings.no_table"),
            )
        tight = [b for b in mine if b.least is not None and b.radius < b.least - MEASURING]
        if tight:
            worst = min(tight, key=lambda bend: bend.radius)
            assert worst.least is not None
            points = tuple(str(bend.point) for bend in tight)
            yield Finding(
                grade=Grade.MEND if worst.exact else Grade.LOOK,
                topic="bend radius",
                item=saying("findings.line", name=line),
                words=saying(
                    "findings.less_radius" if worst.exact else "findings.less_radius_next_size",
                    radius=worst.radius,
                    points=points,
                    least=worst.least,
                ),
                source=worst.source,
            )


def straight_findings(names: Sequence[str]) -> Iterator[Finding]:
    """Give rigid lines that run straight between two fittings."""
    for name in names:
        yield Finding(
            grade=Grade.LOOK,
            topic="straight line",
            item=saying("findings.line", name=name),
            words=saying("findings.runs_straight_between_two"),
            source=saying("findings.least_one_bend_between"),
        )


def support_findings(
    spans: Sequence[SupportSpan], unsupported: Sequence[tuple[str, float | None, int]]
) -> Iterator[Finding]:
    """Give spans that are too long or sag into a dip, and lines without stated supports.

    ``unsupported`` holds line, largest span [m] and the supports that the table asks for.
    """
    for span in spans:
        item = saying("findings.line_start", line=span.line, start=span.start, end=span.end)
        length = span.end - span.start
        if span.largest is None:
            yield Finding(
                grade=Grade.UNKNOWN, topic="supports", item=item,
                words=saying("findings.no_table_has_largest"), source=saying("findings.no_table"),
            )  # fmt: skip
        elif length > span.largest * (1.0 + _SLACK):
            yield Finding(
                grade=Grade.MEND, topic="supports", item=item,
                words=saying("findings.between_supports_most", length=length, largest=span.largest),
                source=span.source,
            )  # fmt: skip
        if math.isfinite(span.dip):
            yield from _sag_findings(span, item)
    for name, limit, count in unsupported:
        if limit is None:
            words = saying("findings.supports_not_stated_no")
        elif count <= 0:
            continue
        else:
            words = saying("findings.supports_not_stated_needs", count=count, limit=limit)
        yield Finding(
            grade=Grade.UNKNOWN,
            topic="supports",
            item=saying("findings.line", name=name),
            words=words,
            source=saying("findings.handbook_table"),
        )


def _sag_findings(span: SupportSpan, item: Said) -> Iterator[Finding]:
    """Give a sag that is outside the beam formula, or that makes a dip that holds something."""
    if not span.is_in_range:
        yield Finding(
            grade=Grade.UNKNOWN,
            topic="sag",
            item=item,
            words=saying("findings.sags_more_than_tenth", sag=span.sag),
            source=saying("findings.small_deflections_only"),
        )
    elif span.dip_volume > NOTABLE_VOLUME:
        yield Finding(
            grade=Grade.MEND,
            topic="sag",
            item=item,
            words=saying(
                "findings.sags_into_dip_holds",
                sag=span.sag,
                dip=span.dip,
                holds=span.dip_volume,
                attitude=span.attitude,
                fall=span.fall,
            ),
            source=saying("findings.roark_uniform_load_ends"),
        )


_AWAY = saying("findings.lead_one_them_away")
_INSTEAD = dict.fromkeys(("line", "structure edge"), saying("findings.support_sleeve"))
"""What may stand in place of the gap, by what comes near: nothing does for heat and for what moves,
and nothing for a wire (common practice, no source)."""


def clearance_findings(
    found: Sequence[Clearance], wires_under: Sequence[Clearance]
) -> Iterator[Finding]:
    """Give what comes too near to a line, and wires below one."""
    for item in found:
        name = saying("findings.line_and_other", line=item.line, other=_other(item))
        if item.gap < item.wanted - _SLACK:
            touch = saying("findings.apart", gap=item.gap)
            if item.gap <= 0.0:
                touch = saying("findings.they_touch_overlap")
            words = saying(
                "findings.wanted",
                touch=touch,
                at=tuple(item.at),
                wanted=item.wanted,
                instead=_INSTEAD.get(item.kind, _AWAY),
            )
            yield Finding(
                grade=Grade.MEND, topic="clearance", item=name, words=words, source=item.source
            )
        elif item.kind == "wire" and item.gap < WIRE_BETTER:
            words = saying("findings.apart_better_where_possible", gap=item.gap, better=WIRE_BETTER)
            yield Finding(
                grade=Grade.LOOK, topic="clearance", item=name, words=words, source=item.source
            )
    for item in wires_under:
        yield Finding(
            grade=Grade.LOOK,
            topic="clearance",
            item=saying("findings.line_and_other", line=item.line, other=_other(item)),
            words=saying("findings.wire_lies_below_fuel"),
            source=saying("findings.fuel_line_below_wires"),
        )


def attitude_findings(missing: Sequence[MissingAttitude]) -> Iterator[Finding]:
    """Give the attitudes that are not known."""
    for attitude in missing:
        yield Finding(
            grade=Grade.UNKNOWN,
            topic="attitude",
            item=attitude.name,
            words=saying("findings.not_stated_nothing_said", remedy=attitude.remedy),
            source=saying("findings.not_stated"),
        )


def _other(item: Clearance) -> Said:
    return saying("findings.other", kind=item.kind, other=item.other)


def _grouped(items: Iterable[T], key: Callable[[T], str]) -> Iterator[tuple[str, list[T]]]:
    """Gather items by a key, in the order in which each key comes first."""
    ordered: dict[str, list[T]] = {}
    for item in items:
        ordered.setdefault(key(item), []).append(item)
    yield from ordered.items()
