"""Every pitch at which an outlet uncovers or covers is found, also two between whole degrees."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.attitude import height
from flowsim.physics.fuel.properties import density
from flowsim.physics.tank.solids import box, cells, lofted
from flowsim.physics.tank.surface import surface_elevation_of
from flowsim.physics.tank.volume import volume_below
from flowsim.studies.judged.flight_conditions import gravity_along
from flowsim.studies.judged.pitches import (
    HeightCrossings,
    PitchStretch,
    crossings,
    distinct,
    whole_degrees,
    without,
)
from flowsim.studies.judged.scenarios import CLIMB, DESCENT, scenario_table
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Solid, StatedLevel
from tests.support.systems import flight, one_tank, tank, two_tanks

STEP = np.radians(0.02)


def random_solid(generator: np.random.Generator) -> Solid:
    """A box, a tapered and swept bay, or two cells with a neck between them (invented)."""
    kind = generator.integers(3)
    a, b, c = generator.uniform([0.3, 0.3, 0.08], [1.2, 1.5, 0.3])
    if kind == 0:
        return box(Point(1.0, 0.0, 1.4), Point(1.0 + a, b, 1.4 + c))
    if kind == 1:
        sweep, rise, taper = generator.uniform([-0.2, 0.0, 0.4], [0.3, 0.2, 1.0])
        root = [(1.0, 1.4), (1.0 + a, 1.4 + 0.02), (1.0 + a, 1.4 + c), (1.0, 1.4 + 0.9 * c)]
        tip = [(1.0 + sweep + taper * (s - 1.0), 1.4 + rise + taper * (w - 1.4)) for s, w in root]
        return lofted([Point(s, 0.0, w) for s, w in root], [Point(s, b, w) for s, w in tip])
    first = [(s, y, w) for s in (1.0, 1.0 + a) for y in (0.0, b) for w in (1.4, 1.4 + c)]
    second = [(1.0 + a + 0.9 * s, 0.3 * b + 0.5 * y, w - 0.3 * c) for s, y, w in first]
    second = [(s - 0.9, y, w) for s, y, w in second]
    return cells([[Point(*p) for p in first], [Point(*p) for p in second]])


def depth(shape, outlet: Point, quantity: float, pitch: np.ndarray, forward=0.0) -> np.ndarray:
    """Depth over an outlet, pitch by pitch, without any short cut."""
    gravity = gravity_along(pitch, np.zeros(len(pitch)), forward)
    surface = surface_elevation_of(shape, gravity, np.full(len(pitch), quantity))
    return surface - height(np.array([outlet]), gravity)[:, 0]


def changes(values: np.ndarray, pitch: np.ndarray) -> np.ndarray:
    """Pitches in the middle of steps in which the sign changes."""
    at = np.flatnonzero((values[1:] > 0) != (values[:-1] > 0))
    return 0.5 * (pitch[at] + pitch[at + 1])


def of_one(shape, outlet: Point, quantity: float, stretch: PitchStretch, over: float) -> np.ndarray:
    """Crossings of a system that has this tank and outlet alone, sorted."""
    base = one_tank()
    wing = tank("wing", Point(1.2, -0.3, 1.4), Point(1.7, 0.3, 1.55), {"rear": outlet})
    system = replace(base, tanks=(replace(wing, shape=shape),))
    found = crossings(
        assemble(system), np.array([[quantity]]), np.array([0]), stretch, np.array([over])
    )
    assert (np.diff(found.pitch, axis=1) <= STEP + 1e-12).all()
    return np.sort(found.pitch.mean(axis=1))


class TestPairs:
    @pytest.mark.parametrize("sink", [5e-6, 2e-5])
    def test_an_outlet_that_covers_and_uncovers_within_a_degree(self, sink):
        """Nose-up the fuel leaves the front: over a point behind it the depth has a summit.

        The summit is put between two whole degrees and just above the critical dip.
        """
        shape = tank(
            "t", Point(1.0, -0.5, 1.4), Point(2.0, 0.5, 1.9), {"o": Point(1.9, 0, 1.4)}
        ).shape
        quantity = 0.012
        fine = np.radians(np.arange(3.0, 9.0, 0.002))
        for station in np.linspace(1.6, 1.95, 351):
            outlet = Point(float(station), 0.0, 1.4)
            values = depth(shape, outlet, quantity, fine)
            top = int(np.argmax(values))
            where = np.degrees(fine[top]) % 1.0
            if 0 < top < len(fine) - 1 and 0.45 < where < 0.55:
                break
        else:
            pytest.fail("no outlet has its summit between whole degrees")
        over = float(values.max()) - sink
        expected = changes(values - over, fine)
        assert len(expected) == 2
        assert np.degrees(np.ptp(expected)) < 1.0
        whole = np.radians(np.arange(3.0, 9.0))
        assert not len(changes(depth(shape, outlet, quantity, whole) - over, whole))  # unseen
        stretch = PitchStretch.between(np.radians(3.0), np.radians(9.0))
        found = of_one(shape, outlet, quantity, stretch, over)
        np.testing.assert_allclose(found, expected, atol=STEP)

    @pytest.mark.parametrize("seed", range(24))
    @pytest.mark.parametrize("forward", [0.0, 3.0])
    def test_against_a_fine_scan_of_random_tanks(self, seed, forward):
        generator = np.random.default_rng(seed)
        shape = random_solid(generator)
        corners = np.array(shape.corners)
        low, high = corners.min(axis=0), corners.max(axis=0)
        full = float(volume_below(shape, np.array([[0.0, 0.0, -1.0]]), np.array([1e3]))[0])
        quantity = full * generator.uniform(0.05, 0.6)
        stretch = PitchStretch.between(np.radians(-7.3), np.radians(18.6), forward)
        fine = np.linspace(stretch.low, stretch.high, 12001)
        for _ in range(3):
            outlet = Point(*(float(v) for v in low + generator.uniform(0.0, 0.6, 3) * (high - low)))
            over = generator.uniform(0.0, 0.05)
            expected = changes(depth(shape, outlet, quantity, fine, forward) - over, fine)
            found = of_one(shape, outlet, quantity, stretch, over)
            for pitch in expected:
                assert np.abs(found - pitch).min() < STEP

    def test_the_depth_never_changes_faster_than_the_bound(self):
        """A surface turns about its centroid: the law that lets stretches be skipped."""
        for seed in range(20):
            generator = np.random.default_rng(100 + seed)
            shape = random_solid(generator)
            corners = np.array(shape.corners)
            outlet = Point(*(float(v) for v in corners[0]))
            full = float(volume_below(shape, np.array([[0.0, 0.0, -1.0]]), np.array([1e3]))[0])
            pitch = np.linspace(-0.2, 0.4, 2001)
            reach = np.linalg.norm(corners - np.array(outlet), axis=1).max()
            for forward in (0.0, 3.0):
                values = depth(shape, outlet, 0.3 * full, pitch, forward)
                slope = np.abs(np.diff(values) / np.diff(pitch)).max()
                assert slope <= reach * np.hypot(1.0, forward / 9.80665) * (1 + 1e-6)


class TestSmall:
    def test_no_stretch_no_crossing(self):
        found = crossings(
            assemble(two_tanks()), np.array([[0.01, 0.01]]), np.array([0]),
            PitchStretch.between(0.1, 0.1), np.array([0.0]),
        )  # fmt: skip
        assert found.pitch.shape == (0, 2)

    def test_an_empty_tank_and_a_stated_level(self):
        """The first covers nothing; the second turns about its stated point."""
        shape = StatedLevel(surface=Point(1.2, 0.0, 1.5))
        outlet = Point(1.6, 0.0, 1.45)
        stretch = PitchStretch.between(np.radians(-20.0), np.radians(10.0))
        found = of_one(shape, outlet, 0.0, stretch, 0.0)
        # 0.05 m over it, 0.4 m behind: covered from -atan(0.05/0.4) on.
        np.testing.assert_allclose(found, [-np.arctan(0.125)], atol=STEP)
        solid = tank("t", Point(1.2, -0.3, 1.4), Point(1.7, 0.3, 1.55), {"o": outlet}).shape
        assert not len(of_one(solid, outlet, 0.0, stretch, -0.05))

    def test_a_dip_table_turns_about_its_stick(self):
        """40 mm on the stick, the outlet at the height of its foot and 0.4 m behind it."""
        table = DipTable(
            at=Point(1.2, 0.0, 1.45), dips=(0.0, 0.1), quantities=(0.0, 0.02), pitch=0.0, roll=0.0
        )
        stretch = PitchStretch.between(np.radians(-20.0), np.radians(10.0))
        found = of_one(table, Point(1.6, 0.0, 1.45), 0.008, stretch, 0.0)
        np.testing.assert_allclose(found, [-np.arctan(0.1)], atol=STEP)

    @pytest.mark.parametrize("empty", [0, 1])
    def test_an_empty_tank_beside_a_full_one_hides_nothing_of_it(self, empty):
        """Mirrored tanks: what is found of the one is found of the other at the same pitches."""
        stretch = PitchStretch.between(0.0, np.radians(15.0))
        quantity = np.full((1, 2), 0.03)
        both = crossings(
            assemble(two_tanks()), quantity, np.array([0]), stretch, np.array([0.006])
        )  # fmt: skip
        quantity[0, empty] = 0.0
        one = crossings(
            assemble(two_tanks()), quantity, np.array([0]), stretch, np.array([0.006])
        )  # fmt: skip
        assert set(one.tank) == {1 - empty}
        np.testing.assert_allclose(one.pitch, both.pitch[both.tank == 1 - empty])

    def test_crossings_inside_of_one_state_are_those_of_its_tanks_alone(self):
        found = HeightCrossings(
            state=np.array([0, 0, 1, 1]),
            tank=np.array([0, 1, 0, 1]),
            height=np.array([0, 1, 0, 1]),
            pitch=np.array([[0.1, 0.2], [0.3, 0.4], [0.5, 0.6], [0.7, 0.8]]),
            falls=np.array([True, True, False, False]),
        )
        # Inside is above the first height and below the second: where the fuel falls, before the
        # one and behind the other.
        assert found.inside(frozenset({0, 1})).tolist() == [0.1, 0.4, 0.6, 0.7]
        assert found.inside(frozenset({0}), 1).tolist() == [0.6]
        assert found.inside(frozenset({1}), 0).tolist() == [0.4]

    def test_whole_degrees_are_counted_from_level_flight(self):
        level = np.radians(1.5)
        stretch = PitchStretch.between(level, np.radians(9.2))
        found = np.degrees(whole_degrees(stretch, level, 2))
        np.testing.assert_allclose(found, [1.5, 3.5, 5.5, 7.5, 9.2])
        for low, high, expected in (
            (-7.0, 1.5, [-7.0, -6.5, -4.5, -2.5, -0.5, 1.5]),
            (4.0, 8.0, [4.0, 5.5, 7.5, 8.0]),
        ):
            stretch = PitchStretch.between(np.radians(low), np.radians(high))
            found = np.degrees(whole_degrees(stretch, level, 2))
            np.testing.assert_allclose(found, expected)

    def test_what_is_the_same_but_for_rounding_is_one(self):
        np.testing.assert_allclose(distinct(np.array([0.3, 0.1, 0.1 + 1e-12])), [0.1, 0.3])
        assert without(np.array([0.1, 0.2]), np.array([0.2 + 1e-12])).tolist() == [0.1]
        assert without(np.array([0.1, 0.2]), np.zeros(0)).tolist() == [0.1, 0.2]


class TestJudged:
    def test_both_ends_of_every_doubt_are_judged(self):
        """In the climb and in the descent, at the dip of the flow that is asked for there.

        Just inside, where both states of the outlet are judged.
        """
        base = two_tanks(flight=flight(descent_pitch=np.radians(-9.0)))
        system = replace(base, engine=replace(base.engine, descent_burn=0.002))
        assembly = assemble(system)
        table = scenario_table(assembly)
        seen = 0
        for purpose, low, high in ((CLIMB, 0.0, 15.0), (DESCENT, -9.0, 0.0)):
            mine = np.flatnonzero((table.purpose == purpose) & (table.scenarios.position == 0))
            required = float(table.required[mine[0]])
            dip = float(critical_dip(required / density(system.fuel, 288.15)))
            fine = np.radians(np.arange(low, high, 0.01))
            for number in np.unique(table.state[mine]):
                rows = mine[table.state[mine] == number]
                judged = np.unique(table.scenarios.pitch[rows])
                fuel = table.states[number].quantity[0]
                for outlet in system.tanks[0].outlets:
                    over = depth(system.tanks[0].shape, outlet.at, fuel, fine)
                    away = 2.0 * np.sqrt(2.0) * system.height_deviation
                    bare, sure = dip - away, 5.0 * dip + away
                    for end in (bare, sure):
                        for pitch in changes(over - end, fine):
                            seen += 1
                            near = judged[np.abs(judged - pitch) < 2 * STEP]
                            here = depth(system.tanks[0].shape, outlet.at, fuel, near)
                            assert ((here >= bare) & (here < sure)).any()
        assert seen >= 6

    def test_a_doubt_between_whole_degrees_is_judged(self):
        """Fuel leaves an outlet in doubt for half a degree only; no whole degree shows it."""
        base = one_tank(height_deviation=0.0)
        (tank_,) = base.tanks
        (outlet,) = tank_.outlets
        long = replace(
            tank_, shape=box(Point(1.2, -0.3, 1.4), Point(9.2, 0.3, 1.9)),
            unusable=0.36, least_takeoff=0.5,
        )  # fmt: skip
        dip = float(critical_dip(base.engine.burn * 1.5 / density(base.fuel, 288.15)))
        fine = np.radians(np.arange(0.0, 15.0, 0.002))
        for station in np.linspace(1.3, 5.0, 371):
            at = outlet.at._replace(station=float(station))
            over = depth(long.shape, at, 0.36 + base.test_draw, fine)
            inside = np.degrees(fine[(over >= dip) & (over < 5.0 * dip)])
            if len(inside) and 0.05 < inside.min() % 1.0 < inside.max() % 1.0 < 0.95:
                break
        else:
            pytest.fail("no outlet is in doubt between whole degrees only")
        assert np.ptp(inside) < 1.0
        moved = replace(long, outlets=(replace(outlet, at=at),))
        table = scenario_table(assemble(replace(base, tanks=(moved,))))
        mine = table.judged & (table.state == 0) & (table.purpose == CLIMB)
        pitches = np.degrees(table.scenarios.pitch[mine])
        seen = (pitches > inside.min() - 0.03) & (pitches < inside.max() + 0.03)
        assert seen.any()
