"""Standard atmosphere and dynamic pressure."""

import numpy as np
import pytest
from fluids.atmosphere import ATMOSPHERE_1976
from hypothesis import given
from hypothesis import strategies as st

from flowsim.errors import DomainError
from flowsim.physics.air.atmosphere import (
    dynamic_pressure,
    standard_density,
    standard_pressure,
    standard_temperature,
)

# ISO 2533:1975, Standard atmosphere, table 5 by geopotential altitude: H [m], T [K], p [hPa],
# rho [kg/m3]; via a public transcription of the tables. Six digits printed.
ISO_2533 = [
    (-1000, 294.65, 1139.29, 1.34700),
    (-500, 291.40, 1074.78, 1.28489),
    (0, 288.15, 1013.25, 1.22500),
    (200, 286.85, 989.453, 1.20165),
    (3050, 268.325, 696.639, 0.904450),
    (4000, 262.15, 616.402, 0.819129),
    (5000, 255.65, 540.199, 0.736116),
    (10000, 223.15, 264.362, 0.412706),
    (11000, 216.65, 226.320, 0.363918),
]


@pytest.mark.parametrize(("altitude", "temperature", "pressure", "density"), ISO_2533)
def test_iso_2533(altitude, temperature, pressure, density):
    assert float(standard_temperature(altitude)) == pytest.approx(temperature, abs=1e-9)
    assert float(standard_pressure(altitude)) == pytest.approx(100.0 * pressure, rel=5e-6)
    assert float(standard_density(altitude)) == pytest.approx(density, rel=5e-6)


@pytest.mark.parametrize("altitude", [0.0, 1000.0, 3048.0, 6000.0, 10900.0])
def test_agrees_with_us_standard_atmosphere_1976(altitude):
    # fluids 1.3 takes geometric altitude; earth radius 6356766 m turns geopotential into it. Its
    # gas constant differs in the seventh digit.
    geometric = 6356766.0 * altitude / (6356766.0 - altitude)
    reference = ATMOSPHERE_1976(geometric)
    assert float(standard_pressure(altitude)) == pytest.approx(reference.P, rel=2e-5)
    assert float(standard_temperature(altitude)) == pytest.approx(reference.T, rel=1e-6)
    assert float(standard_density(altitude)) == pytest.approx(reference.rho, rel=2e-5)


def test_shapes():
    altitudes = np.array([[0.0, 1000.0], [2000.0, 3000.0]])
    assert standard_pressure(altitudes).shape == (2, 2)
    zero_d = standard_pressure(0.0)
    assert isinstance(zero_d, np.ndarray)
    assert zero_d.shape == ()
    assert zero_d.dtype == np.float64
    speeds = np.array([10.0, 20.0, 30.0])
    assert dynamic_pressure(speeds, 500.0).shape == (3,)


@pytest.mark.parametrize("altitude", [-1000.1, 11000.1, float("nan"), float("inf")])
@pytest.mark.parametrize("law", [standard_temperature, standard_pressure, standard_density])
def test_refuses_altitude_outside(law, altitude):
    with pytest.raises(DomainError, match=r"altitude .* outside"):
        law(altitude)


@given(st.floats(-1000, 10990))
def test_pressure_falls_with_altitude(altitude):
    assert standard_pressure(altitude) > standard_pressure(altitude + 10.0)
    assert standard_density(altitude) > standard_density(altitude + 10.0)


# Ram heads of avgas at 6.0 lb/US gal, sea level, full recovery: arithmetic of 0.5 rho V^2 by hand
# (own working): 50 kt 2.3 in, 65 kt 3.8, 80 kt 5.8, 100 kt 9.1.
@pytest.mark.parametrize(("knots", "inches"), [(50, 2.3), (65, 3.8), (80, 5.8), (100, 9.1)])
def test_ram_head(knots, inches):
    head = dynamic_pressure(knots * 1852.0 / 3600.0) / (718.96 * 9.80665)
    assert float(head) / 0.0254 == pytest.approx(inches, abs=0.06)


def test_meaning_of_airspeed():
    assert dynamic_pressure(40.0, 3000.0) == dynamic_pressure(40.0, 0.0)
    true = dynamic_pressure(40.0, 3000.0, "true")
    assert float(true) == pytest.approx(0.5 * 0.909122 * 1600.0, rel=1e-5)


def test_refuses_impossible_airspeed():
    for speed in (-1.0, 100.1, float("nan")):
        with pytest.raises(DomainError, match="airspeed"):
            dynamic_pressure(speed)
    with pytest.raises(DomainError, match="meaning"):
        dynamic_pressure(30.0, 0.0, "indicated")  # type: ignore[arg-type]
    with pytest.raises(DomainError, match="altitude"):
        dynamic_pressure(30.0, 12000.0)
