"""Text with a unit to SI floats; every factor against the unit library's own full list."""

import math

import pint
import pytest

from flowsim.files.units import kinds
from flowsim.files.units.factors import TO_SI
from flowsim.files.units.quantities import (
    QuantityError,
    floor_in_unit_of,
    in_unit_of,
    parse_quantity,
    shown,
)
from tests.support.unit_factors import factors

# Our unit in the words of pint's default registry, where they differ from ours. That registry
# (Pint 0.25 default_en.txt) is an independent list: NIST SP 811 and CODATA values.
_IN_PINT = {
    "US_gal": "gallon", "US_qt": "quart", "US_pt": "pint", "US_cup": "cup",
    "US_fl_oz": "fluid_ounce", "imp_gal": "imperial_gallon", "imp_qt": "imperial_quart",
    "imp_pt": "imperial_pint", "imp_fl_oz": "imperial_fluid_ounce",
    "cm3": "cm**3", "m3": "m**3", "in3": "inch**3", "ft3": "foot**3",
    "in2": "inch**2", "cm2": "cm**2", "mm2": "mm**2", "m2": "m**2", "ft2": "foot**2",
    "in": "inch", "kt": "knot", "in_Hg": "inHg", "in_H2O": "inH2O", "mm_H2O": "mmH2O",
    "g0": "standard_gravity", "hp": "horsepower", "PS": "metric_horsepower", "h": "hour",
    "min": "minute", "kWh": "kWh", "s2": "s**2", "m5": "m**5", "ft5": "foot**5", "%": "percent",
    "lb": "pound", "oz": "ounce", "um": "micrometer", "": "1",
}  # fmt: skip
_WHOLE = {"m/(L/s)2": "m/(L/s)**2"}
# Columns of mercury and water: our conventional densities (13595.1 and 1000 kg/m3) and pint's
# differ in the last digits.
_COLUMNS = {"in_Hg": 1e-5, "in_H2O": 5e-5, "mm_H2O": 5e-5}

_ALL = [(kind, unit) for kind in kinds.KINDS for unit in kind.units]


@pytest.fixture(scope="module")
def pint_itself() -> "pint.UnitRegistry[float]":
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


def test_the_table_of_factors_is_what_the_unit_library_makes_of_our_definitions() -> None:
    """The table is current: python -m tests.support.unit_factors rewrites it."""
    made = factors()
    assert TO_SI.keys() == made.keys()
    for key, (factor, offset) in made.items():
        assert TO_SI[key] == pytest.approx((factor, offset), rel=1e-14), key


@pytest.mark.parametrize(("kind", "unit"), _ALL, ids=[f"{k.name} {u}" for k, u in _ALL])
def test_every_unit_agrees_with_the_full_registry(
    kind: kinds.Kind, unit: str, pint_itself: "pint.UnitRegistry[float]"
) -> None:
    number = 20.0 if kind.has_offset else max(kind.low, 1e-7) * 2.0 or 1.0
    number = min(number, 10.0) if not kind.has_offset else number
    word = _WHOLE.get(unit) or "/".join(_IN_PINT.get(a, a) for a in unit.split("/"))
    si = {"rad": "radian"}.get(kind.si, kind.si)
    if kind is kinds.SHARE:
        expected = number / 100.0
    else:
        quantity = pint_itself.Quantity(number, word)
        expected = quantity.to(si).magnitude
    if not kind.low < expected < kind.high:  # the sample is out of the kind's sense: scale it
        number *= math.sqrt(max(kind.low, kind.high * 1e-12) * kind.high) / expected
        expected = pint_itself.Quantity(number, word).to(si).magnitude
    value = parse_quantity(f"{number!r} {unit}", kind).value
    assert value == pytest.approx(expected, rel=_COLUMNS.get(unit, 1e-12))


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        # exact by definition: 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 US gal = 231 in3,
        # 1 imp gal = 4.54609 L (NIST SP 811, 2008, appendix B, from memory)
        ("31.5 in", kinds.LENGTH, 0.8001),
        ("3/8 in", kinds.LENGTH, 0.009525),
        ("1 3/8 in", kinds.LENGTH, 0.034925),
        ("-1 3/8 in", kinds.COORDINATE, -0.034925),
        (" 2.5e1 mm ", kinds.LENGTH, 0.025),
        (".5 m", kinds.LENGTH, 0.5),
        ("5. m", kinds.LENGTH, 5.0),
        ("+5m", kinds.LENGTH, 5.0),
        ("1 US_gal", kinds.VOLUME, 3.785411784e-3),
        ("1 imp_gal", kinds.VOLUME, 4.54609e-3),
        ("15 degC", kinds.TEMPERATURE, 288.15),
        ("59 degF", kinds.TEMPERATURE, 288.15),
        ("-40 degF", kinds.TEMPERATURE, 233.15),
        ("15 °C", kinds.TEMPERATURE, 288.15),
        ("6 lb/US_gal", kinds.DENSITY, 6 * 0.45359237 / 3.785411784e-3),
        ("0.55 lb/hp/h", kinds.SPECIFIC_CONSUMPTION, 0.55 * 0.45359237 / 745.69987158227 / 3600),
        ("16 /in", kinds.MESH, 16 / 0.0254),
        ("1 g0", kinds.ACCELERATION, 9.80665),
        ("90 deg", kinds.ANGLE, math.pi / 2),
        ("1\u00a0mm²", kinds.AREA, 1e-6),
        # Feet and inches, marks and words: 1 ft = 12 in.
        ("5' 3\"", kinds.LENGTH, 63 * 0.0254),
        ("5 ft 3 in", kinds.LENGTH, 63 * 0.0254),
        ("5ft3in", kinds.LENGTH, 63 * 0.0254),
        ("5'-3 1/2\"", kinds.LENGTH, 63.5 * 0.0254),
        ("6' 6 in", kinds.LENGTH, 78 * 0.0254),
        ("5\u2019 3\u201d", kinds.LENGTH, 63 * 0.0254),
        ("-5' 3\"", kinds.COORDINATE, -63 * 0.0254),
        ("5-3/8 in", kinds.LENGTH, 5.375 * 0.0254),
        ("1\u215c in", kinds.LENGTH, 1.375 * 0.0254),
        ("5 inches", kinds.LENGTH, 5 * 0.0254),
        ('3/8"', kinds.LENGTH, 0.375 * 0.0254),
        ("31.5 IN.", kinds.LENGTH, 31.5 * 0.0254),
        ("31,5 in", kinds.LENGTH, 31.5 * 0.0254),
        ("0,305 in", kinds.BORE, 0.305 * 0.0254),
        ("1.234,5 mm", kinds.LENGTH, 1.2345),
        ("1,234,567 mm", kinds.LENGTH, 1234.567),
        ("9.8 US gal/hr", kinds.VOLUME_FLOW, 9.8 * 3.785411784e-3 / 3600),
        ("8 US fl. oz.", kinds.VOLUME, 8 * 3.785411784e-3 / 128),
        ("4:12 min", kinds.DURATION, 252.0),
        ("1:30 h", kinds.DURATION, 5400.0),
        ("1:02:03", kinds.DURATION, 3723.0),
        ("4 min 12 s", kinds.DURATION, 252.0),
        ("0.3 g", kinds.ACCELERATION, 0.3 * 9.80665),
        ("15 C", kinds.TEMPERATURE, 288.15),
        ("60 mesh", kinds.MESH, 60 / 0.0254),
        ("100 HP", kinds.POWER, 74569.98715822702),
        ("\u22125 deg", kinds.PITCH, -math.radians(5)),
    ],
)
def test_known_values(text: str, kind: kinds.Kind, expected: float) -> None:
    assert parse_quantity(text, kind).value == pytest.approx(expected, rel=1e-7)


@pytest.mark.parametrize(
    ("text", "kind", "problem", "remedy"),
    [
        (31.5, kinds.LENGTH, "a bare number has no unit", 'write "31.5 in"'),
        (31, kinds.LENGTH, "a bare number has no unit", 'write "31 in"'),
        ("31.5", kinds.LENGTH, "a bare number has no unit", 'write "31.5 in"'),
        (
            "10 gal",
            kinds.VOLUME,
            '"gal" may mean US or imperial',
            'write "10 US_gal" or "10 imp_gal"',
        ),
        ("9 gal/h", kinds.VOLUME_FLOW, '"gal/h" may mean', '"9 US_gal/h" or "9 imp_gal/h"'),
        ("9 GPH", kinds.VOLUME_FLOW, '"GPH" may mean', '"9 US_gal/h" or "9 imp_gal/h"'),
        ("2 qt", kinds.VOLUME, '"qt" may mean', 'write "2 US_qt" or "2 imp_qt"'),
        ("6 lb/gal", kinds.DENSITY, '"lb/gal" may mean', '"6 lb/US_gal" or "6 lb/imp_gal"'),
        ("1.2 kg", kinds.LENGTH, '"1.2 kg" is a mass, not a length', '"31.5 in"'),
        ("5 psi", kinds.VOLUME, '"5 psi" is a pressure, not a volume', '"45 L"'),
        ("5 fet", kinds.LENGTH, 'unknown unit "fet"', 'write "5 ft"'),
        ("5 xyz", kinds.AREA, '"xyz" is not a unit for an area', "in2, cm2"),
        ("1,234 in", kinds.LENGTH, "may be 1.234 or 1234", 'write "1.234 in" or "1234 in"'),
        ("8 fl oz", kinds.VOLUME, '"fl oz" may mean US or imperial', '"8 imp_fl_oz"'),
        ("15 deg", kinds.TEMPERATURE, "Celsius or Fahrenheit", 'write "15 degC" or "15 degF"'),
        ("1:30", kinds.DURATION, "minutes and seconds or hours", 'write "1:30 min" or "1:30 h"'),
        ("5' 14\"", kinds.LENGTH, "12 inches or more beside the feet", 'write "6 ft 2 in" if'),
        ("5.5 ft 3 in", kinds.LENGTH, "a part of a foot and inches", 'write "69 in"'),
        ("6' 6 fathoms", kinds.LENGTH, "is not a unit for a length", '"31.5 in"'),
        ("3/8 fet", kinds.LENGTH, 'unknown unit "fet"', 'write "3/8 ft"'),
        ("~31 in", kinds.LENGTH, "said to be a guess", '{ value = "31 in", from = "assumed" }'),
        ("31 ± 0.1 in", kinds.LENGTH, "holds its accuracy", 'accuracy = "0.1 in" }'),
        ("30-32 in", kinds.LENGTH, "is a range", "write one value"),
        ("5 m", kinds.DURATION, '"5 m" is a length, not a time', 'write "5 min" if that is meant'),
        ("abc", kinds.LENGTH, '"abc" is not a number and a unit', '"31.5 in"'),
        ("", kinds.LENGTH, '"" is not a number and a unit', '"31.5 in"'),
        ("9**9**9 m", kinds.LENGTH, '"9**9**9 m" is not a number and a unit', '"31.5 in"'),
        ("1e999 in", kinds.LENGTH, '"1e999 in" is too large a number', '"31.5 in"'),
        ("1/0 in", kinds.LENGTH, '"1/0 in" divides by zero', '"31.5 in"'),
        ("0 in", kinds.LENGTH, "a length must be at least 0.1 mm", '"31.5 in"'),
        ("-3 in", kinds.BORE, "a bore must be at least 1 mm", '"0.305 in"'),
        ("0 K", kinds.TEMPERATURE, "a temperature must be at least 1 K", '"15 degC"'),
        ("-300 degC", kinds.TEMPERATURE, "a temperature must be at least 1 K", '"15 degC"'),
        ("70 deg", kinds.PITCH, "must be at most 60 deg", '"12 deg"'),
        (True, kinds.LENGTH, "true is not a length", '"31.5 in"'),
        (None, kinds.LENGTH, "None is not a length", '"31.5 in"'),
        (math.nan, kinds.LENGTH, "nan is not a length", '"31.5 in"'),
        (10**400, kinds.LENGTH, "a huge whole number is not a length", '"31.5 in"'),
        ([1], kinds.LENGTH, "a list is not a length", '"31.5 in"'),
        ("9" * 200, kinds.LENGTH, "is too long for a length", '"31.5 in"'),
        ("9" * 90 + " in", kinds.LENGTH, "must be at most 100 km", '"31.5 in"'),
        ("\x1b[31m 5 in", kinds.LENGTH, '"?[31m 5 in" is not', '"31.5 in"'),
    ],
)
def test_refusals_say_what_is_wrong_and_what_to_write(
    text: object, kind: kinds.Kind, problem: str, remedy: str
) -> None:
    with pytest.raises(QuantityError) as caught:
        parse_quantity(text, kind)
    assert problem in caught.value.problem
    assert remedy in caught.value.remedy


@pytest.mark.parametrize("kind", kinds.KINDS, ids=lambda kind: kind.name)
def test_every_example_is_accepted(kind: kinds.Kind) -> None:
    assert parse_quantity(kind.example, kind).kind is kind


def test_textbook_sizes_are_in_range() -> None:
    """Published networks have lines 4000 ft long, under heads of 200 ft."""
    assert parse_quantity("4000 ft", kinds.LENGTH).value == pytest.approx(1219.2)
    assert parse_quantity("200 ft", kinds.COORDINATE).value == pytest.approx(60.96)


def test_the_first_kind_that_knows_the_unit_is_taken() -> None:
    assert parse_quantity("45 lb/h", kinds.VOLUME_FLOW, kinds.MASS_FLOW).kind is kinds.MASS_FLOW


def test_values_are_shown_in_the_unit_that_was_written() -> None:
    assert in_unit_of(0.8128, parse_quantity("31.5 in", kinds.LENGTH)) == "32 in"
    assert in_unit_of(288.15, parse_quantity("59 degF", kinds.TEMPERATURE)) == "59 degF"


@pytest.mark.parametrize("text", ["5' 3\"", "31,5 IN", "1\u215c inches", "-6 ft 1/2 in", '3/8"'])
def test_a_value_is_shown_as_it_may_be_written_again(text: str) -> None:
    read = parse_quantity(text, kinds.COORDINATE)
    again = parse_quantity(read.text, kinds.COORDINATE)
    assert (again.value, again.text) == (read.value, read.text)
    assert read.text.isascii()


def test_a_value_is_rounded_down_in_its_own_unit() -> None:
    inches = parse_quantity("1 in", kinds.LENGTH)
    assert floor_in_unit_of(0.0258, inches) == "1.01 in"
    assert floor_in_unit_of(0.0254, inches) == "1 in"
    assert floor_in_unit_of(0.0254 * 0.99999, inches) == "0.999 in"


def test_shown_is_one_printable_line() -> None:
    assert shown("a\nb\x1b") == '"a?b?"'
    assert len(shown("x" * 1000)) < 70
