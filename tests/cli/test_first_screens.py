"""The pages of first screens are current."""

import pytest

from tests.support.every_command import CASES
from tests.support.first_screens import LARGE, PAGE, SLOW_PAGE, screens

REMAKE = "python -m tests.support.first_screens"


@pytest.mark.parametrize("name", list(CASES))
def test_the_page_is_current(name: str) -> None:
    assert screens(name) in PAGE.read_text(encoding="utf-8"), REMAKE


@pytest.mark.long
@pytest.mark.parametrize("name", LARGE)
def test_the_page_of_slow_commands_is_current(name: str) -> None:
    assert screens(name, slow=True) in SLOW_PAGE.read_text(encoding="utf-8"), REMAKE
