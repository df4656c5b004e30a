"""Every command's JSON on every bundled case: its schema, its numbers, its units, and its words.

It validates, holds neither NaN nor infinity, and names a unit in the key of every number that has a
dimension; exit code, ``verdict`` and the words of the text agree. What takes long on the larger
cases runs with ``-m long``.
"""

import json
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from flowsim.cli import exit_codes
from flowsim.studies.result import OPEN_LINE_ONLY
from tests.cli.conftest import Said
from tests.support.every_command import CASES, commands
from tests.support.strict_json import strict

ROOT = Path(__file__).parents[2]
QUICK = ("humps", "one-tank")
ONCE = {"four-outlets": ("check", "routing", "ground-test leak", "flight"), "tandem": ("check",)}
"""What is not slow on the larger cases."""
SUFFIXES = (
    "mm", "m", "l", "ml", "kg", "g", "s", "c", "k", "deg", "kt", "kpa", "g0", "kg_per_h",
    "lb_per_h", "l_per_h", "us_gal_per_h", "kg_per_m3", "mm2_per_s", "m_per_s", "m_per_s2",
    "ml_per_min_of_air", "percent",
)  # fmt: skip
"""Units as they end a key, or stand before what the figure is of its spread (``_p05``)."""
UNIT = re.compile(
    rf"(^|_)({'|'.join(SUFFIXES)})(_p\d\d|_nominal|_standard_error|_of_\w+|_at_\w+)?"
    r"(_standard_error)?$|^(seconds|litres|percent)$"
)
NO_DIMENSION = {
    "chance", "chance_standard_error", "coefficient", "declared_is_enough", "dip_times",
    "dip_times_cautious", "dip_times_expected", "edge_nominal_factor", "edge_p05_factor", "factor",
    "index_first", "index_first_high", "index_first_low", "index_total", "index_total_high",
    "index_total_low", "misfit", "misfit_deviations", "ours", "present_factor", "range_factor",
    "rank_correlation", "reynolds", "share", "share_of_variance",
    "share_of_variance_after_those_above", "share_of_variance_alone", "share_of_variance_learned",
    "share_of_variance_left", "share_of_variance_of_bucket_runs", "starved", "value",
    "variance_share", "variance_share_standard_error", "weight", "catalogue_share", "place",
    "flow_factor",
}  # fmt: skip
BESIDE = {
    "after_p05": "unit", "after_p50": "unit", "after_p95": "unit", "before_p05": "unit",
    "before_p50": "unit", "before_p95": "unit",
}  # fmt: skip
"""Figures whose unit stands in a key of its own beside them."""


def walk() -> Iterator[Any]:
    for name in CASES:
        for command in commands(name):
            quick = name in QUICK or command in ONCE.get(name, ())
            yield pytest.param(name, command, marks=() if quick else pytest.mark.long)


def validate(made: dict[str, Any]) -> None:
    name = made["schema"].removeprefix("flowsim.").removesuffix("/1")
    path = ROOT / "docs" / "schemas" / f"{name}.schema.json"
    jsonschema.Draft202012Validator(json.loads(path.read_text(encoding="utf-8"))).validate(made)


def without_unit(value: Any, key: str = "", above: str = "") -> Iterator[str]:
    """Give the keys of numbers that say no unit; in a table by name the key above counts."""
    if isinstance(value, dict):
        for name, item in value.items():
            inside = BESIDE.get(name)
            if inside is None or not value.get(inside):
                # Names of tanks and quantiles are no keys of their own: the unit stands above.
                is_name = UNIT.search(key) is not None and not UNIT.search(name)
                yield from without_unit(item, key if is_name else name, key)
    elif isinstance(value, list):
        for item in value:
            yield from without_unit(item, key, above)
    elif isinstance(value, float) and not (UNIT.search(key) or key in NO_DIMENSION):
        yield f"{above}.{key}"


def verdicts(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("verdict"), str):
            yield value["verdict"]
        value = list(value.values())
    for item in value if isinstance(value, list) else ():
        yield from verdicts(item)


@pytest.mark.parametrize(("name", "command"), list(walk()))
def test_json_code_and_words_agree(run: Callable[..., Said], name: str, command: str) -> None:
    words = commands(name)[command]
    said = run(*words, "--json")
    assert said.err == ""
    made = strict(said.out)
    validate(made)
    assert sorted(set(without_unit(made))) == []
    known = {*exit_codes.BY_VERDICT, OPEN_LINE_ONLY, "for information", "open line only"}
    assert set(verdicts(made)) - known == set()
    told = run(*words)
    assert (told.code, told.err) == (said.code, "")
    agree(made, said.code, " ".join(told.out.split()))


def agree(made: dict[str, Any], code: int, words: str) -> None:
    """Exit code, ``verdict`` and the words of the text say one thing."""
    verdict = made.get("verdict")
    if verdict is not None:
        plain = "adequate" if verdict == OPEN_LINE_ONLY else verdict
        assert code == exit_codes.BY_VERDICT[plain]
        found = re.search(
            r"(?:Verdict|Declared figures): ([a-z ,]+?)(?= By| This| Do| That|$)", words
        )
        assert found is not None
        assert found[1].strip() == verdict
        return
    assert code in exit_codes.BY_VERDICT.values()
    for item in ("first", "second"):  # of a comparison
        if isinstance(made.get(item), dict) and "verdict" in made[item]:
            assert made[item]["verdict"] in words


def test_a_report(run: Callable[..., Said]) -> None:
    said = run(
        "report", CASES["one-tank"], "--json", "--nominal", "--no-pdf", "--date", "2026-01-31"
    )
    made = strict(said.out)
    validate(made)
    assert sorted(set(without_unit(made["check"]))) == []
    assert said.code == exit_codes.BY_VERDICT[made["check"]["verdict"].partition(",")[0]]


def test_the_rule_finds_a_key_without_unit() -> None:
    assert list(without_unit({"a": {"flow": 1.5}})) == ["a.flow"]
    fine = {"flow_l_per_h": 2.5, "end_l": {"left": 1.5}, "chance": 0.5, "least_percent_p05": 99.5,
            "percent_of_required_p05_standard_error": 0.5, "count": 3}  # fmt: skip
    assert list(without_unit(fine)) == []
