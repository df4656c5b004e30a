"""Faults put into the core one at a time: which do the tests find.

    pip install mutmut
    python -m tests.benchmarks.mutation run network physics delivery judged --work FOLDER
    python -m tests.benchmarks.mutation run network --only "flowsim.network.laws.*" --work FOLDER
    python -m tests.benchmarks.mutation again network --work FOLDER
    python -m tests.benchmarks.mutation report network physics delivery judged --work FOLDER

``run`` copies the project to FOLDER/GROUP, lets mutmut (version 3.8) write every change of one
expression into the copy, and has :mod:`tests.benchmarks.change_by_change` run the group's tests on
each that was not tried before; ``--only`` takes the changes of some modules. The order is drawn at
random, so that a run that is stopped is a fair sample; started again it goes on.
``again`` copies the tests anew and repeats what no test had found, with
the slower tests as well.
``report`` counts, sorts what is left by the reasons of :data:`REASONS`, and prints every
change for which no reason is known. Takes hours on two processors; no part of the check.
"""

import argparse
import ast
import difflib
import fnmatch
import importlib
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

PROJECT = Path(__file__).resolve().parents[2]
COPIED = ("flowsim", "tests", "cases", "docs", "README.md", "DEVELOPERS.md")
NOT_FOUND, NO_TEST = 0, 33


@dataclass(frozen=True)
class Group:
    """Files to put faults into, and the tests that have to find them.

    ``wider`` tests, slower ones, run only on what those have not found. Tables that are built when
    a module is imported need a new process for every change.
    """

    files: tuple[str, ...]
    tests: tuple[str, ...]
    wider: tuple[str, ...] = ()
    built_at_import: bool = False


PRELOADED = ("pytest", "numpy", "scipy.optimize", "fluids")
"""What processes that build the tables anew may share."""
TABLES = (
    "fuel/catalogue", "losses/formed_fittings", "course/line_materials", "course/tube_sizes",
    "losses/fitting_catalogue",
)  # fmt: skip
JUDGED_TESTS = (
    "tests/unit/studies/judged", "tests/unit/studies/delivery",
    "tests/unit/studies/verdict/decisions/test_takeoff_run.py",
    "tests/unit/studies/verdict/decisions/test_fuel_data.py",
)  # fmt: skip
WHOLE_SYSTEMS = (
    "tests/unit/studies/adequacy/test_study.py", "tests/golden",
    "tests/unit/reports/pages/test_hand_check.py",
)  # fmt: skip
GROUPS = {
    "network": Group(
        ("flowsim/network/*",),
        ("tests/unit/network", "tests/unit/studies/judged/test_scenarios.py", "tests/published"),
        wider=(*JUDGED_TESTS, *WHOLE_SYSTEMS),
    ),
    "physics": Group(
        ("flowsim/physics/*",),
        ("tests/unit/physics", "tests/published"),
        wider=("tests/unit/network", *JUDGED_TESTS, *WHOLE_SYSTEMS),
    ),
    "tables": Group(
        tuple(f"flowsim/physics/{name}.py" for name in TABLES),
        tuple(
            f"tests/unit/physics/{name}.py"
            for name in (
                "fuel/test_catalogue_of_fuels",
                "losses/test_formed_fittings",
                "losses/test_fitting_catalogue",
                "course/test_line_materials",
                "course/test_size_tables",
                "course/test_tube_sizes",
            )
        ),
        built_at_import=True,
    ),
    "delivery": Group(
        ("flowsim/studies/delivery/*",),
        ("tests/unit/studies/delivery",),
        wider=("tests/unit/studies/judged", *WHOLE_SYSTEMS),
    ),
    "judged": Group(("flowsim/studies/judged/*",), JUDGED_TESTS, wider=WHOLE_SYSTEMS),
    "adequacy": Group(
        tuple(f"flowsim/studies/{room}/*" for room in ("adequacy", "joint", "verdict")),
        tuple(f"tests/unit/studies/{room}" for room in ("joint", "verdict", "adequacy")),
        wider=WHOLE_SYSTEMS,
    ),
    "sampling": Group(
        ("flowsim/studies/sampling/*", "flowsim/studies/review/*"),
        ("tests/unit/studies/sampling", "tests/unit/studies/review"),
        wider=WHOLE_SYSTEMS,
    ),
}

SPEAKS = r"Error\(|require_|_finite\(|_angle\(|for name, value in|^[-+]\s*(\(?rb?|f)?[\"']"
"""Lines that hold a message, or the name of a thing in one."""
REASONS: tuple[tuple[str, str], ...] = (
    (
        r"dtype=None|astype\(None\)|(asarray|array|zeros|full|repeat|arange)\(.*, \)",
        "numbers of the same kind come out",
    ),
    (r"zip\(.*(strict=(None|False)|, \))", "a guard against a slip of our own: lengths are equal"),
    (r"errstate\(", "a warning that what is computed does not raise"),
    (r"(Error|require_\w+|_finite|_angle)\((None|.*, None)", "words of a message"),
    (
        r"reshape\((None|-2)\)|(arg)?sort\(.*(kind=(None|\"[A-Z]+\"|\"XX)|, \))",
        "the same order or shape",
    ),
    (r"\] = None$|full\(.*, None\)", "None kept among numbers is NaN, among truths False"),
)
"""Where a change shows in the lines that it puts in, and why no test can find it."""
WORDS = "words of a message"
AT_A_BOUND = "differs only exactly at a bound"


def prepare(group: Group, folder: Path, *, wider: bool) -> None:
    """Copy the project and tell mutmut what to change and what to run."""
    folder.mkdir(parents=True, exist_ok=True)
    for name in COPIED:
        source, target = PROJECT / name, folder / name
        if source.is_dir():
            shutil.rmtree(target, ignore_errors=True)
            shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(source, target)
    settings: dict[str, object] = {
        "source_paths": ["flowsim"],
        "do_not_mutate": [] if group.built_at_import else list(GROUPS["tables"].files),
        "only_mutate": list(group.files),
        "also_copy": list(COPIED[2:]),
        "pytest_add_cli_args": ["-p", "no:cacheprovider", "-q", "-x"],
        "pytest_add_cli_args_test_selection": [*group.tests, *(group.wider if wider else ())],
        "timeout_multiplier": 8.0,
        "timeout_constant": 3.0,
        "use_git_change_detection": False,
        "on_dependency_change": "ignore",
    }
    lines = [f"{key} = {json.dumps(value)}" for key, value in settings.items()]
    own = (PROJECT / "pyproject.toml").read_text(encoding="utf-8")
    text = own + "\n[tool.mutmut]\n" + "\n".join(lines) + "\n"
    (folder / "pyproject.toml").write_text(text, encoding="utf-8")


def outcomes(folder: Path) -> dict[str, int | None]:
    """Exit code of the tests by name of the change; None where they did not run."""
    found: dict[str, int | None] = {}
    for path in sorted((folder / "mutants").rglob("*.meta")):
        found.update(json.loads(path.read_text(encoding="utf-8"))["exit_code_by_key"])
    return found


def lines_changed(folder: Path, names: list[str]) -> dict[str, str]:
    """The lines that each change takes out and puts in, out of the files that mutmut made."""
    lines: dict[str, str] = {}
    for module in sorted({name.rpartition(".")[0] for name in names}):
        path = folder / "mutants" / (module.replace(".", "/") + ".py")
        source = path.read_text(encoding="utf-8").splitlines()
        bodies = {
            node.name: source[node.lineno : node.end_lineno]
            for node in ast.walk(ast.parse("\n".join(source)))
            if isinstance(node, ast.FunctionDef)
        }
        for name in names:
            own, _, function = name.rpartition(".")
            if own == module:
                original = bodies[re.sub(r"__mutmut_\d+$", "__mutmut_orig", function)]
                both = difflib.unified_diff(original, bodies[function], n=0, lineterm="")
                lines[name] = "\n".join(line for line in list(both)[2:] if line[0] in "+-")
    return lines


GENERATE = """
import os
from mutmut import __main__ as mutmut
os.makedirs("mutants", exist_ok=True)
mutmut.set_mutant_under_test("mutant_generation")
mutmut.copy_src_dir()
mutmut.copy_also_copy_files()
mutmut.setup_source_paths()
mutmut.store_lines_covered_by_tests()
mutmut.create_mutants(2)
"""
"""What ``mutmut run`` does before it runs tests (version 3.8)."""


def run(name: str, work: Path, given: argparse.Namespace) -> None:
    """Run the tests of one group on every change, or on those that nothing had found."""
    folder, group, again = work / name, GROUPS[name], given.action == "again"
    prepare(group, folder, wider=again)
    with (work / f"{name}.log").open("w", encoding="utf-8") as log:
        making = [sys.executable, "-c", GENERATE]
        subprocess.run(making, cwd=folder, stdout=log, stderr=subprocess.STDOUT, check=True)
        changes = [
            change
            for change, code in outcomes(folder).items()
            if (code in (NOT_FOUND, NO_TEST) if again else given.anew or code is None)
            and (not given.only or any(fnmatch.fnmatch(change, only) for only in given.only))
        ]
        random.Random(18).shuffle(changes)  # so that a run that is stopped is a fair sample
        changes = changes[: given.sample or None]
        tests = given.tests or [*group.tests, *(group.wider if again else ())]
        if group.built_at_import:
            run_anew(folder, tests, set(changes))
            return
        (work / f"{name}.changes").write_text("\n".join(changes), encoding="utf-8")
        place = folder / "mutants"
        paths = [
            str(place),
            str(PROJECT / "tests" / "benchmarks"),
            os.environ.get("PYTHONPATH", ""),
        ]
        words = [
            *("-m", "change_by_change", str((work / f"{name}.changes").resolve()), *tests),
            *("--children", str(given.children), "--longest", str(given.longest)),
            *("--budget", str(given.budget)),
        ]
        subprocess.run(
            [sys.executable, *words],
            cwd=place,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(paths)},
            stdout=log,
            stderr=subprocess.STDOUT,
            check=False,
        )


def run_anew(folder: Path, tests: list[str], changes: set[str]) -> None:
    """Run the tests on every change in a process that has imported no table yet."""
    for module in PRELOADED:
        importlib.import_module(module)
    if tried_anew(folder, "", tests) != 0:
        raise SystemExit("the tests fail without any change")
    for path in sorted((folder / "mutants").rglob("*.meta")):
        data = json.loads(path.read_text(encoding="utf-8"))
        codes: dict[str, int | None] = data["exit_code_by_key"]
        for change in changes.intersection(codes):
            codes[change] = tried_anew(folder, change, tests)
            path.write_text(json.dumps(data), encoding="utf-8")


def tried_anew(folder: Path, change: str, tests: list[str]) -> int:
    """Exit code of the tests on one change, in a process of its own."""
    child = os.fork()
    if child == 0:
        signal.alarm(60)
        os.environ["MUTANT_UNDER_TEST"] = change
        os.chdir(folder / "mutants")
        sys.path.insert(0, str(folder / "mutants"))
        null = os.open(os.devnull, os.O_WRONLY)
        os.dup2(null, 1)
        os.dup2(null, 2)
        words = ["-x", "-q", "-p", "no:cacheprovider", *tests]
        os._exit(int(importlib.import_module("pytest").main(words)))
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def reason(lines: str) -> str | None:
    """Why no test can find a change, where that is known."""
    out, put = ("".join(line[1:] for line in lines.splitlines() if line[0] == s) for s in "-+")
    plain = [text.replace("XX", "").lower() for text in (out, put)]
    if plain[0] == plain[1] and re.search(SPEAKS, lines, flags=re.MULTILINE):
        return WORDS
    if re.sub("([<>])=", r"\1", out) == re.sub("([<>])=", r"\1", put):
        return AT_A_BOUND
    for pattern, why in REASONS:
        if re.search(pattern, put, flags=re.MULTILINE):
            return why
    return None


def report(name: str, work: Path) -> None:
    """Print the count of a group, the reasons, and what has none."""
    folder = work / name
    found = outcomes(folder)
    codes = Counter(found.values())
    left = [change for change, code in found.items() if code in (NOT_FOUND, NO_TEST)]
    tried = sum(codes.values()) - codes[None]
    lines = lines_changed(folder, left)
    reasons = Counter(reason(text) for text in lines.values())
    print(f"{name}: {tried} changes tried ({codes[None]} not), {tried - len(left)} found, ", end="")
    print(f"{len(left)} not; score {(tried - len(left)) / max(tried, 1):.1%}")
    for why, count in reasons.most_common():
        print(f"  {count:5d}  {why or 'without a known reason'}")
    for entry, text in lines.items():
        if reason(text) is None:
            print(f"\n{entry}\n{text}")


def main() -> None:
    """Read the command line and do it."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("action", choices=("run", "again", "report"))
    parser.add_argument("groups", nargs="+", choices=tuple(GROUPS))
    parser.add_argument("--work", type=Path, required=True, help="folder for the changed copies")
    parser.add_argument("--children", type=int, default=2, help="processes at a time")
    parser.add_argument("--only", nargs="+", default=[], help="patterns of names of changes")
    parser.add_argument("--tests", nargs="+", default=[], help="other tests than the group's")
    parser.add_argument("--sample", type=int, default=0, help="at most so many, at random")
    parser.add_argument("--longest", type=float, default=20.0, help="s, of one test that is run")
    parser.add_argument("--budget", type=float, default=60.0, help="s, of the tests of a change")
    parser.add_argument("--anew", action="store_true", help="those that were tried before as well")
    given = parser.parse_args()
    for name in given.groups:
        if given.action != "report":
            run(name, given.work, given)
        report(name, given.work)


if __name__ == "__main__":
    main()
