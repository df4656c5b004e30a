"""A blocked vent against the closed form; a header tank's refill."""

import math
from dataclasses import replace

import pytest
from scipy.optimize import brentq

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.words.telling import all_told, told
from flowsim.network.assembly import assemble
from flowsim.physics.fuel.properties import density, vapour_pressure
from flowsim.studies.changes.blocked_vent import ASSUMED, blocked_vents
from flowsim.studies.changes.shut_airspaces import FULL, LEAST, TEST
from flowsim.studies.ground_test.vents import vent_tests
from flowsim.studies.unusable.header_tank import header_tanks
from flowsim.studies.what_if.result import WhatIf
from flowsim.studies.what_if.study import what_if
from flowsim.system.points import Point
from flowsim.system.tanks import StatedLevel
from tests.support.systems import flight, line, one_tank, tank, two_tanks

AREA = 0.3
"""[m2] Plan of the tank of ``one_tank``."""


def test_flow_stops_where_the_pull_meets_the_head() -> None:
    # Closed form with a level that falls as fuel is drawn: rho g h(V) =
    # (p_a - p_v) V/(V_u + V), solved by scipy for V. Level, so that the geometry is by hand.
    system = replace(one_tank(), flight=flight(climb_pitch=0.0, test_margin=0.0))
    start, liquid = 0.025, float(density(system.fuel, 288.15))
    air = 101325.0 - float(vapour_pressure(system.fuel, 288.15))
    ullage = AREA * 0.15 - start

    def pull(drawn: float) -> float:
        head = 1.4 + (start - drawn) / AREA - 0.4
        return liquid * STANDARD_GRAVITY * head - air * drawn / (ullage + drawn)

    expected = brentq(pull, 1e-9, 0.02)
    rows = blocked_vents(system)
    least = [row for row in rows if row.fuel_state == LEAST and row.asked == "required"]
    assert len(least) == 1
    assert least[0].ullage == pytest.approx(ullage)
    assert least[0].drawn_until_stop == pytest.approx(expected, rel=2e-3)
    assert 0.0 < least[0].drawn_until_lost < least[0].drawn_until_stop
    assert least[0].test_draw_needed == pytest.approx(1.5 * least[0].drawn_until_stop)
    seconds = least[0].drawn_until_lost * liquid / least[0].demand
    assert least[0].time_until_lost == pytest.approx(seconds)


def test_air_shut_in_by_a_vent_that_sucks_begins_with_its_suction() -> None:
    # As above at the burn's end, in level flight: the air begins at p_a + Cp q, by hand at sea
    # level, where q = rho V^2/2; it was taken to begin at p_a, and so the burn lasted longer.
    base = one_tank()
    sucks = replace(base.tanks[0].vent, pressure_coefficient=-0.9, coefficient_low=-1.0)
    system = replace(
        base,
        tanks=(replace(base.tanks[0], vent=sucks),),
        flight=flight(pressure_altitude=0.0, level_speed=60.0),
    )
    start, liquid = 0.025, float(density(system.fuel, 288.15))
    begins = 101325.0 - 0.9 * 0.5 * 1.225 * 60.0**2
    air = begins - float(vapour_pressure(system.fuel, 288.15))
    ullage = AREA * 0.15 - start

    def pull(drawn: float) -> float:
        head = 1.4 + (start - drawn) / AREA - 0.4
        fall = air * drawn / (ullage + drawn)
        return liquid * STANDARD_GRAVITY * head - (101325.0 - begins) - fall

    (row,) = (r for r in blocked_vents(system) if (r.asked, r.fuel_state) == ("burn", LEAST))
    assert row.drawn_until_stop == pytest.approx(brentq(pull, 1e-9, 0.02), rel=2e-3)


def test_full_tank_shows_a_blocked_vent_at_once() -> None:
    """Two parts in a hundred of room, no more."""
    rows = [row for row in blocked_vents(one_tank()) if row.fuel_state == FULL]
    assert all(row.ullage == pytest.approx(0.02 * AREA * 0.15) for row in rows)
    assert all(row.drawn_until_stop < 2e-4 and row.shown_by_test for row in rows)


def test_hot_fuel_hides_a_blocked_vent_longer() -> None:
    system = replace(one_tank(), temperatures=(278.15, 308.15))
    cold, hot = (
        row for row in blocked_vents(system) if row.asked == "required" and row.fuel_state == LEAST
    )
    assert hot.vapour_pressure > cold.vapour_pressure
    assert hot.drawn_until_lost > cold.drawn_until_lost


def test_the_fuel_of_the_test_may_run_out_first() -> None:
    """Little fuel under much air: no draw shows the vent, and the row says so."""
    base = replace(one_tank(), test_draw=2e-4)
    system = replace(base, tanks=(replace(base.tanks[0], unusable=2e-4),))
    (row,) = (row for row in blocked_vents(system, ground_only=True) if row.fuel_state == TEST)
    assert row.drawn_until_lost == row.drawn_until_stop == math.inf
    assert row.runs_out_first
    assert not row.shown_by_test
    assert row.test_draw_needed == math.inf


def test_one_question_has_one_answer_everywhere() -> None:
    """What-if, unusable fuel and test card show the figures of the same rows."""
    system = replace(two_tanks(), temperatures=(278.15, 308.15))
    rows = blocked_vents(system)
    for row in what_if(
        system, (WhatIf(word="blocked-vent", kind="blocked-vent"),), nominal=True, draws=0, seed=0
    ).rows[1:]:
        mine = [
            one
            for one in rows
            if (one.selector,) == one.blocked == (told(row.words).split('"')[1],)
        ]
        assert len(mine) == 2 * 5
        for asked, words in (("required", "on the ground"), ("burn", "in flight")):
            for state in (FULL, LEAST):
                some = [r for r in mine if (r.asked, r.fuel_state) == (asked, state)]
                least = min(one.drawn_until_lost for one in some)
                (said,) = (r for r in all_told(row.reasons) if r.startswith(f"{state}: {words}"))
                assert f" {1000 * least:.2f} L" in said or least == math.inf
        assert row.note == ASSUMED
    for test in vent_tests(assemble(system)):
        state = FULL if test.full else TEST
        some = [
            r for r in rows
            if r.blocked == r.drawn_from == (test.tank,) and r.asked == "required"
            and r.fuel_state == state and r.selector == test.selector
        ]  # fmt: skip
        assert len(some) == 2
        stop = max(one.drawn_until_stop for one in some)
        assert test.stops_after == stop or (math.isnan(test.stops_after) and stop == math.inf)
        assert math.isnan(test.draw) or test.draw == pytest.approx(1.5 * stop)


def test_the_other_tank_feeds_on() -> None:
    rows = blocked_vents(two_tanks())
    both = [row for row in rows if row.selector == "both"]
    assert {row.blocked for row in both} == {("left",), ("right",)}
    assert all(row.drawn_until_lost == math.inf for row in both if row.asked == "burn")
    assert not any(row.failed for row in rows)


def test_a_shared_airspace_is_blocked_as_one() -> None:
    base = two_tanks()
    tanks = tuple(replace(t, vent=replace(t.vent, group="joined")) for t in base.tanks)
    rows = [row for row in blocked_vents(replace(base, tanks=tanks)) if row.selector == "left"]
    assert all(row.blocked == ("left", "right") and row.drawn_from == ("left",) for row in rows)


def header_system(volume: float | None, rise: float = 0.0):
    """A wing tank that refills a header tank in front, which feeds the engine."""
    base = one_tank()
    port = Point(0.9, 0.0, 0.8 + rise)
    header = replace(
        tank("header", Point(0, 0, 0), Point(1, 1, 1), {"in": port, "out": Point(0.8, 0.0, 0.7)}),
        shape=StatedLevel(surface=Point(0.85, 0.0, 0.85 + rise)),
        unusable=None,
        least_takeoff=None,
        volume=volume,
    )
    refill = line("refill", "wing.rear", "header.in", [base.tanks[0].outlets[0].at, port])
    feed = line("feed", "header.out", "engine", [Point(0.8, 0.0, 0.7), Point(0.5, 0.0, 0.4)])
    return replace(base, tanks=(*base.tanks, header), lines=(refill, feed))


def test_header_tank_refill_and_time_alone() -> None:
    system = header_system(0.004)
    rows = header_tanks(system)
    assert rows
    liquid = float(density(system.fuel, 288.15))
    for row in rows:
        assert row.header == "header"
        assert row.time_alone == pytest.approx(0.004 * liquid / system.engine.burn)
    full = next(row for row in rows if row.fuel_state == "least take-off fuel")
    assert full.keeps_up
    assert full.time_until_empty == math.inf


def test_header_tank_that_stands_too_high_is_not_refilled() -> None:
    rows = header_tanks(header_system(0.004, rise=0.8))
    assert not any(row.keeps_up for row in rows)
    assert all(0.0 < row.time_until_empty <= row.time_alone for row in rows)


def test_header_without_a_volume_says_so() -> None:
    rows = header_tanks(header_system(None))
    assert all(row.volume is None and math.isnan(row.time_alone) for row in rows)
    assert header_tanks(one_tank()) == ()
