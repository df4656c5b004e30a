"""A reduced run of ``tests/benchmarks/robustness.py``, and the systems that once broke it."""

import pytest

from tests.benchmarks import robustness


def test_three_hundred_random_systems() -> None:
    tally = robustness.run(300, 4, sizes=25, processes=1, first=2024, most=1e9)
    assert tally.systems == 300
    assert tally.broken == []
    # The bounds were put to the test: flow at rest, through transition, and against one-way links.
    assert min(tally.still, tally.transitional, tally.turbulent, tally.shut) > 30
    assert robustness.words(tally).count("\n") == 15


@pytest.mark.parametrize(
    "block",
    [
        # A loop with a flat law beside viscous tubes: heads good to 1e-7 m only let a one-way valve
        # change sides for ever, 1e-12 m3/s being against its direction. Mended by ``refine``.
        pytest.param((1000037, 25, 4), id="one-way valve in a still loop"),
        # All flows below 1e-12 m3/s were called zero, though 4e6 s/m2 of cold diesel in a long
        # narrow tube make a head of them: 6.6e-7 m were left open.
        pytest.param((1000171, 25, 4), id="creeping flow called still"),
        # Links that flowed the wrong way were shut together and cut a demand off: its scenario was
        # given up. What is cut off now opens a link that leads to it.
        pytest.param((51, 25, 4), id="demand cut off by two links"),
        pytest.param((608, 25, 4), id="demand cut off by the last link"),
        pytest.param((907, 25, 4), id="demand cut off by five links"),
        # A flat link between nodes that hang on leaks alone, 1e-16 of its weight: no head.
        pytest.param((491, 25, 4), id="nodes that hang on leaks"),
    ],
)
def test_blocks_that_once_broke(block: tuple[int, int, int]) -> None:
    tally = robustness.examine(*block)
    assert tally.broken == []
    assert tally.opening < 1e-7


def test_a_broken_bound_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(robustness, "LARGEST_OPENING", 1e-30)
    tally = robustness.examine(3, 2, 2)
    assert tally.broken == ["block 3 of 2 x 2: closure"]
    assert "BROKEN: block 3" in robustness.words(tally)
