"""Speed against a general network package on the same network and laws, as a ratio in one run.

    pip install pandapipes
    python -m tests.benchmarks.bench_network_package

The network "four outlets in two tees" of ``tests/published/pandapipes``, whose flows the test suite
holds to that package's. The package solves one scenario at a time (network built once, heads
changed); flowsim a batch of ten thousand. The largest difference of flow is printed beside it.
"""

import importlib.util
import time
import tomllib
from dataclasses import replace
from pathlib import Path
from types import ModuleType

import numpy as np

from flowsim.network.solver import solve
from tests.support.published_networks import SolvedCase

FOLDER = Path(__file__).parents[1] / "published" / "pandapipes"
SCENARIOS = 10_000
SINGLE = 40
"""Scenarios that the package solves."""


def package_side() -> ModuleType:
    """The script that made the reference data, for its way of building the network."""
    spec = importlib.util.spec_from_file_location("make_reference", FOLDER / "make_reference.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def main() -> None:
    """Time both and print the ratio."""
    package = package_side()
    cases = tomllib.loads((FOLDER / "cases.toml").read_text(encoding="utf-8"))["case"]
    case = next(case for case in cases if case["example"] == "N3")
    solved = SolvedCase(case)
    network = solved.network
    lift = np.linspace(0.0, 0.5, SCENARIOS)
    heads = np.full((SCENARIOS, len(solved.node_names)), np.nan)
    for name, head in case["heads"].items():
        raised = 0.0 if name == "E" else lift
        heads[:, solved.node_names.index(name)] = float(head.split()[0]) + raised
    repeated = solved.conditions.take(np.zeros(SCENARIOS, dtype=np.intp))
    conditions = replace(repeated, fixed_head=heads)
    solve(network, conditions)
    begun = time.perf_counter()
    ours = solve(network, conditions).flow
    own = (time.perf_counter() - begun) / SCENARIOS

    net = package.build(case)
    names = [name for name in case["heads"] if name != "E"]
    level = net.ext_grid.p_bar.to_numpy().copy()
    tank = np.array([name != "E" for name in case["heads"]])
    package.run(net)
    worst = spent = 0.0
    for row in np.linspace(0, SCENARIOS - 1, SINGLE).astype(int):
        net.ext_grid["p_bar"] = level + tank * 1e-5 * solved.density * package.G * lift[row]
        begun = time.perf_counter()
        package.run(net)
        spent += time.perf_counter() - begun
        theirs = net.res_pipe.mdot_from_kg_per_s.to_numpy() / solved.density
        worst = max(worst, float(np.abs(theirs / ours[row] - 1).max()))
    each = spent / SINGLE
    print(
        f"tanks raised together: {', '.join(names)}; {SCENARIOS} scenarios, {SINGLE} by the package"
    )
    print(f"package {1e3 * each:.1f} ms, flowsim {1e6 * own:.1f} us per scenario")
    print(f"ratio {each / own:.0f}")
    print(f"largest relative difference of a flow {worst:.1e}")


if __name__ == "__main__":
    main()
