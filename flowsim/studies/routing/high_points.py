"""High points: the air that a hump holds, and whether the flow clears it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.routes import Leg
from flowsim.network.scenarios import (
    CARBURETTOR,
    END_NAMES,
    OPEN_LINE,
    Scenarios,
    build_scenarios,
    situate,
)
from flowsim.physics.air.trapped import HumpState, surely_clearing_velocity
from flowsim.physics.course.height_profile import upward
from flowsim.studies.delivery.deliver import deliver
from flowsim.studies.delivery.trapped_air import (
    held_heads,
    judged_legs,
    legs_of,
    ways_of,
    with_held_head,
)
from flowsim.studies.judged.blocks import DIRTY_SCREEN, dirty_words
from flowsim.studies.judged.flight_conditions import airspeed_at
from flowsim.studies.judged.scenarios import fuel_states
from flowsim.studies.routing.basins import Basin, basins
from flowsim.studies.routing.courses import Course, LaidLine, course_of, place_at_corner
from flowsim.studies.routing.low_points import open_nodes
from flowsim.studies.routing.result import AttitudeView, Clearing, HighPoint, Place
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem

_CLEARING = {
    HumpState.CLEARS: Clearing.CLEARS,
    HumpState.UNCERTAIN: Clearing.UNCERTAIN,
    HumpState.WILL_NOT_CLEAR: Clearing.WILL_NOT_CLEAR,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Judged:
    """The worst leg behind one hump in one attitude."""

    state: HumpState
    leg: Leg
    line: str
    flow: float
    bore: float
    column: float
    case: Said
    delivered: float
    delivered_with_air: float


def high_points(
    system: FuelSystem, lines: Sequence[LaidLine], views: Sequence[AttitudeView]
) -> tuple[HighPoint, ...]:
    """Find every hump in every attitude and judge whether the flow clears it.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine
    views : sequence of AttitudeView

    Returns
    -------
    tuple of HighPoint
        By attitude. Height and air volume from the centre-line with its bends; the column that is
        judged, as in the check, from the corners where the straights meet (never less).
    """
    assembly = assemble(system)
    judged = _judge(assembly, views)
    found = []
    for number, view in enumerate(views):
        # Turned round, the air's humps are dips.
        course = course_of(lines, -upward(view.gravity), open_nodes(system), [])
        left = dict(judged[number])
        for basin in basins(course):
            keys = [course.vertices[vertex].place.key for vertex in basin.lowest]
            behind = [left.pop(key) for key in dict.fromkeys(keys) if key in left]
            worst = max(behind, key=lambda item: item.state, default=None)
            found.append(_high_point(view.name, _place(course, basin), basin, worst))
        for key, item in left.items():
            # Air can rise out of it through another line, but on its own way it is a hump.
            found.append(_high_point(view.name, _place_of(lines, key), None, item))
    return tuple(found)


def _place(course: Course, basin: Basin) -> Place:
    nodes = [v for v in basin.lowest if course.vertices[v].place.node is not None]
    return course.vertices[nodes[0] if nodes else basin.lowest[0]].place


def _place_of(lines: Sequence[LaidLine], key: str) -> Place:
    """Find a hump's place again by its key: a node, or a point of a line."""
    course = course_of(lines, np.array([0.0, 0.0, 1.0]), frozenset(), [])
    for vertex in course.vertices:
        if vertex.place.key == key:
            return vertex.place
    # A point that is neither high nor low in the middle of a fall: it may be, as heights are known.
    corners = ((line, number) for line in lines for number in range(1, len(line.centre.points) - 1))
    line, number = next(
        (line, number) for line, number in corners if f"{line.name}, point {number}" == key
    )
    return place_at_corner(line, number)


def _high_point(
    attitude: str, place: Place, basin: Basin | None, judged: _Judged | None
) -> HighPoint:
    nan = float("nan")
    height, volume = (0.0, 0.0) if basin is None else (basin.depth, basin.volume)
    if judged is None:
        return HighPoint(
            attitude=attitude, place=place, height=height, volume=volume, column=0.0,
            state=Clearing.NO_FLOW, is_doubtful=False, line="", slope=nan, flow=nan,
            clearing_flow=nan, case="", delivered=nan, delivered_with_air=nan,
        )  # fmt: skip
    area = np.pi * judged.bore**2 / 4.0
    return HighPoint(
        attitude=attitude,
        place=place,
        height=height,
        volume=volume,
        column=judged.column,
        state=_CLEARING[judged.state],
        is_doubtful=judged.leg.is_doubtful,
        line=judged.line,
        slope=judged.leg.slope,
        flow=judged.flow,
        clearing_flow=float(surely_clearing_velocity(judged.bore, judged.leg.slope) * area),
        case=judged.case,
        delivered=judged.delivered,
        delivered_with_air=judged.delivered_with_air,
    )


def _judge(assembly: Assembly, views: Sequence[AttitudeView]) -> list[dict[str, _Judged]]:
    """Judge the humps of every attitude at the flow that their air leaves; the worst of each."""
    rows = _rows(assembly, views)
    situation = situate(assembly, _scenarios(assembly, views, rows))
    full = deliver(assembly, situation)
    way = ways_of(full.solution.flow)
    legs = judged_legs(assembly, situation, way, legs_of(assembly, situation))
    staying = [legs.staying(row) for row in range(len(rows))]
    held = held_heads(way.shape[1], staying, way)
    last = deliver(assembly, with_held_head(situation, held))
    found: list[dict[str, _Judged]] = [{} for _ in views]
    for row, (view, position, temperature, end, dirty) in enumerate(rows):
        for leg, state in zip(legs.legs[row], legs.states[row], strict=True):
            key = leg.high_point
            column = sum(other.fall for other in legs.legs[row] if other.high_point == key)
            item = _Judged(
                state=state,
                leg=leg,
                line=assembly.system.lines[leg.link].name,
                flow=abs(float(legs.flow[row, leg.link])),
                bore=leg.bore,
                column=column,
                case=_case_words(assembly, position, temperature, end, dirty),
                delivered=float(full.deliverable[row] * situation.density[row]),
                delivered_with_air=float(last.deliverable[row] * situation.density[row]),
            )
            before = found[view].get(key)
            if before is None or _rank(item) > _rank(before):
                found[view][key] = replace(item, column=max(column, before.column if before else 0))
    return found


def _rank(item: _Judged) -> tuple[int, float]:
    """Order humps: the worse state, then the lesser share of what it takes to clear."""
    if not np.isfinite(item.flow):
        return int(item.state), np.inf
    takes = float(surely_clearing_velocity(item.bore, item.leg.slope)) * item.bore**2
    return int(item.state), -item.flow / takes


_Row = tuple[int, int, float, int, bool]


def _rows(assembly: Assembly, views: Sequence[AttitudeView]) -> list[_Row]:
    """List attitude, selector position, temperature, end, dirty screens of every scenario."""
    positions = [i for i, position in enumerate(assembly.positions) if position.judged]
    ends = [OPEN_LINE]
    if assembly.system.engine.carburettor is not None:
        ends.append(CARBURETTOR)
    screens = (False, True) if assembly.network.has_screens else (False,)
    temperatures = assembly.system.temperatures
    return list(product(range(len(views)), positions, temperatures, ends, screens))


def _scenarios(
    assembly: Assembly, views: Sequence[AttitudeView], rows: Sequence[_Row]
) -> Scenarios:
    flight, engine = assembly.system.flight, assembly.system.engine
    quantity = np.array(fuel_states(assembly)[0].quantity)
    shown = [views[row[0]] for row in rows]
    in_flight = [
        row[3] == CARBURETTOR and not view.on_ground for row, view in zip(rows, shown, strict=True)
    ]
    return build_scenarios(
        assembly,
        gravity=np.array([view.gravity for view in shown]),
        pitch=np.array([view.pitch for view in shown]),
        roll=np.array([view.roll for view in shown]),
        position=np.array([row[1] for row in rows], dtype=np.intp),
        quantity=quantity,
        temperature=np.array([row[2] for row in rows]),
        airspeed=np.where(
            in_flight, airspeed_at(flight, np.array([view.pitch for view in shown])), 0.0
        ),
        end=np.array([row[3] for row in rows], dtype=np.intp),
        dip_flow=engine.burn * engine.factor,
        screen_clear=np.array([DIRTY_SCREEN if row[4] else np.nan for row in rows]),
    )


def _case_words(
    assembly: Assembly, position: int, temperature: float, end: int, dirty: bool
) -> Said:
    words: list[Said] = []
    if assembly.system.selectors:
        words.append(assembly.positions[position].name)
    words += [END_NAMES[end], saying("high_points.temperature", temperature=temperature)]
    if dirty:
        words.append(saying("high_points.screens", dirty=dirty_words(assembly)))
    return saying("high_points.case", words=tuple(words))
