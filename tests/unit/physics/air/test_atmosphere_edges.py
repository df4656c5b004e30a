"""The standard atmosphere and airspeeds at the ends of their ranges, and in arrays."""

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.air.atmosphere import dynamic_pressure, standard_density, standard_pressure

SEA_LEVEL = 1.225
"""[kg/m3] ISO 2533:1975, table of sea-level values."""


def test_without_an_altitude_the_true_airspeed_is_at_sea_level() -> None:
    found = dynamic_pressure(50.0, meaning="true")
    assert found == dynamic_pressure(50.0, 0.0, "true")
    assert found == pytest.approx(0.5 * SEA_LEVEL * 2500.0, rel=1e-6)


def test_the_ends_of_the_ranges_are_in_them() -> None:
    assert dynamic_pressure(100.0) == pytest.approx(6125.0, rel=1e-6)
    assert dynamic_pressure(0.0) == 0.0
    assert np.isfinite(standard_density(np.array([-1000.0, 11000.0]))).all()


@pytest.mark.parametrize("meaning", ["calibrated", "true"])
def test_one_airspeed_at_many_altitudes(meaning) -> None:
    found = dynamic_pressure(40.0, np.array([0.0, 1000.0, 3000.0]), meaning)
    assert found.shape == (3,)
    assert (np.diff(found) < 0.0).all() == (meaning == "true")


@pytest.mark.parametrize(
    ("speeds", "told"),
    [([0.5, 101.0], "101"), ([0.0, -2.0], "-2"), ([100.0, 120.0], "120"), ([3.0, np.nan], "nan")],
)
def test_the_refusal_tells_the_airspeed_that_is_wrong(speeds, told) -> None:
    with pytest.raises(DomainError, match=f"^airspeed {told} m/s"):
        dynamic_pressure(np.array(speeds))


@pytest.mark.parametrize(
    ("altitudes", "told"),
    [([-1000.0, -1001.0], "-1001"), ([11000.0, 11500.0], "11500"), ([0.0, np.nan], "nan")],
)
def test_the_refusal_tells_the_altitude_that_is_wrong(altitudes, told) -> None:
    with pytest.raises(DomainError, match=f"^altitude {told} m "):
        standard_pressure(np.array(altitudes))
