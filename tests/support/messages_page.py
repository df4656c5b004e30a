"""The page ``docs/messages.md``: every sentence, heading and column that a user may meet.

    python -m tests.support.messages_page

writes it from the code, so that all can be read through as a whole; a test holds it current.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "messages.md"
SAYING = frozenset(
    [
        "heading",
        "paragraph",
        "bullets",
        "Heading",
        "Words",
        "Figure",
        "table",
        "pairs",
        "mistake",
        "default",
        "refuse",
        "DomainError",
        "OutputError",
        "InputError",
        "Mistake",
        "BadParameter",
        "Decision",
        "join",
        "words",
        "section",
        "gap",
        "Field",
        "Option",
        "Argument",
        "Chapter",
        "caution",
    ]
)
"""Calls that take what is said: of their words even a single one is listed."""
LEAST_WORDS = 3
"""Words from which any other text counts as one that is said."""
HEAD = """# Every message

Made from the code by `python -m tests.support.messages_page`: what may be printed, by module, with
`{...}` where a value stands. It is here to be read through as a whole: one word for one thing
([nomenclature](nomenclature.md)), every caution with what, where, how much and what to do.

"""


def messages_page() -> str:
    """Give the page."""
    parts = [HEAD]
    for path in sorted((ROOT / "flowsim").rglob("*.py")):
        found = list(dict.fromkeys(messages(ast.parse(path.read_text(encoding="utf-8")))))
        if found:
            name = path.relative_to(ROOT / "flowsim").with_suffix("").as_posix()
            parts.append(f"## {name}\n\n" + "".join(f"- {_shown(text)}\n" for text in found) + "\n")
    return "".join(parts).rstrip("\n") + "\n"


def messages(tree: ast.Module) -> Iterator[str]:
    """Give what a module may say, in the order of its text."""
    passed = _not_said(tree)
    told: list[tuple[int, int, str]] = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and _name(node.func) in SAYING:
            for value in [*node.args, *(keyword.value for keyword in node.keywords)]:
                told += _texts(value, passed, 1)
        told += _texts(node, passed, LEAST_WORDS) if _is_text(node) else []
    told += _of_catalogue(tree)
    for _, _, text in sorted(set(told)):
        yield text


def _of_catalogue(tree: ast.Module) -> Iterator[tuple[int, int, str]]:
    """Give all that a module of words says (``WORDS``), places without their forms."""
    for node in tree.body:
        if isinstance(node, ast.AnnAssign | ast.Assign) and isinstance(node.value, ast.Dict):
            targets = [node.target] if isinstance(node, ast.AnnAssign) else node.targets
            if any(_name(target) == "WORDS" for target in targets):
                for value in node.value.values:
                    for line, column, text in _texts(value, set(), 1):
                        yield line, column, re.sub(r"\{(\w+):[^}]*\}", r"{\1}", text)


def _texts(node: ast.AST, passed: set[int], least: int) -> list[tuple[int, int, str]]:
    if id(node) in passed or not _is_text(node):
        return []
    text = " ".join(_words(node).split())
    letters = re.findall(r"[A-Za-z]{2,}", re.sub(r"\{[^}]*\}", " ", text))
    if (
        len(letters) < least
        or re.fullmatch(r"\S*[./_]\S*", text)
        or "<" in text[:1]
        or "://" in text
    ):
        return []
    return [(node.lineno, node.col_offset, text)]


def _is_text(node: ast.AST) -> bool:
    return isinstance(node, ast.JoinedStr) or (
        isinstance(node, ast.Constant) and isinstance(node.value, str)
    )


def _words(node: ast.AST) -> str:
    if isinstance(node, ast.Constant):
        return str(node.value)
    assert isinstance(node, ast.JoinedStr)
    return "".join(
        str(part.value)
        if isinstance(part, ast.Constant)
        else "{" + ast.unparse(part).strip("{}'\"f").split(":")[0][:24] + "}"
        for part in node.values
    )


def _not_said(tree: ast.Module) -> set[int]:
    """Give docstrings, parts of longer texts, keys of dictionaries and regular expressions."""
    passed: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(id(node.value))
        if isinstance(node, ast.JoinedStr):
            passed |= {id(part) for part in ast.walk(node) if part is not node}
        if isinstance(node, ast.Call) and _name(node.func) in ("compile", "Literal", "TypeVar"):
            passed |= {id(part) for part in ast.walk(node)}
    return passed


def _name(node: ast.AST) -> str:
    return node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def _shown(text: str) -> str:
    return text.replace("<", "&lt;").replace("|", "&#124;")


if __name__ == "__main__":
    PAGE.write_text(messages_page(), encoding="utf-8")
