"""``flowsim size``: tables, JSON, edges, exit codes, mistakes."""

import json
from pathlib import Path

import pytest

CASES = Path(__file__).parents[2] / "cases"
NOSE_HIGH = CASES / "nose-high" / "case.toml"
ONE_TANK = CASES / "one-tank" / "case.toml"


def test_a_table_of_sizes_and_the_smallest(run):
    said = run("size", ONE_TANK, "forward", "--nominal", "--sizes", "4 mm, 10 mm x 1 mm")
    assert said.code == 0
    assert said.err == ""
    assert "Smallest size that is enough\n  on nominal values  hose, bore 4 mm" in said.out
    assert "as it is (bore 8 mm)" in said.out
    assert "not an approval" in said.out
    assert "Decided by" in said.out


def test_none_helps_is_a_finding_with_the_limit(run):
    said = run("size", NOSE_HIGH, "down", "forward", "--nominal")
    assert said.code == 1
    assert "none in the list" in said.out
    assert "The limit then is forward: flow sensor" in said.out


def test_json_has_units_and_both_answers(run):
    said = run("size", ONE_TANK, "forward", "--json", "--draws", "100", "--sizes", "6 mm x 1 mm")
    made = json.loads(said.out)
    assert made["schema"] == "flowsim.size/1"
    assert [item["as_it_is"] for item in made["sizes"]] == [False, True]
    first = made["sizes"][0]
    assert first["bore_mm"] == pytest.approx(4.0)
    assert first["least_percent_p05"] < first["least_percent_nominal"]
    assert made["smallest_at_5th_percentile"] == "tube 6 mm x 1 mm"
    assert first["deciding"]["pitch_deg"] is not None
    for key in ("air_clearing_flow_l_per_h", "fuel_held_l", "tube_mass_kg"):
        assert first[key] > 0


def test_edges(run):
    words = ("--least-bore", "--least-head", "--largest-loss", "bowl", "--nominal", "--json")
    said = run("size", ONE_TANK, "forward", *words)
    assert said.code == 0
    made = {item["question"]: item for item in json.loads(said.out)["edges"]}
    assert made["least bore of forward"]["edge_nominal_mm"] < 8.0
    assert made["change of head"]["edge_nominal_mm"] < 0
    assert made["largest loss of bowl"]["edge_nominal_factor"] > 1
    text = run("size", ONE_TANK, "--steepest", "--nominal").out
    assert "nominal values: at most" in text
    assert "deg" in text


def test_an_edge_that_is_not_there(run):
    said = run("size", NOSE_HIGH, "--least-fuel", "--nominal")
    assert "met nowhere between 0.00 L" in said.out
    made = json.loads(run("size", NOSE_HIGH, "--least-fuel", "--nominal", "--json").out)
    assert made["edges"][0]["edge_nominal_l"] is None
    assert made["edges"][0]["met_nominal"] == "nowhere in the range"


def test_hoses(run):
    said = run("size", ONE_TANK, "forward", "--hose", "--nominal")
    assert "MIL-H-8794 hose -6" in said.out


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        ((ONE_TANK,), 2, "name at least one line"),
        ((ONE_TANK, "wings"), 4, 'there are "down", "forward"'),
        ((ONE_TANK, "down", "--sizes", "-6"), 4, "outside diameter x wall"),
        ((ONE_TANK, "down", "--sizes", "3/8 in x 3 in"), 4, "size"),
        ((ONE_TANK, "--largest-loss", "pump"), 4, 'no part is called "pump"'),
        ((ONE_TANK, "--largest-loss", "forward"), 4, "not one number"),
    ],
)
def test_mistakes(run, words, code, told):
    said = run("size", *words)
    assert said.code == code
    assert said.out == ""
    assert told in said.err.replace("\n", " ").replace("  ", " ").replace("│", "")
    assert "Traceback" not in said.err
