"""Air at flows below the required one, where the outlets of several tanks are open at once.

Of one tank's outlets more flow always draws more air, so the required flow tells. Where fuel runs
from tank to tank while little is drawn off, a bare leg may draw air below the required flow alone.
"""

from dataclasses import replace

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import Situation
from flowsim.network.standing import STILL, rank
from flowsim.physics.arrays import FloatArray
from flowsim.studies.delivery.deliver import (
    LOOKED_AT,
    of_several_tanks,
    runs_between_tanks,
    take,
)
from flowsim.studies.delivery.pressures import RequiredFlowState, at_drawn_flow


def with_lesser_flows(
    assembly: Assembly, situation: Situation, required: FloatArray, state: RequiredFlowState
) -> RequiredFlowState:
    """Give the worst standing column at the required flow or a lesser one.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation
    required : FloatArray (scenario,)
        [kg/s]
    state : RequiredFlowState
        At the required flow.

    Returns
    -------
    RequiredFlowState
        The same with ``air_margin`` and ``air_least`` of the flow at which they are worst. A lesser
        flow that could not be solved counts as a column of nothing: it cannot be told there.
    """
    bare = (situation.uncovered & ~np.isnan(situation.cover)).any(axis=1)
    left = np.flatnonzero(of_several_tanks(assembly, situation.scenarios.position) & bare)
    margin, least = state.air_margin.copy(), state.air_least.copy()
    through = state.solution.flow
    start = None
    for share in LOOKED_AT:
        if not len(left):
            break
        drawn = at_drawn_flow(assembly, take(situation, left), share * required[left], start)
        flow, column = drawn.solution.flow, drawn.air_margin
        failed = drawn.solution.supplied & ~drawn.solution.converged
        column = np.where(failed, 0.0, column)
        wanted = np.where(failed, np.fmax(drawn.air_least, STILL), drawn.air_least)
        known = rank(margin[left], least[left])
        found = rank(column, wanted)
        worse = ~np.isnan(found) & ~(found >= known)
        margin[left[worse]], least[left[worse]] = column[worse], wanted[worse]
        # The more is drawn off, the less runs from tank to tank: none here, none at more.
        on = runs_between_tanks(assembly, flow, through[left]) | failed
        left, start = left[on], flow[on]
    return replace(state, air_margin=margin, air_least=least)
