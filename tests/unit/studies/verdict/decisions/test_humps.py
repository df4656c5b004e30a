"""The line on humps in what decides, on invented systems."""

from dataclasses import replace

from flowsim.document.words.telling import told
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import Topic, Verdict
from flowsim.system.points import Point
from tests.support.systems import BORE, line, one_tank, two_tanks

TALL = [
    Point(1.69, 0, 1.4), Point(1.7, 0, 0.2), Point(1.2, 0, 1.2), Point(1.0, 0, 0.1),
    Point(0.5, 0, 0.4),
]  # fmt: skip


def with_hump(crest):
    """One tank, and a line that climbs to a waterline [m] on its way."""
    route = [*TALL[:2], TALL[2]._replace(waterline=crest), *TALL[3:]]
    hump = line("down", "wing.rear", "engine", route, fitting("elbow 90", BORE, count=2))
    return replace(one_tank(), lines=(hump,))


def of_humps(system, **how):
    """What is decided about humps."""
    result = judge(system, **{"nominal": True, **how})
    (decision,) = (item for item in result.decisions if item.topic is Topic.HUMPS)
    return decision, result


def test_a_line_without_high_points_holds_no_air():
    decision, _ = of_humps(one_tank())
    assert decision.verdict is Verdict.ADEQUATE


def test_air_that_starves_the_engine_cannot_be_told_and_is_named():
    decision, result = of_humps(with_hump(1.2))
    assert decision.verdict is Verdict.CANNOT_TELL
    assert "down, point 2" in told(decision.found)
    assert result.verdict is not Verdict.ADEQUATE
    assert "falls all the way" in told(decision.remedy)


def test_air_that_leaves_enough_flow_is_told_with_what_is_left():
    decision, _ = of_humps(with_hump(0.3))
    assert decision.verdict is Verdict.ADEQUATE
    drawn, result = of_humps(with_hump(0.3), nominal=False, draws=128)
    assert drawn.verdict is Verdict.ADEQUATE
    low = min(line.least_low for line in result.lines if "150" in told(line.name))
    assert "arrives" in told(drawn.found) or "no line holds air" in told(drawn.found)
    if "arrives" in told(drawn.found):
        assert f"{100 * low:.1f}"[:-1] in told(drawn.found)


def test_a_line_known_by_length_and_rise_may_climb_anywhere():
    base = one_tank()
    decision, result = of_humps(replace(base, lines=(replace(base.lines[0], route=None),)))
    assert decision.verdict is Verdict.CANNOT_TELL
    assert '"down"' in told(decision.found)
    assert result.verdict is not Verdict.ADEQUATE


def test_a_closed_line_is_not_asked_for():
    system = two_tanks()
    bare = tuple(
        replace(item, route=None, closed=True) if item.name == "left front" else item
        for item in system.lines
    )
    decision, _ = of_humps(replace(system, lines=bare))
    assert decision.verdict is Verdict.ADEQUATE
