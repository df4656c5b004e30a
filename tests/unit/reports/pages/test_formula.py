"""Formulas in symbols, worked out as one does by hand."""

import math

import pytest

from flowsim.reports.pages.formula import worked_out

ROWS = [
    # formula, its numbers, its value
    ("a + b c", "2 + 3 x 4", 14.0),
    ("a/b c", "2/3 x 4", 8.0 / 3.0),
    ("a/(b c)", "2/(3 x 4)", 2.0 / 12.0),
    ("a x (b - c)", "2 x (3 - 4)", -2.0),
    ("1/a^2 + 25/b", "1/2^2 + 25/3", 0.25 + 25.0 / 3.0),
    ("2 a/(b^2 c)", "2 x 2/(3^2 x 4)", 4.0 / 36.0),
    ("sqrt(1 + (a b)^2)", "sqrt(1 + (2 x 3)^2)", math.sqrt(37.0)),
    ("1 - pi/4 a b", "1 - pi/4 x 2 x 3", 1.0 - math.pi / 4.0 * 6.0),
]


@pytest.mark.parametrize(("formula", "numbers", "value"), ROWS)
def test_numbers_are_put_in_and_worked_out(formula: str, numbers: str, value: float):
    (line,), found = worked_out([f"h = {formula} | m"], {"a": 2.0, "b": 3.0, "c": 4.0})
    assert found == pytest.approx(value, rel=1e-15)
    assert line == f"h = {formula} = {numbers} = {value:.6g} m"


def test_a_line_may_use_what_those_before_it_gave():
    lines, value = worked_out(
        ["half of it k = a/2", "{k} of {a} is left", "h = k a | m (so much)"], {"a": 3.0}
    )
    assert value == 4.5
    assert lines == (
        "half of it k = a/2 = 3/2 = 1.5",
        "1.5 of 3 is left",
        "h = k a = 1.5 x 3 = 4.5 m (so much)",
    )


def test_no_formula_is_no_number():
    assert math.isnan(worked_out(["read off"], {})[1])


@pytest.mark.parametrize("text", ["a $ b", "(a", "a )", "sqrt a", "a +"])
def test_what_cannot_be_read_is_refused(text: str):
    with pytest.raises(ValueError, match=r"formula|stands|sqrt|bracket"):
        worked_out([f"h = {text}"], {"a": 1.0, "b": 2.0})


def test_an_unknown_symbol_is_refused():
    with pytest.raises(KeyError):
        worked_out(["h = a b"], {"a": 1.0})
