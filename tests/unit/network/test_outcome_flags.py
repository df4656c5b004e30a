"""What each part costs and where its law ends: directions, screens, tables, one-way valves."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.network.outcome import part_description, part_losses
from flowsim.network.solver import solve
from flowsim.physics.losses.laws import head_loss
from flowsim.physics.losses.woven_screen import screen_reynolds
from flowsim.system.parts import Exit, FlowCoefficient, MeasuredDrop, MinorLoss, Orifice, Screen
from tests.support.small_networks import conditions, fitting, network, one_way_valve, tube

SCREEN = Screen(
    name="finger", area=2e-5, wires_per_metre=630.0, wire_diameter=4.5e-4, clear_fraction=0.5
)
TABLE = MeasuredDrop(
    name="filter", kind="own", bore=8e-3, flows=(1e-5, 2e-5), drops=(200.0, 700.0), density=720.0
)


def line_of(*placed: PlacedPart) -> Network:
    link = Link(name="A-B", start=0, end=1, parts=placed)
    return Network(("A", "B"), np.array([True, True]), (link,))


def losses(of: Network, *flows: float, **given):
    count = len(flows)
    heads = {"A": np.zeros(count), "B": np.zeros(count)}
    imposed = replace(conditions(of, heads), **given)
    return part_losses(of, imposed, np.array(flows)[:, None])


class TestDirection:
    @pytest.mark.parametrize("direction", [-1, 0, 1])
    def test_a_part_costs_only_in_its_direction(self, direction):
        """The quadratic term; the viscous one acts both ways."""
        part = fitting(3.0, k_laminar=800.0)
        of = line_of(PlacedPart(part=part, key="f", direction=direction))
        found = losses(of, 2e-5, -2e-5, 0.0).loss[:, 0]
        whole, _ = head_loss(part, 2e-5, 0.65e-6)
        viscous, _ = head_loss(fitting(0.0, k_laminar=800.0), 2e-5, 0.65e-6)
        assert found[0] == pytest.approx(float(whole if direction >= 0 else viscous))
        assert found[1] == pytest.approx(-float(whole if direction <= 0 else viscous))
        assert found[2] == 0.0

    @pytest.mark.parametrize("direction", [-1, 1])
    def test_the_solver_uses_the_same_directions(self, direction):
        of = line_of(
            PlacedPart(part=tube(), key="t"),
            PlacedPart(part=fitting(30.0), key="f", direction=direction),
        )
        given = conditions(of, {"A": [0.5, -0.5], "B": [0.0, 0.0]})
        found = solve(of, given)
        total = part_losses(of, given, found.flow).loss.sum(axis=1)
        np.testing.assert_allclose(total, [0.5, -0.5], rtol=1e-9)
        with_loss = 0 if direction == 1 else 1
        assert abs(found.flow[with_loss, 0]) < 0.8 * abs(found.flow[1 - with_loss, 0])

    @pytest.mark.parametrize("direction", [-1, 1])
    def test_an_exit_costs_what_leaves_by_it(self, direction):
        of = line_of(PlacedPart(part=Exit(name="e", bore=8e-3), key="e", direction=direction))
        found = losses(of, 3e-5, -3e-5, 0.0).loss[:, 0]  # Re 7300: one velocity head
        head = (3e-5 / (np.pi * 8e-3**2 / 4)) ** 2 / (2 * STANDARD_GRAVITY)
        expected = [head, 0.0, 0.0] if direction == 1 else [0.0, -head, 0.0]
        np.testing.assert_allclose(found, expected)


class TestFlags:
    def test_a_table_is_flagged_beyond_its_last_point(self):
        of = line_of(PlacedPart(part=TABLE, key="t"), PlacedPart(part=tube(), key="p"))
        found = losses(of, 1.9e-5, 2e-5, 2.1e-5, -2.1e-5).outside
        assert found[:, 0].tolist() == [False, False, True, True]
        assert not found[:, 1].any()

    @pytest.mark.parametrize("clear", [np.nan, 0.5, 0.2])
    def test_a_screen_is_flagged_by_the_speed_through_what_is_clear(self, clear):
        """Armour and Cannon to Re 1000; NaN: the stated half is clear."""
        of = line_of(PlacedPart(part=SCREEN, key="s"))
        one = float(screen_reynolds(replace(SCREEN, clear_fraction=1.0), 1e-5, 0.65e-6))
        share = 0.5 if np.isnan(clear) else clear
        at_limit = 1e-5 * 1000.0 / one * share
        flows = (0.999 * at_limit, 1.001 * at_limit, -1.001 * at_limit, 0.0)
        found = losses(of, *flows, screen_clear=np.full(4, clear))
        assert found.outside[:, 0].tolist() == [False, True, True, False]

    def test_a_dirty_screen_costs_by_its_clear_share(self):
        of = line_of(PlacedPart(part=SCREEN, key="s"))
        found = losses(of, 1e-5, 1e-5, screen_clear=np.array([np.nan, 0.2])).loss[:, 0]
        for loss, clear in zip(found, (0.5, 0.2), strict=True):
            expected, _ = head_loss(replace(SCREEN, clear_fraction=clear), 1e-5, 0.65e-6)
            assert loss == pytest.approx(float(expected))

    def test_a_fitting_and_an_orifice_are_flagged_by_reynolds_number(self):
        """To 1e6 on the part's own bore; a builder's own K has no range."""
        known = MinorLoss(name="e", kind="elbow 90", bore=8e-3, k_inf=1.0)
        own = replace(known, kind="own")
        hole = Orifice(name="o", kind="own", bore=8e-3, discharge_coefficient=0.6)
        of = line_of(*(PlacedPart(part=part, key=part.name) for part in (known, own, hole)))
        limit = 1e6 * 0.65e-6 * np.pi * 8e-3 / 4
        found = losses(of, 0.999 * limit, 1.001 * limit, 0.0, 1e-12).outside
        assert found[:, 0].tolist() == [False, True, False, False]
        assert not found[:, 1].any()
        assert found[:, 2].tolist() == [False, True, False, False]

    def test_a_tube_is_flagged_beyond_the_chart(self):
        rough = replace(tube(), roughness=0.051 * 7.75e-3)
        of = line_of(PlacedPart(part=rough, key="r"), PlacedPart(part=tube(), key="t"))
        viscosity = np.full(2, 0.65e-6)
        limit = 1e8 * 0.65e-6 * np.pi * 7.75e-3 / 4
        found = losses(of, 1e-5, 1.001 * limit, kinematic_viscosity=viscosity).outside
        assert found.tolist() == [[True, False], [True, True]]


class TestOneWay:
    def test_cracking_pressure_is_lost_while_it_flows(self):
        of = line_of(PlacedPart(part=one_way_valve(500.0), key="v"))
        found = losses(of, 1e-5, 0.0, -1e-5).loss[:, 0]
        plain, _ = head_loss(one_way_valve(), 1e-5, 0.65e-6)
        cracking = 500.0 / (720.0 * STANDARD_GRAVITY)
        np.testing.assert_allclose(found, [cracking + plain, 0.0, -plain])


def test_words_for_the_other_laws() -> None:
    meter = FlowCoefficient(name="m", kind="own", bore=8e-3, kv=1.0, source="maker")
    hole = Orifice(name="o", kind="own", bore=8e-3, discharge_coefficient=0.6)
    of = network(["A", "B"], [("A", "B", (TABLE, meter, hole, SCREEN))])
    assert [part_description(of, index) for index in range(4)] == [
        ("filter", "measured table", ""),
        ("m", "flow coefficient", "maker"),
        ("o", "orifice", ""),
        ("finger", "woven screen", ""),
    ]
