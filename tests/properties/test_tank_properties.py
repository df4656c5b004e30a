"""Properties that hold for any tank at any attitude."""

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank import solids
from flowsim.physics.tank.solid_surface import arrays_of
from flowsim.physics.tank.surface_table import SurfaceTable
from flowsim.physics.tank.volume import (
    ROUND_TRIP,
    extreme_elevations,
    surface_elevation,
    volume_below,
)
from flowsim.system.points import Point
from flowsim.system.tanks import Solid

angles = st.floats(-math.pi, math.pi)
shares = st.floats(0.0, 1.0)
offsets = st.floats(-50.0, 50.0)
sizes = st.floats(0.05, 3.0)


@st.composite
def gravities(draw: st.DrawFn) -> FloatArray:
    """Any direction, with round angles often, and any strength from 0.1 to 4."""
    pitch = draw(st.one_of(angles, st.sampled_from([0.0, math.pi / 2, math.radians(15.0)])))
    roll = draw(st.one_of(angles, st.sampled_from([0.0, math.pi / 2, 1e-12, 1e-7])))
    strength = draw(st.floats(0.1, 4.0))
    g = [math.sin(pitch), math.sin(roll) * math.cos(pitch), -math.cos(roll) * math.cos(pitch)]
    return strength * np.array([g])


@st.composite
def boxes(draw: st.DrawFn) -> Solid:
    low = [draw(offsets) for _ in range(3)]
    high = [edge + draw(sizes) for edge in low]
    return solids.box(Point(*low), Point(*high), draw(st.floats(0.5, 1.0)))


@st.composite
def bays(draw: st.DrawFn) -> Solid:
    """Lofted bays with a star-shaped root, taper, sweep, dihedral and some twist."""
    count = draw(st.integers(3, 8))
    radii = [draw(st.floats(0.5, 1.0)) for _ in range(count)]
    chord, depth, span = draw(sizes), draw(st.floats(0.05, 0.5)), draw(st.floats(0.3, 3.0))
    taper, sweep, rise = draw(st.floats(0.3, 1.0)), draw(st.floats(-0.5, 0.5)), draw(shares)
    twist = draw(st.sampled_from([0.0, 0.05, -0.2]))
    origin = [draw(offsets) for _ in range(3)]
    root, tip = [], []
    for k, radius in enumerate(radii):
        turn = 2.0 * math.pi * k / count
        x, z = chord * radius * math.cos(turn), depth * radius * math.sin(turn)
        root.append(Point(origin[0] + x, origin[1], origin[2] + z))
        x, z = taper * x, taper * (z + twist * depth / chord * x)
        tip.append(Point(origin[0] + sweep + x, origin[1] + span, origin[2] + 0.2 * rise + z))
    return solids.lofted(root, tip)


@st.composite
def pairs_of_cells(draw: st.DrawFn) -> Solid:
    """Two cells with a sloping wall between them, or with a gap."""
    a, b, c = draw(sizes), draw(sizes), draw(sizes)
    lean, gap = draw(st.floats(-0.04, 0.04)), draw(st.sampled_from([0.0, 0.3]))
    wall = [(a + lean * z, y, z) for y in (0.0, b) for z in (0.0, c)]
    first = [(-0.2, y, z) for y in (0.0, b) for z in (0.0, c)] + wall
    second = [(x + gap, y, z) for x, y, z in wall]
    second += [(2.0 * a + 1.0, y, z) for y in (0.0, b) for z in (0.1, c + 0.1)]
    return solids.cells([[Point(*p) for p in first], [Point(*p) for p in second]])


tanks = st.one_of(boxes(), bays(), pairs_of_cells())


def below(solid: Solid, gravity: FloatArray, surface: float) -> float:
    return float(volume_below(solid, gravity, np.array([surface]))[0])


@given(tanks, gravities(), st.lists(st.one_of(shares, st.floats(0.0, 1e-6)), min_size=1))
@settings(max_examples=150, deadline=None)
def test_round_trip_at_any_attitude(tank: Solid, gravity: FloatArray, parts: list[float]) -> None:
    capacity = solids.capacity(tank)
    quantity = capacity * np.array(parts)
    surface = surface_elevation(tank, gravity, quantity)
    assert np.all(np.isfinite(surface))
    back = volume_below(tank, gravity, surface)
    assert np.abs(back - quantity).max() <= ROUND_TRIP * capacity
    lowest, highest = extreme_elevations(tank, gravity)
    assert np.all((surface >= lowest - 1e-12) & (surface <= highest + 1e-12))


@given(tanks, gravities(), shares, shares)
@settings(max_examples=60, deadline=None)
def test_higher_surface_never_holds_less(
    tank: Solid, gravity: FloatArray, one: float, other: float
) -> None:
    lowest, highest = (float(end[0]) for end in extreme_elevations(tank, gravity))
    low, high = (lowest + share * (highest - lowest) for share in sorted((one, other)))
    slack = 1e-13 * solids.capacity(tank)
    assert below(tank, gravity, low) <= below(tank, gravity, high) + slack


@given(tanks, gravities(), shares, shares)
@settings(max_examples=60, deadline=None)
def test_more_fuel_never_stands_lower(
    tank: Solid, gravity: FloatArray, one: float, other: float
) -> None:
    quantity = solids.capacity(tank) * np.array(sorted((one, other)))
    surface = surface_elevation(tank, gravity, quantity)
    assert surface[0] <= surface[1] + 1e-9 or quantity[1] - quantity[0] < 1e-12


@given(tanks, gravities(), shares)
@settings(max_examples=60, deadline=None)
def test_below_and_above_make_the_whole(tank: Solid, gravity: FloatArray, share: float) -> None:
    lowest, highest = (float(end[0]) for end in extreme_elevations(tank, gravity))
    surface = lowest + share * (highest - lowest)
    # Upside down, what was above the plane is below it.
    both = below(tank, gravity, surface) + below(tank, -gravity, -surface)
    assert both == pytest.approx(solids.capacity(tank), rel=1e-12)


@given(tanks, gravities(), shares, st.floats(0.2, 5.0))
@settings(max_examples=40, deadline=None)
def test_strength_of_gravity_only_scales_elevations(
    tank: Solid, gravity: FloatArray, share: float, factor: float
) -> None:
    quantity = np.array([share * solids.capacity(tank)])
    surface = surface_elevation(tank, gravity, quantity)
    scaled = factor * surface
    back = volume_below(tank, factor * gravity, scaled)
    assert np.abs(back - quantity).max() <= ROUND_TRIP * solids.capacity(tank)


@given(bays(), gravities(), shares)
@settings(max_examples=40, deadline=None)
def test_mirrored_tank_in_mirrored_attitude(tank: Solid, gravity: FloatArray, share: float) -> None:
    mirrored = Solid(
        corners=tuple(Point(x, -y, z) for x, y, z in tank.corners),
        triangles=tuple((c, b, a) for a, b, c in tank.triangles),
        fill_factor=tank.fill_factor,
    )
    surface = surface_elevation(tank, gravity, np.array([share * solids.capacity(tank)]))
    there = volume_below(mirrored, gravity * np.array([1.0, -1.0, 1.0]), surface)
    assert there[0] == pytest.approx(share * solids.capacity(tank), abs=1e-12 * (1.0 + there[0]))


@given(tanks, gravities(), shares, angles, angles, angles)
@settings(max_examples=60, deadline=None)
def test_turning_tank_and_gravity_together_changes_nothing(
    tank: Solid, gravity: FloatArray, share: float, one: float, two: float, three: float
) -> None:
    turn = np.eye(3)
    for axis, angle in enumerate((one, two, three)):
        step = np.eye(3)
        first, second = [k for k in range(3) if k != axis]
        step[first, first] = step[second, second] = math.cos(angle)
        step[first, second], step[second, first] = -math.sin(angle), math.sin(angle)
        turn = step @ turn
    turned = Solid(
        corners=tuple(Point(*(turn @ np.array(corner))) for corner in tank.corners),
        triangles=tank.triangles,
        fill_factor=tank.fill_factor,
    )
    assert solids.capacity(turned) == pytest.approx(solids.capacity(tank), rel=1e-10)
    lowest, highest = (float(end[0]) for end in extreme_elevations(tank, gravity))
    surface = lowest + share * (highest - lowest)
    tolerance = 1e-9 * solids.capacity(tank)
    assert below(turned, gravity @ turn.T, surface) == pytest.approx(
        below(tank, gravity, surface), abs=tolerance
    )


@given(bays())
@settings(max_examples=40, deadline=None)
def test_middle_of_the_corners_is_in_a_bay_and_far_points_are_not(tank: Solid) -> None:
    low, high = solids.extent(tank)
    used = np.array(tank.corners)
    assert solids.contains(tank, tank.corners[0], 1e-9)
    beyond = Point(*(np.array(high) + 0.1))
    assert not solids.contains(tank, beyond, 0.05)
    assert np.all(used.min(axis=0) == np.array(low))


@settings(max_examples=150)
@given(tanks, gravities(), st.lists(shares, min_size=1, max_size=20))
def test_the_table_of_an_attitude_gives_every_quantity_back(tank, gravity, parts):
    """Within what the direct way aims at; rarely a table is not good enough, and says so."""
    table = SurfaceTable(arrays_of(tank), gravity[0])
    capacity = solids.capacity(tank)
    quantity = capacity * np.array([*parts, 0.0, 1.0])
    found = table.elevation(quantity)
    assume(table.is_good)
    back = volume_below(tank, np.tile(gravity, (len(found), 1)), found)
    assert (np.abs(back - quantity) <= 1e-10 * capacity).all()
    low, high = extreme_elevations(tank, gravity)
    assert ((found >= low - 1e-12) & (found <= high + 1e-12)).all()
