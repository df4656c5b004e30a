"""What a solved network says: the loss of each part, flags, pressures."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import Conditions, Factors, nominal_factors
from flowsim.network.elements import Network
from flowsim.network.laws import clear_fraction
from flowsim.network.scenarios import Situation
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.physics.losses import friction
from flowsim.physics.losses.bore_steps import step_coefficient
from flowsim.physics.losses.laws import loss_law
from flowsim.system.parts import AnyPart


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLosses:
    """Per scenario and part (scenario, part).

    ``loss`` [m of liquid], signed as the flow; ``outside`` True where a law was used outside the
    range in which it was measured; ``below`` where a measured table was read below its first
    reading, on the straight line to rest that is no less than what it loses (``outside`` too where
    its readings say that it may be less).
    """

    loss: FloatArray
    outside: npt.NDArray[np.bool_]
    below: npt.NDArray[np.bool_]


def part_losses(
    network: Network,
    conditions: Conditions,
    flow: FloatArray,
    factors: Factors | None = None,
    *,
    links: Sequence[int] | None = None,
) -> PartLosses:
    """Work out what each part costs at given flows.

    Parameters
    ----------
    network : Network
    conditions : Conditions
    flow : FloatArray (scenario, link)
        [m3/s] as solved.
    factors : Factors, optional
    links : sequence of int, optional
        Links whose parts are asked for; those of the others are zero. All if not given.

    Returns
    -------
    PartLosses
        The losses of a link's parts add up to the head between its nodes.
    """
    factors = nominal_factors(network) if factors is None else factors
    wanted = np.ones(len(network.placed), dtype=bool)
    if links is not None:
        wanted = np.isin(network.part_link, links)
    # Inside, the scenario axis is last: a part's scenarios are one run of memory.
    through = np.ascontiguousarray(flow.T)[network.part_link]
    loss = np.zeros_like(through)
    outside = np.zeros(loss.shape, dtype=bool)
    _coefficient_losses(network, conditions, factors, wanted, through, loss)
    _pipe_losses(network, conditions, factors, wanted, through, loss, outside)
    _exit_losses(network, conditions, factors, wanted, through, loss)
    below = np.zeros(loss.shape, dtype=bool)
    viscosity = conditions.kinematic_viscosity
    for index, law in network.singles:
        if wanted[index]:
            loss[index], _ = law.head(through[index], viscosity, factors.loss[:, index])
            outside[index], below[index] = law.flags(through[index], viscosity)
    for index in np.flatnonzero(wanted & network.cracks).tolist():
        part = network.placed[index].part
        head = loss_law(part).cracking_pressure(part) / (conditions.density * STANDARD_GRAVITY)
        loss[index] += np.where(through[index] > 0, head, 0.0)
    for index in network.ranged[wanted[network.ranged]].tolist():
        outside[index] |= _beyond_range(network.placed[index].part, conditions, through[index])
    return PartLosses(loss=loss.T, outside=outside.T, below=below.T)


def _coefficient_losses(
    network: Network,
    conditions: Conditions,
    factors: Factors,
    wanted: BoolArray,
    through: FloatArray,
    loss: FloatArray,
) -> None:
    """Write the losses (part, scenario) of parts that have a quadratic and a linear term."""
    parts, viscosity = network.coefficients, conditions.kinematic_viscosity
    for part in np.flatnonzero(wanted & ((parts.quadratic > 0) | (parts.linear > 0))).tolist():
        clear = clear_fraction(parts.clear[part], conditions)
        linear = parts.linear[part] * factors.laminar[:, part] * viscosity / clear
        quadratic = parts.quadratic[part] * factors.loss[:, part] / clear**2
        size = np.abs(through[part]) * quadratic
        if not (parts.forward[part] and parts.backward[part]):
            acts = through[part] >= 0 if parts.forward[part] else through[part] < 0
            size = np.where(acts, size, 0.0)
        loss[part] = (size + linear) * through[part]


def _beyond_range(part: AnyPart, conditions: Conditions, flow: FloatArray) -> BoolArray:
    """Tell where a part that flows is used outside the range of its data (scenario,)."""
    law, size = loss_law(part), np.abs(flow)
    low, high = law.range(part) or (0.0, np.inf)
    number = law.reynolds(part, size, conditions.kinematic_viscosity)
    stated = law.clear(part)
    if not np.isnan(stated):
        number = number * stated / clear_fraction(stated, conditions)
    return np.asarray(~((number >= low) & (number <= high)) & (size > 0))


def _pipe_losses(
    network: Network,
    conditions: Conditions,
    factors: Factors,
    wanted: BoolArray,
    through: FloatArray,
    loss: FloatArray,
    outside: BoolArray,
) -> None:
    chosen = np.flatnonzero(wanted[network.pipes.part])
    if not len(chosen):
        return
    pipes, viscosity = network.pipes, conditions.kinematic_viscosity
    part = pipes.part[chosen]
    bore = np.ascontiguousarray((pipes.bore * factors.bore).T[chosen])
    speed = through[part] / (np.pi * bore**2 / 4)
    reynolds = np.abs(speed) * bore / viscosity
    rough = pipes.roughness[chosen, None] / bore
    factor, _ = friction.cautious(reynolds, rough)
    scale = pipes.length[chosen, None] * viscosity / (2 * STANDARD_GRAVITY * bore**2)
    loss[part] = scale * factor * speed * factors.friction
    outside[part] = friction.friction_flags(reynolds, rough)


def _exit_losses(
    network: Network,
    conditions: Conditions,
    factors: Factors,
    wanted: BoolArray,
    through: FloatArray,
    loss: FloatArray,
) -> None:
    exits = network.exits
    flow = through[exits.part] * exits.sign[:, None]
    chosen = np.flatnonzero(wanted[exits.part] & ~(flow <= 0.0).all(axis=1))  # NaN stays NaN
    if not len(chosen):
        return
    part, bore = exits.part[chosen], exits.bore[chosen, None]
    area = np.pi * bore**2 / 4
    leaving = np.maximum(flow[chosen], 0.0)
    reynolds = leaving * bore / (area * conditions.kinematic_viscosity)
    turbulent, laminar = exits.turbulent[chosen, None], exits.laminar[chosen, None]
    coefficient, _ = step_coefficient(reynolds, turbulent, laminar)
    head = coefficient * leaving**2 / (2 * STANDARD_GRAVITY * area**2)
    loss[part] = exits.sign[chosen, None] * head * factors.loss.T[part]


def gauge_pressure(situation: Situation, head: FloatArray) -> FloatArray:
    """Pressure above ambient at every node (scenario, node) [Pa] from heads [m].

    Parameters
    ----------
    situation : Situation
        Density and elevations.
    head : FloatArray (scenario, node)
        [m]

    Returns
    -------
    FloatArray (scenario, node)
        [Pa]
    """
    weight = situation.density[:, None] * STANDARD_GRAVITY
    pressure: FloatArray = weight * (head - situation.elevation)
    return pressure


def part_description(network: Network, index: int) -> tuple[str, str, str]:
    """Give name, kind of law and source of a part, for tables.

    Parameters
    ----------
    network : Network
        Of the part.
    index : int
        Of the part among all placed ones.

    Returns
    -------
    tuple of str
        Name, law and source; an empty source is none.
    """
    part = network.placed[index].part
    law = loss_law(part)
    return part.name, law.title_of(part), law.source(part)
