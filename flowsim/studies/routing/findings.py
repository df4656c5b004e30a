"""What the routing study says of what it found: to be mended, not known, or to be looked at."""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TypeVar

from flowsim.measures import LENGTH, VOLUME_FLOW, little_words
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

_VENT_RULE = "14 CFR 23.975 before amendment 23-64 (read)"
_DRAIN_RULE = "14 CFR 23.999 before amendment 23-64 and common practice"
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
        attitudes = ", ".join(point.attitude for point in mine)
        words = f"{low_point_words(worst)} ({attitudes}; most in {worst.attitude})"
        if not staying:
            words += "; on the ground and in level flight it is none or drained"
        grade = Grade.MEND if staying else Grade.LOOK
        if staying and all(point.left_depth <= doubt for point in staying):
            grade = Grade.UNKNOWN
            words += f"; heights are known to {_mm(doubt)} at best: look along it with a level"
        yield Finding(
            grade=grade,
            topic="vent line low point" if worst.vent_line else "low point",
            item=worst.place.words,
            words=words,
            source=_VENT_RULE if worst.vent_line else _DRAIN_RULE,
        )


def low_point_words(point: LowPoint) -> str:
    """Say what stays in a dip, and which of its drains leaves least."""
    words = f"a dip of {LENGTH.words(point.depth, 1)} holds {_ml(point.volume)}"
    if not point.drains:
        return f"{words}, undrained"
    return f'{words}; drain "{point.drains[0].drain}" leaves {_ml(point.left)} of it'


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
            item=f'tank "{pool.tank}"',
            words=tank_pool_words(pool),
            source=_DRAIN_RULE,
        )


def tank_pool_words(pool: TankPool) -> str:
    """Say what stays in a tank on the ground."""
    if math.isnan(pool.depth):
        return "its shape is not known, nor its lowest place"
    much = "water" if math.isnan(pool.volume) else _ml(pool.volume)
    return (
        f"{much} stays below {pool.way_out}, {LENGTH.words(pool.depth, 1)} deep as the "
        f"aeroplane stands"
    )


def high_point_findings(points: Sequence[HighPoint]) -> Iterator[Finding]:
    """Give what is wrong with high points: each place once, with its worst attitude."""
    rank = list(Clearing)
    for _, mine in _grouped(points, lambda point: point.place.key):
        worst = max(mine, key=lambda point: (rank.index(point.state), point.column))
        if worst.state is Clearing.CLEARS:
            continue
        where = ", ".join(point.attitude for point in mine if point.state is worst.state)
        grade = {
            Clearing.NO_FLOW: Grade.LOOK,
            Clearing.UNCERTAIN: Grade.UNKNOWN,
            Clearing.WILL_NOT_CLEAR: Grade.MEND,
        }[worst.state]
        if worst.state is Clearing.NO_FLOW:
            words = f"holds {_ml(worst.volume)} of air while no fuel flows through it ({where})"
        else:
            doubt = ""
            if all(point.is_doubtful for point in mine if point.state is worst.state):
                grade = Grade.UNKNOWN if grade is Grade.MEND else grade
                doubt = ", if it is a high point, which the heights are not known well enough to "
                doubt += "tell: look along it with a level"
            holds = "may hold" if grade is Grade.UNKNOWN else "holds"
            words = (
                f"{holds} air: {worst.state} ({where}); "
                f"up to {LENGTH.words(worst.column, 0)} of head; "
                f"{VOLUME_FLOW.words(worst.flow, 1)} there, "
                f"{VOLUME_FLOW.words(worst.clearing_flow, 1)} surely clears "
                f"({worst.attitude}, {worst.case}){doubt}"
            )
        yield Finding(
            grade=grade,
            topic="high point",
            item=worst.place.words,
            words=words,
            source="clearing laws, docs/theory/air.md",
        )


def refill_findings(items: Sequence[Refill]) -> Iterator[Finding]:
    """Give the outlets below which air stays on refill."""
    broken = [item for item in items if item.answer is Venting.HOLDS_AIR]
    for _, mine in _grouped(broken, lambda item: f"{item.outlet} {item.broken_at}"):
        attitudes = ", ".join(item.attitude for item in mine)
        yield Finding(
            grade=Grade.LOOK,
            topic="refill",
            item=mine[0].outlet,
            words=f"after the tank has run dry air cannot rise back past {mine[0].broken_at} "
            f"({attitudes}): bleed the line at its low end before flight",
            source="continuous rise from the low point to the outlet: common practice, no source",
        )


def run_findings(runs: Sequence[Run], wanted: float) -> Iterator[Finding]:
    """Give the runs with less slope than is wanted."""
    for run in runs:
        if run.margin >= 0.0:
            continue
        least = math.degrees(run.least)
        if run.sense is Sense.CHANGES:
            words = (
                f"changes from falling to rising within the attitudes: {least:+.1f} deg at worst"
            )
        else:
            words = (
                f"{run.sense} by only {least:.1f} deg at worst, "
                f"{math.degrees(wanted):.3g} deg is wanted"
            )
        mean = " (mean from end to end)" if run.is_mean else ""
        yield Finding(
            grade=Grade.LOOK, topic="slope", item=f'line "{run.line}", run {run.number}{mean}',
            words=words,
        )  # fmt: skip


def course_findings(lines: Sequence[LaidLine], all_names: Iterable[str]) -> Iterator[Finding]:
    """Give the lines whose course is not known."""
    known = {line.name for line in lines if line.known}
    for name in all_names:
        if name not in known:
            yield Finding(
                grade=Grade.UNKNOWN,
                topic="course",
                item=f'line "{name}"',
                words="only its length and its ends are known: its slopes, low and high points, "
                "bends and clearances between them are not known; write via or straight",
                source="missing coordinates",
            )


def drain_findings(far: Sequence[tuple[str, str, float]]) -> Iterator[Finding]:
    """Give drains that lie far from what they drain: drain, what, distance [m]."""
    for drain, reached, distance in far:
        yield Finding(
            grade=Grade.UNKNOWN if distance > ASTRAY else Grade.LOOK,
            topic="drain",
            item=f'drain "{drain}"',
            words=f"lies {_mm(distance)} from {reached}; taken to drain the nearest place",
            source="geometry",
        )


def bend_findings(bends: Sequence[Bend]) -> Iterator[Finding]:
    """Give bends that are tighter than allowed, and those of which that is not known."""
    for line, mine in _grouped(bends, lambda bend: bend.line):
        if any(bend.least is None for bend in mine):
            yield Finding(
                grade=Grade.UNKNOWN,
                topic="bend radius",
                item=f'line "{line}"',
                words="no table has the least bend radius of this tube or hose; ask its maker and "
                "write least_bend_radius",
                source="no table",
            )
        tight = [b for b in mine if b.least is not None and b.radius < b.least - MEASURING]
        if tight:
            worst = min(tight, key=lambda bend: bend.radius)
            assert worst.least is not None
            points = ", ".join(str(bend.point) for bend in tight)
            size = "" if worst.exact else " (that of the next larger size in the table)"
            yield Finding(
                grade=Grade.MEND if worst.exact else Grade.LOOK,
                topic="bend radius",
                item=f'line "{line}"',
                words=f"radius {_mm(worst.radius)} at point {points} is less than "
                f"{_mm(worst.least)}{size}",
                source=worst.source,
            )


def straight_findings(names: Sequence[str]) -> Iterator[Finding]:
    """Give rigid lines that run straight between two fittings."""
    for name in names:
        yield Finding(
            grade=Grade.LOOK,
            topic="straight line",
            item=f'line "{name}"',
            words="runs straight between two rigid fittings: give it a bend, which takes up "
            "vibration, heat and a misfit",
            source="at least one bend between rigid fittings (secondary source)",
        )


def support_findings(
    spans: Sequence[SupportSpan], unsupported: Sequence[tuple[str, float | None, int]]
) -> Iterator[Finding]:
    """Give spans that are too long or sag into a dip, and lines without stated supports.

    ``unsupported`` holds line, largest span [m] and the supports that the table asks for.
    """
    for span in spans:
        item = f'line "{span.line}", {_mm(span.start)} to {_mm(span.end)} from its start'
        length = span.end - span.start
        if span.largest is None:
            yield Finding(
                grade=Grade.UNKNOWN, topic="supports", item=item,
                words="no table has the largest span of this tube", source="no table",
            )  # fmt: skip
        elif length > span.largest * (1.0 + _SLACK):
            yield Finding(
                grade=Grade.MEND, topic="supports", item=item,
                words=f"{_mm(length)} between supports, {_mm(span.largest)} at most",
                source=span.source,
            )  # fmt: skip
        if math.isfinite(span.dip):
            yield from _sag_findings(span, item)
    for name, limit, count in unsupported:
        if limit is None:
            words = "supports are not stated, and no table has its largest span"
        elif count <= 0:
            continue
        else:
            words = f"supports are not stated; it needs {count}, at most {_mm(limit)} apart"
        yield Finding(
            grade=Grade.UNKNOWN, topic="supports", item=f'line "{name}"', words=words,
            source="handbook table",
        )  # fmt: skip


def _sag_findings(span: SupportSpan, item: str) -> Iterator[Finding]:
    """Give a sag that is outside the beam formula, or that makes a dip that holds something."""
    if not span.is_in_range:
        yield Finding(
            grade=Grade.UNKNOWN,
            topic="sag",
            item=item,
            words=f"sags by more than a tenth of its span ({_mm(span.sag)} by the beam "
            "formula, which ends before that): support it closer",
            source="small deflections only",
        )
    elif span.dip_volume > NOTABLE_VOLUME:
        yield Finding(
            grade=Grade.MEND,
            topic="sag",
            item=item,
            words=f"sags by {_mm(span.sag)} into a dip of {_mm(span.dip)} that holds "
            f"{_ml(span.dip_volume)} ({span.attitude}, falling by "
            f"{math.degrees(span.fall):.1f} deg): support it closer",
            source="Roark, uniform load, ends free to turn (from memory)",
        )


_AWAY = ": lead one of them away, or correct the points; no sleeve makes up for it"
_INSTEAD = dict.fromkeys(("line", "structure edge"), " (or a support and a sleeve)")
"""What may stand in place of the gap, by what comes near: nothing does for heat and for what moves,
and nothing for a wire (common practice, no source)."""


def clearance_findings(
    found: Sequence[Clearance], wires_under: Sequence[Clearance]
) -> Iterator[Finding]:
    """Give what comes too near to a line, and wires below one."""
    for item in found:
        name = f'line "{item.line}" and {_other(item)}'
        if item.gap < item.wanted - _SLACK:
            touch = "they touch or overlap" if item.gap <= 0.0 else f"{_mm(item.gap)} apart"
            yield Finding(
                grade=Grade.MEND, topic="clearance", item=name,
                words=f"{touch} at {_at(item.at)}; {_mm(item.wanted)} is wanted"
                f"{_INSTEAD.get(item.kind, _AWAY)}",
                source=item.source,
            )  # fmt: skip
        elif item.kind == "wire" and item.gap < WIRE_BETTER:
            yield Finding(
                grade=Grade.LOOK, topic="clearance", item=name,
                words=f"{_mm(item.gap)} apart; {LENGTH.words(6 * 0.0254, 0)} is better where "
                      f"possible",
                source=item.source,
            )  # fmt: skip
    for item in wires_under:
        yield Finding(
            grade=Grade.LOOK, topic="clearance", item=f'line "{item.line}" and {_other(item)}',
            words="the wire lies below the fuel line where they are nearest: a leak drips on it",
            source="fuel line below wires (secondary source)",
        )  # fmt: skip


def attitude_findings(missing: Sequence[MissingAttitude]) -> Iterator[Finding]:
    """Give the attitudes that are not known."""
    for attitude in missing:
        yield Finding(
            grade=Grade.UNKNOWN, topic="attitude", item=attitude.name,
            words=f"not stated, so nothing is said of it; {attitude.remedy}", source="not stated",
        )  # fmt: skip


def _other(item: Clearance) -> str:
    return f'line "{item.other}"' if item.kind == "line" else f'{item.kind} "{item.other}"'


def _grouped(items: Iterable[T], key: Callable[[T], str]) -> Iterator[tuple[str, list[T]]]:
    """Gather items by a key, in the order in which each key comes first."""
    ordered: dict[str, list[T]] = {}
    for item in items:
        ordered.setdefault(key(item), []).append(item)
    yield from ordered.items()


def _mm(length: float) -> str:
    return f"{LENGTH.words(length, 1)}"


def _ml(volume: float) -> str:
    return little_words(volume)


def _at(point: tuple[float, float, float]) -> str:
    places = ", ".join(LENGTH.cell(axis, 0) for axis in point)
    return f"station, buttline, waterline {places} {LENGTH.name}"
