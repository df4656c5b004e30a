"""Links and parts as the arrays that the solver reads: coefficients, tubes, exits, tables."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import nominal_factors
from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.system.parts import (
    Exit,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    Orifice,
    Pipe,
    Screen,
    Step,
)
from tests.support.small_networks import fitting, one_way_valve, quadratic, tube

SCREEN = Screen(
    name="finger", area=2e-4, wires_per_metre=630.0, wire_diameter=4.5e-4, clear_fraction=0.8
)


def chain() -> Network:
    """Every kind of part, in two links; what each costs is worked out by hand below."""
    first = (
        PlacedPart(
            part=Pipe(name="given f", length=2.0, bore=0.008, roughness=0.0, friction_factor=0.03),
            key="f",
        ),
        PlacedPart(part=tube(length=1.5, bore=0.009, roughness=2e-6), key="law"),
        PlacedPart(
            part=MinorLoss(
                name="elbow", kind="own", bore=0.008, k_inf=1.5, k_laminar=800.0, count=2
            ),
            key="k",
            direction=1,
        ),
        PlacedPart(part=Exit(name="back", bore=0.007), key="x", direction=-1),
    )
    table = MeasuredDrop(
        name="filter", kind="own", bore=8e-3, flows=(1e-5, 2e-5), drops=(2e3, 7e3), density=800.0
    )
    second = (
        PlacedPart(part=SCREEN, key="s"),
        PlacedPart(part=table, key="t", share=0.5),
        PlacedPart(
            part=FlowCoefficient(name="valve", kind="own", bore=0.008, kv=0.5),
            key="kv",
            direction=-1,
            share=0.5,
        ),
        PlacedPart(
            part=Orifice(name="seat", kind="own", bore=0.004, discharge_coefficient=0.6), key="o"
        ),
        PlacedPart(part=quadratic(3e9), key="q"),
        PlacedPart(part=one_way_valve(700.0), key="v"),
        PlacedPart(part=tube(length=0.3, bore=0.006), key="end"),
        PlacedPart(part=Exit(name="out", bore=0.006), key="out"),
    )
    return Network(
        ("A", "B", "C"),
        np.array([True, False, True]),
        (
            Link(name="A-B", start=0, end=1, parts=first),
            Link(name="C-B", start=2, end=1, parts=second),
        ),
    )


def velocity_head(bore: float) -> float:
    """Give V^2/2g over Q^2 [s2/m5]."""
    return 1 / (2 * STANDARD_GRAVITY * (np.pi * bore**2 / 4) ** 2)


class TestArraysOfTheLaws:
    network = chain()

    def test_links_know_their_ends_and_parts_their_link(self):
        assert self.network.start.tolist() == [0, 2]
        assert self.network.end.tolist() == [1, 1]
        assert self.network.part_link.tolist() == [0] * 4 + [1] * 8
        assert [placed.key for placed in self.network.placed] == [
            *("f", "law", "k", "x", "s", "t", "kv", "o", "q", "v", "end", "out")
        ]

    def test_quadratic_terms_are_velocity_heads(self):
        """Darcy-Weisbach f L/D, K x count, 1/Cd^2; Kv: 1 bar at Kv m3/h of water at 15 degC.

        Kv by IEC 60534-1 (from memory); water at 15 degC 999.1 kg/m3 (any handbook, from memory).
        """
        found = self.network.coefficients.quadratic
        of_kv = 1e5 / (999.1 * STANDARD_GRAVITY) * 3600.0**2
        assert found[0] == pytest.approx(0.03 * 2.0 / 0.008 * velocity_head(0.008))
        assert found[2] == pytest.approx(3.0 * velocity_head(0.008))
        assert found[6] == pytest.approx(0.5 * of_kv / 0.5**2)
        assert found[7] == pytest.approx(velocity_head(0.004) / 0.6**2)
        assert found[8] == 3e9
        assert found[9] == pytest.approx(of_kv)

    def test_linear_terms_follow_from_k_over_reynolds(self):
        """K1/Re V^2/2g = K1 nu V/(2 g D)."""
        found = self.network.coefficients.linear
        area = np.pi * 0.008**2 / 4
        assert found[2] == pytest.approx(1600.0 / (2 * STANDARD_GRAVITY * area * 0.008))
        assert found[8] == found[9] == found[0] == 0.0
        assert found[4] > 0.0

    def test_what_has_a_law_of_its_own_has_no_coefficients(self):
        """Tubes by the friction law, exits, measured tables."""
        for index in (1, 3, 5, 10, 11):
            assert self.network.coefficients.quadratic[index] == 0.0
            assert self.network.coefficients.linear[index] == 0.0

    def test_directions_and_the_screens_clear_share(self):
        found = self.network.coefficients
        one_sided = {2: (1.0, 0.0), 3: (0.0, 1.0), 6: (0.0, 1.0)}
        for index, pair in enumerate(zip(found.forward, found.backward, strict=True)):
            assert pair == one_sided.get(index, (1.0, 1.0))
        assert found.clear[4] == 0.8
        assert np.isnan(np.delete(found.clear, 4)).all()

    def test_a_shared_part_costs_its_share_on_both_terms(self):
        part = fitting(2.0, k_laminar=500.0)
        of = [
            Network(
                ("A", "B"),
                np.array([True, True]),
                (
                    Link(
                        name="l",
                        start=0,
                        end=1,
                        parts=(PlacedPart(part=part, key="p", share=share),),
                    ),
                ),
            ).coefficients
            for share in (1.0, 0.5)
        ]
        assert of[1].quadratic[0] == pytest.approx(0.5 * of[0].quadratic[0])
        assert of[1].linear[0] == pytest.approx(0.5 * of[0].linear[0])

    def test_tubes_that_follow_the_friction_law(self):
        found = self.network.pipes
        assert found.part.tolist() == [1, 10]
        assert found.link.tolist() == [0, 1]
        assert found.length.tolist() == [1.5, 0.3]
        assert found.bore.tolist() == [0.009, 0.006]
        assert found.roughness.tolist() == [2e-6, 1.5e-6]

    def test_exits_lose_what_leaves_by_them(self):
        found = self.network.exits
        assert found.part.tolist() == [3, 11]
        assert found.link.tolist() == [0, 1]
        assert found.bore.tolist() == [0.007, 0.006]
        assert found.sign.tolist() == [-1.0, 1.0]

    def test_exits_lose_one_velocity_head_of_turbulent_flow_and_two_of_laminar(self):
        """Kinetic energy of a flat and of a parabolic profile (any hydraulics text)."""
        assert self.network.exits.turbulent == pytest.approx([1.0, 1.0])
        assert self.network.exits.laminar == pytest.approx([2.0, 2.0])

    def test_exits_of_one_law_on_one_flow_are_told(self):
        """They share link, bore, direction and the ratio of their two numbers."""
        step = Step(name="step", bore_from=0.006, bore_to=0.007)
        other = Step(name="other", bore_from=0.006, bore_to=0.00701)  # nearly the same curve
        out = Exit(name="out", bore=0.006)
        first = (
            PlacedPart(part=out, key="a"),
            PlacedPart(part=out, key="b"),
            PlacedPart(part=out, key="back", direction=-1),
            PlacedPart(part=replace(out, bore=0.007), key="wide"),
            PlacedPart(part=step, key="s"),
            PlacedPart(part=other, key="t"),
            PlacedPart(part=replace(step, count=2), key="u"),
        )
        found = Network(
            ("A", "B"),
            np.array([True, True]),
            (
                Link(name="one", start=0, end=1, parts=first),
                Link(name="two", start=0, end=1, parts=(PlacedPart(part=out, key="c"),)),
            ),
        ).exits
        assert found.link.tolist() == [0] * 7 + [1]
        numbers = dict(
            zip(["a", "b", "back", "wide", "s", "t", "u", "c"], found.alike, strict=True)
        )
        assert numbers["a"] == numbers["b"]
        assert numbers["s"] == numbers["u"]  # two in a row: the same curve, twice as high
        assert len(set(numbers.values())) == 6
        # Borda and Carnot, on the smaller bore.
        widened = (1.0 - (6.0 / 7.0) ** 2) ** 2
        assert found.turbulent[[4, 6]] == pytest.approx([widened, 2.0 * widened])

    def test_a_one_way_valve_takes_a_pressure_of_its_own(self):
        keys = [placed.key for placed in self.network.placed]
        assert [key for key, cracks in zip(keys, self.network.cracks, strict=True) if cracks] == [
            "v"
        ]

    def test_parts_of_two_coefficients_whose_law_ends_somewhere(self):
        """A stated friction factor's, a screen's and an orifice's; a stated K's and Kv's do not."""
        keys = [self.network.placed[index].key for index in self.network.ranged]
        assert keys == ["f", "s", "o"]

    def test_a_measured_table_is_turned_into_head_of_its_liquid(self):
        ((index, law),) = self.network.singles
        assert index == 5
        assert law.scale == pytest.approx(0.5 / (800.0 * STANDARD_GRAVITY))

    def test_one_way_valves(self):
        assert self.network.one_way.tolist() == [False, True]
        assert self.network.cracking_pressure.tolist() == [0.0, 700.0]

    def test_the_search_starts_from_the_area_of_the_first_tube(self):
        """Else of the first part that has a bore; 8 mm where there is only a screen."""
        assert self.network.typical_area == pytest.approx(np.pi * np.array([8e-3, 6e-3]) ** 2 / 4)
        bare = [
            Network(
                ("A", "B"),
                np.array([True, True]),
                (Link(name="l", start=0, end=1, parts=parts),),
            ).typical_area[0]
            for parts in (
                (
                    PlacedPart(part=SCREEN, key="s"),
                    PlacedPart(part=fitting(1.0, bore=0.005), key="k"),
                ),
                (PlacedPart(part=SCREEN, key="s"),),
            )
        ]
        assert bare == pytest.approx([np.pi * 0.005**2 / 4, np.pi * 0.008**2 / 4])

    def test_a_network_without_tubes_and_exits(self):
        link = Link(name="l", start=0, end=1, parts=(PlacedPart(part=fitting(1.0), key="k"),))
        found = Network(("A", "B"), np.array([True, True]), (link,))
        assert found.pipes.part.shape == found.pipes.link.shape == (0,)
        assert found.exits.part.shape == found.exits.link.shape == (0,)
        assert found.singles == ()


def test_nominal_factors_are_those_of_a_ground_test() -> None:
    """One column for each part, one for each pipe that follows the friction law."""
    fixed = Pipe(name="fixed", length=1.0, bore=0.008, roughness=0.0, friction_factor=0.03)
    network = Network(
        ("A", "B"),
        np.array([True, True]),
        (
            Link(
                name="A-B",
                start=0,
                end=1,
                parts=(
                    PlacedPart(part=fixed, key="a", bore_factor=0.9),
                    PlacedPart(part=fitting(1.0), key="b", loss_factor=1.3),
                    PlacedPart(part=tube(), key="c", laminar_factor=1.4, bore_factor=0.95),
                ),
            ),
        ),
        1.07,
    )
    found = nominal_factors(network)
    assert found.loss.tolist() == [[1.0, 1.3, 1.0]]
    assert found.laminar.tolist() == [[1.0, 1.0, 1.4]]
    assert found.bore.tolist() == [[0.95]]
    assert found.friction.tolist() == [1.07]
