"""Parts merged or split, named or ordered in another way: the same band, draw by draw.

What is not known of one elbow is not known of the next, so neither a line written as five pieces
nor four elbows written one by one may narrow the band. Cases: drawn at random, invented.
"""

import numpy as np
import pytest

from flowsim.network.assembly import assemble
from flowsim.studies.sampling.causes import uncertain_inputs
from tests.benchmarks.rewriting import judged, read
from tests.support.plausible_cases import Case, plausible_case
from tests.support.rewritings import SAME

EXACTLY = ("renamed", "counted_apart", "line_cut", "in_pieces", "with_idle_position")


def rewritten(case: Case, seed: int) -> Case:
    """Rewritten in every way that applies, one after the other."""
    generator, done = np.random.default_rng([seed, 3]), 0
    for name in EXACTLY:
        changed = SAME[name](case, generator)
        if changed is not None:
            case, done = changed, done + 1
    assert done >= 3
    return case


@pytest.mark.parametrize("seed", [11, 29])
def test_the_band_is_that_of_the_aeroplane_and_not_of_the_writing(seed):
    case = plausible_case(seed)
    one, two = read(case), read(rewritten(case, seed))
    assert len(two.lines) > len(one.lines)
    inputs, others = uncertain_inputs(assemble(one)), uncertain_inputs(assemble(two))
    assert {item.stream for item in inputs} == {item.stream for item in others}
    base, other = judged(one), judged(two)
    assert other.overall.words == base.overall.words
    for mine, theirs in zip(base.lines, other.lines, strict=True):
        for name in ("least_low", "least_median", "least_high"):
            wanted = getattr(mine, name)
            assert getattr(theirs, name) == pytest.approx(wanted, rel=1e-6, abs=1e-6)
