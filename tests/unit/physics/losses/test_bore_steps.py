"""Steps of bore: published coefficients, the limit of a very large step, a law that rises.

Expansion: ``(A2/A1 - 1)^2`` on the larger bore's velocity, table of "Hydraulics", Encyclopaedia
Britannica, 11th edition, vol. 14 (read on a public page). Both ways: the fluids library, MIT.
Laminar expansion: momentum balance of two parabolas, worked here from their fluxes.
"""

import math

import fluids
import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.losses.bore_steps import (
    StepCoefficients,
    step_coefficient,
    step_coefficients,
    turbulent_from,
)
from flowsim.physics.losses.laws import exit_coefficient

SMALL = 0.006
RATIOS = [1.01, 1.05, 1.2, 1.5, 2.0, 3.0, 10.0]


@pytest.mark.parametrize(
    ("areas", "published"),
    [(1.1, 0.01), (1.2, 0.04), (1.5, 0.25), (1.7, 0.49), (1.8, 0.64), (1.9, 0.81), (2.0, 1.00),
     (2.5, 2.25), (3.0, 4.00), (3.5, 6.25), (4.0, 9.00), (5.0, 16.0), (6.0, 25.0), (8.0, 49.0)],
)  # fmt: skip
def test_turbulent_expansion_by_the_printed_table(areas, published):
    k = step_coefficients(SMALL, SMALL * math.sqrt(areas)).turbulent
    on_the_larger_bore = k * areas**2
    assert on_the_larger_bore == pytest.approx(published, abs=0.005)


@pytest.mark.parametrize("wider", RATIOS)
def test_turbulent_both_ways_by_the_fluids_library(wider):
    large = wider * SMALL
    widening = fluids.fittings.diffuser_sharp(Di1=SMALL, Di2=large, method="Rennels")
    narrowing = fluids.fittings.contraction_sharp(Di1=large, Di2=SMALL, method="Rennels")
    assert step_coefficients(SMALL, large).turbulent == pytest.approx(widening, rel=1e-9)
    assert step_coefficients(large, SMALL).turbulent == pytest.approx(narrowing, rel=1e-9)


@pytest.mark.parametrize("wider", RATIOS)
def test_laminar_expansion_by_the_fluxes_of_two_parabolas(wider):
    """Bernoulli's sum less what a momentum balance leaves, with profiles u = 2 (1 - r^2)."""
    r = np.linspace(0.0, 1.0, 20001)
    u = 2.0 * (1.0 - r**2)
    momentum = np.trapezoid(u**2 * 2 * r, r)
    energy = np.trapezoid(u**3 * 2 * r, r)
    a = wider**-2
    pressure_rise = 2.0 * momentum * (a - a**2)  # over rho V1^2/2
    k = energy * (1.0 - a**2) - pressure_rise
    assert step_coefficients(SMALL, wider * SMALL).laminar == pytest.approx(k, abs=1e-6)


def test_a_step_into_an_endless_bore_is_an_exit():
    for endless in (math.inf, 1e9 * SMALL):
        found = step_coefficients(SMALL, endless)
        assert found.turbulent == pytest.approx(1.0, rel=1e-15)
        assert found.laminar == pytest.approx(2.0, rel=1e-15)
    reynolds = np.geomspace(1.0, 1e6, 500)
    wide = step_coefficients(SMALL, 1e9 * SMALL)
    for step, leaving in zip(
        step_coefficient(reynolds, wide.turbulent, wide.laminar),
        exit_coefficient(reynolds),
        strict=True,
    ):
        assert step == pytest.approx(leaving, rel=1e-12)


def test_equal_bores_lose_nothing():
    assert step_coefficients(SMALL, SMALL) == StepCoefficients(0.0, 0.0)


@pytest.mark.parametrize("wider", RATIOS)
@pytest.mark.parametrize("widens", [True, False])
def test_the_loss_rises_with_flow_and_is_smooth(wider, widens):
    bores = (SMALL, wider * SMALL) if widens else (wider * SMALL, SMALL)
    found = step_coefficients(*bores)
    reynolds = np.geomspace(1.0, 1e6, 20001)
    k, slope = step_coefficient(reynolds, found.turbulent, found.laminar)
    exponent = 2.0 + reynolds * slope / k
    assert (exponent > 0.19).all()
    assert (slope <= 0.0).all()
    above, _ = step_coefficient(reynolds * (1 + 1e-7), found.turbulent, found.laminar)
    below, _ = step_coefficient(reynolds * (1 - 1e-7), found.turbulent, found.laminar)
    assert (above - below) / (2e-7 * reynolds) == pytest.approx(slope, rel=1e-3, abs=1e-9)
    assert (np.diff(k * reynolds**2) > 0.0).all()


@pytest.mark.parametrize("wider", RATIOS)
def test_laminar_up_to_1900_and_turbulent_from_its_own_end(wider):
    found = step_coefficients(SMALL, wider * SMALL)
    end = turbulent_from(found)
    assert end == max(4000.0, 1900.0 * (found.laminar / found.turbulent) ** (5 / 6))
    k, _ = step_coefficient(np.array([10.0, 1900.0, end, 10 * end]), found.turbulent, found.laminar)
    expected = [found.laminar, found.laminar, found.turbulent, found.turbulent]
    assert k == pytest.approx(expected, rel=1e-12)


def test_a_narrower_step_never_loses_less():
    """At one flow, the smaller bore narrowed between two larger ones: in and out together."""
    flow, viscosity, large = 1e-5, 7e-7, 0.009
    heads = []
    for small in np.linspace(0.0089, 0.001, 80):
        velocity = 4 * flow / (math.pi * small**2)
        for bores in ((large, small), (small, large)):
            found = step_coefficients(*bores)
            k, _ = step_coefficient(velocity * small / viscosity, found.turbulent, found.laminar)
            heads.append(float(k) * velocity**2)
    into, out = np.array(heads[::2]), np.array(heads[1::2])
    assert (np.diff(into) > 0.0).all()
    assert (np.diff(out) > 0.0).all()


@pytest.mark.parametrize("bores", [(0.0, 0.006), (-1.0, 0.006), (0.006, 0.0), (math.nan, 0.006),
                                   (0.006, math.nan), (math.inf, 0.006)])  # fmt: skip
def test_impossible_bores_are_refused(bores):
    with pytest.raises(DomainError, match="bore"):
        step_coefficients(*bores)


def test_impossible_reynolds_numbers_give_no_number():
    k, slope = step_coefficient(np.array([-1.0, np.nan, np.inf]), 0.25, 0.8)
    assert np.isnan(k).all()
    assert np.isnan(slope).all()
