"""Quantities over time: exact solutions, balance, events, sharing, overflow."""

import math
from dataclasses import replace

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.words.telling import told
from flowsim.errors import DomainError
from flowsim.network.assembly import assemble
from flowsim.physics.fuel.catalogue import with_measurements
from flowsim.physics.fuel.properties import density, kinematic_viscosity, vapour_pressure
from flowsim.reports.pages import flight as flight_pages
from flowsim.studies.flight import integrate
from flowsim.studies.flight.profile import fly
from flowsim.studies.flight.result import (
    EMPTY,
    INFLOW,
    OVERFLOW,
    STARVED,
    UNCOVERS,
)
from flowsim.studies.flight.transfer import transfer
from flowsim.system.parts import MinorLoss, OneWayValve, Pipe
from flowsim.system.points import Point
from flowsim.system.profile import Profile
from flowsim.system.tanks import DipTable, StatedLevel
from tests.support.draining import phase, plain_line, run, square_tank, system_of
from tests.support.systems import one_tank, tank, two_tanks


def _when(result, what, item=None):
    return [e.time for e in result.events if e.what == what and item in (None, e.item)]


def test_laminar_drain_is_exponential() -> None:
    # Exact: Hagen-Poiseuille gives Q = pi g d^4 h/(128 nu L), so h = h0 exp(-t/tau).
    # So long a pipe that its velocity heads are nothing beside friction.
    area, bore, length = 0.01, 0.002, 200.0
    pipe = Pipe(name="pipe", length=length, bore=bore, roughness=0.0)
    system = system_of(
        (square_tank("tank", area, 0.6, 0.0, ("out",)),),
        (plain_line("pipe", "tank.out", "engine", pipe),),
    )
    viscosity = float(kinematic_viscosity(system.fuel, 288.15))
    tau = area * 128 * viscosity * length / (math.pi * STANDARD_GRAVITY * bore**4)
    result = run(system, {"tank": 0.5 * area}, phase(1.5 * tau, 0.01))
    level = result.history.quantity[:, 0] / area
    assert level == pytest.approx(0.5 * np.exp(-result.history.time / tau), rel=2e-4)


def test_two_tanks_equalise_to_one_level_and_the_balance_closes() -> None:
    # Through a laminar pipe the difference decays exponentially: exact.
    areas, bore, length = (0.05, 0.02), 0.004, 300.0
    pipe = Pipe(name="pipe", length=length, bore=bore, roughness=0.0)
    system = system_of(
        (
            square_tank("a", areas[0], 0.6, 0.0, ("out", "feed")),
            square_tank("b", areas[1], 0.6, 5.0, ("in",)),
        ),
        (plain_line("link", "a.out", "b.in", pipe), plain_line("feed", "a.feed", "engine", pipe)),
    )
    viscosity = float(kinematic_viscosity(system.fuel, 288.15))
    conductance = math.pi * STANDARD_GRAVITY * bore**4 / (128 * viscosity * length)
    tau = 1.0 / (conductance * (1 / areas[0] + 1 / areas[1]))
    start = {"a": 0.25 * areas[0], "b": 0.2 * areas[1]}
    result = run(system, start, phase(4.0 * tau, 0.0))
    a, b = result.history.quantity[:, 0] / areas[0], result.history.quantity[:, 1] / areas[1]
    assert a - b == pytest.approx(0.05 * np.exp(-result.history.time / tau), abs=5e-6)
    assert result.balance.start == pytest.approx(result.balance.end, rel=1e-12)


def test_constant_burn_draws_a_straight_line_and_uncovers_on_time() -> None:
    system = one_tank()
    burn, liquid = system.engine.burn, float(density(system.fuel, 288.15))
    start = 0.012
    result = run(system, {"wing": start}, phase(7200.0, burn))
    dip = 0.69 * ((burn / liquid) ** 2 / STANDARD_GRAVITY) ** 0.2
    expected = (start - 0.3 * dip) * liquid / burn
    assert _when(result, UNCOVERS)[0] == pytest.approx(expected, rel=1e-6)
    assert _when(result, EMPTY, "wing") == _when(result, UNCOVERS)
    assert _when(result, STARVED) == _when(result, UNCOVERS)
    assert result.balance.burned == pytest.approx(burn * expected, rel=1e-6)
    assert result.phases[0].starved_for == pytest.approx(7200.0 - expected, rel=1e-6)
    assert result.starved


def test_starved_by_head_draws_what_arrives() -> None:
    # A demand beyond what the line gives: the open end gives the deliverable flow, and says so.
    from flowsim.network.assembly import assemble
    from flowsim.network.scenarios import build_scenarios, situate
    from flowsim.studies.delivery.deliver import deliver

    system = one_tank()
    result = run(system, {"wing": 0.03}, phase(60.0, 0.08))
    assembly = assemble(system)
    scenario = build_scenarios(
        assembly, pitch=0.0, quantity=0.03, temperature=288.15, altitude=0.0, dip_flow=0.08
    )
    situation = situate(assembly, scenario)
    expected = (deliver(assembly, situation).deliverable * situation.density)[0]
    assert _when(result, STARVED) == [0.0]
    assert result.history.delivered[0] == pytest.approx(expected, rel=1e-6)
    assert result.history.delivered[0] < 0.08


def test_symmetric_tanks_stay_symmetric() -> None:
    system = two_tanks()
    flown = phase(3600.0, system.engine.burn, selector="both", pitch=math.radians(8.0))
    result = run(system, {"left": 0.03, "right": 0.03}, flown)
    quantity = result.history.quantity
    assert quantity[:, 0] == pytest.approx(quantity[:, 1], abs=1e-9)
    assert not _when(result, INFLOW)


def test_fuller_tank_runs_into_the_other() -> None:
    system = two_tanks()
    result = run(system, {"left": 0.02, "right": 0.04}, phase(3000.0, 0.001, selector="both"))
    assert _when(result, INFLOW, "left") == [0.0]
    assert result.history.quantity[-1, 0] > 0.02
    gap = result.history.quantity[:, 1] - result.history.quantity[:, 0]
    assert (np.diff(gap) <= 1e-9).all()
    assert abs(gap[-1]) < abs(gap[0]) / 4


def test_unequal_vents_share_unequally() -> None:
    # The tank under suction gives less at first, until its level stands higher by the suction.
    base = two_tanks()
    left = base.tanks[0]
    suction = replace(left.vent, pressure_coefficient=-0.5)
    system = replace(base, tanks=(replace(left, vent=suction), base.tanks[1]))
    flown = phase(600.0, system.engine.burn, selector="both", airspeed=30.0, altitude=1000.0)
    result = run(system, {"left": 0.03, "right": 0.03}, flown)
    assert result.history.from_tank[0, 0] < result.history.from_tank[0, 1]
    assert result.history.quantity[-1, 0] > result.history.quantity[-1, 1]


def test_selector_off_starves_and_draws_nothing() -> None:
    system = two_tanks()
    result = run(system, {"left": 0.03, "right": 0.03}, phase(60.0, 0.005, selector="off"))
    assert _when(result, STARVED) == [0.0]
    assert result.balance.burned == 0.0
    assert result.history.quantity[-1].tolist() == [0.03, 0.03]


def test_balance_over_many_phases_and_temperatures() -> None:
    system = two_tanks()
    burn = system.engine.burn
    phases = (
        phase(600.0, burn, name="climb", selector="both", pitch=math.radians(10.0)),
        phase(1200.0, 0.6 * burn, name="left", selector="left", temperature=280.0),
        phase(120.0, 0.6 * burn, name="turn", selector="both", lean=0.5, turning=True),
        phase(60.0, 0.2 * burn, name="slip", selector="both", lean=-0.2),
        phase(600.0, 0.0, name="parked", selector="both", lean=0.03, temperature=300.0),
    )
    result = run(system, {"left": 0.03, "right": 0.04}, *phases)
    balance = result.balance
    assert abs(balance.misfit) < 1e-6
    closing = balance.end + balance.burned + balance.overflowed
    assert balance.start == pytest.approx(closing, rel=1e-12)
    times = result.history.time
    assert (np.diff(times) >= 0).all()
    assert times[-1] == pytest.approx(sum(p.duration for p in phases))


def _joined(vent_at=None):
    """Two boxes of 1 m by 0.5 m by 0.2 m side by side, joined by a wide pipe under them."""
    boxes = []
    for name, side in (("left", -1.0), ("right", 1.0)):
        inner, outer = sorted((0.1 * side, 1.1 * side))
        boxes.append(
            tank(
                name,
                Point(0.0, inner, 1.0),
                Point(0.5, outer, 1.2),
                {"out": Point(0.25, 0.15 * side, 1.0)},
                vent_at=None if vent_at is None else Point(0.25, vent_at * side, 1.2),
            )
        )
    pipe = Pipe(name="pipe", length=1.0, bore=0.02, roughness=0.0)
    return system_of(
        tuple(boxes),
        (
            plain_line("link", "left.out", "right.out", pipe),
            plain_line("feed", "left.out", "engine", MinorLoss(
                name="K", kind="stated", bore=0.01, k_inf=1.0)),
        ),
    )  # fmt: skip


def test_full_tanks_on_a_slope_overflow_by_geometry() -> None:
    # Right wing down by 2 deg, full: the right tank stays full and spills; the left drains until
    # its surface stands level with the top of the right one, on its inner edge. By hand: surface
    # z = 1.2 + (0.1 - y) tan(2 deg) at y, so the left tank's level sinks below its top from y =
    # 0.1 on outward... its mean fall is (0.1 + 0.6) tan.
    roll = math.radians(2.0)
    result = run(_joined(), {"left": 0.1, "right": 0.1}, phase(4 * 3600.0, 0.0, lean=roll))
    # Highest point of the right tank: its inner top edge, y = 0.1.
    fall = (0.1 + 0.6) * math.tan(roll)
    assert result.history.quantity[-1, 1] == pytest.approx(0.1, rel=1e-9)
    assert result.history.quantity[-1, 0] == pytest.approx(0.1 - 0.5 * fall, abs=2e-5)
    assert _when(result, OVERFLOW, "right") == [0.0]
    liquid = result.balance.start / 0.2
    assert result.balance.overflowed / liquid == pytest.approx(0.5 * fall, abs=2e-5)
    assert result.overflowed


def test_fuel_above_a_vent_spills_at_once() -> None:
    # Vents at the outer top edges, right wing down by 2 deg: the right vent is the lowest point of
    # its top, so a wedge of b l^2 tan(roll)/2 stands above it.
    roll = math.radians(2.0)
    result = run(_joined(vent_at=1.1), {"left": 0.1, "right": 0.1}, phase(1.0, 0.0, lean=roll))
    assert 0.1 - result.history.quantity[0, 1] == pytest.approx(
        0.5 * 0.5 * math.tan(roll), rel=1e-9
    )
    assert result.history.quantity[0, 0] == pytest.approx(0.1, rel=1e-9)


def test_transfer_study_finds_the_overflow_on_both_sides() -> None:
    rows = transfer(_joined())
    assert len(rows) == 6
    assert {row.situation for row in rows if row.overflows} == {row.situation for row in rows}
    for right, left in zip(rows[::2], rows[1::2], strict=True):
        assert right.roll == -left.roll
        if "parked" in right.situation:
            assert sum(right.overflow) == pytest.approx(sum(left.overflow), abs=1e-6)
    assert transfer(one_tank()) == ()


def test_tanks_are_joined_whether_or_not_they_feed() -> None:
    """Joined past the selector: only one of them feeds, or with the selector off none does."""
    base = two_tanks()
    pipe = Pipe(name="pipe", length=3.0, bore=0.01, roughness=0.0)
    crossed = replace(
        base, lines=(*base.lines, plain_line("cross", "left.front", "right.front", pipe))
    )
    rows = transfer(crossed)
    positions = [position.name for position in assemble(crossed).positions]
    assert list(dict.fromkeys(row.selector for row in rows)) == positions
    assert all(row.never_parted == ("left", "right") for row in rows)
    assert any(row.overflows for row in rows if row.selector == "off")
    assert all(not row.stopped for row in rows)
    text = flight_pages.transfer_text(rows, crossed.title, "case.toml")
    assert 'Tanks "left" and "right" are joined in every position' in text.replace("\n  ", " ")
    parted = transfer(base)
    assert {row.selector for row in parted} == {"both"}
    assert all(row.never_parted == () for row in parted)


def test_a_line_that_fuel_passes_one_way_fills_the_other_tank_over_its_brim() -> None:
    base = _joined()
    flap = OneWayValve(name="flap", bore=0.02, cracking_pressure=100.0, kv=5.0)
    link = replace(base.lines[0], parts=(*base.lines[0].parts, flap))
    rows = transfer(replace(base, lines=(link, *base.lines[1:])))
    assert all(row.never_parted == () for row in rows)
    over = {row.roll > 0: row.overflow for row in rows if row.situation.startswith("parked on a 5")}
    assert over[True][1] > 1e-3  # right wing down: from left to right, as the flap opens
    assert sum(over[False]) == pytest.approx(0.0, abs=1e-6)


def test_a_tank_of_stated_level_counts_in_the_balance() -> None:
    base = one_tank()
    header = replace(
        base.tanks[0], shape=StatedLevel(surface=Point(1.4, 0.0, 1.5)), unusable=None,
        least_takeoff=None,
    )  # fmt: skip
    result = run(replace(base, tanks=(header,)), {}, phase(600.0, 0.005))
    assert result.balance.from_stated_level == pytest.approx(3.0)
    assert result.balance.burned == pytest.approx(3.0)
    assert np.isnan(result.history.quantity).all()
    # Nobody said what it holds, so it may have run dry: no "met throughout".
    assert result.doubtful
    words = flight_pages.flight_text(result, "case.toml")
    assert "cannot tell" in words
    assert "state its volume" in words
    assert "no feeding outlet" not in words
    held = replace(header, volume=1.0)
    assert not run(replace(base, tanks=(held,)), {}, phase(600.0, 0.005)).doubtful


def test_a_full_header_takes_in_only_what_leaves_it() -> None:
    from tests.unit.studies.changes.test_blocked_vent import header_system

    burn = 0.005
    result = run(header_system(0.004), {"wing": 0.03}, phase(600.0, burn))
    assert result.balance.from_stated_level == pytest.approx(0.0, abs=1e-9)
    assert result.balance.end == pytest.approx(result.balance.start - 600.0 * burn, rel=1e-9)
    high = fly(
        header_system(0.004, rise=0.8),
        Profile(title="x", start=(("wing", 0.03),), phases=(phase(900.0, burn),)),
    )
    assert "would be empty before the end" in told(high.stopped)


def test_an_outlet_below_the_described_tank_still_runs_bare() -> None:
    # The dip table ends above the outlet: its lowest row is as empty as the tank gets.
    from flowsim.system.tanks import DipTable

    base = one_tank()
    table = DipTable(
        at=Point(1.4, 0.0, 1.45), dips=(0.0, 0.1), quantities=(0.001, 0.03), pitch=0.0, roll=0.0
    )
    system = replace(base, tanks=(replace(base.tanks[0], shape=table),))
    result = run(system, {"wing": 0.01}, phase(7200.0, system.engine.burn))
    assert result.starved
    assert result.history.quantity.min() == pytest.approx(0.001, abs=1e-6)


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"duration": 0.0}, "duration"),
        ({"duration": -1.0}, "duration"),
        ({"burn": -1.0}, "negative"),
        ({"selector": "middle"}, "does not exist"),
    ],
)
def test_impossible_phases_are_refused(change, words) -> None:
    profile = Profile(
        title="x", start=(("wing", 0.01),), phases=(replace(phase(60.0, 0.001), **change),)
    )
    with pytest.raises(DomainError, match=words):
        fly(one_tank(), profile)


@pytest.mark.parametrize(
    ("start", "words"),
    [((("wing", 0.2),), "holds"), ((), "holds"), ((("wing", 0.01), ("x", 0.1)), "without a")],
)
def test_impossible_starts_are_refused(start, words) -> None:
    with pytest.raises(DomainError, match=words):
        fly(one_tank(), Profile(title="x", start=start, phases=(phase(60.0, 0.001),)))


def test_no_phase_is_refused() -> None:
    with pytest.raises(DomainError, match="no phase"):
        fly(one_tank(), Profile(title="x", start=(("wing", 0.01),), phases=()))


@pytest.mark.parametrize(
    ("altitude", "boils", "doubtful"), [(0.0, False, False), (6000.0, True, True)]
)
def test_fuel_that_boils_in_a_phase_is_said_and_is_not_met(altitude, boils, doubtful) -> None:
    # Avgas at 40 degC has 52 kPa (docs/theory/fuel.md); 6000 m has 47.2 (ISO 2533).
    flown = phase(600.0, 0.004, altitude=altitude, temperature=313.15)
    result = run(one_tank(), {"wing": 0.03}, flown)
    assert (result.boils, result.doubtful) == (boils, doubtful)
    assert not result.starved
    words = flight_pages.flight_text(result, "case.toml")
    assert ("the fuel boils" in words) == boils
    assert ("the burn is met throughout" in words) != boils
    # Against the standard atmosphere of a public library, the lines under the tank's pressure.
    surface = ATMOSPHERE_1976(altitude).P - float(vapour_pressure(one_tank().fuel, 313.15))
    assert result.phases[0].vapour_margin <= surface + 20.0
    assert result.phases[0].vapour_margin == pytest.approx(surface, abs=1500.0)


@pytest.mark.parametrize(("pitch", "unsettled"), [(1.0, False), (8.0, True)])
def test_a_tank_of_dips_alone_settles_nothing_far_from_their_attitude(pitch, unsettled) -> None:
    # As in check (verdict: more than 2 deg away the cover is not known).
    base = one_tank()
    dips = DipTable(
        at=Point(1.45, 0.0, 1.4), pitch=0.0, roll=0.0, dips=(0.0, 0.15),
        quantities=(0.0, 0.045),
    )  # fmt: skip
    system = replace(base, tanks=(replace(base.tanks[0], shape=dips),))
    result = run(system, {"wing": 0.03}, phase(600.0, 0.004, pitch=math.radians(pitch)))
    assert not result.starved
    assert result.doubtful == unsettled
    words = " ".join(flight_pages.flight_text(result, "x").split())
    assert ("describe it by points" in words) == unsettled


@pytest.mark.parametrize(("celsius", "unsettled"), [(20.0, False), (-15.0, True)])
def test_a_fuel_read_once_settles_nothing_in_a_phase_far_from_that(celsius, unsettled) -> None:
    # As in check: colder fuel is thicker than its one reading says.
    base = one_tank()
    once = with_measurements(base.fuel, viscosity_points=((288.15, 0.6e-6),))
    flown = phase(600.0, 0.004, temperature=273.15 + celsius)
    result = run(replace(base, fuel=once), {"wing": 0.03}, flown)
    assert not result.starved
    assert result.doubtful == unsettled
    words = " ".join(flight_pages.flight_text(result, "x").split())
    assert ("viscosity of the fuel: it was read at 15 degC" in words) == unsettled
    assert ("cannot tell whether the burn is met" in words) == unsettled


def test_tanks_that_come_to_rest_are_followed_alike_by_either_method(monkeypatch) -> None:
    """The explicit method takes thousands of looks at the flows where the implicit takes a few."""
    system = _joined()
    parked = phase(600.0, 0.0, lean=math.radians(2.0))
    start = tuple((item.name, 0.05) for item in system.tanks)
    profile = Profile(title="x", start=start, phases=(parked,))
    ends = []
    for most in (0, integrate.EXPLICIT_RATES, 100_000):
        monkeypatch.setattr(integrate, "EXPLICIT_RATES", most)
        flown = fly(system, profile)
        assert abs(flown.balance.misfit) < 1e-9
        ends.append(flown.history.quantity[-1])
    assert ends[1] == pytest.approx(ends[0], abs=2e-6)
    assert ends[2] == pytest.approx(ends[0], abs=2e-6)
