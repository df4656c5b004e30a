"""Nothing in the code is decided by a display string: those are for readers and may change."""

import ast
from dataclasses import replace
from pathlib import Path
from typing import get_args

from flowsim.document.pictures import Sign
from flowsim.network.assembly import NO_SELECTOR
from flowsim.physics.losses.fitting_catalogue import CATALOGUE
from flowsim.reports.words.scenarios import short_name
from flowsim.studies.adequacy.study import judge
from flowsim.system.routing import ObstacleKind
from tests.support.systems import two_tanks

ROOT = Path(__file__).parents[2]
ROOMS = ("system", "physics", "network", "studies", "document", "reports", "page", "cli")
"""Files may: there the words are those that a builder writes."""

LOOKED_AT = ("startswith", "endswith", "removeprefix", "removesuffix")
KEYS = {*CATALOGUE, *get_args(Sign), *get_args(ObstacleKind)}
"""Words of a format: kinds of fitting and obstacle as a builder writes them, signs of a picture's
file."""


def _compared(tree: ast.AST) -> list[str]:
    """Give the string constants with a blank inside that something is compared with."""
    found = []
    for node in ast.walk(tree):
        given: list[ast.expr] = []
        if isinstance(node, ast.Compare):
            given = [node.left, *node.comparators]
        elif isinstance(node, ast.Call) and getattr(node.func, "attr", "") in LOOKED_AT:
            given = list(node.args)
        for item in given:
            held = item.elts if isinstance(item, ast.Tuple | ast.Set | ast.List) else [item]
            found += [
                one.value
                for one in held
                if isinstance(one, ast.Constant)
                and isinstance(one.value, str)
                and " " in one.value.strip()
                and one.value not in KEYS
            ]
    return found


def test_no_phrase_is_compared():
    found = {
        path.relative_to(ROOT).as_posix(): words
        for room in ROOMS
        for path in sorted((ROOT / "flowsim" / room).rglob("*.py"))
        if (words := _compared(ast.parse(path.read_text(encoding="utf-8"))))
    }
    assert found == {}


def test_the_search_finds_what_it_looks_for():
    tree = ast.parse('a == "open line"; b.startswith("flows back"); c in ("x", "not solved")')
    assert sorted(_compared(tree)) == ["flows back", "not solved", "open line"]


def test_a_selector_position_may_be_called_as_its_builder_likes():
    scenario = judge(two_tanks(), draws=128).scenarios[0]
    assert short_name(replace(scenario, selector=NO_SELECTOR)).startswith("no selector,")
    assert short_name(replace(scenario, selector="no left")).startswith("selector no left")
