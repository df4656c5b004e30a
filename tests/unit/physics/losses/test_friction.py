"""Friction laws against reference libraries, at their joints and at their limits."""

import fluids.friction
import mpmath
import numpy as np
import pytest

from flowsim.physics.losses.friction import (
    LAMINAR_END,
    LEAST_SHARE,
    TURBULENT_START,
    cautious,
    darcy_factor,
    expected,
    friction_flags,
    law_of,
    least_reynolds,
)

ROUGHNESS = [0.0, 1e-6, 1.9e-4, 4e-3, 0.05]


@pytest.mark.parametrize("rough", ROUGHNESS)
def test_turbulent_is_colebrook_of_the_reference_library(rough: float) -> None:
    # Clamond's solution in fluids 1.3.1 (an independent implementation).
    for Re in np.geomspace(TURBULENT_START, 1e8, 60):
        reference = fluids.friction.Clamond(float(Re), rough, False)
        assert darcy_factor(Re, rough) == pytest.approx(reference, rel=1e-10)


@pytest.mark.parametrize("rough", ROUGHNESS)
def test_turbulent_satisfies_colebrooks_equation_in_forty_digits(rough: float) -> None:
    # Colebrook 1939, solved by mpmath: 1/sqrt(f) = -2 log10(eD/3.7 + 2.51/(Re sqrt(f))).
    with mpmath.workdps(40):
        for Re in (2300.0, 5000.0, 1e5, 1e7):
            x = mpmath.findroot(
                lambda x, Re=Re: x + 2 * mpmath.log10(mpmath.mpf(rough) / 3.7 + 2.51 * x / Re), 7
            )
            assert float(darcy_factor(Re, rough)) == pytest.approx(float(1 / x**2), rel=2e-13)


def test_laminar_is_sixty_four_and_finite_at_rest() -> None:
    product, slope = cautious(np.array([0.0, 1e-300, 1.0, 500.0, LAMINAR_END]), np.array(1e-4))
    assert product.tolist() == [64.0] * 5
    assert slope.tolist() == [0.0] * 5


def test_expected_is_churchill_of_the_reference_library() -> None:
    # Churchill 1977 as coded in fluids 1.3.1.
    for Re in np.geomspace(1e-3, 1e8, 300):
        reference = fluids.friction.Churchill_1977(float(Re), 2e-4)
        assert darcy_factor(Re, 2e-4, "expected") == pytest.approx(reference, rel=1e-12)
    assert expected(np.array(0.0), np.array(0.0)) == (64.0, 0.0)


@pytest.mark.parametrize("law", [cautious, expected])
@pytest.mark.parametrize("rough", ROUGHNESS)
def test_slope_is_the_derivative(law, rough: float) -> None:
    Re = np.geomspace(10.0, 1e7, 4001)
    Re = Re[(np.abs(Re / LAMINAR_END - 1) > 1e-4) & (np.abs(Re / TURBULENT_START - 1) > 1e-4)]
    up, _ = law(Re * (1 + 1e-5), np.array(rough))
    down, _ = law(Re * (1 - 1e-5), np.array(rough))
    _, slope = law(Re, np.array(rough))
    np.testing.assert_allclose((up - down) / (2e-5 * Re), slope, rtol=2e-6, atol=1e-8)


@pytest.mark.parametrize("joint", [LAMINAR_END, TURBULENT_START])
def test_value_and_slope_are_continuous_at_the_joints(joint: float) -> None:
    product, slope = cautious(joint * np.array([1 - 1e-9, 1 + 1e-9]), np.array(1.9e-4))
    assert product[0] == pytest.approx(product[1], rel=1e-8)
    assert slope[0] == pytest.approx(slope[1], abs=1e-6)


def test_cautious_is_never_below_either_neighbour() -> None:
    Re = np.geomspace(100.0, 1e6, 2001)
    f = darcy_factor(Re, 1.9e-4)
    assert np.all(f >= 64.0 / Re * (1 - 1e-15))
    above = Re >= TURBULENT_START
    colebrook = [fluids.friction.Clamond(float(r), 1.9e-4, False) for r in Re[above]]
    assert np.all(f[above] >= np.array(colebrook) * (1 - 1e-12))


def test_cautious_is_at_most_three_percent_below_expected() -> None:
    # Worst 1.8 % near Re 3700, where Churchill overshoots Colebrook a little.
    Re = np.geomspace(1900.0, 1e5, 400)
    assert np.all(darcy_factor(Re, 1.9e-4) > 0.97 * darcy_factor(Re, 1.9e-4, "expected"))


@pytest.mark.parametrize(
    ("Re", "rough"),
    [
        (-1.0, 0.0),
        (np.nan, 0.0),
        (np.inf, 0.0),
        (1e4, -1e-9),
        (1e4, np.nan),
        (1e4, 1.0),
        (9.0, 2.0),
    ],
)
@pytest.mark.parametrize("law", [cautious, expected])
def test_a_bad_question_gives_nan(law, Re: float, rough: float) -> None:
    product, slope = law(np.array([Re, 1000.0]), np.array([rough, 1e-4]))
    assert np.isnan([product[0], slope[0]]).all()
    assert product[1] == pytest.approx(64.0)


def test_shapes_broadcast_and_blocks_join() -> None:
    rng = np.random.default_rng(1)
    Re, rough = 10 ** rng.uniform(2, 5, (3000, 7)), np.geomspace(1e-6, 1e-2, 7)
    product, slope = cautious(Re, rough)
    assert product.shape == slope.shape == (3000, 7)
    alone, _ = cautious(Re[2999, 3], rough[3])
    assert product[2999, 3] == alone
    assert cautious(np.empty((0, 4)), np.zeros(4))[0].shape == (0, 4)


def test_inputs_stay_as_they_were() -> None:
    Re, rough = np.array([100.0, 2000.0, 9000.0]), np.array([0.0, 1e-3, 1e-2])
    cautious(Re, rough)
    expected(Re, rough)
    assert Re.tolist() == [100.0, 2000.0, 9000.0]
    assert rough.tolist() == [0.0, 1e-3, 1e-2]


def test_flags() -> None:
    Re = np.array([0.0, 1e8, 1.1e8, 1e4, 1e4, np.nan, -1.0, 1e4])
    rough = np.array([0.05, 0.0, 0.0, 0.051, -1e-9, 0.0, 0.0, np.nan])
    assert friction_flags(Re, rough).tolist() == [False, False] + [True] * 6


def test_unknown_law_is_refused() -> None:
    assert law_of("cautious") is cautious
    with pytest.raises(KeyError):
        law_of("best")  # type: ignore[arg-type]


@pytest.mark.parametrize("factor", [0.008, 0.02, 0.03, 0.0448, 0.045, 0.05, 0.1])
def test_a_stated_factor_is_a_pipes_from_its_least_reynolds_number_on(factor):
    least = least_reynolds(factor)
    above = np.geomspace(least * 1.0001, 1e8, 2000)
    assert (LEAST_SHARE * darcy_factor(above, np.zeros_like(above)) <= factor).all()
    assert LEAST_SHARE * darcy_factor(least * 0.999, 0.0) > factor


def test_no_pipe_has_less_friction_than_the_end_of_the_chart():
    assert least_reynolds(0.005) == np.inf
