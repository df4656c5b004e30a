"""The program in odd surroundings: no home, a terminal that knows only ASCII, any width, any name
of a file, any seed of hashes and number of threads. It answers the same, without a traceback."""

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from flowsim.cli import exit_codes
from tests.cli.conftest import Said
from tests.support.every_command import CASES, FEW, commands
from tests.support.own_process import CAN_FORK, ROOT, Ended, Forker, run_program

POSIX = pytest.mark.skipif(os.name != "posix", reason="names of files are text there")
CASE = str(CASES["one-tank"])
PICTURES = {
    "uncertainty": ["uncertainty", "CASE", "--samples", "0", *FEW, "--picture", "OUT"],
    "flight": ["flight", "CASE", str(CASES["four-outlets"].with_name("flight.toml")),
               "--picture", "OUT", "--csv", "CSV"],
}  # fmt: skip


QUICK = ("check", "routing", "ground-test leak")
"""The others take a process each for the same thing: ``-m long``."""


def asked(name: str) -> list[Any]:
    """Give the commands of a case, most of them as slow."""
    return [
        pytest.param(command, marks=() if command in QUICK else pytest.mark.long)
        for command in commands(name)
    ]


@pytest.fixture(scope="module")
def program() -> Iterator[Callable[..., Ended]]:
    """Runs the program in processes of their own, forked off one that has imported it."""
    if not CAN_FORK:
        yield run_program
        return
    with Forker() as forker:
        yield forker.run


def calm(ended: Ended) -> Ended:
    assert "Traceback" not in ended.out + ended.err
    assert "Warning" not in ended.err
    assert ended.code in (0, 1, 3), ended.err
    return ended


@pytest.mark.parametrize("command", asked("one-tank"))
def test_a_terminal_that_knows_only_ascii(tmp_path: Path, command: str) -> None:
    """A title with letters beyond ASCII is written with escapes, and nothing is lost."""
    text = CASES["one-tank"].read_text(encoding="utf-8").replace('title = "', 'title = "Größe ')
    case = tmp_path / "case.toml"
    case.write_text(text, encoding="utf-8")
    words = [str(case) if word == CASE else word for word in commands("one-tank")[command]]
    ascii_only = {"LANG": "C", "LC_ALL": "C", "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    ended = calm(run_program(words, tmp_path, more=ascii_only, fork=False))
    assert ended.out.isascii()
    if "Gr" in ended.out:
        assert "Gr\\xf6\\xdfe" in ended.out


def test_no_home(tmp_path: Path) -> None:
    case = tmp_path / "case.toml"
    case.write_bytes(CASES["one-tank"].read_bytes())
    bare = {"PATH": os.environ.get("PATH", ""), "PYTHONPATH": str(ROOT), "HOME": ""}
    without = {key: value for key, value in bare.items() if key != "HOME"}
    for words, homes in (
        (["check", "case.toml", "--nominal"], (bare, without)),
        (["report", "case.toml", "--nominal", "--no-pdf", "--out", "r"], (bare,)),
        (["sheet", "case.toml", "--out", "s.pdf"], (without,)),
    ):
        for home in homes:
            done = subprocess.run(
                [sys.executable, "-m", "flowsim.cli.main", *words, *(["--force"] if "--out" in words
                                                                    else [])],
                cwd=tmp_path, env=home, capture_output=True, text=True, check=False,
            )  # fmt: skip
            assert done.returncode in (0, 1, 3), done.stderr
            assert done.stderr == ""


@pytest.mark.parametrize("columns", [20, 400])
@pytest.mark.parametrize("command", asked("humps"))
def test_any_width_of_the_terminal(
    tmp_path: Path, program: Callable[..., Ended], command: str, columns: int
) -> None:
    """Narrower than 40 it is as at 40, wider than 100 as at 100; no line is cut."""
    words = commands("humps")[command]
    ended = calm(program(words, tmp_path, more={"COLUMNS": str(columns)}))
    kept = calm(program([*words, "--width", str(min(max(columns, 40), 100))], tmp_path))
    assert ended.out == kept.out
    assert max(map(len, ended.out.splitlines())) <= min(max(columns, 40), 100)


@POSIX
def test_names_of_files_that_are_not_utf8(tmp_path: Path, program: Callable[..., Ended]) -> None:
    folder = tmp_path / os.fsdecode(b"d\xff\xfe")
    folder.mkdir()
    case = folder / os.fsdecode(b"c\xe9.toml")
    case.write_bytes(CASES["one-tank"].read_bytes())
    svg, table = folder / os.fsdecode(b"p\xe9.svg"), folder / os.fsdecode(b"t\xe9.csv")
    report = folder / os.fsdecode(b"r\xe9")
    for words in (
        ["check", str(case), "--nominal"], ["check", str(case), "--nominal", "--json"],
        ["hand-check", str(case), "--nominal"], ["routing", str(case)],
        ["uncertainty", str(case), "--samples", "0", *FEW, "--picture", str(svg)],
        ["table", str(case), "--out", str(table)], ["what-if", str(case), "--nominal"],
        ["report", str(case), "--nominal", "--no-pdf", "--out", str(report)],
    ):  # fmt: skip
        ended = calm(program(words, tmp_path))
        if "--json" in words:
            assert json.loads(ended.out)["case"]["file"].endswith(".toml")
    assert svg.is_file()
    assert table.is_file()
    assert sorted(item.name for item in report.iterdir()) == ["report.html", "report.json"]
    wrong = run_program(["check", str(folder / os.fsdecode(b"no\xff.toml"))], tmp_path)
    assert wrong.code == 4
    assert "Traceback" not in wrong.err
    case.write_text("title = 3\n", encoding="utf-8")
    assert program(["check", str(case)], tmp_path).code == 4


@pytest.mark.parametrize("words", [
    ["check", str(CASES["humps"]), *FEW, "--json"],
    ["uncertainty", str(CASES["nose-high"]), *FEW, "--samples", "8"],
    pytest.param(["report", CASE, *FEW, "--no-pdf", "--date", "2026-01-31", "--json"],
                 marks=pytest.mark.long),
], ids=lambda words: words[0])  # fmt: skip
def test_seed_of_hashes_and_threads_change_no_byte(tmp_path: Path, words: list[str]) -> None:
    told = {
        calm(
            run_program(
                words, tmp_path, fork=False,
                more={"PYTHONHASHSEED": seed, "OMP_NUM_THREADS": threads,
                      "OPENBLAS_NUM_THREADS": threads},
            )
        ).out
        for seed, threads in (("0", "1"), ("1", "2"), ("2", "1"))
    }  # fmt: skip
    assert len(told) == 1


@POSIX
@pytest.mark.parametrize(("command", "which"), [
    ("uncertainty", signal.SIGINT), ("uncertainty", signal.SIGTERM), ("flight", signal.SIGHUP),
    pytest.param("flight", signal.SIGINT, marks=pytest.mark.long),
    pytest.param("flight", signal.SIGTERM, marks=pytest.mark.long),
    pytest.param("uncertainty", signal.SIGHUP, marks=pytest.mark.long),
])  # fmt: skip
def test_a_picture_that_is_stopped_leaves_nothing(
    tmp_path: Path, command: str, which: signal.Signals
) -> None:
    """Nothing, or the whole picture; never a part of it, nor a temporary file."""
    name = "four-outlets" if command == "flight" else "one-tank"
    case = tmp_path / "case.toml"
    case.write_bytes(CASES[name].read_bytes())
    names = {"CASE": str(case), "OUT": str(tmp_path / "p.svg"), "CSV": str(tmp_path / "f.csv")}
    words = [names.get(word, word) for word in PICTURES[command]]
    for seconds in (0.3, 1.2):
        with subprocess.Popen(
            [sys.executable, "-m", "flowsim.cli.main", *words], stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE, env={**os.environ, "PYTHONPATH": str(ROOT)},
        ) as one:  # fmt: skip
            time.sleep(seconds)
            one.send_signal(which)
            _, said = one.communicate(timeout=120)
        assert b"Traceback" not in said or one.returncode == -which
        left = sorted(item.name for item in tmp_path.iterdir())
        whole = ["case.toml", *(["f.csv"] if command == "flight" else []), "p.svg"]
        assert left in (["case.toml"], whole)
        for item in left[1:]:
            text = (tmp_path / item).read_text(encoding="utf-8")
            assert text.rstrip().endswith("</svg>") or item == "f.csv"
            (tmp_path / item).unlink()


def test_an_interruption_that_is_wrapped_is_one(
    run: Callable[..., Said], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Python 3.11 wraps what is raised while a class is made; it was called a bug."""

    def stopped(*_: object) -> None:
        try:
            raise KeyboardInterrupt
        except KeyboardInterrupt as error:
            raise RuntimeError("Error calling __set_name__") from error

    monkeypatch.setattr("flowsim.files.case.reader.read_case_and_digest", stopped)
    said = run("check", CASES["one-tank"])
    assert (said.code, said.out, said.err) == (exit_codes.INTERRUPTED, "", "")
