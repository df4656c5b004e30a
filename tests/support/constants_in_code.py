"""Numbers in the code, found by reading it: constants, defaults of data, coefficients of laws.

Used by the page of values and by the test that no number of physics stays without an entry.
"""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from flowsim.system.tags import Tag

ROOT = Path(__file__).parents[2]
FLOORS = ("constants.py", "physics", "system", "network", "studies", "files")

PLAIN = {0.0, 0.25, 0.5, 1.0, 2.0, 3.0, 4.0, 6.0, 8.0, 60.0, 180.0, 3600.0}
"""Numbers that a formula may hold without being a coefficient, beside powers of ten."""

_QUANTITY = re.compile(r"^-?\d+(\.\d+)? [A-Za-z%]\S*$")
_TAG = re.compile(r"Tag: (published|estimate|common practice|from memory)")
_WORDS = (
    ("from memory", Tag.FROM_MEMORY),
    ("common practice", Tag.COMMON_PRACTICE),
    ("no source", Tag.ESTIMATE),
    ("estimate", Tag.ESTIMATE),
    ("transcribed", Tag.PUBLISHED),
    ("as coded in the fluids", Tag.PUBLISHED),
    ("read)", Tag.PUBLISHED),
    ("exact", Tag.PUBLISHED),
)


@dataclass(frozen=True, slots=True)
class Entry:
    """One number (or table of numbers), its place and its words.

    ``kind`` is "constant", "default" (of a field) or "law" (a function with coefficients of its
    own); ``name`` is the constant's, the field's or the function's; ``words`` its docstring.
    """

    module: str
    name: str
    kind: str
    line: int
    words: str

    @property
    def key(self) -> str:
        """Module and name, as the list of what is no physics has it."""
        return f"{self.module}:{self.name}"

    @property
    def tag(self) -> Tag | None:
        """Where the number is from, by its words; None where they do not say it."""
        stated = _TAG.search(self.words)
        if stated:
            return Tag(stated[1])
        return next((tag for words, tag in _WORDS if words in self.words), None)


def entries() -> Iterator[Entry]:
    """Give every number of the floors that reach a verdict, in file order."""
    for floor in FLOORS:
        path = ROOT / "flowsim" / floor
        for file in [path] if path.is_file() else sorted(path.rglob("*.py")):
            module = file.relative_to(ROOT / "flowsim").with_suffix("").as_posix()
            text = file.read_text(encoding="utf-8")
            yield from _entries(module, ast.parse(text), text.splitlines())


def numbers(node: ast.AST) -> list[float | str]:
    """Give the numbers of an expression, and texts that are a number with a unit."""
    found: list[float | str] = []
    for inner in ast.walk(node):
        if not isinstance(inner, ast.Constant) or isinstance(inner.value, bool):
            continue
        if isinstance(inner.value, int | float):
            found.append(float(inner.value))
        elif isinstance(inner.value, str) and _QUANTITY.match(inner.value):
            found.append(inner.value)
    return found


def is_plain(number: float | str) -> bool:
    """Tell whether a number is no coefficient: small, or a power of ten."""
    if isinstance(number, str):
        return False
    size = abs(number)
    power = re.fullmatch(r"1e[+-]?\d+", f"{size:.0e}") and size == float(f"{size:.0e}")
    return size in PLAIN or bool(power)


def _entries(module: str, tree: ast.Module, lines: list[str]) -> Iterator[Entry]:
    for index, node in enumerate(tree.body):
        if isinstance(node, ast.Assign | ast.AnnAssign) and node.value is not None:
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            if numbers(node.value):
                name = ast.unparse(target).strip("()")
                words = _words_after(tree, index) or _comment(lines, node)
                yield Entry(module, name, "constant", node.lineno, words)
        elif isinstance(node, ast.ClassDef) and module.startswith("system/"):
            yield from _defaults(module, node)
        elif isinstance(node, ast.FunctionDef) and module.startswith("physics/"):
            if all(is_plain(number) for number in _coefficients(node)):
                continue
            words = " ".join((ast.get_docstring(node) or "").split())
            yield Entry(module, node.name, "law", node.lineno, words)


def _words_after(tree: ast.Module, index: int) -> str:
    """Give the docstring after a constant."""
    after = tree.body[index + 1] if index + 1 < len(tree.body) else None
    if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
        return " ".join(str(after.value.value).split())
    return ""


def _comment(lines: list[str], node: ast.stmt) -> str:
    """Give the comment beside a constant, or above it and its neighbours."""
    last = lines[(node.end_lineno or node.lineno) - 1]
    if "  # " in last:
        return last.split("  # ", 1)[1].strip()
    above = node.lineno - 2
    while above >= 0 and lines[above] and not lines[above].startswith(("#", '"', "import", "from")):
        above -= 1
    found = []
    while above >= 0 and lines[above].startswith("# "):
        found.append(lines[above].removeprefix("# "))
        above -= 1
    return " ".join(" ".join(reversed(found)).split())


def _defaults(module: str, node: ast.ClassDef) -> Iterator[Entry]:
    words = " ".join((ast.get_docstring(node) or "").split())
    for field in node.body:
        if isinstance(field, ast.AnnAssign) and field.value is not None and numbers(field.value):
            name = f"{node.name}.{ast.unparse(field.target)}"
            yield Entry(module, name, "default", field.lineno, words)


def _coefficients(node: ast.FunctionDef) -> list[float | str]:
    """Give the numbers of a function's formulas: not those of its messages and docstring."""
    found: list[float | str] = []
    for statement in node.body:
        if isinstance(statement, ast.Raise | ast.Assert):
            continue
        found += numbers(statement)
    return found
