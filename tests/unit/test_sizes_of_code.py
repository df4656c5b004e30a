"""A file holds one idea and so does a function: neither grows beyond what can be seen at once.

The aim is 400 lines of a file and 40 of a function; the test leaves a little room, so that one line
more does not force a split that nobody thought about.
"""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[2] / "flowsim"
MOST_OF_A_FILE = 420
MOST_OF_A_FUNCTION = 60


def body_lines(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Give the lines of a function without its head and its docstring."""
    body = node.body
    if ast.get_docstring(node) is not None:
        body = body[1:]
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def too_long(folder: Path) -> list[str]:
    """Give the files and functions that are too long."""
    found = []
    for path in sorted(folder.rglob("*.py")):
        text, name = path.read_text(encoding="utf-8"), path.relative_to(folder).as_posix()
        lines = text.count("\n")
        if lines > MOST_OF_A_FILE:
            found.append(f"{name}: {lines} lines")
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
                long = body_lines(node)
                if long > MOST_OF_A_FUNCTION:
                    found.append(f"{name}: {node.name} has {long} lines")
    return found


def test_no_file_and_no_function_is_too_long():
    assert too_long(ROOT) == []


def test_the_search_finds_what_it_looks_for(tmp_path: Path):
    body = "".join(f"    a = {i}\n" for i in range(MOST_OF_A_FUNCTION + 1))
    (tmp_path / "long.py").write_text(f'def f():\n    """Say."""\n{body}')
    (tmp_path / "full.py").write_text("a = 1\n" * (MOST_OF_A_FILE + 1))
    assert too_long(tmp_path) == ["full.py: 421 lines", "long.py: f has 61 lines"]
