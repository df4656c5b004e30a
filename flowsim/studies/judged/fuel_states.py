"""What is in the tanks: the fuel states of the judged set."""

from collections import deque
from dataclasses import dataclass

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.system.tanks import StatedLevel

CLIMB, UNUSABLE = "climb", "unusable"
"""Purposes of fuel states: judged at the required flow; judged at full-power burn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelState:
    """A fuel state: what is in each tank [m3].

    ``emptied`` is the tank (index) that is at its unusable, ``dry`` are those that are empty, their
    vents open.
    """

    name: str
    quantity: tuple[float, ...]
    purpose: str = CLIMB
    emptied: int | None = None
    dry: tuple[int, ...] = ()

    def belongs(self, fed: frozenset[int]) -> bool:
        """Tell whether the state is looked at in a position that feeds from tanks ``fed``.

        One tank emptied or dry matters only where others feed with it.
        """
        if self.emptied is not None and (len(fed) < 2 or self.emptied not in fed):
            return False
        return not self.dry or (fed >= set(self.dry) and len(fed) > len(self.dry))


def fed_tanks(assembly: Assembly, position: int) -> frozenset[int]:
    """Tanks (indices) that a selector position joins to the engine's inlet."""
    network = assembly.network
    is_open = assembly.line_allowed[position] > 0
    tank_of = {node: tank for node, tank, _ in assembly.outlets}
    seen, queue, fed = {assembly.inlet}, deque([assembly.inlet]), set()
    while queue:
        node = queue.popleft()
        for link in np.flatnonzero(is_open & ((network.start == node) | (network.end == node))):
            far = int(network.end[link] if network.start[link] == node else network.start[link])
            if far in tank_of:
                fed.add(tank_of[far])
            elif not network.fixed[far] and far not in seen:
                seen.add(far)
                queue.append(far)
    return frozenset(fed)


def fuel_states(assembly: Assembly) -> tuple[FuelState, ...]:
    """Give the fuel states that are judged.

    Parameters
    ----------
    assembly : Assembly

    Returns
    -------
    tuple of FuelState
        "test quantity" (declared unusable fuel plus what one run of the test draws, in each tank),
        "least take-off fuel", "declared unusable fuel". Where a position feeds from several tanks
        at once, nobody controls which empties first: each of them at its unusable; each of them
        dry, and all of them dry but one, the others holding the test quantity or the declared
        unusable fuel.

    Notes
    -----
    With four tanks or more there are further subsets. Each holds, tank by tank, at least the fuel
    of a state in which one tank alone feeds, and more fuel never gives less flow.
    """
    tanks = assembly.system.tanks
    unusable = tuple(0.0 if tank.unusable is None else tank.unusable for tank in tanks)
    test = tuple(
        0.0 if tank.unusable is None else tank.unusable + assembly.system.test_draw
        for tank in tanks
    )
    takeoff = tuple(0.0 if tank.least_takeoff is None else tank.least_takeoff for tank in tanks)
    dry, emptied = _dry_sets(assembly)
    states = [
        FuelState(name="test quantity", quantity=test),
        FuelState(name="least take-off fuel", quantity=takeoff),
    ]
    for index in emptied:
        mixed = tuple(unusable[i] if i == index else test[i] for i in range(len(tanks)))
        name = f"{tanks[index].name} at its unusable"
        states.append(FuelState(name=name, quantity=mixed, emptied=index))
    words = [" and ".join(tanks[index].name for index in some) + " dry" for some in dry]
    for some, name in zip(dry, words, strict=True):
        states.append(FuelState(name=name, quantity=_without(test, some), dry=some))
    whole = "declared unusable fuel"
    states.append(FuelState(name=whole, quantity=unusable, purpose=UNUSABLE))
    for some, name in zip(dry, words, strict=True):
        left = _without(unusable, some)
        states.append(FuelState(name=f"{whole}, {name}", quantity=left, purpose=UNUSABLE, dry=some))
    return tuple(states)


def _without(quantity: tuple[float, ...], dry: tuple[int, ...]) -> tuple[float, ...]:
    return tuple(0.0 if index in dry else value for index, value in enumerate(quantity))


def _dry_sets(assembly: Assembly) -> tuple[list[tuple[int, ...]], list[int]]:
    """Give the sets of tanks that may be dry while others feed, and all tanks in them."""
    filled = frozenset(
        index
        for index, tank in enumerate(assembly.system.tanks)
        if not isinstance(tank.shape, StatedLevel)
    )
    found: set[tuple[int, ...]] = set()
    for position in range(len(assembly.positions)):
        fed = fed_tanks(assembly, position)
        can = fed & filled
        sets = [frozenset([tank]) for tank in can]
        sets += [can - {tank} for tank in can] if can == fed else [can]
        found |= {tuple(sorted(some)) for some in sets if some and some < fed}
    ordered = sorted(found, key=lambda some: (len(some), some))
    return ordered, sorted({tank for some in found for tank in some})
