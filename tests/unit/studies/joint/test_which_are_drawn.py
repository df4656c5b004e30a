"""Which scenarios are drawn: no position is hidden by another.

The systems are invented.
"""

from dataclasses import replace

from flowsim.studies.adequacy.study import judge
from flowsim.studies.result import Verdict
from flowsim.system.bands import Exact, Lognormal
from flowsim.system.parts import QuadraticLoss
from tests.support.systems import BORE, two_tanks

RANK = {Verdict.ADEQUATE: 0, Verdict.CANNOT_TELL: 1, Verdict.NOT_ADEQUATE: 2}


def two_ways(sure: float, unsure: float, spread: float):
    """Left: a loss that is well known. Right: a smaller one with a wide band."""
    base = two_tanks()
    parts = {
        "left down": QuadraticLoss(name="known", kind="valve", bore=BORE, coefficient=sure,
                                   band=Exact(), source="stated"),
        "right down": QuadraticLoss(name="unsure", kind="valve", bore=BORE, coefficient=unsure,
                                    band=Lognormal(spread), source="stated"),
    }  # fmt: skip
    lines = tuple(
        replace(line, parts=(*line.parts, parts[line.name])) if line.name in parts else line
        for line in base.lines
    )
    return replace(base, lines=lines)


def only(system, name):
    (valve,) = system.selectors
    nodes = tuple(replace(n, judged=(name,)) if n == valve else n for n in system.nodes)
    return replace(system, nodes=nodes)


def test_a_position_does_not_hide_another_from_the_draws():
    """The unsure side has more flow on nominal values and falls short in many draws."""
    system = two_ways(1.0e9, 0.75e9, 2.2)
    alone = judge(only(system, "right"), draws=256)
    both = judge(system, draws=256)
    mine = {line.name: line for line in alone.lines}
    for line in both.lines:
        if line.name in mine and line.least_low is not None:
            other = mine[line.name].least_low
            assert other is not None
            assert line.least_low <= other + 0.02, line.name
    assert RANK[both.verdict] >= RANK[alone.verdict]
