"""The deliverable flow: what the network gives, or less where air would be drawn before that."""

from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.conditions import Factors
from flowsim.network.scenarios import Situation
from flowsim.network.solver import Solution, solve
from flowsim.network.standing import standing_columns
from flowsim.physics.arrays import FloatArray

ONSET_STEPS = 24
ONSET_WIDTH = 1e-4
"""[-] Relative width of the bracket in which the onset of air is left; its lower end is given."""
ONSET_COLUMN = 1e-3
"""[m] A standing column this short counts as the onset: a millimetre of fuel."""
ASIDE = 0.999
"""[-] How far towards the straight-line guess a step goes, so that it ends on the wet side."""
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
    onset_near: float | None = None,
) -> Delivery:
    """Solve for the flow that arrives at each scenario's end, and limit it to air-free flow.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation
    factors : Factors, optional
    start : FloatArray (scenario, link), optional
        Flows [m3/s] to start the search from.
    onset_near : float, optional
        [m3/s] About where air begins; it shortens that search and does not change its answer.

    Returns
    -------
    Delivery
    """
    solution = solve(assembly.network, situation.conditions, factors, start=start)
    solved = end_flow(assembly, solution)
    columns = standing_columns(assembly, situation, solution)
    with np.errstate(invalid="ignore"):
        rows = np.flatnonzero((columns < 0).any(axis=1))
    deliverable = solved.copy()
    limited = np.zeros(len(solved), dtype=bool)
    if len(rows):
        part = None if factors is None else factors.take(rows)
        least = np.nanmin(columns[rows], axis=1)
        some = take(situation, rows)
        onset = air_onset(
            assembly, some, solved[rows], least, part, near=onset_near, flow=solution.flow[rows]
        )
        deliverable[rows] = onset
        limited[rows] = True
    return Delivery(deliverable=deliverable, solved=solved, air_limited=limited, solution=solution)


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
    near: float | None = None,
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
    near : float, optional
        [m3/s] About where the onset lies, where that is known.
    flow : FloatArray (scenario, link), optional
        [m3/s] Flows of the lines at ``high_flow``, to start each search from.

    Returns
    -------
    FloatArray (scenario,)
        [m3/s], not above the true onset by more than rounding: the lower end of the bracket.
    """
    share = None if flow is None else flow / np.maximum(high_flow, 1e-12)[:, None]

    def column_at(trial: FloatArray, rows: npt.NDArray[np.intp]) -> FloatArray:
        part = None if factors is None else factors.take(rows)
        begin = None if share is None else share[rows] * trial[:, None]
        return _least_column(assembly, take(situation, rows), trial, part, begin)

    everything = np.arange(len(high_flow))
    high, high_column = high_flow.copy(), high_column.copy()
    low = 1e-3 * high_flow if near is None else np.minimum(0.98 * near, 0.9 * high_flow)
    low_column = column_at(low, everything)
    missed = np.flatnonzero(~(low_column > 0))
    if near is not None and len(missed):  # the onset lies below: start from the foot instead
        high[missed], high_column[missed] = low[missed], low_column[missed]
        low[missed] = 1e-3 * high[missed]
        low_column[missed] = column_at(low[missed], missed)
    hopeless = ~(low_column > 0)
    low = np.where(hopeless, 0.0, low)
    for step in range(ONSET_STEPS):
        close = (low_column < ONSET_COLUMN) | (high - low < ONSET_WIDTH * high)
        rows = np.flatnonzero(~hopeless & ~close)
        if not len(rows):
            break
        trial = _guess(low[rows], high[rows], low_column[rows], high_column[rows], step)
        column = column_at(trial, rows)
        wet = column > 0
        low[rows] = np.where(wet, trial, low[rows])
        low_column[rows] = np.where(wet, column, low_column[rows])
        high[rows] = np.where(wet, high[rows], trial)
        high_column[rows] = np.where(wet, high_column[rows], column)
    return np.where(np.isnan(high_flow), np.nan, low)


def _guess(
    low: FloatArray, high: FloatArray, low_column: FloatArray, high_column: FloatArray, step: int
) -> FloatArray:
    """Next flow to try: on the straight line, a little to the wet side; now and then the middle."""
    lower, upper = low**FLOW_EXPONENT, high**FLOW_EXPONENT
    fall = low_column - high_column
    usable = np.isfinite(fall) & (fall > 0)
    share = np.where(usable, low_column / np.where(usable, fall, 1.0), 0.5)
    share = np.full_like(share, 0.5) if step % 4 == 3 else share * ASIDE
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
    solution = solve(assembly.network, drawn.conditions, factors, start=start)
    columns = standing_columns(assembly, drawn, solution)
    some = ~np.isnan(columns).all(axis=1)
    least = np.full(len(columns), np.nan)
    least[some] = np.nanmin(columns[some], axis=1)
    # A leg that meets no flow draws no air; a failed solve stays NaN and so counts as drawn.
    still = ~some & solution.converged & solution.supplied
    least[still] = np.inf
    return least
