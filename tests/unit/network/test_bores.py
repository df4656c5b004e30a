"""Where steps of bore are charged: along lines, at places where lines meet, at both ends."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.bores import bore_pieces, end_bores, node_bores, throats
from flowsim.network.outcome import part_losses
from flowsim.network.solver import solve
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.physics.losses.formed_fittings import sudden_change
from flowsim.physics.losses.step_laws import STEPS
from flowsim.system.engine import Carburettor
from flowsim.system.lines import Junction, Line, Selector, Tee
from flowsim.system.parts import (
    Exit,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    Orifice,
    Part,
    Pipe,
    QuadraticLoss,
    Screen,
    Step,
)
from flowsim.system.points import Point
from tests.support.plain_systems import plain, reservoir, situation

TOP, MIDDLE, END = Point(1.0, 0.0, 0.6), Point(1.0, 0.0, 0.3), Point(1.0, 0.0, 0.0)
MOUTH = 0.010

VALVE = FlowCoefficient(name="valve", kind="valve", bore=0.003, kv=1.0)
TABLE = MeasuredDrop(
    name="filter", kind="filter", bore=0.003, flows=(1e-5,), drops=(100.0,), density=720.0
)
OWN = QuadraticLoss(name="own", kind="quadratic loss", bore=0.003, coefficient=1e6)
HOLE = Orifice(name="hole", kind="restrictor", bore=0.003, discharge_coefficient=0.6)
STRAINER = Screen(
    name="screen", area=1e-3, wires_per_metre=600.0, wire_diameter=2e-4, clear_fraction=1.0
)


def pipe(bore: float, length: float = 0.2) -> Pipe:
    return Pipe(name=f"{1e3 * bore:g}", length=length, bore=bore, roughness=1e-6, source="x")


def line(name: str, start: str, end: str, *parts: Part, bore: float = 0.008) -> Line:
    places = {"tank": TOP, "engine": END}
    ends = [places.get(node.split(".")[0], MIDDLE) for node in (start, end)]
    return Line(
        name=name, start=start, end=end, parts=parts, route=tuple(ends), length=0.3, bore=bore
    )


def of_line(*parts: Part, **given) -> Assembly:
    tank = reservoir("tank", 0.9, {"out": TOP}, bore=MOUTH)
    return assemble(plain([tank], [line("line", "tank.out", "engine", *parts)], **given))


def charged(assembly: Assembly, name: str, direction: int = 1) -> list[tuple[float, float, int]]:
    """Steps of a link in one direction: bores [mm] before and behind in that direction, count."""
    (link,) = (link for link in assembly.network.links if link.name == name)
    return [
        (round(1e3 * p.part.bore_from, 6), round(1e3 * p.part.bore_to, 6), p.part.count)
        for p in link.parts
        if isinstance(p.part, Step) and p.direction == direction
    ]


def leaving(assembly: Assembly, link: int) -> float:
    return 1e3 * assembly.network.links[link].parts[-1].part.bore


class TestOneLine:
    def test_between_the_outlet_and_every_piece_each_way(self):
        found = of_line(pipe(0.008), pipe(0.006), pipe(0.009))
        assert charged(found, "line") == [(10, 8, 1), (8, 6, 1), (6, 9, 1)]
        assert charged(found, "line", -1) == [(8, 10, 1), (6, 8, 1), (9, 6, 1)]
        assert {p.key for p in found.network.placed if isinstance(p.part, Step)} == {STEPS}
        assert leaving(found, found.open_link) == pytest.approx(9.0)
        assert charged(found, "open end") == []

    @pytest.mark.parametrize(
        "part",
        [
            *(VALVE, TABLE, OWN, HOLE, STRAINER),
            *(fitting(kind, 0.003) for kind in ("straight union", "bulkhead union", "hose barb")),
            MinorLoss(name="meter", kind="flow meter", bore=0.003, k_inf=9.0),
        ],
        ids=lambda part: part.name,
    )
    def test_a_part_that_holds_its_own_steps_is_not_charged_twice(self, part):
        found = of_line(pipe(0.008), part, pipe(0.006))
        assert charged(found, "line") == [(10, 8, 1), (8, 6, 1)]
        found = of_line(pipe(0.008), part)
        assert charged(found, "line") == [(10, 8, 1)]
        assert leaving(found, found.open_link) == pytest.approx(8.0)

    @pytest.mark.parametrize("kind", ["straight union", "bulkhead union"])
    @pytest.mark.parametrize(
        ("bore", "steps"), [(0.0073, []), (0.0088, []), (0.005, [(8, 5, 1), (5, 8, 1)])]
    )
    def test_a_union_far_from_its_tube_is_stepped_into_and_out_of(self, kind, bore, steps):
        """Flared unions have 0.91 to 0.98 of the tube's bore (AN929); two steps are in their K."""
        union = replace(fitting(kind, bore), joins=(0.008, 0.008))
        found = of_line(pipe(0.008), union, pipe(0.008))
        assert charged(found, "line") == [(10, 8, 1), *steps]

    @pytest.mark.parametrize("kind", ["elbow 90", "elbow 45", "sediment bowl", "ball valve"])
    def test_a_fitting_is_stepped_into_and_out_of(self, kind):
        found = of_line(pipe(0.008), fitting(kind, 0.005), pipe(0.006))
        assert charged(found, "line") == [(10, 8, 1), (8, 5, 1), (5, 6, 1)]

    def test_a_stated_k_as_well(self):
        found = of_line(pipe(0.008), MinorLoss(name="k", kind="loss", bore=0.005, k_inf=2.0))
        assert charged(found, "line") == [(10, 8, 1), (8, 5, 1)]
        assert leaving(found, found.open_link) == pytest.approx(5.0)

    def test_fittings_in_a_tube_each_have_it_on_both_sides(self):
        elbows = replace(fitting("elbow 90", 0.005, count=3), joins=(0.008, 0.008))
        bend = replace(fitting("elbow 45", 0.008), joins=(0.008, 0.008))
        found = of_line(pipe(0.008), elbows, bend, pipe(0.006))
        assert charged(found, "line") == [(10, 8, 1), (8, 5, 3), (5, 8, 3), (8, 6, 1)]
        assert charged(found, "line", -1) == [(8, 10, 1), (5, 8, 3), (8, 5, 3), (6, 8, 1)]
        assert "3 of them" in found.network.links[0].parts[6].part.name

    @pytest.mark.parametrize("way", [1, -1])
    def test_a_stated_change_of_size_is_the_step_itself(self, way):
        change = sudden_change(*(0.008, 0.006)[::way])
        found = of_line(pipe(0.008), replace(change, name="reducer"), pipe(0.006))
        assert charged(found, "line") == [(10, 8, 1), (8, 6, 1)]
        named = [p for p in found.network.placed if p.part.name == "reducer"]
        assert [p.key for p in named] == ["line: reducer #1"] * 2
        assert [p.direction for p in named] == [1, -1]
        found = of_line(pipe(0.008), change)  # what follows has the other size
        assert charged(found, "line") == [(10, 8, 1), (8, 6, 1)]
        assert leaving(found, found.open_link) == pytest.approx(6.0)

    def test_a_stated_change_of_size_that_does_not_fit_is_charged_beside_what_is_there(self):
        found = of_line(pipe(0.008), sudden_change(0.009, 0.007), pipe(0.005))
        assert charged(found, "line") == [(10, 8, 1), (8, 9, 1), (9, 7, 1), (7, 5, 1)]

    def test_bores_that_differ_by_rounding_are_one(self):
        found = of_line(pipe(MOUTH * (1 + 9e-7)), pipe(MOUTH))
        assert charged(found, "line") == []
        assert len(charged(of_line(pipe(MOUTH * (1 + 2e-6)), pipe(MOUTH)), "line")) == 2

    def test_a_line_without_a_bore_of_its_own_has_that_of_the_line(self):
        found = of_line(OWN)
        assert charged(found, "line") == [(10, 8, 1)]
        assert leaving(found, found.open_link) == pytest.approx(8.0)

    def test_flow_back_into_the_tank_leaves_with_the_bore_of_the_outlet(self):
        back = [p for p in of_line(pipe(0.006)).network.placed if isinstance(p.part, Exit)]
        assert back[0].part.bore == MOUTH
        assert back[0].direction == -1


class TestMeetingPlaces:
    @staticmethod
    def joined(bores: Sequence[float], node: str = "joint", **given) -> Assembly:
        """Lines of some bores from one tank each to a node, the last on to the engine."""
        tanks = [reservoir(f"tank {n}", 0.9, {"out": TOP}, bore=b) for n, b in enumerate(bores)]
        lines = [
            line(f"line {n}", f"tank {n}.out", node, pipe(bore))
            for n, bore in enumerate(bores[:-1])
        ]
        lines.append(line("feed", node, "engine", pipe(bores[-1])))
        nodes = given.pop("nodes", [Junction(name="joint", at=MIDDLE)])
        return assemble(plain(tanks[:-1], lines, nodes, **given))

    def test_two_lines_step_straight_into_each_other(self):
        found = self.joined([0.008, 0.006])
        assert charged(found, "line 0") + charged(found, "feed") == [(8, 6, 1)]
        found = self.joined([0.006, 0.008])
        assert charged(found, "line 0") + charged(found, "feed") == [(6, 8, 1)]

    def test_of_several_each_steps_to_the_widest(self):
        found = self.joined([0.006, 0.009, 0.008])
        assert charged(found, "line 0") == [(6, 9, 1)]
        assert charged(found, "line 1") == []
        assert charged(found, "feed") == [(9, 8, 1)]

    def test_a_closed_line_is_not_looked_at(self):
        found = self.joined([0.006, 0.009, 0.008])
        system = found.system
        shut = replace(system.lines[1], closed=True)
        found = assemble(replace(system, lines=(system.lines[0], shut, system.lines[2])))
        assert charged(found, "line 0") == [(6, 8, 1)]
        assert charged(found, "feed") == []

    def test_a_tee_has_a_bore_of_its_own(self):
        tee = Tee(
            name="joint", at=MIDDLE, run=("line 0", "feed"), branch="line 1", common="feed",
            bore=0.005,
        )  # fmt: skip
        found = self.joined([0.006, 0.009, 0.008], nodes=[tee])
        assert charged(found, "line 0") == [(6, 5, 1)]
        assert charged(found, "line 1") == [(9, 5, 1)]
        assert charged(found, "feed") == [(5, 8, 1)]
        # Next to the tee's own loss, not beyond it.
        kinds = [type(p.part).__name__ for p in found.network.links[0].parts]
        assert kinds[-3:] == ["Step", "Step", "MinorLoss"]
        smallest, largest = found.port_bores
        assert smallest[:3, :].tolist() == [[0.006, 0.005], [0.009, 0.005], [0.005, 0.008]]
        assert largest[:3, :].tolist() == [[0.006, 0.006], [0.009, 0.009], [0.008, 0.008]]

    @pytest.mark.parametrize(
        ("loss", "bore"), [(fitting("selector", 0.004), 4), (VALVE, 9), (OWN, 9)]
    )
    def test_a_selector_by_its_port_bore_or_where_that_is_in_its_loss_as_a_junction(
        self, loss, bore
    ):
        selector = Selector(
            name="joint", at=MIDDLE, ports={"a": "line 0", "b": "line 1"}, outlet="feed",
            positions={"a": ("a",)}, judged=("a",), loss=loss,
        )  # fmt: skip
        found = self.joined([0.006, 0.009, 0.008], nodes=[selector])
        assert charged(found, "line 0") == [(6, bore, 1)]
        assert charged(found, "feed") == [(bore, 8, 1)]

    def test_several_lines_at_the_inlet_leave_by_the_narrowest(self):
        tank = reservoir("tank", 0.9, {"out": TOP}, bore=MOUTH)
        lines = [
            line("wide", "tank.out", "engine", pipe(0.009)),
            line("narrow", "tank.out", "engine", pipe(0.006)),
        ]
        found = assemble(plain([tank], lines))
        assert charged(found, "narrow") == [(10, 6, 1), (6, 9, 1)]
        assert charged(found, "open end") == [(9, 6, 1)]
        assert leaving(found, found.open_link) == pytest.approx(6.0)

    def test_bores_of_nodes(self):
        system = self.joined([0.006, 0.009, 0.008]).system
        assert node_bores(system) == {
            "tank 0.out": 0.006, "tank 1.out": 0.009, "joint": 0.009, "engine": 0.008,
        }  # fmt: skip


class TestCarburettor:
    @staticmethod
    def behind(*parts: Part, **given) -> Assembly:
        values = {"float_level": Point(1.0, 0.0, 0.02), **given}
        return of_line(
            pipe(0.008),
            pipe(0.006),
            engine={"carburettor": Carburettor(parts=parts, **values)},
        )

    def test_its_pieces_step_from_the_last_piece_of_the_line(self):
        found = self.behind(pipe(0.004, 0.05), HOLE)
        assert charged(found, "carburettor") == [(6, 4, 1)]
        assert isinstance(found.network.links[-1].parts[-1].part, Orifice)

    @pytest.mark.parametrize("parts", [(), (STRAINER,), (HOLE, pipe(0.006, 0.05))])
    def test_what_no_seat_takes_up_is_lost_in_the_bowl(self, parts):
        found = self.behind(*parts)
        assert found.network.links[-1].parts[-1].key == "bowl exit"
        assert leaving(found, -1) == pytest.approx(6.0)

    @pytest.mark.parametrize("seat", [HOLE, VALVE, TABLE, OWN])
    def test_a_seat_takes_up_the_velocity_head_with_its_own_loss(self, seat):
        found = self.behind(STRAINER, seat)
        assert not any(isinstance(p.part, Exit) for p in found.network.links[-1].parts)

    def test_the_velocity_head_at_the_inlet_is_that_of_the_last_piece(self):
        found = self.behind(float_level=None, least_inlet_pressure=500.0)
        assert leaving(found, -1) == pytest.approx(6.0)


class TestAlongALine:
    def test_pieces_lie_by_their_lengths(self):
        given = line("x", "tank.out", "engine", pipe(0.008, 0.1), VALVE, pipe(0.006, 0.3))
        assert [(s.begin, s.end, s.bore) for s in bore_pieces(given)] == [
            (0.0, pytest.approx(0.25), 0.008),
            (pytest.approx(0.25), 1.0, 0.006),
        ]
        assert end_bores(given) == (0.008, 0.006)

    def test_fittings_stand_behind_the_tubes_that_are_listed_before_them(self):
        elbow = fitting("elbow 90", 0.005)
        given = line("x", "tank.out", "engine", pipe(0.008, 0.1), elbow, pipe(0.006, 0.3), elbow)
        assert throats(given) == ((pytest.approx(0.25), 0.005), (1.0, 0.005))

    @pytest.mark.parametrize("parts", [(), (OWN,), (pipe(0.006, 0.0),)])
    def test_without_a_tube_there_is_one_piece_of_the_lines_bore(self, parts):
        (piece,) = bore_pieces(line("x", "tank.out", "engine", *parts))
        assert (piece.begin, piece.end, piece.bore) == (0.0, 1.0, 0.008)

    def test_a_step_costs_what_its_coefficient_says(self):
        """Two systems that differ by it: turbulent flow, (1 - A1/A2)^2 of the smaller bore."""
        found = of_line(pipe(0.006, 0.3), OWN, pipe(0.009, 0.01))
        here = situation(found)
        flow = float(solve(found.network, here.conditions).flow[0, 0])
        velocity = flow / (np.pi * 0.006**2 / 4)
        assert velocity * 0.006 / 6e-7 > 10000
        losses = part_losses(found.network, here.conditions, np.full((1, 2), flow)).loss[0]
        widening = next(
            index
            for index, p in enumerate(found.network.placed)
            if isinstance(p.part, Step) and p.part.widens and p.direction == 1
        )
        expected = (1 - (6 / 9) ** 2) ** 2 * velocity**2 / (2 * 9.80665)
        assert losses[widening] == pytest.approx(expected, rel=1e-9)
