"""The tests on every change of one group, each in a copy of a process that has read them all.

Made for :mod:`tests.benchmarks.mutation`, which starts it in the folder of the changed copy.
Starting Python, importing flowsim and collecting the tests takes seconds; a test of one function
takes milliseconds. So all that is done once, every test runs once alone in a copy of the process
(which functions does it call, how long does it take), and then every change is tried in a copy of
its own on the tests that call its function, until one fails: first those that found a change of
the same function, then those that call the fewest functions.
"""

import argparse
import gc
import json
import os
import resource
import signal
import sys
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import accumulate
from pathlib import Path

import pytest
from _pytest.runner import runtestprotocol

FOUND, NOT_FOUND, NO_TEST, TIME_OUT = 1, 0, 33, 36
CHANGE = "MUTANT_UNDER_TEST"


@dataclass(frozen=True)
class Caller:
    """A test that calls a function: its time alone [s], and how many functions it calls in all."""

    item: pytest.Item
    seconds: float
    functions: int


class ChangeByChange:
    """A pytest plugin that runs the collected tests on every change."""

    def __init__(self, changes: list[str], given: argparse.Namespace) -> None:
        self.changes, self.children = changes, given.children
        self.longest, self.budget = given.longest, given.budget
        self.notes = Path("alone")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """Run each test alone, then each change on the tests that call its function."""
        session.config._tmp_path_factory.getbasetemp()  # type: ignore[attr-defined]
        self.notes.mkdir(exist_ok=True)
        items = session.items
        gc.freeze()
        in_copies(range(len(items)), lambda i: self.alone(items[i], i), self.children)
        callers: dict[str, list[Caller]] = {}
        left_out = 0
        for i, item in enumerate(items):
            note = self.notes / f"{i}.json"
            seen = json.loads(note.read_text(encoding="utf-8")) if note.exists() else {}
            note.unlink(missing_ok=True)
            if not seen.get("passed") or seen["seconds"] > self.longest:
                left_out += 1
                continue
            for function in seen["functions"]:
                own = Caller(item, seen["seconds"], len(seen["functions"]))
                callers.setdefault(function, []).append(own)
        say(f"{len(items)} tests, {left_out} left out: they fail in the copy or take too long")
        tried = [change for change in self.changes if function_of(change) in callers]
        codes = Codes()
        for change in set(self.changes) - set(tried):
            codes.put(change, NO_TEST)
        begun = time.monotonic()
        finders: dict[str, list[str]] = {}

        def done(index: int, status: int) -> None:
            found = os.waitstatus_to_exitcode(status)
            codes.put(tried[index], found if found in (FOUND, NOT_FOUND) else TIME_OUT)
            note = self.notes / str(index)
            if note.exists():
                finder = note.read_text(encoding="utf-8")
                known = finders.setdefault(function_of(tried[index]), [])
                known[:] = [finder, *(name for name in known if name != finder)]
                note.unlink()
            if codes.count % 20 == 0:
                codes.save()
                say(f"{codes.count} of {len(self.changes)}, {time.monotonic() - begun:.0f} s")

        in_copies(
            range(len(tried)),
            lambda i: self.on_change(
                tried[i], callers[function_of(tried[i])], finders.get(function_of(tried[i]), []), i
            ),
            self.children,
            done,
        )
        codes.save()
        say(f"done: {codes.count}, {time.monotonic() - begun:.0f} s")
        return True

    def alone(self, item: pytest.Item, index: int) -> int:
        """Run one test and note what it calls and how long it takes; exit code."""
        import mutmut.mutation.trampoline as trampoline

        functions: set[str] = set()
        trampoline.record_trampoline_hit = lambda name, caller=None: functions.add(name)
        os.environ[CHANGE] = "stats"
        limited(4.0 * self.longest + 10.0)
        begun = time.process_time()
        passed = not any(report.failed for report in runtestprotocol(item, log=False))
        text = {
            "functions": sorted(functions),
            "seconds": time.process_time() - begun,
            "passed": passed,
        }
        (self.notes / f"{index}.json").write_text(json.dumps(text), encoding="utf-8")
        return 0

    def on_change(self, change: str, tests: list[Caller], first: list[str], index: int) -> int:
        """Run the tests on one change, those ``first`` that found its neighbours; exit code.

        The fewer functions a test calls the more it is about this one; so those come next.
        """
        os.environ[CHANGE] = change
        rank = {name: place for place, name in enumerate(first)}
        tests = sorted(tests, key=lambda own: (rank.get(own.item.nodeid, len(rank)), own.functions))
        sums = list(accumulate(own.seconds for own in tests))
        items = [own.item for own, sum_ in zip(tests, sums, strict=True) if sum_ <= self.budget]
        items = items or [tests[0].item]
        limited(10.0 + 4.0 * min(self.budget, sums[-1]))
        for item, after in zip(items, [*items[1:], None], strict=True):
            if any(report.failed for report in runtestprotocol(item, log=False, nextitem=after)):
                (self.notes / str(index)).write_text(item.nodeid, encoding="utf-8")
                return FOUND
        return NOT_FOUND


class Codes:
    """Exit codes of the changes, kept in the files that mutmut keeps them in."""

    def __init__(self) -> None:
        self.count = 0
        self.files = {
            path: json.loads(path.read_text(encoding="utf-8")) for path in Path().rglob("*.meta")
        }
        self.place = {
            change: path for path, data in self.files.items() for change in data["exit_code_by_key"]
        }

    def put(self, change: str, code: int) -> None:
        """Note the outcome of one change."""
        self.files[self.place[change]]["exit_code_by_key"][change] = code
        self.count += 1

    def save(self) -> None:
        """Write all files."""
        for path, data in self.files.items():
            path.write_text(json.dumps(data), encoding="utf-8")


def function_of(change: str) -> str:
    """Module and name of the function that a change is made in, as mutmut writes them."""
    return change.rpartition("__mutmut_")[0]


def limited(seconds: float) -> None:
    """End this process after so much time of the processor (of the clock: twenty times that)."""
    resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 1, int(seconds) + 3))
    resource.setrlimit(resource.RLIMIT_AS, (8 << 30, 8 << 30))
    signal.alarm(int(20.0 * seconds) + 60)


def in_copies(
    indices: Iterable[int],
    work: Callable[[int], int],
    children: int,
    done: Callable[[int, int], None] = lambda index, status: None,
) -> None:
    """Do the work for each index in a copy of this process, some at a time."""
    running: dict[int, int] = {}

    def wait() -> None:
        pid, status = os.wait()
        done(running.pop(pid), status)

    for index in indices:
        if len(running) >= children:
            wait()
        child = os.fork()
        if child == 0:
            code = FOUND
            try:
                null = os.open(os.devnull, os.O_WRONLY)
                os.dup2(null, 1)
                os.dup2(null, 2)
                code = work(index)
            finally:
                os._exit(code)
        running[child] = index
    while running:
        wait()


def say(text: str) -> None:
    """Print a line of progress at once."""
    print(text, file=sys.__stderr__, flush=True)


def main() -> None:
    """Read the command line and do it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("changes", type=Path, help="file with the names of the changes, one a line")
    parser.add_argument("tests", nargs="+")
    parser.add_argument("--children", type=int, default=2)
    parser.add_argument("--longest", type=float, default=20.0, help="s, of one test that is run")
    parser.add_argument("--budget", type=float, default=60.0, help="s, of the tests of a change")
    given = parser.parse_args()
    plugin = ChangeByChange(given.changes.read_text(encoding="utf-8").split(), given)
    words = ["-q", "-s", "-p", "no:cacheprovider", "-o", "tmp_path_retention_policy=none"]
    sys.exit(pytest.main([*words, *given.tests], plugins=[plugin]))


if __name__ == "__main__":
    main()
