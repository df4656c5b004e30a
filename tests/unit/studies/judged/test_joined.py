"""Which tanks open lines join, and which can never be parted."""

from dataclasses import replace

import pytest

from flowsim.network.assembly import assemble
from flowsim.studies.judged.joined import joined_tanks, never_parted
from flowsim.system.parts import OneWayValve
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, StatedLevel
from tests.support.systems import line, one_tank, tank, two_tanks

VALVE = OneWayValve(name="valve", bore=0.008, kv=1.0, cracking_pressure=100.0)


def beside(low: float, high: float, *parts):
    """A second tank between two heights, joined to the first by a line of its own."""
    base = one_tank()
    other = tank(
        "other", Point(1.2, 0.4, low), Point(1.7, 0.9, high), {"out": Point(1.69, 0.5, low)}
    )
    cross = line(
        "cross", "other.out", "wing.rear", [Point(1.69, 0.5, low), Point(1.69, 0.0, 1.4)], *parts
    )
    return replace(base, tanks=(*base.tanks, other), lines=(*base.lines, cross))


def test_a_selector_joins_what_its_position_opens():
    assembly = assemble(two_tanks())
    names = [position.name for position in assembly.positions]
    assert joined_tanks(assembly, names.index("both")) == (frozenset({0, 1}),)
    assert joined_tanks(assembly, names.index("left")) == ()
    assert joined_tanks(assembly, names.index("right")) == ()
    assert never_parted(assembly) == ()


@pytest.mark.parametrize(
    ("low", "high", "parted"),
    [(1.45, 1.6, False), (1.3, 1.42, False), (1.55, 1.7, True), (1.2, 1.4, True)],
)
def test_only_tanks_whose_fuel_can_stand_at_one_height_are_never_parted(low, high, parted):
    """The first tank reaches from 1.40 to 1.55 m."""
    assert never_parted(assemble(beside(low, high))) == (() if parted else ((0, 1),))


def test_a_one_way_valve_joins_only_where_it_is_asked_for():
    assembly = assemble(beside(1.4, 1.55, VALVE))
    assert joined_tanks(assembly, 0) == ()
    assert joined_tanks(assembly, 0, one_way=True) == (frozenset({0, 1}),)
    assert never_parted(assembly) == ()


def test_a_stated_level_is_at_no_height_of_its_own_and_a_dip_table_at_its_dips():
    system = beside(1.4, 1.55)
    first, second = system.tanks

    def with_shape(shape):
        return replace(system, tanks=(first, replace(second, shape=shape)))

    level = StatedLevel(surface=Point(1.5, 0.6, 1.5))
    assert never_parted(assemble(with_shape(level))) == ()
    for bottom, joined in ((1.3, True), (1.2, False)):
        dips = DipTable(
            at=Point(1.5, 0.6, bottom),
            pitch=0.0,
            roll=0.0,
            dips=(0.0, 0.05, 0.15),
            quantities=(0.0, 0.01, 0.03),
        )
        assert bool(never_parted(assemble(with_shape(dips)))) is joined
