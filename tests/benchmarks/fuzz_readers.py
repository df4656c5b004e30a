"""Mutated files and words into every reader: a system or words come out, soon, in little memory.

    python -m tests.benchmarks.fuzz_readers --inputs 200000            every reader, in turn
    python -m tests.benchmarks.fuzz_readers --reader case --inputs 5000 --engine own

Two engines. ``atheris`` (https://pypi.org/project/atheris, coverage-guided; not a dependency:
``pip install atheris`` beside flowsim) is used where it is installed; ``own`` mutates blindly and
needs nothing. The corpus is what stands in ``cases/`` and in the tests. What breaks is written to
``--keep`` and makes the run leave with 1. Broken is: any exception but the reader's own error, an
error with a control character, more than 2 s of processor time, more than 500 MB of memory.
"""

import argparse
import json
import re
import resource
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).parents[2]
LONGEST_TIME = 2.0
"""[s] of processor time for one input."""
LARGEST_MEMORY = 500.0
"""[MB] of the whole process, interpreter and fuzzer included."""
TOKENS = (
    '"', "'", "[[", "]]", "{", "}", "=", ",", "#", "\n", "\r\n", "\\u0000", "\x00", "\x1b[31m",
    '"""', "nan", "inf", "-0", "1e999", "9" * 40, "1/0", "3/8 in", "6 L", "1 1/2", "US_gal", "gal",
    "degC", "kt", "%", "[[tank]]", "[[line]]", "[engine]", "level", "box", "lofted", "cells",
    "dips", "one-way valve", "1979-05-27", "true", "[]", "{}", "\ufeff", "é", "sep=;\n", ";", "\t",
)  # fmt: skip


def said(error: Exception) -> str:
    """Give an error's words, or complain about a character that could steer a terminal."""
    words = str(error)
    if any(not (c == "\n" or c.isprintable()) for c in words):
        raise AssertionError(f"an error holds a control character: {words!r}")
    return words


@cache
def four_outlets():
    """Give the system whose readings and flights are read."""
    from flowsim.files.case.reader import read_case

    return read_case(ROOT / "cases" / "four-outlets" / "case.toml")


def read_case_bytes(content: bytes) -> None:
    """Read a case file; what is accepted must also make a network."""
    from flowsim.errors import InputError
    from flowsim.files.case.reader import read_case_text
    from flowsim.files.toml.source import decode
    from flowsim.network.assembly import assemble

    try:
        system = read_case_text(decode(content, "case.toml"), "case.toml")
    except InputError as error:
        said(error)
    else:
        assemble(system)


def read_readings_bytes(content: bytes) -> None:
    """Read readings as CSV, or as TOML where they look like it."""
    from flowsim.errors import InputError
    from flowsim.files.readings.reader import read_readings_text

    name = "readings.toml" if b"[[run]]" in content else "readings.csv"
    try:
        read_readings_text(content, name, four_outlets())
    except InputError as error:
        said(error)


def read_profile_bytes(content: bytes) -> None:
    """Read a flight profile, as a file of its own or out of a case."""
    from flowsim.errors import InputError
    from flowsim.files.readings.profile_file import read_profile_text
    from flowsim.files.toml.source import decode

    try:
        text = decode(content, "flight.toml")
        read_profile_text(text, "flight.toml", four_outlets(), is_case="[engine]" in text)
    except InputError as error:
        said(error)


def read_report_bytes(content: bytes) -> None:
    """Read a report's data."""
    from flowsim.errors import InputError
    from flowsim.files.results.report_object import read_report

    with tempfile.NamedTemporaryFile(suffix=".json") as file:
        file.write(content)
        file.flush()
        try:
            read_report(Path(file.name))
        except InputError as error:
            said(error)


def read_words(content: bytes) -> None:
    """Read what a command line may hold: quantities, sizes, what-ifs."""
    from flowsim.errors import FlowsimError
    from flowsim.files.case.size_list import parse_sizes
    from flowsim.files.case.what_if_words import parse_what_if
    from flowsim.files.units import kinds
    from flowsim.files.units.quantities import QuantityError, parse_quantity

    text = content.decode("utf-8", errors="replace")
    readers: list[Callable[[], object]] = [
        lambda: parse_sizes(text, is_hose=False),
        lambda: parse_what_if(text),
        *(lambda kind=kind: parse_quantity(text, kind) for kind in kinds.KINDS),
    ]
    for reader in readers:
        try:
            reader()
        except (FlowsimError, QuantityError) as error:
            said(error)


_QUOTED = re.compile(rb'"[^"\n]*"')
READERS: dict[str, tuple[Callable[[bytes], None], tuple[str, ...], float]] = {
    "case": (
        read_case_bytes,
        ("cases/*/case.toml", "tests/unit/files/*.toml", "flowsim/files/case/starter.toml"),
        0.3,
    ),
    "readings": (read_readings_bytes, ("cases/*/readings.csv",), 0.2),
    "profile": (read_profile_bytes, ("cases/*/flight.toml", "cases/one-tank/case.toml"), 0.2),
    "report": (read_report_bytes, ("cases/*/expected.json",), 0.1),
    "words": (read_words, (), 0.2),
}
"""Reader, its corpus, its share of all inputs."""

WORDS = (
    "3/8 in x 0.035 in, 10 mm x 1 mm, 8.5 mm", "dirty-screens=0.05", "blocked-vent=left",
    "tank-empty", "hot-fuel=45 degC", "altitude=10000 ft", "bowl=kv 0.4", "bowl=2.5", "31.5 in",
    "9.8 US_gal/h", "15 degC", "1 1/2 in", "720 kg/m3", "0.5 mm2/s", "12 kPa", "6 L +/- 0.1 L",
)  # fmt: skip
READINGS_TOML = b"""[[run]]
attitude = "17 deg"
line_end = "0 mm"
selector = "left"
fuel = { left = "6 L", right = "6 L" }
container = "3 L"
accuracy = "15 mL"
time = "83.4 s"
temperature = "18 degC"
density = "713.5 kg/m3"
fit = true
"""


def corpus(reader: str) -> list[bytes]:
    """Give the sound inputs that mutation starts from."""
    _, patterns, _ = READERS[reader]
    found = [path.read_bytes() for pattern in patterns for path in sorted(ROOT.glob(pattern))]
    if reader == "readings":
        found.append(READINGS_TOML)
    if reader == "words":
        found += [word.encode() for word in WORDS]
    if reader == "report":
        found.append(_small_report())
    return found


def _small_report() -> bytes:
    """Give a real report's data with every list cut short."""
    from flowsim.files.results.report_object import report_json
    from tests.support.report_cases import report_of

    def cut(value: Any) -> Any:
        if isinstance(value, dict):
            return {key: cut(inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [cut(inner) for inner in value[:4]]
        return value[:300] if isinstance(value, str) else value

    return json.dumps(cut(json.loads(report_json(report_of("one-tank"))))).encode()


@dataclass
class Count:
    """What came of some inputs."""

    inputs: int = 0
    slowest: float = 0.0
    memory: float = 0.0
    broken: Counter[str] = field(default_factory=Counter)


def try_one(reader: str, content: bytes, count: Count, keep: Path | None) -> None:
    """Read one input and hold it against what is promised."""
    begin = time.process_time()
    words = ""
    try:
        READERS[reader][0](content)
    except Exception as error:  # noqa: BLE001 - this is what is looked for
        last = traceback.extract_tb(error.__traceback__)[-1]
        words = f"{type(error).__name__} at {Path(last.filename).name}:{last.lineno}: {error}"[:200]
    spent = time.process_time() - begin
    count.inputs += 1
    count.slowest = max(count.slowest, spent)
    count.memory = max(count.memory, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
    if not words and spent > LONGEST_TIME:
        words = f"{spent:.1f} s"
    if words:
        if keep is not None and words not in count.broken:
            keep.mkdir(parents=True, exist_ok=True)
            (keep / f"{reader}-{count.inputs}").write_bytes(content)
        count.broken[words] += 1


def mutated(reader: str, generator: np.random.Generator) -> Iterator[bytes]:
    """Give blindly mutated inputs without end: pieces lost, doubled, swapped, put in."""
    sound = corpus(reader)
    tokens = [token.encode() for token in TOKENS]
    while True:
        content = bytearray(sound[generator.integers(len(sound))])
        for _ in range(1 + generator.geometric(0.4)):
            at, other = sorted(int(i) for i in generator.integers(0, len(content) + 1, 2))
            other = min(other, at + int(generator.geometric(0.05)))
            how = generator.integers(9)
            piece = bytes(content[at:other])
            if how == 0:
                del content[at:other]
            elif how == 1:
                content[at:at] = piece * int(generator.integers(1, 4))
            elif how == 2:
                content[at:other] = tokens[generator.integers(len(tokens))]
            elif how == 3 and content:
                content[min(at, len(content) - 1)] = int(generator.integers(256))
            elif how == 4:
                donor = sound[generator.integers(len(sound))]
                begin = int(generator.integers(len(donor) + 1))
                content[at:other] = donor[begin : begin + int(generator.geometric(0.03))]
            elif how == 5:
                _swap_lines(content, generator)
            else:
                _change_value(content, sound, tokens, generator)
        yield bytes(content)


def _swap_lines(content: bytearray, generator: np.random.Generator) -> None:
    lines = content.split(b"\n")
    first, second = generator.integers(len(lines), size=2)
    if generator.random() < 0.5:
        lines[first], lines[second] = lines[second], lines[first]
    else:
        del lines[first]
    content[:] = b"\n".join(lines)


def _change_value(
    content: bytearray, sound: list[bytes], tokens: list[bytes], generator: np.random.Generator
) -> None:
    """Put another quoted value, or a token in quotes, in the place of a quoted value."""
    places = list(_QUOTED.finditer(content))
    if not places:
        return
    place = places[generator.integers(len(places))]
    others = _QUOTED.findall(sound[generator.integers(len(sound))])
    if others and generator.random() < 0.7:
        value = others[generator.integers(len(others))]
    else:
        value = b'"' + tokens[generator.integers(len(tokens))].strip(b'"') + b'"'
    content[place.start() : place.end()] = value


def run_own(reader: str, inputs: int, seed: int, keep: Path | None) -> Count:
    """Mutate blindly."""
    count = Count()
    for content in corpus(reader):
        try_one(reader, content, count, keep)
    made = mutated(reader, np.random.default_rng([seed, list(READERS).index(reader)]))
    while count.inputs < inputs:
        try_one(reader, next(made), count, keep)
    return count


def run_atheris(reader: str, inputs: int, seed: int, keep: Path | None, outcome: Path) -> None:
    """Mutate guided by coverage; the fuzzer ends the process, so the count goes to a file."""
    import atheris

    with atheris.instrument_imports(include=["flowsim", "tomllib"], enable_loader_override=False):
        READERS[reader][0](corpus(reader)[0])
    count = Count()

    def one(content: bytes) -> None:
        try_one(reader, content, count, keep)
        if count.inputs % 500 == 0 or count.inputs >= inputs:
            outcome.write_text(_as_json(count))

    with tempfile.TemporaryDirectory() as folder:
        seeds, tokens = Path(folder) / "seeds", Path(folder) / "tokens"
        seeds.mkdir()
        for number, content in enumerate(corpus(reader)):
            (seeds / str(number)).write_bytes(content)
        escaped = ["".join(f"\\x{byte:02x}" for byte in token.encode()) for token in TOKENS]
        tokens.write_text("".join(f'"{token}"\n' for token in escaped))
        options = [
            f"-runs={inputs}", f"-seed={seed + 1}", f"-dict={tokens}", "-max_len=20000",
            "-timeout=60", "-rss_limit_mb=2000", "-verbosity=0", "-print_final_stats=0",
        ]  # fmt: skip
        atheris.Setup([sys.argv[0], *options, str(seeds)], one)
        atheris.Fuzz()


def _as_json(count: Count) -> str:
    return json.dumps({**vars(count), "broken": dict(count.broken)})


def run_apart(reader: str, inputs: int, seed: int, keep: Path | None) -> Count:
    """Run the coverage-guided fuzzer in a process of its own."""
    with tempfile.TemporaryDirectory() as folder:
        outcome = Path(folder) / "outcome.json"
        command = [sys.executable, "-m", "tests.benchmarks.fuzz_readers", "--reader", reader]
        command += ["--inputs", str(inputs), "--seed", str(seed), "--outcome", str(outcome)]
        command += [] if keep is None else ["--keep", str(keep)]
        ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        if not outcome.exists():
            raise RuntimeError(ended.stderr[-2000:])
        found = json.loads(outcome.read_text())
    count = Count(found["inputs"], found["slowest"], found["memory"], Counter(found["broken"]))
    if ended.returncode != 0:
        count.broken[f"the fuzzer left with {ended.returncode}: {ended.stderr[-300:]}"] += 1
    return count


def has_atheris() -> bool:
    """Tell whether the coverage-guided fuzzer is installed."""
    from importlib.util import find_spec

    return find_spec("atheris") is not None


def main() -> int:
    """Run as told by the command line."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--inputs", type=int, default=2000, help="over all readers")
    parser.add_argument("--reader", choices=list(READERS))
    parser.add_argument("--engine", choices=("atheris", "own"))
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--keep", type=Path, help="folder for inputs that break a reader")
    parser.add_argument("--outcome", type=Path, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.outcome is not None:
        run_atheris(given.reader, given.inputs, given.seed, given.keep, given.outcome)
    engine = given.engine or ("atheris" if has_atheris() else "own")
    run = run_apart if engine == "atheris" else run_own
    total, broken = 0, False
    for reader, (_, _, share) in READERS.items():
        if given.reader not in (None, reader):
            continue
        inputs = given.inputs if given.reader else int(given.inputs * share)
        count = run(reader, inputs, given.seed, given.keep)
        total += count.inputs
        broken = broken or bool(count.broken) or count.memory > LARGEST_MEMORY
        print(
            f"{reader:<9} {count.inputs:7d} inputs ({engine}), slowest {count.slowest:5.2f} s, "
            f"memory {count.memory:4.0f} MB, broken {sum(count.broken.values())}",
            flush=True,
        )
        for words, times in count.broken.most_common(20):
            print(f"  BROKEN {times} times: {words}")
    print(f"{'all':<9} {total:7d} inputs")
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
