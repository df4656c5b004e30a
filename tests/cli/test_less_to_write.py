"""Mirror, defaults and drain tees on the command line: the same answer as written out in full."""

import json
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
TANDEM = ROOT / "cases" / "tandem" / "case.toml"
TWIN = ROOT / "tests" / "unit" / "files" / "case" / "tandem_written_out.toml"


@pytest.mark.parametrize("command", ["check", "routing"])
def test_the_mirrored_case_gives_the_answer_of_its_twin(run, command) -> None:
    answers = []
    for case in (TANDEM, TWIN):
        said = run(command, case, "--json")
        assert said.err == ""
        answer = json.loads(said.out)
        del answer["case"]
        answer.pop("assumptions", None)
        answers.append((said.code, answer))
    first, second = answers
    assert first == second


def test_compare_says_that_there_is_no_difference(run) -> None:
    said = run("compare", TANDEM, TWIN, "--nominal", "--json")
    assert said.code == 0
    assert json.loads(said.out)["case_differences"] == []


def test_what_to_tick_off_is_printed(run) -> None:
    said = run("routing", TANDEM)
    text = " ".join(said.out.split())
    assert "To tick off at the aeroplane" in text
    assert '[ ] line "left down": anti-chafe wrap of' in text
    assert '[ ] line "right down": 2.0 in of trim cut off at each end of each piece' in text


def test_mistakes_in_a_mirrored_case_come_once(run, tmp_path) -> None:
    text = TANDEM.read_text(encoding="utf-8")
    text = text.replace('unusable = "5 L"', 'unusable = "5 gal"').replace(
        'tube = "3/8 in x 0.040 in"', 'tube = "-6"'
    )
    case = tmp_path / "case.toml"
    case.write_text(text.replace('["34 in", "-20 in", "43 in"]', '["34 in", "-20 in"]'), "utf-8")
    said = run("check", case)
    assert said.code == 4
    lines = said.err.strip().split("\n")
    assert len(lines) == 3
    for line, words in zip(lines, ("dash number", "US or imperial", "a point has"), strict=True):
        assert words in line


def test_every_leg_that_is_too_short_is_printed(run, case) -> None:
    text = case.read_text(encoding="utf-8")
    case.write_text(text.replace('bend_radius = "1.25 in"', 'bend_radius = "20 in"'), "utf-8")
    said = run("check", case)
    assert said.code == 4
    lines = said.err.strip().split("\n")
    assert len(lines) > 1
    assert all("too short for its bend" in line and " in" in line for line in lines)
