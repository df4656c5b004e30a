"""Figures are shown with the digits that their bands allow, at one place."""

import pytest

from flowsim.measures import LENGTH, MASS_FLOW, VOLUME, VOLUME_FLOW, Units, choice_for, chosen

KG_H, L_H, LITRE = 1.0 / 3600.0, 1e-3 / 3600.0, 1e-3


@pytest.mark.parametrize(
    ("measure", "value", "decimals", "shown"),
    [
        (MASS_FLOW, 156.84 * KG_H, 1, "157 kg/h"),
        (MASS_FLOW, 99.96 * KG_H, 1, "100 kg/h"),
        (MASS_FLOW, 99.94 * KG_H, 1, "99.9 kg/h"),
        (MASS_FLOW, 12.94 * KG_H, 1, "12.9 kg/h"),
        (MASS_FLOW, -12.94 * KG_H, 1, "-12.9 kg/h"),
        (MASS_FLOW, 1234.5 * KG_H, 1, "1234 kg/h"),
        (MASS_FLOW, 0.0, 1, "0.0 kg/h"),
        (VOLUME_FLOW, 27.163 * L_H, 2, "27.2 L/h"),
        (VOLUME, 23.179 * LITRE, 2, "23.2 L"),
        (VOLUME, 0.126 * LITRE, 2, "0.13 L"),
        (LENGTH, 1.17136, 1, "1171.4 mm"),
    ],
)
def test_no_more_digits_than_the_band(measure, value, decimals, shown):
    with chosen(choice_for("metric")):
        assert measure.words(value, decimals) == shown
        assert measure.cell_with_unit(value, decimals) == shown


def test_in_both_units_each_by_itself():
    with chosen(choice_for("us")):
        assert VOLUME.words(87.75 * LITRE, 2) == "23.2 US gal"
        assert VOLUME.span(1.0 * LITRE, 87.75 * LITRE, 2) == "0.264 to 23.2 US gal"
    assert Units.BOTH.value == "both"
    assert MASS_FLOW.words(156.84 * KG_H, 1) == "157 kg/h (346 lb/h)"


def test_what_does_not_exist_stays_so():
    assert MASS_FLOW.words(float("nan"), 1) == "no result"
    assert MASS_FLOW.cell(float("inf"), 1) == "no result"
