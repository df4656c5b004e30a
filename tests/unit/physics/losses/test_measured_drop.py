"""The curve through a measured table: slopes by hand, small drops, tables that bend hard."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.losses.laws import head_loss
from flowsim.physics.losses.measured_drop import below_first, drop_curve, evaluate, with_liquid
from flowsim.system.parts import MeasuredDrop


def table(flows, drops) -> MeasuredDrop:
    return MeasuredDrop(
        name="meter", kind="own", bore=8e-3, flows=tuple(flows), drops=tuple(drops), density=720.0
    )


class TestSlopes:
    """Secants 1, 2, ... Pa s/m3 over steps of 1 m3/s keep the numbers readable.

    At the readings from the second on; about the first the curve turns from its straight line.
    """

    @staticmethod
    def slopes(flows, drops) -> list[float]:
        curve = drop_curve(table(flows, drops))
        return [float(curve.slopes[curve.flows.tolist().index(flow)]) for flow in flows]

    def test_a_gentle_curve_has_the_slopes_of_its_parabolas(self) -> None:
        """Secants 1 2 3: 1 below the first, the mean inside, 3 + 1/2 at the end."""
        assert self.slopes([1.0, 2.0, 3.0], [1.0, 3.0, 6.0]) == pytest.approx([1.0, 2.5, 3.5])

    def test_unequal_steps_weigh_the_nearer_point(self) -> None:
        """Steps 1, 3, 1, secants 1, 2, 4: (3 x 4 + 1 x 2)/4 inside, 4 + 2 x 1/4 at the end."""
        found = self.slopes([1.0, 4.0, 5.0], [1.0, 7.0, 11.0])
        assert found == pytest.approx([1.0, 3.5, 4.5])

    def test_a_sharp_rise_is_held_to_two_and_a_half_secants(self) -> None:
        """Secants 1, 1, 10: the mean 5.5 would be too steep for the piece before it."""
        found = self.slopes([1.0, 2.0, 3.0], [1.0, 2.0, 12.0])
        assert found == pytest.approx([1.0, 2.5, 14.5])

    def test_a_table_that_flattens_keeps_half_its_last_secant(self) -> None:
        """Secants 2, 10, 1: 1 - 9/2 would fall; the end takes half of 1 instead."""
        found = self.slopes([1.0, 2.0, 3.0], [2.0, 12.0, 13.0])
        assert found == pytest.approx([2.0, 2.5, 0.5])

    def test_a_flat_end_whose_secant_is_not_one(self) -> None:
        """Secants 8, 40, 4: four times as much."""
        assert self.slopes([1.0, 2.0, 3.0], [8.0, 48.0, 52.0])[-1] == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("flows", "drops"),
    [
        ([3.0], [12.0]),  # one reading
        ([2.0, 4.0], [4.0, 16.0]),  # a square
        ([2.0, 4.0], [8.0, 9.0]),  # all but a threshold
        ([2.0, 3.0, 9.0], [1.0, 30.0, 31.0]),
        ([2.0, 4.0], [2.0, 4.0]),  # straight as it is
    ],
)
class TestBelowTheFirstReading:
    def test_the_loss_falls_in_a_straight_line_or_less_steeply(self, flows, drops) -> None:
        """Never below the line from rest to the first reading: a square would be far below it."""
        curve = drop_curve(table(flows, drops))
        q = np.linspace(0.0, flows[0], 400)
        found, slope, _ = evaluate(curve, q)
        line = drops[0] / flows[0] * q
        assert (found >= line * (1 - 1e-12)).all()
        assert found[:390] == pytest.approx(line[:390], rel=1e-12)
        assert (found <= line + 0.02 * drops[0]).all()
        assert slope[0] == pytest.approx(drops[0] / flows[0])

    def test_its_slope_has_no_step_there(self, flows, drops) -> None:
        curve = drop_curve(table(flows, drops))
        for flow in curve.flows[1:]:
            (_, below, _), (_, above, _) = (
                evaluate(curve, flow * (1 + sign * 1e-12)) for sign in (-1, 1)
            )
            assert below == pytest.approx(above, rel=1e-6)

    def test_the_readings_themselves_stay(self, flows, drops) -> None:
        curve = drop_curve(table(flows, drops))
        assert evaluate(curve, np.array(flows))[0] == pytest.approx(drops, rel=1e-12)

    def test_it_is_told_apart_from_what_was_measured(self, flows, drops) -> None:
        curve = drop_curve(table(flows, drops))
        q = flows[0] * np.array([-0.999, 0.0, 0.5, 1.0, 1.001])
        assert below_first(curve, q).tolist() == [True, False, True, False, False]
        assert not evaluate(curve, flows[0] * np.array([0.5, 1.0]))[2].any()


def test_a_square_is_met_between_its_readings() -> None:
    """But for the turn just behind the first, where the curve leaves its straight line."""
    curve = drop_curve(table([2.0, 4.0, 8.0], [4.0, 16.0, 64.0]))
    q = np.linspace(2.0, 8.0, 1000)
    found, _, _ = evaluate(curve, q)
    assert found == pytest.approx(q**2, rel=4e-3)
    assert found[q > 2.05] == pytest.approx(q[q > 2.05] ** 2, rel=1e-12)


def test_one_reading_goes_on_as_a_square() -> None:
    curve = drop_curve(table([2.0], [4.0]))
    q = np.array([2.05, 3.0, 4.0, 20.0])
    assert evaluate(curve, q)[0] == pytest.approx(q**2, rel=1e-12)


@pytest.mark.parametrize(
    ("drops", "bends"), [([4.0, 16.0], False), ([8.0, 9.0], True), ([2.0, 4.0], False)]
)
def test_readings_that_lie_below_the_line_from_rest_are_known(drops, bends) -> None:
    """A cracking pressure, say: then the line below the first reading is no upper bound."""
    assert drop_curve(table([2.0, 4.0], drops)).bends_down is bends
    assert drop_curve(table([2.0], drops[:1])).bends_down is False


class TestOtherLiquids:
    """Dynamic similarity: K is one function of the Reynolds number, whatever the liquid."""

    FLOWS, DROPS = (1e-5, 2e-5, 4e-5), (300.0, 800.0, 2500.0)

    def part(self, **given) -> MeasuredDrop:
        return replace(table(self.FLOWS, self.DROPS), density=998.0, **given)

    @pytest.mark.parametrize("ratio", [0.25, 0.6, 1.0, 2.0, 5.0])
    def test_equal_reynolds_numbers_have_equal_coefficients(self, ratio) -> None:
        part = self.part(viscosity=1.1e-6)
        flow = np.linspace(1e-6, 1e-4, 60)
        measured, _ = head_loss(part, flow, 1.1e-6)
        there, _ = head_loss(part, ratio * flow, ratio * 1.1e-6)
        assert there / (ratio * flow) ** 2 == pytest.approx(measured / flow**2, rel=1e-12)

    def test_a_laminar_loss_goes_with_the_viscosity_and_a_square_with_none(self) -> None:
        laminar = replace(self.part(viscosity=1e-6), flows=(1e-5, 2e-5), drops=(100.0, 200.0))
        head = [float(head_loss(laminar, 1.5e-5, nu)[0]) for nu in (1e-6, 2e-6)]
        assert head[1] == pytest.approx(2 * head[0], rel=1e-9)
        square = replace(laminar, flows=(1e-6, 2e-6, 1e-4), drops=(0.01, 0.04, 100.0))
        head = [float(head_loss(square, 3e-5, nu)[0]) for nu in (1e-6, 2e-6)]
        assert head[1] == pytest.approx(head[0], rel=1e-9)

    def test_a_viscosity_that_was_not_stated_is_never_a_credit(self) -> None:
        assumed = self.part(viscosity=1e-6, viscosity_is_assumed=True)
        plain = self.part()
        for nu, same in ((0.5e-6, True), (1e-6, True), (2e-6, False)):
            head = float(head_loss(assumed, 1.2e-5, nu)[0])
            expected = float(head_loss(plain, 1.2e-5, nu)[0])
            assert (head == pytest.approx(expected, rel=1e-12)) is same
            assert head >= expected * (1 - 1e-12)

    def test_the_slope_is_the_derivative(self) -> None:
        part = self.part(viscosity=1.1e-6)
        flow = np.array([3e-6, 1.7e-5, 3.1e-5, 8e-5])
        for nu in (0.6e-6, 2e-6):
            up, down = (head_loss(part, flow * (1 + s), nu)[0] for s in (1e-6, -1e-6))
            slope = head_loss(part, flow, nu)[1]
            assert (up - down) / (2e-6 * flow) == pytest.approx(slope, rel=1e-6)


class TestTheLiquidThatWasNotStated:
    @pytest.mark.parametrize(("fuel", "taken"), [(6.5e-7, 6.5e-7), (2.5e-6, 1.139e-6)])
    def test_is_the_cases_fuel_at_15_degrees_or_water(self, fuel, taken) -> None:
        """A thin liquid of the reading makes the most of a thick fuel."""
        found = with_liquid(table([1.0], [1.0]), fuel)
        assert found.viscosity == taken
        assert found.viscosity_is_assumed

    def test_what_is_stated_stays(self) -> None:
        stated = replace(table([1.0], [1.0]), viscosity=1e-6)
        assert with_liquid(stated, 6.5e-7) is stated


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
