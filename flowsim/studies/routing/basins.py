"""Dips of a course: where liquid stays, how deep and how much, and what a drain leaves in it."""

import heapq
from dataclasses import dataclass, replace

from flowsim.studies.routing.courses import Course
from flowsim.studies.saying import Said

LEVEL_ENOUGH = 1e-6
"""[m] Differences in height below this are rounding, not dips."""


@dataclass(frozen=True, slots=True, eq=False)
class Basin:
    """A dip: its lowest vertices, spill level [m], depth [m], volume [m3] up to that level.

    ``inside`` are all vertices that liquid reaches; ``spill`` is that where it runs over (None:
    nowhere); ``known`` is False where it reaches a line whose course is not known.
    """

    lowest: tuple[int, ...]
    level: float
    depth: float
    volume: float
    inside: frozenset[int]
    spill: int | None
    known: bool


def basins(course: Course) -> list[Basin]:
    """Find every dip of a course.

    Parameters
    ----------
    course : Course
        With heights turned round, the humps are found.

    Returns
    -------
    list of Basin
        One for each lowest place from which all ways rise, open ends left out. Liquid fills it up
        to the lower of its spill points: a crest behind which it falls, or an open end.
    """
    found = []
    for group in _level_groups(course):
        if any(course.vertices[vertex].is_open for vertex in group):
            continue
        floor = min(course.vertices[vertex].height for vertex in group)
        around = {_far(course, edge, vertex) for vertex in group for edge in course.at[vertex]}
        if all(course.vertices[vertex].height > floor for vertex in around - group):
            found.append(_fill(course, group, floor))
    return [basin for basin in found if basin.depth > LEVEL_ENOUGH]


def ponds(course: Course) -> list[Basin]:
    """Find every dip of a course as liquid fills it in the end.

    Parameters
    ----------
    course : Course

    Returns
    -------
    list of Basin
        As ``basins``, but two dips that run over into each other are one, named by the deeper: the
        liquid rises on in both together. Not where a drain takes it off below the crest between
        them: then each keeps its own.
    """
    found = basins(course)
    while True:
        pair = _first_pair(course, found)
        if pair is None:
            return found
        first, second = pair
        both = _fill(
            course,
            {*first.inside, *second.inside},
            min(basin.level - basin.depth for basin in pair),
        )
        deeper = min(pair, key=lambda basin: basin.level - basin.depth)
        found = [basin for basin in found if basin not in pair]
        found.append(replace(both, lowest=deeper.lowest))


def _first_pair(course: Course, found: list[Basin]) -> tuple[Basin, Basin] | None:
    """Give two dips that run over into each other, None where there are none."""
    for index, one in enumerate(found):
        for other in found[index + 1 :]:
            if one.spill not in other.inside or other.spill not in one.inside:
                continue
            if abs(one.level - other.level) > LEVEL_ENOUGH:
                continue
            if not drained_down_to(course, one) and not drained_down_to(course, other):
                return one, other
    return None


def left_below(course: Course, basin: Basin, level: float) -> float:
    """Give what stays [m3] in a dip that is drained down to a level [m]."""
    return _volume(course, basin, min(level, basin.level))


def drained_down_to(course: Course, basin: Basin) -> list[tuple[Said, float, float]]:
    """Give the drains in a dip, each with the volume [m3] and the depth [m] that it leaves.

    The one that leaves least comes first. A drain takes what stands above its place on the line, or
    above its own point if that is higher.
    """
    found = []
    for vertex in sorted(basin.inside):
        here = course.vertices[vertex]
        for name, own_height in here.taps:
            level = max(here.height, own_height)
            if level < basin.level:
                floor = basin.level - basin.depth
                found.append((name, left_below(course, basin, level), level - floor))
    return sorted(found, key=lambda drain: drain[1:])


def _level_groups(course: Course) -> list[set[int]]:
    """Give the vertices that level spans join, in groups; most stand alone."""
    group_of: dict[int, set[int]] = {}
    for start in range(len(course.vertices)):
        if start in group_of:
            continue
        group, todo = {start}, [start]
        while todo:
            vertex = todo.pop()
            for edge in course.at[vertex]:
                far = _far(course, edge, vertex)
                drop = abs(course.vertices[far].height - course.vertices[vertex].height)
                if far not in group and drop <= LEVEL_ENOUGH:
                    group.add(far)
                    todo.append(far)
        for vertex in group:
            group_of[vertex] = group
    return list({id(group): group for group in group_of.values()}.values())


def _fill(course: Course, group: set[int], floor: float) -> Basin:
    """Fill a dip from its floor until it runs over."""
    heap = [(course.vertices[vertex].height, vertex, vertex) for vertex in group]
    heapq.heapify(heap)
    inside: set[int] = set()
    level, spill, crest = floor, None, None
    while heap:
        height, vertex, came_from = heapq.heappop(heap)
        if vertex in inside:
            continue
        if height < level - LEVEL_ENOUGH:
            spill = came_from
            break
        level = max(level, height)
        inside.add(vertex)
        if course.vertices[vertex].is_open:
            spill = vertex
            break
        for edge in course.at[vertex]:
            far = _far(course, edge, vertex)
            if far not in inside:
                heapq.heappush(heap, (course.vertices[far].height, far, vertex))
        crest = vertex
    known = all(course.edges[edge].known for vertex in inside for edge in course.at[vertex])
    basin = Basin(
        lowest=tuple(sorted(group)),
        level=level,
        depth=level - floor,
        volume=0.0,
        inside=frozenset(inside),
        spill=spill if spill is not None else crest,
        known=known,
    )
    volume = _volume(course, basin, level)
    return Basin(basin.lowest, level, basin.depth, volume, basin.inside, basin.spill, known)


def _volume(course: Course, basin: Basin, level: float) -> float:
    """Give the volume [m3] that stands below a level in the part joined to the dip's floor."""
    seen, todo, counted = set(basin.lowest), list(basin.lowest), set()
    volume = 0.0
    while todo:
        vertex = todo.pop()
        for number in course.at[vertex]:
            if number in counted:
                continue
            edge = course.edges[number]
            far = _far(course, number, vertex)
            far_height = course.vertices[far].height
            if far not in basin.inside and far_height < level - LEVEL_ENOUGH:
                continue  # behind the crest where it runs over
            counted.add(number)
            volume += edge.area * edge.span.length_below(level)
            if far in basin.inside and far_height <= level and far not in seen:
                seen.add(far)
                todo.append(far)
    return volume


def _far(course: Course, number: int, vertex: int) -> int:
    edge = course.edges[number]
    return edge.second if edge.first == vertex else edge.first
