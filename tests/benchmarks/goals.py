"""Every goal of speed as one table: what, before, goal, now with its spread, met or not.

    python -m tests.benchmarks.goals                       all of it (some minutes)
    python -m tests.benchmarks.goals --quick               fewer repeats
    python -m tests.benchmarks.goals --only check,80-lines

Processor time of the process and its children, so that other work on the machine disturbs little;
pieces that are compared take turns in one run. A single run is off by up to 40 %: the table shows
the middle of the repeats, the least and the most. "Before" are the figures of the version from
which the goals were set, on the machine of that time. Compiled bytecode must be allowed
(PYTHONDONTWRITEBYTECODE adds 0.15 s to every start; it is taken out here).
"""

import argparse
import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from flowsim.files.case.reader import read_case
from flowsim.network.assembly import assemble
from flowsim.network.solver import solve
from flowsim.studies.adequacy.brief import judge_briefly
from flowsim.studies.adequacy.study import DRAWS, SEED
from tests.benchmarks.bench_speed import conditions, four_outlets, scalar_flow
from tests.support.large_systems import large_system

ROOT = Path(__file__).parents[2]
CASE = ROOT / "cases" / "four-outlets" / "case.toml"
FLIGHT = ROOT / "cases" / "four-outlets" / "flight.toml"
SCENARIOS = 10_000
SCALAR = 100
"""Scenarios that the scalar loop solves."""
LINEAR = 1.15
"""Growth counts as linear up to this power of the size: small sizes have fixed costs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One goal: ``found`` are the repeats, ``least`` tells that more is better."""

    name: str
    unit: str
    before: str
    goal: float
    found: list[float]
    least: bool = False

    @property
    def middle(self) -> float:
        """The middle of the repeats."""
        return statistics.median(self.found)

    @property
    def met(self) -> bool:
        """Whether the middle of the repeats meets the goal."""
        return self.middle >= self.goal if self.least else self.middle <= self.goal


Measure = Callable[[int], Iterator[Row]]


def processor_time(work: Callable[[], object]) -> float:
    """Processor time of some work in this process [s]."""
    begin = time.process_time()
    work()
    return time.process_time() - begin


def child_time(*command: str) -> float:
    """Processor time of a command in a process of its own [s]."""
    given = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    begin = resource.getrusage(resource.RUSAGE_CHILDREN)
    done = subprocess.run(command, capture_output=True, check=False, env=given, cwd=ROOT)
    end = resource.getrusage(resource.RUSAGE_CHILDREN)
    if done.returncode not in (0, 1, 3):
        raise RuntimeError(f"{' '.join(command)}: {done.stderr.decode()[-300:]}")
    return end.ru_utime + end.ru_stime - begin.ru_utime - begin.ru_stime


def flowsim(*words: str) -> tuple[str, ...]:
    """Give the command line of a flowsim command."""
    return (str(Path(sys.executable).with_name("flowsim")), *words)


def batch(repeats: int) -> Iterator[Row]:
    """Batch solve against scipy.optimize.root with the library fluids, one by one."""
    network, given = four_outlets(), conditions(SCENARIOS)
    heads = given.fixed_head[:SCALAR, :4]
    solve(network, given)
    ratios = []
    for _ in range(repeats):
        ours = processor_time(lambda: solve(network, given)) / SCENARIOS
        scalar = processor_time(lambda: [scalar_flow(row) for row in heads]) / SCALAR
        ratios.append(scalar / ours)
    yield Row(
        name="batch solve against scalar root + fluids", unit="times", before="112", goal=280.0,
        found=ratios, least=True,
    )  # fmt: skip


def judgement(repeats: int) -> Iterator[Row]:
    """Judge a loaded case: no records, no text."""
    system = read_case(CASE)
    assemble(system)
    nominal, drawn = [], []
    for number in range(repeats + 1):
        one = processor_time(lambda: judge_briefly(system, nominal=True, draws=0, seed=SEED))
        other = processor_time(lambda: judge_briefly(system, nominal=False, draws=DRAWS, seed=SEED))
        if number:  # the first warms up
            nominal.append(one)
            drawn.append(other)
    yield Row(
        name="nominal judgement, loaded", unit="s", before="0.18-0.21", goal=0.08, found=nominal
    )
    yield Row(
        name=f"the same with {DRAWS} draws", unit="s", before="0.53-0.75", goal=0.25, found=drawn
    )


def check(repeats: int) -> Iterator[Row]:
    """Check, cold, over the import of what computes."""
    ratios = []
    for number in range(repeats + 1):
        yardstick = child_time(sys.executable, "-c", "import numpy, scipy.optimize")
        ours = child_time(*flowsim("check", str(CASE)))
        if number:  # the first writes the bytecode
            ratios.append(ours / yardstick)
    yield Row(
        name="check, cold, over import numpy, scipy.optimize", unit="times", before="2.0-2.75",
        goal=1.4, found=ratios,
    )  # fmt: skip


def eighty_lines(repeats: int) -> Iterator[Row]:
    """Judge a system of eighty lines with draws."""
    system = large_system(lines=80)
    found = [
        processor_time(lambda: judge_briefly(system, nominal=False, draws=DRAWS, seed=SEED))
        for _ in range(repeats)
    ]
    yield Row(name="80 lines, judged with draws", unit="s", before="6.4", goal=0.8, found=found)


def commands(repeats: int) -> Iterator[Row]:
    """Give the processor time of the studies as commands, cold."""
    case = str(CASE)
    for name, before, words in (
        ("size, one line", "5.8", ("size", case, "feed")),
        ("size --least-fuel", "11.8", ("size", case, "--least-fuel")),
        ("uncertainty", "4.3", ("uncertainty", case)),
        ("what-if", "3.3", ("what-if", case)),
        ("flight", "2.7", ("flight", case, str(FLIGHT))),
        ("flight --transfer", "10.5", ("flight", case, "--transfer")),
    ):
        found = [child_time(*flowsim(*words)) for _ in range(max(2, repeats // 2))]
        yield Row(name=name, unit="s", before=before, goal=2.0, found=found)
    with tempfile.TemporaryDirectory() as folder:
        words = flowsim("report", case, "--out", folder, "--force")
        found = [child_time(*words) for _ in range(max(2, repeats // 2))]
    yield Row(name="report with PDF", unit="s", before="11", goal=4.0, found=found)


def growth(repeats: int) -> Iterator[Row]:
    """Give the power with which the cost of a judgement grows."""
    for name, small, large, share in (
        ("lines, 20 to 80", {"lines": 20}, {"lines": 80}, 4.0),
        ("tanks, 2 to 6", {"tanks": 2, "lines": 19}, {"tanks": 6, "positions": 7}, 3.0),
        ("positions, 5 to 10", {"positions": 5}, {"positions": 10}, 9.0 / 4.0),
    ):
        systems = [large_system(**given) for given in (small, large)]
        powers = []
        for number in range(repeats + 1):
            times = [
                processor_time(lambda s=s: judge_briefly(s, nominal=False, draws=DRAWS, seed=SEED))
                for s in systems
            ]
            if number:
                powers.append(float(np.log(times[1] / times[0]) / np.log(share)))
        yield Row(name=f"growth with {name}", unit="power", before="-", goal=LINEAR, found=powers)


def draws(repeats: int) -> Iterator[Row]:
    """Growth and memory of a long uncertainty study."""
    code = (
        "import resource, sys, time\n"
        "from pathlib import Path\n"
        "from flowsim.files.case.reader import read_case\n"
        "from flowsim.studies.uncertainty.study import uncertainty\n"
        "system = read_case(Path(sys.argv[1]))\n"
        "begin = time.process_time()\n"
        "uncertainty(system, draws=int(sys.argv[2]), seed=1, samples=0)\n"
        "used = time.process_time() - begin\n"
        "print(used, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)\n"
    )

    def once(count: int) -> tuple[float, float]:
        command = [sys.executable, "-c", code, str(CASE), str(count)]
        out = subprocess.run(command, capture_output=True, text=True, check=True, cwd=ROOT).stdout
        used, peak = out.split()
        return float(used), float(peak)

    powers, peaks = [], []
    for _ in range(max(1, repeats // 3)):
        (few, _), (many, peak) = once(20_000), once(200_000)
        powers.append(float(np.log10(many / few)))
        peaks.append(peak)
    yield Row(
        name="growth with draws, 20 000 to 200 000", unit="power", before="-", goal=LINEAR,
        found=powers,
    )  # fmt: skip
    yield Row(name="memory of 200 000 draws", unit="MiB", before="-", goal=1024.0, found=peaks)


MEASURES: dict[str, Measure] = {
    "batch": batch,
    "judgement": judgement,
    "check": check,
    "80-lines": eighty_lines,
    "commands": commands,
    "growth": growth,
    "draws": draws,
}


def line(row: Row) -> str:
    """Give one row of the table."""
    spread = f"{row.middle:9.2f} ({min(row.found):.2f} - {max(row.found):.2f})"
    goal = f"{'at least' if row.least else 'at most'} {row.goal:g}"
    return (
        f"{row.name:48s} {row.unit:6s} {row.before:>10s}  {goal:>13s}  {spread:32s}"
        f"{'met' if row.met else 'NOT MET'}"
    )


def main() -> int:
    """Measure, print the table; leave with 1 where a goal is not met."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="fewer repeats")
    parser.add_argument("--only", help="some of: " + ", ".join(MEASURES))
    given = parser.parse_args()
    names = given.only.split(",") if given.only else list(MEASURES)
    print(f"{'what':48s} {'unit':6s} {'before':>10s}  {'goal':>13s}  now: middle (least - most)")
    met = True
    for name in names:
        for row in MEASURES[name](3 if given.quick else 7):
            print(line(row), flush=True)
            met &= row.met
    return 0 if met else 1


if __name__ == "__main__":
    sys.exit(main())
