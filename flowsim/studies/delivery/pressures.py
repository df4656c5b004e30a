"""Pressures at the required flow: at the inlet, along every line, against vapour pressure."""

from dataclasses import dataclass

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.conditions import Factors
from flowsim.network.outcome import PartLosses, part_losses
from flowsim.network.scenarios import CARBURETTOR, Situation
from flowsim.network.solver import Solution, solve
from flowsim.network.standing import STILL, rank, standing
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import vapour_pressure
from flowsim.physics.losses.round_bore import velocity
from flowsim.studies.delivery.deliver import with_demand
from flowsim.studies.delivery.heat_pickup import heat_at_the_engine


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnState:
    """What the system is like while a flow is drawn from the inlet; all (scenario,).

    ``head_left`` [m] over what the end needs; ``air_margin`` [m] worst standing column (NaN: no
    uncovered leg); ``air_least`` [m] what it must be to be called fine.
    """

    head_left: FloatArray
    air_margin: FloatArray
    air_least: FloatArray
    solution: Solution
    situation: Situation


@dataclass(frozen=True, slots=True, kw_only=True)
class RequiredFlowState(DrawnState):
    """The same at the required flow, with its pressures; all (scenario,).

    ``inlet_pressure`` [Pa] static, above ambient; ``vapour_margin`` [Pa] lowest absolute pressure
    less vapour pressure; ``tank_margin`` [Pa] lowest pressure against the tanks' air; ``losses``
    of the parts. NaN where it cannot be supplied.
    """

    inlet_pressure: FloatArray
    vapour_margin: FloatArray
    tank_margin: FloatArray
    losses: PartLosses


def at_drawn_flow(
    assembly: Assembly,
    situation: Situation,
    drawn: FloatArray,
    start: FloatArray | None = None,
    factors: Factors | None = None,
) -> DrawnState:
    """Solve with a flow drawn from the inlet: what is left over, and whether air is drawn.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation
    drawn : FloatArray (scenario,)
        [kg/s]
    start : FloatArray (scenario, link), optional
        Flows [m3/s] to start the search from; the answer does not depend on it.
    factors : Factors, optional
        On the laws; the nominal ones where not given.

    Returns
    -------
    DrawnState
    """
    flow = drawn / situation.density
    changed = with_demand(assembly, situation, flow)
    solution = solve(assembly.network, changed.conditions, factors, start=start)
    air_margin, air_least = _least_column(assembly, changed, solution)
    return DrawnState(
        head_left=solution.head[:, assembly.inlet] - _needed(assembly, situation, flow, factors),
        air_margin=air_margin,
        air_least=air_least,
        solution=solution,
        situation=changed,
    )


def at_required_flow(
    assembly: Assembly, situation: Situation, required: FloatArray
) -> RequiredFlowState:
    """Solve with the required flow drawn from the inlet and look at pressures.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation
    required : FloatArray (scenario,)
        [kg/s]

    Returns
    -------
    RequiredFlowState
        Fittings of a line whose place along it is not known count as lying at its upstream end,
        which gives the lower pressures.
    """
    state = at_drawn_flow(assembly, situation, required)
    solution, drawn = state.solution, state.situation
    flow = required / situation.density
    weight = situation.density * STANDARD_GRAVITY
    inlet = assembly.inlet
    above = solution.head[:, inlet] - situation.elevation[:, inlet]
    kinetic = velocity(flow, assembly.inlet_bore) ** 2 / (2 * STANDARD_GRAVITY)
    losses = part_losses(assembly.network, drawn.conditions, solution.flow)
    lowest, against_tank = _lowest_pressure(assembly, drawn, solution, np.abs(losses.loss))
    vapour = vapour_pressure(assembly.system.fuel, situation.scenarios.temperature)
    ambient = standard_pressure(situation.scenarios.altitude)
    return RequiredFlowState(
        head_left=state.head_left,
        air_margin=state.air_margin,
        air_least=state.air_least,
        solution=solution,
        situation=drawn,
        inlet_pressure=weight * (above - kinetic),
        vapour_margin=ambient + lowest - vapour,
        tank_margin=against_tank,
        losses=losses,
    )


def _needed(
    assembly: Assembly, situation: Situation, flow: FloatArray, factors: Factors | None
) -> FloatArray:
    """Head at the inlet that each scenario's end needs to take ``flow``."""
    network = assembly.network
    size = (len(flow), len(network.links))
    through = np.zeros(size)
    through[:, assembly.open_link :] = flow[:, None]
    ends = range(assembly.open_link, len(network.links))
    losses = part_losses(network, situation.conditions, through, factors, links=ends).loss
    heads = situation.conditions.fixed_head
    parts = network.part_link == assembly.open_link
    needed: FloatArray = heads[:, assembly.inlet + 1] + losses[:, parts].sum(axis=1)
    if assembly.carburettor_link is not None:
        parts = network.part_link == assembly.carburettor_link
        behind = heads[:, assembly.inlet + 2] + losses[:, parts].sum(axis=1)
        needed = np.where(situation.scenarios.end == CARBURETTOR, behind, needed)
    return needed


def _least_column(
    assembly: Assembly, situation: Situation, solution: Solution
) -> tuple[FloatArray, FloatArray]:
    """Worst standing column (scenario,) [m] and what it must be; NaN where no leg stands."""
    found = standing(assembly, situation, solution)
    order = rank(found.height, found.least)
    worst = np.argmin(np.where(np.isnan(order), np.inf, order), axis=1)[:, None]
    return (
        np.take_along_axis(found.height, worst, axis=1)[:, 0],
        np.take_along_axis(found.least, worst, axis=1)[:, 0],
    )


def _lowest_pressure(
    assembly: Assembly, situation: Situation, solution: Solution, losses: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Lowest static pressure [Pa] above ambient on flowing lines, and the same against tank air.

    The first less what heat picked up at the engine adds to the vapour pressure there.
    """
    network = assembly.network
    weight = situation.density * STANDARD_GRAVITY
    heat = heat_at_the_engine(assembly, situation.scenarios.temperature)
    lowest = situation.tank_pressure.min(axis=1)
    against = np.full(len(weight), np.inf)
    for link, along in enumerate(assembly.line_stations):
        flow = solution.flow[:, link]
        moving = np.abs(flow) > STILL
        start = np.where(flow >= 0, network.start[link], network.end[link])
        upstream = np.take_along_axis(solution.head, start[:, None], axis=1)
        head = upstream - along.lost(losses, flow)
        height = -situation.scenarios.gravity @ along.points.T
        kinetic = velocity(flow[:, None], along.bore) ** 2 / (2 * STANDARD_GRAVITY)
        pressure = weight[:, None] * (head - height - kinetic)
        least = np.where(moving, pressure.min(axis=1), np.inf)
        lowest = np.minimum(lowest, least - heat[:, link])
        # At the outlet itself the speed alone takes the pressure below the air: no sign of trouble.
        downstream = np.where(flow[:, None] >= 0, along.share, 1 - along.share)
        at_outlet = (downstream <= 0) & network.fixed[start][:, None]
        beyond = np.where(at_outlet, np.inf, pressure).min(axis=1)
        against = np.where(moving, np.minimum(against, beyond), against)
    bad = ~(solution.converged & solution.supplied)
    tank_air = situation.tank_pressure.max(axis=1)
    return np.where(bad, np.nan, lowest), np.where(bad, np.nan, against - tank_air)
