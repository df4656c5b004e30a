"""Sag at its edges: no load, no dip, ranges, and refusals that name the value."""

import math

import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.course.beam import (
    SagDip,
    flexural_rigidity,
    mid_sag,
    rigidity_from_sag,
    sag_dip,
    weight_per_length,
)


def test_weight_of_a_kilogram_a_metre() -> None:
    assert weight_per_length(1.0) == STANDARD_GRAVITY
    assert weight_per_length(0.25) == pytest.approx(2.4516625)


class TestNoDip:
    def test_without_weight_nothing_sags(self) -> None:
        for fall in (0.0, 0.2):
            found = sag_dip(0.0, 0.8, 0.4, fall)
            assert found == SagDip(sag=0.0, depth=0.0, length=0.0, is_in_range=True)
            assert found.is_in_range is True

    def test_a_span_that_hangs_straight_down(self) -> None:
        found = sag_dip(2.0, 0.8, 0.4, -math.pi / 2)
        assert (found.depth, found.length, found.is_in_range) == (0.0, 0.0, True)
        assert found.sag == pytest.approx(0.0, abs=1e-15)

    @pytest.mark.parametrize(("held", "largest"), [("supported", 1.0), ("fixed", 4.0 / 27.0)])
    def test_a_span_that_falls_steeply_enough_has_none(self, held, largest) -> None:
        """The dip ends where sin f = k cos^2 f q at the largest q, with k = w L^3/(24 E I).

        Largest q, by hand: 1 at the lower end for x + x^2 - x^3, 4/27 at 2/3 for x^2 (1 - x).
        """
        k = 0.5 * 1.0**3 / (24.0 * 2.0) * largest
        limit = math.asin((math.sqrt(1.0 + 4.0 * k**2) - 1.0) / (2.0 * k))
        assert sag_dip(0.5, 1.0, 2.0, 0.99 * limit, held).depth > 0.0
        steeper = sag_dip(0.5, 1.0, 2.0, 1.01 * limit, held)
        assert (steeper.depth, steeper.length) == (0.0, 0.0)


class TestLevel:
    def test_a_level_span_dips_by_its_sag_and_all_along(self) -> None:
        for held, factor in (("supported", 5.0), ("fixed", 1.0)):
            found = sag_dip(1.0, 0.5, 0.4, 0.0, held)
            sag = factor * 1.0 * 0.5**4 / (384.0 * 0.4)
            assert found.sag == pytest.approx(sag)
            assert found.depth == pytest.approx(sag)
            assert found.length == pytest.approx(0.5)

    def test_the_range_is_a_tenth_of_the_span(self) -> None:
        """Span 0.5 m: a sag of 49 mm is small, one of 51 mm is not, and stays what it is."""
        for sag, is_small in ((0.049, True), (0.051, False)):
            rigidity = rigidity_from_sag(1.0, 0.5, sag)
            for fall in (0.0, 1e-3):
                found = sag_dip(1.0, 0.5, rigidity, fall)
                assert found.sag == pytest.approx(sag, rel=1e-5)
                assert found.is_in_range is is_small

    def test_the_flag_holds_where_there_is_no_dip(self) -> None:
        rigidity = rigidity_from_sag(1.0, 0.5, 0.2)
        found = sag_dip(0.0, 0.5, rigidity, 0.0)
        assert found.is_in_range is True


@pytest.mark.parametrize(
    ("values", "name"),
    [
        ((0.0, 0.01, 0.008), r"modulus \[Pa\]"),
        ((7e10, -0.01, 0.008), r"outside diameter \[m\]"),
        ((7e10, 0.01, 0.0), r": bore \[m\]"),
        ((7e10, 0.01, math.nan), r": bore \[m\]"),
        ((7e10, 0.01, 0.011), "not below its outside diameter"),
    ],
)
def test_impossible_tubes_are_refused_by_name(values, name) -> None:
    with pytest.raises(DomainError, match=name):
        flexural_rigidity(*values)


def test_impossible_spans_are_refused_by_name() -> None:
    with pytest.raises(DomainError, match=r"length \[m\] 0\.0"):
        mid_sag(1.0, 0.0, 1.0)
    with pytest.raises(DomainError, match=r"rigidity \[N m2\] -1\.0"):
        mid_sag(1.0, 1.0, -1.0)
    with pytest.raises(DomainError, match=r"sag \[m\] 0\.0"):
        rigidity_from_sag(1.0, 1.0, 0.0)
    for fall in (1.6, -1.6, math.nan):
        with pytest.raises(DomainError, match="90 deg at most"):
            sag_dip(1.0, 1.0, 1.0, fall)


@pytest.mark.parametrize("weight", [-1.0, 0.0, math.nan, math.inf])
def test_a_weight_that_cannot_be_gives_no_dip_and_no_rigidity(weight) -> None:
    with pytest.raises(DomainError, match="weight"):
        sag_dip(weight or -1e-9, 1.0, 0.5, 0.0)
    with pytest.raises(DomainError, match="weight"):
        rigidity_from_sag(weight, 1.0, 0.1)
