"""The words of the studies: each key has its words, each place its value, and no study has English.

What stands here holds the rule that studies give data: what they have to say is a key with values.
"""

import ast
import string
from collections.abc import Iterator
from pathlib import Path

import pytest

from flowsim.document.words.catalogue import CATALOGUE
from flowsim.document.words.telling import _places

STUDIES = Path(__file__).parents[4] / "flowsim" / "studies"
KEPT = {
    # Values of an enum or keys of the JSON: code compares them, pages word them.
    "not adequate", "cannot tell", "adequate, open line only", "as stated", "needle and seat",
    "elbow 90", "sediment bowl",
    # What a progress bar counts, and its key.
    "sweeping attitudes", "emptying tanks", "trying sizes", "what if",
    # Kinds of obstacles and attitudes, and topics of findings, by which code and JSON know them.
    "hot part", "structure edge", "slip left", "slip right", "low point", "high point",
    "vent line low point", "tank low point", "bend radius", "straight line",
    # Keys that are names as well: a hump, an outlet, what is grouped.
    "f'{self.line}, point {self.corner}'", "f'{line.name}, point {number}'",
    "f'{tank.name}.{outlet.name}'", "f'{self.line} {self.along}'",
    "f'{point.vent_line} {point.place.key}'", "f'{item.outlet} {item.broken_at}'",
    # An annotation.
    "Proof | None",
}  # fmt: skip
"""Texts with a blank in studies that no reader is told as they stand."""
STILL_WORDED = {
    "adequacy/loss_paths", "adequacy/study", "changes/changed_parts", "changes/resize",
    "changes/shut_airspaces", "flight/bands", "flight/model", "flight/modes",
    "flight/profile", "flight/result", "flight/transfer", "ground_test/learn",
    "judged/flight_attitudes", "judged/fuel_states", "judged/headers", "report/collect",
    "report/margin_map", "report/pressure_path", "review/joins", "sampling/causes",
    "sampling/draws", "saying", "sizing/inverse", "sizing/study", "uncertainty/sensitivity",
    "what_if/comparison", "what_if/study",
}  # fmt: skip
"""Modules whose words are not moved yet. None may be added."""


def _trees() -> Iterator[tuple[str, ast.Module]]:
    for path in sorted(STUDIES.rglob("*.py")):
        name = path.relative_to(STUDIES).with_suffix("").as_posix()
        yield name, ast.parse(path.read_text(encoding="utf-8"))


def _keys(node: ast.expr) -> Iterator[str]:
    """Give the literal keys of a saying: one, or one of two."""
    if isinstance(node, ast.IfExp):
        yield from _keys(node.body)
        yield from _keys(node.orelse)
    else:
        assert isinstance(node, ast.Constant), f"line {node.lineno}: a key is a literal"
        yield node.value


def _sayings() -> Iterator[tuple[str, str, frozenset[str]]]:
    """Give module, key and names of the values of every saying."""
    for name, tree in _trees():
        for node in ast.walk(tree):
            if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "saying"):
                continue
            if name == "saying" and not isinstance(node.args[0], ast.Constant):
                continue
            given = [keyword.arg for keyword in node.keywords]
            assert None not in given, f"{name}:{node.lineno}: values are named"
            for key in _keys(node.args[0]):
                yield f"{name}:{node.lineno}", key, frozenset(word for word in given if word)


def _wanted(key: str) -> frozenset[str]:
    """Give the names of the places in the words of a key."""
    return frozenset(name for _, name, _, _ in string.Formatter().parse(CATALOGUE[key]) if name)


def test_every_saying_has_words_with_exactly_its_values() -> None:
    wrong = [
        (where, key, sorted(given))
        for where, key, given in _sayings()
        if key not in CATALOGUE or given != _wanted(key)
    ]
    assert not wrong


def test_no_words_are_unused() -> None:
    assert CATALOGUE.keys() == {key for _, key, _ in _sayings()}


@pytest.mark.parametrize("key", CATALOGUE)
def test_every_place_has_a_form_that_exists(key: str) -> None:
    assert _places(key)


def _texts(tree: ast.Module) -> Iterator[str]:
    """Give what might be English: texts with a blank, formatted ones; not in errors and enums."""
    passed: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(id(node.value))
        if isinstance(node, ast.Raise) or _is_enum(node):
            passed |= {id(part) for part in ast.walk(node)}
        if isinstance(node, ast.JoinedStr):
            passed |= {id(part) for part in ast.walk(node) if part is not node}
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        if isinstance(node, ast.JoinedStr) and ast.unparse(node) not in KEPT:
            yield ast.unparse(node)
        elif isinstance(node, ast.Constant) and _is_text(node.value):
            yield node.value


def _is_enum(node: ast.AST) -> bool:
    """Tell whether a class names values by which code and JSON know a thing."""
    return isinstance(node, ast.ClassDef) and any(
        getattr(base, "id", "") == "StrEnum" for base in node.bases
    )


def _is_text(value: object) -> bool:
    return isinstance(value, str) and " " in value.strip() and value not in KEPT


def test_no_study_has_english() -> None:
    found = {name: list(_texts(tree)) for name, tree in _trees()}
    assert {name for name, texts in found.items() if texts} == STILL_WORDED
