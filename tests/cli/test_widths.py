"""At every width nothing is cut: no line is too long, and every number of the widest is there."""

import re
from collections.abc import Callable

import pytest

from flowsim.document.blocks import Column, Table
from flowsim.reports.render.terminal import render
from tests.cli.conftest import Said
from tests.cli.test_units import WALK
from tests.support.every_command import commands

WIDTHS = (40, 60, 80, 100)
NUMBER = re.compile(r"(?<![\w.])-?\d(?:[\d.]*\d)?")


@pytest.mark.parametrize(("name", "command"), WALK)
def test_no_line_is_too_long_and_no_number_is_lost(
    run: Callable[..., Said], name: str, command: str
) -> None:
    told = {width: run(*commands(name)[command], "--width", width).out for width in WIDTHS}
    numbers = set(NUMBER.findall(told[100]))
    for width, text in told.items():
        assert max(map(len, text.splitlines())) <= width
        assert not numbers - set(NUMBER.findall(text)), width


def test_piped_text_follows_columns_and_the_option_goes_before_it(
    run: Callable[..., Said], case, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    lines = run("unusable", case).out.splitlines()
    assert 50 < max(map(len, lines)) <= 60
    lines = run("unusable", case, "--width", 100).out.splitlines()
    assert 80 < max(map(len, lines)) <= 100


def test_a_width_out_of_range_is_refused(run: Callable[..., Said], case) -> None:
    answer = run("check", case, "--width", 39)
    assert answer.code == 2
    assert "--width" in answer.err


class TestTable:
    NAMES = (Column(name="what"), Column(name="first figure", numeric=True),
             Column(name="second figure", numeric=True))  # fmt: skip
    ROWS = (("a name of some words", "1234567.25", "-0.5"), ("heading across",), ("b", "2", "3.75"))

    def text(self, width: int, **more) -> str:
        return render([Table(caption="", columns=self.NAMES, rows=self.ROWS, **more)], width)

    def test_wide_it_stands_as_it_is(self):
        assert "first figure   second figure" in self.text(80)

    def test_narrower_the_heads_of_numbers_break(self):
        text = self.text(42)
        assert re.search(r"first +second\n", text)
        assert re.search(r"figure +figure\n", text)

    def test_narrowest_it_is_a_list(self):
        made = (*self.NAMES, *self.NAMES[1:])
        rows = tuple((*row, *row[1:]) for row in self.ROWS)
        foot = (("sum", "9", "8", "7", "6"),)
        text = render([Table(caption="", columns=made, rows=rows, foot=foot)], 40)
        words = " ".join(text.split())
        assert "- a name of some words; first figure: 1234567.25; second figure: -0.5;" in words
        assert "heading across - b; first figure: 2; second figure: 3.75;" in words
        assert "- sum; first figure: 9;" in words
