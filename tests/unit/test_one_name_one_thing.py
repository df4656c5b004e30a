"""A name means one thing: no two public types are called alike, and none is written out twice.

Functions may be called alike: the name of their module says of what (``routing.ticks``,
``svg.ticks``).
"""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[2]


def types(node: ast.stmt) -> str | None:
    """Give the name of the class or of the type that a statement defines."""
    if isinstance(node, ast.ClassDef):
        return node.name
    written = written_types(node)
    return written and written.split(" = ")[0]


def written_types(node: ast.stmt) -> str | None:
    """Give the name of the type that a statement writes out, with what it says."""
    if not isinstance(node, ast.Assign) or not isinstance(node.targets[0], ast.Name):
        return None
    name, value = node.targets[0].id, node.value
    # A type begins with a capital and goes on in small letters; a constant is all capitals.
    is_type = isinstance(value, ast.Subscript | ast.BinOp | ast.Attribute)
    named_so = name[0].isupper() and name != name.upper()
    return f"{name} = {ast.unparse(value)}" if is_type and named_so else None


def defined(folder: Path, name_of) -> dict[str, list[str]]:
    """Give what is defined in more than one place, and where."""
    found: dict[str, list[str]] = {}
    for path in sorted(folder.rglob("*.py")):
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            name = name_of(node)
            if name is not None and not name.startswith("_"):
                found.setdefault(name, []).append(path.relative_to(folder).as_posix())
    return {name: places for name, places in found.items() if len(places) > 1}


def test_no_two_public_types_share_a_name():
    assert defined(ROOT / "flowsim", types) == {}


def test_no_type_is_written_out_twice():
    assert defined(ROOT / "flowsim", written_types) == {}


def test_the_search_finds_what_it_looks_for(tmp_path: Path):
    (tmp_path / "a.py").write_text("class Band: ...\nJson = dict[str, int]\nMOST = 3\nOwn = 1\n")
    (tmp_path / "b.py").write_text("class Band: ...\nJson = dict[str, int]\nMOST = 3\nOwn = 1\n")
    assert set(defined(tmp_path, types)) == {"Band", "Json"}
    assert set(defined(tmp_path, written_types)) == {"Json = dict[str, int]"}
