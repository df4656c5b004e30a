"""The study's word is that of check: the worst of everything that decides, not of flows alone."""

from pathlib import Path

import pytest

from flowsim.files.case.reader import read_case
from flowsim.reports.pages.uncertainty import uncertainty_text
from flowsim.studies.adequacy.study import SEED, judge
from flowsim.studies.result import Topic, Verdict
from flowsim.studies.uncertainty.study import uncertainty
from flowsim.system.routing import Routing
from tests.support.systems import one_tank

CASES = sorted((Path(__file__).parents[4] / "cases").glob("*/case.toml"))


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.parent.name)
def test_the_words_are_those_of_check(case: Path) -> None:
    system = read_case(case)
    checked = judge(system, draws=512)
    found = uncertainty(system, draws=512, seed=SEED, samples=0)
    assert found.verdict_words == checked.verdict_words
    assert found.reasons == checked.reasons


def test_flows_enough_and_no_word_on_the_ground() -> None:
    """Plenty of flow, but where the aeroplane stands is not stated: water cannot be judged."""
    system = one_tank(routing=Routing())
    assert judge(system, draws=256).verdict is Verdict.CANNOT_TELL
    found = uncertainty(system, draws=256, seed=SEED, samples=0)
    assert all(item.line.verdict is Verdict.ADEQUATE for item in found.lines)
    assert found.verdict is Verdict.CANNOT_TELL
    water = next(decision for decision in found.decisions if decision.topic is Topic.WATER)
    assert water.verdict is Verdict.CANNOT_TELL
    assert water.remedy


def test_where_the_chance_is_nil_it_says_change_and_not_measure() -> None:
    """A measurement narrows a band; it does not lift one that lies below the requirement."""
    starved = uncertainty(read_case(_case("nose-high")), draws=512, seed=SEED, samples=0)
    assert starved.together.chance == 0.0
    assert starved.together.high < 1.0
    text = uncertainty_text(starved, "case.toml")
    assert "Change the system, do not measure" in text
    assert "Measure first" not in text
    enough = uncertainty(read_case(_case("one-tank")), draws=512, seed=SEED, samples=0)
    assert "Measure first" in uncertainty_text(enough, "case.toml")


def _case(name: str) -> Path:
    return next(path for path in CASES if path.parent.name == name)
