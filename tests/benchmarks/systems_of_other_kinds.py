"""Systems of other kinds than the own random ones, each a case file that the reader must take.

    python -m tests.benchmarks.systems_of_other_kinds --kind grown --systems 20000 --processes 2

Two generators that share nothing with each other or with ``tests/support/random_systems.py``:
``grown`` (a graph rewritten by rules) and ``laid`` (boxes, points and courses in space). Each case
is read, assembled and solved in scenarios drawn from its positions, fuel states, temperatures,
pitches and ends, and at a drawn flow; in one of four also up to where air is drawn and with air
behind humps. What breaks is printed at once
with its seed; the table stands at the end. Leaves with 1 when anything broke.
"""

import argparse
import resource
import sys
import time
import warnings
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import InputError
from flowsim.files.case.reader import read_case_text
from flowsim.network.assembly import Assembly, assemble
from flowsim.network.outcome import part_losses
from flowsim.network.scenarios import CARBURETTOR, OPEN_LINE, Situation, build_scenarios, situate
from flowsim.network.solver import Solution, solve
from flowsim.physics.arrays import FloatArray
from flowsim.studies.delivery.deliver import (
    deliver,
    end_flow,
    take,
    take_delivery,
    with_demand,
)
from flowsim.studies.delivery.trapped_air import trapped_air
from flowsim.studies.judged.fuel_states import fuel_states
from tests.support.grown_systems import grown_case
from tests.support.laid_systems import laid_case

KINDS = {"grown": grown_case, "laid": laid_case}
SCENARIOS = 96
"""Drawn of each system, without replacement where there are more."""
AIR_EVERY = 4
"""Of so many systems one is asked where air begins to be drawn and what air behind humps leaves:
dozens of solves each, so that all the others can be many."""
HUMPED = 12
"""Scenarios of such a system with air behind humps."""
PITCHES = (-20.0, -6.0, 0.0, 7.0, 15.0, 30.0)
"""[deg]"""
LARGEST_IMBALANCE = 1e-9
"""[-] Misfit of a node's balance over the scenario's largest flow."""
LARGEST_OPENING = 1e-6
"""[m] Losses of a line's parts against the heads at its ends."""
REST = 1e-12
"""[m3/s] Four millionths of a litre an hour: as good as standing."""
MOST_REFUSED = 0.01
"""[-] Of the systems; more would mean that a generator draws what nobody may build."""
STEEPEST_GROWTH = 1.0
"""[-] Most that the time of a system may grow with, as a power of the number of its lines."""


@dataclass
class Finding:
    """What one system gave; ``broken`` says what broke, ``refused`` what the reader said."""

    seed: int
    lines: int = 0
    positions: int = 0
    tanks: int = 0
    scenarios: int = 0
    arriving: int = 0
    unsupplied: int = 0
    seconds: float = 0.0
    solving: float = 0.0
    imbalance: float = 0.0
    opening: float = 0.0
    refused: str = ""
    broken: list[str] = field(default_factory=list)
    peak: int = 0


def examine(kind: str, seed: int) -> Finding:
    """Read one system, solve it and hold it against every bound."""
    finding = Finding(seed)
    text = KINDS[kind](seed)
    begin = time.process_time()
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        try:
            _solve(finding, text, np.random.default_rng([seed, 7]))
        except InputError as error:
            finding.refused = str(error).splitlines()[0]
            bare = [one for one in error.mistakes if one.line is None or not one.remedy]
            finding.broken += [f"a mistake without line or remedy: {one}" for one in bare]
        except Exception as error:  # noqa: BLE001 - whatever it is, it is a defect to be reported
            finding.broken.append(f"{type(error).__name__}: {error}")
    finding.seconds = time.process_time() - begin
    finding.peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return finding


def _solve(finding: Finding, text: str, dice: np.random.Generator) -> None:
    assembly = assemble(read_case_text(text, f"seed {finding.seed}"))
    system = assembly.system
    finding.lines, finding.tanks = len(system.lines), len(system.tanks)
    finding.positions = len(assembly.positions)
    situation = scenarios_of(assembly, dice)
    begin = time.process_time()
    solution = solve(assembly.network, situation.conditions)
    finding.solving = time.process_time() - begin
    check(finding, assembly, situation, solution, "end")
    given = end_flow(assembly, solution)
    finding.arriving = int((given > REST).sum())
    open_line = situation.scenarios.end == OPEN_LINE
    _count(finding, "fuel out of the open air", open_line & (given < -REST))
    drawn = np.nan_to_num(given) * dice.uniform(0.0, 1.2, len(given))
    burn = system.engine.burn / situation.density
    at_flow = with_demand(assembly, situation, np.where(drawn > 0.0, drawn, burn))
    taken = solve(assembly.network, at_flow.conditions)
    check(finding, assembly, at_flow, taken, "demand")
    if finding.seed % AIR_EVERY == 0:
        _look_at_air(finding, assembly, situation)


def scenarios_of(assembly: Assembly, dice: np.random.Generator) -> Situation:
    """Draw scenarios from all that may be combined."""
    system = assembly.system
    states = fuel_states(assembly)
    ends = [OPEN_LINE] + ([CARBURETTOR] if system.engine.carburettor else [])
    sizes = (len(PITCHES), len(assembly.positions), len(states), len(system.temperatures),
             len(ends), 2)  # fmt: skip
    whole = int(np.prod(sizes))
    rows = dice.choice(whole, min(SCENARIOS, whole), replace=False)
    pitch, position, state, temperature, end, dirty = np.unravel_index(rows, sizes)
    chosen_end = np.array(ends)[end]
    speed = np.where(chosen_end == CARBURETTOR, system.flight.climb_speed, 0.0)
    scenarios = build_scenarios(
        assembly,
        pitch=np.radians(np.array(PITCHES)[pitch]),
        position=position.astype(np.intp),
        quantity=np.array([one.quantity for one in states])[state],
        temperature=np.array(system.temperatures)[temperature],
        airspeed=speed,
        end=chosen_end.astype(np.intp),
        dip_flow=np.full(len(rows), system.engine.burn),
        screen_clear=np.where(dirty == 1, 0.2, np.nan),
    )
    return situate(assembly, scenarios)


def _count(finding: Finding, what: str, bad: FloatArray) -> None:
    if bad.any():
        finding.broken.append(f"{what} in {int(bad.sum())} of {bad.size}")


def check(
    finding: Finding, assembly: Assembly, given: Situation, solution: Solution, name: str
) -> None:
    """Hold a solution against balance, closure and direction, worked out from the lines."""
    conditions, network = given.conditions, assembly.network
    finding.scenarios += conditions.count
    _count(finding, f"unsolved ({name})", ~solution.converged)
    finding.unsupplied += int((~solution.supplied).sum())
    asked = (conditions.demand != 0.0).any(axis=1)
    _count(
        finding, f"a way to the engine overlooked, or made up ({name})",
        asked & (solution.supplied != can_be_fed(assembly, given)),
    )  # fmt: skip
    rows = np.flatnonzero(solution.converged & solution.supplied)
    if not len(rows):
        return
    here, flow, head = conditions.take(rows), solution.flow[rows], solution.head[rows]
    _count(finding, f"no number ({name})", np.isnan(flow).any(axis=1))
    size = np.maximum(np.abs(flow).max(axis=1), REST)
    for node in np.flatnonzero(~network.fixed):
        inflow = flow[:, network.end == node].sum(axis=1)
        outflow = flow[:, network.start == node].sum(axis=1)
        misfit = np.abs(inflow - outflow - here.demand[:, node]) / size
        finding.imbalance = max(finding.imbalance, float(misfit.max()))
        _count(finding, f"balance at {network.node_names[node]} ({name})",
               ~(misfit <= LARGEST_IMBALANCE))  # fmt: skip
    losses = part_losses(network, here, flow).loss
    open_ways = np.broadcast_to(here.allowed, flow.shape)
    for link, one in enumerate(network.links):
        lost = losses[:, network.part_link == link].sum(axis=1)
        across = head[:, one.start] - head[:, one.end]
        cracking = network.cracking_pressure[link] / here.density
        _check_link(
            finding, f"{one.name} ({name})", flow[:, link], lost, across, open_ways[:, link],
            network.one_way[link], cracking, size,
        )  # fmt: skip


def can_be_fed(assembly: Assembly, given: Situation) -> npt.NDArray[np.bool_]:
    """Tell whether open lines lead from a tank to the engine's inlet (scenario,)."""
    network = assembly.network
    shape = (given.conditions.count, len(network.links))
    found = np.zeros(shape[0], dtype=bool)
    open_ways = np.where(network.one_way, given.conditions.allowed & 1, given.conditions.allowed)
    for row, codes in enumerate(np.broadcast_to(open_ways, shape).tolist()):
        ways = [(link, code) for link, code in zip(network.links, codes, strict=True) if code]
        seen = set(np.flatnonzero(network.fixed).tolist())
        waiting = list(seen)
        while waiting:
            node = waiting.pop()
            for link, way in ways:
                forward = way & 1 and link.start == node
                backward = way & 2 and link.end == node
                far = link.end if forward else link.start
                if (forward or backward) and far not in seen:
                    seen.add(far)
                    waiting.append(far)
        found[row] = assembly.inlet in seen
    return found


def _check_link(
    finding: Finding, name: str, flow: FloatArray, lost: FloatArray, across: FloatArray,
    allowed: FloatArray, one_way: bool, cracking: FloatArray, size: FloatArray,
) -> None:  # fmt: skip
    """Check one link: heads closed where it flows, nothing that would open it where it stands."""
    allowed = allowed & 1 if one_way else allowed
    slack = 1e-9 * size + 10 * REST
    _count(finding, f"flow through what is closed: {name}", (allowed == 0) & (flow != 0.0))
    wrong = ((allowed == 1) & (flow < -slack)) | ((allowed == 2) & (flow > slack))
    _count(finding, f"flow the wrong way: {name}", wrong)
    known = np.isfinite(across) & (allowed != 0)
    moving = known & (
        (allowed == 3) | ((allowed == 1) & (flow > 0)) | ((allowed == 2) & (flow < 0))
    )
    opening = np.where(moving, np.abs(lost - across), 0.0)
    push = np.where(allowed == 1, across - cracking / STANDARD_GRAVITY, -across)
    pushed = np.where(known & ~moving, np.maximum(push, 0.0), 0.0)
    finding.opening = max(finding.opening, float(opening.max()), float(pushed.max()))
    _count(finding, f"heads not closed along {name}", ~(opening <= LARGEST_OPENING))
    _count(finding, f"head that would open {name}", ~(pushed <= LARGEST_OPENING))


def _look_at_air(finding: Finding, assembly: Assembly, situation: Situation) -> None:
    """Limit the flow to what draws no air, and leave the air behind humps in some scenarios."""
    found = deliver(assembly, situation)
    good = found.solution.converged & found.solution.supplied
    _count(finding, "no deliverable flow", np.isnan(found.deliverable) & good)
    _count(finding, "more than what was solved", found.deliverable > found.solved + REST)
    rows = np.flatnonzero(good & ~np.isnan(found.deliverable))[:HUMPED]
    if len(rows):
        held = trapped_air(assembly, take(situation, rows), take_delivery(found, rows))
        _count(finding, "no flow with trapped air", np.isnan(held.flow))


@dataclass
class Tally:
    """What many systems of a kind gave."""

    kind: str
    findings: list[Finding] = field(default_factory=list)

    @property
    def solved(self) -> list[Finding]:
        """Those that the reader took."""
        return [one for one in self.findings if not one.refused]

    def power(self, name: str) -> tuple[float, float]:
        """Power of the number of lines with which a time grows, ten lines on, and its error."""
        some = [(one.lines, getattr(one, name)) for one in self.solved if one.lines >= 10]
        if len({lines for lines, _ in some}) < 5:
            return float("nan"), float("nan")
        lines, seconds = np.log(np.array(some)).T
        fit, covariance = np.polyfit(lines, seconds, 1, cov=True)
        return float(fit[0]), float(np.sqrt(covariance[0, 0]))

    @property
    def failures(self) -> list[str]:
        """What is wrong with the whole."""
        found = [f"seed {one.seed}: {words}" for one in self.findings for words in one.broken]
        refused = len(self.findings) - len(self.solved)
        if refused > max(1.0, MOST_REFUSED * len(self.findings)):
            found.append(f"{refused} of {len(self.findings)} systems were refused")
        return found


def run(kind: str, systems: int, first: int, processes: int, most: float = 1e9) -> Tally:
    """Examine systems from seed ``first`` on; what breaks is printed at once."""
    tally, begin = Tally(kind), time.monotonic()
    seeds = range(first, first + systems)
    if processes == 1:
        for seed in seeds:
            _take(tally, examine(kind, seed))
            if time.monotonic() - begin > most:
                break
        return tally
    batch = 40 * processes
    with ProcessPoolExecutor(processes) as pool:
        for start in range(0, systems, batch):
            some = seeds[start : start + batch]
            for finding in pool.map(examine, [kind] * len(some), some, chunksize=5):
                _take(tally, finding)
            if time.monotonic() - begin > most:
                break
    return tally


def _take(tally: Tally, finding: Finding) -> None:
    tally.findings.append(finding)
    for words in finding.broken:
        print(f"BROKEN: {tally.kind} seed {finding.seed}: {words}", flush=True)
    if finding.refused:
        print(f"refused: {finding.refused}", flush=True)


def table(tally: Tally) -> str:
    """Give the table of a kind."""
    taken = tally.solved
    slowest = max(tally.findings, key=lambda one: one.seconds)
    broken = Counter(one.seed for one in tally.findings if one.broken)
    rows = [
        ("kind", tally.kind),
        ("systems", len(tally.findings)),
        ("  refused by the reader", len(tally.findings) - len(taken)),
        ("  broken", len(broken)),
        ("  lines, least to most", f"{_span(taken, 'lines')}"),
        ("  tanks, least to most", f"{_span(taken, 'tanks')}"),
        ("  positions, least to most", f"{_span(taken, 'positions')}"),
        ("scenarios solved", sum(one.scenarios for one in taken)),
        ("  in which fuel arrives at an end", sum(one.arriving for one in taken)),
        ("  a demand that no way leads to", sum(one.unsupplied for one in taken)),
        ("worst balance of a node, of largest flow", f"{_worst(taken, 'imbalance'):.1e}"),
        ("worst head closure of a line, m", f"{_worst(taken, 'opening'):.1e}"),
        ("slowest solve, s", f"{_worst(taken, 'solving'):.3f}"),
        ("  grows with lines to the power", _power(tally, "solving")),
        ("slowest system with all checks, s", f"{slowest.seconds:.2f} (seed {slowest.seed})"),
        ("  grows with lines to the power", _power(tally, "seconds")),
        ("most memory, MB", f"{max(one.peak for one in tally.findings) / 1024:.0f}"),
    ]
    return "\n".join(f"{name:<44}{value}" for name, value in rows)


def _power(tally: Tally, name: str) -> str:
    power, error = tally.power(name)
    return f"{power:.2f} +- {error:.2f}"


def _span(findings: list[Finding], name: str) -> str:
    values = [getattr(one, name) for one in findings]
    return f"{min(values, default=0)} to {max(values, default=0)}"


def _worst(findings: list[Finding], name: str) -> float:
    return max((getattr(one, name) for one in findings), default=0.0)


def main() -> int:
    """Run as told by the command line."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--kind", choices=sorted(KINDS), required=True)
    parser.add_argument("--systems", type=int, default=300)
    parser.add_argument("--first", type=int, default=0, help="seed of the first system")
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--most-seconds", type=float, default=1e9, help="stop after about this")
    given = parser.parse_args()
    begin = time.monotonic()
    tally = run(given.kind, given.systems, given.first, given.processes, given.most_seconds)
    failures = tally.failures
    power, error = tally.power("solving")
    if power - 3.0 * error > STEEPEST_GROWTH:
        failures.append(f"a solve grows with lines to the power {power:.2f}")
    print(table(tally))
    print(f"{'time, s':<44}{time.monotonic() - begin:.0f}")
    for words in failures:
        print(f"BROKEN: {words}")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
