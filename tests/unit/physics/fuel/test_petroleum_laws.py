"""Edges and constants of the laws of petroleum, ethanol and their blends."""

import math

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI

from flowsim.errors import DomainError
from flowsim.physics.fuel.petroleum import (
    PSI,
    blend_density,
    distillate_vapour_pressure,
    ethanol_density,
    ethanol_dynamic_viscosity,
    ethanol_share,
    ethanol_vapour_factor,
    petroleum_density,
    reid_vapour_pressure,
)
from flowsim.physics.fuel.water import (
    water_density,
    water_dynamic_viscosity,
    water_saturation_pressure,
)

ZERO = 273.15

# ASTM D1250 / API MPMS 11.1 table 54B, via five public implementations: lower and upper end
# [kg/m3], K0, K1, K2.
TABLE_54B = (
    (653.0, 770.5, 346.4228, 0.4388, 0.0),
    (770.5, 787.5, 2680.3206, 0.0, -0.00336312),
    (787.5, 838.5, 594.5418, 0.0, 0.0),
    (838.5, 1075.0, 186.9696, 0.4862, 0.0),
)


def by_table_54b(density_15, celsius):
    [(_, _, k0, k1, k2)] = [
        row for row in TABLE_54B if row[0] <= density_15 < row[1] or density_15 == row[1] == 1075.0
    ]
    alpha = k0 / density_15**2 + k1 / density_15 + k2
    x = alpha * (celsius - 15.0)
    return density_15 * math.exp(-x * (1.0 + 0.8 * x))


class TestDensity:
    @pytest.mark.parametrize("end", [row[0] for row in TABLE_54B] + [1075.0])
    @pytest.mark.parametrize("step", [-0.01, 0.0, 0.01])
    def test_each_band_has_its_constants_up_to_its_ends(self, end, step) -> None:
        if not 653.0 <= end + step <= 1075.0:
            with pytest.raises(DomainError, match="653 to 1075"):
                petroleum_density(end + step, ZERO)
            return
        for celsius in (-40.0, 0.0, 60.0):
            got = float(petroleum_density(end + step, ZERO + celsius))
            assert got == pytest.approx(by_table_54b(end + step, celsius), rel=1e-12)

    @pytest.mark.parametrize(
        ("density_15", "celsius", "measured", "off"),
        [
            (714.0, 0.0, 727.0, 0.002),
            (721.0, -40.0, 769.0, 0.003),
            (804.0, 0.0, 816.0, 0.002),
            (816.0, 0.0, 827.0, 0.001),
            (818.7, 0.0, 829.5, 0.0005),
            (834.3, 0.0, 844.8, 0.0005),
            (859.5, 0.0, 869.9, 0.0005),
        ],
    )
    def test_measured_fuels(self, density_15, celsius, measured, off) -> None:
        """NOAA ADIOS oil data repository, 27 Nov 2023; the one at -40: CAN 2-3 (both read)."""
        got = float(petroleum_density(density_15, ZERO + celsius))
        assert got == pytest.approx(measured, rel=off)

    def test_whole_numbers_are_taken_as_numbers(self) -> None:
        assert petroleum_density(715, 300).dtype == np.float64
        assert float(petroleum_density(715, 300)) == float(petroleum_density(715.0, 300.0))


class TestVapourPressure:
    def test_published_table(self) -> None:
        """US EPA AP-42 table 7.1-2 for gasoline of RVP 13, 10, 7 psi, as public codes carry it.

        Two digits; the worst of them is 2.5 % off the law, at RVP 7 and 50 degF.
        """
        table = {
            13: (4.7, 5.7, 6.9, 8.3, 9.9, 11.7, 13.8),
            10: (3.4, 4.2, 5.2, 6.2, 7.4, 8.8, 10.5),
            7: (2.3, 2.9, 3.5, 4.3, 5.2, 6.2, 7.4),
        }
        fahrenheit = np.arange(40.0, 101.0, 10.0)
        for reid, row in table.items():
            got = reid_vapour_pressure(reid * PSI, 3.0, ZERO + (fahrenheit - 32.0) / 1.8) / PSI
            np.testing.assert_allclose(got, row, rtol=0.026)

    @pytest.mark.parametrize(
        ("reid", "slope", "pressures"),
        [
            (38.0, 2.0, (1.18, 3.58, 9.25, 17.30, 21.01, 30.40, 42.97, 59.45, 80.66)),
            (49.0, 2.0, (1.71, 5.02, 12.57, 23.01, 27.77, 39.68, 55.42, 75.83, 101.8)),
            (62.0, 3.0, (2.77, 7.54, 17.71, 31.10, 37.04, 51.65, 70.50, 94.40, 124.2)),
            (103.0, 3.0, (5.79, 14.69, 32.50, 54.84, 64.52, 87.87, 117.4, 153.9, 198.6)),
        ],
    )
    def test_worked_table(self, reid, slope, pressures) -> None:
        """In kPa, computed apart from this code."""
        celsius = np.array([-40.0, -20.0, 0.0, 15.0, 20.0, 30.0, 40.0, 50.0, 60.0])
        got = reid_vapour_pressure(1e3 * reid, slope, ZERO + celsius) / 1e3
        np.testing.assert_allclose(got, pressures, rtol=0.005)

    def test_ends_of_the_ranges(self) -> None:
        for reid in (7.0e3, 140.0e3):
            assert float(reid_vapour_pressure(reid, 3.0, 300.0)) > 0.0
        assert float(reid_vapour_pressure(60e3, 10.0, 300.0)) > 0.0
        for reid in (6.9995e3, 140.0005e3, math.nan):
            with pytest.raises(DomainError, match="outside 7 to 140 kPa"):
                reid_vapour_pressure(reid, 3.0, 300.0)
        for slope in (0.0, -1.0, 10.5, math.nan):
            with pytest.raises(DomainError, match="outside 0 to 10"):
                reid_vapour_pressure(60e3, slope, 300.0)
        with pytest.raises(DomainError, match="of 200 kPa"):
            reid_vapour_pressure(200e3, 3.0, 300.0)

    def test_distillates_have_the_published_constants(self) -> None:
        """AP-42 ch. 7.1 via public codes: ln psia = A - B/degR."""
        rankine = np.array([460.0, 520.0, 580.0])
        kelvin = ZERO + (rankine - 459.6 - 32.0) / 1.8
        for stock, a, b in (("kerosene", 12.390, 8933.0), ("distillate", 12.101, 8907.0)):
            got = np.log(distillate_vapour_pressure(stock, kelvin) / PSI)
            np.testing.assert_allclose(got, a - b / rankine, rtol=1e-12)

    def test_pound_per_square_inch(self) -> None:
        assert pytest.approx(0.45359237 * 9.80665 / 0.0254**2, rel=1e-14) == PSI


class TestEthanol:
    def test_density_against_a_reference_equation_of_state(self) -> None:
        """CoolProp at 1 atm; the fit claims 0.011 %."""
        kelvin = ZERO + np.arange(-40.0, 60.1, 10.0)
        reference = [PropsSI("D", "T", t, "P", 101325, "Ethanol") for t in kelvin]
        np.testing.assert_allclose(ethanol_density(kelvin), reference, rtol=1.2e-4)

    def test_viscosity_has_the_coefficients_of_the_fit(self) -> None:
        """ln mu [mPa s] = a + b/T + c/T^2, as in docs/theory/fuel.md."""
        kelvin = np.array([240.0, 290.0, 330.0])
        powers = np.stack([np.ones(3), 1.0 / kelvin, 1.0 / kelvin**2], axis=1)
        a, b, c = np.linalg.solve(powers, np.log(1e3 * ethanol_dynamic_viscosity(kelvin)))
        assert (a, b, c) == pytest.approx((-6.71681, 2334.66, -91948.0), rel=1e-8)

    def test_viscosity_against_a_reference_correlation(self) -> None:
        kelvin = ZERO + np.arange(-40.0, 60.1, 10.0)
        reference = [PropsSI("V", "T", t, "P", 101325, "Ethanol") for t in kelvin]
        np.testing.assert_allclose(ethanol_dynamic_viscosity(kelvin), reference, rtol=0.008)

    def test_share(self) -> None:
        assert (ethanol_share(0), ethanol_share(1)) == (0.0, 1.0)
        for share in (-1e-9, 1.0 + 1e-9, math.nan):
            with pytest.raises(DomainError, match="outside 0 to 1"):
                ethanol_share(share)

    def test_factor_by_hand(self) -> None:
        kelvin = ZERO + np.array([20.0, 45.0, 55.0])
        poor = ethanol_vapour_factor(0.20, kelvin)
        np.testing.assert_allclose(poor, [1.0, 1.0, 1.038], rtol=1e-12)
        # 1.04 + 0.0067 (t - 45): below one at 20 degC, where it stops.
        rich = ethanol_vapour_factor(0.201, kelvin)
        np.testing.assert_allclose(rich, [1.0, 1.04, 1.107], rtol=1e-12)
        none = ethanol_vapour_factor(0.0, kelvin)
        assert none.shape == (3,)
        assert none.dtype == np.float64
        assert (none == 1.0).all()


class TestBlend:
    def mixed(self, share, gasoline, celsius):
        """Density of ideally mixed volumes [kg/m3], and that at 15 degC."""
        ethanol_15 = float(ethanol_density(ZERO + 15.0))
        mass = share * ethanol_15 + (1.0 - share) * gasoline
        volume = share * ethanol_15 / float(ethanol_density(ZERO + celsius))
        volume += (1.0 - share) * gasoline / by_table_54b(gasoline, celsius)
        return mass / volume, mass

    @pytest.mark.parametrize("share", [0.0, 0.3, 0.85, 0.9])
    @pytest.mark.parametrize("gasoline", [660.0, 700.0, 830.0])
    def test_the_gasoline_in_it_is_inferred(self, share, gasoline) -> None:
        for celsius in (-40.0, 50.0):
            expected, density_15 = self.mixed(share, gasoline, celsius)
            got = float(blend_density(density_15, share, ZERO + celsius))
            assert got == pytest.approx(expected, rel=1e-12)

    def test_above_ninety_per_cent_the_rest_is_a_usual_gasoline(self) -> None:
        expected, density_15 = self.mixed(0.95, 745.0, 50.0)
        got = float(blend_density(density_15, 0.95, ZERO + 50.0))
        assert got == pytest.approx(expected, rel=1e-12)
        pure = float(ethanol_density(ZERO + 15.0))
        np.testing.assert_allclose(
            blend_density(pure, 1.0, ZERO + 40.0), ethanol_density(ZERO + 40.0), rtol=1e-12
        )

    def test_ends_of_the_gasoline(self) -> None:
        for density_15 in (653.0, 838.5):
            got = float(blend_density(density_15, 0.0, ZERO + 30.0))
            assert got == pytest.approx(by_table_54b(density_15, 30.0), rel=1e-12)
        for density_15 in (652.9, 838.6):
            with pytest.raises(DomainError, match=f"gasoline of {density_15:.0f} kg/m3"):
                blend_density(density_15, 0.0, ZERO + 30.0)
        with pytest.raises(DomainError, match=r"700 kg/m3 at 15 degC with 85 % ethanol"):
            blend_density(700.0, 0.85, ZERO + 30.0)

    @pytest.mark.parametrize(("share", "mixture"), [(0.95, 791.0), (1.0, 793.6)])
    def test_a_density_that_so_much_ethanol_cannot_have(self, share, mixture) -> None:
        """Ideal mixing with any gasoline, and 2.5 % for water in it; a slip of the hydrometer."""
        for density_15 in (0.974 * mixture, 1.026 * mixture, 650.0, 840.5):
            with pytest.raises(DomainError, match=f"about {mixture:.0f} kg/m3"):
                blend_density(density_15, share, ZERO + 30.0)
        for density_15 in (0.976 * mixture, 1.024 * mixture):
            assert float(blend_density(density_15, share, ZERO + 15.0)) == pytest.approx(density_15)


def test_water_by_the_releases_own_values() -> None:
    """IAPWS check values at 0.1 MPa, 5, 15, 20, 40 degC."""
    kelvin = ZERO + np.array([5.0, 15.0, 20.0, 40.0])
    np.testing.assert_allclose(water_density(kelvin), [999.97, 999.10, 998.21, 992.22], rtol=1e-5)
    np.testing.assert_allclose(
        1e3 * water_dynamic_viscosity(kelvin), [1.5182, 1.1376, 1.0016, 0.6527], rtol=3e-4
    )
    assert float(water_saturation_pressure(ZERO + 20.0)) == pytest.approx(2339.0, rel=3e-4)
    # Whole numbers are taken as numbers.
    for law in (water_density, water_dynamic_viscosity, water_saturation_pressure):
        assert law(300).dtype == np.float64
        assert float(law(300)) == float(law(300.0))
