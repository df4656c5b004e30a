"""Many draws are settled in parts: the least within each draw is that of all at once."""

from pathlib import Path

import numpy as np
import pytest

from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.studies.joint import study
from flowsim.studies.joint.drawn import Least
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


def test_what_others_give_is_the_least_where_nothing_gives_less():
    """With what is known of others from the start, the least of all is the same."""
    system = read_case(Path("cases/tandem/case.toml"))
    swept, draws = sweep(system), draw(assemble(system), 30, 3)
    whole = study.joint_result(swept, draws, together=True)
    every = np.ones(len(whole.rows), bool)
    full, trapped = (whole.least(every, trapped=air) for air in (False, True))
    # Now below the least, now above it; below everywhere nothing is drawn.
    shift = np.where(np.arange(30) % 2, 0.05, -0.05)
    known = Least(full=full + shift, trapped=trapped + shift)
    found = study.joint_result(swept, draws, together=True, known=known)
    own = found.least(np.ones(len(found.rows), bool), trapped=True)
    np.testing.assert_array_equal(
        np.minimum(known.trapped, own), np.minimum(known.trapped, trapped)
    )
    lower = Least(full=full - 0.05, trapped=trapped - 0.05)
    assert len(study.joint_result(swept, draws, together=True, known=lower).rows) == 0
