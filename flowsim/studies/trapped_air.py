"""Humps: what air behind high points could hold back, and whether the flow clears it."""

from dataclasses import dataclass, replace

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.network.outcome import link_bore
from flowsim.network.routes import Leg, hump_legs
from flowsim.network.scenarios import Situation
from flowsim.physics.air import HumpState, hump_clears
from flowsim.physics.arrays import FloatArray
from flowsim.studies.deliver import Delivery, deliver, take

SURFACE_TENSION = 0.0216
"""[N/m] That of octane at 20 degC, for gasoline; heptane has 20.1, toluene 28.5 (a table, read). It
acts only in the lower clearing law. Tag: estimate."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrappedAir:
    """Per scenario of the situation it was made for.

    ``held_head`` (scenario, link) [m] of the legs that are not shown to clear; ``humps`` names them
    with what is known; ``delivery`` the flows with that head taken off (equal to those of full
    lines where nothing is held).
    """

    held_head: FloatArray
    humps: tuple[tuple[str, ...], ...]
    flow: FloatArray

    @property
    def held(self) -> FloatArray:
        """Head held back on all links together (scenario,) [m]."""
        total: FloatArray = self.held_head.sum(axis=1)
        return total


def trapped_air(assembly: Assembly, situation: Situation, full: Delivery) -> TrappedAir:
    """Find humps in every scenario and work out the flow with their air still in place.

    Clearing is judged at the flow that is left with all that head taken off, never at the flow of
    a full line (docs/theory/air.md). Worst case: every leg behind a high point is full of air.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation
    full : Delivery
        Flows of the same scenarios with lines full of fuel.

    Returns
    -------
    TrappedAir
    """
    legs = legs_of(assembly, situation)
    held = held_heads(assembly, legs)
    flow = full.deliverable.copy()
    humps: list[tuple[str, ...]] = [()] * len(flow)
    rows = np.flatnonzero(held.sum(axis=1) > 0)
    if not len(rows):
        return TrappedAir(held_head=held, humps=tuple(humps), flow=flow)
    reduced = deliver(assembly, with_held_head(take(situation, rows), held[rows]))
    for number, row in enumerate(rows):
        left, names = _uncleared(
            assembly, legs[row], reduced.solution.flow[number], float(situation.density[row])
        )
        held[row] = held_heads(assembly, [left])[0]
        humps[row] = names
    partly = rows[held[rows].sum(axis=1) > 0]
    if len(partly):
        again = deliver(assembly, with_held_head(take(situation, partly), held[partly]))
        flow[partly] = again.deliverable
    return TrappedAir(held_head=held, humps=tuple(humps), flow=flow)


def with_held_head(situation: Situation, held: FloatArray) -> Situation:
    """Give the same situation with ``held`` (scenario, link) [m] to be overcome in each line."""
    return replace(situation, conditions=replace(situation.conditions, held_head=held))


def legs_of(assembly: Assembly, situation: Situation) -> list[tuple[Leg, ...]]:
    """Legs behind humps for every scenario; each attitude and open pattern is worked out once."""
    known: dict[bytes, tuple[Leg, ...]] = {}
    found = []
    covered = ~situation.uncovered
    allowed = situation.conditions.allowed
    gravity = situation.scenarios.gravity
    for row in range(len(gravity)):
        pattern = allowed[row, : assembly.open_link]
        key = gravity[row].tobytes() + pattern.tobytes() + covered[row].tobytes()
        if key not in known:
            known[key] = hump_legs(assembly, pattern, covered[row], gravity[row])
        found.append(known[key])
    return found


def held_heads(assembly: Assembly, legs: list[tuple[Leg, ...]]) -> FloatArray:
    """Give the head (scenario, link) [m] that legs full of air hold back."""
    held = np.zeros((len(legs), len(assembly.network.links)))
    for row, some in enumerate(legs):
        for leg in some:
            held[row, leg.link] += leg.fall
    return held


def leg_states(
    assembly: Assembly, legs: tuple[Leg, ...], flow: FloatArray, density: float
) -> tuple[HumpState, ...]:
    """Tell for each leg whether a flow clears it of air.

    Parameters
    ----------
    assembly : Assembly
    legs : tuple of Leg
    flow : FloatArray (link,)
        [m3/s] Flows that are left with the air in place.
    density : float
        Of the fuel [kg/m3].

    Returns
    -------
    tuple of HumpState
    """
    bores = link_bore(assembly.network)
    states = []
    for leg in legs:
        bore = float(bores[leg.link])
        velocity = abs(float(flow[leg.link])) / (np.pi * bore**2 / 4)
        state = hump_clears(velocity, bore, leg.slope, density, SURFACE_TENSION)
        states.append(HumpState(int(state)))
    return tuple(states)


def _uncleared(
    assembly: Assembly, legs: tuple[Leg, ...], flow: FloatArray, density: float
) -> tuple[tuple[Leg, ...], tuple[str, ...]]:
    """Legs that the flow does not surely clear, and words for their humps."""
    left: list[Leg] = []
    words: dict[str, str] = {}
    for leg, state in zip(legs, leg_states(assembly, legs, flow, density), strict=True):
        if state == HumpState.CLEARS:
            continue
        left.append(leg)
        told = "will not clear" if state == HumpState.WILL_NOT_CLEAR else "uncertain to clear"
        words.setdefault(leg.high_point, told)
        if state == HumpState.WILL_NOT_CLEAR:
            words[leg.high_point] = told
    return tuple(left), tuple(f"{point}: {told}" for point, told in words.items())
