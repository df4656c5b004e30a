"""Where a scenario is not solved: cannot tell, with position, attitude and what to try; no finding.

No bundled case is unsolved, so the solver is given no iterations, or made to give up in a share of
its scenarios.
"""

import dataclasses
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from flowsim.document.words.telling import told
from flowsim.network import solver
from flowsim.studies.result import UNSOLVED_REMEDY
from tests.cli.conftest import Said
from tests.support.every_command import CASES, commands
from tests.support.output_samples import texts

WHERE = re.compile(r"(no selector|left|right|both)\W.{0,40}?\d\.\d deg")
FINDINGS = ("no result %", "no result of it", "nan", "never met", "even with a full tank",
            "does not come", "too small")  # fmt: skip
TOLD = {
    "one-tank": ("open line, 150 %", "declared unusable fuel, full-power burn",
                 "take-off run, 100 %, open line", "air", "vapour", "unusable fuel as declared",
                 "least take-off fuel"),
    "header": ("refill of the header tank",),
}  # fmt: skip


@pytest.fixture(params=["all", "some"])
def failing(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> str:
    """Let no scenario be solved, or every third one fail."""
    if request.param == "all":
        monkeypatch.setattr(solver, "MOST_ITERATIONS", 0)
        return "all"
    real = solver.solve

    def some(*given: Any, **more: Any) -> solver.Solution:
        solution = real(*given, **more)
        bad = np.arange(len(solution.converged)) % 3 == 0
        changed: dict[str, Any] = {"converged": solution.converged & ~bad}
        for name in ("flow", "head"):
            values = getattr(solution, name).copy()
            values[bad] = np.nan
            changed[name] = values
        return dataclasses.replace(solution, **changed)

    for module in ("delivery.deliver", "judged.sweep", "judged.headers", "delivery.trapped_air"):
        name = f"flowsim.studies.{module}.solve"
        with_it = __import__(f"flowsim.studies.{module}", fromlist=["solve"])
        if hasattr(with_it, "solve"):
            monkeypatch.setattr(name, some)
    return "some"


@pytest.mark.parametrize("name", TOLD)
def test_each_line_says_where_and_what_to_try(
    run: Callable[..., Said], tmp_path: Path, failing: str, name: str
) -> None:
    case = tmp_path / "case.toml"
    bundled = CASES.get(name)
    text = texts()["header.toml"] if bundled is None else bundled.read_text(encoding="utf-8")
    case.write_text(text, encoding="utf-8")
    said = run("check", case, "--nominal", "--json")
    made = json.loads(said.out)
    assert made["verdict"] != "adequate"
    assert failing == "some" or (made["verdict"], said.code) == ("cannot tell", 3)
    made_of = {one["name"]: one for one in made["decisions"]}
    lines = [one for key in TOLD[name] for one in made_of.values() if one["name"].startswith(key)]
    assert len(lines) >= len(TOLD[name])
    for one in lines:
        if failing == "all":
            assert one["verdict"] == "cannot tell", one["name"]
        if one["remedy"] == told(UNSOLVED_REMEDY):
            assert WHERE.search(one["found"]), one["found"]
    assert failing == "some" or all(one["remedy"] == told(UNSOLVED_REMEDY) for one in lines)
    assert any(one["remedy"] == told(UNSOLVED_REMEDY) for one in lines)


@pytest.mark.parametrize("command", ["check", "check --full", "unusable", "hand-check", "what-if",
                                     "compare", "uncertainty", "size"])  # fmt: skip
def test_no_command_makes_a_finding_of_it(
    run: Callable[..., Said], monkeypatch: pytest.MonkeyPatch, command: str
) -> None:
    monkeypatch.setattr(solver, "MOST_ITERATIONS", 0)
    said = run(*commands("one-tank")[command])
    assert said.code in (0, 3)
    words = " ".join(said.out.split())
    assert not re.search(r": not adequate(?!;)", words)
    assert [one for one in FINDINGS if one in words] == []
    if command not in ("check", "size"):  # they point to the others
        assert told(UNSOLVED_REMEDY)[:60] in words
