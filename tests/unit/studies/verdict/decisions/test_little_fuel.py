"""A large test draw must not hide what little fuel gives."""

from dataclasses import replace

import pytest

from flowsim.document.words.telling import told
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import Topic, Verdict
from tests.support.systems import one_tank


def decided(system):
    result = judge(system, nominal=True)
    return [item for item in result.decisions if item.topic is Topic.TEST_QUANTITY], result


def with_draw(minutes):
    system = one_tank()
    engine = replace(system.engine, burn=0.01)
    required = 0.01 * engine.factor / system.fuel.density_15
    return replace(system, engine=engine, test_draw=60.0 * minutes * required)


@pytest.mark.parametrize(("minutes", "settled"), [(1.0, True), (14.9, True), (15.1, False)])
def test_the_draw_of_a_quarter_of_an_hour_is_the_most(minutes, settled):
    decisions, result = decided(with_draw(minutes))
    assert (not decisions) is settled
    if not settled:
        assert decisions[0].verdict is Verdict.CANNOT_TELL
        assert "at most" in told(decisions[0].remedy)
        assert result.verdict is not Verdict.ADEQUATE


def test_a_small_draw_is_small_for_a_small_engine():
    system = with_draw(60.0)
    small = replace(system, engine=replace(system.engine, burn=0.0005), test_draw=0.005)
    assert decided(small)[0] == []
