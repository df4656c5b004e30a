"""Water on the ground decides: invented systems with dips, drains and tanks that keep it."""

import math
from dataclasses import replace

import pytest

from flowsim.document.words.telling import told
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import Decision, Topic, Verdict
from flowsim.studies.routing.result import Grade
from flowsim.studies.routing.study import route_study
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Drain
from flowsim.system.points import Point
from flowsim.system.routing import GroundAttitude, Routing
from flowsim.system.tanks import DipTable, Floor, StatedLevel
from tests.support.routing_case import line, system_of

DIP = [(2, 0, 1), (1, 0, 0.5), (0.5, 0, 1.0)]
FALLS = [(2.0, 0, 1.5), (0.5, 0, 0.6)]
LEVEL_GROUND = '[ground]\nkind = "nosewheel"\npitch = "0 deg"\n'


def water_of(system: FuelSystem) -> Decision:
    """What is decided about water."""
    result = judge(system, nominal=True)
    (decision,) = (item for item in result.decisions if item.topic is Topic.WATER)
    if decision.verdict is not Verdict.ADEQUATE:
        assert result.verdict is not Verdict.ADEQUATE
        assert decision.remedy
    return decision


def falling(**given) -> FuelSystem:
    """A line that only falls, from a tank that is drained."""
    return system_of(line("feed", "tank.out", "engine", FALLS), **given)


def undrained() -> FuelSystem:
    """The same without the drain of its tank."""
    return replace(falling(), drains=())


def drain(at: Point, name: str = "low drain") -> Drain:
    """A drain on the feed line."""
    return Drain(name=name, at=at, reaches="feed")


def test_nothing_is_claimed_without_the_ground_attitude():
    assert water_of(falling()).verdict is Verdict.ADEQUATE
    bare = falling(ground="")
    decision = water_of(bare)
    assert decision.verdict is Verdict.CANNOT_TELL
    assert "[ground]" in told(decision.remedy)
    assert judge(bare, nominal=True).verdict is Verdict.CANNOT_TELL


@pytest.mark.parametrize(("away", "verdict"), [(0.2, Verdict.ADEQUATE), (1.2, Verdict.CANNOT_TELL)])
def test_a_drain_far_from_what_it_reaches_drains_nothing_surely(away, verdict):
    """A coordinate in another unit: the drain of a junction stood a metre beside it, believed."""
    junction = '[[junction]]\nname = "low"\nat = ["1 m", "0 m", "0.5 m"]\n'
    lines = (
        line("a", "tank.out", "low", [(2, 0, 1)]),
        line("b", "low", "engine", [(0.5, 0, 1.0)]),
    )
    system = system_of(*lines, junction, sharp=True)
    low = Drain(name="low drain", at=Point(1.0, away, 0.45), reaches="low")
    system = replace(system, drains=(*system.drains, low))
    decision = water_of(system)
    assert decision.verdict is verdict
    grades = {item.grade for item in route_study(system).findings if item.topic == "drain"}
    assert grades == {Grade.LOOK if verdict is Verdict.ADEQUATE else Grade.UNKNOWN}
    assert ("correct its point and its unit" in told(decision.remedy)) == (away > 1.0)


def test_an_undrained_dip_is_not_adequate_and_named_with_its_volume():
    decision = water_of(system_of(line("feed", "tank.out", "engine", DIP), sharp=True))
    assert decision.verdict is Verdict.NOT_ADEQUATE
    assert 'line "feed" at point 2' in told(decision.found)
    assert "mL, undrained" in told(decision.found)


def test_a_drain_at_the_lowest_place_makes_it_adequate():
    dip = system_of(line("feed", "tank.out", "engine", DIP), sharp=True)
    drained = replace(dip, drains=(*dip.drains, drain(Point(1.0, 0.0, 0.5))))
    assert water_of(drained).verdict is Verdict.ADEQUATE


def test_the_drain_that_leaves_least_is_named_with_what_it_leaves():
    """Two drains, the better one second in the file: its name and its volume stand together."""
    dip = system_of(line("feed", "tank.out", "engine", DIP), sharp=True)
    high, low = drain(Point(1.6, 0.0, 0.8), "high drain"), drain(Point(1.2, 0.0, 0.6), "low drain")
    for drains in ((high, low), (low, high)):
        both = replace(dip, drains=(*dip.drains, *drains))
        found = told(water_of(both).found)
        assert 'drain "low drain" leaves' in found
        assert "high drain" not in found
        words = [told(f.words) for f in route_study(both).findings if f.topic == "low point"]
        assert any('drain "low drain" leaves' in item for item in words)
        assert not any("high drain" in item for item in words)


@pytest.mark.parametrize(
    ("deviation", "verdict", "grade"),
    [
        (0.0, Verdict.NOT_ADEQUATE, Grade.MEND),
        (0.005, Verdict.NOT_ADEQUATE, Grade.MEND),
        (0.02, Verdict.CANNOT_TELL, Grade.UNKNOWN),
    ],
)
def test_a_dip_shallower_than_the_heights_are_known_cannot_be_told(deviation, verdict, grade):
    """A dip of 20 mm: sure with heights to 5 mm, not with heights to 20 mm (two deviations)."""
    points = [(2.0, 0, 1.0), (1.5, 0, 0.98), (1.0, 0, 1.0), (0.5, 0, 0.5)]
    base = system_of(line("feed", "tank.out", "engine", points), sharp=True, ground=LEVEL_GROUND)
    system = replace(base, height_deviation=deviation)
    assert water_of(system).verdict is verdict
    grades = {f.grade for f in route_study(system).findings if f.topic == "low point"}
    assert grade in grades


def test_a_line_of_unknown_course_cannot_be_told():
    base = falling()
    bare = replace(base, lines=(replace(base.lines[0], route=None),))
    decision = water_of(bare)
    assert decision.verdict is Verdict.CANNOT_TELL
    assert "via" in told(decision.remedy)


def test_water_below_the_outlet_of_a_tank_is_named_with_its_volume():
    """The floor is 0.4 m long, the outlet in its middle; 11 deg nose-up: a wedge behind it (exact).

    0.2 m long, 0.2 tan 11 deg deep, 0.8 m wide.
    """
    system = undrained()
    decision = water_of(system)
    wedge = 0.5 * 0.2 * 0.2 * math.tan(math.radians(11.0)) * 0.8
    assert decision.verdict is Verdict.NOT_ADEQUATE
    assert f'tank "tank": {1e3 * wedge:.2f} L stays below outlet "out"' in told(decision.found)
    assert [f.grade for f in route_study(system).findings if f.topic == "tank low point"] == [
        Grade.MEND
    ]


def test_a_drain_in_the_low_corner_or_below_it_takes_the_water():
    for at in (Point(2.2, 0.3, 2.0), Point(2.22, 0.3, 1.95)):
        system = undrained()
        drained = replace(system, drains=(Drain(name="tank drain", at=at, reaches="tank"),))
        assert water_of(drained).verdict is Verdict.ADEQUATE


def test_a_drain_in_the_wrong_corner_does_not():
    system = undrained()
    forward = replace(
        system, drains=(Drain(name="tank drain", at=Point(1.8, 0.0, 2.0), reaches="tank"),)
    )
    assert water_of(forward).verdict is Verdict.NOT_ADEQUATE


def test_an_outlet_without_a_line_drains_nothing():
    base = undrained()
    tank = base.tanks[0]
    spare = replace(tank.outlets[0], name="spare", at=Point(2.2, 0.0, 2.0))
    system = replace(base, tanks=(replace(tank, outlets=(*tank.outlets, spare)),))
    assert water_of(system).verdict is Verdict.NOT_ADEQUATE


@pytest.mark.parametrize(
    "shape",
    [
        StatedLevel(surface=Point(2.0, 0.0, 2.1)),
        DipTable(
            at=Point(2.0, 0.0, 2.0), dips=(0.0, 0.1), quantities=(0.0, 0.03), pitch=0.19, roll=0.0
        ),
    ],
)
def test_a_tank_without_a_shape_needs_its_lowest_place_and_a_drain_there(shape):
    base = undrained()
    bare = replace(base, tanks=(replace(base.tanks[0], shape=shape),))
    decision = water_of(bare)
    assert decision.verdict is Verdict.CANNOT_TELL
    assert "its shape is not known" in told(decision.found)
    low = Point(2.1, 0.0, 2.0)
    stated = replace(bare, tanks=(replace(bare.tanks[0], sump=low),))
    assert water_of(stated).verdict is Verdict.NOT_ADEQUATE
    for height, verdict in ((2.0, Verdict.ADEQUATE), (2.05, Verdict.NOT_ADEQUATE)):
        at = low._replace(waterline=height)
        drained = replace(stated, drains=(Drain(name="tank drain", at=at, reaches="tank"),))
        assert water_of(drained).verdict is verdict


def test_a_tank_known_by_dips_counts_as_the_box_on_its_floor():
    """The same wedge of water behind the outlet as in the box itself."""
    base = undrained()
    floor = Floor(length=0.4, width=0.8, centre=Point(2.0, 0.0, 2.0))
    table = DipTable(at=Point(2.0, 0.0, 2.0), dips=(0.0, 0.12), quantities=(0.0, 0.0384),
                     pitch=0.0, roll=0.0, floor=floor)  # fmt: skip
    dipped = replace(base, tanks=(replace(base.tanks[0], shape=table),))
    assert told(water_of(dipped).found) == told(water_of(base).found)


def test_lines_that_cannot_be_laid_are_not_passed_over():
    base = falling()
    route = base.lines[0].route
    doubled = replace(base.lines[0], route=(route[0], route[1], route[0], route[-1]))
    decision = water_of(replace(base, lines=(doubled,)))
    assert decision.verdict is Verdict.CANNOT_TELL


def test_a_dip_only_in_flight_does_not_decide_one_on_the_ground_does():
    """Forward and down by 1.7 deg: a dip at its upper end in the climb, and 11 deg nose-up."""
    points = [(2.0, 0, 1.5), (1.0, 0, 1.47), (0.9, 0, 0.6)]
    base = system_of(line("feed", "tank.out", "engine", points), sharp=True)
    found = {}
    for pitch in (0.0, 0.19):
        routing = Routing(ground=GroundAttitude(gear="nosewheel", pitch=pitch))
        found[pitch] = water_of(replace(base, routing=routing)).verdict
    assert found == {0.0: Verdict.ADEQUATE, 0.19: Verdict.NOT_ADEQUATE}
