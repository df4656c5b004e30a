"""A case to run commands on, and what a command said."""

import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from flowsim.cli.main import exit_code_of
from flowsim.files.case.starter import starter_text


@dataclass(frozen=True)
class Said:
    """Exit code and both streams."""

    code: int
    out: str
    err: str


@pytest.fixture(autouse=True)
def fixed_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TERM", "dumb")
    monkeypatch.setenv("NO_COLOR", "1")


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "starter.toml"
    path.write_text(starter_text("Starter"), encoding="utf-8")
    return path


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Callable[..., Said]:
    """Run a command in this process."""

    def call(*words: object) -> Said:
        code = exit_code_of([str(word) for word in words])
        caught = capsys.readouterr()
        return Said(code, caught.out, caught.err)

    return call


@pytest.fixture
def shell() -> Callable[..., Said]:
    """Run Python code, or the program, in a process of its own."""

    def call(*words: object, **options) -> Said:
        done = subprocess.run(
            [sys.executable, *map(str, words)],
            capture_output=True,
            text=True,
            check=False,
            stdin=subprocess.DEVNULL,
            **options,
        )
        return Said(done.returncode, done.stdout, done.stderr)

    return call
