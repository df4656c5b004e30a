"""Where the head goes: every part on every way from a tank to the end, closing with the head."""

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.elements import Network
from flowsim.network.outcome import PartLosses, part_description, part_losses
from flowsim.network.routes import paths
from flowsim.network.scenarios import OPEN_LINE, Situation
from flowsim.network.solver import Solution
from flowsim.network.standing import STILL
from flowsim.physics.losses.law_shape import LawForm, Passing
from flowsim.physics.losses.laws import loss_law
from flowsim.studies.result import LossPath, LossRow
from flowsim.studies.saying import Said, saying


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
    rows_of: dict[tuple[int, bool, float], tuple[LossRow, ...]] = {}
    allowed = situation.conditions.allowed[row]
    for index, (node, _, _) in enumerate(assembly.outlets):
        for way in paths(assembly, allowed, node):
            along = [flow[link] * (-1 if turned else 1) for link, turned in way]
            if way and min(along) > STILL:
                steps = (*way, (end_link, False))
                found.append(
                    _path(assembly, situation, solution, row, index, steps, losses, rows_of)
                )
    return tuple(found)


def _path(
    assembly: Assembly,
    situation: Situation,
    solution: Solution,
    row: int,
    outlet_index: int,
    way: tuple[tuple[int, bool], ...],
    losses: PartLosses,
    rows_of: dict[tuple[int, bool, float], tuple[LossRow, ...]],
) -> LossPath:
    """One way; ``rows_of`` keeps the rows of lines that other ways share."""
    network = assembly.network
    node, tank, outlet = assembly.outlets[outlet_index]
    end_node = int(network.end[way[-1][0]])
    heads = situation.conditions.fixed_head[row]
    weight = float(situation.density[row]) * STANDARD_GRAVITY
    available = float(heads[node] - heads[end_node])
    rows: list[LossRow] = []
    for link, turned in way:
        key = (link, turned, available)
        if key not in rows_of:
            rows_of[key] = _rows_of_link(network, situation, solution, row, key, losses)
        rows += rows_of[key]
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


def _rows_of_link(
    network: Network,
    situation: Situation,
    solution: Solution,
    row: int,
    key: tuple[int, bool, float],
    losses: PartLosses,
) -> tuple[LossRow, ...]:
    link, turned, available = key
    viscosity = float(situation.kinematic_viscosity[row])
    clear = float(situation.scenarios.screen_clear[row])
    parts = np.flatnonzero(network.part_link == link)
    found = []
    for index in parts[::-1] if turned else parts:
        loss = float(losses.loss[0, index]) * (-1 if turned else 1)
        flow = float(solution.flow[row, link]) * (-1 if turned else 1)
        if loss != 0.0 or network.placed[index].direction == 0:
            found.append(_row(network, int(index), flow, loss, available, viscosity, clear))
    return tuple(found)


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
    part, law = placed.part, loss_law(placed.part)
    name: Said
    name, _, source = part_description(network, index)
    if placed.share != 1.0:
        name = saying("losses.share_of", name=name, share=placed.share)
    bore = law.bore(part) * placed.bore_factor
    area = np.pi * bore**2 / 4
    velocity = flow / area
    reynolds = abs(velocity) * bore / viscosity
    velocity_head = velocity**2 / (2 * STANDARD_GRAVITY)
    coefficient = loss / velocity_head if velocity_head > 0 else float("nan")
    terms = {"kinematic_viscosity": viscosity, "share_of_part": placed.share}
    terms.update(_terms(network, index, clear))
    terms.update(law.terms_at(part, Passing(flow, bore, reynolds, viscosity)))
    return LossRow(
        part=name,
        line=network.links[int(network.part_link[index])].name,
        law=law.title_at(part, reynolds),
        flow=flow,
        bore=bore,
        velocity=float(velocity),
        reynolds=float(reynolds),
        coefficient=float(law.coefficient(part, bore, coefficient)),
        loss=loss,
        share=loss / available if available > 0 else float("nan"),
        source=source,
        terms=tuple(terms.items()),
        key=placed.key,
        formula=law.working(terms),
        tag=law.tag(part),
    )


def _terms(network: Network, index: int, clear: float) -> dict[str, float]:
    """Numbers that a hand check of the part's law needs."""
    placed = network.placed[index]
    law, loss, laminar = loss_law(placed.part), placed.loss_factor, placed.laminar_factor
    found = law.terms(placed.part, loss, laminar, clear)
    if law.tested_as_whole:
        is_friction = law.form(placed.part) is LawForm.FRICTION
        found["ground_test_factor"] = network.friction if is_friction else loss
    terms = network.coefficients
    found["quadratic"] = float(terms.quadratic[index]) * loss
    found["linear"] = float(terms.linear[index]) * laminar
    return found
