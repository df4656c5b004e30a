"""The declared unusable fuel and the least take-off fuel decide the verdict of a check."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from flowsim.document.words.telling import told
from flowsim.files.case.reader import read_case
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.fuel.properties import density
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.unusable.study import unusable_fuel
from tests.support.systems import flight, one_tank, two_tanks

SLOW = {"climb_pitch": 0.0, "test_margin": 0.0, "acceleration": 0.01}


def of_fuel(system, **how):
    """What is decided about both figures, and the whole answer."""
    result = judge(system, **{"nominal": True, **how})
    topics = (Topic.UNUSABLE_FUEL, Topic.LEAST_TAKEOFF_FUEL)
    found = tuple(
        next(item for item in result.decisions if item.topic is topic) for topic in topics
    )
    return *found, result


def held(system, **given):
    """The system with other declared figures [m3] for all its tanks."""
    return replace(system, tanks=tuple(replace(tank, **given) for tank in system.tanks))


def still_dip(flow):
    """What stays in the level box of 0.3 m2 under one critical dip at a flow [kg/s], in m3."""
    return 0.3 * float(critical_dip(flow / float(density(one_tank().fuel, 288.15))))


@pytest.mark.parametrize(
    ("times", "verdict"),
    [
        (1.9, Verdict.NOT_ADEQUATE), (2.1, Verdict.CANNOT_TELL), (4.9, Verdict.CANNOT_TELL),
        (5.1, Verdict.ADEQUATE),
    ],
)  # fmt: skip
def test_expected_and_cautious_dip(times, verdict):
    """By hand: level, the outlet at the floor; the burn is lost a dip above it."""
    base = one_tank(flight=flight(**SLOW), test_draw=0.02)
    system = held(base, unusable=times * still_dip(base.engine.burn), least_takeoff=0.03)
    unusable, takeoff, result = of_fuel(system)
    assert unusable.verdict is verdict
    assert takeoff.verdict is Verdict.ADEQUATE
    if verdict is not Verdict.ADEQUATE:
        assert 'tank "wing"' in told(unusable.found)
        assert "unusable" in told(unusable.remedy)
        assert result.verdict is not Verdict.ADEQUATE
    # The study of unusable fuel, which searches, says the same.
    assert unusable_fuel(system, nominal=True).verdict is verdict


@pytest.mark.parametrize(
    ("times", "verdict"),
    [(1.9, Verdict.NOT_ADEQUATE), (4.9, Verdict.CANNOT_TELL), (5.1, Verdict.ADEQUATE)],
)
def test_what_the_test_draws_is_there_for_the_required_flow(times, verdict):
    base = one_tank(flight=flight(**SLOW))
    enough = 5.2 * still_dip(base.engine.burn)
    required = times * still_dip(1.5 * base.engine.burn)
    system = held(replace(base, test_draw=max(required - enough, 0.0)), unusable=enough,
                  least_takeoff=0.03)  # fmt: skip
    if required < enough:
        system = held(replace(base, test_draw=0.0), unusable=required, least_takeoff=0.03)
    assert of_fuel(system)[0].verdict is verdict


@pytest.mark.parametrize(
    ("times", "verdict"),
    [(1.9, Verdict.NOT_ADEQUATE), (4.9, Verdict.CANNOT_TELL), (5.1, Verdict.ADEQUATE)],
)
def test_the_least_take_off_fuel(times, verdict):
    base = one_tank(flight=flight(**SLOW), test_draw=0.02)
    system = held(base, unusable=0.02, least_takeoff=times * still_dip(1.5 * base.engine.burn))
    assert of_fuel(system)[1].verdict is verdict


def test_the_take_off_run_asks_for_the_burn():
    """The outlet in front is bare on little fuel while the aeroplane speeds up."""
    base = one_tank()
    tank = base.tanks[0]
    front = replace(tank.outlets[0], at=tank.outlets[0].at._replace(station=1.2))
    system = replace(base, tanks=(replace(tank, outlets=(front,), least_takeoff=0.01),))
    gentle = replace(system, flight=flight(climb_pitch=0.0, test_margin=0.0, acceleration=0.01))
    brisk = replace(system, flight=flight(climb_pitch=0.0, test_margin=0.0, acceleration=4.0))
    assert of_fuel(gentle)[1].verdict is Verdict.ADEQUATE
    takeoff = of_fuel(brisk)[1]
    assert takeoff.verdict is Verdict.NOT_ADEQUATE
    assert "take-off run" in told(takeoff.found)


def test_a_line_too_small_is_not_to_be_hidden_by_a_placard():
    base = one_tank()
    system = replace(base, engine=replace(base.engine, burn=0.5))
    for decision in of_fuel(system)[:2]:
        assert decision.verdict is Verdict.NOT_ADEQUATE
        assert "do not placard it" in told(decision.found)
        assert "wider line" in told(decision.remedy)


@pytest.mark.parametrize("unusable", [0.0005, 0.003, 0.006, 0.012])
@pytest.mark.parametrize("pitch", [4.0, 14.0])
def test_check_and_the_study_agree(unusable, pitch):
    base = two_tanks(flight=flight(climb_pitch=math.radians(pitch)))
    system = held(base, unusable=unusable, least_takeoff=max(unusable, 0.02))
    unusable_said, takeoff, _ = of_fuel(system)
    order = [Verdict.ADEQUATE, Verdict.CANNOT_TELL, Verdict.NOT_ADEQUATE]
    worst = max(unusable_said.verdict, takeoff.verdict, key=order.index)
    assert unusable_fuel(system, nominal=True).verdict is worst


def test_where_only_a_stated_level_feeds_nothing_is_declared():
    from tests.unit.studies.judged.test_headers import header_system

    result = judge(header_system(shape="level"), nominal=True)
    assert not [item for item in result.decisions if item.topic is Topic.UNUSABLE_FUEL]


def test_where_the_line_is_too_small_somewhere_no_figure_is_to_be_declared():
    """Nose-high the burn is lost with any fuel, level with little: more fuel was the remedy."""
    system = read_case(Path("cases/nose-high/case.toml"))
    unusable_said, takeoff, _ = of_fuel(system)
    (tank,) = unusable_fuel(system, nominal=True).tanks
    assert tank.line_too_small
    for decision in (unusable_said, takeoff):
        assert "do not placard it" in told(decision.found)
        assert "declare more" not in told(decision.remedy)
