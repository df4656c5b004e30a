"""What is uncovered, full, starved: the things that change at an instant, and their events."""

from dataclasses import dataclass

import numpy as np

from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.studies.flight.model import FlightFlows, PhaseModel
from flowsim.studies.flight.result import (
    COVERED,
    EMPTY,
    FED,
    INFLOW,
    INFLOW_ENDS,
    OVERFLOW,
    OVERFLOW_ENDS,
    REQUIRED_BACK,
    REQUIRED_LOST,
    STARVED,
    UNCOVERS,
)

RECOVER = 0.002
"""[m] An outlet counts as covered again when the fuel stands so much higher than where it
uncovered, so that it does not chatter. No fuel is lost or made by it."""
INFLOW_LEAST = 1e-5
"""[kg/s] 36 g/h: a slower flow into a tank is not worth a word."""
NEAR = 1e-7
"""[m], and [kg/s] over ten thousand: what counts as the same instant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Modes:
    """``bare`` (outlet,), ``full`` and ``inflow`` (tank,); ``starved`` and ``short`` of required.

    A ``full`` tank loses through its vent whatever runs into it.
    """

    bare: BoolArray
    full: BoolArray
    inflow: BoolArray
    starved: bool
    short: bool


def gauges(
    model: PhaseModel, modes: Modes, quantity: FloatArray, flows: FlightFlows
) -> tuple[FloatArray, FloatArray]:
    """Give functions of the state that fall through zero when a mode changes.

    Parameters
    ----------
    model : PhaseModel
    modes : Modes
        As they are now.
    quantity : FloatArray (tank,)
        [m3]
    flows : FlightFlows
        At that quantity, with these modes.

    Returns
    -------
    values : FloatArray (gauge,)
        In the order outlets, tanks (full), tanks (inflow), burn, required; +1 where a mode cannot
        change.
    near : FloatArray (gauge,)
        How close to zero counts as there.
    """
    cover = model.cover(quantity[None, :])[0]
    out = flows.from_tank[0]
    outlets = np.where(modes.bare, RECOVER - cover, cover)
    outlets = np.where(model.in_use & ~model.stated[model.tank_of], outlets, 1.0)
    room = np.where(out < 0.0, model.limit - quantity, np.maximum(model.limit - quantity, 1e-9))
    full = np.where(modes.full, -out, room)
    full = np.where(model.stated, 1.0, full)
    inflow = np.where(modes.inflow, -out - 0.5 * INFLOW_LEAST, out + INFLOW_LEAST)
    margins = np.array([flows.margin[0], flows.required_margin[0]])
    lost = np.array([modes.starved, modes.short])
    margins = np.where(lost, -margins, margins)
    margins = np.where(np.isfinite(margins), margins, 1.0)
    near = np.concatenate(
        [
            np.full(len(outlets), NEAR),
            np.where(modes.full, 1e-4 * NEAR, 1e-12),
            np.full(len(inflow), 1e-4 * NEAR),
            np.full(2, NEAR),
        ]
    )
    return np.concatenate([outlets, full, inflow, margins]), near


def start_modes(model: PhaseModel, quantity: FloatArray) -> Modes:
    """Work out the modes afresh, at the start of a phase."""
    cover = model.cover(quantity[None, :])[0]
    bare = ~(cover > NEAR) & ~model.stated[model.tank_of]
    flows = model.flows(quantity[None, :], bare)
    out = flows.from_tank[0]
    full = (quantity >= model.limit - 1e-12) & (out < 0.0) & ~model.stated
    return Modes(
        bare=bare,
        full=full,
        inflow=out < -INFLOW_LEAST,
        starved=bool(flows.margin[0] < 0.0),
        short=bool(flows.required_margin[0] < 0.0),
    )


def flipped(model: PhaseModel, modes: Modes, which: BoolArray) -> Modes:
    """Change the modes of the gauges ``which`` (gauge,)."""
    outlets, tanks = len(modes.bare), len(modes.full)
    parts = np.split(which, [outlets, outlets + tanks, outlets + 2 * tanks])
    return Modes(
        bare=modes.bare ^ parts[0],
        full=(modes.full ^ parts[1]) & ~model.stated,
        inflow=modes.inflow ^ parts[2],
        starved=modes.starved ^ bool(parts[3][0]),
        short=modes.short ^ bool(parts[3][1]),
    )


def changes(model: PhaseModel, before: Modes, after: Modes) -> list[tuple[str, str]]:
    """Put the difference of two sets of modes into words: what, and the tank or outlet."""
    system = model.assembly.system
    tanks = [tank.name for tank in system.tanks]
    found: list[tuple[str, str]] = []
    for column, (_, tank, outlet) in enumerate(model.assembly.outlets):
        if before.bare[column] != after.bare[column] and model.in_use[column]:
            what = UNCOVERS if after.bare[column] else COVERED
            found.append((what, f"{tanks[tank]}.{outlet.name}"))
    for index, name in enumerate(tanks):
        mine = (model.tank_of == index) & model.in_use
        if mine.any() and after.bare[mine].all() and not before.bare[mine].all():
            found.append((EMPTY, name))
        if before.full[index] != after.full[index]:
            found.append((OVERFLOW if after.full[index] else OVERFLOW_ENDS, name))
        if before.inflow[index] != after.inflow[index]:
            found.append((INFLOW if after.inflow[index] else INFLOW_ENDS, name))
    if model.phase.burn == 0.0:  # nothing is asked for
        return found
    if before.short != after.short:
        found.append((REQUIRED_LOST if after.short else REQUIRED_BACK, "engine"))
    if before.starved != after.starved:
        found.append((STARVED if after.starved else FED, "engine"))
    return found
