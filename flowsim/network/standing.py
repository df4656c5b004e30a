"""Legs whose outlet is uncovered: they carry nothing, and fuel stands in them above a junction.

Law: docs/theory/air.md. The static pressure at the first flowing junction decides: while it is
above the tank's own air pressure, fuel stands in the leg; when it falls to it, air is drawn.
"""

from collections import deque
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.assembly import Assembly
from flowsim.network.balance import LEAST_FLOW
from flowsim.network.elements import Network
from flowsim.network.patterns import alike_rows
from flowsim.network.scenarios import Situation
from flowsim.network.solver import Solution
from flowsim.physics.air.dips import air_margin_least
from flowsim.physics.arrays import FloatArray
from flowsim.physics.losses.round_bore import velocity

STILL = LEAST_FLOW
"""[m3/s] Flow below which a link counts as standing still: less is rounding (0.4 mL/h is 1e-10)."""

MOVING = 2
"""Code of a line that flows; 1 is open and still, 0 closed."""
DRAWN = 1e6
"""[m] More than any column: puts those below zero ahead of all others."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Fuel that stands in uncovered legs, both (scenario, outlet) [m].

    ``height`` above the first flowing junction, with one velocity head of its fastest leg taken
    off, because the static pressure there decides. Negative: air is drawn. NaN for covered outlets
    and where a leg meets no flow (nothing moves that could draw air). ``least`` is what it must be
    to be called clear of air, at that junction.
    """

    height: FloatArray
    least: FloatArray


def standing_columns(assembly: Assembly, situation: Situation, solution: Solution) -> FloatArray:
    """Height of fuel standing in each uncovered leg: ``Standing.height`` (scenario, outlet) [m].

    Parameters
    ----------
    assembly : Assembly
        Of the system.
    situation : Situation
        What was solved.
    solution : Solution
        Its flows.

    Returns
    -------
    FloatArray (scenario, outlet)
        [m]
    """
    return standing(assembly, situation, solution).height


def standing(assembly: Assembly, situation: Situation, solution: Solution) -> Standing:
    """Find the fuel that stands in each uncovered leg above its first flowing junction.

    Parameters
    ----------
    assembly : Assembly
    situation, solution
        Of the same scenarios.

    Returns
    -------
    Standing
        Velocity heads are those of the narrowest bore of each leg at the junction itself: of the
        tee's own leg, or of the last piece of the line that is screwed to it. Of several junctions
        the worst. NaN also where a leg is not joined to the engine's inlet: what moves there is
        not the engine's fuel.
    """
    height = np.full(situation.cover.shape, np.nan)
    least = height.copy()
    column = situation.tank_pressure / (situation.density[:, None] * STANDARD_GRAVITY)
    bare = situation.uncovered & ~np.isnan(situation.cover)
    open_line = assembly.line_allowed[situation.scenarios.position] > 0
    rows = np.flatnonzero(bare.any(axis=1) & solution.converged & solution.supplied)
    if not len(rows):
        return Standing(height=height, least=least)
    moving = np.abs(solution.flow[rows]) > STILL
    state = np.where(moving, MOVING, open_line[rows]).astype(np.int8)
    state[:, assembly.open_link :] = MOVING * moving[:, assembly.open_link :]
    for group in alike_rows(state):
        members, pattern = rows[group], state[group[0]]
        for index, (node, tank, _) in enumerate(assembly.outlets):
            here = members[bare[members, index]]
            if not len(here):
                continue
            for junction in _junctions(assembly, pattern, node):
                at = here, junction.node
                above = solution.head[at] - situation.elevation[at]
                fastest, wanted = junction.at(solution.flow[here])
                value = above - column[here, tank] - fastest
                worse = ~(rank(value, wanted) >= rank(height[here, index], least[here, index]))
                height[here, index] = np.where(worse, value, height[here, index])
                least[here, index] = np.where(worse, wanted, least[here, index])
    return Standing(height=height, least=least)


def rank(height: FloatArray, least: FloatArray) -> FloatArray:
    """Order columns by how bad they are: those below zero first, then by what they lack.

    Parameters
    ----------
    height, least : FloatArray
        [m], one shape.

    Returns
    -------
    FloatArray
        [m], the same shape: the lower, the worse; NaN where there is no column.
    """
    return np.where(height < 0, height - DRAWN, height - least)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Junction:
    """A junction over which fuel stands: its legs' narrowest bores [m] there, and the links.

    ``least`` [m] is the least column that the widest of their bores asks for at rest.
    """

    node: int
    links: tuple[int, ...]
    bores: tuple[float, ...]
    least: float

    def at(self, flow: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Greatest velocity head of a leg (scenario,) [m], and the least column there [m]."""
        fastest = np.zeros(len(flow))
        for link, bore in zip(self.links, self.bores, strict=True):
            head = velocity(flow[:, link], bore) ** 2 / (2.0 * STANDARD_GRAVITY)
            fastest = np.maximum(fastest, head)
        # A wider bore has no greater velocity head than the narrowest of the leg.
        return fastest, np.maximum(self.least, fastest)


_KNOWN: WeakKeyDictionary[Assembly, dict[tuple[int, bytes], tuple[_Junction, ...]]] = (
    WeakKeyDictionary()
)
"""Junctions of an outlet in a pattern of moving lines: draws ask for the same ones again."""


def _junctions(
    assembly: Assembly, pattern: npt.NDArray[np.int8], outlet: int
) -> tuple[_Junction, ...]:
    """Give the first flowing junctions below an outlet; none where it is not joined to the inlet.

    ``pattern`` (link,): 0 closed, 1 open but still, 2 moving.
    """
    known = _KNOWN.setdefault(assembly, {})
    key = outlet, pattern.tobytes()
    if key not in known:
        network = assembly.network
        joined = outlet in joined_nodes(network, pattern > 0, assembly.inlet)
        nodes = _first_flowing(network, pattern, outlet) if joined else []
        known[key] = tuple(_junction(assembly, pattern, node) for node in nodes)
    return known[key]


def _junction(assembly: Assembly, pattern: npt.NDArray[np.int8], node: int) -> _Junction:
    network = assembly.network
    smallest, largest = assembly.port_bores
    legs = [
        (int(link), float(smallest[link, side]), float(largest[link, side]))
        for side, ends in enumerate((network.start, network.end))
        for link in np.flatnonzero((ends == node) & (pattern > 0))
    ]
    return _Junction(
        node=node,
        links=tuple(link for link, _, _ in legs),
        bores=tuple(bore for _, bore, _ in legs),
        least=max(float(air_margin_least(wide, 0.0)) for _, _, wide in legs),
    )


def joined_nodes(network: Network, is_open: npt.NDArray[np.bool_], inlet: int) -> frozenset[int]:
    """Give the nodes that open links join to the inlet; nothing is joined through a fixed node.

    Parameters
    ----------
    network : Network
    is_open : array of bool (link,)
        Links that fuel may pass.
    inlet : int
        Node to begin at.

    Returns
    -------
    frozenset of int
        With the inlet itself, and the fixed nodes that are reached.
    """
    seen, queue = {inlet}, deque([inlet])
    while queue:
        node = queue.popleft()
        for link in np.flatnonzero(is_open & ((network.start == node) | (network.end == node))):
            far = int(network.end[link] if network.start[link] == node else network.start[link])
            if far not in seen:
                seen.add(far)
                if not network.fixed[far]:
                    queue.append(far)
    return frozenset(seen)


def _first_flowing(network: Network, pattern: npt.NDArray[np.int8], outlet: int) -> list[int]:
    """Junctions that flow and are joined to ``outlet`` by standing links alone.

    ``pattern`` (link,): 0 closed, 1 open but still, 2 moving.
    """
    found: list[int] = []
    seen = {outlet}
    queue = deque([outlet])
    while queue:
        node = queue.popleft()
        touches = (network.start == node) | (network.end == node)
        if node != outlet and (pattern[touches] == MOVING).any():
            found.append(node)
            continue
        for link in np.flatnonzero(touches & (pattern == 1)):
            far = int(network.end[link] if network.start[link] == node else network.start[link])
            if far not in seen and not network.fixed[far]:
                seen.add(far)
                queue.append(far)
    return found
