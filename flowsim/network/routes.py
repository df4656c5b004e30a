"""The course of the lines in a given attitude: stations, heights, and humps that may hold air."""

from collections.abc import Iterator
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.physics.arrays import FloatArray

LEVEL_ENOUGH = 1e-6
"""[m] Differences in height below this are rounding, not humps."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A leg that falls, along the flow, from a high point: one stretch of one line.

    ``link`` and ``stretch`` (number of the stretch along the line) identify it; ``fall`` [m] its
    height, ``slope`` [rad] below the horizontal, ``high_point`` names the hump it hangs on:
    the point ``high_index`` of the stations of the line ``high_link``.
    """

    link: int
    stretch: int
    fall: float
    slope: float
    high_point: str
    high_link: int
    high_index: int


Path = tuple[tuple[int, bool], ...]
"""Links of a way in the order in which fuel meets them, each with whether it is passed back."""

_KNOWN: WeakKeyDictionary[Assembly, dict[tuple[bytes, int], tuple[Path, ...]]] = WeakKeyDictionary()


def paths(assembly: Assembly, allowed: npt.NDArray[np.int8], source: int) -> tuple[Path, ...]:
    """Every way from node ``source`` to the inlet along open lines, as (link, reversed) pairs.

    Ways do not lead through other tanks or twice through a node. What was found is remembered.
    """
    known = _KNOWN.setdefault(assembly, {})
    key = (allowed.tobytes(), source)
    if key not in known:
        known[key] = tuple(_paths(assembly, allowed, source))
    return known[key]


def _paths(assembly: Assembly, allowed: npt.NDArray[np.int8], source: int) -> Iterator[Path]:
    network = assembly.network
    around: dict[int, list[tuple[int, bool, int]]] = {}
    for link in range(len(assembly.system.lines)):
        start, end = int(network.start[link]), int(network.end[link])
        for near, far, turned, bit in ((start, end, False, FORWARD), (end, start, True, BACKWARD)):
            if allowed[link] & bit and not network.fixed[far]:
                around.setdefault(near, []).append((link, turned, far))

    def walk(node: int, seen: frozenset[int]) -> Iterator[Path]:
        if node == assembly.inlet:
            yield ()
            return
        for link, turned, far in around.get(node, ()):
            if far not in seen:
                for rest in walk(far, seen | {far}):
                    yield ((link, turned), *rest)

    yield from walk(source, frozenset({source}))


def hump_legs(
    assembly: Assembly,
    allowed: npt.NDArray[np.int8],
    covered: npt.NDArray[np.bool_],
    gravity: FloatArray,
) -> tuple[Leg, ...]:
    """Legs behind local high points on any way from a covered outlet to the inlet.

    Parameters
    ----------
    assembly : Assembly
    allowed : (link,)
        Open directions.
    covered : (outlet,)
        Which outlets feed.
    gravity : FloatArray (3,)
        Effective gravity over g0.

    Returns
    -------
    tuple of Leg
        Each stretch once, however many ways pass over it. A way that only falls, or rises only to
        the inlet itself, has none.
    """
    found: dict[tuple[int, int], Leg] = {}
    for index, (node, _, _) in enumerate(assembly.outlets):
        if not covered[index]:
            continue
        for path in paths(assembly, allowed, node):
            for leg in _legs_of_path(assembly, path, gravity):
                found.setdefault((leg.link, leg.stretch), leg)
    return tuple(found.values())


def _legs_of_path(
    assembly: Assembly, path: tuple[tuple[int, bool], ...], gravity: FloatArray
) -> Iterator[Leg]:
    """Walk along a way; once it has risen, each stretch of the next fall hangs on a hump."""
    risen = 0.0
    behind_hump = False
    high = (0, 0)
    for link, turned in path:
        points = assembly.stations[link]
        heights = -points @ gravity
        steps = range(len(points) - 1)
        for step in reversed(steps) if turned else steps:
            near, far = (step + 1, step) if turned else (step, step + 1)
            rise = heights[far] - heights[near]
            if rise > LEVEL_ENOUGH:
                risen, behind_hump = risen + rise, False
            elif rise < -LEVEL_ENOUGH:
                if risen > 0 and not behind_hump:
                    behind_hump = True
                    high = (link, near)
                if behind_hump:
                    length = float(np.linalg.norm(points[far] - points[near]))
                    fall = -rise / (length * float(np.linalg.norm(gravity)))
                    slope = float(np.arcsin(min(1.0, fall)))
                    yield Leg(
                        link=link,
                        stretch=step,
                        fall=-rise,
                        slope=slope,
                        high_point=f"{assembly.network.links[high[0]].name}, point {high[1] + 1}",
                        high_link=high[0],
                        high_index=high[1],
                    )
