"""The program as a whole: help, start-up, broken outputs, bugs."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from flowsim.cli import main
from flowsim.cli.commands_page import commands_page

ROOT = Path(__file__).parents[2]
SLOW = (
    "numpy", "scipy", "pint", "pydantic", "tomlkit", "matplotlib", "CoolProp", "jinja2", "rich",
    "fluids",
)  # fmt: skip
COMMANDS = [command.name for command in main.app.registered_commands]


def test_help_documents_every_exit_code(run):
    said = run("--help")
    assert said.code == 0
    for code in ("0", "1", "2", "3", "4", "5", "70"):
        assert f"\n  {code:>4}  " in said.out
    assert "not an approval" in said.out
    for name in COMMANDS:
        assert name in said.out


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_has_help_with_exit_codes(run, name):
    said = run(name, "--help")
    assert said.code == 0
    assert "Exit codes" in said.out
    assert said.err == ""


def test_commands_page_is_current():
    page = (ROOT / "docs" / "commands.md").read_text(encoding="utf-8")
    assert page == commands_page(), "python -m flowsim.cli.commands_page > docs/commands.md"


def test_version(run):
    said = run("--version")
    assert said == type(said)(0, "flowsim 0.1.0\n", "")


@pytest.mark.parametrize("words", [[], *([name] for name in COMMANDS)])
def test_help_loads_nothing_slow(shell, words):
    # The command-line library itself loads pydantic to read a command's own arguments.
    slow = [name for name in SLOW if not (words and name == "pydantic")]
    code = (
        "import sys\n"
        "from flowsim.cli.main import exit_code_of\n"
        f"exit_code_of({[*words, '--help']!r})\n"
        f"print(*[name for name in {slow!r} if name in sys.modules], file=sys.stderr)\n"
    )
    said = shell("-c", code)
    assert said.out.startswith("Usage: flowsim")
    assert said.err.strip() == ""


BARE = """
from pathlib import Path
import typer
app = typer.Typer()
@app.command()
def new(name: str): "Write a case."
@app.command()
def check(case: Path, nominal: bool = False, json: bool = False, draws: int = 1, seed: int = 1,
          all: bool = False): "Judge."
@app.command()
def hand_check(case: Path, pitch: float = 0.0, selector: str = "", fuel_state: str = "",
               end: str = "", fuel_temperature: str = "", nominal: bool = False,
               json: bool = False): "Print."
app()
"""


def test_help_starts_as_fast_as_a_bare_program(tmp_path):
    bare = tmp_path / "bare.py"
    bare.write_text(BARE, encoding="utf-8")
    ours = tmp_path / "ours.py"
    ours.write_text("from flowsim.cli.main import run\nrun()\n", encoding="utf-8")

    def once(script: Path) -> float:
        start = time.perf_counter()
        subprocess.run([sys.executable, script, "--help"], check=True, stdout=subprocess.DEVNULL)
        return time.perf_counter() - start

    # The quickest of several, in turn, so that a busy machine slows both alike.
    times = [(once(bare), once(ours)) for _ in range(5)]
    assert min(t[1] for t in times) <= 1.3 * min(t[0] for t in times)


def test_a_bug_says_so_and_where_to_report_it(run, case, monkeypatch):
    def broken(*_args, **_options):
        raise ZeroDivisionError("inner secret")

    monkeypatch.setattr("flowsim.studies.adequacy.study.judge", broken)
    said = run("check", case)
    assert said.code == 70
    assert said.out == ""
    assert "ZeroDivisionError: inner secret" in said.err
    assert "This is a bug in flowsim" in said.err


def test_interrupting_is_no_verdict(run, case, monkeypatch):
    def interrupted(*_args, **_options):
        raise KeyboardInterrupt

    monkeypatch.setattr("flowsim.studies.adequacy.study.judge", interrupted)
    assert run("check", case).code == 130


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
@pytest.mark.parametrize("words", [["--json"], []])
def test_a_full_disk_is_exit_5(case, words):
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "flowsim.cli.main", "check", str(case), "--nominal", *words],
            stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert done.returncode == 5
    assert "cannot be written to standard output" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.parametrize("words", [["check", "CASE", "--nominal", "--json"], ["--help"]])
def test_a_closed_pipe_leaves_no_traceback(case, words):
    words = [str(case) if word == "CASE" else word for word in words]
    read, write = os.pipe()
    os.close(read)
    done = subprocess.run(
        [sys.executable, "-m", "flowsim.cli.main", *words],
        stdout=write, stderr=subprocess.PIPE, text=True, check=False,
    )  # fmt: skip
    os.close(write)
    assert done.returncode == 5
    assert "Traceback" not in done.stderr
    assert "Exception ignored" not in done.stderr


def test_a_terminal_without_umlauts_still_gets_the_report(shell, case):
    text = case.read_text(encoding="utf-8").replace('title = "Starter"', 'title = "Grün"')
    case.write_text(text, encoding="utf-8")
    environment = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    said = shell("-m", "flowsim.cli.main", "check", case, "--nominal", env=environment)
    assert said.out.startswith("Gr\\xfcn\n")
    assert said.err == ""


@pytest.mark.parametrize("words", [["my.toml"], ["cases/my case.toml", "--json"]])
def test_a_case_written_as_the_command_is_told_how_to_be_checked(run, words) -> None:
    said = run(*words)
    assert said.code == 2
    asked = f'"{words[0]}"' if " " in words[0] else words[0]
    assert f"write: flowsim check {asked}" in said.err


def test_slips_of_writing_reach_the_command_line_in_one_run(run, case) -> None:
    text = case.read_text(encoding="utf-8")
    text = text.replace('draw = "2 L"', "draw = “2 L”").replace(
        'capacity = "45 L"', 'capacity = "12 gal"'
    )
    text = text.replace('hose_bore = "11/32 in"', 'hose_bore = "11/32""')
    case.write_text(text, encoding="utf-8")
    said = run("check", case)
    assert said.code == 4
    assert said.out == ""
    for words in ('write draw = "2 L"', '"12 US_gal" or "12 imp_gal"', 'hose_bore = "11/32 in"'):
        assert words in said.err
    assert len(said.err.strip().split("\n")) == 3


def test_positions_and_states_match_whatever_their_case(run) -> None:
    case = "cases/four-outlets/case.toml"
    said = run("hand-check", case, "--selector", "LEFT", "--fuel-state", "Test Quantity")
    assert said.code in (0, 1, 3)
    assert "left" in said.out
