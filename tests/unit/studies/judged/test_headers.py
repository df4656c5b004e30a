"""Header tanks of invented systems: found whatever their shape, and starved ones never adequate."""

import math
from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.physics.tank.solids import box
from flowsim.studies.adequacy.brief import judge_briefly
from flowsim.studies.adequacy.study import judge
from flowsim.studies.judged.headers import headers_of, tanks_away
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.unusable.header_tank import header_tanks
from flowsim.system.lines import Drain, Junction, Selector
from flowsim.system.parts import QuadraticLoss
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, StatedLevel
from tests.support.plain_systems import DENSITY, GRAVITY, loss, plain, reservoir, run, tube
from tests.support.systems import BORE, flight, line, one_tank, tank

LOW, HIGH = Point(0.75, -0.1, 0.9), Point(0.95, 0.1, 1.1)
"""A box of 8 L below and in front of the wing."""
PORT, MOUTH = Point(0.94, 0.0, 1.08), Point(0.85, 0.0, 0.9)
FOOT = Point(0.6, 0.0, 0.1)


def header_system(*, bore=BORE, shape="box", rise=0.0, length=0.0, **given):
    """A wing tank, a line into a header tank, a line from there to the engine.

    ``bore`` of the filling line, whose way is ``length`` [m] longer than the straight; ``rise``
    lifts the header.
    """
    base = one_tank(flight=flight(climb_pitch=math.radians(8.0)), **given)
    up = (0.0, 0.0, rise)
    low, high, port, mouth = (Point(*np.add(at, up)) for at in (LOW, HIGH, PORT, MOUTH))
    header = tank("header", low, high, {"in": port, "out": mouth}, unusable=0.003,
                  least_takeoff=0.007)  # fmt: skip
    shapes = {
        "box": box(low, high),
        "level": StatedLevel(surface=Point(0.85, 0.0, high.waterline)),
        "dips": DipTable(at=mouth, dips=(0.0, 0.2), quantities=(0.0, 0.008), pitch=0.1, roll=0.0),
    }
    header = replace(header, shape=shapes[shape], sump=mouth)
    if shape == "level":
        header = replace(header, unusable=None, least_takeoff=None)
    outlet = base.tanks[0].outlets[0].at
    fill = line("fill", "wing.rear", "header.in", [outlet, port], bore=bore)
    if length:
        pipe = replace(fill.parts[0], length=fill.length + length)
        fill = replace(fill, parts=(pipe,), length=fill.length + length)
    feed = line("feed", "header.out", "engine", [mouth, FOOT, base.engine.inlet_at])
    drains = tuple(
        Drain(name=f"drain {number}", at=at, reaches=reaches)
        for number, (at, reaches) in enumerate([(FOOT, "feed"), (mouth, "header")])
    )
    return replace(base, tanks=(*base.tanks, header), lines=(fill, feed), drains=drains)


def refill_of(system, **how):
    """What is decided about the refill, and the whole answer."""
    result = judge(system, **{"nominal": True, **how})
    found = [item for item in result.decisions if item.topic is Topic.HEADER_REFILL]
    return found, result


@pytest.mark.parametrize("shape", ["box", "level", "dips"])
def test_a_header_is_one_whatever_its_shape(shape):
    assembly = assemble(header_system(shape=shape))
    (header,) = headers_of(assembly)
    assert (header.tank, header.behind, header.direct) == (1, (0,), True)
    assert tanks_away(assembly, 0) == {1: 0, 0: 1}


@pytest.mark.parametrize("shape", ["box", "level"])
def test_a_header_well_refilled_is_adequate(shape):
    (decision,), result = refill_of(header_system(shape=shape))
    assert decision.verdict is Verdict.ADEQUATE
    assert 'header tank "header"' in told(decision.found)
    assert result.verdict is Verdict.ADEQUATE


@pytest.mark.parametrize("shape", ["box", "level"])
def test_its_own_fuel_does_not_hide_a_starved_system(shape):
    """A filling line of 2.4 mm: every flow line is adequate, for the header feeds on."""
    (decision,), result = refill_of(header_system(bore=0.0024, shape=shape, length=1.0))
    assert {item.verdict for item in result.lines} == {Verdict.ADEQUATE}
    assert decision.verdict is Verdict.NOT_ADEQUATE
    assert decision.remedy
    assert result.verdict is Verdict.NOT_ADEQUATE
    assert judge_briefly(
        header_system(bore=0.0024, shape=shape, length=1.0), nominal=True, draws=0, seed=1
    ).overall.verdict is Verdict.NOT_ADEQUATE  # fmt: skip


@pytest.mark.parametrize("shape", ["box", "level"])
def test_a_header_above_the_wing_when_nose_up_is_not_refilled(shape):
    """At 13 deg the forward header has come up past the wing's surface; level it has not."""
    system = header_system(shape=shape, rise=0.25)
    level = replace(system, flight=flight(climb_pitch=0.0, test_margin=0.0))
    (calm,), _ = refill_of(level)
    (steep,), result = refill_of(system)
    assert calm.verdict is Verdict.ADEQUATE
    assert steep.verdict is Verdict.NOT_ADEQUATE
    pitch = float(told(steep.found).split(" deg nose-up")[0].split()[-1])
    assert pitch > 10.0
    assert result.verdict is Verdict.NOT_ADEQUATE


def test_what_runs_back_is_said():
    (decision,), _ = refill_of(header_system(shape="level", rise=0.6))
    assert "it runs back" in told(decision.found)


@pytest.mark.parametrize(("minutes", "hand"), [(20.0, False), (40.0, True)])
def test_a_tank_to_be_flown_on_is_told_how_to_say_so(minutes, hand):
    """Of two main tanks joined low down one is a header until its filler is stated."""
    system = header_system(rise=0.6)
    burn = 0.008 * system.fuel.density_15 / (60.0 * minutes)
    (decision,), _ = refill_of(replace(system, engine=replace(system.engine, burn=burn)))
    assert decision.verdict is Verdict.NOT_ADEQUATE
    assert ("filler_at" in told(decision.remedy)) == hand


def by_hand(share, *, factor=1.5, behind=True):
    """Two reservoirs one above the other: Q = sqrt(H/c), and a burn of which that is a share."""
    head, coefficient = 0.5, 1e8
    flow = math.sqrt(head / (coefficient))
    wing = tank("wing", Point(0, -1, 2.0), Point(2, 1, 3.0), {"out": Point(1, 0, 2.0)},
                unusable=2.0, least_takeoff=2.0)  # fmt: skip
    wing = replace(wing, outlets=reservoir("wing", 0, {"out": Point(1, 0, 2.0)}, bore=0.08).outlets)
    low = reservoir("header", 2.0, {"in": Point(1, 0, 1.9), "out": Point(1, 0, 1.0)}, bore=0.08)
    fill = run("fill", "wing.out", "header.in", [Point(1, 0, 2.0), Point(1, 0, 1.9)],
               QuadraticLoss(name="c", kind="stated", bore=0.08, coefficient=coefficient,
                             source="invented"), bore=0.08)  # fmt: skip
    feed = run("feed", "header.out", "engine", [Point(1, 0, 1.0), Point(1, 0, 0.0)], loss(1e6))
    return plain(
        [wing, low] if behind else [low],
        [fill, feed] if behind else [feed],
        engine={"burn": flow * DENSITY / share, "factor": factor},
    ), flow


@pytest.mark.parametrize(
    ("share", "verdict"),
    [
        (1.55, Verdict.ADEQUATE),
        (1.45, Verdict.CANNOT_TELL),
        (1.03, Verdict.CANNOT_TELL),
        (0.95, Verdict.NOT_ADEQUATE),
    ],
)
def test_the_burn_must_flow_in_and_the_required_flow_is_asked_for(share, verdict):
    """Wing 2 m x 2 m with 2 m3: surface 2.5 m, header 2 m: H = 0.5 m (exact but for the exit)."""
    system, flow = by_hand(share)
    (decision,), _ = refill_of(system)
    assert decision.verdict is verdict
    rows = header_tanks(system)
    level = min(row.refill for row in rows if row.fuel_state == "test quantity")
    assert level == pytest.approx(flow * DENSITY, rel=0.02)


def test_a_level_that_nothing_keeps_up_cannot_be_told():
    system, _ = by_hand(1.6, behind=False)
    (decision,), result = refill_of(system)
    assert decision.verdict is Verdict.CANNOT_TELL
    assert "nothing that the case describes refills it" in told(decision.found)
    assert result.verdict is not Verdict.ADEQUATE


def test_a_small_tank_is_refilled_or_starves_whether_it_has_a_cap_or_not():
    """8 L under a cap hid a filling line of 2 mm: the wing's fuel never reached the engine."""
    system = header_system(bore=0.002, length=1.0)
    wing, header = system.tanks
    capped = replace(system, tanks=(wing, replace(header, filler=Point(0.85, 0.0, 1.1))))
    for one in (system, capped):
        (decision,), result = refill_of(one)
        assert decision.verdict is Verdict.NOT_ADEQUATE
        assert result.verdict is Verdict.NOT_ADEQUATE


def test_a_filler_makes_it_a_tank_of_its_own_if_it_lasts_half_an_hour():
    system = header_system(bore=0.0024, length=1.0)
    wing, header = system.tanks
    own = replace(system, tanks=(wing, replace(header, filler=Point(0.85, 0.0, 1.1))))
    thirst = 0.008 * own.fuel.density_15 / 1800.0  # [kg/s] the 8 L last half an hour
    for burn, headers in ((0.99 * thirst, 0), (1.01 * thirst, 1)):
        found = headers_of(assemble(replace(own, engine=replace(own.engine, burn=burn))))
        assert len(found) == headers
    level = header_system(shape="level")
    kept = replace(level.tanks[1], filler=Point(0.85, 0.0, 1.1))
    assert headers_of(assemble(replace(level, tanks=(level.tanks[0], kept))))


def test_draws_widen_the_answer_but_do_not_lift_it():
    system = header_system(bore=0.0045, length=1.0)
    (nominal,), _ = refill_of(system)
    (drawn,), _ = refill_of(system, nominal=False, draws=128)
    least = [
        float(told(item.found).split("at least ")[1].split(" %")[0]) for item in (nominal, drawn)
    ]
    assert least[1] < least[0]


def pair_over_header():
    """Two wing tanks through a tee into a header, past no selector."""
    base = header_system()
    wing, header = base.tanks
    sides, lines = [], []
    tee = Point(1.5, 0.0, 1.3)
    for side, sign in (("left", -1.0), ("right", 1.0)):
        low, high = Point(1.2, min(0.2 * sign, sign), 1.4), Point(1.7, max(0.2 * sign, sign), 1.5)
        out = Point(1.69, 0.3 * sign, 1.4)
        sides.append(replace(tank(side, low, high, {"rear": out}), vent=wing.vent))
        lines.append(line(f"{side} fill", f"{side}.rear", "tee", [out, tee]))
    lines.append(line("fill", "tee", "header.in", [tee, PORT]))
    return replace(
        base,
        tanks=(*sides, header),
        lines=(*lines, base.lines[1]),
        nodes=(Junction(name="tee", at=tee),),
    )


def test_one_of_two_tanks_behind_may_be_dry():
    system = pair_over_header()
    (header,) = headers_of(assemble(system))
    assert header.behind == (0, 1)
    assert {row.fuel_state for row in header_tanks(system)} == {
        "test quantity", "least take-off fuel", "left dry", "right dry",
    }  # fmt: skip
    whole = min(row.refill for row in header_tanks(system) if row.fuel_state == "test quantity")
    dry = min(row.refill for row in header_tanks(system) if row.fuel_state == "left dry")
    assert dry < whole


def chain():
    """Wing, upper header, lower header, engine: each of the headers is one."""
    base = header_system()
    wing, header = base.tanks
    middle = replace(
        tank("upper", Point(1.0, -0.1, 1.0), Point(1.15, 0.1, 1.2),
             {"in": Point(1.14, 0.0, 1.19), "out": Point(1.02, 0.0, 1.0)},
             unusable=0.002, least_takeoff=0.005), vent=wing.vent)  # fmt: skip
    first = line("first", "wing.rear", "upper.in",
                 [wing.outlets[0].at, middle.outlets[0].at])  # fmt: skip
    second = line("second", "upper.out", "header.in", [middle.outlets[1].at, PORT])
    return replace(base, tanks=(wing, middle, header), lines=(first, second, base.lines[1]))


def test_headers_in_a_row_are_each_refilled_by_the_one_behind():
    system = chain()
    found = {item.tank: item for item in headers_of(assemble(system))}
    assert {tank: (item.behind, item.direct) for tank, item in found.items()} == {
        1: ((0,), False), 2: ((1,), True),
    }  # fmt: skip
    decisions, _ = refill_of(system)
    assert [item.verdict for item in decisions] == [Verdict.ADEQUATE] * 2
    thin = replace(
        system,
        lines=tuple(
            line("first", "wing.rear", "upper.in",
                 [system.tanks[0].outlets[0].at, system.tanks[1].outlets[0].at], bore=0.0015)
            if item.name == "first" else item
            for item in system.lines
        ),
    )  # fmt: skip
    starved, _ = refill_of(thin)
    verdicts = {('"upper"' in told(item.found)): item.verdict for item in starved}
    assert verdicts == {True: Verdict.NOT_ADEQUATE, False: Verdict.ADEQUATE}


def test_main_tanks_joined_by_a_balance_line_are_no_headers():
    """In each selector position the other tank feeds through this one."""
    base = one_tank()
    tanks, lines = [], []
    for side, sign in (("left", -1.0), ("right", 1.0)):
        low, high = Point(1.2, min(0.2 * sign, sign), 1.4), Point(1.7, max(0.2 * sign, sign), 1.5)
        out, cross = Point(1.69, 0.3 * sign, 1.4), Point(1.4, 0.2 * sign, 1.4)
        tanks.append(tank(side, low, high, {"rear": out, "cross": cross}))
        lines.append(line(f"{side} down", f"{side}.rear", "selector", [out, Point(1.6, 0, 0.6)]))
    lines.append(line("balance", "left.cross", "right.cross",
                      [tanks[0].outlets[1].at, tanks[1].outlets[1].at]))  # fmt: skip
    lines.append(line("feed", "selector", "engine", [Point(1.6, 0, 0.6), base.engine.inlet_at]))
    selector = Selector(
        name="selector", at=Point(1.6, 0, 0.6), ports={"l": "left down", "r": "right down"},
        outlet="feed", positions={"left": ("l",), "right": ("r",)}, judged=("left", "right"),
        loss=fitting("selector", BORE),
    )  # fmt: skip
    assembly = assemble(replace(base, tanks=tuple(tanks), lines=tuple(lines), nodes=(selector,)))
    assert [tanks_away(assembly, position) for position in (0, 1)] == [{0: 0, 1: 1}, {1: 0, 0: 1}]
    assert not headers_of(assembly)


def test_a_tube_of_known_friction_fills_by_hand():
    """H = (f L/D + K) V2/2g of the filling tube; K 0.57 out of a wide port, 0.98 into one."""
    system, _ = by_hand(1.0)
    pipe = tube(2.0)
    lines = (replace(system.lines[0], parts=(pipe,), bore=pipe.bore), system.lines[1])
    rows = header_tanks(replace(system, lines=lines))
    least = min(row.refill for row in rows if row.fuel_state == "test quantity")
    speed = math.sqrt(2.0 * GRAVITY * 0.5 / (0.03 * 2.0 / pipe.bore + 0.57 + 0.98))
    exact = speed * math.pi * pipe.bore**2 / 4.0 * DENSITY
    assert least == pytest.approx(exact, rel=2e-3)
