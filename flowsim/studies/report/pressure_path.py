"""Pressure along each way from a tank to the inlet, while the required flow is drawn."""

from dataclasses import dataclass

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.outcome import PartLosses, part_losses
from flowsim.network.routes import paths
from flowsim.network.scenarios import situate
from flowsim.network.standing import STILL
from flowsim.physics.air.atmosphere import standard_pressure
from flowsim.physics.fuel.properties import vapour_pressure
from flowsim.physics.losses.round_bore import velocity
from flowsim.studies.adequacy.one_scenario import scenarios_of
from flowsim.studies.delivery.pressures import RequiredFlowState, at_required_flow
from flowsim.studies.result import ScenarioResult
from flowsim.studies.saying import Said, saying


@dataclass(frozen=True, slots=True, kw_only=True)
class PathPoint:
    """A place on the way; the first is the tank's free surface.

    ``name`` of the node there, empty between nodes; ``line`` that leads away from it or to it;
    ``distance`` [m] along the lines from the outlet; ``elevation`` [m]; ``pressure`` [Pa] static,
    above ambient; ``velocity_head`` [m] in the bore that is there; ``above_vapour`` [Pa] absolute
    pressure less the fuel's vapour pressure.
    """

    name: Said
    line: str
    distance: float
    elevation: float
    pressure: float
    velocity_head: float
    above_vapour: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PressurePath:
    """One way from an outlet to the inlet; ``surface`` [m] is the tank's, all heights from datum.

    ``weight`` [Pa/m] is density times g0: pressure over it is a height of fuel. ``known`` tells
    that the course of every line on it is known; elsewhere only the ends of a line are points.
    """

    tank: str
    outlet: str
    surface: float
    tank_pressure: float
    weight: float
    known: bool
    points: tuple[PathPoint, ...]


def pressure_paths(assembly: Assembly, scenario: ScenarioResult) -> tuple[PressurePath, ...]:
    """Work out the pressure along every flowing way in one scenario at its required flow.

    Parameters
    ----------
    assembly : Assembly
    scenario : ScenarioResult
        Of a result of the same system.

    Returns
    -------
    tuple of PressurePath
        Empty where the required flow cannot be supplied or the solve failed. As in the check, the
        fittings of a line count as lying at its upstream end, which gives the lower pressures.
    """
    situation = situate(assembly, scenarios_of(assembly, scenario))
    state = at_required_flow(assembly, situation, np.array([scenario.required]))
    solution = state.solution
    if not (solution.converged[0] and solution.supplied[0]):
        return ()
    losses = part_losses(assembly.network, state.situation.conditions, solution.flow)
    allowed = state.situation.conditions.allowed[0]
    flow = solution.flow[0]
    found = []
    for index, (node, _, _) in enumerate(assembly.outlets):
        for way in paths(assembly, allowed, node):
            along = [flow[link] * (-1 if turned else 1) for link, turned in way]
            if way and min(along) > STILL:
                found.append(_path(assembly, state, losses, index, way))
    return tuple(found)


def _path(
    assembly: Assembly,
    state: RequiredFlowState,
    losses: PartLosses,
    outlet_index: int,
    way: tuple[tuple[int, bool], ...],
) -> PressurePath:
    situation = state.situation
    _, tank, outlet = assembly.outlets[outlet_index]
    weight = float(situation.density[0]) * STANDARD_GRAVITY
    scenarios = situation.scenarios
    vapour = float(vapour_pressure(assembly.system.fuel, scenarios.temperature)[0])
    ambient = float(standard_pressure(scenarios.altitude)[0])
    surface = float(situation.surface[0, tank])
    tank_air = float(situation.tank_pressure[0, tank])
    points = [
        PathPoint(
            name=saying("pressure_path.fuel_surface"),
            line="",
            distance=0.0,
            elevation=surface,
            pressure=tank_air,
            velocity_head=0.0,
            above_vapour=ambient + tank_air - vapour,
        )
    ]
    done = 0.0
    for link, turned in way:
        made, length = _along(assembly, state, losses, link, turned, weight)
        name = assembly.system.lines[link].name
        ends = _end_names(assembly, link, turned)
        for place, (share, elevation, pressure, kinetic) in enumerate(made):
            points.append(
                PathPoint(
                    name=ends[0] if place == 0 else ends[1] if place == len(made) - 1 else "",
                    line=name,
                    distance=done + share * length,
                    elevation=elevation,
                    pressure=pressure,
                    velocity_head=kinetic,
                    above_vapour=ambient + pressure - vapour,
                )
            )
        done += length
    return PressurePath(
        tank=assembly.system.tanks[tank].name,
        outlet=outlet.name,
        surface=surface,
        tank_pressure=tank_air,
        weight=weight,
        known=all(assembly.system.lines[link].route is not None for link, _ in way),
        points=tuple(points),
    )


def _end_names(assembly: Assembly, link: int, turned: bool) -> tuple[str, str]:
    line = assembly.system.lines[link]
    return (line.end, line.start) if turned else (line.start, line.end)


def _along(
    assembly: Assembly,
    state: RequiredFlowState,
    losses: PartLosses,
    link: int,
    turned: bool,
    weight: float,
) -> tuple[list[tuple[float, float, float, float]], float]:
    """Give share of the length, elevation, static pressure and velocity head at each station."""
    along = assembly.line_stations[link]
    flow = state.solution.flow[:1, link]
    network = assembly.network
    start = network.end[link] if turned else network.start[link]
    head = state.solution.head[0, start] - along.lost(np.abs(losses.loss[:1]), flow)[0]
    kinetic = velocity(flow, along.bore) ** 2 / (2 * STANDARD_GRAVITY)
    elevation = -along.points @ state.situation.scenarios.gravity[0]
    pressure = weight * (head - elevation - kinetic)
    share = 1.0 - along.share if turned else along.share
    columns = (share, elevation, pressure, kinetic)
    rows = list(zip(*(column.tolist() for column in columns), strict=True))
    return rows[::-1] if turned else rows, float(assembly.system.lines[link].length)
