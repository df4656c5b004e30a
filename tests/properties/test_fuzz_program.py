"""A reduced run of ``tests/benchmarks/fuzz_program.py``, and seeds that once broke the program."""

import json
import random
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from flowsim.cli.main import exit_code_of
from tests.benchmarks import fuzz_program
from tests.benchmarks.fuzz_changes import WILD
from tests.support.own_process import CAN_FORK, NOT_ENDED, run_program


def test_some_runs() -> None:
    tallies: dict[str, fuzz_program.Tally] = {}
    for seed in range(20_000, 20_006):
        fuzz_program.run_one(seed, tallies)
    assert [words for tally in tallies.values() for words in tally.broken] == []
    assert sum(tally.runs for tally in tallies.values()) == 6
    assert "all               6      0" in fuzz_program.table(tallies)


@pytest.mark.parametrize(
    "seed",
    [
        # Runs of the ground test that never fill in some draws: infinity less infinity in the band
        # (53 too; ``test_a_container_that_never_fills`` asks it of the band itself).
        pytest.param(726, id="a reading of a run that never fills"),
    ],
)
def test_what_once_broke(seed: int) -> None:
    assert fuzz_program.run_one(seed, {}) == ""


@pytest.mark.parametrize(
    "seed",
    [
        # The units of a case are looked for before the reader refuses what is nested too deeply.
        pytest.param(8800249, id="dotted key of 3000 parts"),
        pytest.param(8800265, id="dotted key of 60 000 parts: 6 GB"),
        pytest.param(8800288, id="a table in a table 3000 times"),
        pytest.param(8800437, id="pitches that differ by next to nothing"),
    ],
)
def test_what_wild_changes_broke(
    seed: int, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    tried = fuzz_program.attempt(seed, tmp_path, wild=True)
    assert exit_code_of(tried.words) in fuzz_program.FINE
    assert "Warning" not in capfd.readouterr().err


def test_every_wild_kind_makes_words_to_run(tmp_path: Path) -> None:
    for number, kind in enumerate(sorted(WILD)):
        folder = tmp_path / str(number)
        folder.mkdir()
        words = WILD[kind](folder, folder / "case.toml", random.Random(number))
        assert words[0] in ("check", "unusable", "routing", "hand-check", "ground-test", "table",
                            "sheet", "report", "what-if", "uncertainty", "flight", "case", "new",
                            "compare") or kind == "options"  # fmt: skip


def test_a_seed_makes_the_same_files(tmp_path: Path) -> None:
    for seed in range(6):
        made = []
        for name in ("a", "b"):
            folder = tmp_path / f"{seed}{name}"
            folder.mkdir()
            tried = fuzz_program.attempt(seed, folder)
            words = [word.replace(str(folder), "") for word in tried.words]
            made.append((words, (folder / "case.toml").read_bytes()))
        assert made[0] == made[1]


def test_changes_change() -> None:
    changed = 0
    for seed in range(200):
        data = {"a": ["1 in", "2 mm"], "b": {"c": 3, "d": True}, "e": "words"}
        before = json.dumps(data)
        fuzz_program.change(data, random.Random(seed))
        changed += json.dumps(data) != before
    assert changed > 150


@pytest.mark.parametrize(
    ("code", "said", "seconds", "words"),
    [
        (0, "", 1.0, ""), (4, "case.toml:1: what", 1.0, ""), (70, "bug", 1.0, "exit 70"),
        (0, "x.py: RuntimeWarning: y", 1.0, "a warning"), (3, "more", 1.0, "words beside"),
        (4, "", 1.0, "without words"), (1, "", 10.1, "took"), (-9, "", 1.0, "exit -9"),
        (-1, "", 1.0, "did not end"),
    ],
)  # fmt: skip
def test_what_counts_as_broken(code: int, said: str, seconds: float, words: str) -> None:
    tried = fuzz_program.Attempt("case", ("check", "case.toml"))
    found = fuzz_program._broken(tried, code, said, seconds)
    assert words in found
    assert bool(found) is bool(words)


def forked(folder: Path, longest: float, *words: str) -> list[Any]:
    """Fork a run off a process in which nothing else runs, as the count does."""
    code = (
        "import json, sys\nfrom pathlib import Path\n"
        "from tests.support.own_process import run_program\n"
        "_, folder, longest, *words = sys.argv\n"
        "ended = run_program(words, Path(folder), longest=float(longest), fork=True)\n"
        "print(json.dumps([ended.code, ended.out, ended.err, ended.seconds, ended.memory]))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(folder), str(longest), *words],
        capture_output=True, check=True, cwd=fuzz_program.ROOT, text=True,
    )  # fmt: skip
    found: list[Any] = json.loads(done.stdout)
    return found


@pytest.mark.skipif(not CAN_FORK, reason="this system cannot fork")
def test_one_run_of_ten_starts_an_interpreter() -> None:
    assert sum(fuzz_program.forks(seed) for seed in range(100, 200)) == 90


@pytest.mark.skipif(not CAN_FORK, reason="this system cannot fork")
@pytest.mark.parametrize("words", [["check", "no.toml"], ["nonsense"]])
def test_a_fork_says_what_an_interpreter_says(tmp_path: Path, words: list[str]) -> None:
    code, out, err, _, memory = forked(tmp_path, 60.0, *words)
    fresh = run_program(words, tmp_path, fork=False)
    assert (code, out, err) == (fresh.code, fresh.out, fresh.err)
    assert code in (2, 4)
    assert memory > 10.0


@pytest.mark.skipif(not CAN_FORK, reason="this system cannot fork")
def test_a_run_that_does_not_end_is_stopped(tmp_path: Path) -> None:
    case = fuzz_program.ROOT / "cases" / "four-outlets" / "case.toml"
    code, _, _, seconds, _ = forked(tmp_path, 1.0, "report", str(case), "--out", "r")
    assert code == NOT_ENDED
    assert 0.5 < seconds < 3.0
