"""Unusable fuel: against geometry by hand, against a dense scan, and its verdicts."""

import math
from dataclasses import replace

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.fuel.properties import density
from flowsim.studies.judged.flight_attitudes import LEVEL, SLIP, TURN, attitudes_of
from flowsim.studies.result import Verdict
from flowsim.studies.unusable.rows import Trials, build_rows, emptyings
from flowsim.studies.unusable.study import PLACARD_STEP, rounded_up, unusable_fuel
from tests.support.systems import flight, one_tank, two_tanks
from tests.unit.studies.judged.test_dry_tank import high_tee


def test_outlet_at_the_floor_uncovers_at_its_dip() -> None:
    # Level box 0.5 x 0.6 m, outlet at the floor: lost where the surface stands a critical dip
    # above it, twice that of a still tank expected and five times cautious, so at area times dip
    # (geometry by hand; the line itself feeds easily).
    system = one_tank()
    result = unusable_fuel(system, nominal=True)
    burn, liquid = system.engine.burn, float(density(system.fuel, 288.15))
    level = next(row for row in result.attitudes if row.kind == LEVEL and row.pitch == 0.0)
    dip = 0.3 * float(critical_dip(burn / liquid))
    assert level.burn_flow == pytest.approx(2.0 * dip, abs=1e-5)
    assert level.burn_cautious == pytest.approx(5.0 * dip, abs=1e-5)
    required = 0.3 * float(critical_dip(1.5 * burn / liquid))
    assert level.required_flow == pytest.approx(2.0 * required, abs=1e-5)
    assert level.required_cautious == pytest.approx(5.0 * required, abs=1e-5)
    assert level.stops < 1e-5


def test_nose_up_outlet_at_the_front_leaves_a_wedge() -> None:
    # Outlet at the front, nose-up: what lies behind stays. Wedge under the plane through the
    # outlet, by hand: the floor falls by tan(pitch) aft, so b l^2 tan(pitch) / 2.
    base = one_tank()
    tank = base.tanks[0]
    front = replace(tank.outlets[0], at=tank.outlets[0].at._replace(station=1.2))
    system = replace(base, tanks=(replace(tank, outlets=(front,)),))
    result = unusable_fuel(system, nominal=True)
    pitch = math.radians(15.0)
    row = next(r for r in result.attitudes if r.kind == LEVEL and r.pitch == pytest.approx(pitch))
    wedge = 0.6 * 0.5**2 * math.tan(pitch) / 2.0
    assert row.stops == pytest.approx(wedge, abs=2e-5)
    assert result.verdict is Verdict.NOT_ADEQUATE


def test_limits_against_a_dense_scan() -> None:
    # Fine at the limit and at every larger quantity tried, not fine 0.01 L below it.
    assembly = assemble(two_tanks())
    attitudes = attitudes_of(assembly.system)
    ways = emptyings(assembly)
    rows = build_rows(assembly, attitudes, ways)
    trials = Trials(assembly, attitudes, ways, rows)
    result = unusable_fuel(assembly.system, nominal=True)
    limits = {
        (row.selector, row.tanks, row.dry, row.kind, row.pitch, row.lean): row.burn_flow
        for row in result.attitudes
    }
    names = [tank.name for tank in assembly.system.tanks]
    chosen = np.flatnonzero(rows.kind == 1)
    chosen = chosen[:: max(1, len(chosen) // 25)]
    assert len(chosen) >= 20
    for row in chosen:
        way, attitude = ways[rows.emptying[row]], rows.attitude[row]
        key = (
            assembly.positions[way.position].name,
            tuple(names[tank] for tank in way.tanks),
            tuple(names[tank] for tank in way.dry),
            attitudes.kind[attitude],
            attitudes.pitch[attitude],
            attitudes.lean[attitude],
        )
        limit, most = limits[key], float(trials.most[way.tanks[0]])
        if not math.isfinite(limit):
            continue
        # Limits are the worst of both ends, so above them this row is fine too.
        grid = np.linspace(min(limit + 1e-6, most), most, 40)
        assert trials.at_demand(np.full(40, row), grid)[:, 0].all()
    lost = [
        trials.at_demand(np.array([row]), np.array([limits_of - 2e-5]))[0, 0]
        for row, limits_of in _own_limits(trials, chosen)
        if limits_of > 1e-4 and math.isfinite(limits_of)
    ]
    assert lost
    assert not any(lost)


def _own_limits(trials: Trials, chosen: np.ndarray) -> list[tuple[int, float]]:
    from flowsim.studies.judged.limit_search import find_limits

    low, high = trials.range()
    found = find_limits(
        lambda rows, quantity: trials.at_demand(chosen[rows], quantity)[:, :1],
        low[chosen],
        high[chosen],
        trials.jumps()[chosen],
        1,
    )
    return [
        (int(row), float(value)) for row, value in zip(chosen, found.quantity[:, 0], strict=True)
    ]


def test_mirrored_tanks_have_mirrored_limits() -> None:
    result = unusable_fuel(two_tanks(), nominal=True)
    left, right = result.tanks
    assert left.burn.quantity == pytest.approx(right.burn.quantity, abs=1e-9)
    assert left.slip.quantity == pytest.approx(right.slip.quantity, abs=1e-9)
    assert left.slip.lean == pytest.approx(-right.slip.lean)


def test_slips_do_not_decide() -> None:
    result = unusable_fuel(two_tanks(), nominal=True)
    for tank in result.tanks:
        assert tank.slip.kind == SLIP
        assert tank.burn.kind in (LEVEL, TURN)
        assert tank.slip.quantity > tank.burn.quantity
        assert tank.unusable_placard >= tank.required.quantity


def test_a_turn_acts_like_level_flight_with_more_weight() -> None:
    # Without slip the fuel stays level across the aeroplane: no more is unusable than wings level.
    result = unusable_fuel(one_tank(), nominal=True)
    level = {row.pitch: row.stops for row in result.attitudes if row.kind == LEVEL}
    for row in result.attitudes:
        if row.kind == TURN:
            assert row.stops <= level[row.pitch] + 1e-5


@pytest.mark.parametrize(
    ("declared", "verdict"), [(0.0001, Verdict.NOT_ADEQUATE), (0.012, Verdict.ADEQUATE)]
)
def test_declared_against_computed(declared: float, verdict: Verdict) -> None:
    base = one_tank(flight=flight(climb_pitch=math.radians(3.0)), test_draw=0.0005)
    system = replace(base, tanks=(replace(base.tanks[0], unusable=declared, least_takeoff=0.05),))
    result = unusable_fuel(system, nominal=True)
    assert result.verdict is verdict
    assert bool(result.reasons) is (verdict is not Verdict.ADEQUATE)


def test_take_off_run_asks_for_more_at_the_outlet_in_front() -> None:
    base = one_tank()
    tank = base.tanks[0]
    front = replace(tank.outlets[0], at=tank.outlets[0].at._replace(station=1.2))
    slow = flight(climb_pitch=0.0, acceleration=0.1)
    steady = replace(base, tanks=(replace(tank, outlets=(front,)),), flight=slow)
    run = replace(steady, flight=flight(climb_pitch=0.0, acceleration=3.0))
    still = unusable_fuel(steady, nominal=True).tanks[0].takeoff
    found = unusable_fuel(run, nominal=True).tanks[0].takeoff
    assert found.quantity > still.quantity
    assert found.kind == "take-off run"
    usual = replace(steady, flight=flight(climb_pitch=0.0))  # 0.3 g0 where none is stated
    assert unusable_fuel(usual, nominal=True).tanks[0].takeoff.quantity == pytest.approx(
        found.quantity, rel=0.05
    )


def test_take_off_run_asks_for_the_burn_alone() -> None:
    """Three times the factor changes what the climb needs, and not the run."""
    base = one_tank()
    tank = base.tanks[0]
    front = replace(tank.outlets[0], at=tank.outlets[0].at._replace(station=1.2))
    run = replace(
        base, tanks=(replace(tank, outlets=(front,)),),
        flight=flight(climb_pitch=0.0, acceleration=4.0),
    )  # fmt: skip
    more = replace(run, engine=replace(run.engine, factor=1.8))
    found = [unusable_fuel(system, nominal=True).tanks[0].takeoff for system in (run, more)]
    assert {one.kind for one in found} == {"take-off run"}
    assert found[0].quantity == pytest.approx(found[1].quantity, rel=1e-6)


def test_a_system_that_never_gives_the_burn_is_never_met() -> None:
    base = one_tank()
    system = replace(base, engine=replace(base.engine, burn=0.5))
    tank = unusable_fuel(system, nominal=True).tanks[0]
    assert tank.burn.quantity == math.inf
    assert tank.verdict is Verdict.NOT_ADEQUATE


def test_a_line_too_small_is_said_and_no_placard_hides_it() -> None:
    """The tank is 0.15 m deep, the line falls 1 m: at most 7 % more flow from a full tank."""
    base = one_tank()
    gives = unusable_fuel(base, nominal=True).tanks[0]
    assert not gives.line_too_small
    found = []
    for burn in (0.0246, 0.025, 0.0255, 0.5):
        tank = unusable_fuel(
            replace(base, engine=replace(base.engine, burn=burn)), nominal=True
        ).tanks[0]
        found.append(tank.required.quantity)
        if tank.required.quantity > 0.25 * tank.capacity:
            assert tank.line_too_small
            assert math.isnan(tank.unusable_placard)
            assert math.isnan(tank.takeoff_placard)
            assert "the line is too small" in told(tank.reasons[0])
    assert found == sorted(found)
    assert found[-1] == math.inf


def test_an_outlet_that_uncovers_early_is_no_small_line() -> None:
    """At the front and nose-up most of the fuel stays, and the line is wide enough."""
    base = one_tank()
    tank = base.tanks[0]
    front = replace(tank.outlets[0], at=tank.outlets[0].at._replace(station=1.2))
    steep = replace(base, flight=flight(climb_pitch=math.radians(20.0)))
    result = unusable_fuel(
        replace(steep, tanks=(replace(tank, outlets=(front,)),)), nominal=True
    ).tanks[0]
    assert result.required.quantity > 0.25 * result.capacity
    assert not result.line_too_small
    assert result.unusable_placard >= result.cautious.required.quantity


@pytest.mark.parametrize(
    ("declared", "verdict"),
    [(0.9, Verdict.NOT_ADEQUATE), (1.1, Verdict.CANNOT_TELL), (2.6, Verdict.ADEQUATE)],
)
def test_between_expected_and_cautious_it_cannot_be_told(declared: float, verdict: Verdict) -> None:
    """Level alone: lost at area times 2 dips expected and 5 cautious; shares of the first."""
    level = flight(climb_pitch=0.0, test_margin=0.0, acceleration=0.01)
    base = one_tank(flight=level, test_draw=0.02)
    liquid = float(density(base.fuel, 288.15))
    expected = 2.0 * 0.3 * float(critical_dip(base.engine.burn / liquid))
    tank = replace(base.tanks[0], unusable=declared * expected, least_takeoff=0.03)
    assert unusable_fuel(replace(base, tanks=(tank,)), nominal=True).verdict is verdict


def test_placard_rounds_up() -> None:
    assert rounded_up(0.0021) == pytest.approx(0.0025)
    assert rounded_up(0.0025) == pytest.approx(0.0025)
    assert rounded_up(0.0) == 0.0
    assert rounded_up(math.inf) == math.inf
    assert PLACARD_STEP == 0.0005


def test_the_last_tank_feeds_beside_a_dry_one() -> None:
    """All of the flow in one long thin leg, the other leg full of air: more fuel is needed."""
    result = unusable_fuel(high_tee(), nominal=True)
    assert result.verdict is Verdict.NOT_ADEQUATE
    for tank in result.tanks:
        assert tank.verdict is Verdict.NOT_ADEQUATE
        worst = max(tank.required, tank.cautious.required, key=lambda item: item.quantity)
        assert worst.dry == (("right",) if tank.name == "left" else ("left",))
    wings_level = [row for row in result.attitudes if row.kind == LEVEL]
    for row in wings_level:
        alone = next(
            other
            for other in wings_level
            if (other.tanks, other.pitch) == (row.tanks, row.pitch) and not other.dry
        )
        if len(row.tanks) == 1 and row.dry:
            assert row.burn_air >= alone.burn_air - 1e-5
