"""What the tests of the case file share."""

from collections.abc import Callable
from pathlib import Path

import pytest

from flowsim.errors import InputError, Mistake
from flowsim.files.case.reader import read_case_text

NAME = "case.toml"


@pytest.fixture(scope="session")
def two_tanks() -> str:
    """Text of a sound case with most of the format in it."""
    return (Path(__file__).parent / "two_tanks.toml").read_text(encoding="utf-8")


@pytest.fixture
def mistakes() -> Callable[[str], list[Mistake]]:
    """Read a text and give its mistakes; none if it is sound."""

    def read(text: str) -> list[Mistake]:
        try:
            read_case_text(text, NAME)
        except InputError as error:
            return error.mistakes
        return []

    return read
