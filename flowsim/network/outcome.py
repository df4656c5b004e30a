"""What a solved network says: the loss of each part, flags, pressures."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import Conditions, Factors, nominal_factors
from flowsim.network.elements import Exit, Network, Step
from flowsim.network.laws import part_terms
from flowsim.network.scenarios import Situation
from flowsim.physics import friction
from flowsim.physics.arrays import FloatArray
from flowsim.physics.bore_steps import step_coefficient
from flowsim.physics.losses import (
    evaluate,
    fitted_range,
    outside_range,
    screen_reynolds,
)
from flowsim.physics.losses import reynolds as reynolds_of
from flowsim.system.parts import MeasuredDrop, MinorLoss, OneWayValve, Orifice, Part, Pipe, Screen


@dataclass(frozen=True, slots=True, kw_only=True)
class PartLosses:
    """Per scenario and part (scenario, part).

    ``loss`` [m of liquid], signed as the flow; ``outside`` True where a law was used outside the
    range in which it was measured.
    """

    loss: FloatArray
    outside: npt.NDArray[np.bool_]


def part_losses(
    network: Network, conditions: Conditions, flow: FloatArray, factors: Factors | None = None
) -> PartLosses:
    """Work out what each part costs at given flows.

    Parameters
    ----------
    network : Network
    conditions : Conditions
    flow : FloatArray (scenario, link)
        [m3/s] as solved.
    factors : Factors, optional

    Returns
    -------
    PartLosses
        The losses of a link's parts add up to the head between its nodes.
    """
    factors = nominal_factors(network) if factors is None else factors
    through = flow[:, network.part_link]
    quadratic, linear = part_terms(network, conditions, factors)
    parts = network.coefficients
    acts = np.where(through >= 0, parts.forward, parts.backward)
    loss = (quadratic * acts * np.abs(through) + linear) * through
    outside = np.zeros(loss.shape, dtype=bool)
    _pipe_losses(network, conditions, factors, through, loss, outside)
    _exit_losses(network, conditions, factors, through, loss)
    for index, curve, scale in network.curves:
        drop, _, beyond = evaluate(curve, through[:, index])
        loss[:, index] = drop * scale * factors.loss[:, index]
        outside[:, index] = beyond
    for index, placed in enumerate(network.placed):
        if isinstance(placed.part, OneWayValve):
            head = placed.part.cracking_pressure / (conditions.density * STANDARD_GRAVITY)
            loss[:, index] += np.where(through[:, index] > 0, head, 0.0)
        outside[:, index] |= _beyond_range(placed.part, conditions, through[:, index])
    return PartLosses(loss=loss, outside=outside)


def _beyond_range(
    part: Part | Exit | Step, conditions: Conditions, flow: FloatArray
) -> npt.NDArray[np.bool_]:
    """Tell where a fitting, orifice or screen is used outside the range of its data (scenario,)."""
    size = np.abs(flow)
    if isinstance(part, Screen):
        reynolds = screen_reynolds(part, size, conditions.kinematic_viscosity)
        dirty = np.where(
            np.isnan(conditions.screen_clear), part.clear_fraction, conditions.screen_clear
        )
        return outside_range("screen", reynolds * part.clear_fraction / dirty) & (size > 0)
    if isinstance(part, MinorLoss | Orifice):
        number = reynolds_of(size, part.bore, conditions.kinematic_viscosity)
        low, high = fitted_range(part) or (0.0, np.inf)
        return ((number < low) | (number > high)) & (size > 0)
    return np.zeros(len(flow), dtype=bool)


def _pipe_losses(
    network: Network,
    conditions: Conditions,
    factors: Factors,
    through: FloatArray,
    loss: FloatArray,
    outside: npt.NDArray[np.bool_],
) -> None:
    pipes = network.pipes
    if not len(pipes.part):
        return
    bore = pipes.bore * factors.bore
    area = np.pi * bore**2 / 4
    speed = through[:, pipes.part] / area
    viscosity = conditions.kinematic_viscosity[:, None]
    reynolds = np.abs(speed) * bore / viscosity
    factor, _ = friction.cautious(reynolds, pipes.roughness / bore)
    scale = pipes.length * viscosity / (2 * STANDARD_GRAVITY * bore**2)
    loss[:, pipes.part] = scale * factor * speed * factors.friction[:, None]
    outside[:, pipes.part] = friction.friction_flags(reynolds, pipes.roughness / bore)


def _exit_losses(
    network: Network,
    conditions: Conditions,
    factors: Factors,
    through: FloatArray,
    loss: FloatArray,
) -> None:
    exits = network.exits
    if not len(exits.part):
        return
    area = np.pi * exits.bore**2 / 4
    flow = through[:, exits.part]
    leaving = np.where(flow * exits.sign > 0, np.abs(flow), 0.0)
    reynolds = leaving * exits.bore / (area * conditions.kinematic_viscosity[:, None])
    coefficient, _ = step_coefficient(reynolds, exits.turbulent, exits.laminar)
    head = coefficient * leaving**2 / (2 * STANDARD_GRAVITY * area**2)
    loss[:, exits.part] = exits.sign * head * factors.loss[:, exits.part]


def gauge_pressure(situation: Situation, head: FloatArray) -> FloatArray:
    """Pressure above ambient at every node (scenario, node) [Pa] from heads [m]."""
    weight = situation.density[:, None] * STANDARD_GRAVITY
    pressure: FloatArray = weight * (head - situation.elevation)
    return pressure


def part_description(network: Network, index: int) -> tuple[str, str, str]:
    """Give name, kind of law and source of a part, for tables."""
    part = network.placed[index].part
    if isinstance(part, Pipe):
        law = "fixed friction factor" if part.friction_factor is not None else "cautious friction"
        return part.name, law, part.source
    if isinstance(part, Exit):
        return part.name, "kinetic energy", part.source
    if isinstance(part, Step):
        law = "sudden expansion" if part.widens else "sudden contraction"
        return part.name, law, part.source
    if isinstance(part, MeasuredDrop):
        return part.name, "measured table", part.source
    law = {
        "MinorLoss": "K + K1/Re",
        "FlowCoefficient": "flow coefficient",
        "Orifice": "orifice",
        "Screen": "woven screen",
        "QuadraticLoss": "h = c Q^2",
        "OneWayValve": "one-way valve",
    }[type(part).__name__]
    return part.name, law, part.source
