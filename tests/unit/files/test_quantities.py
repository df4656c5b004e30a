"""Text with a unit to SI floats; every factor against the unit library's own full list."""

import math

import pint
import pytest

from flowsim.files import quantity_kinds as kinds
from flowsim.files.quantities import QuantityError, in_unit_of, parse_quantity, shown
from flowsim.files.unit_factors import TO_SI
from tests.support.unit_factors import factors

# Our unit in the words of pint's default registry, where they differ from ours. That registry
# (Pint 0.25 default_en.txt) is an independent list: NIST SP 811 and CODATA values.
_IN_PINT = {
    "US_gal": "gallon", "US_qt": "quart", "US_pt": "pint", "US_cup": "cup",
    "US_fl_oz": "fluid_ounce", "imp_gal": "imperial_gallon", "imp_qt": "imperial_quart",
    "imp_pt": "imperial_pint", "cm3": "cm**3", "m3": "m**3", "in3": "inch**3", "ft3": "foot**3",
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
        ("10 gal", kinds.VOLUME, '"gal" may mean US or imperial', 'write "US_gal" or "imp_gal"'),
        ("9 gal/h", kinds.VOLUME_FLOW, '"gal/h" may mean', 'write "US_gal/h" or "imp_gal/h"'),
        ("9 gph", kinds.VOLUME_FLOW, '"gph" may mean', 'write "US_gal/h" or "imp_gal/h"'),
        ("2 qt", kinds.VOLUME, '"qt" may mean', 'write "US_qt" or "imp_qt"'),
        ("6 lb/gal", kinds.DENSITY, '"lb/gal" may mean', 'write "lb/US_gal" or "lb/imp_gal"'),
        ("1.2 kg", kinds.LENGTH, '"1.2 kg" is a mass, not a length', '"31.5 in"'),
        ("5 psi", kinds.VOLUME, '"5 psi" is a pressure, not a volume', '"45 L"'),
        ("5 fet", kinds.LENGTH, 'unknown unit "fet"', 'write "5 ft"'),
        ("5 inches", kinds.LENGTH, 'unknown unit "inches"', 'write "5 in"'),
        ("5 xyz", kinds.AREA, '"xyz" is not a unit for an area', "in2, cm2"),
        ("31,5 in", kinds.LENGTH, '"31,5 in" has a decimal comma', 'write "31.5 in"'),
        ("abc", kinds.LENGTH, '"abc" is not a number and a unit', '"31.5 in"'),
        ("", kinds.LENGTH, '"" is not a number and a unit', '"31.5 in"'),
        ("9**9**9 m", kinds.LENGTH, '"9**9**9 m" is not a number and a unit', '"31.5 in"'),
        ("1e999 in", kinds.LENGTH, '"1e999 in" is too large a number', '"31.5 in"'),
        ("1/0 in", kinds.LENGTH, '"1/0 in" divides by zero', '"31.5 in"'),
        ("0 in", kinds.LENGTH, "a length must be at least 0.1 mm", '"31.5 in"'),
        ("-3 in", kinds.BORE, "a bore must be at least 0.1 mm", '"0.305 in"'),
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
    """Published networks have pipes of a foot, 4000 ft long, under heads of 200 ft."""
    assert parse_quantity("1 ft", kinds.BORE).value == pytest.approx(0.3048)
    assert parse_quantity("4000 ft", kinds.LENGTH).value == pytest.approx(1219.2)
    assert parse_quantity("200 ft", kinds.COORDINATE).value == pytest.approx(60.96)


def test_the_first_kind_that_knows_the_unit_is_taken() -> None:
    assert parse_quantity("45 lb/h", kinds.VOLUME_FLOW, kinds.MASS_FLOW).kind is kinds.MASS_FLOW


def test_values_are_shown_in_the_unit_that_was_written() -> None:
    assert in_unit_of(0.8128, parse_quantity("31.5 in", kinds.LENGTH)) == "32 in"
    assert in_unit_of(288.15, parse_quantity("59 degF", kinds.TEMPERATURE)) == "59 degF"


def test_shown_is_one_printable_line() -> None:
    assert shown("a\nb\x1b") == '"a?b?"'
    assert len(shown("x" * 1000)) < 70
