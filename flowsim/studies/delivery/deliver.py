"""The deliverable flow: what the network gives, or less where air would be drawn before that."""

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.conditions import Factors
from flowsim.network.scenarios import Situation
from flowsim.network.solver import Solution, solve
from flowsim.network.standing import STILL, joined_nodes, standing_columns
from flowsim.physics.arrays import FloatArray

ONSET_STEPS = 60
ONSET_WIDTH = 1e-8
"""[-] Relative width of the bracket in which the onset of air is left; its lower end is given."""
ONSET_COLUMN = 1e-7
"""[m] A standing column this short counts as the onset: so short that where a search began cannot
be seen in its answer."""
FOOT = 1e-3
"""[-] Of the flow at which air is drawn: where the search begins if nothing better is known."""
LOOKED_AT = (0.2, 0.4, 0.6, 0.75, 0.9)
"""[-] Of a flow at which no air is drawn: where lesser flows are looked at, as fuel may run from
tank to tank there. Own choice. Tag: estimate."""
FLOW_EXPONENT = 1.75
"""[-] Standing columns fall about with this power of the flow (turbulent friction), so the search
runs in flow to this power, where they are nearly straight. It has no effect on the answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """Per scenario: volume flows [m3/s] at the end.

    ``deliverable`` is the lesser of ``solved`` and the flow at which air begins; ``air_limited``
    tells where the latter governs. NaN where the solve failed.
    """

    deliverable: FloatArray
    solved: FloatArray
    air_limited: npt.NDArray[np.bool_]
    solution: Solution


def deliver(
    assembly: Assembly,
    situation: Situation,
    factors: Factors | None = None,
    *,
    start: FloatArray | None = None,
    onset_near: FloatArray | None = None,
    onset_above: FloatArray | None = None,
) -> Delivery:
    """Solve for the flow that arrives at each scenario's end, and limit it to air-free flow.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation
    factors : Factors, optional
    start : FloatArray (scenario, link), optional
        Flows [m3/s] to start the search from.
    onset_near : FloatArray (scenario,), optional
        [m3/s] About where air begins, NaN where nobody knows; it shortens that search and does not
        change its answer.
    onset_above : FloatArray (scenario,), optional
        [m3/s] Where air limits the flow but begins above this, it is not looked for where it
        begins: ``deliverable`` is infinite there.

    Returns
    -------
    Delivery
    """
    solution = solve(assembly.network, situation.conditions, factors, start=start)
    solved = end_flow(assembly, solution)
    columns = standing_columns(assembly, situation, solution)
    with np.errstate(invalid="ignore"):
        # Where fuel runs back out of the bowl nothing arrives, and no lesser flow draws less air.
        rows = np.flatnonzero((columns < 0).any(axis=1) & ~(solved < 0))
    deliverable = solved.copy()
    limited = np.zeros(len(solved), dtype=bool)
    limited[rows] = True
    if len(rows):
        high, least = solved[rows], np.nanmin(columns[rows], axis=1)
        flow = solution.flow[rows]
        if onset_above is not None:
            column = _column_below(assembly, situation, rows, onset_above, solution, factors)
            tried = np.isfinite(column)
            high, least = np.where(tried, onset_above[rows], high), np.where(tried, column, least)
            lower = _drawn_below(
                assembly, situation, rows, high, factors, solution, asked=column > 0
            )
            high, least = _lesser(lower, high, least)
            clear = (column > 0) & ~lower.found
            deliverable[rows[clear]] = np.inf
            # Where nothing flows nothing is tried, and nothing is to be divided by it.
            share = np.divide(high, solved[rows], out=np.ones_like(high), where=solved[rows] > 0)
            flow = (share[:, None] * flow)[~clear]
            rows, high, least = rows[~clear], high[~clear], least[~clear]
        part = None if factors is None else factors.take(rows)
        near = None if onset_near is None else onset_near[rows]
        some = take(situation, rows)
        onset = air_onset(assembly, some, high, least, part, near=near, flow=flow)
        lower = _drawn_below(assembly, situation, rows, onset, factors, solution)
        again = np.flatnonzero(lower.found)
        if len(again):
            part = None if factors is None else factors.take(rows[again])
            some = take(situation, rows[again])
            onset[again] = air_onset(assembly, some, lower.flow[again], lower.column[again], part)
        deliverable[rows] = onset
    return Delivery(deliverable=deliverable, solved=solved, air_limited=limited, solution=solution)


@dataclass(frozen=True, slots=True)
class _Drawn:
    """The least of the tried flows [m3/s] at which air is drawn, and its column [m] (row,)."""

    found: npt.NDArray[np.bool_]
    flow: FloatArray
    column: FloatArray


def _lesser(drawn: _Drawn, flow: FloatArray, column: FloatArray) -> tuple[FloatArray, FloatArray]:
    found = drawn.found
    return np.where(found, drawn.flow, flow), np.where(found, drawn.column, column)


def _drawn_below(
    assembly: Assembly,
    situation: Situation,
    rows: npt.NDArray[np.intp],
    below: FloatArray,
    factors: Factors | None,
    free: Solution,
    *,
    asked: npt.NDArray[np.bool_] | None = None,
) -> _Drawn:
    """Look for air at flows below one (row,) [m3/s] at which none is drawn.

    Of one tank's outlets more flow always draws more air. Of several tanks' it may draw less: where
    little is drawn off, fuel runs from one tank to another, and a bare leg meets flow higher up.
    ``free`` is the solution at the free flow.
    """
    look = of_several_tanks(assembly, situation.scenarios.position[rows]) & (below > 0)
    look &= np.isfinite(below) if asked is None else asked
    some = np.flatnonzero(look)
    found, flow, column = np.zeros(len(rows), dtype=bool), below.copy(), np.zeros(len(rows))
    columns = np.full((len(some), len(LOOKED_AT)), np.inf)
    left, start = np.arange(len(some)), None
    for number, share in enumerate(LOOKED_AT):
        if not len(left):
            break
        which = rows[some[left]]
        part = None if factors is None else factors.take(which)
        drawn = with_demand(assembly, take(situation, which), share * below[some[left]])
        solution = solve(assembly.network, drawn.conditions, part, start=start)
        columns[left, number] = _least_of(assembly, drawn, solution)
        # The more is drawn off, the less runs from tank to tank: none here, none at more.
        between = runs_between_tanks(assembly, solution.flow, free.flow[which])
        on = between & (columns[left, number] > 0)
        left, start = left[on], solution.flow[on]
    # A failed solve counts as drawn: its column is no number, which no search goes by.
    is_drawn = ~(columns > 0)
    first = np.arange(len(some)), is_drawn.argmax(axis=1)
    found[some] = is_drawn.any(axis=1)
    flow[some] = below[some] * np.array(LOOKED_AT)[first[1]]
    column[some] = columns[first]
    return _Drawn(found, flow, column)


def runs_between_tanks(
    assembly: Assembly, flow: FloatArray, more: FloatArray
) -> npt.NDArray[np.bool_]:
    """Tell in which scenarios a line runs otherwise than where more is drawn off.

    Parameters
    ----------
    assembly : Assembly
    flow, more : FloatArray (scenario, link)
        [m3/s] Flows with little drawn off, and with more.

    Returns
    -------
    array of bool (scenario,)
    """
    back = (np.abs(flow) > STILL) & ~(flow * more > 0)
    return np.asarray(back[:, : assembly.open_link].any(axis=1))


def of_several_tanks(assembly: Assembly, position: npt.NDArray[np.intp]) -> npt.NDArray[np.bool_]:
    """Tell in which scenarios the outlets of several tanks are joined to the engine."""
    several = np.zeros(len(assembly.positions), dtype=bool)
    for number in np.unique(position):
        is_open = np.zeros(len(assembly.network.links), dtype=bool)
        is_open[: assembly.open_link] = assembly.line_allowed[number][: assembly.open_link] > 0
        joined = joined_nodes(assembly.network, is_open, assembly.inlet)
        tanks = {tank for node, tank, _ in assembly.outlets if node in joined}
        several[number] = len(tanks) > 1
    return several[position]


def _column_below(
    assembly: Assembly,
    situation: Situation,
    rows: npt.NDArray[np.intp],
    flow: FloatArray,
    solution: Solution,
    factors: Factors | None,
) -> FloatArray:
    """Least standing column [m] of ``rows`` at a flow below what they give; NaN where it is not.

    Infinite where no uncovered leg meets flow, NaN too where the solve failed.
    """
    trial, solved = flow[rows], end_flow(assembly, solution)[rows]
    can = np.flatnonzero((trial > 0) & (trial < solved))
    found = np.full(len(rows), np.nan)
    if len(can):
        some = rows[can]
        start = solution.flow[some] * (trial[can] / solved[can])[:, None]
        part = None if factors is None else factors.take(some)
        found[can] = _least_column(assembly, take(situation, some), trial[can], part, start)
    return found


def end_flow(assembly: Assembly, solution: Solution) -> FloatArray:
    """Volume flow [m3/s] out of the engine's end of the line (scenario,)."""
    flow = solution.flow[:, assembly.open_link].copy()
    if assembly.carburettor_link is not None:
        flow += solution.flow[:, assembly.carburettor_link]
    return flow


def take(situation: Situation, rows: npt.NDArray[np.intp]) -> Situation:
    """Give some rows of a situation (repeated rows allowed)."""
    return Situation(
        scenarios=situation.scenarios.take(rows),
        conditions=situation.conditions.take(rows),
        elevation=situation.elevation[rows],
        surface=situation.surface[rows],
        cover=situation.cover[rows],
        tank_pressure=situation.tank_pressure[rows],
        density=situation.density[rows],
        kinematic_viscosity=situation.kinematic_viscosity[rows],
    )


def repeated(situation: Situation, row: int, count: int) -> Situation:
    """Give one row of a situation ``count`` times; it is looked at, not copied."""
    one = take(situation, np.array([row]))

    def again(values: npt.NDArray[Any]) -> npt.NDArray[Any]:
        return np.broadcast_to(values, (count, *values.shape[1:]))

    state = {item.name: getattr(one.scenarios, item.name) for item in fields(one.scenarios)}
    given = {name: again(values) for name, values in state.items() if values is not None}
    return Situation(
        scenarios=replace(one.scenarios, **given),
        conditions=one.conditions,
        elevation=again(one.elevation),
        surface=again(one.surface),
        cover=again(one.cover),
        tank_pressure=again(one.tank_pressure),
        density=again(one.density),
        kinematic_viscosity=again(one.kinematic_viscosity),
    )


def take_delivery(delivery: Delivery, rows: npt.NDArray[np.intp]) -> Delivery:
    """Give some rows of a delivery, its solution with it."""
    solution = delivery.solution
    chosen = {item.name: getattr(solution, item.name)[rows] for item in fields(solution)}
    return Delivery(
        deliverable=delivery.deliverable[rows],
        solved=delivery.solved[rows],
        air_limited=delivery.air_limited[rows],
        solution=replace(solution, **chosen),
    )


def with_demand(assembly: Assembly, situation: Situation, flow: FloatArray) -> Situation:
    """Close both ends and draw ``flow`` (scenario,) [m3/s] from the inlet instead."""
    conditions = situation.conditions
    count = len(situation.elevation)
    allowed = np.array(np.broadcast_to(conditions.allowed, (count, conditions.allowed.shape[1])))
    allowed[:, assembly.open_link :] = 0
    demand = np.zeros(situation.elevation.shape)
    demand[:, assembly.inlet] = flow
    return replace(situation, conditions=replace(conditions, allowed=allowed, demand=demand))


def air_onset(
    assembly: Assembly,
    situation: Situation,
    high_flow: FloatArray,
    high_column: FloatArray,
    factors: Factors | None = None,
    *,
    near: FloatArray | None = None,
    flow: FloatArray | None = None,
) -> FloatArray:
    """Find the flow at which air begins to be drawn from an uncovered leg.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation
    high_flow : FloatArray (scenario,)
        [m3/s] A flow at which air is drawn.
    high_column : FloatArray (scenario,)
        [m] The (negative) least standing column there.
    factors : Factors, optional
    near : FloatArray (scenario,), optional
        [m3/s] About where the onset lies; NaN where that is not known.
    flow : FloatArray (scenario, link), optional
        [m3/s] Flows of the lines at ``high_flow``, to start each search from.

    Returns
    -------
    FloatArray (scenario,)
        [m3/s], not above the true onset by more than rounding: the lower end of the bracket.
    """
    if not len(high_flow):
        return high_flow
    share = None if flow is None else flow / np.maximum(high_flow, 1e-12)[:, None]

    def column_at(trial: FloatArray, rows: npt.NDArray[np.intp]) -> FloatArray:
        part = None if factors is None else factors.take(rows)
        begin = None if share is None else share[rows] * trial[:, None]
        return _least_column(assembly, take(situation, rows), trial, part, begin)

    everything = np.arange(len(high_flow))
    high, high_column = high_flow.copy(), high_column.copy()
    guessed = np.zeros(len(high), dtype=bool) if near is None else ~np.isnan(near)
    low = FOOT * high_flow
    if near is not None:
        low = np.where(guessed, np.minimum(0.98 * near, 0.9 * high_flow), low)
    low_column = column_at(low, everything)
    missed = np.flatnonzero(~(low_column > 0) & guessed)
    if len(missed):  # the onset lies below: start from the foot instead
        high[missed], high_column[missed] = low[missed], low_column[missed]
        low[missed] = FOOT * high[missed]
        low_column[missed] = column_at(low[missed], missed)
    hopeless = ~(low_column > 0)
    low = np.where(hopeless, 0.0, low)
    above, below = low_column.copy(), high_column.copy()
    last = np.zeros(len(high), dtype=np.int8)
    for step in range(ONSET_STEPS):
        close = (low_column < ONSET_COLUMN) | (high - low < ONSET_WIDTH * high)
        rows = np.flatnonzero(~hopeless & ~close)
        if not len(rows):
            break
        trial = _guess(low[rows], high[rows], above[rows], below[rows], step)
        column = column_at(trial, rows)
        wet = column > 0
        low[rows] = np.where(wet, trial, low[rows])
        low_column[rows] = np.where(wet, column, low_column[rows])
        high[rows] = np.where(wet, high[rows], trial)
        # An end that stays while the other moves twice counts half (the Illinois rule).
        side = np.where(wet, 1, -1).astype(np.int8)
        again = side == last[rows]
        above[rows] = np.where(wet, column, np.where(again, 0.5, 1.0) * above[rows])
        below[rows] = np.where(wet, np.where(again, 0.5, 1.0) * below[rows], column)
        last[rows] = side
    return np.where(np.isnan(high_flow), np.nan, low)


def _guess(
    low: FloatArray, high: FloatArray, above: FloatArray, below: FloatArray, step: int
) -> FloatArray:
    """Next flow to try: where a straight line would be zero; now and then the middle."""
    lower, upper = low**FLOW_EXPONENT, high**FLOW_EXPONENT
    fall = above - below
    usable = np.isfinite(fall) & (fall > 0)
    share = np.where(usable, above / np.where(usable, fall, 1.0), 0.5)
    if step % 6 == 5:
        share = np.full_like(share, 0.5)
    trial: FloatArray = (lower + share * (upper - lower)) ** (1 / FLOW_EXPONENT)
    return trial


def _least_column(
    assembly: Assembly,
    situation: Situation,
    flow: FloatArray,
    factors: Factors | None,
    start: FloatArray | None,
) -> FloatArray:
    drawn = with_demand(assembly, situation, flow)
    return _least_of(
        assembly, drawn, solve(assembly.network, drawn.conditions, factors, start=start)
    )


def _least_of(assembly: Assembly, drawn: Situation, solution: Solution) -> FloatArray:
    """Least standing column (scenario,) [m] of what was solved with a flow drawn off."""
    columns = standing_columns(assembly, drawn, solution)
    some = ~np.isnan(columns).all(axis=1)
    least = np.full(len(columns), np.nan)
    least[some] = np.nanmin(columns[some], axis=1)
    # A leg that meets no flow draws no air; a failed solve stays NaN and so counts as drawn.
    still = ~some & solution.converged & solution.supplied
    least[still] = np.inf
    return least
