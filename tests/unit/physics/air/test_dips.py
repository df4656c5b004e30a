"""How near the surface may come to an outlet or a tee, by worked values."""

import math

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.air.dips import air_margin_least, critical_dip


def test_critical_dip() -> None:
    # Lubin and Springer 1967, constant from memory: 20, 40, 60, 100 L/h.
    flow = np.array([20.0, 40.0, 60.0, 100.0]) / 3.6e6
    np.testing.assert_allclose(1e3 * critical_dip(flow), [3.5, 4.6, 5.4, 6.6], atol=0.06)
    assert critical_dip(np.array([0.0, -1e-5])).tolist() == [0.0, 0.0]
    assert np.isnan(critical_dip(math.nan))


def test_air_margin_is_the_greatest_of_three() -> None:
    area = 0.25 * math.pi * 4e-3**2
    assert air_margin_least(4e-3, 1e-7) == 0.005
    assert air_margin_least(8e-3, 1e-7) == 0.008
    assert air_margin_least(4e-3, area) == pytest.approx(1.0 / (2 * 9.80665))
    assert np.isnan(air_margin_least(4e-3, math.nan))


def test_air_margin_is_the_velocity_head_of_a_fast_flow() -> None:
    """4 m/s in a bore of 10 mm: V^2/2g = 16/19.6133 = 0.8158 m, far above a bore."""
    flow = 4.0 * 0.25 * math.pi * 0.01**2
    assert air_margin_least(0.01, flow) == pytest.approx(0.815773, rel=1e-5)


def test_in_a_turn_the_dip_is_shallower_and_worth_more_head() -> None:
    """Depth goes with g^-0.2; heads here are depths times g_eff/g0: they grow with g^0.8."""
    flow, bank = 1.5e-5, math.radians(30.0)
    pull = 1.0 / math.cos(bank)
    depth = 0.69 * (flow**2 / (pull * STANDARD_GRAVITY)) ** 0.2
    assert critical_dip(flow, pull) == pytest.approx(pull * depth, rel=1e-12)
    assert critical_dip(flow, pull) / critical_dip(flow) == pytest.approx(1.122, abs=5e-4)
