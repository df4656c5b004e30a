"""Settings of all tests: the examples of property tests are the same in every run.

A check that stands before a landing must not depend on luck. New examples are looked for on
purpose: ``pytest tests/properties --hypothesis-profile=explore``.
"""

import pytest
from hypothesis import settings

settings.register_profile("fixed", derandomize=True)
settings.register_profile("explore", derandomize=False)
settings.load_profile("fixed")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is marked long, unless it is selected."""
    if "long" in (config.getoption("-m") or ""):
        return
    left_out = [item for item in items if item.get_closest_marker("long")]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if not item.get_closest_marker("long")]
