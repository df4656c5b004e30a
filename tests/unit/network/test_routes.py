"""Ways from an outlet to the inlet, and the falling legs behind high points on them."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.assembly import Assembly, assemble
from flowsim.network.routes import LEVEL_ENOUGH, Leg, hump_legs, paths
from flowsim.physics.attitude import effective_gravity
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Junction
from flowsim.system.points import Point
from tests.support.systems import line, one_tank, tank, two_tanks

OPEN, FORWARD, BACKWARD, SHUT = 3, 1, 2, 0
LEVEL = effective_gravity(0.0, 0.0)


def along(*points: tuple[float, float]) -> list[Point]:
    """Points of the centre plane from (station, waterline)."""
    return [Point(station, 0.0, waterline) for station, waterline in points]


def of_routes(**routes: list[Point]) -> FuelSystem:
    """One tank and lines in a row to the engine; a name that ends in "_drawn_back" is turned."""
    names, lines = [*routes], []
    joints = [f"joint {number}" for number in range(1, len(names))]
    ends = ["wing.rear", *joints, "engine"]
    for name, start, end in zip(names, ends[:-1], ends[1:], strict=True):
        if name.endswith("_drawn_back"):
            lines.append(line(name, end, start, routes[name][::-1]))
        else:
            lines.append(line(name, start, end, routes[name]))
    nodes = tuple(
        Junction(name=joint, at=routes[name][-1])
        for joint, name in zip(joints, names[:-1], strict=True)
    )
    system = one_tank(lines=tuple(lines), nodes=nodes, height_deviation=0.0)
    return replace(system, engine=replace(system.engine, inlet_at=routes[names[-1]][-1]))


def legs(system: FuelSystem, gravity=LEVEL) -> tuple[Leg, ...]:
    assembly = assemble(system)
    allowed = np.full(len(assembly.network.links), OPEN, dtype=np.int8)
    covered = np.ones(len(assembly.outlets), dtype=bool)
    return hump_legs(assembly, allowed, covered, gravity)


def meshed() -> Assembly:
    """Two tanks; between the joints j1 and j2 two lines, one of them drawn against the flow.

    wing.rear - away - j1 = upper, lower = j2 - last - engine; aft.out joins j2; j1 - stub - j3.
    """
    base = one_tank()
    aft = tank("aft", Point(2.0, -0.3, 1.4), Point(2.5, 0.3, 1.5), {"out": Point(2.1, 0.0, 1.4)})
    j1, j2, j3 = Point(1.6, 0.0, 1.0), Point(1.0, 0.0, 0.6), Point(2.0, 0.0, 1.0)
    system = replace(
        base,
        tanks=(*base.tanks, aft),
        lines=(
            line("stub", "j1", "j3", [j1, j3]),
            line("last", "j2", "engine", [j2, Point(0.5, 0.0, 0.4)]),
            line("aft line", "aft.out", "j2", [Point(2.1, 0.0, 1.4), j2]),
            line("upper", "j1", "j2", [j1, Point(1.3, 0.0, 1.1), j2]),
            line("lower", "j2", "j1", [j2, j1]),
            line("away", "j1", "wing.rear", [j1, Point(1.69, 0.0, 1.4)]),
        ),
        nodes=tuple(
            Junction(name=name, at=at) for name, at in (("j1", j1), ("j2", j2), ("j3", j3))
        ),
    )
    return assemble(system)


MESHED = meshed()


def ways(source: str, **codes: int) -> set[tuple[str, ...]]:
    """Ways through the meshed system by the lines' names; "-" before a line walked backwards."""
    names = [link.name for link in MESHED.network.links]
    allowed = np.array([codes.get(name.replace(" ", "_"), OPEN) for name in names], dtype=np.int8)
    found = [
        tuple(("-" if turned else "") + names[link] for link, turned in way)
        for way in paths(MESHED, allowed, MESHED.node_index[source])
    ]
    assert len(found) == len(set(found))
    return set(found)


class TestPaths:
    def test_every_way_once_and_none_through_a_dead_end_or_a_tank(self):
        assert ways("wing.rear") == {("-away", "upper", "last"), ("-away", "-lower", "last")}
        assert ways("aft.out") == {("aft line", "last")}

    def test_a_way_may_begin_at_any_node(self):
        assert ways("j3") == {("-stub", "upper", "last"), ("-stub", "-lower", "last")}
        assert ways("engine") == {()}

    @pytest.mark.parametrize("code", [BACKWARD, SHUT])
    def test_a_line_that_does_not_pass_forward_is_no_way(self, code):
        assert ways("wing.rear", upper=code) == {("-away", "-lower", "last")}

    @pytest.mark.parametrize("code", [FORWARD, SHUT])
    def test_a_line_drawn_against_the_flow_must_pass_backward(self, code):
        assert ways("wing.rear", lower=code) == {("-away", "upper", "last")}

    def test_one_open_direction_is_enough(self):
        open_ways = ways("wing.rear")
        one_sided = {"away": BACKWARD, "upper": FORWARD, "lower": BACKWARD, "last": FORWARD}
        assert ways("wing.rear", **one_sided) == open_ways

    @pytest.mark.parametrize("name", ["away", "last"])
    def test_without_an_open_way_there_is_none(self, name):
        assert ways("wing.rear", **{name: SHUT}) == set()

    def test_the_selector_decides_between_the_tanks(self):
        assembly = assemble(two_tanks())
        names = [link.name for link in assembly.network.links]
        left = [position.name for position in assembly.positions].index("left")
        found = {
            source: [
                [names[link] for link, _ in way]
                for way in paths(assembly, assembly.line_allowed[left], assembly.node_index[source])
            ]
            for source in ("left.rear", "right.rear")
        }
        assert found == {"left.rear": [["left rear", "left down", "feed"]], "right.rear": []}


class TestHumps:
    def test_a_way_that_only_falls_has_none(self):
        assert legs(of_routes(down=along((1.69, 1.4), (1.6, 1.0), (1.0, 0.9), (0.5, 0.4)))) == ()

    def test_a_rise_to_the_inlet_itself_is_no_hump(self):
        system = one_tank()  # falls to 0.1 m, then rises to the engine at 0.4 m
        assert legs(system) == ()

    def test_the_legs_behind_a_high_point_by_hand(self):
        """Up 0.4 m, along the level, down 0.3 m over 0.4 m and 0.3 m straight, up to the engine."""
        route = along(
            *((1.69, 1.4), (1.69, 0.5), (1.6, 0.9), (1.5, 0.9)),
            *((1.1, 0.6), (1.1, 0.3), (0.5, 0.7)),
        )
        found = legs(of_routes(down=route))
        assert [(leg.link, leg.stretch) for leg in found] == [(0, 3), (0, 4)]
        assert [leg.high_point for leg in found] == ["down, point 3"] * 2
        assert [leg.fall for leg in found] == pytest.approx([0.3, 0.3])
        assert [leg.slope for leg in found] == pytest.approx([np.arcsin(0.6), np.pi / 2])

    def test_each_high_point_has_its_own_legs(self):
        route = along(
            *((1.69, 1.4), (1.6, 0.5), (1.5, 0.8), (1.4, 0.4), (1.3, 0.6)),
            *((1.2, 0.5), (1.1, 0.2), (0.5, 0.4)),
        )
        found = legs(of_routes(down=route))
        assert [(leg.stretch, leg.high_point[-1]) for leg in found] == [
            (2, "2"),
            (4, "4"),
            (5, "4"),
        ]

    def test_a_level_stretch_in_the_fall_does_not_end_the_leg(self):
        route = along((1.69, 1.4), (1.6, 0.5), (1.5, 0.8), (1.4, 0.6), (1.2, 0.6), (0.5, 0.4))
        found = legs(of_routes(down=route))
        assert [(leg.stretch, leg.high_point) for leg in found] == [
            (2, "down, point 2"),
            (4, "down, point 2"),
        ]

    def test_differences_by_rounding_make_no_hump(self):
        bump = 0.4 * LEVEL_ENOUGH
        route = along((1.69, 1.4), (1.6, 0.5), (1.5, 0.5 + bump), (1.4, 0.5), (0.5, 0.4))
        assert legs(of_routes(down=route)) == ()
        high = along((1.69, 1.4), (1.6, 0.5), (1.5, 0.5 + 5 * bump), (1.4, 0.5), (0.5, 0.4))
        assert [leg.stretch for leg in legs(of_routes(down=high))] == [2, 3]

    def test_a_hump_at_a_joint_is_called_by_the_joints_name(self):
        """Its legs go on in the next line, which is drawn against the flow."""
        system = of_routes(
            climb=along((1.69, 1.4), (1.6, 0.5), (1.5, 0.9)),
            over=along((1.5, 0.9), (1.3, 0.7)),
            last_drawn_back=along((1.3, 0.7), (1.2, 0.6), (0.9, 0.2), (0.5, 0.4)),
        )
        found = legs(system)
        assert [(leg.link, leg.stretch) for leg in found] == [(1, 0), (2, 2), (2, 1)]
        assert {leg.high_point for leg in found} == {"joint 1"}
        assert [leg.is_back for leg in found] == [False, True, True]
        assert [leg.fall for leg in found] == pytest.approx([0.2, 0.1, 0.4])
        assert found[2].slope == pytest.approx(np.arctan2(0.4, 0.3))

    def test_the_high_point_of_a_line_drawn_back_counts_from_its_own_start(self):
        system = of_routes(
            first_drawn_back=along((1.69, 1.4), (1.6, 0.5), (1.5, 0.9), (1.3, 0.7)),
            last=along((1.3, 0.7), (0.5, 0.4)),
        )
        found = legs(system)
        assert [(leg.link, leg.stretch) for leg in found] == [(0, 0), (1, 0)]
        assert found[0].high_point == found[1].high_point == "first_drawn_back, point 1"

    def test_turning_every_line_round_finds_the_same_legs(self):
        routes = {
            "a": along((1.69, 1.4), (1.6, 0.5), (1.5, 0.9), (1.4, 0.8)),
            "b": along((1.4, 0.8), (1.2, 0.3), (1.1, 0.35), (0.9, 0.2), (0.5, 0.4)),
        }
        as_drawn = legs(of_routes(**routes))
        turned = legs(of_routes(**{f"{name}_drawn_back": way for name, way in routes.items()}))
        stretches = {0: 3, 1: 4}
        assert [(leg.link, leg.stretch) for leg in as_drawn] == [
            (leg.link, stretches[leg.link] - 1 - leg.stretch) for leg in turned
        ]
        for one, other in zip(as_drawn, turned, strict=True):
            assert one.fall == pytest.approx(other.fall)
            assert one.slope == pytest.approx(other.slope)
            assert one.bore == other.bore
            assert other.is_back
            line, _, number = one.high_point.partition(", point ")
            last_point = stretches["ab".index(line)]
            assert other.high_point == f"{line}_drawn_back, point {last_point - int(number)}"

    def test_the_bore_is_the_widest_between_the_crest_and_the_next_low_point(self):
        """Pieces of a line by their lengths, over several lines; not what lies elsewhere."""
        system = of_routes(
            up=along((1.69, 1.4), (1.6, 0.5), (1.6, 0.9), (1.6, 0.7)),
            down=along((1.6, 0.7), (1.6, 0.3), (1.6, 0.5), (1.6, 0.1), (0.5, 0.4)),
        )
        up, down = system.lines
        length = up.length
        pipe = up.parts[0]
        at_crest = (length - 0.2) / length  # of the length, where it begins to fall

        def with_piece(place: float, bore: float, span: float = 0.01) -> float:
            cut = [place * length, span, length - place * length - span]
            pieces = [
                replace(pipe, length=part, bore=size)
                for part, size in zip(cut, (pipe.bore, bore, pipe.bore), strict=True)
            ]
            lines = (replace(up, parts=tuple(pieces)), down)
            return legs(replace(system, lines=lines))[0].bore

        assert [leg.bore for leg in legs(system)] == [pipe.bore] * 3
        assert with_piece(at_crest + 0.05, 0.012) == 0.012  # behind the crest
        assert with_piece(at_crest - 0.05, 0.012) == pipe.bore  # ahead of it
        assert with_piece(at_crest + 0.05, 0.004) == pipe.bore  # a narrow piece clears nothing
        assert with_piece(at_crest - 0.01 / length, 0.012) == pipe.bore  # ends at the crest
        wide = replace(down, parts=(replace(down.parts[0], bore=0.012),), bore=0.012)
        found = legs(replace(system, lines=(up, wide)))
        assert [leg.bore for leg in found] == [0.012] * 3
        assert [leg.fall for leg in found] == pytest.approx([0.2, 0.4, 0.4])

    @pytest.mark.parametrize("rise", [0.009, 0.011])
    def test_a_rise_within_two_deviations_of_the_heights_is_doubtful(self, rise):
        route = along((1.69, 1.4), (1.6, 0.5), (1.2, 0.5 + rise), (1.2, 0.4), (0.5, 0.4))
        for name in ("down", "down_drawn_back"):
            found = legs(replace(of_routes(**{name: route}), height_deviation=0.005))
            assert [leg.is_doubtful for leg in found] == [rise <= 0.01]
            assert found[0].fall == pytest.approx(0.1 + rise)

    @pytest.mark.parametrize(("fall", "legs_found"), [(0.0, 1), (0.009, 1), (0.011, 0)])
    def test_a_run_that_may_rise_as_heights_are_known_may_be_a_hump(self, fall, legs_found):
        route = along((1.69, 1.4), (1.6, 0.5), (1.2, 0.5 - fall), (1.2, 0.1), (0.5, 0.05))
        for name in ("down", "down_drawn_back"):
            system = of_routes(**{name: route})
            assert legs(system) == ()
            found = legs(replace(system, height_deviation=0.005))
            # The last run falls by 50 mm: it is no hump, and hangs on the same one.
            assert [leg.fall for leg in found] == pytest.approx(
                [0.4 - fall, 0.05][: 2 * legs_found]
            )
            assert all(leg.is_doubtful for leg in found)

    def test_a_point_inside_a_straight_run_changes_nothing(self):
        """Not in one line and not where two lines meet in it."""
        route = along((1.69, 1.4), (1.6, 0.5), (1.2, 0.48), (1.2, 0.1), (0.5, 0.05))
        close = along((1.69, 1.4), (1.6, 0.5), (1.45, 0.4925), (1.2, 0.48), (1.2, 0.1), (0.5, 0.05))
        for routes in (
            {"down": route}, {"down": close}, {"down": close[:3], "on": close[2:]},
        ):  # fmt: skip
            system = replace(of_routes(**routes), height_deviation=0.009)
            assert legs(system) == ()

    def test_a_short_stub_is_doubted_by_its_slope(self):
        """50 mm that fall by 4 mm (4.6 deg): its slope is known to 10 mm in 300 (1.9 deg)."""
        for fall, count in ((0.004, 0), (0.001, 1)):
            route = along((1.69, 1.4), (1.6, 0.5), (1.55, 0.5 - fall), (1.55, 0.1), (0.5, 0.05))
            found = legs(replace(of_routes(down=route), height_deviation=0.005))
            assert len({leg.high_point for leg in found}) == count

    def test_the_first_run_lets_its_air_back_into_the_tank(self):
        """Along its roof, unless it may rise by more than its bore of 7.75 mm."""
        route = along((1.69, 1.4), (1.2, 1.4), (1.2, 0.1), (0.5, 0.05))
        system = of_routes(down=route)
        assert legs(replace(system, height_deviation=0.0038)) == ()
        found = legs(replace(system, height_deviation=0.0039))
        assert {leg.high_point for leg in found} == {"down, point 1"}

    def test_nose_up_turns_a_gentle_fall_into_a_hump(self):
        """Aft of a forward line's start the tail sinks: 20 deg beats a run that falls 10 deg.

        The run goes forward (towards lower stations) and 0.1 m down over 1 m; nose-up it rises.
        """
        route = along((1.69, 1.4), (1.69, 0.8), (0.69, 0.7), (0.5, 0.2))
        system = of_routes(down=route)
        assert legs(system) == ()
        (leg,) = legs(system, effective_gravity(np.radians(20.0), 0.0))
        assert (leg.stretch, leg.high_point) == (2, "down, point 2")
        assert leg.slope == pytest.approx(np.arctan2(0.5, 0.19) - np.radians(20.0))
        assert leg.fall == pytest.approx(np.hypot(0.5, 0.19) * np.sin(leg.slope))

    def test_a_leg_along_the_plumb_line_is_vertical_whatever_the_rounding(self):
        for pitch in np.radians(np.linspace(0.0, 30.0, 61)):
            pull = effective_gravity(float(pitch), 0.0)
            top = np.array([1.5, 0.0, 1.2])
            foot = top + 0.37 * pull
            route = [
                *(Point(1.69, 0.0, 1.4), Point(1.55, 0.0, 0.3), Point(*top), Point(*foot)),
                Point(*(foot + 0.1 * pull)),
            ]
            found = legs(of_routes(down=route), pull)
            assert [leg.slope for leg in found] == pytest.approx([np.pi / 2] * 2, abs=1e-7)


class TestWaysTogether:
    def test_only_covered_outlets_feed(self):
        """The high point of the line "upper" is met from the wing tank alone."""
        allowed = np.full(len(MESHED.network.links), OPEN, dtype=np.int8)
        names = [link.name for link in MESHED.network.links]

        def found(wing: bool, aft: bool):
            return [
                (names[leg.link], leg.stretch)
                for leg in hump_legs(MESHED, allowed, np.array([wing, aft]), LEVEL)
            ]

        assert found(True, False) == [("upper", 1), ("last", 0)]
        assert found(False, True) == []
        assert found(True, True) == found(True, False)

    def test_a_stretch_met_on_several_ways_counts_once_by_the_first(self):
        """Two outlets of one tank whose lines meet ahead of a common hump; the first is bare."""
        base = one_tank()
        joint, low = Point(1.6, 0.0, 1.0), Point(1.4, 0.0, 0.5)
        wing = tank(
            "wing",
            Point(1.2, -0.3, 1.4),
            Point(1.7, 0.3, 1.55),
            {"front": Point(1.3, 0.0, 1.4), "rear": Point(1.69, 0.0, 1.4)},
        )
        system = replace(
            base,
            tanks=(wing,),
            nodes=(Junction(name="joint", at=joint),),
            lines=(
                line("front line", "wing.front", "joint", [Point(1.3, 0.0, 1.4), joint]),
                line("rear line", "wing.rear", "joint", [Point(1.69, 0.0, 1.4), joint]),
                line(
                    "common",
                    "joint",
                    "engine",
                    [joint, low, Point(1.2, 0.0, 0.8), Point(0.5, 0.0, 0.4)],
                ),
            ),
        )
        assembly = assemble(system)
        allowed = np.full(len(assembly.network.links), OPEN, dtype=np.int8)
        both = hump_legs(assembly, allowed, np.array([True, True]), LEVEL)
        assert [(leg.link, leg.stretch) for leg in both] == [(2, 2)]
        assert hump_legs(assembly, allowed, np.array([False, True]), LEVEL) == both
        assert hump_legs(assembly, allowed, np.array([False, False]), LEVEL) == ()
        shut = allowed.copy()
        shut[2] = SHUT
        assert hump_legs(assembly, shut, np.array([True, True]), LEVEL) == ()


@pytest.mark.parametrize("load", [0.5, 1.0, 1.5])
def test_the_slope_is_an_angle_whatever_the_load_factor(load):
    """A leg of 3 down in 5 falls at asin 0.6, also in a pull-up; its head goes with the load."""
    system = of_routes(over=along((2.0, 1.4), (1.8, 1.5), (1.4, 1.2), (1.0, 1.2), (0.9, 1.1)))
    leg = legs(system, load * LEVEL)[0]
    assert leg.slope == pytest.approx(np.arcsin(0.6))
    assert leg.fall == pytest.approx(load * 0.3)
