"""The words of the studies are tested in metric; the other choices are walked elsewhere."""

from collections.abc import Iterator

import pytest

from flowsim.measures import choice_for, chosen


@pytest.fixture(autouse=True)
def metric() -> Iterator[None]:
    with chosen(choice_for("metric")):
        yield
