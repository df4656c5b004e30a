"""Nobody controls which tank empties first: where several feed at once, each is judged dry."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import all_told
from flowsim.network.assembly import assemble
from flowsim.network.scenarios import situate
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.studies.adequacy.brief import judge_table, judged_table, take_rows
from flowsim.studies.adequacy.study import judge
from flowsim.studies.judged.fuel_states import fed_tanks, fuel_states
from flowsim.studies.judged.scenarios import CLIMB, UNUSABLE, scenario_table
from flowsim.studies.result import Verdict
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Junction, Selector
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, StatedLevel
from tests.support.systems import BORE, flight, line, one_tank, tank, two_tanks


def high_tee(bore: float = 0.0047) -> FuelSystem:
    """Two tanks whose long thin legs meet just under the wing; one wide line falls to the engine.

    Half of the flow in each leg costs little. All of it in one takes the pressure at the tee below
    the air in the other, empty one.
    """
    left = tank(
        "left", Point(1.2, -2.0, 1.5), Point(1.7, -1.0, 1.62), {"o": Point(1.6, -1.05, 1.5)}
    )
    right = tank("right", Point(1.2, 1.0, 1.5), Point(1.7, 2.0, 1.62), {"o": Point(1.6, 1.05, 1.5)})
    meet = Point(1.6, 0.0, 1.42)
    legs = tuple(
        line(f"{name} leg", f"{name}.o", "meet", [Point(1.6, y, 1.5), meet], bore=bore)
        for name, y in (("left", -1.05), ("right", 1.05))
    )
    down = line("down", "meet", "engine", [meet, Point(1.6, 0, 0.3), Point(0.6, 0, 0.2)], bore=0.01)
    base = one_tank(
        title="high tee",
        tanks=(left, right),
        lines=(*legs, down),
        nodes=(Junction(name="meet", at=meet),),
        flight=flight(climb_pitch=np.radians(3.0), test_margin=np.radians(2.0)),
    )
    engine = replace(base.engine, inlet_at=Point(0.6, 0.0, 0.2), burn=0.0045)
    return replace(base, engine=engine)


def three_tanks() -> FuelSystem:
    """Three tanks side by side on one selector, which can also join two of them."""
    tanks, lines = [], []
    ports = {}
    for name, y in (("port", -0.8), ("middle", 0.0), ("starboard", 0.8)):
        at = Point(1.6, y, 1.5)
        low, high = Point(1.2, y - 0.3, 1.5), Point(1.7, y + 0.3, 1.6)
        tanks.append(tank(name, low, high, {"o": at}))
        lines.append(line(name, f"{name}.o", "valve", [at, Point(1.4, 0, 0.4)]))
        ports[name] = name
    lines.append(line("feed", "valve", "engine", [Point(1.4, 0, 0.4), Point(0.5, 0, 0.2)]))
    valve = Selector(
        name="valve", at=Point(1.4, 0, 0.4), ports=ports, outlet="feed",
        positions={
            "all": ("port", "middle", "starboard"),
            "sides": ("port", "starboard"),
            "middle": ("middle",),
        },
        judged=("all", "middle"), loss=fitting("selector", BORE),
    )  # fmt: skip
    base = one_tank(tanks=tuple(tanks), lines=tuple(lines), nodes=(valve,))
    return replace(base, engine=replace(base.engine, inlet_at=Point(0.5, 0.0, 0.2)))


class TestHighTee:
    def test_the_system_with_one_tank_dry_draws_air(self):
        found = judge(high_tee(), nominal=True)
        assert found.verdict is Verdict.NOT_ADEQUATE
        assert any("air is drawn" in reason for reason in all_told(found.reasons))
        bad = [s for s in found.scenarios if s.judged and s.verdict is Verdict.NOT_ADEQUATE]
        assert bad
        assert {s.fuel_state for s in bad} <= {
            *("left dry", "right dry"),
            *("declared unusable fuel, left dry", "declared unusable fuel, right dry"),
        }

    def test_without_a_dry_tank_nothing_is_found(self):
        """So it is the dry tank that tells: all else of this system is adequate."""
        assembly = assemble(high_tee())
        table = judged_table(assembly)
        dry = np.array([bool(table.states[number].dry) for number in table.state])
        kept = take_rows(table, np.flatnonzero(~dry))
        lines = judge_table(assembly, kept, True, 0, 0).lines
        assert {line.verdict for line in lines} == {Verdict.ADEQUATE}

    def test_a_low_tee_does_not_mind(self):
        """The same with the legs led down to the floor before they meet, and wide enough."""
        base = high_tee(0.0085)
        low = Point(1.6, 0.0, 0.4)
        legs = tuple(
            line(f"{name} leg", f"{name}.o", "meet", [Point(1.6, y, 1.5), low], bore=0.0085)
            for name, y in (("left", -1.05), ("right", 1.05))
        )
        down = line("down", "meet", "engine", [low, Point(0.6, 0, 0.2)], bore=0.01)
        system = replace(base, lines=(*legs, down), nodes=(Junction(name="meet", at=low),))
        assert judge(system, nominal=True).verdict is Verdict.ADEQUATE

    def test_it_is_the_same_from_either_side(self):
        found = judge(high_tee(), nominal=True)
        flows = {
            name: min(s.flow for s in found.scenarios if s.fuel_state == name and s.judged)
            for name in ("left dry", "right dry")
        }
        assert flows["left dry"] == pytest.approx(flows["right dry"], rel=1e-9)


class TestWhichAreJudged:
    def test_every_subset_of_three_that_leaves_one_feeding(self):
        assembly = assemble(three_tanks())
        dry = {state.dry for state in fuel_states(assembly) if state.dry}
        assert dry == {(0,), (1,), (2,), (0, 1), (0, 2), (1, 2)}
        names = [state.name for state in fuel_states(assembly) if len(state.dry) == 2]
        assert "port and middle dry" in names

    def test_only_in_positions_that_feed_from_several(self):
        assembly = assemble(three_tanks())
        table = scenario_table(assembly)
        names = [position.name for position in assembly.positions]
        for name, expected in (("all", 6), ("middle", 0)):
            here = table.judged & (table.scenarios.position == names.index(name))
            assert (table.purpose[here] == CLIMB).any()
            found = {table.states[number].dry for number in table.state[here]} - {()}
            assert len(found) == expected
        unusable = table.purpose == UNUSABLE
        assert {table.states[number].dry for number in table.state[unusable]} > {(0,), (1, 2)}

    def test_four_tanks_alone_and_all_but_one(self):
        """The subsets between hold, tank by tank, more fuel than one of these."""
        base = three_tanks()
        at = Point(1.6, 2.0, 1.5)
        far = tank("far", Point(1.2, 1.7, 1.5), Point(1.7, 2.3, 1.6), {"o": at})
        more = line("far", "far.o", "valve", [at, Point(1.4, 0, 0.4)])
        (valve,) = base.nodes
        wider = replace(
            valve, ports={**valve.ports, "far": "far"}, judged=("all",),
            positions={"all": (*valve.ports, "far")},
        )  # fmt: skip
        system = replace(
            base, tanks=(*base.tanks, far), lines=(*base.lines, more), nodes=(wider,)
        )  # fmt: skip
        dry = {state.dry for state in fuel_states(assemble(system)) if state.dry}
        assert {len(some) for some in dry} == {1, 3}
        assert len(dry) == 8

    def test_a_level_that_stays_never_runs_dry_and_the_others_may_both(self):
        base = three_tanks()
        port = replace(base.tanks[0], shape=StatedLevel(surface=Point(1.6, -0.8, 1.55)))
        assembly = assemble(replace(base, tanks=(port, *base.tanks[1:])))
        dry = {state.dry for state in fuel_states(assembly) if state.dry}
        assert dry == {(1,), (2,), (1, 2)}

    def test_a_line_written_from_the_engine_to_the_tank_feeds_as_well(self):
        base = one_tank()
        (down,) = base.lines
        turned = replace(
            down, start=down.end, end=down.start, route=down.route[::-1], parts=down.parts[::-1]
        )
        assert fed_tanks(assemble(replace(base, lines=(turned,))), 0) == {0}

    def test_a_tank_at_its_unusable_is_still_judged(self):
        names = {state.name for state in fuel_states(assemble(two_tanks()))}
        assert {"left at its unusable", "right at its unusable", "left dry", "right dry"} <= names


class TestEmpty:
    def test_an_empty_tank_of_dips_covers_nothing(self):
        """Its table begins above zero: it does not say where the surface of no fuel stands."""
        base = two_tanks()
        right = base.tanks[1]
        dips = DipTable(
            at=Point(1.69, 0.6, 1.5), dips=(0.01, 0.05, 0.1),
            quantities=(0.006, 0.02, 0.05), pitch=0.0, roll=0.0,
        )  # fmt: skip
        system = replace(base, tanks=(base.tanks[0], replace(right, shape=dips)))
        assembly = assemble(system)
        table = scenario_table(assembly)
        dry = np.flatnonzero(np.array([1 in table.states[n].dry for n in table.state]))
        situation = situate(assembly, table.scenarios.take(dry))
        mine = np.array([tank == 1 for _, tank, _ in assembly.outlets])
        assert situation.uncovered[:, mine].all()
        assert np.isfinite(situation.conditions.fixed_head[:, [0, 1, 2, 3]]).all()

    def test_a_sump_below_the_solid_is_empty_too(self):
        base = one_tank()
        wing = base.tanks[0]
        low = replace(wing.outlets[0], at=Point(1.69, 0.0, 1.399))
        system = replace(base, tanks=(replace(wing, outlets=(low,), unusable=0.0),), test_draw=0.0)
        assembly = assemble(system)
        table = scenario_table(assembly)
        rows = np.flatnonzero(table.scenarios.quantity[:, 0] == 0.0)
        assert len(rows)
        assert situate(assembly, table.scenarios.take(rows)).uncovered.all()
