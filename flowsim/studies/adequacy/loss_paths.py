"""Where the head goes: every part on every way from a tank to the end, closing with the head."""

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.elements import Exit, Network, Step
from flowsim.network.outcome import PartLosses, part_description, part_losses
from flowsim.network.routes import paths
from flowsim.network.scenarios import OPEN_LINE, Situation
from flowsim.network.solver import Solution
from flowsim.network.standing import STILL
from flowsim.physics.losses import friction
from flowsim.physics.losses.bore_steps import step_coefficient
from flowsim.physics.losses.measured_drop import drop_curve, viscosity_ratio
from flowsim.studies.result import LossPath, LossRow
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Pipe,
    QuadraticLoss,
    Screen,
)


def loss_paths_of(
    assembly: Assembly, situation: Situation, solution: Solution, row: int
) -> tuple[LossPath, ...]:
    """List the losses along every flowing way of scenario ``row``.

    Parameters
    ----------
    assembly : Assembly
    situation, solution
        Solved with an end open (not with a demand).
    row : int
        Which scenario.

    Returns
    -------
    tuple of LossPath
        Empty where nothing flows or the solve failed.
    """
    flow = solution.flow[row]
    if not np.isfinite(flow).all():
        return ()
    one = slice(row, row + 1)
    losses = part_losses(assembly.network, situation.conditions.take(one), solution.flow[one])
    end_link = assembly.open_link
    if situation.scenarios.end[row] != OPEN_LINE and assembly.carburettor_link is not None:
        end_link = assembly.carburettor_link
    if not flow[end_link] > STILL:
        return ()
    found = []
    allowed = situation.conditions.allowed[row]
    for index, (node, _, _) in enumerate(assembly.outlets):
        for way in paths(assembly, allowed, node):
            along = [flow[link] * (-1 if turned else 1) for link, turned in way]
            if way and min(along) > STILL:
                steps = (*way, (end_link, False))
                found.append(_path(assembly, situation, solution, row, index, steps, losses))
    return tuple(found)


def _path(
    assembly: Assembly,
    situation: Situation,
    solution: Solution,
    row: int,
    outlet_index: int,
    way: tuple[tuple[int, bool], ...],
    losses: PartLosses,
) -> LossPath:
    network = assembly.network
    node, tank, outlet = assembly.outlets[outlet_index]
    end_node = int(network.end[way[-1][0]])
    heads = situation.conditions.fixed_head[row]
    weight = float(situation.density[row]) * STANDARD_GRAVITY
    available = float(heads[node] - heads[end_node])
    viscosity = float(situation.kinematic_viscosity[row])
    clear = float(situation.scenarios.screen_clear[row])
    rows = []
    for link, turned in way:
        parts = np.flatnonzero(network.part_link == link)
        for index in parts[::-1] if turned else parts:
            loss = float(losses.loss[0, index]) * (-1 if turned else 1)
            flow = float(solution.flow[row, link]) * (-1 if turned else 1)
            if loss == 0.0 and network.placed[index].direction != 0:
                continue
            rows.append(_row(network, int(index), flow, loss, available, viscosity, clear))
    pressure_head = float(situation.tank_pressure[row, tank]) / weight
    end_elevation = float(situation.elevation[row, end_node])
    return LossPath(
        tank=assembly.system.tanks[tank].name,
        outlet=outlet.name,
        end=network.links[way[-1][0]].name,
        surface_elevation=float(heads[node]) - pressure_head,
        end_elevation=end_elevation,
        tank_pressure_head=pressure_head,
        end_pressure_head=float(heads[end_node]) - end_elevation,
        available=available,
        rows=tuple(rows),
        closure=available - sum(item.loss for item in rows),
    )


def _row(
    network: Network,
    index: int,
    flow: float,
    loss: float,
    available: float,
    viscosity: float,
    clear: float,
) -> LossRow:
    placed = network.placed[index]
    part = placed.part
    name, law, source = part_description(network, index)
    if placed.share != 1.0:
        name = f"{name} ({placed.share:g} of it, on this flow)"
    bore = float("nan") if isinstance(part, Screen) else part.bore * placed.bore_factor
    area = np.pi * bore**2 / 4
    velocity = flow / area
    reynolds = abs(velocity) * bore / viscosity
    velocity_head = velocity**2 / (2 * STANDARD_GRAVITY)
    coefficient = loss / velocity_head if velocity_head > 0 else float("nan")
    terms = {"kinematic_viscosity": viscosity, "share_of_part": placed.share}
    terms.update(_terms(network, index, clear))
    if isinstance(part, Pipe):
        coefficient = coefficient * bore / part.length
        if part.friction_factor is None:
            law = _friction_words(reynolds)
            value = friction.darcy_factor(np.array(reynolds), np.array(part.roughness / bore))
            terms["darcy_factor"] = float(value)
    if isinstance(part, MeasuredDrop):
        terms.update(_table_terms(part, flow, viscosity))
    if isinstance(part, Exit | Step):
        both = part.coefficients
        kinetic, _ = step_coefficient(np.array(reynolds), both.turbulent, both.laminar)
        terms["kinetic_coefficient"] = float(kinetic)
    return LossRow(
        part=name,
        line=network.links[int(network.part_link[index])].name,
        law=law,
        flow=flow,
        bore=bore,
        velocity=float(velocity),
        reynolds=float(reynolds),
        coefficient=float(coefficient),
        loss=loss,
        share=loss / available if available > 0 else float("nan"),
        source=source,
        terms=tuple(terms.items()),
        key=placed.key,
        tag=None if isinstance(part, Exit) else part.tag,
    )


def _table_terms(part: MeasuredDrop, flow: float, viscosity: float) -> dict[str, float]:
    """Numbers of a measured table at a flow: its readings on both sides, and its straight line."""
    curve = drop_curve(part)
    ratio = float(viscosity_ratio(part, viscosity))
    readings = [(0.0, 0.0), *zip(part.flows, part.drops, strict=True)]
    read = abs(flow) / ratio
    found = {
        "table_density": part.density,
        "viscosity_ratio": ratio,
        "straight_up_to": min(float(curve.flows[1]), curve.first),
    }
    below = [reading for reading in readings if reading[0] <= read][-1]
    found["reading_below_flow"], found["reading_below_drop"] = below
    above = [reading for reading in readings if reading[0] > read]
    if above:
        found["reading_above_flow"], found["reading_above_drop"] = above[0]
    return found


def _terms(network: Network, index: int, clear: float) -> dict[str, float]:
    """Numbers that a hand check of the part's law needs."""
    placed = network.placed[index]
    part, loss, laminar = placed.part, placed.loss_factor, placed.laminar_factor
    found: dict[str, float] = {}
    if isinstance(part, Pipe):
        found = {"length": part.length, "roughness": part.roughness}
        if part.friction_factor is not None:
            found["darcy_factor"] = part.friction_factor
    elif isinstance(part, MinorLoss):
        found = {
            "k_inf": part.k_inf * loss,
            "k_laminar": part.k_laminar * laminar,
            "count": float(part.count),
        }
    elif isinstance(part, FlowCoefficient):
        found = {"kv": part.kv, "k_laminar": part.k_laminar}
    elif isinstance(part, Orifice):
        found = {"discharge_coefficient": part.discharge_coefficient}
    elif isinstance(part, Screen):
        found = {
            "area": part.area,
            "wires_per_metre": part.wires_per_metre,
            "wire_diameter": part.wire_diameter,
            "clear_fraction": float(np.fmin(clear, part.clear_fraction)),
        }
    elif isinstance(part, OneWayValve):
        found = {"kv": part.kv * loss**-0.5, "cracking_pressure": part.cracking_pressure}
    elif isinstance(part, QuadraticLoss):
        found = {"coefficient": part.coefficient * loss}
    elif isinstance(part, Step):
        found = {"bore_from": part.bore_from, "bore_to": part.bore_to, "count": float(part.count)}
    if isinstance(part, Pipe | Exit | Step | Screen | Orifice | FlowCoefficient | MeasuredDrop):
        follows_law = isinstance(part, Pipe) and part.friction_factor is None
        found["ground_test_factor"] = network.friction if follows_law else loss
    terms = network.coefficients
    found["quadratic"] = float(terms.quadratic[index]) * loss
    found["linear"] = float(terms.linear[index]) * laminar
    return found


def _friction_words(reynolds: float) -> str:
    if reynolds <= friction.LAMINAR_END:
        return "friction, laminar"
    if reynolds >= friction.TURBULENT_START:
        return "friction, turbulent"
    return "friction, transition"
