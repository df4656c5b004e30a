"""The pages of first screens are current; test_widths.py holds those of the quick cases."""

import re

import pytest

from tests.support.every_command import CASES, commands
from tests.support.first_screens import LARGE, LIGHT, PAGE, SLOW_PAGE, screens

REMAKE = "python -m tests.support.first_screens"


@pytest.mark.parametrize("name", LARGE)
def test_the_page_is_current(name: str) -> None:
    assert screens(name) in PAGE.read_text(encoding="utf-8"), REMAKE


def test_the_page_has_every_command_and_no_other() -> None:
    wanted = []
    for name in CASES:
        keys = [key for key in commands(name) if key != "check --full"]
        wanted.append(f"## {name}")
        wanted += [f"### {key}" for key in keys if name not in LARGE or key in LIGHT]
    assert re.findall(r"^##+ .+$", PAGE.read_text(encoding="utf-8"), re.MULTILINE) == wanted, REMAKE


@pytest.mark.long
@pytest.mark.parametrize("name", LARGE)
def test_the_page_of_slow_commands_is_current(name: str) -> None:
    assert screens(name, slow=True) in SLOW_PAGE.read_text(encoding="utf-8"), REMAKE
