"""The closed form for a triangle under a level surface, checked by other means."""

import itertools

import mpmath
import numpy as np
import pytest

from flowsim.physics.tank.simplex import level_triangles, submerged


def one_triangle(corners: tuple[float, float, float], surface: float) -> tuple[float, float]:
    columns = [np.array([[corner]]) for corner in corners]
    mean_depth, share = submerged(level_triangles(*columns), np.array([surface]))
    return float(mean_depth[0, 0]), float(share[0, 0])


def by_divided_difference(
    corners: tuple[float, float, float], surface: float
) -> tuple[float, float]:
    """Sum of truncated powers in 60 digits, for three different elevations."""
    with mpmath.workdps(60):
        knots = [mpmath.mpf(corner) for corner in corners]
        totals = []
        for power, factor in ((3, mpmath.mpf(1) / 3), (2, mpmath.mpf(1))):
            total = mpmath.mpf(0)
            for index, knot in enumerate(knots):
                depth = max(mpmath.mpf(surface) - knot, mpmath.mpf(0))
                others = [knot - other for k, other in enumerate(knots) if k != index]
                total += depth**power / mpmath.fprod(others)
            totals.append(float(factor * total))
        return totals[0], totals[1]


@pytest.mark.parametrize(
    ("corners", "surface", "mean_depth", "share", "reason"),
    [
        ((0.0, 1.0, 2.0), -0.5, 0.0, 0.0, "dry"),
        ((0.0, 1.0, 2.0), 0.0, 0.0, 0.0, "surface at the lowest corner"),
        ((0.0, 1.0, 2.0), 3.0, 2.0, 1.0, "drowned: depth of the centroid"),
        ((0.0, 1.0, 2.0), 1.0, 1.0 / 6.0, 0.5, "small triangle of half the area, a third of 1"),
        ((1.0, 1.0, 1.0), 3.0, 2.0, 1.0, "level triangle under the surface"),
        ((1.0, 1.0, 1.0), 0.0, 0.0, 0.0, "level triangle above the surface"),
        ((0.0, 0.0, 2.0), 1.0, 1.0 / 3.0 + 0.25 / 3.0, 0.75, "drowned, less the dry quarter"),
        ((0.0, 2.0, 2.0), 1.0, 1.0 / 12.0, 0.25, "upper side level: quarter, a third of 1"),
    ],
)
def test_by_hand(
    corners: tuple[float, float, float],
    surface: float,
    mean_depth: float,
    share: float,
    reason: str,
) -> None:
    for order in itertools.permutations(corners):
        assert one_triangle(order, surface) == pytest.approx((mean_depth, share), abs=1e-15), reason


@pytest.mark.parametrize("surface", [-0.3, 0.011, 0.2, 0.3000001, 0.7, 1.4])
@pytest.mark.parametrize(
    "corners",
    [(0.0, 0.3, 1.0), (0.01, 0.3, 0.3 + 1e-9), (0.0, 1e-12, 1.0), (0.2, 0.2 + 1e-13, 0.3)],
)
def test_against_truncated_powers(corners: tuple[float, float, float], surface: float) -> None:
    # Curry and Schoenberg's divided difference, evaluated by mpmath in 60 digits.
    expected = by_divided_difference(corners, surface)
    assert one_triangle(corners, surface) == pytest.approx(expected, rel=1e-13, abs=1e-18)


def test_nearly_equal_elevations_do_no_harm() -> None:
    for gap in (0.0, 1e-300, 1e-17, 1e-15, 1e-9):
        mean_depth, share = one_triangle((0.5, 0.5 + gap, 0.5 - gap), 0.75)
        assert mean_depth == pytest.approx(0.25, rel=1e-15)
        assert share == 1.0


def test_nan_stays_nan() -> None:
    assert np.isnan(one_triangle((0.0, np.nan, 1.0), 0.5)).all()
    assert np.isnan(one_triangle((0.0, 0.5, 1.0), np.nan)).all()
