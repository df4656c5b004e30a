"""Humps: what air behind high points could hold back, and whether the flow clears it."""

from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.routes import Leg, hump_legs
from flowsim.network.scenarios import Situation
from flowsim.network.solver import solve
from flowsim.network.standing import STILL
from flowsim.physics.air.trapped import HumpState, hump_clears
from flowsim.physics.arrays import FloatArray
from flowsim.studies.delivery.deliver import Delivery, deliver, take
from flowsim.studies.sampling.cautious_end import at_cautious_end
from flowsim.studies.saying import Said, saying

SURFACE_TENSION = 0.0216
"""[N/m] That of octane at 20 degC, for gasoline; heptane has 20.1, toluene 28.5 (a table, read). It
acts only in the lower clearing law. Tag: estimate."""

Legs = tuple[Leg, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TrappedAir:
    """Per scenario of the situation it was made for.

    ``held_head`` (scenario, link) [m] of the legs that are not shown to clear, signed as the flow
    that it acts on; ``humps`` names them with what is known; ``flow`` [m3/s] with that head taken
    off (equal to that of full lines where nothing is held); ``doubtful``: one of them may be none,
    as the heights are known.
    """

    held_head: FloatArray
    humps: tuple[tuple[Said, ...], ...]
    flow: FloatArray
    doubtful: tuple[bool, ...]

    @property
    def held(self) -> FloatArray:
        """Head held back on all links together (scenario,) [m]."""
        total: FloatArray = np.abs(self.held_head).sum(axis=1)
        return total


@dataclass(frozen=True, slots=True, kw_only=True)
class JudgedLegs:
    """Legs behind humps of some scenarios, and what is known of each.

    ``flow`` (scenario, link) [m3/s] is what is left with the air of all of them in place.
    """

    legs: tuple[Legs, ...]
    states: tuple[tuple[HumpState, ...], ...]
    flow: FloatArray

    def staying(self, index: int) -> Legs:
        """Legs of one scenario that the flow does not surely clear."""
        pairs = zip(self.legs[index], self.states[index], strict=True)
        return tuple(leg for leg, state in pairs if state != HumpState.CLEARS)


def trapped_air(assembly: Assembly, situation: Situation, full: Delivery) -> TrappedAir:
    """Find humps in every scenario and work out the flow with their air still in place.

    Worst case: every leg behind a high point is full of air (docs/theory/air.md).

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
    flow = full.deliverable.copy()
    links = len(assembly.network.links)
    humps: list[tuple[Said, ...]] = [()] * len(flow)
    doubtful = [False] * len(flow)
    held = np.zeros((len(flow), links))
    legs = legs_of(assembly, situation)
    rows = np.array([row for row, some in enumerate(legs) if some], dtype=np.intp)
    if not len(rows):
        return TrappedAir(held_head=held, humps=tuple(humps), flow=flow, doubtful=tuple(doubtful))
    way = ways_of(full.solution.flow[rows])
    found = judged_legs(assembly, take(situation, rows), way, [legs[row] for row in rows])
    for number, row in enumerate(rows):
        held[row] = held_heads(links, [found.staying(number)], way[number : number + 1])[0]
        humps[row], doubtful[row] = _words(found.legs[number], found.states[number])
    partly = rows[np.abs(held[rows]).sum(axis=1) > 0]
    if len(partly):
        again = deliver(assembly, with_held_head(take(situation, partly), held[partly]))
        flow[partly] = again.deliverable
    return TrappedAir(held_head=held, humps=tuple(humps), flow=flow, doubtful=tuple(doubtful))


def judged_legs(
    assembly: Assembly, situation: Situation, way: FloatArray, legs: list[Legs]
) -> JudgedLegs:
    """Judge legs behind humps at the flow that is left with all their air in place.

    Never at the flow of a full line. "Clears" has to hold with every uncertain thing at its
    unfavourable end, so that it holds in the joint draws; "will not clear" is judged as stated.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation
    way : FloatArray (scenario, link)
        [m3/s] Flows of full lines: they tell which way each line runs.
    legs : list of tuple of Leg
        Of the same scenarios.

    Returns
    -------
    JudgedLegs
        With only those legs down which fuel runs.
    """
    kept = [tuple(leg for leg in some if runs_down(leg, way[row])) for row, some in enumerate(legs)]
    trapped = with_held_head(situation, held_heads(way.shape[1], kept, way))
    # Where air would be drawn from a bare leg is no question here: the solved flows are enough.
    stated = solve(assembly.network, trapped.conditions).flow
    worse, factors = at_cautious_end(assembly, trapped)
    least = solve(assembly.network, worse.conditions, factors).flow
    density = situation.density
    states = [
        tuple(_state(one, other) for one, other in zip(sure, likely, strict=True))
        for sure, likely in zip(
            leg_states(kept, least, density), leg_states(kept, stated, density), strict=True
        )
    ]
    return JudgedLegs(legs=tuple(kept), states=tuple(states), flow=stated)


def _state(sure: HumpState, likely: HumpState) -> HumpState:
    """Join what holds at the unfavourable end of everything and what holds as stated."""
    if likely == HumpState.WILL_NOT_CLEAR:
        return likely
    return HumpState.CLEARS if sure == HumpState.CLEARS else HumpState.UNCERTAIN


def ways_of(flow: FloatArray) -> FloatArray:
    """Tell which way each line runs: ``flow`` [m3/s] with none where it is rounding."""
    return np.where(np.abs(flow) > STILL, flow, 0.0)


def runs_down(leg: Leg, flow: FloatArray) -> bool:
    """Tell whether fuel runs down a leg, or may: ``flow`` (link,) [m3/s]; still lines may."""
    through = float(flow[leg.link])
    return not (through > 0.0 if leg.is_back else through < 0.0)


def with_held_head(situation: Situation, held: FloatArray) -> Situation:
    """Give the same situation with ``held`` (scenario, link) [m] to be overcome in each line."""
    return replace(situation, conditions=replace(situation.conditions, held_head=held))


def legs_of(assembly: Assembly, situation: Situation) -> list[Legs]:
    """Legs behind humps for every scenario; each attitude and open pattern is worked out once."""
    known: dict[bytes, Legs] = {}
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


def held_heads(links: int, legs: list[Legs], way: FloatArray) -> FloatArray:
    """Give the head (scenario, link) [m] that legs full of air hold back, signed as the flow.

    ``way`` (scenario, link) [m3/s] tells which way each line runs. Of a line that stands still, the
    way on which more is held counts.
    """
    held = np.zeros((2, len(legs), links))
    for row, some in enumerate(legs):
        for leg in some:
            held[int(leg.is_back), row, leg.link] += leg.fall
    forward, back = held
    runs_back: npt.NDArray[np.bool_] = (way < 0) | (~(way > 0) & (back > forward))
    return np.where(runs_back, -back, forward)


def leg_states(
    legs: list[Legs], flow: FloatArray, density: FloatArray
) -> list[tuple[HumpState, ...]]:
    """Tell for each leg of some scenarios whether the flow clears it of air.

    Parameters
    ----------
    legs : list of tuple of Leg
        Of each scenario.
    flow : FloatArray (scenario, link)
        [m3/s] Flows that are left with the air in place.
    density : FloatArray (scenario,)
        Of the fuel [kg/m3].

    Returns
    -------
    list of tuple of HumpState
        Of each scenario, in the order of its legs.
    """
    all_legs = [(row, leg) for row, some in enumerate(legs) for leg in some]
    rows = np.array([row for row, _ in all_legs], dtype=np.intp)
    links = np.array([leg.link for _, leg in all_legs], dtype=np.intp)
    bore = np.array([leg.bore for _, leg in all_legs])
    sign = np.array([-1.0 if leg.is_back else 1.0 for _, leg in all_legs])
    slope = np.array([leg.slope for _, leg in all_legs])
    velocity = sign * flow[rows, links] / (np.pi * bore**2 / 4)
    numbers = hump_clears(velocity, bore, slope, density[rows], SURFACE_TENSION).tolist()
    found, at = [], 0
    for some in legs:
        found.append(tuple(HumpState(number) for number in numbers[at : at + len(some)]))
        at += len(some)
    return found


def _words(legs: Legs, states: tuple[HumpState, ...]) -> tuple[tuple[Said, ...], bool]:
    """Name the humps that are not surely cleared, each with the worst of its legs.

    And tell whether one of them may be none.
    """
    worst: dict[str, tuple[HumpState, bool]] = {}
    for leg, state in zip(legs, states, strict=True):
        if state != HumpState.CLEARS:
            before = worst.get(leg.high_point, (state, True))
            worst[leg.high_point] = (max(state, before[0]), leg.is_doubtful and before[1])
    names = tuple(hump_said(point, *found) for point, found in worst.items())
    return names, any(is_doubtful for _, is_doubtful in worst.values())


def hump_said(point: str, state: HumpState, is_doubtful: bool = False) -> Said:
    """Say of a hump that is not surely cleared what its air does, and whether it may be none."""
    if state == HumpState.UNCERTAIN:
        return saying(
            "trapped_air.uncertain_if_one" if is_doubtful else "trapped_air.uncertain_clear",
            point=point,
        )
    return saying(
        "trapped_air.will_not_if_one" if is_doubtful else "trapped_air.will_not_clear", point=point
    )
