"""The judged set, combination by combination."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE
from flowsim.studies.judged.scenarios import (
    CLIMB,
    DESCENT,
    DIRTY_SCREEN,
    DRAWN,
    FLIGHT,
    RUN,
    UNUSABLE,
    ScenarioTable,
    fed_tanks,
    fuel_states,
    scenario_table,
)
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import Screen
from flowsim.system.tanks import StatedLevel
from tests.support.systems import flight, one_tank, two_tanks

WARM, COLD = 311.15, 268.15
SCREEN = Screen(
    name="finger", area=8e-4, wires_per_metre=630.0, wire_diameter=4.5e-4, clear_fraction=0.9
)


def with_screen(system: FuelSystem) -> FuelSystem:
    tank = system.tanks[0]
    outlet = replace(tank.outlets[0], screen=SCREEN)
    changed = replace(tank, outlets=(outlet, *tank.outlets[1:]))
    return replace(system, tanks=(changed, *system.tanks[1:]))


def descending(system: FuelSystem) -> FuelSystem:
    return replace(
        system,
        flight=flight(descent_pitch=np.radians(-6.0)),
        engine=replace(system.engine, descent_burn=0.002),
    )


@pytest.fixture(scope="module")
def full() -> ScenarioTable:
    """Two tanks, a screen, a descent, two temperatures, a carburettor."""
    system = descending(with_screen(two_tanks(temperatures=(COLD, WARM))))
    return scenario_table(assemble(system))


def rows(table: ScenarioTable, purpose: str, **wanted) -> np.ndarray:
    mine = table.purpose == purpose
    for name, value in wanted.items():
        source = table if name in ("state", "dirty") else table.scenarios
        mine &= getattr(source, name) == value
    return np.flatnonzero(mine)


def state_numbers(table: ScenarioTable, *names: str) -> list[int]:
    return [number for number, state in enumerate(table.states) if state.name in names]


class TestClimb:
    def test_every_combination_is_there_with_screens_both_ways(self, full):
        assembly = assemble(two_tanks())
        names = [position.name for position in assembly.positions]
        plain = state_numbers(full, "test quantity", "least take-off fuel")
        mixed = state_numbers(full, "left at its unusable", "right at its unusable")
        dry = state_numbers(full, "left dry", "right dry")
        assert len(plain) == len(mixed) == len(dry) == 2
        for name in ("left", "right", "both"):
            position = names.index(name)
            pitches = np.unique(
                full.scenarios.pitch[rows(full, CLIMB, position=position, temperature=COLD)]
            )
            assert pitches[0] == 0.0
            assert pitches[-1] == pytest.approx(np.radians(15.0))
            for degree in range(16):
                assert np.isclose(pitches, np.radians(degree)).any()
            for state in range(len(full.states)):
                here = state in plain or (name == "both" and state in mixed + dry)
                for temperature in (COLD, WARM):
                    for end in (OPEN_LINE, CARBURETTOR):
                        for dirty in (False, True):
                            found = rows(
                                full, CLIMB, position=position, state=state,
                                temperature=temperature, end=end, dirty=dirty,
                            )  # fmt: skip
                            # Dirty screens alone where a tank is dry: clean ones give no less.
                            is_there = here and (dirty or state not in dry)
                            expected = pitches if is_there else []
                            np.testing.assert_array_equal(full.scenarios.pitch[found], expected)
        judged = {names.index(name) for name in ("left", "right", "both")}
        assert set(full.scenarios.position[full.judged]) == judged

    def test_between_the_stated_temperatures_the_leanest_states_are_judged(self, full):
        inside = (full.scenarios.temperature > COLD) & (full.scenarios.temperature < WARM)
        between = np.unique(full.scenarios.temperature[inside])
        quarters = COLD + np.array([0.25, 0.5, 0.75]) * (WARM - COLD)
        for value in quarters:
            assert np.isclose(between, value, atol=1e-9).any()
        names = {full.states[number].name for number in full.state[inside]}
        assert names == {
            *("test quantity", "left dry", "right dry", "declared unusable fuel"),
            *("declared unusable fuel, left dry", "declared unusable fuel, right dry"),
            "least take-off fuel",
        }
        run = inside & (full.purpose == RUN)
        takeoff = state_numbers(full, "least take-off fuel")
        assert set(full.state[run]) == set(takeoff)
        assert set(takeoff).isdisjoint(full.state[inside & ~run])
        assert full.dirty[inside].all()
        assert full.judged[inside].all()
        pitch = full.scenarios.pitch[inside & (full.purpose == CLIMB)]
        assert (pitch.min(), pitch.max()) == pytest.approx((0.0, np.radians(15.0)))

    def test_what_is_asked(self, full):
        system = two_tanks()
        found = rows(full, CLIMB)
        assert full.required[found] == pytest.approx(1.5 * system.engine.burn)
        np.testing.assert_array_equal(full.scenarios.dip_flow, full.required)
        dirty = full.dirty[found]
        np.testing.assert_array_equal(full.scenarios.screen_clear[found][dirty], DIRTY_SCREEN)
        assert np.isnan(full.scenarios.screen_clear[found][~dirty]).all()
        assert (full.scenarios.roll == 0).all()
        assert (full.scenarios.demand == 0).all()
        assert (full.scenarios.altitude == 2000.0).all()

    def test_gravity_is_that_of_the_pitch(self, full):
        still = full.purpose != RUN
        pitch = full.scenarios.pitch[still]
        expected = np.column_stack([np.sin(pitch), 0 * pitch, -np.cos(pitch)])
        np.testing.assert_allclose(full.scenarios.gravity[still], expected, atol=1e-15)
        assert (full.forward[still] == 0.0).all()

    def test_quantities_are_those_of_the_state(self, full):
        states = fuel_states(assemble(two_tanks()))
        for number, state in enumerate(states):
            found = full.scenarios.quantity[full.state == number]
            assert len(found)
            assert (found == np.array(state.quantity)).all()

    def test_without_screens_none_is_dirty(self):
        table = scenario_table(assemble(two_tanks()))
        assert not table.dirty.any()

    def test_the_choice_of_the_datum_changes_no_attitude(self):
        """The same aeroplane with its datum turned: every pitch is turned alike."""
        turn = np.radians(1.37)
        plain = scenario_table(assemble(one_tank()))
        turned = one_tank(flight=flight(level_pitch=turn, climb_pitch=np.radians(10.0) + turn))
        other = scenario_table(assemble(turned))
        whole = np.radians(np.arange(16.0))
        for table, level in ((plain, 0.0), (other, turn)):
            judged = table.scenarios.pitch[table.purpose == CLIMB] - level
            for pitch in whole:
                assert np.isclose(judged, pitch, atol=1e-9).any()


class TestOthers:
    def test_the_sweep_is_drawn_beyond_the_judged_pitches(self, full):
        drawn = np.degrees(full.scenarios.pitch[full.purpose == DRAWN])
        assert drawn.min() == pytest.approx(-15)
        assert drawn.max() == pytest.approx(30)
        one = rows(full, DRAWN, position=0, state=0, temperature=COLD, end=OPEN_LINE)
        other = rows(full, CLIMB, position=0, state=0, temperature=COLD, end=OPEN_LINE, dirty=False)
        both = np.degrees(full.scenarios.pitch[np.concatenate([one, other])])
        for degree in range(-15, 31):
            assert np.isclose(both, degree).sum() == 1
        assert not full.judged[one].any()

    def test_a_position_that_is_not_judged_is_drawn_whole(self, full):
        names = [position.name for position in assemble(two_tanks()).positions]
        off = full.scenarios.position == names.index("off")
        assert set(full.purpose[off]) == {DRAWN}
        pitches = np.degrees(full.scenarios.pitch[off])
        assert np.isclose(pitches, 5.0).any()

    def test_unusable_fuel_at_full_power_open_line_only(self, full):
        found = rows(full, UNUSABLE)
        assert len(found)
        assert full.required[found] == pytest.approx(two_tanks().engine.burn)
        assert set(full.scenarios.end[found]) == {OPEN_LINE}
        held = {tuple(row) for row in full.scenarios.quantity[found]}
        assert held == {(0.02, 0.02), (0.0, 0.02), (0.02, 0.0)}
        assert {COLD, WARM} < set(full.scenarios.temperature[found])
        assert full.dirty[found].all()
        names = [position.name for position in assemble(two_tanks()).positions]
        alone = full.scenarios.position[found] != names.index("both")
        assert (full.scenarios.quantity[found][alone] == 0.02).all()

    def test_descent_at_its_own_burn(self, full):
        found = rows(full, DESCENT)
        assert full.required[found] == pytest.approx(0.002)
        pitch = full.scenarios.pitch[found]
        assert pitch.min() == pytest.approx(np.radians(-6.0))
        assert pitch.max() == 0.0
        assert set(full.scenarios.end[found]) == {OPEN_LINE, CARBURETTOR}
        states = {full.states[number].name for number in full.state[found]}
        assert {"test quantity", "left dry", "right at its unusable"} < states
        for end in (OPEN_LINE, CARBURETTOR):
            for temperature in (COLD, WARM):
                steep = rows(full, DESCENT, end=end, temperature=temperature, pitch=pitch.min())
                # left, right: two states; both: six.
                assert len(steep) == 2 + 2 + 6

    @pytest.mark.parametrize("missing", ["pitch", "burn"])
    def test_no_descent_without_pitch_and_burn(self, missing):
        system = descending(one_tank())
        if missing == "pitch":
            system = replace(system, flight=flight())
        else:
            system = replace(system, engine=replace(system.engine, descent_burn=None))
        assert not len(rows(scenario_table(assemble(system)), DESCENT))

    def test_a_climb_at_the_level_attitude_has_one_pitch(self):
        system = one_tank(flight=flight(climb_pitch=0.0, test_margin=0.0))
        table = scenario_table(assemble(system))
        assert set(table.scenarios.pitch[table.purpose == CLIMB]) == {0.0}

    def test_steepest_below_level_keeps_both_ends(self):
        system = one_tank(flight=flight(level_pitch=np.radians(12.0), climb_pitch=np.radians(2.0)))
        table = scenario_table(assemble(system))
        pitch = table.scenarios.pitch[table.purpose == CLIMB]
        assert pitch.min() == pytest.approx(np.radians(2.0))
        assert pitch.max() == pytest.approx(np.radians(12.0))

    def test_open_line_in_flight_only_where_nothing_is_known_of_the_carburettor(self):
        assert not len(rows(scenario_table(assemble(two_tanks())), FLIGHT))


class TestLeanest:
    """Between the stated temperatures a state is left out where another has no more in any tank."""

    NAMES = ("test quantity", "least take-off fuel")

    def looked_at(self, left: float, right: float) -> dict[str, set[str]]:
        """Names by position; the take-off fuel of each tank, the test quantity being 22 L."""
        base = two_tanks(temperatures=(COLD, WARM))
        tanks = tuple(
            replace(tank, least_takeoff=held)
            for tank, held in zip(base.tanks, (left, right), strict=True)
        )
        assembly = assemble(replace(base, tanks=tanks))
        table = scenario_table(assembly)
        warmth = table.scenarios.temperature
        between = (warmth > COLD) & (warmth < WARM) & (table.purpose == CLIMB)
        return {
            position.name: {table.states[number].name for number in table.state[mine]}
            & set(self.NAMES)
            for index, position in enumerate(assembly.positions)
            if (mine := between & (table.scenarios.position == index)).any()
        }

    def test_each_tank_counts_where_it_feeds(self):
        test, takeoff = ({name} for name in self.NAMES)
        assert self.looked_at(0.021, 0.023) == {
            "left": takeoff, "right": test, "both": test | takeoff,
        }  # fmt: skip
        assert self.looked_at(0.021, 0.021) == {
            "left": takeoff, "right": takeoff, "both": takeoff,
        }  # fmt: skip

    def test_the_same_in_one_tank_and_less_in_the_other_is_less(self):
        system = two_tanks()
        same = system.tanks[0].unusable + system.test_draw
        test, takeoff = ({name} for name in self.NAMES)
        assert self.looked_at(same, 0.023) == {"left": test, "right": test, "both": test}
        assert self.looked_at(same, 0.021) == {"left": test, "right": takeoff, "both": takeoff}
        assert self.looked_at(same, same) == {"left": test, "right": test, "both": test}


class TestStates:
    def test_the_emptied_and_the_dry_tanks_are_named(self):
        states = fuel_states(assemble(two_tanks()))
        assert [(state.name, state.emptied, state.dry) for state in states] == [
            ("test quantity", None, ()),
            ("least take-off fuel", None, ()),
            ("left at its unusable", 0, ()),
            ("right at its unusable", 1, ()),
            ("left dry", None, (0,)),
            ("right dry", None, (1,)),
            ("declared unusable fuel", None, ()),
            ("declared unusable fuel, left dry", None, (0,)),
            ("declared unusable fuel, right dry", None, (1,)),
        ]
        # 20 L unusable, 2 L drawn by the test, 25 L to take off with.
        held = [
            (0.022, 0.022), (0.025, 0.025), (0.02, 0.022), (0.022, 0.02), (0.0, 0.022),
            (0.022, 0.0), (0.02, 0.02), (0.0, 0.02), (0.02, 0.0),
        ]  # fmt: skip
        assert [state.quantity for state in states] == [pytest.approx(one) for one in held]

    def test_one_tank_has_none_emptied(self):
        assert [state.name for state in fuel_states(assemble(one_tank()))] == [
            "test quantity",
            "least take-off fuel",
            "declared unusable fuel",
        ]

    def test_a_tank_of_stated_level_has_no_quantity_and_is_never_emptied(self):
        """The other one may be: the level one feeds on."""
        base = two_tanks()
        header = replace(
            base.tanks[0], shape=StatedLevel(surface=base.tanks[0].outlets[0].at),
            unusable=None, least_takeoff=None,
        )  # fmt: skip
        states = fuel_states(assemble(replace(base, tanks=(header, base.tanks[1]))))
        assert [state.name for state in states] == [
            "test quantity",
            "least take-off fuel",
            "right at its unusable",
            "right dry",
            "declared unusable fuel",
            "declared unusable fuel, right dry",
        ]
        assert {state.quantity[0] for state in states} == {0.0}
        assert states[0].quantity[1] == pytest.approx(0.022)


def test_fed_tanks_by_position() -> None:
    assembly = assemble(two_tanks())
    fed = {
        position.name: fed_tanks(assembly, index)
        for index, position in enumerate(assembly.positions)
    }
    assert fed == {"left": {0}, "right": {1}, "both": {0, 1}, "off": set()}
