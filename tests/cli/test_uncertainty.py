"""``flowsim uncertainty``: words, JSON, picture, exit codes."""

import json
from pathlib import Path

import pytest

CASES = Path(__file__).parents[2] / "cases"
NOSE_HIGH = CASES / "nose-high" / "case.toml"


def test_words(run):
    said = run("uncertainty", NOSE_HIGH, "--draws", "400", "--samples", "32")
    assert said.code == 1
    assert said.err == ""
    for heading in (
        "Verdict: not adequate",
        "Convergence",
        "What the spread comes from",
        "One input at a time (tornado)",
        "Change the system, do not measure",
        "Cautions",
    ):
        assert heading in said.out
    assert "not an approval" in said.out


def test_json_and_the_same_seed(run):
    words = ("uncertainty", NOSE_HIGH, "--draws", "400", "--samples", "32", "--json")
    said = run(*words)
    assert said == run(*words)
    made = json.loads(said.out)
    assert made["schema"] == "flowsim.uncertainty/1"
    whole = made["least_of_all"]
    assert whole["percent_of_required_p05"] < whole["percent_of_required_p50"]
    assert whole["chance"] == 0.0
    assert whole["chance_standard_error"] > 0.0
    assert made["convergence"][-1]["draws"] == 400
    assert {item["name"] for item in made["inputs"]} >= {"friction of tube and hose"}
    assert made["measure_first"]


def test_check_and_the_study_agree(run):
    study = json.loads(
        run("uncertainty", NOSE_HIGH, "--draws", "2048", "--samples", "0", "--json").out
    )
    check = json.loads(run("check", NOSE_HIGH, "--json").out)
    for one, other in zip(study["result_lines"], check["result_lines"], strict=True):
        assert one["name"] == other["name"]
        assert one["percent_of_required_p05"] == pytest.approx(other["least_percent_p05"])
        assert one["chance"] == other["chance"]


def test_picture_is_grey_named_and_repeatable(run, tmp_path):
    words = ("uncertainty", NOSE_HIGH, "--draws", "100", "--samples", "0", "--picture")
    for name in ("a.svg", "b.svg"):
        run(*words, tmp_path / name)
    made = (tmp_path / "a.svg").read_text(encoding="utf-8")
    assert made == (tmp_path / "b.svg").read_text(encoding="utf-8")
    for text in (
        "% of the required",
        "required flow",
        "input at its 5th percentile",
        "pressure at the vent",
    ):
        assert text in made
    said = run(*words, tmp_path / "a.svg")
    assert said.code == 5
    assert said.out == ""
    assert run(*words, tmp_path / "a.svg", "--force").code == 1


@pytest.mark.parametrize("words", [("--samples", "100"), ("--draws", "1"), ("--samples", "-1")])
def test_wrong_usage(run, words):
    said = run("uncertainty", NOSE_HIGH, *words)
    assert said.code == 2
    assert said.out == ""
