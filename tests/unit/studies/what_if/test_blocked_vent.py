"""A blocked vent against the closed form; a header tank's refill."""

import math
from dataclasses import replace

import pytest
from scipy.optimize import brentq

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.fuel.properties import density, vapour_pressure
from flowsim.studies.unusable.header_tank import header_tanks
from flowsim.studies.what_if.blocked_vent import blocked_vents
from flowsim.system.points import Point
from flowsim.system.tanks import StatedLevel
from tests.support.systems import flight, line, one_tank, tank, two_tanks

AREA = 0.3
"""[m2] Plan of the tank of ``one_tank``."""


def test_flow_stops_where_the_pull_meets_the_head() -> None:
    # Closed form of the facts note with a level that falls as fuel is drawn: rho g h(V) =
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
    least = [row for row in rows if row.fuel_state != "full" and row.asked == "required"]
    assert len(least) == 1
    assert least[0].ullage == pytest.approx(ullage)
    assert least[0].drawn_until_stop == pytest.approx(expected, rel=2e-3)
    assert 0.0 < least[0].drawn_until_lost < least[0].drawn_until_stop
    assert least[0].test_draw_needed == pytest.approx(1.5 * least[0].drawn_until_lost)
    seconds = least[0].drawn_until_lost * liquid / least[0].demand
    assert least[0].time_until_lost == pytest.approx(seconds)


def test_full_tank_shows_a_blocked_vent_at_once() -> None:
    rows = [row for row in blocked_vents(one_tank()) if row.fuel_state == "full"]
    assert all(row.drawn_until_lost < 1e-4 and row.shown_by_test for row in rows)


def test_hot_fuel_hides_a_blocked_vent_longer() -> None:
    system = replace(one_tank(), temperatures=(278.15, 308.15))
    cold, hot = (
        row for row in blocked_vents(system) if row.asked == "required" and row.fuel_state != "full"
    )
    assert hot.vapour_pressure > cold.vapour_pressure
    assert hot.drawn_until_lost > cold.drawn_until_lost


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
