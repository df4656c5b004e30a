"""What holds for any line: heights, volumes and humps against brute force."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from flowsim.errors import DomainError
from flowsim.physics.course.centre_line import CentreLine, centre_line
from flowsim.physics.course.distances import segment_distance
from flowsim.physics.course.height_profile import profile, upward
from flowsim.studies.routing.basins import LEVEL_ENOUGH, basins, left_below, ponds
from flowsim.studies.routing.courses import LaidLine, course_of

coordinate = st.floats(-1.0, 1.0).map(lambda x: round(x, 3))
points = st.lists(st.tuples(coordinate, coordinate, coordinate), min_size=3, max_size=6)
ups = st.tuples(st.floats(-0.4, 0.4), st.floats(-0.4, 0.4)).map(
    lambda ab: upward(np.array([ab[0], ab[1], -1.0]))
)


def line_of(given_points: list[tuple[float, float, float]], radius: float) -> CentreLine:
    try:
        return centre_line(given_points, radius)
    except DomainError:
        assume(False)
        raise


def laid(line: CentreLine, bore: float = 0.01) -> LaidLine:
    return LaidLine(
        name="line", start="a", end="b", centre=line, length=line.length, bore=bore, known=True
    )


@given(points, st.floats(0.005, 0.05), ups)
@settings(max_examples=60, deadline=None)
def test_spans_are_monotone_and_join(given_points, radius, up) -> None:
    line = line_of(given_points, radius)
    spans = profile(line, up)
    assert sum(span.length for span in spans) == pytest.approx(line.length, rel=1e-12)
    for first, second in itertools.pairwise(spans):
        assert first.end == pytest.approx(second.start, abs=1e-12)
        assert first.end_height == pytest.approx(second.start_height, abs=1e-9)
    for span in spans:
        heights = [float(up @ line.point(x)) for x in np.linspace(span.start, span.end, 9)]
        steps = np.diff(heights)
        assert (steps >= -1e-9).all() or (steps <= 1e-9).all()


@given(points, st.floats(0.005, 0.05), ups)
@settings(max_examples=30, deadline=None)
def test_dips_of_one_line_against_a_fine_walk(given_points, radius, up) -> None:
    """Volume and depth of each dip agree with counting short steps along the line."""
    line = line_of(given_points, radius)
    course = course_of([laid(line)], up, frozenset({"a", "b"}), [])
    step = line.length / 2000
    # The turning points themselves are walked over too: a short bend lies between two steps.
    turns = [end for span in profile(line, up) for end in (span.start, span.end)]
    x = np.unique(np.concatenate([(np.arange(2000) + 0.5) * step, turns]))
    heights = np.array([float(up @ line.point(place)) for place in x])
    for basin in basins(course):
        assume(basin.depth > 5e-3)
        # A stretch that lies level with the spill is counted whole; a walk cannot tell.
        level = [max(abs(span.start_height - basin.level), abs(span.end_height - basin.level))
                 for span in profile(line, up)]  # fmt: skip
        assume(min(level) > 1e-3)
        floor = course.vertices[basin.lowest[0]]
        assert floor.place.along is not None
        index = int(np.argmin(np.abs(x - floor.place.along)))
        low = index
        while low > 0 and heights[low - 1] < basin.level - 2e-4:
            low -= 1
        high = index
        while high < len(x) - 1 and heights[high + 1] < basin.level - 2e-4:
            high += 1
        area = math.pi * 0.01**2 / 4.0
        # Near-level stretches at the spill level make the walk uncertain: a hundredth of the line.
        assert basin.volume / area == pytest.approx(
            x[high] - x[low], abs=0.02 * line.length + 0.05 * basin.volume / area
        )
        assert left_below(course, basin, basin.level - 0.5 * basin.depth) < basin.volume
        # A floor that lies level holds fuel up to its own height; below it there is none.
        floor_level = basin.level - basin.depth
        assert left_below(course, basin, floor_level - 1e-6) == pytest.approx(0.0, abs=1e-12)


@given(points, st.floats(0.005, 0.05), ups)
@settings(max_examples=30, deadline=None)
def test_all_that_stays_in_one_line_is_what_a_flood_from_its_ends_leaves(
    given_points, radius, up
) -> None:
    """Water stands at the lower of the highest places on the way to either end (a walk)."""
    line = line_of(given_points, radius)
    course = course_of([laid(line)], up, frozenset({"a", "b"}), [])
    step = line.length / 1000
    heights = np.array([float(up @ line.point((n + 0.5) * step)) for n in range(1000)])
    ends = [float(up @ line.point(place)) for place in (0.0, line.length)]
    to_start = np.maximum.accumulate(np.concatenate([ends[:1], heights]))[1:]
    to_end = np.maximum.accumulate(np.concatenate([ends[1:], heights[::-1]]))[:0:-1]
    under_water = float(np.sum(heights < np.minimum(to_start, to_end) - 1e-6)) * step
    found = sum(pond.volume for pond in ponds(course)) / (math.pi * 0.01**2 / 4.0)
    assert found == pytest.approx(under_water, abs=0.02 * line.length)


@given(points, st.floats(0.005, 0.05), ups)
@settings(max_examples=80, deadline=None)
def test_rounded_line_has_the_humps_of_its_corners_and_they_are_lower(
    given_points, radius, up
) -> None:
    """The check's corners are on the cautious side (docs/theory/routing.md)."""
    rounded = line_of(given_points, radius)
    corners = centre_line(given_points, None)
    found = []
    for line in (rounded, corners):
        course = course_of([laid(line)], -up, frozenset({"a", "b"}), [])
        found.append({course.vertices[b.lowest[0]].place.corner: b for b in basins(course)})
    smooth, sharp = found
    near = {corner for corner, basin in sharp.items() if basin.depth < 1e3 * LEVEL_ENOUGH}
    assert set(smooth) <= set(sharp)
    for corner, basin in sharp.items():
        if corner in smooth:
            assert smooth[corner].depth <= basin.depth + 1e-9
        elif corner not in near:
            # An arc may only take away a hump that is less high than the bend itself.
            assert basin.depth < 8.0 * radius


@given(st.lists(st.tuples(coordinate, coordinate, coordinate), min_size=4, max_size=4))
@settings(max_examples=100, deadline=None)
def test_segment_distance_is_symmetric_and_no_more_than_any_pair(ends) -> None:
    a0, a1, b0, b1 = (np.array(end, dtype=float) for end in ends)
    found = segment_distance(a0, a1, b0, b1)[0]
    assert found == pytest.approx(segment_distance(b1, b0, a0, a1)[0], abs=1e-9)
    for s, t in itertools.product(np.linspace(0, 1, 6), repeat=2):
        pair = float(np.linalg.norm(a0 + s * (a1 - a0) - b0 - t * (b1 - b0)))
        assert found <= pair + 1e-12
