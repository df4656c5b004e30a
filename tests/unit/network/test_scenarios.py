"""What attitude, quantity, vents and the chosen end impose on the network."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly, assemble
from flowsim.network.conditions import BACKWARD, FORWARD, Conditions, Factors
from flowsim.network.scenarios import CARBURETTOR, DEMAND, END_NAMES, OPEN_LINE, situate
from flowsim.physics.attitude import effective_gravity
from flowsim.system.calibration import Calibration
from flowsim.system.engine import Carburettor
from flowsim.system.parts import OneWayValve
from flowsim.system.points import Point
from flowsim.system.tanks import Vent
from tests.support.plain_systems import DENSITY, VISCOSITY, liquid, plain, reservoir, run, situation
from tests.support.small_networks import fitting
from tests.support.systems import one_tank, two_tanks

WEIGHT = DENSITY * STANDARD_GRAVITY
BOTH = FORWARD | BACKWARD
STANDARD = Carburettor(parts=(), float_level=Point(0.55, 0.0, 0.45), bowl_pressure=700.0)
LEAST = Carburettor(parts=(), float_level=None, least_inlet_pressure=3000.0)


def boxed(carburettor: Carburettor | None = None, **given) -> Assembly:
    """A box tank of 0.5 m x 0.6 m, floor at 1.4 m, 0.15 m deep; liquid of constant density."""
    system = one_tank(fuel=liquid(), **given)
    return assemble(replace(system, engine=replace(system.engine, carburettor=carburettor)))


def with_vents(assembly: Assembly, *coefficients: float) -> Assembly:
    tanks = tuple(
        replace(
            tank,
            vent=Vent(
                kind="flush",
                pressure_coefficient=value,
                coefficient_low=value,
                coefficient_high=value,
                group=tank.name,
            ),
        )
        for tank, value in zip(assembly.system.tanks, coefficients, strict=True)
    )
    return assemble(replace(assembly.system, tanks=tanks))


class TestSurfaceAndHead:
    def test_one_scenario_alone_is_the_same_as_among_others(self):
        """An empty tank covers nothing, its sump may lie lower; whoever else is asked for."""
        base = boxed()
        tank = base.system.tanks[0]
        sunk = replace(tank.outlets[0], at=Point(1.69, 0.0, 1.35))
        assembly = assemble(replace(base.system, tanks=(replace(tank, outlets=(sunk,)),)))
        together = situation(assembly, [0.0] * 3, quantity=[[0.0], [0.03], [0.0]])
        for row, quantity in enumerate((0.0, 0.03)):
            alone = situation(assembly, quantity=[[quantity]])
            assert alone.surface[0, 0] == together.surface[row, 0]
            assert alone.uncovered[0, 0] == together.uncovered[row, 0] == (quantity == 0.0)

    def test_level_the_depth_is_the_quantity_over_the_floor(self):
        """0.03 m3 over 0.3 m2."""
        found = situation(boxed(), quantity=[[0.03]])
        assert found.surface == pytest.approx(np.array([[1.5]]))
        assert found.cover == pytest.approx(np.array([[0.1]]))
        assert found.conditions.fixed_head[0, 0] == pytest.approx(1.5)
        assert not found.uncovered.any()

    def test_nose_up_the_surface_turns_about_the_middle_of_a_box(self):
        """While floor and ends stay wetted: about (1.45, 0, 1.5); what feeds lies lower aft."""
        pitch = np.radians(8.0)
        found = situation(boxed(), [pitch], quantity=[[0.03]])
        middle = 1.5 * np.cos(pitch) - 1.45 * np.sin(pitch)
        outlet = 1.4 * np.cos(pitch) - 1.69 * np.sin(pitch)
        inlet = 0.4 * np.cos(pitch) - 0.5 * np.sin(pitch)
        assert found.surface[0, 0] == pytest.approx(middle)
        assert found.elevation[0] == pytest.approx([outlet, inlet, inlet])
        assert found.cover[0, 0] == pytest.approx(middle - outlet)
        assert found.conditions.fixed_head[0, [0, 2]] == pytest.approx([middle, inlet])

    def test_heads_of_nodes_to_be_solved_are_not_given(self):
        assembly = assemble(two_tanks())
        found = situation(assembly, quantity=[[0.02, 0.02]])
        given = ~np.isnan(found.conditions.fixed_head[0])
        assert given.tolist() == assembly.network.fixed.tolist()

    def test_each_outlet_has_its_own_tank(self):
        """Mirrored boxes of 0.55 m2: 0.011 m3 stand 20 mm, 0.022 m3 stand 40 mm."""
        found = situation(assemble(two_tanks()), quantity=[[0.011, 0.022]])
        assert found.surface == pytest.approx(np.array([[1.52, 1.54]]))
        assert found.cover == pytest.approx(np.array([[0.02, 0.02, 0.04, 0.04]]))
        assert found.conditions.fixed_head[0, :4] == pytest.approx([1.52, 1.52, 1.54, 1.54])

    def test_more_than_the_tank_holds_is_no_head(self):
        """0.045 m3 fill it. NaN goes to the solver, which refuses it; the outlet is not trusted."""
        found = situation(boxed(), [0.0, 0.0], quantity=[[0.046], [0.03]])
        assert np.isnan(found.surface[0, 0])
        assert np.isnan(found.conditions.fixed_head[0, 0])
        assert np.isnan(found.cover[0, 0])
        assert found.uncovered.tolist() == [[True], [False]]
        assert found.conditions.fixed_head[1, 0] == pytest.approx(1.5)

    def test_a_batch_gives_what_each_scenario_gives_alone(self):
        """Attitudes and quantities that repeat, in any order, tanks with different ones."""
        assembly = assemble(two_tanks())
        pitch = np.radians([10.0, 0.0, 10.0, 5.0, 0.0])
        quantity = np.array([[0.01, 0.03], [0.01, 0.01], [0.01, 0.03], [0.03, 0.01], [0.02, 0.01]])
        whole = situation(assembly, pitch, quantity=quantity)
        assert whole.scenarios.count == 5
        for row in range(5):
            alone = situation(assembly, pitch[[row]], quantity=quantity[[row]])
            np.testing.assert_array_equal(whole.surface[row], alone.surface[0])
            np.testing.assert_array_equal(whole.cover[row], alone.cover[0])
            np.testing.assert_array_equal(
                whole.conditions.fixed_head[row], alone.conditions.fixed_head[0]
            )

    def test_a_roll_acts_like_a_pitch_on_its_own_axis(self):
        """Right wing down the right tank stands lower and feeds with less head."""
        roll = np.radians([4.0])
        found = situation(
            assemble(two_tanks()),
            roll=roll,
            gravity=effective_gravity(np.zeros(1), roll),
            quantity=[[0.03, 0.03]],
        )
        depth = 0.03 / 0.55
        expected = [(1.5 + depth) * np.cos(roll[0]) - y * np.sin(roll[0]) for y in (-1.05, 1.05)]
        assert found.surface[0] == pytest.approx(expected)


class TestVents:
    """Dynamic pressure by calibrated airspeed: 1.225 kg/m3 x (30 m/s)^2/2 = 551.25 Pa."""

    assembly = with_vents(assemble(two_tanks(fuel=liquid())), -0.2, 0.4)

    def test_the_vent_acts_in_flight_as_a_column_of_fuel(self):
        found = situation(
            self.assembly,
            [0.0, 0.0],
            quantity=[[0.022, 0.022]] * 2,
            airspeed=[30.0, 0.0],
            altitude=[2000.0, 0.0],
        )
        expected = np.array([[-0.2 * 551.25, 0.4 * 551.25], [0.0, 0.0]])
        assert found.tank_pressure == pytest.approx(expected)
        column = expected[:, [0, 0, 1, 1]] / WEIGHT
        assert found.conditions.fixed_head[:, :4] == pytest.approx(1.54 + column)
        assert found.cover == pytest.approx(np.full((2, 4), 0.04))

    @pytest.mark.parametrize("shape", ["shared", "each"])
    def test_coefficients_of_a_draw_replace_the_stated_ones(self, shape):
        given = np.array([[0.1, -0.3]] if shape == "shared" else [[0.1, -0.3], [0.5, 0.0]])
        found = situation_with(self.assembly, given, airspeed=[30.0, 30.0])
        assert found.tank_pressure == pytest.approx(np.broadcast_to(given * 551.25, (2, 2)))

    def test_an_altitude_beyond_the_standard_is_refused(self):
        with pytest.raises(DomainError, match="12000"):
            situation(self.assembly, quantity=[[0.02, 0.02]], airspeed=[30.0], altitude=[12000.0])


def situation_with(assembly: Assembly, coefficient: np.ndarray, **given):
    """Like ``situation``, with given pressure coefficients, for two scenarios."""
    stated = situation(assembly, [0.0, 0.0], quantity=[[0.022, 0.022]] * 2, **given)
    return situate(assembly, stated.scenarios, pressure_coefficient=coefficient)


class TestCover:
    def test_the_critical_dip_takes_fuel_off_the_cover(self):
        """0.69 (Q^2/g)^0.2, Lubin and Springer 1967 (constant from memory), Q = 0.036/720 m3/s."""
        found = situation(boxed(), [0.0, 0.0], quantity=[[0.03]] * 2, dip_flow=[0.0, 0.036])
        dip = 0.69 * ((0.036 / DENSITY) ** 2 / STANDARD_GRAVITY) ** 0.2
        assert found.cover[:, 0] == pytest.approx([0.1, 0.1 - dip])
        assert found.surface[:, 0] == pytest.approx([1.5, 1.5])
        assert found.conditions.fixed_head[:, 0] == pytest.approx([1.5, 1.5])

    @pytest.mark.parametrize(("surface", "bare"), [(1.401, False), (1.4, True), (1.399, True)])
    def test_an_outlet_that_is_just_reached_counts_as_uncovered(self, surface, bare):
        """Its head is then its own height, never the surface below it."""
        out = Point(1.0, 0.0, 1.4)
        down = run("down", "a.out", "engine", [out, Point(0.5, 0.0, 0.4)], fitting(1.0))
        assembly = assemble(plain([reservoir("a", surface, {"out": out})], [down]))
        found = situation(assembly)
        assert found.uncovered.tolist() == [[bare]]
        assert found.conditions.fixed_head[0, 0] == max(surface, 1.4)
        assert found.conditions.allowed[0, 0] == (BACKWARD if bare else BOTH)

    def test_an_uncovered_outlet_lets_fuel_only_into_its_tank(self):
        """Lines drawn from the tank and towards it; others stay as they are; closed stay closed."""
        first, second, third = (Point(1.0, 0.0, z) for z in (1.4, 1.3, 1.2))
        joint = Point(0.8, 0.0, 0.6)
        tanks = [
            reservoir("low", 1.0, {"one": first, "two": second, "three": third}),
            reservoir("high", 1.5, {"out": first}),
        ]
        lines = [
            run("one", "low.one", "engine", [first, joint], fitting(1.0)),
            run("two", "engine", "low.two", [joint, second], fitting(1.0)),
            replace(run("three", "low.three", "engine", [third, joint]), closed=True),
            run("out", "engine", "high.out", [joint, first], fitting(1.0)),
            replace(run("back", "engine", "low.three", [joint, third]), closed=True),
        ]
        found = situation(assemble(plain(tanks, lines)), [0.0])
        assert found.uncovered.tolist() == [[True, True, True, False]]
        assert found.conditions.allowed[0, :5].tolist() == [BACKWARD, FORWARD, 0, BOTH, 0]

    def test_the_cover_of_each_scenario_decides_for_that_scenario(self):
        """Nose-up the forward outlet of a box runs dry first; nose-down the rear one."""
        assembly = assemble(two_tanks())
        found = situation(assembly, np.radians([12.0, -12.0]), quantity=[[0.005, 0.05]] * 2)
        assert found.uncovered.tolist() == [
            [True, False, False, False],
            [False, True, False, False],
        ]
        names = [link.name for link in assembly.network.links]
        front, rear = names.index("left front"), names.index("left rear")
        assert found.conditions.allowed[:, [front, rear]].tolist() == [
            [BACKWARD, BOTH],
            [BOTH, BACKWARD],
        ]


class TestEnds:
    ends = (OPEN_LINE, CARBURETTOR, DEMAND)

    def of_ends(self, carburettor: Carburettor | None, pitch: float = 0.0):
        return situation(
            boxed(carburettor),
            [pitch] * 3,
            quantity=[[0.03]] * 3,
            end=list(self.ends),
            demand=[0.0072] * 3,
        )

    def test_names(self):
        assert [END_NAMES[end] for end in self.ends] == ["open line", "carburettor", "demand"]

    def test_one_end_is_open_at_a_time(self):
        """The open end only lets out; through the carburettor fuel may stand either way."""
        found = self.of_ends(STANDARD).conditions.allowed
        assert found.tolist() == [[BOTH, FORWARD, 0], [BOTH, 0, BOTH], [BOTH, 0, 0]]
        assert self.of_ends(None).conditions.allowed.tolist() == [
            *([BOTH, FORWARD], [BOTH, 0], [BOTH, 0])
        ]

    def test_a_demand_is_drawn_from_the_inlet_alone(self):
        """0.0072 kg/s of 720 kg/m3 are 1e-5 m3/s; the other ends draw nothing."""
        assembly = boxed(STANDARD)
        found = self.of_ends(STANDARD).conditions.demand
        expected = np.zeros((3, len(assembly.network.node_names)))
        expected[2, assembly.inlet] = 1e-5
        assert found == pytest.approx(expected, rel=1e-12, abs=0.0)

    def test_the_bowl_is_held_at_its_fuel_level_and_the_pressure_of_its_air(self):
        pitch = np.radians(10.0)
        found = self.of_ends(STANDARD, pitch)
        level = 0.45 * np.cos(pitch) - 0.55 * np.sin(pitch)
        assert found.conditions.fixed_head[:, 3] == pytest.approx(level + 700.0 / WEIGHT)
        inlet = 0.4 * np.cos(pitch) - 0.5 * np.sin(pitch)
        assert found.conditions.fixed_head[:, 2] == pytest.approx(inlet)

    def test_a_least_pressure_is_held_at_the_inlet(self):
        pitch = np.radians(10.0)
        found = self.of_ends(LEAST, pitch)
        inlet = 0.4 * np.cos(pitch) - 0.5 * np.sin(pitch)
        assert found.conditions.fixed_head[:, 3] == pytest.approx(inlet + 3000.0 / WEIGHT)

    def test_the_selectors_position_opens_lines(self):
        assembly = assemble(two_tanks())
        positions = [position.name for position in assembly.positions]
        found = situation(assembly, [0.0, 0.0], quantity=[[0.03, 0.03]] * 2, position=[1, 0])
        names = [link.name for link in assembly.network.links]
        assert positions[:2] == ["left", "right"]
        both = [names.index("left down"), names.index("right down")]
        assert found.conditions.allowed[:, both].tolist() == [[0, BOTH], [BOTH, 0]]
        assert assembly.line_allowed[0, both[0]] == BOTH  # the shared rows are not written to


class TestLiquid:
    def test_density_and_viscosity_at_the_fuels_temperature(self):
        """The test liquid has one value at all temperatures; a petrol gets thinner and lighter."""
        found = situation(boxed(), quantity=[[0.03]], screen_clear=[0.4])
        assert found.density == pytest.approx([DENSITY])
        assert found.kinematic_viscosity == pytest.approx([VISCOSITY])
        assert found.conditions.density is found.density
        assert found.conditions.kinematic_viscosity == pytest.approx([VISCOSITY])
        assert np.isnan(found.conditions.screen_clear).all()  # it has no screen
        petrol = situation(
            assemble(one_tank()), [0.0] * 2, quantity=[[0.03]] * 2, temperature=[258.15, 308.15]
        )
        assert petrol.density[0] > petrol.density[1]
        assert petrol.kinematic_viscosity[0] > petrol.kinematic_viscosity[1]

    def test_nothing_is_held_by_air_until_someone_says_so(self):
        found = situation(boxed(STANDARD), [0.0] * 3, quantity=[[0.03]] * 3)
        assert found.conditions.held_head.tolist() == [[0.0, 0.0, 0.0]]
        assert found.conditions.count == 3

    def test_a_ground_test_corrects_viscosity_and_heights(self):
        """The surfaces are raised for the flow, not for what covers an outlet."""
        calibration = Calibration(
            keys=(), scores=(), learned=(), directions=(), viscosity=1.3, height=0.02
        )
        found = situation(boxed(calibration=calibration), quantity=[[0.03]])
        assert found.kinematic_viscosity == pytest.approx([1.3 * VISCOSITY])
        assert found.conditions.kinematic_viscosity == pytest.approx([1.3 * VISCOSITY])
        assert found.conditions.fixed_head[0, 0] == pytest.approx(1.52)
        assert found.surface[0, 0] == pytest.approx(1.5)
        assert found.cover[0, 0] == pytest.approx(0.1)
        assert found.conditions.fixed_head[0, 2] == pytest.approx(0.4)


class TestRows:
    def test_take_gives_the_named_scenarios_of_every_array(self):
        whole = situation(
            boxed(STANDARD),
            np.radians([0.0, 5.0, 10.0]),
            quantity=[[0.01], [0.02], [0.03]],
            end=[OPEN_LINE, CARBURETTOR, DEMAND],
            demand=[0.0, 0.0, 0.01],
        ).scenarios
        for rows in (np.array([2, 0]), np.array([True, False, True])):
            some = whole.take(rows)
            assert some.count == 2
            assert sorted(some.end.tolist()) == [OPEN_LINE, DEMAND]
            np.testing.assert_array_equal(some.quantity, whole.quantity[rows])
            np.testing.assert_array_equal(some.gravity, whole.gravity[rows])
            np.testing.assert_array_equal(some.demand, whole.demand[rows])

    def test_conditions_keep_rows_that_all_scenarios_share(self):
        held = np.array([[0.0, 0.5]])
        whole = Conditions(
            fixed_head=np.array([[1.0, 2.0], [3.0, 4.0], [5.0, 6.0]]),
            demand=np.zeros((1, 2)),
            allowed=np.array([[1, 2], [3, 0], [2, 2]], dtype=np.int8),
            kinematic_viscosity=np.array([1e-6]),
            density=np.array([720.0, 730.0, 740.0]),
            held_head=held,
            screen_clear=np.array([np.nan]),
        )
        assert whole.count == 3
        for rows in (np.array([2, 1]), slice(2, 0, -1)):
            some = whole.take(rows)
            assert some.count == 2
            assert some.fixed_head.tolist() == [[5.0, 6.0], [3.0, 4.0]]
            assert some.allowed.tolist() == [[2, 2], [3, 0]]
            assert some.density.tolist() == [740.0, 730.0]
            assert some.held_head is held
            assert some.demand.shape == (1, 2)

    def test_factors_keep_rows_that_all_scenarios_share(self):
        shared = np.ones((1, 4))
        whole = Factors(
            loss=np.arange(12.0).reshape(3, 4),
            laminar=shared,
            bore=np.array([[1.0], [2.0], [3.0]]),
            friction=np.array([0.9]),
        )
        some = whole.take(np.array([2, 0]))
        assert some.loss.tolist() == [[8.0, 9.0, 10.0, 11.0], [0.0, 1.0, 2.0, 3.0]]
        assert some.laminar is shared
        assert some.bore.tolist() == [[3.0], [1.0]]
        assert some.friction.tolist() == [0.9]


def test_a_one_way_valve_does_not_change_what_the_case_allows() -> None:
    """The solver narrows directions by valves; the scenarios tell only what is open."""
    valve = OneWayValve(name="valve", bore=0.008, cracking_pressure=500.0, kv=1.0)
    system = one_tank(fuel=liquid())
    down = replace(system.lines[0], parts=(*system.lines[0].parts, valve))
    found = situation(assemble(replace(system, lines=(down,))), quantity=[[0.03]])
    assert found.conditions.allowed[0, 0] == BOTH
