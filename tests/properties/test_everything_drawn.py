"""The proven choice of what is drawn gives what drawing everything gives, to rounding.

On the bundled cases and on random plausible systems (every number invented). More of them:
``python -m pytest -m slow tests/properties/test_everything_drawn.py``.
"""

from pathlib import Path

import numpy as np
import pytest

from flowsim.files.case.reader import read_case
from flowsim.studies.adequacy.brief import judge_briefly
from flowsim.system.fuel_system import FuelSystem
from tests.support.everything_drawn import drawn_brief
from tests.support.random_systems import random_system

DRAWS = 16
ROUNDING = 1e-6
"""[-] Of a ratio: an onset of air is found to 1e-7 m of fuel from wherever its search began."""
SETTLED = 1e-6
"""Of a ratio: no more than this is none."""
CASES = sorted((Path(__file__).parents[2] / "cases").glob("*/case.toml"))
QUICK = (3, 6, 7, 11, 22, 25, 30)
MORE = tuple(seed for seed in range(40) if seed not in QUICK)


def agree(system: FuelSystem, seed: int) -> None:
    """Compare a judgement with that on everything drawn."""
    short = judge_briefly(system, nominal=False, draws=DRAWS, seed=seed)
    whole = drawn_brief(system, draws=DRAWS, seed=seed)
    assert short.overall.words == whole.overall.words
    assert short.overall.verdict is whole.overall.verdict
    for figure in ("least_low", "least_high"):
        of_all = np.maximum([getattr(short, figure), getattr(whole, figure)], 0.0)
        assert of_all[0] == pytest.approx(of_all[1], rel=ROUNDING, abs=SETTLED, nan_ok=True)
    for one, other in zip(short.lines, whole.lines, strict=True):
        assert one.verdict is other.verdict, one.name
        for figure in ("least_low", "least_median", "least_high", "chance"):
            # Where nothing arrives, how hard fuel would run back is not looked for.
            values = np.maximum([getattr(one, figure), getattr(other, figure)], 0.0)
            assert values[0] == pytest.approx(values[1], rel=ROUNDING, abs=SETTLED, nan_ok=True), (
                one.name,
                figure,
            )


def shown(path: Path) -> object:
    """Give a case as a parameter: the two with several tanks take longest, and one is enough."""
    long = path.parent.name == "four-outlets"
    return pytest.param(path, id=path.parent.name, marks=pytest.mark.long if long else ())


@pytest.mark.parametrize("path", [shown(path) for path in CASES])
def test_bundled_cases(path):
    agree(read_case(path), seed=5)


@pytest.mark.parametrize("seed", QUICK)
def test_random_systems(seed):
    agree(random_system(seed), seed)


@pytest.mark.slow
def test_more_random_systems(pytestconfig):
    for seed in MORE if "slow" in (pytestconfig.getoption("-m") or "") else (32,):
        agree(random_system(seed), seed)
