"""What is told with every answer: each remark appears where it applies and only there."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from flowsim.document.words.standing import ALWAYS
from flowsim.document.words.telling import all_told
from flowsim.files.results.check_json import all_cautions
from flowsim.network.assembly import assemble
from flowsim.physics.fuel.catalogue import fuel_named
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.judged.sweep import Sweep, sweep, sweep_of
from flowsim.studies.review.forgotten import forgotten
from flowsim.studies.review.remarks import assumptions, cautions
from flowsim.studies.saying import Said
from flowsim.system.fuel_system import FuelSystem, Provenance
from flowsim.system.lines import Junction, Line
from flowsim.system.parts import Part
from flowsim.system.points import Point
from flowsim.system.tanks import StatedLevel
from tests.support.plain_systems import loss, plain, reservoir, run
from tests.support.systems import one_tank, two_tanks


@cache
def plain_sweep() -> Sweep:
    return sweep(one_tank())


def of(words: Sequence[Said], part: str) -> list[str]:
    return [item for item in all_told(words) if part in item]


class TestAssumptions:
    def test_what_the_builder_assumed_comes_before_what_was_filled_in(self):
        system = one_tank(
            provenance=(
                Provenance("roughness", "1.5 um", "default", "drawn tube"),
                Provenance("bore", "7.75 mm", "measured"),
                Provenance("climb pitch", "10 deg", "assumed"),
                Provenance("burn", "20 L/h", "handbook"),
                Provenance("vent", "forward", "default"),
                Provenance("span", "9 m", "assumed", "a drawing"),
            )
        )
        assert all_told(assumptions(system))[:4] == (
            "climb pitch: assumed 10 deg",
            "span: assumed 9 m (a drawing)",
            "roughness: not given, taken as 1.5 um (drawn tube)",
            "vent: not given, taken as forward",
        )
        said = " ".join(all_told(assumptions(system)))
        assert "bore" not in said
        assert "burn" not in said

    def test_each_is_told_once(self):
        twice = (Provenance("pitch", "10 deg", "assumed"),) * 2
        assert len(of(assumptions(one_tank(provenance=twice)), "pitch: assumed")) == 1

    def test_a_tank_whose_shape_is_taken_as_something_is_named(self):
        base = one_tank()
        kept = replace(
            base.tanks[0], name="header", shape=StatedLevel(surface=Point(1.5, 0.0, 1.5))
        )
        assert of(assumptions(replace(base, tanks=(kept,))), 'tank "header": ')
        assert not of(assumptions(base), "tank ")

    def test_what_is_doubtful_about_the_fuel_is_told(self):
        # The specification's highest vapour pressure stands in for the fuel's own.
        system = one_tank(fuel=fuel_named("motor gasoline winter"))
        assert of(assumptions(system), "vapour pressure is the specification's highest")

    def test_the_fuel_is_looked_at_in_every_temperature(self):
        system = one_tank(fuel=fuel_named("diesel"), temperatures=(288.15, 268.15))
        assert of(assumptions(system), "cloud point")
        assert not of(assumptions(replace(system, temperatures=(288.15,))), "cloud point")


class TestCautions:
    def test_the_standing_cautions_come_first_then_what_is_forgotten_then_the_readers(self):
        found = sweep_with(one_tank(cautions=("read me", "read me too")))
        missed = forgotten(found.assembly)
        assert missed
        said = (*missed, "read me", "read me too")
        assert cautions(found)[: len(said)] == said
        assert all_cautions(cautions(found))[: len(ALWAYS)] == ALWAYS
        assert "not an approval" in ALWAYS[0]

    def test_each_is_told_once(self):
        found = sweep_with(one_tank(cautions=("twice", "twice", ALWAYS[0])))
        assert cautions(found).count("twice") == 1
        assert cautions(found).count(ALWAYS[0]) == 1

    @pytest.mark.parametrize("carburettor", [False, True])
    def test_a_carburettor_that_is_not_known_is_told(self, carburettor):
        found = sweep_with(two_tanks(carburettor=carburettor))
        assert bool(of(cautions(found), "No carburettor data")) is not carburettor

    def test_a_tank_that_is_taken_to_stay_full_is_told(self):
        kept = sweep(plain_feed(1e6))
        assert of(cautions(kept), "taken to stay full")
        assert not of(cautions(plain_sweep()), "taken to stay full")

    @pytest.mark.parametrize(
        ("margin", "told"), [(-201.0, True), (-199.0, False), (0.0, False), (np.nan, False)]
    )
    def test_pressure_below_the_tanks_air_is_told(self, margin, told):
        base = plain_sweep()
        margins = np.full_like(base.at_required.tank_margin, 50.0)
        margins[3] = margin
        state = replace(base.at_required, tank_margin=margins)
        words = cautions(replace(base, at_required=state))
        assert bool(of(words, "below tank air pressure")) is told

    def test_parts_without_a_source_are_named_in_order(self):
        bare = [replace(loss(1e5, name), source="") for name in ("tap", "gauge", "tap")]
        (words,) = of(cautions(sweep(plain_feed(1e5, *bare))), "No source")
        assert words.endswith(": gauge, tap.")
        assert not of(cautions(sweep(plain_feed(1e5))), "No source")


def sweep_with(system: FuelSystem) -> Sweep:
    """Give a sweep of little use but its words: the quick one, with another system in it."""
    base = plain_sweep()
    if len(system.tanks) == 1:
        assembly = replace(base.assembly, system=system)
        return replace(base, assembly=assembly)
    assembly = assemble(system)
    return sweep_of(assembly, judged_table(assembly))


def plain_feed(resistance: float, *parts: Part) -> FuelSystem:
    top, low = Point(1, 0, 0.5), Point(1, 0, 0.0)
    line = run("feed", "tank.out", "engine", [top, low], loss(resistance), *parts)
    return plain([reservoir("tank", 0.8, {"out": top})], [line])


class TestBackflow:
    @staticmethod
    def unequal(*, turned: bool) -> Sweep:
        """A full tank over an empty one, joined above a thin line: the full one fills the other."""
        middle, low = Point(1, 0, 0.3), Point(1, 0, 0.0)
        at = Point(1, 0, 0.4)

        def leg(name: str) -> Line:
            ends, route = (f"{name}.out", "middle"), [at, middle]
            if turned:
                ends, route = ends[::-1], route[::-1]
            return run(name, *ends, route, loss(1e6))

        tanks = [reservoir("high", 0.9, {"out": at}), reservoir("low", 0.5, {"out": at})]
        lines = [leg("high"), leg("low"), run("feed", "middle", "engine", [middle, low], loss(1e9))]
        return sweep(plain(tanks, lines, [Junction(name="middle", at=middle)]))

    @pytest.mark.parametrize("turned", [False, True])
    def test_the_tank_the_outlet_and_the_scenarios_are_told(self, turned):
        found = self.unequal(turned=turned)
        (words,) = of(cautions(found), "Fuel flows back")
        assert 'tank "low"' in words
        assert 'outlet "out"' in words
        assert f"in {found.table.scenarios.count} of the scenarios" in words

    @pytest.mark.parametrize("turned", [False, True])
    def test_only_the_scenarios_in_which_it_does_are_counted(self, turned):
        found = self.unequal(turned=turned)
        into = 1.0 if turned else -1.0
        flow = found.delivery.solution.flow.copy()
        assert (into * flow[:, 1] > 1e-9).all()
        flow[1:, 1] = -into * 1e-6
        solution = replace(found.delivery.solution, flow=flow)
        changed = replace(found, delivery=replace(found.delivery, solution=solution))
        (words,) = of(cautions(changed), "Fuel flows back")
        assert "in 1 of the scenarios" in words
        flow[0, 1] = into * 1e-9  # up to 4 mL/h is rounding
        assert not of(cautions(changed), "Fuel flows back")

    def test_fuel_that_only_leaves_is_no_backflow(self):
        assert not of(cautions(plain_sweep()), "Fuel flows back")
