"""Sag against handbook formulas, and the dip against a fine grid."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.course.beam import flexural_rigidity, mid_sag, rigidity_from_sag, sag_dip
from flowsim.physics.course.line_materials import (
    MATERIALS,
    largest_span,
    least_bend_radius,
    wall_material,
)

INCH = 0.0254


def test_sag_by_the_handbook() -> None:
    """Roark 7th ed. table 8.1 cases 2e (supported) and 2d (fixed); formulas from memory.

    Worked here in its own units: 1 in x 0.035 in tube of 10.0e6 psi, 120 in, 0.1 lb/in.
    I = pi (D^4 - d^4)/64 = 0.012367 in^4; supported 5 w L^4/(384 E I) = 2.183 in.
    """
    inertia = math.pi * (1.0 - 0.93**4) / 64.0
    assert inertia == pytest.approx(0.012367, rel=1e-4)
    pound, psi = 4.4482216152605, 6894.757293168361
    rigidity = flexural_rigidity(10.0e6 * psi, INCH, 0.93 * INCH)
    assert rigidity == pytest.approx(10.0e6 * inertia * pound * INCH**2, rel=1e-9)
    weight = 0.1 * pound / INCH
    supported = mid_sag(weight, 120 * INCH, rigidity)
    assert supported / INCH == pytest.approx(5 * 0.1 * 120**4 / (384 * 10.0e6 * inertia), rel=1e-9)
    assert supported / mid_sag(weight, 120 * INCH, rigidity, "fixed") == pytest.approx(5.0)


def test_sag_solves_the_beam_equation() -> None:
    """E I y'''' = w integrated numerically between supports that do not turn the ends."""
    weight, span, rigidity, count = 3.0, 0.8, 0.4, 4001
    x = np.linspace(0.0, span, count)
    moment = 0.5 * weight * x * (span - x)
    step = x[1] - x[0]
    turned = np.concatenate([[0.0], np.cumsum(0.5 * (moment[1:] + moment[:-1]) * step)]) / rigidity
    shape = np.concatenate([[0.0], np.cumsum(0.5 * (turned[1:] + turned[:-1]) * step)])
    shape -= shape[-1] * x / span
    assert -shape.min() == pytest.approx(mid_sag(weight, span, rigidity), rel=1e-5)


@pytest.mark.parametrize("held", ["supported", "fixed"])
@pytest.mark.parametrize("fall_deg", [0.0, 0.5, 1.0, 2.0, 4.0])
def test_dip_against_a_fine_grid(held, fall_deg) -> None:
    weight, span, rigidity, fall = 1.2, 0.9, 0.35, math.radians(fall_deg)
    x = np.linspace(0.0, 1.0, 200001)
    shape = x - 2 * x**3 + x**4 if held == "supported" else (x * (1 - x)) ** 2
    sag = weight * math.cos(fall) * span**4 / (24 * rigidity) * shape
    height = -span * x * math.sin(fall) - sag * math.cos(fall)
    below = height[-1] - height
    found = sag_dip(weight, span, rigidity, fall, held)
    assert found.sag == pytest.approx(sag.max(), rel=1e-9)
    assert found.depth == pytest.approx(max(below.max(), 0.0), rel=1e-7, abs=1e-9)
    assert found.length == pytest.approx(span * (below > 0).mean(), abs=2e-5)


def test_span_that_falls_enough_has_no_dip() -> None:
    dipped = sag_dip(1.0, 0.5, 0.5, math.radians(10.0))
    assert (dipped.depth, dipped.length) == (0.0, 0.0)
    upright = sag_dip(1.0, 0.5, 0.5, math.pi / 2)
    assert upright.depth == 0.0


def test_large_sag_is_flagged_not_clipped() -> None:
    assert not sag_dip(10.0, 1.0, 0.5, 0.0).is_in_range
    assert sag_dip(10.0, 1.0, 0.5, 0.0).sag == pytest.approx(50.0 / (384 * 0.5))


def test_measured_sag_gives_back_the_rigidity() -> None:
    assert rigidity_from_sag(2.0, 0.4, mid_sag(2.0, 0.4, 0.7)) == pytest.approx(0.7)


def test_refusals() -> None:
    with pytest.raises(DomainError):
        mid_sag(1.0, 0.0, 1.0)
    with pytest.raises(DomainError):
        flexural_rigidity(1e9, 0.01, 0.01)
    with pytest.raises(DomainError):
        sag_dip(1.0, 1.0, 1.0, 2.0)


def test_table_values_and_their_cautious_neighbours() -> None:
    """AC 43.13-1B tables 9-2 (from memory) and 9-3 (read); spans from a mechanic's handbook."""
    aluminium = wall_material("aluminium tube")
    bend = least_bend_radius(aluminium, 0.375 * INCH, 0.305 * INCH)
    assert bend is not None
    assert (bend.value, bend.exact) == (pytest.approx(15 / 16 * INCH), True)
    metric = least_bend_radius(aluminium, 0.010, 0.008)
    assert metric is not None
    assert (metric.value, metric.exact) == (pytest.approx(1.25 * INCH), False)
    hose = least_bend_radius(wall_material("rubber hose"), None, 5 / 16 * INCH)
    assert hose is not None
    assert hose.value == pytest.approx(4.0 * INCH)
    span = largest_span(aluminium, 0.010)
    assert span is not None
    assert (span.value, span.exact) == (pytest.approx(16.5 * INCH), False)
    assert largest_span(aluminium, 0.004) is None
    assert least_bend_radius(wall_material("nylon tube"), 0.00635, 0.004) is None


@pytest.mark.parametrize(
    ("words", "material"),
    [
        ("stainless steel tube", "steel"),
        ("plastic-lined hose", "hose"),
        ("aluminum tube", "aluminium"),
        ("nylon tube", "plastic"),
        ("unobtainium", None),
    ],
)
def test_materials_by_their_words(words, material) -> None:
    assert wall_material(words) is (None if material is None else MATERIALS[material])
