"""Further kinds of change for ``fuzz_program --wild``: texts, names, separators, options, paths.

Each kind makes its files in a folder from a random generator and gives the words to run. Unlike
the first kinds they also break the files as texts, and rename consistently, so that what is odd
gets past the reader and into tables, pictures and reports.
"""

import contextlib
import json
import random
import re
import tomllib
from pathlib import Path
from typing import Any

import tomlkit

from tests.support.random_edits import ROOT, texts

FEW = ("--draws", "100")
READINGS = ROOT / "cases" / "four-outlets" / "readings.csv"
PROFILE = ROOT / "cases" / "four-outlets" / "flight.toml"
NAMES = (
    "a\tb", "a\nb", "\x1b[31mred", "\u202eback\u202c", "zero\u200bwidth", "e\u0301 and \u00e9",
    "\U0001f6e9",
    "x" * 400, " ", "engine", "tank.outlet", "a.b.c", '"', "'", "\\", "{x}", "%s", "$HOME",
    "<b>&amp;</b>",
    "=1+1", "-v", "--json", "0", "true", "nan", "\u0130", "\u00df", "\ufeff", "a\u00a0b", "a,b;c",
    "|", "`", "]]>", "\x7f", "CON",
)  # fmt: skip
ENORMOUS = (
    "1e308", "-1e308", "1e-308", "1e400", "5e-324", "-0.0", "inf", "nan", "9" * 400,
    "0x7fffffffffffffff",
    "9223372036854775807", "9223372036854775808", "1_0_0", "0.1e1", "00", "1979-05-27", "07:32:00",
)  # fmt: skip
SEPARATORS = (";", "\t", "|", " ", ", ", ",,", "\u00a0", ":")
ENCODINGS = ("utf-8-sig", "utf-16", "utf-16-le", "latin-1", "cp1252", "utf-32", "cp037")


def _case(generator: random.Random) -> str:
    return texts()[generator.choice(sorted(texts()))]


def _read(case: Path, folder: Path, generator: random.Random) -> list[Any]:
    """Give a command that reads a case and says as much as there is."""
    return generator.choice([
        ["check", case, "--nominal"], ["check", case, "--full", *FEW], ["check", case, "--json",
        *FEW],
        ["unusable", case], ["routing", case], ["hand-check", case, "--nominal"],
        ["ground-test", "readings", case], ["ground-test", "plan", case, *FEW],
        ["table", case, "--out", folder / "t.csv"], ["sheet", case, "--out", folder / "s.pdf"],
        ["report", case, "--nominal", "--no-pdf", "--out", folder / "r"], ["what-if", case,
        "--nominal"],
        ["uncertainty", case, "--samples", 0, *FEW], ["flight", case, "--transfer"],
    ])  # fmt: skip


def broken_text(text: str, generator: random.Random) -> bytes:
    """Break a file as a text: lines doubled, moved, cut; other encodings; nests and long lines."""
    lines = text.splitlines(keepends=True)
    at, other = generator.randrange(len(lines)), generator.randrange(len(lines))
    deep = generator.choice([30, 300, 3000, 60_000])
    made = generator.choice([
        lambda: lines[:at] + lines[at : at + 12] + lines[at:],
        lambda: lines[: min(at, other)] + lines[max(at, other) :],
        lambda: [*lines[:at], lines[other], *lines[at:]],
        lambda: [*lines[:at], generator.choice(["[[[[", '"', "'''", '"""', "}", "= 1", "\x00",
        "\r"]), *lines[at:]],
        lambda: [*lines[:at], "x" + ".x" * deep + " = 1\n", *lines[at:]],
        lambda: [*lines[:at], "x = " + "[" * deep + "]" * deep + "\n", *lines[at:]],
        lambda: [*lines[:at], "x = " + "{a = " * deep + "1" + "}" * deep + "\n", *lines[at:]],
        lambda: [*lines[:at], "[" + ".".join(["x"] * deep) + "]\n", *lines[at:]],
        lambda: [*lines[:at], "# " + "long " * 200_000 + "\n", *lines[at:]],
        lambda: [line[: generator.randint(0, len(line))] if i == at else line for i,
        line in enumerate(lines)],
        lambda: [line.replace("\n", generator.choice(["\r\n", "\r", "\n\n",
        "\u2028"])) for line in lines],
        lambda: ["".join(lines)[: generator.randrange(len(text))]],
    ])()  # fmt: skip
    data = "".join(made).encode("utf-8")
    if generator.random() < 0.25:
        data = "".join(made).encode(generator.choice(ENCODINGS), errors="replace")
    if generator.random() < 0.1:
        place = generator.randrange(len(data) + 1)
        data = data[:place] + bytes(generator.randrange(256) for _ in range(4)) + data[place:]
    return data


def _of_text(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    if generator.random() < 0.3:
        profile = folder / "flight.toml"
        profile.write_bytes(broken_text(PROFILE.read_text("utf-8"), generator))
        case.write_text(texts()["four-outlets"], encoding="utf-8")
        return ["flight", case, profile, *FEW]
    case.write_bytes(broken_text(_case(generator), generator))
    return _read(case, folder, generator)


def renamed(data: Any, old: str, new: str) -> Any:
    """Give some data with a name exchanged wherever it stands, alone or before a dot."""
    if isinstance(data, dict):
        return {new if key == old else key: renamed(value, old, new) for key, value in data.items()}
    if isinstance(data, list):
        return [renamed(value, old, new) for value in data]
    if isinstance(data, str) and (data == old or data.startswith(f"{old}.")):
        return new + data[len(old) :]
    return data


def _of_names(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    """Give odd names to things that exist, everywhere they are named."""
    data = tomllib.loads(_case(generator))
    things = [one["name"] for kind in ("tank", "line", "junction", "tee", "selector", "drain")
              for one in data.get(kind, ()) if "name" in one]  # fmt: skip
    for old in generator.sample(things, min(len(things), generator.randint(1, 3))):
        data = renamed(data, old, generator.choice([*NAMES, *things]))
    if generator.random() < 0.3:
        data["title"] = generator.choice(NAMES)
    case.write_text(tomlkit.dumps(data), encoding="utf-8", errors="replace")
    return _read(case, folder, generator)


def swapped_type(value: Any, generator: random.Random) -> Any:
    """Give a value of another type, with the old one inside where that can be."""
    return generator.choice([
        [value], {"value": value}, {"value": value, "from": "measured"}, [[value]], [], {},
        str(value),
        True, 1, 1.5, -1, "", {str(value)[:20] or "x": 1}, [value, value], 10**30,
    ])  # fmt: skip


def _of_types(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    from tests.benchmarks.fuzz_program import leaves

    data = tomllib.loads(_case(generator))
    for _ in range(generator.randint(1, 2)):
        *above, last = generator.choice(list(leaves(data)))
        holder = data
        for step in above:
            holder = holder[step]
        holder[last] = swapped_type(holder[last], generator)
    case.write_text(tomlkit.dumps(data), encoding="utf-8")
    return _read(case, folder, generator)


def _of_numbers(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    """Put enormous, tiny and odd numbers where numbers stand, in the text itself."""
    text = _case(generator)
    places = list(re.finditer(r"(?<![\w#.-])-?\d+(?:\.\d+)?", text))
    for found in generator.sample(places, generator.randint(1, 2)):
        odd = generator.choice(
            [*ENORMOUS, str(float(found[0]) * generator.choice([0.2, 0.7, 1.4, 5]))]
        )
        text = text[: found.start()] + odd + text[found.end() :]
        break
    case.write_text(text, encoding="utf-8")
    return _read(case, folder, generator)


def _of_separators(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    """Write readings as a spreadsheet of another country might."""
    case.write_text(texts()["four-outlets"], encoding="utf-8")
    text = READINGS.read_text("utf-8")
    separator = generator.choice(SEPARATORS)
    for change in generator.sample(range(8), generator.randint(1, 3)):
        if change == 0:
            text = text.replace(",", separator)
        elif change == 1:
            text = re.sub(r"(\d)\.(\d)", r"\1,\2", text)
        elif change == 2:
            text = re.sub(r"[^,\n;]+", lambda cell: f'"{cell[0]}"', text)
        elif change == 3:
            text = text.replace("\n", generator.choice(["\r\n", "\r", "\n\n", "\n,,,\n"]))
        elif change == 4:
            text = text + text
        elif change == 5:
            text = "\n".join(
                line.rsplit(",", generator.randint(1, 5))[0] for line in text.splitlines()
            )
        elif change == 6:
            text = "\n".join(line + ",extra,=1+1" for line in text.splitlines())
        else:
            text = f"sep={separator}\n" + text
    readings = folder / "readings.csv"
    encoding = generator.choice(["utf-8", "utf-8", *ENCODINGS])
    readings.write_bytes(text.encode(encoding, errors="replace"))
    return ["ground-test", "fit", case, readings, *generator.choice([["--no-case"], []]), *FEW]


def _of_references(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    """Swap names and parts of a report's data among each other; sealed again most of the time."""
    from flowsim.files.results.report_object import SEAL, report_json, seal_of
    from tests.benchmarks.fuzz_program import leaves
    from tests.support.report_cases import report_of

    made = json.loads(report_json(report_of("one-tank")))
    every = list(leaves(made))

    def holder_of(path: tuple[Any, ...]) -> Any:
        holder = made
        for step in path[:-1]:
            holder = holder[step]
        return holder

    for _ in range(generator.randint(1, 3)):
        first = generator.choice(every)
        alike = [path for path in every if path[-1] == first[-1] and path != first]
        try:
            one, value = holder_of(first), holder_of(first)[first[-1]]
            do = generator.randrange(6)
            if do == 0 and alike:
                second = generator.choice(alike)
                other = holder_of(second)
                one[first[-1]], other[second[-1]] = json.loads(
                    json.dumps([other[second[-1]], value])
                )
            elif do == 1:
                one[first[-1]] = swapped_type(value, generator)
            elif do == 2 and isinstance(value, list):
                value.reverse()
            elif do == 3 and isinstance(value, list | dict):
                value.clear()
            elif do == 4 and isinstance(one, dict):
                one[generator.choice([*NAMES, str(first[-1]).upper()])] = one.pop(first[-1])
            else:
                one[first[-1]] = generator.choice([*NAMES, None, 1e308, -1e308, 10**400, 1e-320])
        except (KeyError, IndexError, TypeError):
            continue
    if generator.random() < 0.8:
        with contextlib.suppress(TypeError, ValueError, OverflowError):
            made[SEAL] = seal_of(made)
    text = json.dumps(made)
    if generator.random() < 0.1:
        text = text.replace("{", '{"kind": 1, "kind": 2, ', 1)
    if generator.random() < 0.05:
        text = "[" * 100_000 + text
    path = folder / "report.json"
    path.write_text(text, encoding="utf-8")
    return ["report", "--from", path, "--out", folder / "again",
            *generator.choice([[], ["--no-pdf"], ["--summary"]])]  # fmt: skip


OPTIONS = (
    "--nominal", "--all", "--full", "--json", "--width=40", "--width=0", "--width=-1",
    "--width=1e3",
    "--width=100000", "--seed=1", "--seed=-1", "--seed=99999999999999999999", "--draws=100",
    "--draws=0",
    "--draws=-5", "--draws=1e2", "--draws=100000000", "--units=us", "--units=metric", "--units=",
    "--force",
    "--no-pdf", "--help", "--version", "--", "-", "", "--jso", "--nominal=yes", "--no-nominal",
    "\u00e9", "--out",
)  # fmt: skip


def _of_options(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    """Give options twice, against each other, abbreviated, or in odd places."""
    case.write_text(_case(generator), encoding="utf-8")
    words = _read(case, folder, generator)
    for _ in range(generator.randint(1, 4)):
        words.insert(generator.randint(0, len(words)), generator.choice(OPTIONS))
    if generator.random() < 0.3:
        words += words[2:]
    return words


def _of_paths(folder: Path, case: Path, generator: random.Random) -> list[Any]:
    """Read from and write to what is no plain file."""
    case.write_text(_case(generator), encoding="utf-8")
    (folder / "dir").mkdir()
    (folder / "dir" / "full").write_text("x", encoding="utf-8")
    (folder / "empty.toml").touch()
    (folder / "binary.toml").write_bytes(generator.randbytes(3000))
    (folder / "to-dir").symlink_to(folder / "dir")
    (folder / "to-case").symlink_to(case)
    (folder / "dangling").symlink_to(folder / "nothing")
    (folder / "loop").symlink_to(folder / "loop")
    (folder / "a\nb.toml").write_text(case.read_text("utf-8"), encoding="utf-8")
    (folder / "-n.toml").write_text(case.read_text("utf-8"), encoding="utf-8")
    odd = ["dir", "to-dir", "to-case", "dangling", "loop", "empty.toml", "binary.toml",
    "a\nb.toml", "-n.toml",
           "dir/full/x", "case.toml/", ".", "..", "~", "none/x.toml", "/dev/null",
           "dir/full"]  # fmt: skip
    path = generator.choice(odd)
    if generator.random() < 0.5:
        return _read(Path(path), folder, generator)
    force = generator.choice([[], ["--force"]])
    return generator.choice([
        ["table", case, "--out", path, *force], ["sheet", case, "--out", path, *force],
        ["report", case, "--nominal", "--no-pdf", "--out", path, *force],
        ["routing", case, "--drawings", path, *force], ["new", path], ["case", "from", path],
        ["flight", case, path], ["ground-test", "fit", case, path], ["compare", case, path],
        ["report", "--from", path, "--out", folder / "r"], ["uncertainty", case, "--samples", 0,
        *FEW, "--picture", path],
    ])  # fmt: skip


WILD = {
    "text": _of_text, "names": _of_names, "types": _of_types, "numbers": _of_numbers,
    "separators": _of_separators, "references": _of_references, "options": _of_options,
    "paths": _of_paths,
}  # fmt: skip
