"""Outlets in doubt: both states are judged, and nothing is adequate unless both are.

The systems are invented; the depths are those of a box, worked out by hand.
"""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.network.scenarios import BARE, COVERED, situate
from flowsim.physics.air.dips import critical_dip
from flowsim.studies.adequacy.study import judge
from flowsim.studies.judged.cover_doubt import (
    MOST_COMBINED,
    _other_ways,
    cover_doubt,
    doubtful_twins,
)
from flowsim.studies.judged.scenarios import scenario_table
from flowsim.studies.result import Topic, Verdict
from tests.support.systems import one_tank


def in_doubt(result):
    return [
        d for d in result.decisions if d.topic is Topic.AIR and told(d.name) == "outlets in doubt"
    ]


def with_outlet_at(system, waterline):
    """The same system with its outlet higher or lower; its line begins there too."""
    (tank,) = system.tanks
    (outlet,) = tank.outlets
    moved = replace(outlet, at=outlet.at._replace(waterline=waterline))
    return replace(system, tanks=(replace(tank, outlets=(moved,)),))


def depths(system):
    assembly = assemble(system)
    table = scenario_table(assembly)
    situation = situate(assembly, table.scenarios)
    return table, situation, cover_doubt(assembly, situation)


def test_an_outlet_covered_by_millimetres_is_not_adequate():
    base = one_tank()
    table, _, doubt = depths(base)
    least = float(doubt.depth[table.judged].min())
    sure = float(doubt.sure[table.judged].max())
    (tank,) = base.tanks
    bottom = tank.outlets[0].at.waterline
    # Raised so far that at the leanest it is covered by no more than half of what would be sure.
    raised = with_outlet_at(base, bottom + least - 0.5 * sure)
    result = judge(raised, draws=64)
    (found,) = in_doubt(result)
    assert found.verdict is Verdict.CANNOT_TELL
    assert found.remedy
    assert "mm of fuel over it" in told(found.found)
    assert result.verdict is not Verdict.ADEQUATE


def test_an_outlet_under_much_fuel_is_in_no_doubt():
    base = one_tank()
    (tank,) = base.tanks
    deep = replace(tank, unusable=0.03, least_takeoff=0.05)
    table, _, doubt = depths(replace(base, tanks=(deep,)))
    assert not doubt.doubtful[table.judged].any()
    assert not in_doubt(judge(replace(base, tanks=(deep,)), draws=64))


def test_the_band_is_the_dip_once_to_five_times_and_two_deviations_of_two_heights():
    system = replace(one_tank(), height_deviation=0.004)
    table, situation, doubt = depths(system)
    # In the take-off run the pull is more than g0, and heights count more.
    pull = np.linalg.norm(table.scenarios.gravity, axis=1)
    dip = critical_dip(table.required / situation.density, pull)
    np.testing.assert_allclose(doubt.bare[:, 0], dip - 2 * np.sqrt(2) * 0.004)
    np.testing.assert_allclose(doubt.sure[:, 0], 5 * dip + 2 * np.sqrt(2) * 0.004)


def test_a_worse_known_height_never_comforts():
    rank = {Verdict.ADEQUATE: 0, Verdict.CANNOT_TELL: 1, Verdict.NOT_ADEQUATE: 2}
    words = [
        rank[judge(replace(one_tank(), height_deviation=value), draws=64).verdict]
        for value in (0.001, 0.005, 0.02, 0.05)
    ]
    assert words == sorted(words)
    assert words[-1] > 0


@pytest.mark.parametrize("count", [1, 2, MOST_COMBINED])
def test_all_ways_but_the_usual_one_are_tried(count):
    ways = _other_ways(np.ones(count, dtype=bool), np.zeros(count, dtype=bool))
    assert len(ways) == 2**count - 1
    assert not any((way == COVERED).all() for way in ways)
    assert any((way == BARE).all() for way in ways)


def test_of_many_outlets_all_and_each_single_one_are_tried():
    count = MOST_COMBINED + 2
    ways = {tuple(way) for way in _other_ways(np.ones(count, dtype=bool), np.ones(count, bool))}
    assert tuple([COVERED] * count) in ways
    for number in range(count):
        one_bare = [COVERED] * count
        one_bare[number] = BARE
        assert tuple(one_bare) in ways


def test_twins_differ_in_cover_alone():
    table, situation, doubt = depths(replace(one_tank(), height_deviation=0.03))
    assembly = assemble(replace(one_tank(), height_deviation=0.03))
    twins = doubtful_twins(assembly, table, situation)
    assert twins is not None
    other = situate(assembly, twins.scenarios)
    assert (other.uncovered == (twins.scenarios.cover_state == BARE)).all()
    assert len(twins.purpose) == int((doubt.doubtful[:, 0] & table.judged).sum())
