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
    # Values by which code, the JSON or the command line know a thing.
    "not adequate", "cannot tell", "adequate, open line only", "as stated", "needle and seat",
    "elbow 90", "sediment bowl", "open line",
    # Kinds of obstacles and attitudes, and topics of findings.
    "hot part", "structure edge", "slip left", "slip right", "low point", "high point",
    "vent line low point", "tank low point", "bend radius", "straight line",
    # Fuel states and attitudes of scenarios, parked situations, events of a flight.
    "test quantity", "least take-off fuel", "declared unusable fuel", "full tanks",
    "f'{tanks[index].name} at its unusable'", "f'{assembly.system.tanks[tank].name} dry'",
    "wings level", "take-off run", "slip as flown", "parked on a 1 % slope",
    "parked on a 5 deg slope", "slip, 10 deg", "outlet uncovers", "outlet covered again",
    "tank gives no more", "required flow lost", "required flow back", "burn lost", "burn back",
    "fuel runs into tank", "fuel no longer runs into tank", "vent overflows",
    "vent no longer overflows", "phase begins", "cannot go on",
    # What a size study asks.
    "least bore", "largest loss", "change of head", "steepest climb", "least fuel in each tank",
    # Materials.
    "aluminium tube", "copper tube", "brass tube", "stainless steel tube", "steel tube",
    "rubber hose",
    # What a progress bar counts, and its key.
    "sweeping attitudes", "emptying tanks", "trying sizes", "what if", "flying the draws",
    "letting tanks stand", "varying inputs", "mapping the margin", "unusable fuel",
    "header tanks", "blocked vents", "transfer between full tanks", "ground test",
    # Keys that are names as well, or that group.
    "f'{self.line}, point {self.corner}'", "f'{line.name}, point {number}'",
    "f'vent {vent.group}'", "f'vent {tank.vent.group}'", "f'vent {group}'",
    "f'vent {limits} {number}'",
    # Annotations.
    "Proof | None", "tuple[Value, ...]", "tuple[tuple[str, Value], ...]",
}  # fmt: skip
"""Texts with a blank in studies that no reader is told as they stand."""
SHOWING = {"words", "significant", "significant_span", "span", "cell", "cell_with_unit", "exact"}
"""What makes text of a figure (``flowsim.measures.Measure``)."""
STILL_WORDED: frozenset[str] = frozenset()
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


def _in_errors(tree: ast.Module) -> set[int]:
    """Give what is said in an error that is raised, or made to be raised."""
    errors = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Raise)
        or (isinstance(node, ast.Call) and getattr(node.func, "id", "").endswith("Error"))
    ]
    return {id(part) for node in errors for part in ast.walk(node)}


def _texts(tree: ast.Module) -> Iterator[str]:
    """Give what might be English: texts with a blank, formatted ones; not in errors and enums."""
    passed = _in_errors(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            passed.add(id(node.value))
        if _is_enum(node):
            passed |= {id(part) for part in ast.walk(node)}
        if isinstance(node, ast.JoinedStr):
            passed |= {id(part) for part in ast.walk(node) if part is not node}
    for node in ast.walk(tree):
        if id(node) in passed:
            continue
        if isinstance(node, ast.JoinedStr) and _says(node) and ast.unparse(node) not in KEPT:
            yield ast.unparse(node)
        elif isinstance(node, ast.Constant) and _is_text(node.value):
            yield node.value


def _says(node: ast.JoinedStr) -> bool:
    """Tell whether a formatted text has a word of its own: names put together have none."""
    parts = [str(part.value) for part in node.values if isinstance(part, ast.Constant)]
    return any(character.isalpha() for part in parts for character in part)


def _is_enum(node: ast.AST) -> bool:
    """Tell whether a class names values by which code and JSON know a thing."""
    return isinstance(node, ast.ClassDef) and any(
        getattr(base, "id", "") == "StrEnum" for base in node.bases
    )


def _is_text(value: object) -> bool:
    return isinstance(value, str) and " " in value.strip() and value not in KEPT


def test_no_study_shows_a_figure() -> None:
    """Figures get their units where they are shown; errors alone show theirs at once."""
    shown = {
        f"{name}:{node.lineno}"
        for name, tree in _trees()
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and isinstance(node.func, ast.Attribute)
        and node.func.attr in SHOWING
        and id(node) not in _in_errors(tree)
    }
    assert not shown


def test_no_study_has_english() -> None:
    found = {name: list(_texts(tree)) for name, tree in _trees()}
    assert {name for name, texts in found.items() if texts} == STILL_WORDED
