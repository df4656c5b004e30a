"""Speed and memory, as ratios measured in one run.

    python -m tests.benchmarks.bench_speed            all of it (about two minutes)
    python -m tests.benchmarks.bench_speed --quick    fewer repeats

Prints: the batch solve against a scalar loop of scipy.optimize.root with the library fluids on the
same network; growth with scenarios and with the parts of a line; peak memory of a million
scenarios; ``flowsim check`` cold against importing numpy and scipy.optimize; ``flowsim --help``
against a bare typer program with the same commands.
"""

import argparse
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import fluids.friction
import numpy as np
from scipy.optimize import root

from flowsim.network.conditions import Conditions
from flowsim.network.elements import Link, Network, PlacedPart
from flowsim.network.solver import solve
from flowsim.system.parts import MinorLoss, Pipe

GRAVITY = 9.80665
BORE = 0.00775
VISCOSITY = 6.4e-7
LINES = (
    ("left front", 0, 4, 0.7, 2.6, 900.0),
    ("left rear", 1, 4, 0.3, 3.8, 1700.0),
    ("right front", 2, 5, 0.7, 2.6, 900.0),
    ("right rear", 3, 5, 0.3, 3.8, 1700.0),
    ("left down", 4, 6, 1.6, 2.0, 500.0),
    ("right down", 5, 6, 1.6, 2.0, 500.0),
    ("feed", 6, 7, 1.9, 9.0, 3000.0),
)
"""Name, start, end, length [m], K and K1 of a four-outlet system (invented)."""


def four_outlets(pieces: int = 1) -> Network:
    """Make the network of four outlets; each tube cut into ``pieces`` equal parts."""
    links = []
    for name, start, end, length, k_inf, k_laminar in LINES:
        parts: list[PlacedPart] = [
            PlacedPart(
                part=Pipe(name=name, length=length / pieces, bore=BORE, roughness=1.5e-6),
                key=f"{name} {piece}",
            )
            for piece in range(pieces)
        ]
        loss = MinorLoss(name="fittings", kind="k", bore=BORE, k_inf=k_inf, k_laminar=k_laminar)
        parts.append(PlacedPart(part=loss, key=f"{name} fittings"))
        links.append(Link(name=name, start=start, end=end, parts=tuple(parts)))
    names = ("lf", "lr", "rf", "rr", "left tee", "right tee", "selector", "end")
    fixed = np.array([True, True, True, True, False, False, False, True])
    return Network(names, fixed, tuple(links))


def conditions(count: int, seed: int = 1) -> Conditions:
    """Draw ``count`` scenarios of tank heads."""
    generator = np.random.default_rng(seed)
    head = np.full((count, 8), np.nan)
    head[:, 0] = head[:, 1] = generator.uniform(0.2, 1.2, count)
    head[:, 2] = head[:, 3] = generator.uniform(0.2, 1.2, count)
    head[:, 7] = 0.0
    return Conditions(
        fixed_head=head,
        demand=np.zeros((1, 8)),
        allowed=np.full((1, 7), 3, dtype=np.int8),
        kinematic_viscosity=np.full(1, VISCOSITY),
        density=np.full(1, 715.0),
        held_head=np.zeros((1, 7)),
        screen_clear=np.full(1, np.nan),
    )


def scalar_flow(heads: np.ndarray) -> np.ndarray:
    """Solve one scenario as most people would: scipy.optimize.root and fluids, flows unknown."""
    area = np.pi * BORE**2 / 4

    def loss(line: tuple[str, int, int, float, float, float], flow: float) -> float:
        _, _, _, length, k_inf, k_laminar = line
        speed = abs(flow) / area
        reynolds = max(speed * BORE / VISCOSITY, 1e-6)
        if reynolds < 1900:
            factor = 64 / reynolds
        else:
            factor = fluids.friction.Clamond(reynolds, 1.5e-6 / BORE, False)
            if reynolds < 2300:
                share = np.log(reynolds / 1900) / np.log(2300 / 1900)
                smooth = share * share * (3 - 2 * share)
                factor = (64 / reynolds) ** (1 - smooth) * factor**smooth
        total = factor * length / BORE + k_inf + k_laminar / reynolds
        return float(np.sign(flow) * total * speed**2 / (2 * GRAVITY))

    def misfit(unknown: np.ndarray) -> np.ndarray:
        flow, node = unknown[:7] * 1e-5, dict(zip((4, 5, 6), unknown[7:], strict=True))
        head = {**dict(enumerate(heads[:4])), **node, 7: 0.0}
        laws = [
            head[line[1]] - head[line[2]] - loss(line, float(flow[number]))
            for number, line in enumerate(LINES)
        ]
        balance = [
            flow[0] + flow[1] - flow[4],
            flow[2] + flow[3] - flow[5],
            flow[4] + flow[5] - flow[6],
        ]
        return np.array([*laws, *(1e5 * value for value in balance)])

    begin = np.array([1.0, 1.0, 1.0, 1.0, 2.0, 2.0, 4.0, 0.4, 0.4, 0.3])
    found = root(misfit, begin, method="hybr", tol=1e-10)
    return found.x[:7] * 1e-5 if found.success else np.full(7, np.nan)


def best_of(repeats: int, work) -> float:
    """Give the shortest of some runs [s]."""
    times = []
    for _ in range(repeats):
        begin = time.perf_counter()
        work()
        times.append(time.perf_counter() - begin)
    return min(times)


def batch_against_scalar(repeats: int) -> None:
    """Print the ratio per scenario, and how well both agree."""
    network, given = four_outlets(), conditions(10_000)
    solve(network, conditions(100))
    batch = best_of(repeats, lambda: solve(network, given)) / 10_000
    some = given.fixed_head[:100, :4]
    begin = time.perf_counter()
    scalar = np.array([scalar_flow(heads) for heads in some])
    each = (time.perf_counter() - begin) / len(some)
    ours = solve(network, given).flow[:100]
    good = np.isfinite(scalar).all(axis=1)
    off = np.nanmax(np.abs(scalar - ours)[good].max(axis=1) / ours[good, 6])
    print(f"batch solve, 10 000 scenarios      {1e6 * batch:10.2f} us each")
    print(f"scalar root + fluids, 100 of them  {1e6 * each:10.2f} us each")
    print(f"ratio                              {each / batch:10.0f} (wanted: at least 100)")
    print(f"scalar solves that succeeded       {good.sum():10d} of 100")
    print(f"largest difference in flow         {off:10.1e} of the end flow")


def growth(repeats: int) -> None:
    """Print how cost grows with scenarios and with the parts of a line."""
    network = four_outlets()
    small = best_of(repeats, lambda: solve(network, conditions(20_000)))
    large = best_of(repeats, lambda: solve(network, conditions(200_000)))
    print(f"ten times the scenarios cost       {large / small:10.2f} times (linear: 10)")
    few, many = four_outlets(1), four_outlets(8)
    given = conditions(20_000)
    one = best_of(repeats, lambda: solve(few, given))
    eight = best_of(repeats, lambda: solve(many, given))
    print(f"eight pieces per tube cost         {eight / one:10.2f} times one (linear: 8)")


def memory() -> None:
    """Print the peak memory of a million scenarios, in a process of its own."""
    code = (
        "import resource\n"
        "from tests.benchmarks.bench_speed import four_outlets, conditions, solve\n"
        "found = solve(four_outlets(), conditions(1_000_000))\n"
        "assert found.converged.all()\n"
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2)\n"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    print(f"a million scenarios, peak memory   {float(out.stdout):10.2f} GiB (wanted: under 1)")


def cold(repeats: int) -> None:
    """Print cold starts of the commands against their yardsticks."""
    flowsim = str(Path(sys.executable).with_name("flowsim"))
    case = str(Path(__file__).parents[2] / "cases" / "four-outlets" / "case.toml")

    def run(*command: str) -> float:
        return best_of(repeats, lambda: subprocess.run(command, capture_output=True, check=False))

    yardstick = run(sys.executable, "-c", "import numpy, scipy.optimize")
    check = run(flowsim, "check", case)
    print(f"import numpy, scipy.optimize       {yardstick:10.2f} s")
    print(f"flowsim check, four outlets, cold  {check:10.2f} s")
    print(f"ratio                              {check / yardstick:10.2f} (wanted: at most 3)")
    with tempfile.TemporaryDirectory() as folder:
        bare = Path(folder) / "bare.py"
        bare.write_text(_bare_program())
        plain = run(sys.executable, str(bare), "--help")
    ours = run(flowsim, "--help")
    print(f"flowsim --help over a bare program {ours / plain:10.2f} (wanted: at most 1.3)")


def _bare_program() -> str:
    from flowsim.cli.main import app

    names = [info.name or info.callback.__name__ for info in app.registered_commands]
    names += [group.name for group in app.registered_groups]
    lines = ["import typer", "app = typer.Typer()"]
    for number, name in enumerate(names):
        lines += [
            f"@app.command(name={name!r})",
            f"def command_{number}(case: str) -> None:",
            f"    '''Do {name}.'''",
        ]
    return "\n".join([*lines, "app()"])


def main() -> None:
    """Run the benchmark and print its figures."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--quick", action="store_true")
    repeats = 2 if parser.parse_args().quick else 5
    batch_against_scalar(repeats)
    growth(repeats)
    memory()
    cold(repeats)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024**2
    print(f"peak memory of this run            {peak:10.2f} GiB")


if __name__ == "__main__":
    main()
