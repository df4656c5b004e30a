"""Time of joint draws against plain solves, and the memory of a long uncertainty study.

    python -m tests.benchmarks.bench_draws            100 000 draws
    python -m tests.benchmarks.bench_draws --quick    10 000 draws

Prints the time of that many joint draws of the four-outlet case at its deciding scenario (making
the draws, solving them, looking for air) over the time of that many plain solves: of the same
network in scenarios of the sweep, and of the smaller network of ``bench_speed``. Then the peak
memory of an uncertainty study of 20 000 and of 200 000 draws.
"""

import argparse
import resource
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

from flowsim.files.case.reader import read_case
from flowsim.network.solver import solve
from flowsim.studies.delivery.deliver import take
from flowsim.studies.joint.study import joint_ratios
from flowsim.studies.judged.sweep import Sweep, sweep
from flowsim.studies.sampling.draws import batches
from flowsim.studies.verdict.judging import judge_lines
from flowsim.studies.verdict.overall import overall
from tests.benchmarks.bench_speed import conditions, four_outlets

WANTED = 1.5
CASE = Path(__file__).parents[2] / "cases" / "four-outlets" / "case.toml"
STUDY = """
import sys
from pathlib import Path
from flowsim.files.case.reader import read_case
from flowsim.studies.uncertainty.study import uncertainty
system = read_case(Path(sys.argv[1]))
uncertainty(system, draws=int(sys.argv[2]), seed=1, samples=0)
"""


def shortest(repeats: int, *work: Callable[[], object]) -> list[float]:
    """Give the shortest time [s] of each piece of work; they take turns, so noise is shared."""
    times = [[] for _ in work]
    for _ in range(repeats):
        for index, piece in enumerate(work):
            begin = time.perf_counter()
            piece()
            times[index].append(time.perf_counter() - begin)
    return [min(each) for each in times]


def draw_and_solve(swept: Sweep, row: int, count: int) -> None:
    """Make joint draws of one scenario and solve them, in the study's own batches."""
    rows = np.array([row])
    for batch in batches(swept.assembly, count, 1):
        joint_ratios(swept, rows, batch)


def ratios(count: int, repeats: int) -> None:
    """Print the ratios."""
    swept = sweep(read_case(CASE))
    row = overall(swept, None, judge_lines(swept, None)).deciding
    end = swept.table.scenarios.end == swept.table.scenarios.end[row]
    same = np.flatnonzero(end & np.isfinite(swept.flow) & (swept.flow > 0))
    some = np.random.default_rng(1).choice(same, count)
    situation = take(swept.situation, some)
    small, given = four_outlets(), conditions(count)
    drawn, plain, other = shortest(
        repeats,
        lambda: draw_and_solve(swept, row, count),
        lambda: solve(swept.assembly.network, situation.conditions),
        lambda: solve(small, given),
    )
    print(f"{count} joint draws, four-outlet case, deciding scenario  {drawn:8.2f} s")
    print(f"{count} plain solves of the same network                  {plain:8.2f} s")
    print(f"ratio                                   {drawn / plain:8.2f} (at most {WANTED})")
    print(f"{count} plain solves of the smaller network (bench_speed) {other:8.2f} s")
    print(f"ratio                                   {drawn / other:8.2f}")


def memory(counts: tuple[int, ...]) -> None:
    """Print the peak memory of uncertainty studies, each in a process of its own."""
    for count in counts:
        code = STUDY + "import resource\nprint(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)"
        done = subprocess.run(
            [sys.executable, "-c", code, str(CASE), str(count)],
            capture_output=True, text=True, check=True,
        )  # fmt: skip
        print(f"uncertainty study, {count} draws: peak {int(done.stdout) / 1024:8.0f} MiB")


def main() -> None:
    """Run it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true")
    quick = parser.parse_args().quick
    ratios(10_000 if quick else 100_000, 3 if quick else 5)
    if not quick:
        memory((20_000, 200_000))
    print(f"peak of this process: {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024} MiB")


if __name__ == "__main__":
    main()
