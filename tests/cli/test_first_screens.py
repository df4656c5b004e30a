"""The page of first screens is current."""

import pytest

from tests.support.every_command import CASES
from tests.support.first_screens import PAGE, screens


@pytest.mark.parametrize("name", list(CASES))
def test_the_page_is_current(name: str) -> None:
    assert screens(name) in PAGE.read_text(encoding="utf-8"), (
        "python -m tests.support.first_screens"
    )
