"""What no size mends is said beside the sizes: a bore that is enough may still not be adequate."""

from pathlib import Path

from flowsim.document.words.telling import told
from flowsim.files.case.reader import read_case
from flowsim.reports.pages.size import size_text
from flowsim.studies.changes.resize import trade_tubes
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.sizing.study import size_lines

HUMPS = Path("cases/humps/case.toml")


def test_a_wide_tube_does_not_drain_the_water():
    """The dip of the bundled case stays, whatever the bore: enough flow, not adequate."""
    wide = trade_tubes()[-2:-1]
    result = size_lines(read_case(HUMPS), ("thin line",), wide, nominal=True, draws=0, seed=1)
    largest = result.sizes[-1]
    assert largest.least > 1.5
    assert largest.verdict is Verdict.NOT_ADEQUATE
    assert result.smallest_nominal is None
    flows = [d.verdict for d in largest.decisions if d.topic is Topic.FLOW]
    assert set(flows) == {Verdict.ADEQUATE}
    text = " ".join(size_text(result, (), (), "humps.toml").split())
    assert "see What no size mends below" in text
    assert "water on the ground: not adequate with every size. Try: put a drain" in text
    row = next(
        line
        for line in size_text(result, (), (), "x").splitlines()
        if told(largest.size.name) in line
    )
    assert row.endswith("see below")
    assert "Limit" not in text  # no part of the line is what is wrong


def test_on_nominal_values_everything_decides_too():
    """With draws as without, a size is enough on nominal values only if nothing else forbids it."""
    wide = trade_tubes()[-2:-1]
    drawn = size_lines(read_case(HUMPS), ("thin line",), wide, nominal=False, draws=16, seed=1)
    assert drawn.smallest_nominal is None
