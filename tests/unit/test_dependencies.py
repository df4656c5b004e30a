"""What is imported is a dependency, and each dependency is imported."""

import ast
import re
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def names(requirements: list[str]) -> set[str]:
    """Give the names under which libraries are imported."""
    bare = (re.split(r"[<>=!~\[ ;]", item, maxsplit=1)[0] for item in requirements)
    return {name.replace("-", "_") for name in bare}


def imported() -> dict[str, set[str]]:
    """Give each library that flowsim imports, inside functions too, with the modules that do."""
    found: dict[str, set[str]] = {}
    for path in sorted((ROOT / "flowsim").rglob("*.py")):
        module = path.relative_to(ROOT).as_posix()
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                whole = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom) and node.level == 0:
                whole = [node.module or ""]
            else:
                continue
            for name in whole:
                library = name.partition(".")[0]
                if library not in sys.stdlib_module_names and library != "flowsim":
                    found.setdefault(library, set()).add(module)
    return found


def test_each_dependency_is_imported():
    assert names(PROJECT["dependencies"]) <= set(imported())


def test_what_is_imported_is_a_dependency():
    known = names(PROJECT["dependencies"]) | names(PROJECT["optional-dependencies"]["pdf"])
    assert set(imported()) <= known


def test_the_second_opinion_alone_imports_fluids():
    assert imported()["fluids"] == {"flowsim/reports/pages/second_opinion.py"}
    tree = ast.parse((ROOT / "flowsim/reports/pages/second_opinion.py").read_text(encoding="utf-8"))
    outside = [node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom)]
    assert not [node for node in outside if "fluids" in ast.unparse(node)]
