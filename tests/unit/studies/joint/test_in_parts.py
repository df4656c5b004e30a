"""Many draws are settled in parts: the least within each draw is that of all at once."""

from pathlib import Path

import numpy as np
import pytest

from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.studies.joint import study
from flowsim.studies.judged.sweep import sweep
from flowsim.studies.sampling.draws import draw


@pytest.mark.parametrize("together", [False, True])
def test_parts_give_what_all_at_once_give(monkeypatch, together):
    system = read_case(Path("cases/tandem/case.toml"))
    swept, draws = sweep(system), draw(assemble(system), 50, 3)
    whole = study.joint_result(swept, draws, together=together)
    monkeypatch.setattr(study, "MOST_TOGETHER", 16)
    told = []
    parts = study.joint_result(swept, draws, lambda *said: told.append(said), together=together)
    assert parts.full.shape == parts.trapped.shape == (50, len(parts.rows))
    table = swept.table
    for trapped in (False, True):
        for purpose, end in {
            (p, e) for p, e in zip(table.purpose, table.scenarios.end, strict=True)
        }:

            def least(result, of=(purpose, end), with_air=trapped):
                mine = (table.purpose == of[0]) & (table.scenarios.end == of[1])
                return result.least(mine[result.rows], trapped=with_air)

            if not together:
                np.testing.assert_array_equal(least(parts), least(whole))
        every = [r.least(np.ones(len(r.rows), bool), trapped=trapped) for r in (parts, whole)]
        np.testing.assert_array_equal(*every)
    shares = [done / whole for _, done, whole in told]
    assert shares == sorted(shares)
    assert shares[-1] == 1.0
