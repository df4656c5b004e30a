"""Header tanks: which tanks only other tanks fill, and how much flows into them.

A tank feeds the engine directly where open lines lead from it to the engine past no other tank.
Other tanks are so many tanks away. A header tank has behind it a tank that is one more away: what
that one holds reaches the engine only through the header.
"""

from collections import deque
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import DEMAND, Scenarios, Situation, situate
from flowsim.network.solver import Solution, solve
from flowsim.network.standing import standing_columns
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.physics.tank.surface import capacity_of
from flowsim.studies.judged.scenarios import fuel_states
from flowsim.system.tanks import StatedLevel

LEAST_ALONE = 1800.0
"""[s] A tank with a filler that lasts so long on full-power burn is one to be flown on; a smaller
one into which other tanks lead is a header. Half an hour has no source. Tag: common practice."""


@dataclass(frozen=True, slots=True)
class Header:
    """A header tank in one selector position; indices of tank, position and tanks behind it.

    ``behind`` is empty for a tank of stated level that no other tank is joined to. ``direct``: it
    feeds the engine past no other tank. ``inward`` are the links from ``behind`` that end at it.
    """

    tank: int
    position: int
    behind: tuple[int, ...]
    direct: bool
    inward: tuple[int, ...]


def headers_of(assembly: Assembly) -> tuple[Header, ...]:
    """Find the header tanks of every selector position.

    Parameters
    ----------
    assembly : Assembly

    Returns
    -------
    tuple of Header
        By position, then by tank. A tank whose filler is stated is filled by hand and no header, if
        it lasts ``LEAST_ALONE``: a smaller tank is flown on what refills it, cap or no cap. Nor are
        two tanks each of which, in some position, feeds through the other. A tank of
        stated level that feeds the engine is always one: something must keep it there.
    """
    away = [tanks_away(assembly, position) for position in range(len(assembly.positions))]
    found = []
    for position, distance in enumerate(away):
        for tank, steps in sorted(distance.items()):
            found += _header(assembly, position, tank, steps, away)
    return tuple(found)


def _header(
    assembly: Assembly, position: int, tank: int, steps: int, away: list[dict[int, int]]
) -> list[Header]:
    given = assembly.system.tanks[tank]
    stated = isinstance(given.shape, StatedLevel)
    near, inward = _neighbours(assembly, position, tank)
    distance = away[position]
    behind = tuple(
        other for other in sorted(near)
        if distance.get(other, 0) > steps and not _turned_round(away, tank, other)
    )  # fmt: skip
    if not behind and stated:
        tanks = assembly.system.tanks
        beside = [other for other in near if not isinstance(tanks[other].shape, StatedLevel)]
        behind = tuple(sorted(set(beside) & set(distance)))
    if _filled_by_hand(assembly, tank) or not (behind or stated):
        return []
    links = tuple(link for link, reached in inward.items() if reached & set(behind))
    return [Header(tank, position, behind, steps == 0, links)]


def _filled_by_hand(assembly: Assembly, tank: int) -> bool:
    """Whether a tank with a filler holds enough to be flown on its own."""
    return assembly.system.tanks[tank].filler is not None and lasts_alone(assembly, tank)


def lasts_alone(assembly: Assembly, tank: int) -> bool:
    """Tell whether a tank holds enough to be flown on its own: half an hour at full power.

    Parameters
    ----------
    assembly : Assembly
    tank : int
        Its index.

    Returns
    -------
    bool
        False for one of stated level.
    """
    system = assembly.system
    shape = system.tanks[tank].shape
    capacity = None if isinstance(shape, StatedLevel) else capacity_of(shape)
    if capacity is None:
        return False
    return capacity * system.fuel.density_15 >= LEAST_ALONE * system.engine.burn


def _turned_round(away: list[dict[int, int]], tank: int, other: int) -> bool:
    """Whether in some position it is the other tank through which this one feeds."""
    return any(
        tank in distance and other in distance and distance[other] < distance[tank]
        for distance in away
    )


def tanks_away(assembly: Assembly, position: int) -> dict[int, int]:
    """Give for each tank that reaches the engine how many other tanks lie between (tank: count)."""
    node_of: dict[int, list[int]] = {}
    for node, tank, _ in assembly.outlets:
        node_of.setdefault(tank, []).append(node)
    distance: dict[int, int] = {}
    front, steps = _reached(assembly, position, [assembly.inlet]), 0
    while front:
        distance.update(dict.fromkeys(front, steps))
        nodes = [node for tank in front for node in node_of[tank]]
        front = _reached(assembly, position, nodes) - set(distance)
        steps += 1
    return distance


def _neighbours(
    assembly: Assembly, position: int, tank: int
) -> tuple[set[int], dict[int, set[int]]]:
    """Tanks joined to a tank past no other, in all and through each of the links at its outlets."""
    network = assembly.network
    through: dict[int, set[int]] = {}
    for node, owner, _ in assembly.outlets:
        if owner != tank:
            continue
        for link in range(assembly.open_link):
            if node in (network.start[link], network.end[link]):
                found = _reached(assembly, position, [node], only=link) - {tank}
                through[link] = through.get(link, set()) | found
    return set().union(*through.values()) if through else set(), through


def _reached(
    assembly: Assembly, position: int, nodes: list[int], *, only: int | None = None
) -> set[int]:
    """Tanks that open lines join to some nodes past no other tank; the first link may be given."""
    network = assembly.network
    is_open = assembly.line_allowed[position] > 0
    tank_of = {node: tank for node, tank, _ in assembly.outlets}
    seen, queue, found = set(nodes), deque(nodes), set()
    while queue:
        node = queue.popleft()
        for link in np.flatnonzero(is_open & ((network.start == node) | (network.end == node))):
            if node in nodes and only is not None and link != only:
                continue
            far = int(network.end[link] if network.start[link] == node else network.start[link])
            if far in tank_of:
                found.add(tank_of[far])
            elif not network.fixed[far] and far not in seen:
                seen.add(far)
                queue.append(far)
    return found


def refill_states(assembly: Assembly, header: Header) -> tuple[tuple[str, tuple[float, ...]], ...]:
    """Give the fuel states in which a header must be refilled: name, fuel in each tank [m3].

    Parameters
    ----------
    assembly : Assembly
    header : Header

    Returns
    -------
    tuple of (str, tuple of float)
        The test quantity, the least take-off fuel, and the test quantity with each of several
        tanks behind dry (nobody controls which empties first). Headers hold their test quantity in
        all of them: they are filled by others alone, and a fuller one takes in less.
    """
    test, takeoff = (list(state.quantity) for state in fuel_states(assembly)[:2])
    for tank in {item.tank for item in headers_of(assembly)}:
        takeoff[tank] = test[tank]
    states = [("test quantity", tuple(test)), ("least take-off fuel", tuple(takeoff))]
    if len(header.behind) > 1:
        for tank in header.behind:
            dry = tuple(0.0 if index == tank else value for index, value in enumerate(test))
            states.append((f"{assembly.system.tanks[tank].name} dry", dry))
    return tuple(states)


def with_demand_of(scenarios: Scenarios, burn: FloatArray) -> Scenarios:
    """Give the same scenarios with ``burn`` (scenario,) [kg/s] drawn at the engine's inlet."""
    count = scenarios.count
    return replace(scenarios, end=np.full(count, DEMAND, dtype=np.intp), demand=burn, dip_flow=burn)


def refill_of(
    assembly: Assembly, header: Header, solution: Solution, drawn: FloatArray
) -> FloatArray:
    """Give the flow that keeps a header filled while the engine draws.

    Parameters
    ----------
    assembly : Assembly
    header : Header
    solution : Solution
        With ``drawn`` taken at the inlet, all scenarios in the header's position.
    drawn : FloatArray (scenario,)
        [m3/s]

    Returns
    -------
    FloatArray (scenario,)
        [m3/s] from the tanks behind, into the header or past it to the engine; less than nothing
        where it runs back into them. NaN where the solve failed or the header gives nothing.
    """
    network = assembly.network
    net = np.zeros(len(drawn))
    for node, tank, _ in assembly.outlets:
        if tank != header.tank:
            continue
        for link in range(assembly.open_link):
            if not header.direct and link not in header.inward:
                continue
            if network.end[link] == node:
                net += solution.flow[:, link]
            if network.start[link] == node:
                net -= solution.flow[:, link]
    # While the engine draws its burn, the header changes by the refill less the burn.
    refill = net + drawn if header.direct else net
    return np.where(solution.converged & solution.supplied, refill, np.nan)


def air_behind(
    assembly: Assembly, header: Header, situation: Situation, solution: Solution
) -> BoolArray:
    """Tell where air may come in through a bare outlet of a tank behind a header (scenario,)."""
    columns = standing_columns(assembly, situation, solution)
    mine: npt.NDArray[np.bool_] = np.array(
        [tank in header.behind for _, tank, _ in assembly.outlets], dtype=bool
    )
    with np.errstate(invalid="ignore"):
        return np.asarray((columns[:, mine] < 0.0).any(axis=1))


def solved(assembly: Assembly, scenarios: Scenarios) -> tuple[Situation, Solution]:
    """Work out scenarios whose demand is set, and solve them."""
    situation = situate(assembly, scenarios)
    return situation, solve(assembly.network, situation.conditions)
