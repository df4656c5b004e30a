"""Air laws worked by hand where one of their terms stands alone."""

import math

import numpy as np
import pytest

from flowsim.physics.air.trapped import flooding_flow, vertical_drift

G = 9.80665


def test_drift_in_a_narrow_tube() -> None:
    """Viana 2003 for Eo = 4 written out: 4^3.06 = 69.551, (1 + 3805/69.551)^0.58 = 10.2951.

    So Fr = 0.0330253, worked with logarithms once more below. The liquid is made up so that Eo is
    4 in a bore of 10 mm.
    """
    bore, density = 0.01, 1000.0
    tension = density * G * bore**2 / 4.0
    froude = vertical_drift(bore, density, tension) / math.sqrt(G * bore)
    by_logarithms = 0.34 * math.exp(-0.58 * math.log1p(3805.0 * math.exp(-3.06 * math.log(4.0))))
    assert froude == pytest.approx(by_logarithms, rel=1e-9)


class TestFlooding:
    def test_a_very_light_liquid_floods_before_its_bubble_rises(self) -> None:
        """Wallis 1969 (from memory), equal volumes of liquid and gas, solved for the flow.

        Densities 19.2 and 1.2 stand 16 to 1, so sqrt(jl*) is twice sqrt(jg*): 0.8 is three of
        sqrt(jg*), jg* = (0.8/3)^2 = j sqrt(1.2/(g D 18)). Made up; no fuel is so light.
        """
        bore = 0.2
        speed = (0.8 / 3.0) ** 2 * math.sqrt(G * bore * 18.0 / 1.2)
        assert speed < vertical_drift(bore, 19.2, 1e-3)
        expected = speed * 0.25 * math.pi * bore**2
        assert flooding_flow(bore, 19.2, 1e-3) == pytest.approx(expected, rel=1e-12)

    def test_a_fuel_runs_as_fast_as_its_bubble_rises(self) -> None:
        bore = np.array([5e-3, 8e-3, 20e-3])
        expected = vertical_drift(bore, 760.0, 0.025) * 0.25 * math.pi * bore**2
        np.testing.assert_allclose(flooding_flow(bore, 760.0, 0.025), expected, rtol=1e-12)

    def test_as_it_stands_the_fuel_is_a_motor_petrol(self) -> None:
        """720 kg/m3 and 21.6 mN/m."""
        assert flooding_flow(8e-3) == flooding_flow(8e-3, 720.0, 0.0216)
