"""The leak check against the ideal gas and simple hydrostatics."""

import math

import pytest

from flowsim.errors import DomainError
from flowsim.physics.air.leak_check import leak_left, least_time, pressure_to_hold

TIGHT = {
    "volume": 1e-3, "start_pressure": 20000.0, "start_temperature": 293.15,
    "start_ambient": 101325.0, "end_ambient": 101325.0, "seconds": 600.0,
}  # fmt: skip


def test_pressure_is_half_again_the_head_of_fuel():
    # 1 psi = 38.5 in of avgas at 6.0 lb/US gal (derived): 1.5 psi for 38.5 in.
    density = 6.0 * 0.45359237 / (231 * 0.0254**3)
    assert pressure_to_hold(density, 38.5 * 0.0254) == pytest.approx(1.5 * 6894.757, rel=1e-3)


def test_a_small_head_is_held_at_half_a_psi():
    assert pressure_to_hold(720.0, 0.1) == 3500.0


def test_cooling_alone_leaves_no_leak():
    # Ideal gas at constant volume: p2 = p1 T2/T1 (absolute).
    end = 121325.0 * 291.15 / 293.15 - 101325.0
    found = leak_left(**TIGHT, end_pressure=end, end_temperature=291.15)
    assert found.by_leak == pytest.approx(0.0, abs=1e-9)
    assert found.leak == pytest.approx(0.0, abs=1e-18)
    assert found.by_temperature == pytest.approx(121325.0 * 2.0 / 293.15)


def test_the_leak_is_the_mass_that_is_missing():
    # Closed form: q = dp V/(p_a t) at constant temperature.
    found = leak_left(**TIGHT, end_pressure=19000.0, end_temperature=293.15)
    assert found.leak == pytest.approx(1000.0 * 1e-3 / (101325.0 * 600.0), rel=1e-12)
    assert found.drop == 1000.0


def test_the_barometer_is_taken_off_the_gauge():
    changed = {**TIGHT, "end_ambient": 101825.0}
    found = leak_left(**changed, end_pressure=19500.0, end_temperature=293.15)
    assert found.by_leak == pytest.approx(0.0, abs=1e-9)
    assert found.by_ambient == 500.0


def test_parts_of_the_fall_add_up():
    changed = {**TIGHT, "end_ambient": 101525.0}
    found = leak_left(**changed, end_pressure=19000.0, end_temperature=292.0)
    total = found.by_temperature + found.by_ambient + found.by_leak
    assert total == pytest.approx(found.drop)


def test_the_least_time_moves_the_gauge_by_two_divisions():
    # dp/dt = p_a q/V at constant temperature.
    seconds = least_time(1e-3, 100.0, 20000.0, 101325.0, leak=1e-6 / 60)
    assert 101325.0 * (1e-6 / 60) / 1e-3 * seconds == pytest.approx(200.0)


def test_a_coarse_gauge_is_refused():
    with pytest.raises(DomainError, match="too coarse"):
        least_time(1e-3, 5000.0, 8000.0, 101325.0)


@pytest.mark.parametrize(
    "change",
    [{"seconds": 0.0}, {"volume": -1.0}, {"start_temperature": math.nan}, {"start_pressure": 0.0}],
)
def test_values_out_of_sense_are_refused(change):
    with pytest.raises(DomainError):
        leak_left(**{**TIGHT, **change}, end_pressure=1.0, end_temperature=293.0)
