"""Purposes that ask for the burn alone are worked out as far as they could decide, and told so."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.measures import FAR_ENOUGH
from flowsim.network.assembly import assemble
from flowsim.studies.adequacy.brief import judged_table
from flowsim.studies.joint.study import TO_FAR_ENOUGH, JointResult, joint_ratios, joint_result
from flowsim.studies.judged.scenarios import CLIMB
from flowsim.studies.judged.sweep import Sweep, sweep_of
from flowsim.studies.sampling.draws import draw
from flowsim.studies.verdict.judging import percentile
from tests.support.systems import two_tanks

DRAWS, SEED = 128, 3


def both(times: float) -> tuple[Sweep, JointResult, JointResult]:
    """Sweep two tanks at a multiple of their burn; what is drawn, and everything drawn."""
    base = two_tanks(temperatures=(288.15,))
    system = replace(base, engine=replace(base.engine, burn=times * base.engine.burn))
    assembly = assemble(system)
    swept = sweep_of(assembly, judged_table(assembly))
    draws = draw(assembly, DRAWS, SEED)
    return swept, joint_result(swept, draws), joint_ratios(swept, swept.judged_rows, draws)


@pytest.mark.parametrize("times", [0.7, 2.2, 2.5, 3.0, 6.0])
def test_up_to_there_each_draw_is_that_of_drawing_everything(times: float) -> None:
    swept, joint, whole = both(times)
    table = swept.table
    kinds = {(int(table.scenarios.end[row]), str(table.purpose[row])) for row in swept.judged_rows}
    assert {key for key in kinds if key[1] in TO_FAR_ENOUGH} == set(joint.far) != set()
    for end, purpose in kinds:
        found, every = (one.least_of(table, end, purpose, trapped=True) for one in (joint, whole))
        if purpose in TO_FAR_ENOUGH:
            every = np.where(every < FAR_ENOUGH, every, np.inf)
        assert found == pytest.approx(every, rel=1e-6)


@pytest.mark.parametrize("times", [0.7, 2.5])
def test_the_least_of_all_is_that_of_drawing_everything(times: float) -> None:
    _, joint, whole = both(times)
    for trapped in (True, False):
        mine, every = (
            one.least(np.ones(len(one.rows), dtype=bool), trapped=trapped) for one in (joint, whole)
        )
        assert mine == pytest.approx(every, rel=1e-6)


def test_what_decides_is_worked_out_to_its_end() -> None:
    swept, joint, _ = both(0.7)
    least = joint.least_of(swept.table, 0, CLIMB, trapped=True)
    assert np.isfinite(least).all()
    assert least.min() > FAR_ENOUGH  # more than others are asked for
    rows = joint.rows
    assert set(swept.table.purpose[rows]) == {CLIMB}


def test_percentiles_of_what_is_far() -> None:
    values = np.concatenate([np.linspace(1.0, 1.9, 10), np.full(10, np.inf)])
    known = np.concatenate([values[:10], np.full(10, 5.0)])
    assert percentile(values, 20.0) == np.percentile(known, 20.0)
    assert percentile(values, 95.0) == np.inf
    assert percentile(np.full(4, np.inf), 5.0) == np.inf
    assert np.isnan(percentile(np.append(values, np.nan), 5.0))
    assert percentile(known, 95.0) == 5.0  # worked out: told
