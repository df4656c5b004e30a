"""Slips that a case flies, on invented systems."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.physics.fuel.properties import density
from flowsim.studies.adequacy.study import judge
from flowsim.studies.judged.flight_attitudes import FLOWN_SLIP, attitudes_of, flown_slips
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.sampling.draws import BATCH, SEED, draw, nominal_draws
from flowsim.studies.unusable.slip import seconds_in_lines, slip_rows, time_band
from flowsim.studies.unusable.study import unusable_fuel
from flowsim.system.points import Point
from flowsim.system.routing import GroundAttitude, Routing
from flowsim.system.tanks import DipTable
from tests.support.routing_case import case_text, line
from tests.support.systems import BORE, flight, one_tank, two_tanks

GROUND = GroundAttitude(gear="nosewheel", pitch=0.0)


TEN = math.radians(10.0)


def slipping(system, slip=TEN, **given):
    """The system with a slip that is flown."""
    return replace(system, routing=Routing(ground=GROUND, slip=slip, **given))


def at_the_side(**given):
    """One tank whose outlet is at its left wall: bare in a slip with the right wing down."""
    base = one_tank(**given)
    tank = base.tanks[0]
    at = tank.outlets[0].at._replace(buttline=-0.3)
    route = (at, *base.lines[0].route[1:])
    return replace(
        base,
        tanks=(replace(tank, outlets=(replace(tank.outlets[0], at=at),)),),
        lines=(replace(base.lines[0], route=route),),
    )


def of_slip(system, **how):
    """What is decided about slips, and the whole answer."""
    result = judge(system, **{"nominal": True, **how})
    (decision,) = (item for item in result.decisions if item.topic is Topic.SLIP)
    return decision, result


def test_a_case_without_slips_is_told_that_nothing_is_said_of_them():
    decision, result = of_slip(one_tank())
    assert decision.informs
    assert "slip" in told(decision.remedy)
    assert result.verdict is Verdict.ADEQUATE


def test_the_quantity_is_the_wedge_beside_the_outlet():
    """Level, 10 deg right wing down: the floor falls 0.6 m tan 10 deg to the right (by hand).

    The box is 0.5 m long and 0.6 m wide: below the plane through the left wall's foot lie
    0.5 x 0.6^2 tan(10 deg)/2 = 15.9 L, and the dip comes on top.
    """
    system = slipping(at_the_side(flight=flight(climb_pitch=0.0, test_margin=0.0)))
    (row,) = slip_rows(assemble(system))
    wedge = 0.5 * 0.6**2 * math.tan(math.radians(10.0)) / 2.0
    assert wedge < row.expected.quantity < row.cautious.quantity
    dip = (row.cautious.quantity - row.expected.quantity) / 3.0
    assert row.expected.quantity == pytest.approx(wedge + 2.0 * dip, rel=2e-3)
    assert row.expected.lean > 0.0
    tank = unusable_fuel(system, nominal=True).tanks[0]
    assert tank.flown_slip.quantity == pytest.approx(row.expected.quantity, abs=2e-5)
    assert tank.flown_slip.kind == FLOWN_SLIP


def test_the_seconds_are_what_stands_above_the_height_that_gives_the_burn():
    """One bore, two legs down and one up: bore area times the length above that height, over burn.

    The line falls from 1.4 m to 0.5 m waterline and on to 0.1 m; the burn needs some 0.4 m and the
    loss, which an independent sum gives: head of a full tank less what is left over.
    """
    system = slipping(at_the_side(flight=flight(climb_pitch=0.0, test_margin=0.0)))
    assembly = assemble(system)
    attitudes = flown_slips(system)
    (seconds,) = seconds_in_lines(assembly, attitudes, 0)
    liquid = float(density(system.fuel, 288.15))
    flow = system.engine.burn / liquid
    area = math.pi * BORE**2 / 4.0
    steps = np.linalg.norm(np.diff(np.array(system.lines[0].route), axis=0), axis=1)
    pipe = system.lines[0].parts[0].length / steps.sum()
    most = area * pipe * (steps[0] + steps[1]) / flow
    least = area * pipe * steps[0] / flow
    assert 0.6 * least < seconds < most
    half = replace(system, engine=replace(system.engine, burn=0.5 * system.engine.burn))
    assert seconds_in_lines(assemble(half), attitudes, 0)[0] > 2.0 * seconds
    huge = replace(system, engine=replace(system.engine, burn=0.5))
    assert seconds_in_lines(assemble(huge), attitudes, 0)[0] == 0.0


def test_seconds_in_draws_are_those_of_systems_changed_by_hand():
    """A lower surface, a narrower bore, a thicker fuel: each draw by itself."""
    system = slipping(at_the_side(flight=flight(climb_pitch=0.0, test_margin=0.0)))
    assembly, attitudes = assemble(system), flown_slips(system)
    nominal = seconds_in_lines(assembly, attitudes, 0)[0]
    draws = nominal_draws(assembly, 4)
    draws.height[1] = -0.02
    draws.factors.bore[2] = 0.98
    draws.viscosity[3] = 1.5
    found = seconds_in_lines(assembly, attitudes, 0, draws)
    assert found[0] == pytest.approx(nominal, rel=1e-9)
    # 20 mm less head: the place where the burn just arrives does not move, so neither do the
    # seconds, but for what is lost of a full tank's rise over the outlet.
    assert found[1] == pytest.approx(nominal, rel=1e-6)
    assert found[2] < 0.98**2 * nominal  # less is in it, and it costs more
    assert found[3] < nominal
    drawn = draw(assembly, 64, SEED)
    seconds = seconds_in_lines(assembly, attitudes, 0, drawn)
    band = time_band(seconds)
    assert (band.draws, band.failed) == (64, 0)
    assert band.low == np.sort(seconds)[3]
    assert band.low < nominal < band.high
    (row,) = slip_rows(assembly, drawn)
    assert row.seconds_drawn == band
    assert row.surely == band.low


def test_a_failed_draw_leaves_no_seconds_to_rely_on():
    band = time_band(np.array([3.0, math.nan, 4.0]))
    assert band.failed == 1
    assert math.isnan(band.low)


def seconds_of(system):
    """How long the lines of a one-tank system last."""
    (row,) = slip_rows(assemble(system))
    return row.seconds


@pytest.mark.parametrize(
    ("time", "fuel", "verdict"),
    [
        (None, None, Verdict.CANNOT_TELL),
        (0.9, None, Verdict.ADEQUATE),
        (1.1, None, Verdict.NOT_ADEQUATE),
        (None, 1.01, Verdict.ADEQUATE),
        (1.1, 1.01, Verdict.ADEQUATE),
        (1.1, 0.93, Verdict.CANNOT_TELL),
        (1.1, 0.5, Verdict.NOT_ADEQUATE),
        (None, 0.5, Verdict.CANNOT_TELL),
    ],
)
def test_fuel_and_time_decide(time, fuel, verdict):
    """Shares of the seconds in the lines, and of the cautious quantity."""
    base = slipping(at_the_side())
    (row,) = slip_rows(assemble(base))
    assert 0.5 * row.cautious.quantity < row.expected.quantity < 0.93 * row.cautious.quantity
    system = slipping(
        at_the_side(),
        slip_time=None if time is None else time * row.seconds,
        slip_fuel=None if fuel is None else fuel * row.cautious.quantity,
    )
    decision, result = of_slip(system)
    assert decision.verdict is verdict
    assert not decision.informs
    assert f"the lines hold {row.seconds:.0f} s" in told(decision.found)
    if verdict is not Verdict.ADEQUATE:
        assert "slip_time" in told(decision.remedy)
        assert result.verdict is not Verdict.ADEQUATE
    else:
        assert result.verdict is Verdict.ADEQUATE


def test_what_is_enough_on_nominal_values_alone_is_no_pass():
    """Heights known to 5 mm: the nominal quantity is enough in about half of the draws.

    The floor of the box is 0.3 m2, so that the quantity goes by 0.3 m2 x 5 mm = 1.5 L a deviation;
    the 95th percentile lies 1.645 of them above the middle.
    """
    base = replace(slipping(at_the_side()), height_deviation=0.005)
    (row,) = slip_rows(assemble(base), draw(assemble(base), BATCH, SEED))
    assert row.drawn.high - row.cautious.quantity == pytest.approx(1.645 * 0.3 * 0.005, rel=0.25)

    def flown(fuel, **how):
        system = replace(base, routing=replace(base.routing, slip_fuel=fuel))
        return of_slip(system, **how)[0]

    nearly = row.cautious.quantity + 1e-4
    assert flown(nearly).verdict is Verdict.ADEQUATE
    drawn = {"nominal": False, "draws": BATCH}
    found = flown(nearly, **drawn)
    assert found.verdict is Verdict.CANNOT_TELL
    assert "at the 95th percentile of the draws" in told(found.found)
    # The study of unusable fuel gives the same band.
    tank = unusable_fuel(replace(base, routing=replace(base.routing, slip_fuel=nearly))).tanks[0]
    assert tank.bands.cautious.flown_slip.high == pytest.approx(row.drawn.high, abs=2e-5)
    assert tank.bands.cautious.flown_slip.enough == pytest.approx(0.5, abs=0.1)
    litres = float(re.search(r"at least ([0-9.]+) L in the tank", told(found.remedy)).group(1))
    assert flown(litres / 1000.0, **drawn).verdict is Verdict.ADEQUATE


def test_a_tank_in_the_middle_slips_on_little_fuel():
    """The outlet lies on the centre plane: the declared unusable fuel is enough for 1 deg."""
    decision, _ = of_slip(slipping(one_tank(), slip=math.radians(1.0)))
    assert decision.verdict is Verdict.ADEQUATE


def test_a_wing_tank_on_the_low_side_needs_more_than_it_holds():
    system = slipping(two_tanks(), slip=math.radians(20.0))
    rows = {(row.selector, row.tank): row for row in slip_rows(assemble(system))}
    assert set(rows) == {("left", "left"), ("right", "right"), ("both", "left"), ("both", "right")}
    assert rows["left", "left"].expected.quantity == pytest.approx(
        rows["right", "right"].expected.quantity, abs=2e-5
    )
    decision, _ = of_slip(system)
    assert decision.verdict is not Verdict.ADEQUATE
    assert "selector left" in told(decision.found)


def test_a_descent_is_slipped_too():
    system = slipping(one_tank(flight=flight(descent_pitch=math.radians(-6.0))))
    assert set(np.degrees(flown_slips(system).pitch).round(6)) == {-6.0, 0.0}
    assert FLOWN_SLIP in attitudes_of(system).kind
    assert flown_slips(one_tank()) is None


def test_dips_without_a_floor_do_not_tell_what_a_slip_covers():
    base = slipping(one_tank())
    table = DipTable(at=Point(1.45, 0.0, 1.4), dips=(0.0, 0.15), quantities=(0.0, 0.045),
                     pitch=0.0, roll=0.0)  # fmt: skip
    decision, _ = of_slip(replace(base, tanks=(replace(base.tanks[0], shape=table),)))
    assert decision.verdict is Verdict.CANNOT_TELL
    assert "floor_length" in told(decision.remedy)


def test_the_keys_are_read_and_need_the_slip(tmp_path):
    from flowsim.errors import InputError
    from flowsim.files.case.reader import read_case_text

    feed = line("feed", "tank.out", "engine", [(2.0, 0, 1.5), (0.5, 0, 0.6)])
    given = '[routing]\nslip = "8 deg"\nslip_time = "20 s"\nslip_fuel = "12 L"\n'
    routing = read_case_text(case_text(feed, given), "case.toml").routing
    assert (routing.slip_time, routing.slip_fuel) == pytest.approx((20.0, 0.012))
    assert routing.slip == pytest.approx(math.radians(8.0))
    with pytest.raises(InputError) as caught:
        read_case_text(case_text(feed, given.replace('slip = "8 deg"\n', "")), "case.toml")
    assert sum("is given without slip" in str(item) for item in caught.value.mistakes) == 2
