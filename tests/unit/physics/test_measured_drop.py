"""The curve through a measured table: slopes by hand, small drops, tables that bend hard."""

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.measured_drop import drop_curve, evaluate
from flowsim.system.parts import MeasuredDrop


def table(flows, drops) -> MeasuredDrop:
    return MeasuredDrop(
        name="meter", kind="own", bore=8e-3, flows=tuple(flows), drops=tuple(drops), density=720.0
    )


class TestSlopes:
    """Secants 1, 2, ... Pa s/m3 over steps of 1 m3/s keep the numbers readable."""

    def test_a_gentle_curve_has_the_slopes_of_its_parabolas(self) -> None:
        """Secants 1 2 3: half the first, the means inside, 3 + 1/2 at the end."""
        curve = drop_curve(table([1.0, 2.0, 3.0], [1.0, 3.0, 6.0]))
        np.testing.assert_allclose(curve.slopes, [0.5, 1.5, 2.5, 3.5])

    def test_unequal_steps_weigh_the_nearer_point(self) -> None:
        """Steps 1 and 3, secants 1 and 2: (1 x 2 + 3 x 1)/4 inside, 2 + 1 x 3/4 at the end."""
        curve = drop_curve(table([1.0, 4.0], [1.0, 7.0]))
        np.testing.assert_allclose(curve.slopes, [0.5, 1.25, 2.75])

    def test_a_sharp_rise_is_held_to_two_and_a_half_secants(self) -> None:
        """Secants 1 and 10: the mean 5.5 would be too steep for the first piece."""
        curve = drop_curve(table([1.0, 2.0], [1.0, 11.0]))
        np.testing.assert_allclose(curve.slopes, [0.5, 2.5, 14.5])

    def test_a_table_that_flattens_keeps_half_its_last_secant(self) -> None:
        """Secants 2, 10, 1: 1 - 9/2 would fall; the end takes half of 1 instead."""
        curve = drop_curve(table([1.0, 2.0, 3.0], [2.0, 12.0, 13.0]))
        np.testing.assert_allclose(curve.slopes, [1.0, 5.0, 2.5, 0.5])

    def test_a_flat_end_whose_secant_is_not_one(self) -> None:
        """Secants 8, 40, 4: four times as much."""
        curve = drop_curve(table([1.0, 2.0, 3.0], [8.0, 48.0, 52.0]))
        assert curve.slopes[-1] == pytest.approx(2.0)


@pytest.mark.parametrize(
    "drops", [[0.1, 0.4, 0.9], [1.0, 11.0, 11.5], [5.0, 5.01, 50.0], [1.0, 100.0, 101.0]]
)
def test_rises_strictly_through_its_points_and_beyond(drops) -> None:
    flows = np.array([1e-5, 2e-5, 3e-5])
    curve = drop_curve(table(flows, drops))
    found, slope, outside = evaluate(curve, flows)
    np.testing.assert_allclose(found, drops, rtol=1e-12)
    assert not outside.any()
    fine = np.linspace(0.0, 5e-5, 2001)
    found, slope, outside = evaluate(curve, fine)
    assert (np.diff(found) > 0.0).all()
    assert (slope > 0.0).all()
    np.testing.assert_array_equal(outside, fine > flows[-1])
    by_difference = np.gradient(found, fine)[1:-1]
    np.testing.assert_allclose(slope[1:-1], by_difference, rtol=0.02, atol=0.02 * slope.max())


def test_beyond_the_table_a_parabola_goes_on() -> None:
    """Slope 3.5 at (3, 6), curvature 6/9: 6 + 3.5 + 2/3 one further, slope 3.5 + 4/3."""
    curve = drop_curve(table([1.0, 2.0, 3.0], [1.0, 3.0, 6.0]))
    found, slope, outside = evaluate(curve, -4.0)
    assert (found, slope) == (pytest.approx(-(6 + 3.5 + 2 / 3)), pytest.approx(3.5 + 4 / 3))
    assert outside


@pytest.mark.parametrize(
    ("flows", "drops"),
    [([1.0, np.inf], [1.0, np.inf]), ([1.0, 2.0], [1.0, np.inf]), ([1.0, 2.0], [1.0, 1.0]),
     ([1.0, 1.0], [1.0, 2.0]), ([np.nan, 2.0], [1.0, 2.0])],
)  # fmt: skip
def test_a_table_that_does_not_rise_is_refused(flows, drops) -> None:
    with pytest.raises(DomainError, match='"meter": flows and drops must rise'):
        drop_curve(table(flows, drops))
