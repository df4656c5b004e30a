"""The leak check at its edges: uncertainty, what a gauge can show, refusals that name the value."""

import math

import pytest

from flowsim.errors import DomainError
from flowsim.physics.air.leak_check import leak_left, least_time, pressure_to_hold

READINGS = {
    "volume": 2e-3, "start_pressure": 18675.0, "end_pressure": 18000.0,
    "start_temperature": 300.0, "end_temperature": 299.0, "start_ambient": 101325.0,
    "end_ambient": 101325.0, "seconds": 600.0,
}  # fmt: skip


class TestUncertainty:
    """One deviation: the gauge's division and p dT/T, square to each other (120 kPa, 300 K)."""

    def test_by_hand(self) -> None:
        # 120 kPa x 0.75 K / 300 K = 300 Pa; with 400 Pa of the gauge 500 Pa (3-4-5).
        found = leak_left(**READINGS, resolution=400.0, temperature_error=0.75)
        assert found.uncertainty == pytest.approx(500.0)

    def test_as_it_stands_half_a_kelvin_and_a_perfect_gauge(self) -> None:
        assert leak_left(**READINGS).uncertainty == pytest.approx(200.0)

    def test_perfect_readings_have_none(self) -> None:
        assert leak_left(**READINGS, temperature_error=0.0).uncertainty == 0.0

    @pytest.mark.parametrize(
        "change", [{"resolution": -1.0}, {"temperature_error": -0.1}, {"resolution": math.nan},
                   {"temperature_error": math.nan}]
    )  # fmt: skip
    def test_refusals(self, change) -> None:
        with pytest.raises(DomainError, match="zero or above"):
            leak_left(**READINGS, **change)


class TestReadings:
    @pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
    @pytest.mark.parametrize(
        "name",
        ["volume", "start pressure", "start temperature", "end temperature", "start ambient",
         "end ambient", "seconds"],
    )  # fmt: skip
    def test_refusals_name_the_reading(self, name, bad) -> None:
        with pytest.raises(DomainError, match=f"^{name} must be"):
            leak_left(**{**READINGS, name.replace(" ", "_"): bad})

    @pytest.mark.parametrize("end", [-101325.0, -2e5, math.inf, -math.inf, math.nan])
    def test_the_end_is_above_a_vacuum(self, end) -> None:
        with pytest.raises(DomainError, match="end_pressure"):
            leak_left(**{**READINGS, "end_pressure": end})

    def test_a_gauge_below_ambient_at_the_end_is_a_reading(self) -> None:
        """All of the air's 18 675 Pa lost and 325 Pa more, at one temperature (Boyle)."""
        changed = {**READINGS, "end_pressure": -325.0, "end_temperature": 300.0}
        found = leak_left(**changed)
        assert found.by_leak == pytest.approx(19000.0)
        assert found.leak == pytest.approx(19000.0 * 2e-3 / 101325.0 / 600.0)

    def test_warming_hides_a_leak(self) -> None:
        """120 kPa x 3/300 K is 1200 Pa of rise: a gauge that stands still has lost as much."""
        changed = {**READINGS, "end_pressure": 18675.0, "end_temperature": 303.0}
        found = leak_left(**changed)
        assert found.drop == 0.0
        assert found.by_temperature == pytest.approx(-1200.0)
        assert found.by_leak == pytest.approx(1200.0)


class TestBefore:
    @pytest.mark.parametrize(
        ("density", "head", "name"),
        [(0.0, 1.0, "density"), (-720.0, 1.0, "density"), (720.0, 0.0, "head"),
         (720.0, -1.0, "head"), (math.nan, 1.0, "density"), (720.0, math.inf, "head")],
    )  # fmt: skip
    def test_the_pressure_needs_density_and_head(self, density, head, name) -> None:
        with pytest.raises(DomainError, match=f"^{name} must be"):
            pressure_to_hold(density, head)

    @pytest.mark.parametrize("bad", [0.0, -1.0, math.nan])
    @pytest.mark.parametrize(
        ("place", "name"),
        list(enumerate(["volume", "resolution", "pressure", "ambient", "leak"])),
    )
    def test_the_time_needs_all_its_values(self, place, name, bad) -> None:
        values = [1e-3, 100.0, 2e4, 101325.0, 1e-8]
        values[place] = bad
        with pytest.raises(DomainError, match=f"^{name} must be"):
            least_time(*values)

    def test_a_gauge_of_two_divisions_in_the_pressure_will_just_do(self) -> None:
        """2 x 1000 Pa x 1 L over 100 kPa x 1 mL/s: 20 s."""
        assert least_time(1e-3, 1000.0, 2000.0, 1e5, leak=1e-6) == pytest.approx(20.0)
        with pytest.raises(DomainError, match="smaller range"):
            least_time(1e-3, 1000.0, 1999.0, 1e5, leak=1e-6)

    def test_as_it_stands_the_leak_is_a_millilitre_a_minute(self) -> None:
        assert least_time(1e-3, 1000.0, 2000.0, 1e5) == pytest.approx(1200.0)
