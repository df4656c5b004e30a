"""A name means one thing: no two public classes of flowsim are called alike."""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[2]


def test_no_two_public_classes_share_a_name():
    found: dict[str, list[str]] = {}
    for path in sorted((ROOT / "flowsim").rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                found.setdefault(node.name, []).append(path.relative_to(ROOT).as_posix())
    assert {name: places for name, places in found.items() if len(places) > 1} == {}
