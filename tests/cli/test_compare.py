"""``flowsim compare``: what differs, whether the verdict changes, exit code of the second."""

import json
from pathlib import Path

import pytest

CASES = Path(__file__).parents[2] / "cases"
NOSE_HIGH = CASES / "nose-high" / "case.toml"
ONE_TANK = CASES / "one-tank" / "case.toml"


@pytest.fixture
def wider(tmp_path: Path) -> Path:
    path = tmp_path / "wider.toml"
    text = NOSE_HIGH.read_text(encoding="utf-8")
    path.write_text(text.replace("1/4 in x 0.035 in", "5/16 in x 0.035 in"), encoding="utf-8")
    return path


def test_words(run, wider):
    said = run("compare", NOSE_HIGH, wider, "--nominal")
    assert said.code == 1
    assert said.err == ""
    assert "The verdict stays the same" in said.out
    assert 'line "forward".tube: "1/4 in x 0.035 in" -> "5/16 in x 0.035 in"' in " ".join(
        said.out.split()
    )
    assert "not approvals" in said.out


def test_json(run, wider):
    made = json.loads(run("compare", NOSE_HIGH, wider, "--draws", "100", "--json").out)
    assert made["schema"] == "flowsim.compare/1"
    assert made["verdict_changes"] is False
    assert {item["place"] for item in made["case_differences"]} == {
        'line "down".tube', 'line "forward".tube',
    }  # fmt: skip
    line = made["result_lines"][0]
    assert line["second"]["least_percent_nominal"] > line["first"]["least_percent_nominal"]
    forward = next(item for item in made["losses"] if item["part"] == "forward (forward)")
    assert forward["change_mm"] < 0


def test_other_topologies_and_a_changed_verdict(run):
    said = run("compare", NOSE_HIGH, ONE_TANK, "--nominal")
    assert said.code == 0
    assert "The verdict changes" in said.out
    assert "not there" in said.out
    assert run("compare", ONE_TANK, NOSE_HIGH, "--nominal").code == 1


def test_a_case_against_itself(run):
    said = run("compare", ONE_TANK, ONE_TANK, "--nominal")
    assert "Nothing: both say the same." in said.out
    assert "No part's loss differs" in said.out


def test_a_missing_case(run, tmp_path):
    said = run("compare", ONE_TANK, tmp_path / "nothing.toml")
    assert said.code == 4
    assert said.out == ""
    assert "nothing.toml" in said.err
