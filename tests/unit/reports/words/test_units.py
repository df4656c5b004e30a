"""Shown units: factors against the unit library, words, and text that cannot steer a terminal."""

import math

import pint
import pytest

from flowsim.files.units import shown as to
from flowsim.reports.words import units

# Reference: pint's own list of units (BIPM SI brochure, NIST SP 811 as its definitions file says),
# independent of our definitions file.
REFERENCE = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("convert", "source", "target"),
    [
        (to.kg_per_h, "kg/s", "kg/hour"),
        (to.lb_per_h, "kg/s", "pound/hour"),
        (to.l_per_h, "m**3/s", "liter/hour"),
        (to.us_gal_per_h, "m**3/s", "US_liquid_gallon/hour"),
        (to.litres, "m**3", "liter"),
        (to.us_gallons, "m**3", "US_liquid_gallon"),
        (to.millimetres, "m", "mm"),
        (to.inches, "m", "inch"),
        (to.degrees, "rad", "deg"),
        (to.celsius, "kelvin", "degC"),
        (to.fahrenheit, "kelvin", "degF"),
        (to.kilopascals, "Pa", "kPa"),
        (to.knots, "m/s", "knot"),
        (to.percent, "dimensionless", "percent"),
    ],
)
@pytest.mark.parametrize("value", [0.0, 0.0123, 288.15])
def test_factors_agree_with_the_unit_library(convert, source, target, value):
    expected = REFERENCE.Quantity(value, source).to(target).magnitude
    assert convert(value) == pytest.approx(expected, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_never_shown_as_one(value):
    assert units.number(value, 1) == "no result"
    assert units.with_unit(value, 1, "mm") == "no result"
    assert units.digits(value) == "no result"
    assert units.flow_words(value, 1.0) == "no result"
    assert units.flow_words(1.0, value) == "no result"
    for words in (
        units.head_words,
        units.volume_words,
        units.temperature_words,
        units.percent_words,
        units.pitch_words,
        units.roll_words,
        units.mass_flow_words,
        units.share_words,
    ):
        assert words(value) == "no result"


def test_none_is_no_result_either():
    assert units.number(None, 1) == units.percent_words(None) == units.digits(None) == "no result"
    assert units.mass_flow_words(None) == "no result"


def test_percent_is_rounded_down_so_that_a_miss_never_reads_as_a_pass():
    assert units.percent_words(0.99999) == "99.9 %"
    assert units.percent_words(1.0) == "100 %"
    assert units.percent_words(1.0999) == "109 %"
    assert units.percent_words(16.968) == "1690 %"
    assert units.percent_words(0.9996) == "99.9 %"
    assert units.percent_words(0.07 / 0.1) == "70.0 %"


def test_zero_has_no_sign():
    assert units.number(-0.0001, 1) == "0.0"
    assert units.number(-1.26, 1) == "-1.3"


@pytest.mark.parametrize(
    ("pitch", "words"),
    [
        (0.0, "level (0.0 deg)"),
        (12.0, "12.0 deg nose-up"),
        (-3.0, "3.0 deg nose-down"),
        (0.04, "level (0.0 deg)"),
    ],
)
def test_pitch_in_words(pitch, words):
    assert units.pitch_words(math.radians(pitch)) == words


@pytest.mark.parametrize(
    ("roll", "words"),
    [(0.0, "wings level"), (5.0, "5.0 deg right wing down"), (-5.0, "5.0 deg left wing down")],
)
def test_roll_in_words(roll, words):
    assert units.roll_words(math.radians(roll)) == words


def test_flow_and_head_in_the_builders_units():
    # 1 US gal/h of 0.72 kg/L fuel; 19.25 in of fuel.
    volume = 3.785411784e-3 / 3600.0
    assert units.flow_words(720.0 * volume, volume) == "2.7 kg/h, 3.8 L/h (6.0 lb/h, 1.00 US gal/h)"
    assert units.head_words(0.488950) == "489 mm (19.2 in)"  # 19.25 to even
    assert units.temperature_words(310.95) == "37.8 degC (100.0 degF)"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("tank\nleft\t1", "tank left 1"),
        ("\x1b[31mred\x07", "?[31mred?"),
        ("a\u202eb", "a?b"),
        ("\ud800", "?"),
        ("[bold]Küche[/bold]", "[bold]Küche[/bold]"),
    ],
)
def test_case_text_cannot_steer_a_terminal(text, shown):
    assert units.clean(text) == shown
