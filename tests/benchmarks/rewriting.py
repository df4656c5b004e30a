"""No wrong "adequate": random systems, written in other ways and made worse, judged as check does.

    python -m tests.benchmarks.rewriting --systems 5000 --processes 2

Every system is judged as ``check`` judges it, each of its rewritings too (``tests/support/
rewritings.py``), and a share of them by a slow oracle that draws every judged scenario without
short cuts. A rewriting of the same aeroplane must give the same flows and the same verdict; a worse
one must not give a better verdict, nor a greater least flow. Prints counts and every system that
breaks a rule, with its seed; leaves with 1 when there is one.
"""

import argparse
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from itertools import repeat
from pathlib import Path

import numpy as np
import tomlkit

from flowsim.document.words.telling import told
from flowsim.errors import InputError
from flowsim.files.case.reader import read_case
from flowsim.studies.adequacy.brief import Brief, judge_briefly
from flowsim.system.fuel_system import FuelSystem
from tests.support.everything_drawn import everything_drawn
from tests.support.plausible_cases import Case, plausible_case
from tests.support.rewritings import SAME, WORSE
from tests.support.study_figures import study_differences

DRAWS, SEED = 256, 5
SAME_FLOW = 1e-7
"""[-] Least ratios of the same aeroplane: coordinates are written with nine digits."""
TURNED_FLOW = 2e-2
"""[-] The same of a turned datum: whole degrees of pitch lie elsewhere."""
NEAR = 0.03
"""[-] Where a percentile lies this near to the requirement, sampling decides which side."""
WRITTEN_BAND = 1e-6
"""[-] Percentiles of the same aeroplane whose parts are merged, split or renamed."""
WRITTEN = ("renamed", "line_cut", "in_pieces", "counted_apart", "in_millimetres", "shifted")
"""Rewritings that leave every single draw as it is."""
SAME_BAND = 2e-3
"""[-] Percentiles against the oracle's: where air limits the flow its onset is found to 1 mm."""
RISE = 3e-3
"""[-] A worse system's least ratio may be greater by this: where air limits the flow, its onset is
found to a millimetre of fuel."""
UNLIKE = ("no_seat", "as_dips", "no_ground")
"""Rewritings whose lines of flow are not those of the system: only the word is compared."""
BACK = 1e-9
"""[m3/s] Less than that into a tank is none."""
RESISTING = ("narrower_place", "narrow_end", "narrower_tube", "more_loss", "dirtier_screen")
"""Rewritings that also hinder fuel that runs back into a tank: there more reaches the engine."""
RANK = {"adequate": 0, "adequate, open line only": 1, "cannot tell": 2, "not adequate": 3}


@dataclass
class Tally:
    """What was tried and what was found."""

    systems: int = 0
    refused: int = 0
    tried: Counter[str] = field(default_factory=Counter)
    verdicts: Counter[str] = field(default_factory=Counter)
    broken: list[str] = field(default_factory=list)

    def add(self, other: "Tally") -> None:
        """Take another tally in."""
        self.systems += other.systems
        self.refused += other.refused
        self.tried += other.tried
        self.verdicts += other.verdicts
        self.broken += other.broken


def read(case: Case) -> FuelSystem:
    """Read a case through the reader."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "case.toml"
        path.write_text(tomlkit.dumps(case), encoding="utf-8")
        return read_case(path)


def judged(system: FuelSystem) -> Brief:
    """Judge as ``check`` does, with fewer draws."""
    return judge_briefly(system, nominal=False, draws=DRAWS, seed=SEED)


def near(brief: Brief) -> bool:
    """Tell whether sampling could have decided the word."""
    low, high = brief.least_low, brief.least_high
    edges = [value for value in (low, high) if value is not None]
    for line in brief.lines:
        edges += [v for v in (line.least_low, line.least_high) if v is not None]
    return any(abs(value - 1.0) < NEAR for value in edges)


def least_ratios(brief: Brief) -> dict[str, float]:
    """Give the least nominal ratio of each line of flow; what runs back is none."""
    return {told(line.name): max(line.least_nominal, 0.0) for line in brief.lines}


def same_breaks(name: str, base: Brief, other: Brief) -> Iterator[str]:
    """Say what is not the same."""
    if base.overall.words != other.overall.words and not (near(base) or near(other)):
        yield f"{name}: {base.overall.words} became {other.overall.words} {other.overall.reasons}"
    ones, others = least_ratios(base), least_ratios(other)
    if set(ones) != set(others):
        yield f"{name}: lines {sorted(ones)} became {sorted(others)}"
        return
    allowed = TURNED_FLOW if name == "turned" else SAME_FLOW
    for line, ratio in ones.items():
        if not np.isclose(ratio, others[line], rtol=allowed, atol=allowed, equal_nan=True):
            yield f"{name}: {line}: ratio {ratio:.9g} became {others[line]:.9g}"
    if name in WRITTEN:
        for mine, theirs in zip(base.lines, other.lines, strict=True):
            for end in ("least_low", "least_high"):
                pair = [max(getattr(one, end) or 0.0, 0.0) for one in (mine, theirs)]
                if not np.isclose(*pair, rtol=WRITTEN_BAND, atol=WRITTEN_BAND):
                    yield f"{name}: {mine.name}: {end} {pair[0]:.9g} became {pair[1]:.9g}"


def worse_breaks(name: str, base: Brief, other: Brief) -> Iterator[str]:
    """Say what became better."""
    one, two = RANK[base.overall.words], RANK[other.overall.words]
    if name == "no_ground":  # then nothing is claimed of the ground: cannot tell, by decision
        one = min(one, RANK["cannot tell"])
    if two < one and not (near(base) or near(other)):
        yield (
            f"{name}: {base.overall.words} became {other.overall.words}; "
            f"before: {base.overall.reasons}"
        )
    if name in UNLIKE:
        return
    others = least_ratios(other)
    for line, ratio in least_ratios(base).items():
        if line not in others or others[line] <= ratio * (1 + RISE) + RISE:
            continue
        if not (name in RESISTING and runs_back(base, line)):
            yield f"{name}: {line}: least ratio rose from {ratio:.9g} to {others[line]:.9g}"


def runs_back(brief: Brief, name: str) -> bool:
    """Tell whether fuel runs into a tank where a line of flow has its least.

    Nothing keeps it from doing so where a position joins a full tank and an empty one. What
    hinders it leaves more for the engine: physics, and no defect of a law.
    """
    deciding = next(line.deciding for line in brief.lines if told(line.name) == name)
    assembly = brief.swept.assembly
    network, flow = assembly.network, brief.swept.delivery.solution.flow[deciding]
    outlets = [node for node, _, _ in assembly.outlets]
    out_of = np.where(np.isin(network.start, outlets), flow, 0.0)
    into = np.where(np.isin(network.end, outlets), flow, 0.0)
    return bool(min(out_of.min(), -into.max()) < -BACK)


def oracle_breaks(system: FuelSystem, base: Brief) -> Iterator[str]:
    """Say where drawing everything tells something else than what check draws."""
    words, bands = everything_drawn(system, draws=DRAWS, seed=SEED)
    if words.words != base.overall.words:
        yield f"oracle: {base.overall.words}, drawing everything gives {words.words}"
    for line in base.lines:
        low, high = bands[line.name]
        for mine, theirs in ((line.least_low, low), (line.least_high, high)):
            ones = [max(value or 0.0, 0.0) for value in (mine, theirs)]
            if not np.isclose(*ones, rtol=SAME_BAND, atol=SAME_BAND):
                name = told(line.name)
                yield f"oracle: {name}: percentile {mine}, drawing everything gives {theirs}"


def examine(seed: int, studies: bool, oracle: bool, most: int) -> Tally:
    """Judge one system and at most ``most`` of its rewritings, chosen by its seed."""
    tally = Tally(systems=1)
    case = plausible_case(seed)
    try:
        system = read(case)
    except InputError:
        tally.refused += 1
        return tally
    base = judged(system)
    tally.verdicts[base.overall.words] += 1
    found: list[str] = []
    if oracle:
        tally.tried["oracle"] += 1
        found += list(oracle_breaks(system, base))
    every = sorted(SAME | WORSE)
    done = 0
    for name in map(str, np.random.default_rng([seed, 1]).permutation(every)):
        if done == most:
            break
        rewrite = (SAME | WORSE)[name]
        changed = rewrite(case, np.random.default_rng([seed, 2, every.index(name)]))
        if changed is None:
            continue
        done += 1
        try:
            other = read(changed)
        except InputError as error:
            if name in SAME:
                found.append(f"{name}: refused: {error}")
            continue
        tally.tried[name] += 1
        brief = judged(other)
        compare = same_breaks if name in SAME else worse_breaks
        found += compare(name, base, brief)
        if studies and name in SAME:
            found += [f"{name}: {words}" for words in study_differences(system, other, name)]
    tally.broken = [f"system {seed}: {words}" for words in found]
    return tally


def run(
    first: int, systems: int, processes: int, studies_every: int, oracle_every: int, most: int
) -> Tally:
    """Examine many systems."""
    tally = Tally()
    seeds = range(first, first + systems)
    flags = [studies_every > 0 and seed % studies_every == 0 for seed in seeds]
    oracles = [oracle_every > 0 and seed % oracle_every == 0 for seed in seeds]
    if processes <= 1:
        for seed, flag, oracle in zip(seeds, flags, oracles, strict=True):
            _take(tally, examine(seed, flag, oracle, most))
        return tally
    with ProcessPoolExecutor(processes) as pool:
        for found in pool.map(examine, seeds, flags, oracles, repeat(most), chunksize=4):
            _take(tally, found)
    return tally


def _take(tally: Tally, found: Tally) -> None:
    """Take one system's tally in, and say at once what it broke."""
    tally.add(found)
    for words in found.broken:
        print(words, flush=True)


def main() -> int:
    """Run from the command line."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--systems", type=int, default=200)
    parser.add_argument("--first", type=int, default=0)
    parser.add_argument("--processes", type=int, default=1)
    parser.add_argument("--rewritings", type=int, default=6, help="of each system, at most")
    parser.add_argument("--studies-every", type=int, default=50)
    parser.add_argument("--oracle-every", type=int, default=10)
    how = parser.parse_args()
    tally = run(
        how.first, how.systems, how.processes, how.studies_every, how.oracle_every, how.rewritings
    )
    print(f"{tally.systems} systems, {tally.refused} refused by the reader")
    print("verdicts:", dict(tally.verdicts))
    print(f"{sum(tally.tried.values())} judged again:", dict(sorted(tally.tried.items())))
    print(f"{len(tally.broken)} rules broken")
    return 1 if tally.broken else 0


if __name__ == "__main__":
    sys.exit(main())
