"""``flowsim what-if``: the matrix, the case's own list, mistakes."""

import json
from pathlib import Path

import pytest

CASES = Path(__file__).parents[2] / "cases"
NOSE_HIGH = CASES / "nose-high" / "case.toml"
ONE_TANK = CASES / "one-tank" / "case.toml"


def test_a_matrix_of_all_that_fit(run):
    said = run("what-if", NOSE_HIGH, "--nominal")
    assert said.code == 0
    assert said.err == ""
    for word in ("as stated", "dirty-screens", "blocked-vent=wing", "meter-blocked", "hot-fuel"):
        assert f"\n  {word} " in said.out
    assert "the case has no screens" in said.out
    assert "not an approval" in said.out


def test_words_and_json(run):
    said = run("what-if", NOSE_HIGH, "bowl=2.5", "altitude=10000 ft", "--nominal", "--json")
    made = json.loads(said.out)
    assert made["schema"] == "flowsim.what-if/1"
    assert [row["what_if"] for row in made["rows"]] == [
        "as stated", "bowl=2.5", "altitude=10000 ft",
    ]  # fmt: skip
    stated, replaced = made["rows"][0]["cells"], made["rows"][1]["cells"]
    assert replaced[0]["least_percent_nominal"] != stated[0]["least_percent_nominal"]
    assert made["rows"][2]["deciding"]["altitude_m"] == pytest.approx(3048.0)


def test_the_band_where_drawn(run):
    made = json.loads(run("what-if", NOSE_HIGH, "cold-fuel", "--draws", "100", "--json").out)
    cell = made["rows"][1]["cells"][0]
    assert cell["least_percent_p05"] < cell["least_percent_nominal"]


def listed(path: Path, words: str) -> Path:
    text = NOSE_HIGH.read_text(encoding="utf-8")
    path.write_text(f"what_if = {words}\n{text}", encoding="utf-8")
    return path


def test_the_case_lists_its_own(run, tmp_path):
    path = listed(tmp_path / "c.toml", '["hot-fuel=45 degC", "flow sensor=cv 0.5"]')
    made = json.loads(run("what-if", path, "--nominal", "--json").out)
    assert [row["what_if"] for row in made["rows"]][1:] == [
        "hot-fuel=45 degC", "flow sensor=cv 0.5",
    ]  # fmt: skip
    said = [run("check", case, "--nominal", "--full").out for case in (path, NOSE_HIGH)]
    answers = [text[text.index("Verdict:") :] for text in said]
    assert answers[0] == answers[1]


def test_a_meter_with_a_bypass(run, tmp_path):
    text = NOSE_HIGH.read_text(encoding="utf-8")
    line = next(line for line in text.splitlines() if '"flow meter"' in line)
    path = tmp_path / "c.toml"
    path.write_text(text.replace(line, line.replace(" }", ", bypass_cv = 0.2 }")), "utf-8")
    made = json.loads(run("what-if", path, "meter-blocked", "--nominal", "--json").out)
    stated, blocked = (row["cells"][0]["least_percent_nominal"] for row in made["rows"])
    assert 0 < blocked < stated
    both = line.replace(" }", ", bypass_cv = 0.2, bypass_kv = 0.2 }")
    path.write_text(text.replace(line, both), "utf-8")
    said = run("check", path)
    assert said.code == 4
    assert "bypass_cv and bypass_kv are both given" in said.err


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ('["dirty-screens=2"]', "is no plausible clear fraction; write one from 0.001 to 1"),
        ('["dirty-screens=5e-11"]', "is no plausible clear fraction"),
        ('["more-power"]', "is no what-if"),
        ('["hot-fuel=45"]', "hot-fuel=45"),
        ("3", "what_if"),
    ],
)
def test_mistakes_in_the_case_have_their_line(run, tmp_path, words, told):
    said = run("check", listed(tmp_path / "c.toml", words))
    assert said.code == 4
    assert said.out == ""
    assert "c.toml:1: " in said.err
    assert told in said.err


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("nonsense", "is no what-if"),
        ("tank-empty=up", 'there is no "up"'),
        ("tank-empty=", "the name is missing"),
        ("meter-blocked=1", "takes no value"),
        ("pump=2", 'no part is called "pump"'),
        ("bowl=-2", "is no what-if"),
        ("altitude=high", "altitude"),
    ],
)
def test_mistakes_on_the_command_line(run, word, told):
    said = run("what-if", ONE_TANK, word, "--nominal")
    assert said.code == 4
    assert said.out == ""
    assert told in said.err
    assert "Traceback" not in said.err


@pytest.mark.parametrize("word", ["bowl=kv 1e-300", "bowl=cv 1e300", "bowl=1e300", "bowl=kv 5e-4"])
def test_a_loss_that_no_part_has_is_a_mistake_and_no_bug(run, word):
    said = run("what-if", CASES / "one-tank" / "case.toml", word, "--nominal")
    assert said.code == 4
    assert "is not a plausible" in said.err
    assert "write one from" in said.err
    assert "Traceback" not in said.err
