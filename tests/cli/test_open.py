"""``flowsim open`` before the page is there: what cannot be opened is refused at once."""

import re
import socket
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_what_is_no_case_is_refused(run, tmp_path) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_bytes(b"title = \xff\n")
    said = run("open", bad, "--no-browser")
    assert said.code == 4
    assert "UTF-8" in said.err
    assert said.out == ""
    assert run("open", tmp_path, "--no-browser").code in (4, 5)
    assert run("open", tmp_path / "nowhere" / "case.toml", "--no-browser").code == 2


def test_a_port_that_is_taken_is_told(run, case) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        said = run("open", case, "--no-browser", "--port", taken.getsockname()[1])
    assert said.code == 5
    assert "leave --port out" in said.err


def test_it_prints_its_address_alone_on_the_first_line_and_stops_with_ctrl_c(case) -> None:
    import signal

    before = case.read_bytes()
    with subprocess.Popen(
        [sys.executable, "-m", "flowsim.cli.main", "open", str(case), "--no-browser"],
        stdout=subprocess.PIPE, stderr=subprocess.PIPE, stdin=subprocess.PIPE, text=True, cwd=ROOT,
    ) as program:  # fmt: skip
        try:
            first = program.stdout.readline()
            assert re.fullmatch(r"http://127\.0\.0\.1:[0-9]+/#[\w-]{20,}\n", first)
            program.stdin.write("\n")
            program.stdin.flush()
            assert "Ctrl+C" in program.stdout.readline()
            assert program.stdout.readline() not in ("", first)
            program.send_signal(signal.SIGINT)
            assert program.wait(15) == 0
            assert program.stderr.read() == ""
        finally:
            program.kill()
    assert case.read_bytes() == before
    assert [path.name for path in case.parent.iterdir()] == [case.name]


def test_every_example_is_installed() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    listed = project["tool"]["setuptools"]["data-files"]
    there = {f"cases/{path.parent.name}/case.toml" for path in ROOT.glob("cases/*/case.toml")}
    assert {file for files in listed.values() for file in files} == there
