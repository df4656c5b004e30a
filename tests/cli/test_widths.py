"""At every width nothing is cut: no line is too long, and every number of the widest is there.

A command is run once: what it prints is a document, laid out here at the other widths. That the
program lays it out alike is shown on one case. The page of first screens is looked at on the way.
"""

import importlib
import pkgutil
import re
from collections.abc import Callable
from typing import Any

import pytest

from flowsim.document.blocks import Column, Table
from flowsim.document.document import Document
from flowsim.reports import pages
from flowsim.reports.render.terminal import render
from tests.cli.conftest import Said
from tests.cli.test_units import QUICK, WALK
from tests.support.every_command import ROOT, commands
from tests.support.first_screens import PAGE, as_typed, screen

WIDTHS = (40, 60, 80, 100)
NUMBER = re.compile(r"(?<![\w.])-?\d(?:[\d.]*\d)?")


@pytest.fixture
def printed(monkeypatch: pytest.MonkeyPatch) -> list[Document]:
    """Give the documents that the commands laid out, the last one printed last."""
    found: list[Document] = []

    def spy(document: Document, *given: Any, **more: Any) -> str:
        found.append(document)
        return render(document, *given, **more)

    for item in pkgutil.iter_modules(pages.__path__):
        module = importlib.import_module(f"{pages.__name__}.{item.name}")
        if getattr(module, "render", None) is render:
            monkeypatch.setattr(module, "render", spy)
    return found


@pytest.mark.parametrize(("name", "command"), WALK)
def test_no_line_is_too_long_and_no_number_is_lost(
    run: Callable[..., Said],
    printed: list[Document],
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    command: str,
) -> None:
    monkeypatch.chdir(ROOT)
    words = as_typed(commands(name)[command])
    said = run(*words, "--width", 100).out
    told = {width: render(printed[-1], width) for width in WIDTHS}
    assert told[100] == said
    if name == "one-tank":
        assert run(*words, "--width", 40).out == told[40]
    if name in QUICK and command != "check --full":
        page = PAGE.read_text(encoding="utf-8")
        assert screen(command, words, told[80]) in page, "python -m tests.support.first_screens"
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
