"""A fuel system as a network: nodes, links, what sits in them, what a selector closes."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import BOTH_WAYS, assemble
from flowsim.network.elements import Link, PlacedPart
from flowsim.studies.judged.sweep import sweep
from flowsim.system.calibration import Calibration, PartFactors
from flowsim.system.engine import Carburettor
from flowsim.system.lines import Junction, Line, Selector
from flowsim.system.parts import Exit, Screen
from flowsim.system.points import Point
from tests.support.small_networks import fitting
from tests.support.systems import BORE, line, one_tank, two_tanks

SCREEN = Screen(
    name="finger", area=2e-4, wires_per_metre=630.0, wire_diameter=4.5e-4, clear_fraction=0.8
)


def summary(link: Link) -> list[tuple[str, int, float]]:
    return [(placed.key, placed.direction, placed.share) for placed in link.parts]


def with_feed_bore(bore: float, **given):
    """Two tanks whose last line has a bore of its own."""
    system = two_tanks(**given)
    return replace(system, lines=(*system.lines[:-1], of_bore(system.lines[-1], bore)))


def of_bore(line: Line, bore: float) -> Line:
    """The same line of another bore, with all that is in it."""
    return replace(line, bore=bore, parts=tuple(replace(part, bore=bore) for part in line.parts))


def pressure_carburettor(*parts) -> Carburettor:
    return Carburettor(parts=parts, float_level=None, least_inlet_pressure=3000.0)


class TestNodesAndLinks:
    def test_outlets_then_nodes_then_the_inlet_then_what_lies_outside(self):
        found = assemble(two_tanks())
        assert found.network.node_names == (
            *("left.front", "left.rear", "right.front", "right.rear"),
            *("left tee", "right tee", "selector", "engine", "open air", "float bowl"),
        )
        outside = [
            name
            for name, fixed in zip(found.network.node_names, found.network.fixed, strict=True)
            if fixed
        ]
        assert outside == [
            *("left.front", "left.rear", "right.front", "right.rear"),
            *("open air", "float bowl"),
        ]
        inside = found.network.node_names[:-2]
        assert found.node_index == {name: index for index, name in enumerate(inside)}

    def test_links_are_the_lines_in_file_order_then_the_ends(self):
        system = two_tanks()
        found = assemble(system)
        names = [link.name for link in found.network.links]
        assert names == [*(line.name for line in system.lines), "open end", "carburettor"]
        ends = [
            (found.network.node_names[link.start], found.network.node_names[link.end])
            for link in found.network.links
        ]
        assert ends == [
            *((line.start, line.end) for line in system.lines),
            ("engine", "open air"),
            ("engine", "float bowl"),
        ]
        assert names[found.open_link] == "open end"
        assert names[found.carburettor_link] == "carburettor"
        assert found.network.node_names[found.inlet] == "engine"
        assert found.network.friction == 1.0

    def test_without_carburettor_data_the_open_end_is_the_last(self):
        found = assemble(two_tanks(carburettor=False))
        assert found.carburettor_link is None
        assert found.network.links[-1].name == "open end"
        assert found.open_link == len(found.network.links) - 1
        assert "float bowl" not in found.node_index

    def test_outlets_tell_their_node_and_tank(self):
        found = assemble(two_tanks())
        names = [
            (found.network.node_names[node], found.system.tanks[tank].name, outlet.name)
            for node, tank, outlet in found.outlets
        ]
        assert names == [
            (f"{tank}.{outlet}", tank, outlet)
            for tank in ("left", "right")
            for outlet in ("front", "rear")
        ]


@pytest.mark.parametrize("name", ["open air", "float bowl", "open end", "carburettor"])
def test_a_junction_or_line_by_the_name_of_an_end_changes_no_flow(name):
    """The ends are known by their place in the network and never by a name."""
    middle = Point(1.4, 0.0, 0.9)

    def flows(joint: str, lower_name: str) -> list[list[float]]:
        base = two_tanks()
        feed = base.lines[-1]
        upper = line("upper", "selector", joint, [Point(*feed.route[0]), middle])
        lower = line(lower_name, joint, "engine", [middle, Point(*feed.route[-1])])
        system = replace(
            base,
            lines=(*base.lines[:-1], upper, lower),
            nodes=(
                *(
                    replace(node, outlet="upper") if isinstance(node, Selector) else node
                    for node in base.nodes
                ),
                Junction(name=joint, at=middle),
            ),
        )
        found = sweep(system)
        assert found.assembly.network.fixed.sum() == 6
        assert found.delivery.solution.converged.all()
        return found.delivery.solution.flow.tolist()

    assert flows(name, name) == flows("joint", "lower")


class TestPartsOfALine:
    def test_entrance_own_parts_and_the_leg_of_the_tee(self):
        """What the nodes add stands at its end of the line; the exit costs flow into the tank."""
        links = {link.name: link for link in assemble(two_tanks()).network.links}
        assert summary(links["left front"]) == [
            ("left.front entrance", 1, 1.0),
            ("left.front exit", -1, 1.0),
            ("left front: left front #0", 0, 1.0),
            ("tee left tee left front", 0, 1.0),
        ]
        into, back, own, _ = (placed.part for placed in links["left front"].parts)
        assert into == two_tanks().tanks[0].outlets[0].entrance
        assert own == two_tanks().lines[0].parts[0]
        assert isinstance(back, Exit)
        assert back.bore == BORE
        assert "left" in back.name
        assert links["right front"].parts[-1].key == "tee right tee right front"

    def test_the_tee_charges_run_and_branch_on_their_own_lines_and_the_common_line_nothing(self):
        links = {link.name: link for link in assemble(two_tanks()).network.links}
        kinds = {
            name: [placed.part.kind for placed in links[name].parts if "tee" in placed.key]
            for name in ("left front", "left rear", "left down")
        }
        assert kinds == {"left front": ["tee run"], "left rear": ["tee turn"], "left down": []}

    def test_a_selector_is_split_in_two_halves_that_are_one_thing(self):
        links = {link.name: link for link in assemble(two_tanks()).network.links}
        halves = [
            links["left down"].parts[-1],
            links["right down"].parts[-1],
            links["feed"].parts[0],
        ]
        assert [(half.key, half.share) for half in halves] == [("selector selector", 0.5)] * 3
        whole = two_tanks().selectors[0].loss
        assert all(half.part == whole for half in halves)

    def test_a_line_drawn_towards_its_tank_has_the_same_parts_mirrored(self):
        """Same physics, whichever end the file calls the start; the screen is met last."""
        system = one_tank()
        wing, down = system.tanks[0], system.lines[0]
        wing = replace(wing, outlets=(replace(wing.outlets[0], screen=SCREEN),))
        drawn_back = replace(down, start="engine", end="wing.rear")
        there = assemble(replace(system, tanks=(wing,))).network.links[0]
        back = assemble(replace(system, tanks=(wing,), lines=(drawn_back,))).network.links[0]
        assert summary(there)[:3] == [
            ("wing.rear entrance", 1, 1.0),
            ("wing.rear exit", -1, 1.0),
            ("wing.rear screen", 0, 1.0),
        ]
        assert summary(back)[-3:] == [
            ("wing.rear screen", 0, 1.0),
            ("wing.rear exit", 1, 1.0),
            ("wing.rear entrance", -1, 1.0),
        ]
        assert [placed.part for placed in there.parts[:3]] == [
            placed.part for placed in back.parts[:-4:-1]
        ]
        assert there.parts[2].part == SCREEN

    def test_equal_parts_of_a_line_keep_keys_of_their_own(self):
        system = one_tank()
        down = system.lines[0]
        twice = replace(down, parts=(down.parts[0], down.parts[1], down.parts[1]))
        link = assemble(replace(system, lines=(twice,))).network.links[0]
        keys = [placed.key for placed in link.parts[2:]]
        assert keys == [f"down: {part.name} #{number}" for number, part in enumerate(twice.parts)]

    def test_a_plain_junction_costs_nothing(self):
        system = one_tank()
        middle = Point(1.7, 0.0, 0.5)
        upper = line("upper", "wing.rear", "joint", [Point(1.69, 0, 1.4), middle])
        lower = line("lower", "joint", "engine", [middle, Point(0.5, 0, 0.4)])
        found = assemble(
            replace(system, lines=(upper, lower), nodes=(Junction(name="joint", at=middle),))
        )
        assert len(found.network.links[0].parts) == 3
        assert len(found.network.links[1].parts) == 1


class TestTheEngineEnd:
    def test_the_open_end_loses_the_velocity_head_of_the_supply_line(self):
        found = assemble(with_feed_bore(0.0091))
        (placed,) = found.network.links[found.open_link].parts
        assert (placed.key, placed.direction) == ("open end", 1)
        assert isinstance(placed.part, Exit)
        assert placed.part.bore == 0.0091
        assert placed.part.name == "open end (kinetic energy)"

    def test_the_carburettor_has_its_parts_in_order(self):
        found = assemble(two_tanks())
        seat = found.system.engine.carburettor.parts[0]
        link = found.network.links[found.carburettor_link]
        assert link.parts == (
            PlacedPart(part=seat, key="carburettor: seat #0", owner="carburettor"),
        )

    def test_a_pressure_asked_for_at_the_inlet_is_static(self):
        """The maker's least pressure is what a gauge shows: the velocity head comes on top."""
        system = with_feed_bore(0.0091)
        extra = fitting(2.0, bore=0.0091)
        engine = replace(system.engine, carburettor=pressure_carburettor(extra))
        found = assemble(replace(system, engine=engine))
        own, kinetic = found.network.links[found.carburettor_link].parts
        assert own == PlacedPart(part=extra, key="carburettor: fitting #0", owner="carburettor")
        assert isinstance(kinetic.part, Exit)
        assert (kinetic.key, kinetic.direction) == ("inlet velocity", 1)
        assert kinetic.part.bore == 0.0091
        assert kinetic.part.name == "velocity head at the inlet"

    @pytest.mark.parametrize("ends", [("wing.rear", "engine"), ("engine", "wing.rear")])
    def test_the_supply_line_is_found_whichever_way_it_is_drawn(self, ends):
        system = one_tank()
        down = replace(of_bore(system.lines[0], 0.0066), start=ends[0], end=ends[1])
        found = assemble(replace(system, lines=(down,)))
        assert found.network.links[found.open_link].parts[0].part.bore == 0.0066


class TestSelectors:
    def test_without_a_selector_there_is_one_judged_position(self):
        (position,) = assemble(one_tank()).positions
        assert (position.name, position.closed_lines, position.judged) == (
            "no selector",
            frozenset(),
            True,
        )

    def test_a_position_closes_the_lines_of_all_other_ports(self):
        found = {position.name: position for position in assemble(two_tanks()).positions}
        assert {name: set(position.closed_lines) for name, position in found.items()} == {
            "left": {"right down"},
            "right": {"left down"},
            "both": set(),
            "off": {"left down", "right down"},
        }
        assert [name for name, position in found.items() if position.judged] == [
            *("left", "right", "both")
        ]

    def test_two_selectors_give_every_pair_judged_where_both_are(self):
        system = two_tanks()
        second = Selector(
            name="shut-off",
            at=Point(0.6, 0.0, 0.1),
            ports={"in": "right front"},
            outlet="feed",
            positions={"open": ("in",), "shut": ()},
            judged=("open",),
            loss=fitting(1.0),
        )
        found = assemble(replace(system, nodes=(*system.nodes, second))).positions
        assert [position.name for position in found] == [
            f"{first} + {last}"
            for first in ("left", "right", "both", "off")
            for last in ("open", "shut")
        ]
        by_name = {position.name: position for position in found}
        assert by_name["left + open"].closed_lines == {"right down"}
        assert by_name["left + shut"].closed_lines == {"right down", "right front"}
        assert [name for name, position in by_name.items() if position.judged] == [
            *("left + open", "right + open", "both + open")
        ]

    def test_closed_lines_carry_nothing_either_way(self):
        """By the selector's position or because the case says that a line is closed."""
        system = two_tanks()
        lines = tuple(
            replace(item, closed=True) if item.name == "right rear" else item
            for item in system.lines
        )
        found = assemble(replace(system, lines=lines))
        names = [link.name for link in found.network.links]
        for row, position in enumerate(found.positions):
            shut = {names[column] for column in np.flatnonzero(found.line_allowed[row] == 0)}
            assert shut == position.closed_lines | {"right rear"}
            assert set(found.line_allowed[row].tolist()) == {0, BOTH_WAYS}
        assert found.line_allowed.shape == (4, len(names))
        assert BOTH_WAYS == 3


class TestPlaces:
    def test_every_node_has_its_place_and_the_open_air_that_of_the_inlet(self):
        found = assemble(two_tanks())
        at = dict(zip(found.network.node_names, found.points.tolist(), strict=True))
        assert at["left.rear"] == [1.69, -0.52, 1.5]
        assert at["right tee"] == [1.72, 0.5, 1.3]
        assert at["selector"] == [1.4, 0.0, 0.25]
        assert at["engine"] == at["open air"] == [0.45, 0.0, 0.25]
        assert at["float bowl"] == [0.47, 0.0, 0.26]

    def test_without_a_float_the_bowl_stands_at_the_inlet(self):
        system = two_tanks()
        engine = replace(system.engine, carburettor=pressure_carburettor())
        found = assemble(replace(system, engine=engine))
        assert found.points[-1].tolist() == [0.45, 0.0, 0.25]

    def test_stations_follow_the_route_where_it_is_known(self):
        system = two_tanks()
        lines = (replace(system.lines[0], route=None), *system.lines[1:])
        found = assemble(replace(system, lines=lines))
        assert found.stations[0].tolist() == [[1.21, -0.52, 1.5], [1.72, -0.5, 1.3]]
        assert found.stations[2].tolist() == [list(point) for point in system.lines[2].route]
        assert len(found.stations) == len(system.lines)


class TestCalibration:
    def test_a_ground_tests_factors_reach_the_parts_with_their_keys(self):
        system = two_tanks()
        keys = ("left front: " + system.lines[0].parts[0].name + " #0", "selector selector")
        calibration = Calibration(
            keys=(),
            scores=(),
            learned=(),
            directions=(),
            parts=(
                PartFactors(key=keys[0], loss=1.1, laminar=1.2, bore=0.97),
                PartFactors(key=keys[1], loss=0.8, laminar=0.9, bore=1.05),
                PartFactors(key="not fitted", loss=9.0, laminar=9.0, bore=9.0),
            ),
            friction=1.15,
        )
        plain = assemble(system).network
        calibrated = replace(system, calibration=calibration)
        assert assemble(calibrated).system is calibrated
        found = assemble(calibrated).network
        assert found.friction == 1.15
        assert found.node_names == plain.node_names
        assert found.fixed.tolist() == plain.fixed.tolist()
        expected = {keys[0]: (1.1, 1.2, 0.97), keys[1]: (0.8, 0.9, 1.05)}
        for link, before in zip(found.links, plain.links, strict=True):
            assert (link.name, link.start, link.end) == (before.name, before.start, before.end)
            for placed, old in zip(link.parts, before.parts, strict=True):
                got = (placed.loss_factor, placed.laminar_factor, placed.bore_factor)
                assert got == expected.get(placed.key, (1.0, 1.0, 1.0))
                assert replace(placed, loss_factor=1.0, laminar_factor=1.0, bore_factor=1.0) == old


@pytest.mark.parametrize("order", [1, -1])
@pytest.mark.parametrize(("closed", "bore"), [(False, 0.006), (True, 0.0091)])
def test_of_two_lines_at_the_inlet_the_narrowest_open_one_sets_the_velocity_head(
    order, closed, bore
):
    system = with_feed_bore(0.0091)
    feed = system.lines[-1]
    second = replace(of_bore(feed, 0.006), name="second feed", closed=closed)
    lines = (*system.lines[:-1], *(feed, second)[::order])
    found = assemble(replace(system, lines=lines))
    leaving = found.network.links[found.open_link].parts[-1]
    assert leaving.part.bore == bore
