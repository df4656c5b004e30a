"""Quantity under a level surface and back, against exact formulas and independent integration."""

import itertools
import math

import mpmath
import numpy as np
import pytest
import scipy.integrate
import scipy.spatial

from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank import solids
from flowsim.physics.tank.volume import extreme_elevations, surface_elevation, volume_below
from flowsim.system.points import Point
from flowsim.system.tanks import Solid

DEGREE = math.pi / 180.0
LEVEL = np.array([[0.0, 0.0, -1.0]])
BOX_LOW, BOX_HIGH = Point(2.0, 0.5, 1.1), Point(2.4, 1.7, 1.3)
BOX = solids.box(BOX_LOW, BOX_HIGH)
# Section of an invented wing bay: spar to spar, curved skins as straight pieces.
SECTION = ((0.0, 0.0), (0.2, -0.02), (0.5, 0.0), (0.5, 0.12), (0.2, 0.16), (0.0, 0.11))
ELL = ((0.0, 0.0), (0.6, 0.0), (0.6, 0.1), (0.2, 0.1), (0.2, 0.3), (0.0, 0.3))


def pull(pitch: float, roll: float, strength: float = 1.0) -> FloatArray:
    """Effective gravity in (aft, right, up) for angles in degrees."""
    p, r = pitch * DEGREE, roll * DEGREE
    g = [math.sin(p), math.sin(r) * math.cos(p), -math.cos(r) * math.cos(p)]
    return strength * np.array([g])


def section_at(outline: tuple[tuple[float, float], ...], buttline: float) -> list[Point]:
    return [Point(station, buttline, waterline) for station, waterline in outline]


def below(solid: Solid, gravity: FloatArray, surface: float) -> float:
    return float(volume_below(solid, gravity, np.array([surface]))[0])


def level_of(solid: Solid, gravity: FloatArray, quantity: float) -> float:
    return float(surface_elevation(solid, gravity, np.array([quantity]))[0])


def box_under_plane(low: Point, high: Point, gravity: FloatArray, surface: float) -> float:
    """Inclusion and exclusion over the corners of a box, in 60 digits.

    J.-L. Marichal and M. J. Mossinghoff, Slices, slabs, and sections of the unit hypercube,
    Integers 8 (2008) A1 (abstract read; formula from memory): for a.x <= s with all a > 0 the
    volume of the cube is sum over corners v of (-1)**|v| (s - a.v)+**n / (n! prod a).
    """
    with mpmath.workdps(60):
        up = [-mpmath.mpf(float(g)) for g in gravity[0]]
        rest = mpmath.mpf(surface)
        sides, total = [], mpmath.mpf(0)
        for k in range(3):
            least, most = mpmath.mpf(low[k]), mpmath.mpf(high[k])
            # Measured from the corner that is lowest in this direction.
            rest -= min(up[k] * least, up[k] * most)
            sides.append(abs(up[k]) * (most - least))
        for corner in itertools.product((0, 1), repeat=3):
            depth = rest - sum(side for side, on in zip(sides, corner, strict=True) if on)
            total += (-1) ** sum(corner) * max(depth, mpmath.mpf(0)) ** 3
        size = mpmath.fprod(mpmath.mpf(high[k]) - mpmath.mpf(low[k]) for k in range(3))
        return float(size * total / (6 * mpmath.fprod(sides)))


def clipped_area(
    outline: list[tuple[float, float]], slope: float, rise: float, level: float
) -> float:
    """Area of the part of a polygon where slope x + rise z <= level (Sutherland-Hodgman)."""
    kept: list[tuple[float, float]] = []
    for (x1, z1), (x2, z2) in zip(outline, outline[1:] + outline[:1], strict=True):
        d1, d2 = level - slope * x1 - rise * z1, level - slope * x2 - rise * z2
        if d1 >= 0.0:
            kept.append((x1, z1))
        if d1 * d2 < 0.0:
            t = d1 / (d1 - d2)
            kept.append((x1 + t * (x2 - x1), z1 + t * (z2 - z1)))
    pairs = zip(kept, kept[1:] + kept[:1], strict=True)
    return abs(0.5 * sum(x1 * z2 - x2 * z1 for (x1, z1), (x2, z2) in pairs))


def by_integration(
    root: list[Point], tip: list[Point], gravity: FloatArray, surface: float
) -> float:
    """Volume under the surface by quadrature along the span of a bay with parallel sections."""
    up = -gravity[0]
    start, end = root[0].buttline, tip[0].buttline

    def area(buttline: float) -> float:
        t = (buttline - start) / (end - start)
        outline = [
            (a.station + t * (b.station - a.station), a.waterline + t * (b.waterline - a.waterline))
            for a, b in zip(root, tip, strict=True)
        ]
        return clipped_area(outline, up[0], up[2], surface - up[1] * buttline)

    # Kinks lie where the surface passes a corner, so the interval is cut there.
    kinks = {start, end}
    for a, b in zip(root, tip, strict=True):
        za, zb = float(up @ np.array(a)), float(up @ np.array(b))
        if (za - surface) * (zb - surface) < 0.0:
            kinks.add(start + (end - start) * (surface - za) / (zb - za))
    total = 0.0
    for left, right in itertools.pairwise(sorted(kinks)):
        total += scipy.integrate.quad(area, left, right, epsabs=1e-14, epsrel=1e-12)[0]
    return total


# --- boxes -------------------------------------------------------------------------------------


@pytest.mark.parametrize("fullness", [0.0, 0.2, 0.5, 1.0])
def test_level_box_is_area_times_depth(fullness: float) -> None:
    surface = 1.1 + 0.2 * fullness
    expected = 0.4 * 1.2 * 0.2 * fullness
    assert below(BOX, LEVEL, surface) == pytest.approx(expected, rel=1e-14, abs=1e-17)
    assert level_of(BOX, LEVEL, expected) == pytest.approx(surface, rel=1e-14)


@pytest.mark.parametrize("angle", [1.0, 5.0, 12.0, 26.0])
def test_shallow_wedge_along_the_back_of_a_box(angle: float) -> None:
    # Nose up, fuel runs aft: a prism of triangular section, legs x and x tan(angle), by hand.
    wide, leg = 1.2, 0.1
    quantity = 0.5 * leg * (leg * math.tan(angle * DEGREE)) * wide
    gravity = pull(angle, 0.0)
    # Surface through the point on the bottom one leg ahead of the back wall.
    surface = -float(gravity[0] @ np.array([2.4 - leg, 1.0, 1.1]))
    assert below(BOX, gravity, surface) == pytest.approx(quantity, rel=1e-12)
    assert level_of(BOX, gravity, quantity) == pytest.approx(surface, rel=1e-12)


def test_surface_that_meets_only_the_side_walls_turns_about_its_middle() -> None:
    # Any plane that cuts only the four uprights of a box leaves area times depth at the middle.
    for pitch, roll in ((5.0, 0.0), (-8.0, 1.0), (10.0, -2.0)):
        gravity = pull(pitch, roll)
        surface = -float(gravity[0] @ np.array([2.2, 1.1, 1.2]))
        assert below(BOX, gravity, surface) == pytest.approx(0.4 * 1.2 * 0.1, rel=1e-13)


@pytest.mark.parametrize(
    ("pitch", "roll"),
    [
        *[(p, r) for p in (-15.0, 3.0, 17.0, 30.0, 45.0, 89.0) for r in (0.7, -5.0, 30.0)],
        *[(1e-6, 1e-6), (1e-9, 20.0), (150.0, 20.0)],
    ],
)
@pytest.mark.parametrize("strength", [1.0, 1.4])
def test_box_against_inclusion_and_exclusion(pitch: float, roll: float, strength: float) -> None:
    gravity = pull(pitch, roll, strength)
    lowest, highest = (float(ends[0]) for ends in extreme_elevations(BOX, gravity))
    capacity = solids.capacity(BOX)
    for share in (0.001, 0.03, 0.2, 0.5, 0.77, 0.99):
        surface = lowest + share * (highest - lowest)
        expected = box_under_plane(BOX_LOW, BOX_HIGH, gravity, surface)
        assert below(BOX, gravity, surface) == pytest.approx(expected, abs=1e-13 * capacity)


def test_last_drops_keep_their_digits() -> None:
    # A billionth of the capacity in the corner of the box: relative, not absolute, precision.
    box = solids.box(Point(-0.2, -0.6, -0.1), Point(0.2, 0.6, 0.1))
    gravity = pull(20.0, 10.0)
    lowest = float(extreme_elevations(box, gravity)[0][0])
    surface = lowest + 1e-4
    expected = box_under_plane(Point(-0.2, -0.6, -0.1), Point(0.2, 0.6, 0.1), gravity, surface)
    assert expected < 1e-9 * solids.capacity(box)
    assert below(box, gravity, surface) == pytest.approx(expected, rel=1e-10)


# --- other bodies ------------------------------------------------------------------------------


def test_tetrahedron_by_hand() -> None:
    # Apex down: similar bodies, so the volume goes with the cube of the depth.
    corners = [Point(0, 0, 0), Point(1, 0, 1), Point(0, 1, 1), Point(-1, -1, 1)]
    tank = solids.cells([corners])
    assert solids.capacity(tank) == pytest.approx(0.5, rel=1e-14)
    for depth in (0.01, 0.3, 0.9):
        assert below(tank, LEVEL, depth) == pytest.approx(0.5 * depth**3, rel=1e-13)
        assert below(tank, -LEVEL, -depth) == pytest.approx(0.5 * (1 - depth**3), rel=1e-13)
        assert level_of(tank, LEVEL, 0.5 * depth**3) == pytest.approx(depth, rel=1e-12)


def test_vee_bottom_prism_by_hand() -> None:
    # A trough of triangular section: volume goes with the square of the depth.
    section = ((0.0, 0.0), (0.3, 0.4), (-0.3, 0.4))
    trough = solids.lofted(section_at(section, 0.0), section_at(section, 2.0))
    for depth in (0.05, 0.2, 0.39):
        expected = 0.5 * depth * (0.6 * depth / 0.4) * 2.0
        assert below(trough, LEVEL, depth) == pytest.approx(expected, rel=1e-13)


@pytest.mark.parametrize(("pitch", "roll"), [(0, 0), (12, 0), (-15, 3), (30, -4), (8, 90), (20, 2)])
@pytest.mark.parametrize("outline", [SECTION, ELL])
@pytest.mark.parametrize("shrink", [1.0, 0.6])
def test_bay_against_integration(
    pitch: float, roll: float, outline: tuple[tuple[float, float], ...], shrink: float
) -> None:
    # Swept, raised and tapered; similar sections, so that the sides are flat and the
    # integration (clipped sections by quadrature, shares no code) sees the same body.
    root = section_at(outline, 0.4)
    tip = section_at(tuple((0.1 + shrink * x, 0.15 + shrink * z) for x, z in outline), 1.9)
    bay = solids.lofted(root, tip)
    gravity = pull(pitch, roll)
    lowest, highest = (float(ends[0]) for ends in extreme_elevations(bay, gravity))
    for share in (0.05, 0.31, 0.6, 0.93):
        surface = lowest + share * (highest - lowest)
        expected = by_integration(root, tip, gravity, surface)
        tolerance = 1e-9 * solids.capacity(bay)
        assert below(bay, gravity, surface) == pytest.approx(expected, abs=tolerance)


@pytest.mark.parametrize(("pitch", "roll"), [(0, 0), (14, 0), (-10, 25), (30, -5), (75, 40)])
def test_non_convex_section_is_two_boxes(pitch: float, roll: float) -> None:
    bay = solids.lofted(section_at(ELL, 0.0), section_at(ELL, 1.0))
    low = solids.box(Point(0.0, 0.0, 0.0), Point(0.6, 1.0, 0.1))
    high = solids.box(Point(0.0, 0.0, 0.1), Point(0.2, 1.0, 0.3))
    gravity = pull(pitch, roll)
    for surface in np.linspace(-0.7, 0.7, 29):
        both = below(low, gravity, surface) + below(high, gravity, surface)
        assert below(bay, gravity, surface) == pytest.approx(both, abs=1e-15)


@pytest.mark.parametrize(("pitch", "roll"), [(0, 0), (14, 0), (-10, 25), (30, -5)])
def test_cells_are_the_same_as_the_bay(pitch: float, roll: float) -> None:
    root = section_at(SECTION, 0.0)
    tip = section_at(tuple((0.05 + 0.7 * x, 0.7 * z) for x, z in SECTION), 1.2)
    bay = solids.lofted(root, tip)
    front = [side[k] for side in (root, tip) for k in (0, 1, 4, 5)]
    back = [side[k] for side in (root, tip) for k in (1, 2, 3, 4)]
    tank = solids.cells([front, back])
    assert solids.capacity(tank) == pytest.approx(solids.capacity(bay), rel=1e-13)
    gravity = pull(pitch, roll)
    for surface in np.linspace(-0.4, 0.4, 17):
        assert below(tank, gravity, surface) == pytest.approx(
            below(bay, gravity, surface), abs=1e-15
        )


def test_convex_bay_against_half_space_intersection() -> None:
    # scipy's Qhull cuts the body with the surface as one more half space.
    root = section_at(SECTION, 0.0)
    tip = section_at(tuple((0.05 + 0.7 * x, 0.1 + 0.7 * z) for x, z in SECTION), 1.2)
    bay = solids.lofted(root, tip)
    planes = scipy.spatial.ConvexHull(np.array([*root, *tip])).equations
    for pitch, roll in ((10.0, 3.0), (-15.0, -8.0), (30.0, 45.0)):
        gravity = pull(pitch, roll)
        quantity = 0.4 * solids.capacity(bay)
        surface = level_of(bay, gravity, quantity)
        cut = np.vstack([planes, [*-gravity[0], -surface]])
        inside = (np.array([*root, *tip]).mean(axis=0) + lowest_corner(bay, gravity) * 9.0) / 10.0
        body = scipy.spatial.HalfspaceIntersection(cut, inside).intersections
        assert scipy.spatial.ConvexHull(body).volume == pytest.approx(quantity, rel=1e-11)


def lowest_corner(solid: Solid, gravity: FloatArray) -> FloatArray:
    corners = np.array(solid.corners)
    lowest: FloatArray = corners[int(np.argmax(corners @ gravity[0]))]
    return lowest


# --- edges of the domain -----------------------------------------------------------------------


def test_empty_and_full_are_the_ends_of_the_tank() -> None:
    gravity = pull(12.0, -7.0)
    lowest, highest = extreme_elevations(BOX, gravity)
    capacity = solids.capacity(BOX)
    assert level_of(BOX, gravity, 0.0) == lowest[0]
    assert level_of(BOX, gravity, capacity) == highest[0]
    corners = -(np.array(BOX.corners) @ gravity[0])
    assert lowest[0] == pytest.approx(corners.min(), rel=1e-14)
    assert highest[0] == pytest.approx(corners.max(), rel=1e-14)


@pytest.mark.parametrize("beyond", [-1e-8, -1.0, 1.0 + 1e-8, 2.0, np.nan, np.inf, -np.inf])
def test_impossible_quantity_is_nan(beyond: float) -> None:
    assert math.isnan(level_of(BOX, LEVEL, beyond * solids.capacity(BOX)))


@pytest.mark.parametrize("rounding", [-1e-10, 1.0 + 1e-10])
def test_rounding_is_not_an_impossible_quantity(rounding: float) -> None:
    assert math.isfinite(level_of(BOX, LEVEL, rounding * solids.capacity(BOX)))


@pytest.mark.parametrize("gravity", [[0.0, 0.0, 0.0], [np.nan, 0.0, -1.0]])
def test_without_gravity_there_is_no_surface(gravity: list[float]) -> None:
    assert math.isnan(level_of(BOX, np.array([gravity]), 0.03))
    assert math.isnan(below(BOX, np.array([gravity]), 1.2))


def test_surface_outside_the_tank() -> None:
    capacity = solids.capacity(BOX)
    assert below(BOX, LEVEL, -1e6) == pytest.approx(0.0, abs=1e-16)
    assert below(BOX, LEVEL, 1e6) == pytest.approx(capacity, rel=1e-14)
    assert below(BOX, LEVEL, math.inf) == pytest.approx(capacity, rel=1e-14)
    assert math.isnan(below(BOX, LEVEL, math.nan))


def test_one_bad_scenario_does_not_touch_the_others() -> None:
    gravity = np.concatenate([pull(5.0, 0.0), pull(5.0, 0.0), pull(5.0, 0.0)])
    levels = surface_elevation(BOX, gravity, np.array([0.03, 9.0, 0.03]))
    assert levels[0] == levels[2] == level_of(BOX, pull(5.0, 0.0), 0.03)
    assert math.isnan(levels[1])


def test_fill_factor_scales_the_quantity() -> None:
    part = solids.box(BOX_LOW, BOX_HIGH, fill_factor=0.95)
    gravity = pull(9.0, 4.0)
    assert solids.capacity(part) == pytest.approx(0.95 * solids.capacity(BOX), rel=1e-15)
    surface = level_of(BOX, gravity, 0.02)
    assert below(part, gravity, surface) == pytest.approx(0.95 * 0.02, rel=1e-12)
    assert level_of(part, gravity, 0.95 * 0.02) == pytest.approx(surface, rel=1e-12)


def test_gap_between_cells_is_bridged() -> None:
    # Two separate cells one above the other: with the lower one full the surface is in between.
    lower = itertools.product((0.0, 1.0), (0.0, 1.0), (0.0, 0.1))
    upper = itertools.product((0.0, 1.0), (0.0, 1.0), (0.3, 0.4))
    tank = solids.cells([[Point(*p) for p in lower], [Point(*p) for p in upper]])
    assert level_of(tank, LEVEL, 0.05) == pytest.approx(0.05, rel=1e-13)
    assert level_of(tank, LEVEL, 0.15) == pytest.approx(0.35, rel=1e-13)
    assert 0.1 - 1e-12 <= level_of(tank, LEVEL, 0.1) <= 0.3 + 1e-12


def test_batch_is_the_same_as_one_by_one() -> None:
    angles = np.linspace(-40.0, 60.0, 3001)
    gravity = np.concatenate([pull(a, a / 3.0) for a in angles])
    quantity = solids.capacity(BOX) * (0.5 + 0.5 * np.cos(angles))
    together = surface_elevation(BOX, gravity, quantity)
    for k in range(0, len(angles), 300):
        assert together[k] == pytest.approx(
            level_of(BOX, gravity[k : k + 1], float(quantity[k])), abs=1e-14
        )
    back = volume_below(BOX, gravity, together)
    assert np.abs(back - quantity).max() <= 1e-12 * solids.capacity(BOX)


def test_one_attitude_serves_many_quantities() -> None:
    levels = surface_elevation(BOX, LEVEL, np.linspace(0.0, solids.capacity(BOX), 5))
    assert levels == pytest.approx(np.linspace(1.1, 1.3, 5), rel=1e-13)
