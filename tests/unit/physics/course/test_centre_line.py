"""Centre-lines, heights along them and distances against exact constructions."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.files.case.routes import STRAIGHT_WITHIN as CASE_STRAIGHT_WITHIN
from flowsim.files.case.routes import centre_line_length, route_through
from flowsim.physics.course.centre_line import STRAIGHT_WITHIN, Arc, centre_line
from flowsim.physics.course.distances import chain_distance, picture_crossings, segment_distance
from flowsim.physics.course.height_profile import profile, slope, upward
from flowsim.system.points import Point

UP = np.array([0.0, 0.0, 1.0])


def test_quarter_bend_is_an_exact_quarter_circle() -> None:
    line = centre_line([(0, 0, 0), (1, 0, 0), (1, 1, 0)], 0.25)
    assert line.length == pytest.approx(0.75 + 0.25 * math.pi / 2 + 0.75, rel=1e-14)
    arc = line.pieces[1]
    assert isinstance(arc, Arc)
    np.testing.assert_allclose(arc.centre, [0.75, 0.25, 0.0], atol=1e-15)
    middle = line.point(0.75 + 0.25 * math.pi / 4)
    expected = np.array([0.75, 0.25, 0.0]) + 0.25 * np.array([1, -1, 0]) / math.sqrt(2)
    np.testing.assert_allclose(middle, expected, atol=1e-15)
    np.testing.assert_allclose(
        line.tangent(0.75 + 0.25 * math.pi / 4), np.array([1, 1, 0]) / math.sqrt(2), atol=1e-15
    )


def test_length_of_a_helix_comes_out_of_many_points() -> None:
    """A helix of radius r and pitch p is 2 pi sqrt(r^2 + (p/2pi)^2) a turn (exact)."""
    radius, rise, turns, count = 0.2, 0.15, 2.0, 4000
    angle = np.linspace(0.0, 2.0 * math.pi * turns, count + 1)
    climb = rise * angle / (2 * math.pi)
    points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), climb])
    exact = 2.0 * math.pi * turns * math.hypot(radius, rise / (2 * math.pi))
    line = centre_line(points, 0.05)
    assert line.length == pytest.approx(exact, rel=1e-6)
    # The slope of a helix is the same everywhere: atan(p/(2 pi r)).
    expected = math.atan(rise / (2 * math.pi * radius))
    for along in (0.1, 0.9, 2.0):
        assert slope(line.tangent(along), UP) == pytest.approx(expected, rel=1e-6)


def test_helix_of_few_points_with_bends_is_the_inscribed_chain_less_its_corners() -> None:
    """Eight points a turn: legs of known length, corners of known angle (exact trigonometry)."""
    radius, rise, count = 0.2, 0.15, 8
    angle = 2 * math.pi * np.arange(count + 1) / count
    climb = rise * np.arange(count + 1) / count
    points = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), climb])
    chord, step = 2 * radius * math.sin(math.pi / count), rise / count
    leg = math.hypot(chord, step)
    turn = math.acos((chord**2 * math.cos(2 * math.pi / count) + step**2) / leg**2)
    bend = 0.05
    corners = count - 1
    expected = count * leg - corners * bend * (2 * math.tan(turn / 2) - turn)
    assert centre_line(points, bend).length == pytest.approx(expected, rel=1e-13)


def test_length_agrees_with_the_case_reader() -> None:
    points = [Point(0, 0, 0), Point(1, 0.1, -0.2), Point(1.2, 0.6, -0.9), Point(2, 0.6, -0.95)]
    route = route_through(points)
    for radii in ([0.04, 0.04], [0.03, 0.05], [0.0, 0.05]):
        turns = [radii[turn.index - 1] for turn in route.turns]
        expected = centre_line_length(route, turns)
        assert centre_line(points, radii).length == pytest.approx(expected, rel=1e-14)
    assert centre_line(points, 0.04).length == centre_line(points, [0.04, 0.04]).length


def test_corners_have_radii_of_their_own() -> None:
    """A right angle of radius R saves (2 - pi/2) R; a sharp corner saves nothing."""
    points = [(0, 0, 0), (1, 0, 0), (1, 1, 0), (1, 1, 1)]
    saved = 2.0 - math.pi / 2.0
    line = centre_line(points, [0.1, 0.3])
    assert line.length == pytest.approx(3.0 - saved * 0.4, rel=1e-14)
    assert [p.radius for p in line.pieces if isinstance(p, Arc)] == [0.1, 0.3]
    sharp = centre_line(points, [None, 0.3])
    assert sharp.length == pytest.approx(3.0 - saved * 0.3, rel=1e-14)
    assert [p.number for p in sharp.pieces if isinstance(p, Arc)] == [2]


@pytest.mark.parametrize("radii", [[0.1], [0.1, 0.1, 0.1], [0.1, -0.1], [0.1, math.nan]])
def test_a_radius_for_each_point_not_below_zero(radii: list[float]) -> None:
    points = [(0, 0, 0), (1, 0, 0), (1, 1, 0), (1, 1, 1)]
    with pytest.raises(DomainError, match="state one for each, not below zero"):
        centre_line(points, radii)
    assert STRAIGHT_WITHIN == CASE_STRAIGHT_WITHIN


def test_crest_of_a_bend_lies_where_the_arc_says() -> None:
    """Legs at +-30 deg: the crest is R (1/cos 30 - 1) below the corner (exact)."""
    rise = math.tan(math.radians(30.0))
    line = centre_line([(0, 0, 0), (1, 0, rise), (2, 0, 0)], 0.1)
    spans = profile(line, UP)
    crest = max(span.end_height for span in spans)
    assert crest == pytest.approx(rise - 0.1 * (1 / math.cos(math.radians(30)) - 1), abs=1e-15)
    assert [span.end_height > span.start_height for span in spans] == [True, True, False, False]


def test_length_below_a_level_on_an_arc_is_exact() -> None:
    """A lower half circle of radius R, level half way up: R times the angle below (exact)."""
    line = centre_line([(0, 0, 1), (0, 0, 0), (1, 0, 0), (1, 0, 1)], 0.5)
    level = 0.25
    below = sum(span.length_below(level) for span in profile(line, UP))
    assert below == pytest.approx(0.5 * 2.0 * math.acos(0.5), rel=1e-13)


def test_span_gives_back_the_place_of_every_height() -> None:
    line = centre_line([(0, 0, 0), (0.5, 0.1, 0.4), (1, 0.5, 0), (1.5, 0, 0.3)], 0.08)
    up = upward(np.array([0.2, 0.1, -0.95]))
    for span in profile(line, up):
        for share in (0.0, 0.2, 0.7, 1.0):
            height = span.start_height + share * (span.end_height - span.start_height)
            assert float(up @ line.point(span.place(height))) == pytest.approx(height, abs=1e-12)


def test_nearest_place_on_a_bend() -> None:
    line = centre_line([(0, 0, 0), (1, 0, 0), (1, 1, 0)], 0.5)
    along, off = line.nearest((1.0, 0.0, 0.0))
    assert off == pytest.approx(0.5 * (math.sqrt(2) - 1), rel=1e-12)
    assert along == pytest.approx(0.5 + 0.5 * math.pi / 4, rel=1e-12)
    assert line.nearest((-1.0, 0.0, 0.0)) == (0.0, 1.0)


@pytest.mark.parametrize(
    ("points", "radius", "words"),
    [
        ([(0, 0, 0), (1, 0, 0), (1, 0, 0.00005), (2, 0, 0)], 0.1, "points 2 and 3 .* coincide"),
        ([(0, 0, 0), (1, 0, 0), (0.2, 0, 0.01)], 0.1, "doubles back at point 1"),
        ([(0, 0, 0), (0.1, 0, 0), (0.1, 1, 0)], 0.2, "do not fit on leg 1"),
        ([(0, 0, 0)], 0.1, "two or more points"),
        ([(0, 0, 0), (math.nan, 0, 0)], 0.1, "not a finite number"),
        ([(0, 0, 0), (1, 0, 0)], 0.0, "not above zero"),
    ],
)
def test_what_is_no_line_is_refused(points, radius, words) -> None:
    with pytest.raises(DomainError, match=words):
        centre_line(points, radius)


def test_skew_and_parallel_segments() -> None:
    def vec(*xyz: float) -> np.ndarray:
        return np.array(xyz, dtype=float)

    # Two edges of a unit cube that are skew: one apart, halfway along each other's span.
    distance, s, t = segment_distance(vec(0, 0, 0), vec(1, 0, 0), vec(0.5, -1, 1), vec(0.5, 1, 1))
    assert (distance, s, t) == pytest.approx((1.0, 0.5, 0.5))
    distance, _, _ = segment_distance(vec(0, 0, 0), vec(1, 0, 0), vec(2, 3, 4), vec(5, 3, 4))
    assert distance == pytest.approx(math.sqrt(1 + 9 + 16))
    distance, _, _ = segment_distance(vec(0, 0, 0), vec(1, 0, 0), vec(0.3, 2, 0), vec(0.3, 2, 0))
    assert distance == pytest.approx(2.0)


def test_distance_against_a_fine_grid() -> None:
    rng = np.random.default_rng(3)
    s, t = np.meshgrid(np.linspace(0, 1, 101), np.linspace(0, 1, 101))
    for _ in range(50):
        a0, a1, b0, b1 = rng.normal(size=(4, 3))
        off = a0 + s[..., None] * (a1 - a0) - b0 - t[..., None] * (b1 - b0)
        grid = float(np.linalg.norm(off, axis=-1).min())
        found = segment_distance(a0, a1, b0, b1)[0]
        assert found <= grid + 1e-12
        assert found == pytest.approx(grid, abs=0.06)


def test_chain_places_and_crossing_in_the_picture() -> None:
    first = np.array([[0, 0, 0], [1, 0, 0], [2, 0, 0]], dtype=float)
    second = np.array([[1.5, -1, 0.3], [1.5, 1, 0.3]], dtype=float)
    nearest = chain_distance(first, second)
    assert nearest.distance == pytest.approx(0.3)
    assert nearest.first_along == pytest.approx(1.5)
    assert nearest.second_along == pytest.approx(1.0)
    crossed = picture_crossings(first, second, (0, 1))
    assert len(crossed) == 1
    np.testing.assert_allclose(crossed[0][1], [1.5, 0, 0.3])
    assert picture_crossings(first, second, (0, 2)) == []
