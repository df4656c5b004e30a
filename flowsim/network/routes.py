"""The course of the lines in a given attitude: stations, heights, and humps that may hold air."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.stations import shares
from flowsim.physics.arrays import FloatArray

LEVEL_ENOUGH = 1e-6
"""[m] Differences in height below this are rounding, not humps."""

DEVIATIONS = 2.0
"""[-] Standard deviations of the stated heights within which a rise is doubtful. Common practice,
no source. Tag: common practice."""

SHORT_RUN = 0.3
"""[m] Over a shorter straight run the doubt in its rise is the doubt in its slope over this length:
the ends of a short piece are not laid apart from each other. Own choice. Tag: estimate."""

SAME_PLACE = 1e-9
"""[-] Places along a line that differ by less (in the share of its length) are one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Leg:
    """A leg that falls, along the flow, from a high point: one stretch of one line.

    ``link``, ``stretch`` (number of the stretch along the line) and ``is_back`` (fuel runs down it
    from the line's end towards its start) identify it; ``fall`` [m] its height, ``slope`` [rad]
    below the horizontal; ``bore`` [m] the widest between the high point and the next low point.
    ``high_point`` names the hump it hangs on (``place_name``). ``is_doubtful`` tells that as the
    heights are known there may be no hump there.
    """

    link: int
    stretch: int
    is_back: bool
    fall: float
    slope: float
    bore: float
    high_point: str
    is_doubtful: bool


def place_name(assembly: Assembly, link: int, station: int) -> str:
    """Name a point of a line as every study does: a node by its name, else by its number.

    Parameters
    ----------
    assembly : Assembly
    link : int
        The line.
    station : int
        Number of the point along the line, 0 its start.

    Returns
    -------
    str
    """
    line = assembly.system.lines[link]
    if station == 0:
        return line.start
    if station == len(assembly.stations[link]) - 1:
        return line.end
    return f"{line.name}, point {station}"


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
        Each stretch once each way, however many ways pass over it. A way that surely only falls, or
        rises only to the inlet itself, has none.
    """
    found: dict[tuple[int, int, bool], Leg] = {}
    for index, (node, _, outlet) in enumerate(assembly.outlets):
        if not covered[index]:
            continue
        for path in paths(assembly, allowed, node):
            for leg in _legs_of_path(assembly, _runs_of(assembly, path, gravity), outlet.bore):
                key = (leg.link, leg.stretch, leg.is_back)
                found[key] = _worse(found[key], leg) if key in found else leg
    return tuple(found.values())


def _worse(one: Leg, other: Leg) -> Leg:
    """Give a leg that hangs on two humps: on the surer one, in the wider of the two bores."""
    surer = other if one.is_doubtful and not other.is_doubtful else one
    return replace(surer, bore=max(one.bore, other.bore))


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A stretch of a line along the way: points ``near`` and ``far`` (numbers along the line)."""

    link: int
    near: int
    far: int
    rise: float
    slope: float
    bore: float


@dataclass(frozen=True, slots=True)
class _Run:
    """Stretches in one straight line: ``rise`` and ``length`` [m] of all together."""

    stretches: list[_Stretch]
    rise: float
    length: float


def _runs_of(
    assembly: Assembly, path: tuple[tuple[int, bool], ...], gravity: FloatArray
) -> list[_Run]:
    """Give the straight runs of a way, from the tank on; a point inside a run changes nothing."""
    runs: list[_Run] = []
    before = np.zeros(3)
    pull = float(np.linalg.norm(gravity))
    for link, turned in path:
        points = assembly.stations[link]
        heights = -points @ gravity
        along = shares(points)
        steps = range(len(points) - 1)
        for step in reversed(steps) if turned else steps:
            near, far = (step + 1, step) if turned else (step, step + 1)
            course = points[far] - points[near]
            length = float(np.linalg.norm(course))
            rise = float(heights[far] - heights[near])
            stretch = _Stretch(
                link=link,
                near=near,
                far=far,
                rise=rise,
                slope=float(np.arcsin(min(1.0, abs(rise) / (length * pull)))) if length else 0.0,
                bore=_widest(assembly, link, along[step], along[step + 1]),
            )
            direction = course / length if length else before
            aside = float(np.linalg.norm(course - (course @ before) * before))
            if runs and float(course @ before) >= 0.0 and aside <= LEVEL_ENOUGH:
                last = runs[-1]
                runs[-1] = _Run([*last.stretches, stretch], last.rise + rise, last.length + length)
            else:
                runs.append(_Run([stretch], rise, length))
            before = direction
    return runs


def _widest(assembly: Assembly, link: int, begin: float, end: float) -> float:
    """Widest bore [m] of a line between two shares of its length; a mere touch does not count."""
    pieces = assembly.stretches[link]
    touched = [p.bore for p in pieces if p.begin < end - SAME_PLACE and p.end > begin + SAME_PLACE]
    return max(touched or [piece.bore for piece in pieces])


def _legs_of_path(assembly: Assembly, runs: list[_Run], mouth: float) -> Iterator[Leg]:
    """Walk along a way; once it has risen, each stretch of the next fall hangs on a hump.

    Where the heights are not known well enough to tell a rise from a fall, both may be: a hump that
    rises by no more than that is doubtful, and so is one behind a run that falls by less than that.
    The first run opens into the tank, where air escapes along its roof: there a hump that is not
    stated needs a rise of a whole bore (``mouth`` [m]).
    """
    doubt = DEVIATIONS * assembly.system.height_deviation
    risen, maybe, sealed_from = 0.0, False, mouth
    behind: list[_Stretch] = []
    doubtful = False
    for run in runs:
        unsure = doubt * min(1.0, run.length / SHORT_RUN)
        if run.rise > LEVEL_ENOUGH:
            yield from _hung(assembly, behind, is_doubtful=doubtful)
            behind, risen = [], risen + run.rise
        elif run.rise < -LEVEL_ENOUGH:
            if risen > 0.0 or (maybe and not behind):
                doubtful = risen <= doubt
            if risen > 0.0 or maybe or behind:
                behind += run.stretches
            risen = 0.0
        elif behind:
            behind += run.stretches
        might_rise = unsure + run.rise > max(sealed_from, LEVEL_ENOUGH)
        maybe = run.rise <= LEVEL_ENOUGH and might_rise
        sealed_from = 0.0
    yield from _hung(assembly, behind, is_doubtful=doubtful)


def _hung(assembly: Assembly, fall: list[_Stretch], *, is_doubtful: bool) -> Iterator[Leg]:
    """Give the falling stretches behind one high point."""
    if not fall:
        return
    bore = max(stretch.bore for stretch in fall)
    name = place_name(assembly, fall[0].link, fall[0].near)
    for stretch in fall:
        if stretch.rise < -LEVEL_ENOUGH:
            yield Leg(
                link=stretch.link,
                stretch=min(stretch.near, stretch.far),
                is_back=stretch.far < stretch.near,
                fall=-stretch.rise,
                slope=stretch.slope,
                bore=bore,
                high_point=name,
                is_doubtful=is_doubtful,
            )
