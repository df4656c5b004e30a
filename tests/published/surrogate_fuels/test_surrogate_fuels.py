"""Change of the fuels' properties with temperature against invented mixtures; see source.toml."""

import csv
from pathlib import Path

import numpy as np
import pytest

from flowsim.physics.fuel.measured_points import viscosity_through
from flowsim.physics.fuel.petroleum import petroleum_density, reid_vapour_pressure

FOLDER = Path(__file__).parent


def rows(name):
    with (FOLDER / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def kelvin(celsius):
    return float(celsius) + 273.15


def line(text):
    """Read "-20:4.50 40:1.31" as pairs of kelvins and m2/s."""
    pairs = (pair.split(":") for pair in text.split())
    return tuple((kelvin(t), float(nu) * 1e-6) for t, nu in pairs)


def surrogate(name, celsius):
    """Density [kg/m3], vapour pressure [Pa], viscosity [mPa s] of an invented mixture."""
    parts = {row["component"]: row for row in rows("components.csv")}
    mixture = [row for row in rows("mixtures.csv") if row["fuel"] == name]
    t, absolute = celsius, celsius + 273.15
    mass = volume = pressure = log_viscosity = total = 0.0
    for row in mixture:
        c = {k: float(v) for k, v in parts[row["component"]].items() if k != "component"}
        x = float(row["mole_fraction"])
        rho = c["r0"] + c["r1"] * t + c["r2"] * t**2 + c["r3"] * t**3
        total += x
        mass += x * c["molar_mass"]
        volume += x * c["molar_mass"] / rho
        pressure += x * np.exp(c["antoine_a"] - c["antoine_b"] / (absolute + c["antoine_c"]))
        log_viscosity += x * (c["a"] + c["b"] / absolute + c["c"] / absolute**2)
    assert total == pytest.approx(1.0, abs=2e-4)
    return mass / volume, 1000.0 * pressure / total, float(np.exp(log_viscosity / total))


@pytest.mark.parametrize("name", ["avgas", "summer", "winter"])
@pytest.mark.parametrize("celsius", [-40, -20, 0, 15, 20, 40, 50, 60])
def test_change_with_temperature_follows_the_mixture(name, celsius):
    row = next(row for row in rows("mixtures.csv") if row["fuel"] == name)
    t = kelvin(celsius)
    rho, pressure, mu = surrogate(name, celsius)
    got = float(petroleum_density(float(row["density_15"]), t))
    assert got == pytest.approx(rho, rel=0.0025 if -20 <= celsius <= 40 else 0.0045)
    ratio = float(
        reid_vapour_pressure(1000.0 * float(row["reid_kpa"]), float(row["slope"]), t) / pressure
    )
    if celsius >= 15:
        assert 0.99 <= ratio <= 1.07
    else:
        assert 1.05 <= ratio <= 1.11 if celsius == 0 else ratio >= 1.0
    nu = float(viscosity_through(line(row["viscosity_points"]), t))
    assert nu * got * 1e3 == pytest.approx(mu, rel=0.04)
