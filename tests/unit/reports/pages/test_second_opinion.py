"""A second opinion beside each part of the hand check: the library fluids, and only there."""

import math
from dataclasses import replace

import pytest
from fluids.fittings import bend_rounded, contraction_sharp, diffuser_sharp
from fluids.friction import friction_factor

from flowsim.network.elements import PlacedPart
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.physics.losses.formed_fittings import bend
from flowsim.reports.pages.hand_check import hand_check_object, hand_check_text
from flowsim.reports.pages.second_opinion import (
    NO_REASON,
    opinion_line,
    opinion_object,
    second_opinion,
)
from flowsim.studies.adequacy.study import loss_paths
from flowsim.studies.result import LossRow
from flowsim.system.parts import Part, Pipe, Screen

BORE = 0.008


def a_row(reynolds: float, coefficient: float, **terms: float) -> LossRow:
    return LossRow(
        part="thing", line="l", law="", flow=1e-5, bore=BORE, velocity=0.2, reynolds=reynolds,
        coefficient=coefficient, loss=0.01, share=0.1, source="", terms=tuple(terms.items()),
        key="l: thing #0",
    )  # fmt: skip


def placed(part: Part) -> PlacedPart:
    return PlacedPart(part=part, key="l: thing #0")


TUBE = Pipe(name="tube", length=1.0, bore=BORE, roughness=1.5e-6)


class TestFriction:
    @pytest.mark.parametrize("reynolds", [300.0, 1900.0, 2300.0, 9000.0])
    def test_the_same_outside_the_bridge(self, reynolds):
        """Below Re 1900 both have 64/Re; from 2300 on both solve Colebrook."""
        f = friction_factor(reynolds, TUBE.roughness / BORE)
        found = second_opinion(a_row(reynolds, f * 1.0005), placed(TUBE))
        assert found.law == "friction_factor"
        assert found.value == f
        assert found.why == ""
        assert found.difference == pytest.approx(-0.0005, rel=1e-2)

    def test_between_the_reason_is_the_bridge(self):
        found = second_opinion(a_row(2020.0, 0.04), placed(TUBE))
        assert found.value == pytest.approx(64.0 / 2020.0)
        assert "blends both factors from Re 1900 to 2300" in found.why

    def test_a_fixed_factor_is_named(self):
        found = second_opinion(a_row(9000.0, 0.045), placed(replace(TUBE, friction_factor=0.045)))
        assert "the case states" in found.why

    def test_a_ground_test_is_named(self):
        f = friction_factor(9000.0, TUBE.roughness / BORE)
        row = a_row(9000.0, 1.2 * f, ground_test_factor=1.2)
        assert second_opinion(row, placed(TUBE)).why == (
            "ours has the factor of the ground test in it"
        )

    def test_a_difference_without_a_reason_is_not_hushed_up(self):
        found = second_opinion(a_row(9000.0, 0.07), placed(TUBE))
        assert found.why == NO_REASON


class TestSteps:
    def step(self, before: float, behind: float, reynolds: float, coefficient: float):
        row = a_row(
            reynolds, coefficient, bore_from=before, bore_to=behind, count=2.0,
            kinetic_coefficient=coefficient / 2.0,
        )  # fmt: skip
        return second_opinion(row, None)

    def test_both_ways(self):
        narrow = contraction_sharp(Di1=0.01, Di2=BORE, method="Rennels")
        wide = diffuser_sharp(Di1=BORE, Di2=0.01, method="Rennels")
        into, out = self.step(0.01, BORE, 9e3, 2 * narrow), self.step(BORE, 0.01, 9e3, 2 * wide)
        assert (into.law, out.law) == ("contraction_sharp", "diffuser_sharp")
        assert into.difference == pytest.approx(0.0, abs=1e-12)
        assert out.difference == pytest.approx(0.0, abs=1e-12)
        assert (into.why, out.why) == ("", "")

    def test_slow_flow_has_more_by_ours(self):
        wide = diffuser_sharp(Di1=BORE, Di2=0.01, method="Rennels")
        found = self.step(BORE, 0.01, 500.0, 6 * wide)
        assert "kinetic energy of slow flow" in found.why


class TestFittings:
    def test_a_flush_outlet(self):
        found = second_opinion(
            a_row(2000.0, 0.55), placed(fitting("flush outlet", BORE, name="mouth"))
        )
        assert (found.law, found.value) == ("entrance_sharp", 0.57)
        assert found.why == "ours is 0.5 + 100/Re on its bore; fluids has 0.57 at every Re"

    def test_a_bend_without_its_arc(self):
        angle, radius, f = math.radians(60.0), 0.024, friction_factor(5000.0, 0.0)
        part = bend(angle, radius, BORE, "bend")
        found = second_opinion(a_row(5000.0, part.k_inf), placed(part))
        whole = bend_rounded(Di=BORE, angle=60.0, fd=f, rc=radius, method="Rennels")
        assert found.law == "bend_rounded"
        assert found.value == pytest.approx(whole - f * angle * 3.0, rel=1e-12)
        assert "arc left out of both" in found.why

    def test_nothing_comparable(self):
        part = Screen(
            name="s", area=1e-3, wires_per_metre=600.0, wire_diameter=4e-4, clear_fraction=1.0
        )
        assert second_opinion(a_row(math.nan, math.nan), placed(part)) is None
        elbow = fitting("elbow 90", BORE, name="elbow")
        assert second_opinion(a_row(4000.0, 1.5), placed(elbow)) is None
        assert opinion_object(None) is None


def test_the_sheet_has_it_in_words_and_in_json(system, result):
    scenario = result.deciding_scenario
    paths = loss_paths(system, scenario)
    text = hand_check_text(system, result, scenario, paths, "x", width=120)
    made = hand_check_object(system, result, scenario, paths, "x", "0" * 64)
    given = [p["second_opinion"] for path in made["paths"] for p in path["parts"]]
    laws = {item["law"] for item in given if item}
    assert {"friction_factor", "entrance_sharp", "contraction_sharp", "diffuser_sharp"} <= laws
    assert None in given
    assert text.count("second opinion, fluids ") == sum(item is not None for item in given)
    for item in filter(None, given):
        off = item["difference_percent"]
        assert off == pytest.approx(100 * (item["value"] / item["ours"] - 1))
        assert bool(item["why"]) == (abs(off) >= 0.1)


def test_every_difference_has_its_reason(system, result):
    """At no judged flow, down to the least, does ours differ for a reason that is not named."""
    seen = 0
    for scenario in [s for s in result.scenarios if s.flow > 0.0][::40]:
        paths = loss_paths(system, scenario)
        made = hand_check_object(system, result, scenario, paths, "x", "0" * 64)
        for path in made["paths"]:
            for part in filter(None, (part["second_opinion"] for part in path["parts"])):
                assert part["why"] != NO_REASON, part
                seen += 1
    assert seen > 50


def test_a_line_says_which_way():
    f = friction_factor(9000.0, TUBE.roughness / BORE)
    above = opinion_line(second_opinion(a_row(9000.0, 0.5 * f), placed(TUBE)))
    assert "100.0 % above ours" in above
    same = opinion_line(second_opinion(a_row(9000.0, f), placed(TUBE)))
    assert same.endswith("the same as ours within 0.1 %")
