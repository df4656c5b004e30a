"""The page's judgement is the check's, in two steps, newest first."""

import threading
import time
from pathlib import Path

import pytest

from flowsim.files.case.reader import read_case, read_draft
from flowsim.page.worker import Worker, judge_draft
from flowsim.reports.pages.pitch_table import cell_of
from flowsim.reports.sections.grid import grid_of
from flowsim.studies.adequacy.live import flows, verdict
from flowsim.studies.adequacy.study import judge

CASES = sorted((Path(__file__).parents[2] / "cases").glob("*/case.toml"))


@pytest.mark.parametrize("case", CASES, ids=lambda path: path.parent.name)
def test_it_is_the_answer_of_check(case: Path) -> None:
    system = read_case(case)
    first = flows(system)
    assert repr(verdict(first, draws=64)) == repr(judge(system, draws=64))
    alone = judge(system, nominal=True)
    assert repr(first.result.scenarios) == repr(alone.scenarios)


def test_attitudes_are_those_of_the_terminals_table() -> None:
    case = next(path for path in CASES if path.parent.name == "nose-high")
    draft = read_draft(case.read_text(encoding="utf-8"), "x")
    said = {}
    judge_draft(draft, lambda step, object_: said.update({step: object_}), lambda: None)
    found = said[1]["attitudes"]
    result = flows(draft.system).result
    compared = 0
    for key, leasts in grid_of(result).items():
        cells = next(
            one["cells"] for one in found["sets"]
            if (found["selectors"][one["selector"]], found["states"][one["state"]],
                found["ends"][one["end"]]) == key
        )  # fmt: skip
        for least in leasts:
            pitch = round(least.pitch * 57.29577951308232, 2)
            if pitch in found["pitch_deg"]:
                cell = cells[found["pitch_deg"].index(pitch)]
                assert cell["below"] == cell_of(least.behind).below
                assert cell["kg_per_h"] == pytest.approx(3600 * least.flow, abs=1e-4)
                compared += 1
    assert compared > 200
    assert said[2]["words"] == judge(draft.system).verdict_words
    assert "verdict" not in said[1]


class Slow:
    """A judgement that takes as long as the test likes."""

    def __init__(self) -> None:
        self.begun: list[str] = []
        self.go = threading.Event()

    def __call__(self, draft, say, go_on) -> None:
        self.begun.append(draft.text)
        say(1, {"of": draft.text})
        while not self.go.is_set():
            go_on()
            time.sleep(0.002)
        go_on()
        say(2, {"of": draft.text})


def draft(title: str):
    text = CASES[1].read_text(encoding="utf-8") + f"# {title}\n"
    return read_draft(text, title)


def test_the_newest_wins_and_the_older_is_given_up() -> None:
    slow = Slow()
    worker = Worker(slow)
    one, two = draft("one"), draft("two")
    worker.want(one)
    assert worker.found(one.text, 0, 5.0).step == 1
    worker.want(two)
    assert worker.found(two.text, 0, 5.0).step == 1
    slow.go.set()
    assert worker.found(two.text, 1, 5.0).verdict == {"of": two.text}
    assert worker.found(one.text).step == 1
    worker.want(one)
    assert worker.found(one.text, 1, 5.0).step == 2
    worker.want(two)
    time.sleep(0.05)
    assert slow.begun == [one.text, two.text, one.text]
    worker.stop()


def test_what_goes_wrong_is_said() -> None:
    def broken(_draft, _say, _go_on) -> None:
        raise ZeroDivisionError("inner")

    worker = Worker(broken)
    one = draft("one")
    worker.want(one)
    found = worker.found(one.text, 0, 5.0)
    assert found.step == 2
    assert "bug in flowsim (ZeroDivisionError: inner)" in found.problem
    assert found.verdict is None
    worker.stop()
