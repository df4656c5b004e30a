"""Cases in which nothing can flow: not adequate, and no figure that reads like a failed solve.

Bundled cases with one thing changed: a one-way valve that no head opens, before the engine or in
one tank's line alone, and tanks whose outlets are bare with all that is judged.
"""

import json
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from flowsim.files.case.reader import read_draft
from flowsim.page import jobs
from flowsim.page.sizes import sizes_for, with_size
from tests.cli.conftest import Said
from tests.support.every_command import CASES, commands

FINDINGS = ("no result", "nan", "could not be solved", "its solve failed")
KEY = 'Where it says "no result", a solve failed.'


def stiff(data: dict[str, Any]) -> None:
    with_valve(next(line for line in data["line"] if line["to"] == "engine"))


def stiff_left(data: dict[str, Any]) -> None:
    with_valve(next(line for line in data["line"] if line["name"] == "left down"))


def with_valve(line: dict[str, Any]) -> None:
    valve = {"part": "one-way valve", "name": "valve", "kv": 2.0, "cracking": "30 kPa"}
    line["parts"] = [*line.get("parts", []), valve]


def bare(data: dict[str, Any]) -> None:
    for tank in data["tank"]:
        tank |= {"unusable": "0.01 L", "least_takeoff": "0.01 L"}
    data["test"]["draw"] = "0.01 L"


VARIANTS = {
    "no head opens the valve": ("one-tank", stiff),
    "no head opens the valve of one tank": ("four-outlets", stiff_left),
    "outlets bare whatever is judged": ("nose-high", bare),
}


LARGE = "no head opens the valve of one tank"
"""Takes longest, and says of another case what the others say; runs with ``-m long`` alone."""


@pytest.fixture(
    params=[
        pytest.param(name, marks=pytest.mark.long if name == LARGE else ()) for name in VARIANTS
    ]
)
def shut(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    """Let a name stand for a case in which nothing flows somewhere."""
    bundled, change = VARIANTS[request.param]
    data = tomllib.loads(CASES[bundled].read_text(encoding="utf-8"))
    change(data)
    path = tmp_path / "case.toml"
    path.write_text(tomlkit.dumps(data), encoding="utf-8")
    monkeypatch.setitem(CASES, "shut", path)
    return "shut"


def test_it_is_a_finding_and_no_failed_solve(run: Callable[..., Said], shut: str) -> None:
    for name, words in commands(shut).items():
        if name == "ground-test leak":
            continue
        said = run(*words)
        assert said.code in (0, 1) or name == "routing", f"{name}: {said.err}"
        told = " ".join(said.out.split()).replace(KEY, "")
        assert [one for one in FINDINGS if one in told] == [], name
    said = run("check", CASES[shut], "--draws", "100", "--json")
    made = json.loads(said.out)
    assert (said.code, made["verdict"]) == (1, "not adequate")
    flow = [one for one in made["result_lines"] if one["least_percent_nominal"] == 0.0]
    assert flow


def test_the_pages_panel_of_sizes_says_none(shut: str) -> None:
    draft = read_draft(CASES[shut].read_text(encoding="utf-8"), "case.toml")
    assert draft.system is not None
    name = draft.system.lines[0].name
    made = jobs.try_size(with_size(draft, (name,), sizes_for(draft.system, (name,))[0]))
    assert made["problem"] == ""
    assert made["least"] == "0.0 %"
    assert made["head"] != "no result"
