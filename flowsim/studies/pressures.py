"""Pressures at the required flow: at the inlet, along every line, against vapour pressure."""

from dataclasses import dataclass

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.outcome import link_bore, part_losses
from flowsim.network.scenarios import CARBURETTOR, Situation
from flowsim.network.solver import Solution, solve
from flowsim.network.standing import STILL, standing_columns
from flowsim.physics.arrays import FloatArray
from flowsim.physics.atmosphere import standard_pressure
from flowsim.physics.fuel_properties import vapour_pressure
from flowsim.studies.deliver import with_demand
from flowsim.studies.heat_pickup import heat_at_the_engine
from flowsim.system.parts import Pipe


@dataclass(frozen=True, slots=True, kw_only=True)
class RequiredFlowState:
    """What the system is like while the required flow is drawn; all (scenario,).

    ``inlet_pressure`` [Pa] static, above ambient; ``head_left`` [m] over what the end needs;
    ``air_margin`` [m] least standing column (NaN: no uncovered leg); ``air_least`` [m] what it must
    be to be called fine; ``vapour_margin`` [Pa] lowest absolute pressure less vapour pressure;
    ``tank_margin`` [Pa] lowest pressure against the tanks' air. NaN where it cannot be supplied.
    """

    inlet_pressure: FloatArray
    head_left: FloatArray
    air_margin: FloatArray
    air_least: FloatArray
    vapour_margin: FloatArray
    tank_margin: FloatArray
    solution: Solution
    situation: Situation


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
    flow = required / situation.density
    drawn = with_demand(assembly, situation, flow)
    solution = solve(assembly.network, drawn.conditions)
    weight = situation.density * STANDARD_GRAVITY
    bore = link_bore(assembly.network)
    inlet = assembly.inlet
    above = solution.head[:, inlet] - situation.elevation[:, inlet]
    area = np.pi * bore[assembly.open_link] ** 2 / 4
    kinetic = (flow / area) ** 2 / (2 * STANDARD_GRAVITY)
    columns = standing_columns(assembly, drawn, solution)
    some = ~np.isnan(columns).all(axis=1)
    air_margin = np.full(len(flow), np.nan)
    air_margin[some] = np.nanmin(columns[some], axis=1)
    lowest, against_tank = _lowest_pressure(assembly, drawn, solution)
    vapour = vapour_pressure(assembly.system.fuel, situation.scenarios.temperature)
    ambient = standard_pressure(situation.scenarios.altitude)
    return RequiredFlowState(
        inlet_pressure=weight * (above - kinetic),
        head_left=solution.head[:, inlet] - _needed(assembly, situation, flow),
        air_margin=air_margin,
        air_least=np.maximum(np.maximum(0.005, bore[assembly.open_link]), kinetic),
        vapour_margin=ambient + lowest - vapour,
        tank_margin=against_tank,
        solution=solution,
        situation=drawn,
    )


def _needed(assembly: Assembly, situation: Situation, flow: FloatArray) -> FloatArray:
    """Head at the inlet that each scenario's end needs to take ``flow``."""
    network = assembly.network
    size = (len(flow), len(network.links))
    through = np.zeros(size)
    through[:, assembly.open_link :] = flow[:, None]
    losses = part_losses(network, situation.conditions, through).loss
    heads = situation.conditions.fixed_head
    parts = network.part_link == assembly.open_link
    needed: FloatArray = heads[:, assembly.inlet + 1] + losses[:, parts].sum(axis=1)
    if assembly.carburettor_link is not None:
        parts = network.part_link == assembly.carburettor_link
        behind = heads[:, assembly.inlet + 2] + losses[:, parts].sum(axis=1)
        needed = np.where(situation.scenarios.end == CARBURETTOR, behind, needed)
    return needed


def _lowest_pressure(
    assembly: Assembly, situation: Situation, solution: Solution
) -> tuple[FloatArray, FloatArray]:
    """Lowest static pressure [Pa] above ambient on flowing lines, and the same against tank air.

    The first less what heat picked up at the engine adds to the vapour pressure there.
    """
    network = assembly.network
    losses = part_losses(network, situation.conditions, solution.flow).loss
    is_pipe = np.array([isinstance(placed.part, Pipe) for placed in network.placed])
    weight = situation.density * STANDARD_GRAVITY
    area = np.pi * link_bore(network) ** 2 / 4
    heat = heat_at_the_engine(assembly, situation.scenarios.temperature)
    lowest = situation.tank_pressure.min(axis=1)
    against = np.full(len(weight), np.inf)
    for link, points in enumerate(assembly.stations):
        flow = solution.flow[:, link]
        moving = np.abs(flow) > STILL
        mine = network.part_link == link
        friction = losses[:, mine & is_pipe].sum(axis=1)
        lumped = losses[:, mine & ~is_pipe].sum(axis=1)
        share = _shares(points)
        downstream = np.where(flow[:, None] >= 0, share, 1 - share)
        start = np.where(flow >= 0, network.start[link], network.end[link])
        upstream = np.take_along_axis(solution.head, start[:, None], axis=1)
        head = upstream - np.abs(lumped)[:, None] - np.abs(friction)[:, None] * downstream
        height = -situation.scenarios.gravity @ points.T
        kinetic = (flow / area[link]) ** 2 / (2 * STANDARD_GRAVITY)
        pressure = weight[:, None] * (head - height - kinetic[:, None])
        least = np.where(moving, pressure.min(axis=1), np.inf)
        lowest = np.minimum(lowest, least - heat[:, link])
        # At the outlet itself the speed alone takes the pressure below the air: no sign of trouble.
        at_outlet = (downstream <= 0) & network.fixed[start][:, None]
        beyond = np.where(at_outlet, np.inf, pressure).min(axis=1)
        against = np.where(moving, np.minimum(against, beyond), against)
    bad = ~(solution.converged & solution.supplied)
    tank_air = situation.tank_pressure.max(axis=1)
    return np.where(bad, np.nan, lowest), np.where(bad, np.nan, against - tank_air)


def _shares(points: FloatArray) -> FloatArray:
    """Distance of each station along its line over the whole (0 to 1)."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    if along[-1] == 0:
        return np.linspace(0.0, 1.0, len(points))
    share: FloatArray = along / along[-1]
    return share
