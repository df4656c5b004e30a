"""Low and high points, drains, refill and vents, against exact constructions."""

import math

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.network.assembly import assemble
from flowsim.physics.air.trapped import HumpState, hump_clears
from flowsim.studies.adequacy.study import judge
from flowsim.studies.delivery.trapped_air import SURFACE_TENSION
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.routing.result import Grade, RoutingResult
from flowsim.studies.routing.study import route_study
from tests.support.routing_case import line, system_of

BORE = 0.305 * 0.0254
AREA = math.pi * BORE**2 / 4.0
DIP = [(2, 0, 1), (1, 0, 0.5), (0.5, 0, 1.0)]
"""Falls to a corner at (1, 0, 0.5) between legs of atan(0.5) and 45 deg, up to (0.5, 0, 1)."""


def findings(result: RoutingResult, topic: str, grade: Grade) -> list[str]:
    return [told(f.words) for f in result.findings if f.topic == topic and f.grade is grade]


def low(result: RoutingResult, attitude: str = "level", place: str = ""):
    found = [p for p in result.low_points if p.attitude == attitude and place in p.place.key]
    assert len(found) == 1
    return found[0]


def test_volume_of_a_sharp_dip_is_bore_area_times_both_legs() -> None:
    """Spill at (0.5, 0, 1): 0.5 m over the corner, sqrt(1 + 0.25) and sqrt(0.5) m long (exact)."""
    result = route_study(system_of(line("feed", "tank.out", "engine", DIP), sharp=True))
    found = low(result)
    assert found.depth == pytest.approx(0.5, abs=2e-4)
    exact = AREA * (math.sqrt(1.25) + math.sqrt(0.5))
    assert found.volume == pytest.approx(exact, rel=1e-3)
    assert not found.is_drained
    assert "point 3" in told(found.spill)
    assert result.exit_code == 1


def test_a_bump_on_the_floor_of_a_dip_does_not_make_two_shallow_dips_of_it() -> None:
    """Half a millimetre between two low corners: the water rises over it to the crests outside.

    Left to themselves both were shallower than the heights are known, so nothing was to be fixed.
    """
    bumpy = [(2, 0, 1), (1.1, 0, 0.5), (1.05, 0, 0.5005), (1.0, 0, 0.4999), (0.5, 0, 1.0)]
    result = route_study(system_of(line("feed", "tank.out", "engine", bumpy), sharp=True))
    found = low(result)
    assert found.depth == pytest.approx(0.5001, abs=3e-4)
    exact = AREA * (math.hypot(0.9, 0.5) + 0.1 + math.hypot(0.5, 0.5))
    assert found.volume == pytest.approx(exact, rel=2e-3)
    assert findings(result, "low point", Grade.MEND)
    # A drain in one of them leaves in the other what stands below the bump, and no more.
    drain = '[[drain]]\nname = "low drain"\nreaches = "feed"\nat = ["1 m", "0 m", "0.4999 m"]\n'
    drained = route_study(system_of(line("feed", "tank.out", "engine", bumpy), drain, sharp=True))
    level = [p for p in drained.low_points if p.attitude == "level"]
    assert [p.is_drained for p in sorted(level, key=lambda p: p.depth)] == [False, True]
    assert min(p.depth for p in level) == pytest.approx(0.0005, abs=2e-4)


def test_volume_of_a_rounded_dip_is_exact_to_the_arc() -> None:
    """Legs at 30 deg, radius R: lowest point R (1/cos 30 - 1) over its corner, crest so far below.

    Half an arc is R 30 deg long, and takes R tan 30 of its leg.
    """
    rise, radius = math.tan(math.radians(30.0)), 0.05
    corner, crest = (1.2, 0, 2.0 - 0.8 * rise), (0.8, 0, 2.0 - 0.4 * rise)
    text = line("feed", "tank.out", "engine", [corner, crest], bend="50 mm")
    found = low(route_study(system_of(text, inlet=(0.2, 0.0, 2.0 - 1.0 * rise))))
    cut = radius * (1 / math.cos(math.radians(30.0)) - 1)
    assert found.depth == pytest.approx(0.4 * rise - 2.0 * cut, abs=1e-8)
    taken, half_arc = radius * rise, radius * math.radians(30.0)
    right = half_arc + 0.4 / math.cos(math.radians(30.0)) - 2.0 * taken + half_arc
    arc_end = taken * math.sin(math.radians(30.0))
    left = half_arc + (0.4 * rise - cut - arc_end) / math.sin(math.radians(30.0))
    assert found.volume == pytest.approx(AREA * (left + right), rel=1e-7)


def test_drain_at_the_corner_reaches_it_in_level_but_not_in_every_attitude() -> None:
    drain = '[[drain]]\nname = "d"\nreaches = "feed"\nat = ["1 m", "0 m", "0.5 m"]\n'
    text = line("feed", "tank.out", "engine", DIP)
    result = route_study(system_of(text, drain, sharp=True))
    assert low(result).is_drained
    assert low(result).drains[0].left < 3e-7
    assert not findings(result, "low point", Grade.MEND)


def test_drain_up_the_leg_leaves_what_stands_below_it() -> None:
    """The drain 0.1 m above the corner leaves 0.1 m of height in both legs (exact)."""
    drain = '[[drain]]\nname = "d"\nreaches = "feed"\nat = ["1.2 m", "0 m", "0.6 m"]\n'
    text = line("feed", "tank.out", "engine", DIP)
    found = low(route_study(system_of(text, drain, sharp=True)))
    left = AREA * 0.1 * (math.sqrt(5.0) + math.sqrt(2.0))
    assert found.drains[0].left == pytest.approx(left, rel=5e-3)
    assert not found.is_drained


def test_drain_with_its_mouth_above_its_place_takes_only_what_is_over_the_mouth() -> None:
    junction = '[[junction]]\nname = "low"\nat = ["1 m", "0 m", "0.5 m"]\n'
    drain = '[[drain]]\nname = "d"\nreaches = "low"\nat = ["1 m", "0.1 m", "0.7 m"]\n'
    lines = (
        line("a", "tank.out", "low", [(2, 0, 1)]),
        line("b", "low", "engine", [(0.5, 0, 1.0)]),
    )
    found = low(route_study(system_of(*lines, junction, drain, sharp=True)), place="low")
    assert not found.is_drained
    assert found.drains[0].left == pytest.approx(AREA * 0.2 * (math.sqrt(5) + math.sqrt(2)))


def test_two_lines_that_meet_low_share_one_dip() -> None:
    junction = '[[junction]]\nname = "low"\nat = ["1 m", "0 m", "0.5 m"]\n'
    lines = (
        line("a", "tank.out", "low", [(2, 0, 1)]),
        line("b", "low", "engine", [(0.5, 0, 1.0)]),
    )
    found = low(route_study(system_of(*lines, junction, sharp=True)), place="low")
    assert found.place.node == "low"
    assert found.volume == pytest.approx(AREA * (math.sqrt(1.25) + math.sqrt(0.5)), rel=1e-3)


def test_run_that_rises_only_in_climb_makes_a_dip_only_there() -> None:
    """A run that falls 5 deg forward in level rises by 5 and by 10 deg in climb and climb + 5."""
    drop = math.tan(math.radians(5.0))
    via = [(1.8, 0, 0.4), (0.8, 0, 0.4 - drop)]
    result = route_study(system_of(line("feed", "tank.out", "engine", via), inlet=(0.3, 0, 0.05)))
    run = next(r for r in result.runs if r.number == 2)
    names = [view.name for view in result.attitudes]
    falls = dict(zip(names, np.degrees(run.falls), strict=True))
    assert falls["level"] == pytest.approx(5.0)
    assert falls["climb"] == pytest.approx(-5.0)
    assert falls["climb+5"] == pytest.approx(-10.0)
    assert falls["descent"] == pytest.approx(10.0)
    assert run.sense == "changes"
    assert math.degrees(run.least) == pytest.approx(-10.0)
    attitudes = {p.attitude for p in result.low_points}
    assert {"climb", "climb+5"} <= attitudes
    assert "level" not in attitudes


def test_margin_of_a_falling_run_over_the_band() -> None:
    """Straight down forward at 45 deg, band -5 to 15 deg: least fall 30 deg, 29 over 1 deg."""
    via = [(1.0, 0, 1.0)]
    result = route_study(system_of(line("feed", "tank.out", "engine", via)))
    run = result.runs[0]
    assert (run.sense, math.degrees(run.least)) == ("falls", pytest.approx(30.0))
    assert math.degrees(run.margin) == pytest.approx(29.0)


def test_hump_air_is_the_dip_turned_round() -> None:
    """Crest at 1.4 between legs from (1.5, 1.0) and down to (1, 0.5)."""
    via = [(2, 0, 1.2), (1.5, 0, 1.0), (1.2, 0, 1.4), (0.8, 0, 0.5)]
    result = route_study(system_of(line("feed", "tank.out", "engine", via), sharp=True))
    high = next(p for p in result.high_points if p.attitude == "level")
    assert high.height == pytest.approx(0.4, abs=2e-4)
    legs = 0.5 + 0.4 * math.hypot(0.4, 0.9) / 0.9
    assert high.volume == pytest.approx(AREA * legs, rel=2e-3)
    assert high.column == pytest.approx(1.4, rel=1e-9)


def test_hump_state_is_that_of_the_laws_at_the_flow_with_air() -> None:
    via = [(2, 0, 1), (1.5, 0, 0.9), (1.2, 0, 1.0), (0.8, 0, 0.7)]
    system = system_of(line("feed", "tank.out", "engine", via))
    result = route_study(system)
    for high in result.high_points:
        assert high.place.key == "feed, point 3"
        state = hump_clears(high.flow / AREA, BORE, high.slope, 710.0, SURFACE_TENSION)
        assert HumpState(int(state)).name == high.state.name
        assert high.delivered_with_air <= high.delivered
    assert assemble(system).system is system


def test_same_hump_as_in_the_check() -> None:
    """The check's flow with trapped air and the study's come from one place."""
    via = [(2, 0, 1), (1.5, 0, 0.7), (1.2, 0, 1.2), (0.8, 0, 0.2)]
    size = 'tube = "1/2 in x 0.035 in"\nmaterial = "aluminium tube"'
    system = system_of(line("feed", "tank.out", "engine", via, size=size))
    found = {p.attitude: p for p in route_study(system).high_points}
    checked = [
        s
        for s in judge(system, nominal=True).scenarios
        if s.judged and s.pitch == 0.0 and s.fuel_state == "test quantity"
    ]
    assert checked
    worst = min(checked, key=lambda s: s.flow_trapped)
    assert found["level"].delivered_with_air == pytest.approx(worst.flow_trapped, rel=1e-9)
    assert (found["level"].state == "clears") == (not worst.humps)


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("fall", [0.003, 0.2])
def test_one_name_for_one_hump_that_may_be_none(fall: float, backwards: bool) -> None:
    """Level it falls by 3 mm over 0.7 m where heights are known to 5 mm: it may be a hump."""
    via = [(2, 0, 1), (2, 0.7, 1 - fall), (1.2, 0.7, 0.2)]
    ends = ("engine", "tank.out", via[::-1]) if backwards else ("tank.out", "engine", via)
    size = 'tube = "3/4 in x 0.035 in"\nmaterial = "aluminium tube"'
    system = system_of(line("feed", *ends, size=size))
    result = route_study(system)
    found = [high for high in result.high_points if high.attitude == "level"]
    judged = judge(system, nominal=True)
    humps = {
        words
        for scenario in judged.scenarios
        if scenario.judged and scenario.pitch == 0.0
        for words in all_told(scenario.humps)
    }
    if fall > 0.1:
        assert not found
        assert not humps
        return
    (high,) = found
    assert high.is_doubtful
    assert high.place.key == "feed, point 2"
    assert high.place.at == pytest.approx((2, 0.7, 1 - fall), abs=0.05)
    assert {words.split(":")[0] for words in humps} == {high.place.key}
    assert all("if it is one" in words for words in humps)
    (finding,) = [item for item in result.findings if item.topic == "high point"]
    assert finding.grade is Grade.UNKNOWN
    assert "look along it with a level" in told(finding.words)
    (decision,) = [item for item in judged.decisions if item.topic is Topic.HUMPS]
    if decision.verdict is not Verdict.ADEQUATE:
        assert "measure its heights better" in told(told(decision.remedy))


def test_line_that_falls_vents_itself_and_a_hump_breaks_it() -> None:
    falling = route_study(system_of(line("feed", "tank.out", "engine", [(1.0, 0, 1.0)])))
    assert {item.answer for item in falling.refills if item.attitude == "level"} == {"vents itself"}
    assert not falling.high_points
    via = [(2, 0, 1), (1.5, 0, 0.9), (1.2, 0, 1.0)]
    humped = route_study(system_of(line("feed", "tank.out", "engine", via)))
    level = next(item for item in humped.refills if item.attitude == "level")
    assert (level.answer, level.broken_at) == ("holds air", "feed, point 3")


VENT = """[[vent_line]]
name = "vent"
tank = "tank"
points = [["2 m", "0.4 m", "2.1 m"], ["2 m", "0.5 m", "1.9 m"], ["2 m", "0.7 m", "2.0 m"]]
bore = "6 mm"
"""


def test_vent_line_needs_a_drain_in_its_dip() -> None:
    feed = line("feed", "tank.out", "engine", [(1.0, 0, 1.0)])
    result = route_study(system_of(feed, VENT))
    words = findings(result, "vent line low point", Grade.MEND)
    assert len(words) == 1
    assert result.exit_code == 1
    drained = route_study(system_of(feed, VENT + 'drains_at = [["2 m", "0.5 m", "1.9 m"]]\n'))
    assert not findings(drained, "vent line low point", Grade.MEND)
    vents = [p for p in drained.low_points if p.vent_line]
    assert {p.attitude for p in vents} == {"ground", "level"}
    area = math.pi * 0.006**2 / 4.0
    level = next(p for p in vents if p.attitude == "level")
    assert level.volume == pytest.approx(area * (math.hypot(0.1, 0.2) / 2 + math.hypot(0.2, 0.1)))


def test_nothing_is_said_of_an_attitude_that_is_not_stated() -> None:
    result = route_study(system_of(line("feed", "tank.out", "engine", [(1.0, 0, 1.0)]), ground=""))
    assert "ground" not in [view.name for view in result.attitudes]
    assert findings(result, "attitude", Grade.UNKNOWN)


def test_line_of_unknown_course_says_what_its_ends_say() -> None:
    text = """[[line]]
name = "feed"
from = "tank.out"
to = "engine"
length = "3 m"
tube = "3/8 in x 0.035 in"
material = "aluminium tube"
"""
    result = route_study(system_of(text))
    assert result.exit_code == 3
    assert findings(result, "course", Grade.UNKNOWN)
    run = result.runs[0]
    assert run.is_mean
    level = [view.name for view in result.attitudes].index("level")
    assert math.sin(run.falls[level]) == pytest.approx(2.0 / 3.0)
    assert [item.answer for item in result.refills if item.attitude == "level"] == ["not known"]


def test_banked_and_level_pitch_zero_are_alike_but_for_the_load() -> None:
    """At no pitch a turn without slip pulls along the aeroplane's own vertical only."""
    result = route_study(system_of(line("feed", "tank.out", "engine", DIP), sharp=True))
    assert low(result, "banked").volume == pytest.approx(low(result).volume, rel=1e-12)
    banked = next(view for view in result.attitudes if view.name == "banked")
    assert np.linalg.norm(banked.gravity) == pytest.approx(1 / math.cos(math.radians(30.0)))
