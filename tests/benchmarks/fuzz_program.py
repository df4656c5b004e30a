"""The whole program on changed files: a result or words come out, soon, and nothing else.

    python -m tests.benchmarks.fuzz_program --runs 20000 --first 1
    python -m tests.benchmarks.fuzz_program --runs 1 --first 4711
    python -m tests.benchmarks.fuzz_program --runs 1000 --first 1 --wild

Each run is a process of its own on files that one seed makes: a case, a profile, readings, sizes,
what-ifs, tables or report data with one to three changes that know what stands where (a number
scaled, a unit exchanged, a key or an element taken away, doubled or moved, a name exchanged), or an
output path that cannot be written. ``--wild`` runs other kinds (``fuzz_changes``): broken texts,
odd names everywhere, other types, enormous numbers, separators, swapped references, options, paths.
Where the system can fork, the process is a child of one that has imported everything already;
every tenth seed starts an interpreter of its own nevertheless.
Broken is: an exit code that is not documented or 70, a
traceback or a warning, words on standard error beside a result, more than 10 s (a report: 60 s).
Breaks are printed at once with their seed; the table comes at the end.
"""

import argparse
import json
import os
import random
import re
import signal
import sys
import tempfile
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import tomlkit

from flowsim.cli import exit_codes
from tests.benchmarks.fuzz_changes import WILD
from tests.support.own_process import CAN_FORK, NOT_ENDED, run_program
from tests.support.random_edits import texts

ROOT = Path(__file__).parents[2]
PROFILE = ROOT / "cases" / "four-outlets" / "flight.toml"
READINGS = ROOT / "cases" / "four-outlets" / "readings.csv"
FINE = (
    exit_codes.ADEQUATE, exit_codes.NOT_ADEQUATE, exit_codes.USAGE, exit_codes.CANNOT_TELL, 4,
    exit_codes.OUTPUT,
)  # fmt: skip
RESULTS = (exit_codes.ADEQUATE, exit_codes.NOT_ADEQUATE, exit_codes.CANNOT_TELL)
LONGEST, LONGEST_REPORT = 10.0, 60.0
"""[s] of processor time of a run."""
FEW = ("--draws", "100")
NUMBER = re.compile(r"-?[0-9]+(?:\.[0-9]+)?")
FACTORS = (-1.0, 0.0, 1e-9, 1e-3, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 1e3, 1e9)
UNITS = ("mm", "in", "m", "L", "US_gal", "kg/h", "L/h", "deg", "degC", "kPa", "kt", "min", "", "%")
ODD = ("", "-", "=1+1", "a,b;c", "é\u0301", "open line", "x" * 300, "3/8", "nan", "inf", "1e999")
EACH = 250
"""Runs between two tables."""
FRESH_EVERY = 10
"""Of so many runs one starts an interpreter: what only the imports or the start do wrong."""
KINDS = (
    "case", "case", "case", "profile", "readings", "sizes", "what-if", "tables", "report data",
    "outputs",
)  # fmt: skip


@dataclass(frozen=True)
class Attempt:
    """What is run: the words after the program's name, and the kind of change."""

    kind: str
    words: tuple[str, ...]


@dataclass
class Tally:
    """What came of the runs of one kind."""

    runs: int = 0
    codes: dict[int, int] = field(default_factory=dict)
    slowest: float = 0.0
    memory: float = 0.0
    broken: list[str] = field(default_factory=list)


def leaves(data: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """Give the path of everything in some data but itself."""
    inside = data.items() if isinstance(data, dict) else enumerate(data)
    for key, value in list(inside):
        yield (*path, key)
        if isinstance(value, dict | list):
            yield from leaves(value, (*path, key))


def change(data: Any, generator: random.Random) -> None:
    """Change one thing of some data in place."""
    every = list(leaves(data))
    if not every:
        return
    *above, last = generator.choice(every)
    holder = data
    for step in above:
        holder = holder[step]
    do = generator.randrange(8)
    if do == 0:
        del holder[last]
    elif do == 1 and isinstance(holder, list):
        holder.insert(last, json.loads(json.dumps(holder[last], default=str)))
    elif do == 2 and isinstance(holder, list):
        generator.shuffle(holder)
    elif do == 3:
        other = generator.choice(every)
        value = data
        for step in other:
            value = value[step]
        holder[last] = json.loads(json.dumps(value, default=str))
    else:
        holder[last] = changed_value(holder[last], generator)


def changed_value(value: Any, generator: random.Random) -> Any:
    """Give something like a value, or nothing like it."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        made = value * generator.choice(FACTORS)
        return int(made) if isinstance(value, int) and abs(made) < 1e15 else made
    if isinstance(value, str) and NUMBER.search(value) and generator.random() < 0.8:
        if generator.random() < 0.2:
            return f"{NUMBER.search(value)[0]} {generator.choice(UNITS)}"
        return NUMBER.sub(
            lambda found: f"{float(found[0]) * generator.choice(FACTORS):.6g}", value, count=1
        )
    return generator.choice(ODD) if isinstance(value, str) else generator.choice([value, [], 1, ""])


def changed_toml(text: str, generator: random.Random) -> str:
    """Give a TOML file with one to three changes."""
    data = tomllib.loads(text)
    for _ in range(generator.randint(1, 3)):
        change(data, generator)
    return tomlkit.dumps(data)


def changed_table(text: str, generator: random.Random) -> str:
    """Give a CSV file with one to three cells changed."""
    rows = [line.split(",") for line in text.splitlines()]
    for _ in range(generator.randint(1, 3)):
        change(rows, generator)
    return "\n".join(",".join(map(str, row)) if isinstance(row, list) else str(row) for row in rows)


def attempt(seed: int, folder: Path, *, wild: bool = False) -> Attempt:
    """Make the files of a seed in a folder, and say what to run there."""
    generator = random.Random(seed)
    if wild:
        kind = generator.choice(sorted(WILD))
        made = WILD[kind](folder, folder / "case.toml", generator)
        return Attempt(kind, tuple(str(word) for word in made))
    kind = generator.choice(KINDS)
    names = sorted(texts())
    name = generator.choice(names)
    case = folder / "case.toml"
    source = texts()[name]
    if kind in ("profile", "readings"):
        source = texts()["four-outlets"]
    case.write_text(
        changed_toml(source, generator) if kind == "case" else source, encoding="utf-8"
    )  # fmt: skip
    return Attempt(kind, tuple(str(word) for word in WORDS[kind](folder, case, generator)))


def _of_case(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    line = next(iter(tomllib.loads(texts()["one-tank"])["line"]))["name"]
    return generator.choice([
        ["check", case, *FEW], ["check", case, "--full", *FEW], ["check", case, "--json", *FEW],
        ["check", case, "--nominal", "--all", "--width", 40], ["hand-check", case, "--nominal"],
        ["routing", case], ["routing", case, "--json"], ["unusable", case, "--blocked-vent"],
        ["uncertainty", case, "--samples", 0, *FEW], ["what-if", case, "--nominal"],
        ["size", case, line, "--nominal"], ["flight", case, "--transfer"],
        ["size", case, "--least-head", "--least-fuel", "--steepest", "--nominal"],
        ["ground-test", "plan", case, *FEW], ["ground-test", "readings", case],
        ["table", case, "--out", folder / "t.csv"], ["sheet", case, "--out", folder / "s.pdf"],
        ["compare", case, ROOT / "cases" / "one-tank" / "case.toml", "--nominal"],
        ["report", case, "--nominal", "--no-pdf", "--out", folder / "r"],
    ])  # fmt: skip


def _of_profile(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    profile = folder / "flight.toml"
    profile.write_text(changed_toml(PROFILE.read_text(encoding="utf-8"), generator), "utf-8")
    more = generator.choice([[], ["--json"], ["--csv", folder / "f.csv"],
                             ["--picture", folder / "f.svg"]])  # fmt: skip
    return ["flight", case, profile, *more]


def _of_readings(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    readings = folder / "readings.csv"
    text = changed_table(READINGS.read_text(encoding="utf-8"), generator)
    readings.write_text(text, encoding="utf-8", errors="replace")
    more = generator.choice([["--no-case"], ["--no-case", "--json"], []])
    return ["ground-test", "fit", case, readings, *more, *FEW]


def _of_sizes(_: Path, case: Path, generator: random.Random) -> list[Any]:
    lines = [line["name"] for line in tomllib.loads(case.read_text("utf-8"))["line"]]
    some = ("3/8 in x 0.035 in", "10 mm x 1 mm", "8 mm x 1 mm", "0.3 in x 0.02 in")
    sizes = [_perhaps(generator.choice(some), generator) for _ in range(generator.randint(1, 3))]
    chosen = generator.sample(lines, 1) + generator.choice([[], [], ["no line"], lines[:1]])
    return ["size", case, *chosen, f"--sizes={', '.join(sizes)}", "--nominal"]


def _perhaps(value: str, generator: random.Random) -> Any:
    """Change a value, or leave it: where all is changed nearly all is refused at once."""
    return changed_value(value, generator) if generator.random() < 0.4 else value


def _of_what_if(_: Path, case: Path, generator: random.Random) -> list[Any]:
    words = ["dirty-screens=0.05", "hot-fuel=45 degC", "cold-fuel", "altitude=10000 ft", "bowl=2.5",
             "blocked-vent=wing", "tank-empty=left", "selector=kv 0.4", "meter=cv 0.4"]  # fmt: skip
    some = [str(_perhaps(generator.choice(words), generator)) for _ in range(2)]
    return ["what-if", case, "--nominal", "--", *some]


def _of_tables(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    from flowsim.files.case.reader import read_draft
    from flowsim.files.tables.reader import table_bytes

    draft = read_draft(case.read_text("utf-8"), "case.toml")
    tables = folder / "t.csv"
    text = table_bytes(draft.data or {}, ".csv").decode("utf-8-sig")
    tables.write_text(changed_table(text, generator), "utf-8", errors="replace")
    more = generator.choice([[], ["--out", folder / "new.toml"], ["--onto", case]])
    return ["case", "from", tables, *more]


def _of_report_data(folder: Path, _: Path, generator: random.Random) -> list[Any]:
    """Change a real report's data; half of the time with a seal that fits, as a forger would."""
    from flowsim.files.results.report_object import SEAL, report_json, seal_of
    from tests.support.report_cases import report_of

    made = json.loads(report_json(report_of("one-tank")))
    for _ in range(generator.randint(1, 3)):
        change(made, generator)
    if generator.random() < 0.7:
        made[SEAL] = seal_of(made)
    path = folder / "report.json"
    path.write_text(json.dumps(made), encoding="utf-8")
    pdf = generator.choice([[], ["--no-pdf"], ["--summary"]])
    return ["report", "--from", path, "--out", folder / "again", *pdf]


def _of_outputs(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    (folder / "there").write_text("mine", encoding="utf-8")
    (folder / "link").symlink_to(case)
    (folder / "dir").mkdir()
    os.mkfifo(folder / "node")
    out = generator.choice([
        case, folder / "there", folder / "link", folder / "dir", folder / "node", "/dev/full",
        "/dev/stdout", folder / "none" / "x", folder / ("x" * 300), "", "-", folder / "there" / "x",
        folder / "ok.csv", os.fsdecode(bytes(folder) + b"/\xff\xfe.csv"),
    ])  # fmt: skip
    words = generator.choice([
        ["flight", case, PROFILE, "--csv"], ["flight", case, PROFILE, "--picture"],
        ["routing", case, "--drawings"], ["table", case, "--out"], ["sheet", case, "--out"],
        ["ground-test", "readings", case, "--out"],
        ["uncertainty", case, "--samples", 0, *FEW, "--picture"],
        ["report", case, "--nominal", "--no-pdf", "--out"],
    ])  # fmt: skip
    force = ["--force"] if generator.random() < 0.5 and words[0] != "ground-test" else []
    return [*words, out, *force]


WORDS = {
    "case": _of_case, "profile": _of_profile, "readings": _of_readings, "sizes": _of_sizes,
    "what-if": _of_what_if, "tables": _of_tables, "report data": _of_report_data,
    "outputs": _of_outputs,
}  # fmt: skip


def run_one(seed: int, tallies: dict[str, Tally], fork: bool = False, *, wild: bool = False) -> str:
    """Run one seed; give what broke, in words, or nothing."""
    with tempfile.TemporaryDirectory(prefix="fuzz-") as name:
        folder = Path(name)
        tried = attempt(seed, folder, wild=wild)
        case = (folder / "case.toml").read_bytes() if (folder / "case.toml").exists() else b""
        tally = tallies.setdefault(tried.kind, Tally())
        ended = run_program(tried.words, folder, longest=2 * LONGEST_REPORT, fork=fork)
        code, said, seconds = ended.code, ended.err, ended.seconds
        left = [p.name for p in folder.rglob(".flowsim-*")]
        onto = "--onto" in tried.words
        lost = bool(case) and (folder / "case.toml").read_bytes() != case and not onto
        broken = _broken(tried, code, said, seconds) or (
            "temporary files are left" if left else "the case was written over" if lost else ""
        )
    tally.runs += 1
    tally.codes[code] = tally.codes.get(code, 0) + 1
    tally.slowest, tally.memory = max(tally.slowest, seconds), max(tally.memory, ended.memory)
    if broken:
        shown = " ".join(tried.words).replace(name, "DIR")
        broken = f"seed {seed}: {broken}: {shown[:160]}"
        tally.broken.append(broken)
    return broken


def forks(seed: int) -> bool:
    """Tell whether a seed's run is forked off this process."""
    return CAN_FORK and seed % FRESH_EVERY != 0


def _broken(tried: Attempt, code: int, said: str, seconds: float) -> str:
    last = said.strip().splitlines()[-3:-1] if "This is a bug" in said else said.splitlines()[:1]
    words = " | ".join(last)[:200]
    if code == NOT_ENDED:
        return "did not end"
    if code not in FINE or "Traceback" in said:
        return f"exit {code}: {words}"
    if "Warning" in said:
        return f"a warning: {words}"
    if code in RESULTS and said.strip():
        return f"words beside a result: {words}"
    if code not in RESULTS and not said.strip():
        return f"exit {code} without words"
    allowed = LONGEST_REPORT if tried.words[0] in ("report", "sheet") else LONGEST
    return f"took {seconds:.1f} s" if seconds > allowed else ""


def table(tallies: dict[str, Tally]) -> str:
    """Give the table of what was run."""
    lines = [f"{'kind':12} {'runs':>6} {'broken':>6} {'slowest':>8} {'memory':>8}  exit codes"]
    for kind, tally in sorted(tallies.items()):
        codes = ", ".join(f"{code}: {count}" for code, count in sorted(tally.codes.items()))
        lines.append(
            f"{kind:12} {tally.runs:6} {len(tally.broken):6} {tally.slowest:6.1f} s "
            f"{tally.memory:5.0f} MB  {codes}"
        )
    runs = sum(tally.runs for tally in tallies.values())
    lines.append(f"{'all':12} {runs:6} {sum(len(t.broken) for t in tallies.values()):6}")
    return "\n".join(lines)


def main() -> int:
    """Run seeds one after the other."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    parser.add_argument("--runs", type=int, default=100)
    parser.add_argument("--first", type=int, default=1)
    parser.add_argument("--wild", action="store_true", help="kinds of change of fuzz_changes")
    asked = parser.parse_args()
    tallies: dict[str, Tally] = {}
    # Started in the background by a shell it would not hear Ctrl+C, and the table would be lost.
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.default_int_handler)
    try:
        for seed in range(asked.first, asked.first + asked.runs):
            if broken := run_one(seed, tallies, forks(seed), wild=asked.wild):
                print(broken, flush=True)
            if seed % EACH == 0:
                print(f"up to seed {seed}\n{table(tallies)}", flush=True)
    except KeyboardInterrupt:
        print("stopped")
    print(table(tallies), flush=True)
    return int(any(tally.broken for tally in tallies.values()))


if __name__ == "__main__":
    sys.exit(main())
