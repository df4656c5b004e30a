"""The course of the lines in a given attitude: stations, heights, and humps that may hold air."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
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

MOST_ATTITUDES = 4096
"""Attitudes whose legs are remembered for each way. No effect on the answer."""

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


LinkPath = tuple[tuple[int, bool], ...]
"""Links of a way in the order in which fuel meets them, each with whether it is passed back."""

_KNOWN: WeakKeyDictionary[Assembly, dict[tuple[bytes, int], tuple[LinkPath, ...]]] = (
    WeakKeyDictionary()
)


def paths(assembly: Assembly, allowed: npt.NDArray[np.int8], source: int) -> tuple[LinkPath, ...]:
    """Every way from node ``source`` to the inlet along open lines, as (link, reversed) pairs.

    Ways do not lead through other tanks or twice through a node. What was found is remembered.

    Parameters
    ----------
    assembly : Assembly
        Of the system.
    allowed : array (link,)
        In which directions links may flow, as ``Conditions.allowed``.
    source : int
        Node of a tank outlet.

    Returns
    -------
    tuple of LinkPath
        From the outlet to the inlet; empty where there is none.
    """
    known = _KNOWN.setdefault(assembly, {})
    key = (allowed.tobytes(), source)
    if key not in known:
        known[key] = tuple(_paths(assembly, allowed, source))
    return known[key]


def _paths(assembly: Assembly, allowed: npt.NDArray[np.int8], source: int) -> Iterator[LinkPath]:
    network = assembly.network
    around: dict[int, list[tuple[int, bool, int]]] = {}
    for link in range(len(assembly.system.lines)):
        start, end = int(network.start[link]), int(network.end[link])
        for near, far, turned, bit in ((start, end, False, FORWARD), (end, start, True, BACKWARD)):
            if allowed[link] & bit and not network.fixed[far]:
                around.setdefault(near, []).append((link, turned, far))

    def walk(node: int, seen: frozenset[int]) -> Iterator[LinkPath]:
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
        Effective gravity over g0 [-].

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
        for way in _ways(assembly, allowed, node):
            for leg in _legs_known(assembly, way, gravity, outlet.bore):
                key = (leg.link, leg.stretch, leg.is_back)
                found[key] = _worse(found[key], leg) if key in found else leg
    return tuple(found.values())


def _legs_known(
    assembly: Assembly, way: "_Way", gravity: FloatArray, mouth: float
) -> tuple[Leg, ...]:
    """Give the legs of a way in an attitude; whichever outlets are covered, they are the same."""
    key = (gravity.tobytes(), mouth)
    if key not in way.known:
        if len(way.known) >= MOST_ATTITUDES:
            way.known.clear()
        way.known[key] = tuple(_legs_of_way(assembly, way.runs(gravity), mouth))
    return way.known[key]


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
    length: float
    bore: float


@dataclass(slots=True)
class _Run:
    """Stretches in one straight line in one attitude: rise and slope [rad] of each, of all."""

    stretches: list[tuple[_Stretch, float, float]]
    rise: float
    length: float


@dataclass(frozen=True, slots=True)
class _Way:
    """A way from the tank on: its stretches, their courses (stretch, 3) [m], straight runs.

    ``run`` (stretch,) numbers the runs; a point inside a run changes nothing. ``known`` remembers
    the legs of attitudes that were asked for.
    """

    stretches: tuple[_Stretch, ...]
    courses: FloatArray
    run: tuple[int, ...]
    known: dict[tuple[bytes, float], tuple[Leg, ...]] = field(default_factory=dict)

    def runs(self, gravity: FloatArray) -> list[_Run]:
        """Give its straight runs in one attitude."""
        rises = (-self.courses @ gravity).tolist()
        pull = float(np.linalg.norm(gravity))
        made: list[_Run] = []
        for stretch, rise, number in zip(self.stretches, rises, self.run, strict=True):
            reach = stretch.length * pull
            slope = math.asin(min(1.0, abs(rise) / reach)) if reach > 0.0 else 0.0
            if number == len(made):
                made.append(_Run([], 0.0, 0.0))
            last = made[-1]
            last.stretches.append((stretch, rise, slope))
            last.rise += rise
            last.length += stretch.length
        return made


def _ways(assembly: Assembly, allowed: npt.NDArray[np.int8], source: int) -> tuple[_Way, ...]:
    """Give every way from a node along open lines; each is laid out once."""
    known = _LAID.setdefault(assembly, {})
    found = paths(assembly, allowed, source)
    for path in found:
        if path not in known:
            known[path] = _way_of(assembly, path)
    return tuple(known[path] for path in found)


_LAID: WeakKeyDictionary[Assembly, dict[LinkPath, _Way]] = WeakKeyDictionary()


def _way_of(assembly: Assembly, path: LinkPath) -> _Way:
    """Lay the stretches of the lines of a way in a row."""
    stretches: list[_Stretch] = []
    courses: list[FloatArray] = []
    run: list[int] = []
    before = np.zeros(3)
    for link, turned in path:
        points = assembly.stations[link]
        along = shares(points)
        steps = range(len(points) - 1)
        for step in reversed(steps) if turned else steps:
            near, far = (step + 1, step) if turned else (step, step + 1)
            course = points[far] - points[near]
            length = float(np.linalg.norm(course))
            bore = _widest(assembly, link, along[step], along[step + 1])
            aside = float(np.linalg.norm(course - (course @ before) * before))
            goes_on = bool(run) and float(course @ before) >= 0.0 and aside <= LEVEL_ENOUGH
            run.append(0 if not run else run[-1] if goes_on else run[-1] + 1)
            stretches.append(_Stretch(link, near, far, length, bore))
            courses.append(course)
            before = course / length if length else before
    return _Way(tuple(stretches), np.array(courses).reshape(-1, 3), tuple(run))


def _widest(assembly: Assembly, link: int, begin: float, end: float) -> float:
    """Widest bore [m] of a line between two shares of its length; a mere touch does not count."""
    pieces = assembly.bore_pieces[link]
    touched = [p.bore for p in pieces if p.begin < end - SAME_PLACE and p.end > begin + SAME_PLACE]
    return max(touched or [piece.bore for piece in pieces])


def _legs_of_way(assembly: Assembly, runs: list[_Run], mouth: float) -> Iterator[Leg]:
    """Walk along a way; once it has risen, each stretch of the next fall hangs on a hump.

    Where the heights are not known well enough to tell a rise from a fall, both may be: a hump that
    rises by no more than that is doubtful, and so is one behind a run that falls by less than that.
    The first run opens into the tank, where air escapes along its roof: there a hump that is not
    stated needs a rise of a whole bore (``mouth`` [m]).
    """
    doubt = DEVIATIONS * assembly.system.height_deviation
    risen, maybe, sealed_from = 0.0, False, mouth
    behind: list[tuple[_Stretch, float, float]] = []
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


def _hung(
    assembly: Assembly, fall: list[tuple[_Stretch, float, float]], *, is_doubtful: bool
) -> Iterator[Leg]:
    """Give the falling stretches behind one high point."""
    if not fall:
        return
    bore = max(stretch.bore for stretch, _, _ in fall)
    first = fall[0][0]
    name = place_name(assembly, first.link, first.near)
    for stretch, rise, slope in fall:
        if rise < -LEVEL_ENOUGH:
            yield Leg(
                link=stretch.link,
                stretch=min(stretch.near, stretch.far),
                is_back=stretch.far < stretch.near,
                fall=-rise,
                slope=slope,
                bore=bore,
                high_point=name,
                is_doubtful=is_doubtful,
            )
