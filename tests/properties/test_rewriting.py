"""No wrong "adequate": the rewriting count, reduced; ``python -m tests.benchmarks.rewriting``."""

import pytest

from tests.benchmarks.rewriting import examine


@pytest.mark.parametrize("seed", range(200, 203))
def test_a_rewriting_changes_no_answer_and_a_worse_system_is_no_better(seed):
    tally = examine(seed, False, False, 3)
    assert tally.systems == 1
    assert not tally.broken
