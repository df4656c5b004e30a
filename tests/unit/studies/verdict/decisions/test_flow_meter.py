"""A blocked flow meter, on invented systems: it decides, and nothing about it is guessed."""

import math
from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.measures import percent_figure
from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.brief import judge_briefly
from flowsim.studies.adequacy.study import judge
from flowsim.studies.changes.blocked_meters import meters_in_use, with_blocked
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.sampling.draws import draw
from flowsim.studies.verdict.decisions.changed_system import same_draws
from flowsim.system.bands import Exact, Normal
from flowsim.system.lines import Junction
from flowsim.system.parts import (
    BLOCKED_METER,
    FLOW_METER,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
)
from flowsim.system.points import Point
from tests.support.plain_systems import DENSITY, GRAVITY, plain, reservoir, run
from tests.support.systems import one_tank, two_tanks

HEAD = 0.5


def coefficient(kv, *, blocked=None, name="sensor", band=None):
    """A meter by Kv."""
    return FlowCoefficient(
        name=name, kind=FLOW_METER, bore=0.006, kv=kv, band=band or Exact(), source="invented",
        blocked=blocked,
    )  # fmt: skip


def through(kv, name="sensor, blocked"):
    """What passes a blocked meter, by Kv."""
    return FlowCoefficient(
        name=name, kind=BLOCKED_METER, bore=0.006, kv=kv, band=Exact(), source="invented"
    )


def with_parts(system, *parts, line=0):
    """The system with more parts on one of its lines."""
    lines = list(system.lines)
    lines[line] = replace(lines[line], parts=(*lines[line].parts, *parts))
    return replace(system, lines=tuple(lines))


def closed_form(meter, burn):
    """A reservoir, a meter and nothing else: Q = Kv sqrt(dp/1 bar) of a liquid of 720 kg/m3."""
    top, foot = Point(1.0, 0.0, 0.3), Point(1.0, 0.0, 0.0)
    tank = reservoir("tank", HEAD, {"out": top}, bore=0.08)
    return plain(
        [tank],
        [run("line", "tank.out", "engine", [top, foot], meter, bore=0.08)],
        engine={"burn": burn},
    )


def passed(kv):
    """Mass flow [kg/s] through Kv [m3/h] under the whole head (IEC 60534: water at 1 bar)."""
    bar = DENSITY * GRAVITY * HEAD / 1e5
    return kv / 3600.0 * math.sqrt(bar * 1000.0 / DENSITY) * DENSITY


def of_meter(decisions):
    """The decisions about the flow meter."""
    return [decision for decision in decisions if decision.topic is Topic.FLOW_METER]


@pytest.mark.parametrize(
    "meter",
    [
        coefficient(0.9),
        MeasuredDrop(
            name="sensor", kind=FLOW_METER, bore=0.006, flows=(2e-6, 1e-5), drops=(50.0, 900.0),
            density=720.0, source="invented",
        ),
        MinorLoss(name="sensor", kind=FLOW_METER, bore=0.006, k_inf=2.0, source="invented"),
    ],
)  # fmt: skip
def test_a_meter_that_was_never_measured_blocked_is_not_adequate_by_silence(meter):
    system = with_parts(one_tank(), meter)
    free = judge_briefly(one_tank(), nominal=True, draws=0, seed=1)
    assert {line.verdict for line in free.lines} == {Verdict.ADEQUATE}
    result = judge(system, nominal=True)
    (decision,) = of_meter(result.decisions)
    assert decision.verdict is Verdict.CANNOT_TELL
    assert '"sensor" (down)' in told(decision.found)
    assert "measure it blocked" in told(decision.remedy)
    assert result.verdict is not Verdict.ADEQUATE


@pytest.mark.parametrize(
    ("share", "verdict"), [(1.02, Verdict.ADEQUATE), (0.98, Verdict.NOT_ADEQUATE)]
)
def test_the_whole_required_flow_must_pass_the_blocked_meter(share, verdict):
    burn = passed(0.12) / 1.5 / share
    system = closed_form(coefficient(1.5, blocked=through(0.12)), burn)
    (decision,) = of_meter(judge(system, nominal=True).decisions)
    assert decision.verdict is verdict
    # Rounded down; what is beside the meter costs up to 0.1 %.
    shown = {percent_figure(share), percent_figure(share - 1e-3)}
    assert any(f"at least {figure} %" in told(decision.found) for figure in shown)


def test_the_band_of_what_a_blocked_meter_passes_counts():
    burn = passed(0.12) / 1.5 / 1.1
    loose = replace(through(0.12), band=Normal(0.1))
    system = closed_form(coefficient(1.5, blocked=loose), burn)
    (nominal,) = of_meter(judge(system, nominal=True).decisions)
    (drawn,) = of_meter(judge(system, draws=400).decisions)
    assert nominal.verdict is Verdict.ADEQUATE
    assert drawn.verdict is Verdict.CANNOT_TELL


def test_what_both_systems_have_is_drawn_alike():
    meter = coefficient(0.9, blocked=replace(through(0.3), band=Normal(0.2)), band=Normal(0.1))
    stated = assemble(with_parts(one_tank(), meter))
    changed = assemble(with_blocked(stated.system, meters_in_use(stated)))
    draws = draw(stated, 64, 3)
    other = same_draws(changed, draws)
    column = {item.key: draws.values[:, index] for index, item in enumerate(draws.inputs)}
    new = [item.key for item in other.inputs if item.key not in column]
    assert new == ["blocked flow meter coefficient"]
    for index, item in enumerate(other.inputs):
        if item.key in column:
            assert (other.values[:, index] == column[item.key]).all()
        else:
            assert sorted(other.values[:, index]) == pytest.approx((np.arange(64) + 0.5) / 64)
    assert (other.viscosity == draws.viscosity).all()
    assert (other.height == draws.height).all()


def test_each_of_two_meters_is_blocked_alone_and_both_together():
    system = two_tanks(carburettor=False)
    for number, line in enumerate(system.lines):
        if line.name.endswith("down"):
            meter = coefficient(0.8, name=f"{line.name} sensor", blocked=through(0.3))
            system = with_parts(system, meter, line=number)
    found = of_meter(judge(system, nominal=True).decisions)
    named = [
        ("left down sensor" in told(d.found), "right down sensor" in told(d.found)) for d in found
    ]
    assert named == [(True, False), (False, True), (True, True)]


def test_a_meter_in_the_carburettor_counts_too():
    system = two_tanks()
    carburettor = system.engine.carburettor
    parts = (*carburettor.parts, coefficient(0.8))
    engine = replace(system.engine, carburettor=replace(carburettor, parts=parts))
    (meter,) = meters_in_use(assemble(replace(system, engine=engine)))
    assert (meter.owner, meter.is_known) == ("carburettor", False)


def test_a_meter_on_a_closed_line_is_not_asked_for():
    system = one_tank()
    end = Point(1.7, 0.2, 0.5)
    spur = run("spur", "engine", "dead end", [system.engine.inlet_at, end], coefficient(0.3))
    system = replace(
        system,
        lines=(*system.lines, replace(spur, closed=True)),
        nodes=(Junction(name="dead end", at=end),),
    )
    assert not meters_in_use(assemble(system))


def test_without_a_meter_there_is_nothing_to_decide():
    assert not of_meter(judge(one_tank(), nominal=True).decisions)
