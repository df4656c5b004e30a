"""Examples in messages follow the units of the case: 420 in a metric case is no 420 in."""

from pathlib import Path

import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_case_text
from flowsim.files.case.unit_choice import choice_of_text
from flowsim.files.units.examples import example_words, unit_words
from flowsim.measures import UnitChoice, Units, chosen

METRIC, US = (UnitChoice(sentences=units) for units in (Units.METRIC, Units.US))


@pytest.mark.parametrize(
    ("text", "metric", "us"),
    [
        ('write bend_radius = "1.25 in"', 'write bend_radius = "31.8 mm"', None),
        ('at = ["30 in", "0 in", "-8 in"]', 'at = ["762 mm", "0 mm", "-203 mm"]', None),
        ('capacity = "45 L"', None, 'capacity = "11.9 US_gal"'),
        ('"9.8 US_gal/h"', '"37.1 L/h"', None),
        ('"6.0 lb/US_gal"', '"0.719 kg/L"', None),
        ('tube = "3/8 in x 0.035 in", "12 deg"', None, None),
    ],
)
def test_quantities_are_put_into_the_system_that_is_shown(text, metric, us):
    assert example_words(text) == text
    with chosen(METRIC):
        assert example_words(text) == (metric or text)
    with chosen(US):
        assert example_words(text) == (us or text)


def test_a_unit_has_its_counterpart():
    with chosen(METRIC):
        assert [unit_words(unit) for unit in ("in", "mm", "kt")] == ["mm", "mm", "kt"]
    with chosen(US):
        assert [unit_words(unit) for unit in ("L/h", "in")] == ["US_gal/h", "in"]


def test_a_bare_number_of_a_metric_case_is_not_offered_in_inches():
    text = Path("cases/humps/case.toml").read_text(encoding="utf-8")
    wrong = text.replace('"330 mm"', "330", 1)
    with chosen(choice_of_text(wrong)), pytest.raises(InputError) as caught:
        read_case_text(wrong, "case.toml")
    assert 'a bare number has no unit; write "330 mm"' in str(caught.value)
