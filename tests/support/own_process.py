"""The program in a process of its own that need not import anything again.

A fresh interpreter spends half a second on imports; where the system can fork, a run is a child of
a process that has imported all of flowsim already. It is a process nevertheless: its own memory,
streams, working folder, exit code and end.
"""

import importlib
import json
import math
import os
import pkgutil
import signal
import subprocess
import sys
import time
import traceback
import warnings
from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from pathlib import Path
from typing import NoReturn, Self

import flowsim

ROOT = Path(__file__).parents[2]
MOST_MEMORY = 6 << 30
"""[byte] A run that asks for more gets a MemoryError, and the other runs keep the machine."""
PATIENCE = 20.0
NOT_ENDED = -1
OUT_OF_TIME = -getattr(signal, "SIGXCPU", 24)
CAN_FORK = hasattr(os, "fork")


@dataclass(frozen=True)
class Ended:
    """How a run ended: exit code (``NOT_ENDED``: stopped), what it said, what it took.

    ``seconds`` [s] are of processor time, ``waited`` [s] by the clock, ``memory`` [MB] the most.
    """

    code: int
    out: str
    err: str
    seconds: float
    waited: float
    memory: float


def run_program(
    words: Sequence[str],
    folder: Path,
    *,
    longest: float = 60.0,
    more: Mapping[str, str] | None = None,
    fork: bool = False,
) -> Ended:
    """Run ``flowsim`` with some words in a folder.

    Parameters
    ----------
    words : sequence of str
        What stands after the program's name.
    folder : Path
        Working folder; its files ``.out`` and ``.err`` receive what is said.
    longest : float
        Processor time [s] after which the run is stopped; by the clock ``PATIENCE`` times that, for
        a machine may be busy with other things.
    more : mapping of str to str, optional
        Further variables of the environment.
    fork : bool
        Whether the child is forked off this process; else an interpreter is started. Only where
        nothing else runs in this process (never under a test runner): what another thread holds at
        the moment of the fork, the child would wait for in vain.

    Returns
    -------
    Ended
    """
    given = {**os.environ, "PYTHONPATH": str(ROOT), "SOURCE_DATE_EPOCH": "0", **(more or {})}
    begun = time.monotonic()
    with (folder / ".out").open("w+b") as out, (folder / ".err").open("w+b") as err:
        if fork:
            warm()
            sys.stdout.flush()
            sys.stderr.flush()
            pid = os.fork()
            if not pid:
                _become(words, folder, given, (out.fileno(), err.fileno()), longest)
        else:
            started = subprocess.Popen(
                [sys.executable, "-m", "flowsim.cli.main", *words], stdin=subprocess.DEVNULL,
                stdout=out, stderr=err, cwd=folder, env=given,
            )  # fmt: skip
            started.returncode = 0  # it is waited for below, with what it used
            pid = started.pid
        code, seconds, memory = _wait(pid, begun + PATIENCE * longest)
        out.seek(0)
        err.seek(0)
        said = (out.read().decode(errors="replace"), err.read().decode(errors="replace"))
    return Ended(code, *said, seconds, time.monotonic() - begun, memory)


@cache
def warm() -> None:
    """Import every module of the program, and what its commands import only when they need it."""
    for module in pkgutil.walk_packages(flowsim.__path__, "flowsim."):
        importlib.import_module(module.name)
    for name in ("jinja2", "typst", "tomlkit", "openpyxl", "matplotlib", "scipy"):
        try:
            importlib.import_module(name)
        except ImportError:
            continue


def _become(
    words: Sequence[str],
    folder: Path,
    given: Mapping[str, str],
    streams: tuple[int, int],
    longest: float,
) -> NoReturn:
    """Turn this child into a run of the program; it never returns."""
    try:
        import resource

        from flowsim.cli.main import run

        os.chdir(folder)
        nothing = os.open(os.devnull, os.O_RDONLY)
        for place, source in enumerate((nothing, *streams)):
            os.dup2(source, place)
        sys.stdin = open(0, encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stdout = open(1, "w", encoding="utf-8", closefd=False)  # noqa: SIM115
        sys.stderr = open(2, "w", encoding="utf-8", buffering=1, closefd=False)  # noqa: SIM115
        sys.argv = ["flowsim", *words]
        os.environ.clear()
        os.environ.update(given)
        signal.signal(signal.SIGINT, signal.default_int_handler)
        signal.signal(signal.SIGTERM, signal.SIG_DFL)
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        most = math.ceil(longest)
        resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))
        warnings.resetwarnings()  # as in a fresh interpreter, whatever a test runner set
        warnings.simplefilter("default")
        run()
    except BaseException:  # noqa: BLE001 - the parent's own code must not run on in the child
        traceback.print_exc()
    os._exit(99)


def _wait(pid: int, end: float) -> tuple[int, float, float]:
    """Wait for a child; give its code, processor time [s], memory [MB]."""
    pause = 0.001
    while True:
        ended, status, usage = os.wait4(pid, os.WNOHANG)
        if ended:
            seconds, code = usage.ru_utime + usage.ru_stime, os.waitstatus_to_exitcode(status)
            return NOT_ENDED if code == OUT_OF_TIME else code, seconds, usage.ru_maxrss / 1024
        if time.monotonic() > end:
            os.kill(pid, signal.SIGKILL)
            os.wait4(pid, 0)
            return NOT_ENDED, 0.0, 0.0
        time.sleep(pause)
        pause = min(0.01, 1.2 * pause)


class Forker:
    """A process in which nothing else runs, and which forks a run off whenever it is asked.

    It has imported everything once, so each run spares the half second of a fresh interpreter;
    under a test runner too, whose own process must not be forked.
    """

    def __init__(self) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "tests.support.own_process"], cwd=ROOT, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )  # fmt: skip

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self._process.communicate()

    def run(
        self, words: Sequence[str], folder: Path, *, more: Mapping[str, str] | None = None
    ) -> Ended:
        """Run ``flowsim`` with some words in a folder, as ``run_program`` does."""
        asked = {
            "words": list(words),
            "folder": str(folder),
            "more": {**os.environ, **(more or {})},
        }
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._process.stdin.write(json.dumps(asked) + "\n")
        self._process.stdin.flush()
        return Ended(**json.loads(self._process.stdout.readline()))


def _fork_as_asked() -> None:
    """Fork a run off for each line of standard input, and say how it ended."""
    warm()
    for line in sys.stdin:
        asked = json.loads(line)
        os.environ.clear()
        ended = run_program(asked["words"], Path(asked["folder"]), more=asked["more"], fork=True)
        print(json.dumps(asdict(ended)), flush=True)


if __name__ == "__main__":
    _fork_as_asked()
