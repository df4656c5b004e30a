"""Dip-table tanks in invented systems: less known of a tank never gives a better word."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.physics.tank.floor import stick_direction
from flowsim.physics.tank.solids import box
from flowsim.physics.tank.surface import capacity_of
from flowsim.physics.tank.volume import surface_elevation
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.verdict.decisions.tank_data import dipped_tanks
from flowsim.studies.verdict.judging import SEVERITY
from flowsim.system.lines import Drain
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Floor
from tests.support.systems import flight, one_tank, two_tanks

LOW, HIGH = Point(1.2, -0.3, 1.4), Point(1.7, 0.3, 1.55)
FLOOR = Floor(length=0.5, width=0.6, centre=Point(1.45, 0.0, 1.4))


def dipped(system, *, pitch=0.0, floor=None, index=0):
    """The system with a tank known by exact dips of its own box, nothing else changed."""
    tank = system.tanks[index]
    corners = np.array(tank.shape.corners)
    low, high = corners.min(axis=0), corners.max(axis=0)
    middle = Point(*(float(v) for v in 0.5 * (low + high)))._replace(waterline=float(low[2]))
    empty = DipTable(at=middle, dips=(0.0, 1.0), quantities=(0.0, 1.0), pitch=pitch, roll=0.0)
    up = stick_direction(empty)
    full = float(np.prod(high - low))
    held = np.linspace(0.001, 0.999, 200) * full
    dips = surface_elevation(box(Point(*low), Point(*high)), -up[None], held) - up @ np.array(
        middle
    )
    table = replace(empty, dips=tuple(dips.tolist()), quantities=tuple(held.tolist()), floor=floor)
    tanks = list(system.tanks)
    tanks[index] = replace(tank, shape=table, sump=middle)
    more = Drain(name=f"{tank.name} drain", at=middle, reaches=tank.name)
    return replace(system, tanks=tuple(tanks), drains=(*system.drains, more))


def of_tank(system, **how):
    """What is decided about tank data, and the whole answer."""
    result = judge(system, **{"nominal": True, **how})
    return [item for item in result.decisions if item.topic is Topic.TANK_DATA], result


@pytest.mark.parametrize("pitch", [0.0, 0.19])
def test_without_a_floor_nothing_is_claimed_away_from_the_dips(pitch):
    assert judge(one_tank(), nominal=True).verdict is Verdict.ADEQUATE
    (decision,), result = of_tank(dipped(one_tank(), pitch=pitch))
    assert decision.verdict is Verdict.CANNOT_TELL
    assert "floor_length" in told(decision.remedy)
    assert result.verdict is Verdict.CANNOT_TELL


def test_in_the_attitude_of_the_dips_they_are_enough():
    still = flight(climb_pitch=np.radians(1.0), test_margin=np.radians(0.9), acceleration=0.1)
    found, result = of_tank(replace(dipped(one_tank()), flight=still))
    assert not found
    assert result.verdict is Verdict.ADEQUATE


def test_with_its_floor_the_answer_is_that_of_the_box():
    (decision,), result = of_tank(dipped(one_tank(), floor=FLOOR))
    assert decision.verdict is Verdict.ADEQUATE
    assert result.verdict is Verdict.ADEQUATE


@pytest.mark.parametrize("pitch", [0.0, 0.19])
@pytest.mark.parametrize("unusable", [0.0005, 0.002, 0.004, 0.008])
@pytest.mark.parametrize("station", [1.21, 1.45, 1.69])
def test_dips_never_give_a_better_word_than_the_box(pitch, unusable, station):
    """The outlet in front, in the middle and at the rear; little fuel and much."""
    base = one_tank(test_draw=0.0005)
    at = Point(station, 0.0, 1.4)
    outlet = replace(base.tanks[0].outlets[0], at=at)
    tank = replace(base.tanks[0], outlets=(outlet,), unusable=unusable, least_takeoff=0.01)
    route = (at, *base.lines[0].route[1:])
    system = replace(base, tanks=(tank,), lines=(replace(base.lines[0], route=route),))
    itself = judge(system, nominal=True).verdict
    with_floor = judge(dipped(system, pitch=pitch, floor=FLOOR), nominal=True).verdict
    assert SEVERITY[with_floor] >= SEVERITY[itself]
    assert judge(dipped(system, pitch=pitch), nominal=True).verdict is not Verdict.ADEQUATE


def test_the_upper_end_of_the_band_counts_too():
    """The draws are those of the check: both ends have a line of their own."""
    (decision,), result = of_tank(dipped(one_tank(), floor=FLOOR), nominal=False, draws=64)
    assert decision.verdict is result.verdict is Verdict.ADEQUATE
    assert "open line, 150 %" in told(decision.found)


def test_each_dipped_tank_is_named_and_only_those_in_use():
    system = two_tanks()
    both = dipped(dipped(system), index=1)
    found, _ = of_tank(both)
    assert [told(item.found).split('"')[1] for item in found] == ["left", "right"]
    shut = tuple(
        replace(line, closed=True) if line.name == "right down" else line for line in both.lines
    )
    assert dipped_tanks(assemble(replace(both, lines=shut))) == (0,)


@pytest.mark.parametrize(("more", "settled"), [(1.09, True), (1.11, False), (3.0, False)])
def test_a_tank_that_takes_more_than_its_points_enclose_cannot_be_told(more, settled):
    """A plan of a third, or a fill factor of a third: the same litres stand three times as high."""
    system = one_tank()
    (tank,) = system.tanks
    full = capacity_of(tank.shape)
    stated = replace(system, tanks=(replace(tank, placarded_capacity=more * full),))
    decisions, result = of_tank(stated)
    assert (not decisions) is settled
    assert (result.verdict is Verdict.ADEQUATE) is settled
    assert all("measure the inside" in told(item.remedy) for item in decisions)


def test_a_fill_factor_that_the_capacity_belies_cannot_be_told():
    system = one_tank()
    (tank,) = system.tanks
    full = capacity_of(tank.shape)
    thin = replace(tank, shape=replace(tank.shape, fill_factor=0.3), placarded_capacity=full)
    (decision,), _ = of_tank(replace(system, tanks=(thin,)))
    assert decision.verdict is Verdict.CANNOT_TELL
