"""Comparing answers, and case files by content."""

import math
from pathlib import Path

import pytest

from flowsim.document.words.telling import told
from flowsim.files.case.differences import case_differences
from flowsim.files.case.reader import read_case
from flowsim.studies.adequacy.study import judge
from flowsim.studies.what_if.comparison import compare

CASES = Path(__file__).parents[4] / "cases"


@pytest.fixture(scope="module")
def answers():
    return {
        name: judge(read_case(CASES / name / "case.toml"), nominal=True)
        for name in ("one-tank", "nose-high")
    }


def test_a_case_does_not_differ_from_itself(answers):
    same = compare(answers["one-tank"], answers["one-tank"])
    assert not same.verdict_changes
    assert same.same_scenario
    assert all(item.change == 0.0 for item in same.losses)
    assert (
        case_differences(CASES / "one-tank" / "case.toml", CASES / "one-tank" / "case.toml") == ()
    )


def test_other_lines_and_ends_are_compared_too(answers):
    found = compare(answers["one-tank"], answers["nose-high"])
    assert found.verdict_changes
    missing = {told(line.name) for line in found.lines if line.first is None}
    assert "at the carburettor, 150 %" in missing  # one-tank has no carburettor data
    back = compare(answers["nose-high"], answers["one-tank"])
    assert {item.part: item.change for item in back.losses} == pytest.approx(
        {item.part: -item.change for item in found.losses}
    )
    alone = [item for item in found.losses if math.isnan(item.first)]
    assert any("needle and seat" in told(item.part) for item in alone)


def test_differences_go_by_name_and_not_by_place(tmp_path):
    text = (CASES / "nose-high" / "case.toml").read_text(encoding="utf-8")
    edited = text.replace('climb_pitch = "15 deg"', 'climb_pitch = "10 deg" # gentler')
    head, mark, rest = edited.partition("[[line]]")
    first, second_mark, second = rest.partition("[[line]]")
    swapped = head + second_mark + second.rstrip() + "\n\n" + mark + first
    path = tmp_path / "edited.toml"
    path.write_text("# a comment\n" + swapped, encoding="utf-8")
    found = case_differences(CASES / "nose-high" / "case.toml", path)
    assert [(d.place, d.first, d.second) for d in found] == [
        ("flight.climb_pitch", '"15 deg"', '"10 deg"')
    ]


def test_a_thing_of_another_name_is_another_thing(tmp_path):
    text = (CASES / "nose-high" / "case.toml").read_text(encoding="utf-8")
    path = tmp_path / "edited.toml"
    path.write_text(text.replace('"tank elbow"', '"other elbow"'), encoding="utf-8")
    found = case_differences(CASES / "nose-high" / "case.toml", path)
    places = {d.place for d in found}
    assert any('"tank elbow"' in place for place in places)
    assert any('"other elbow"' in place for place in places)
    assert all((d.first is None) != (d.second is None) for d in found)


def test_a_value_with_its_origin_is_the_same_value(tmp_path):
    text = (CASES / "nose-high" / "case.toml").read_text(encoding="utf-8")
    path = tmp_path / "edited.toml"
    stated = text.replace(
        'climb_pitch = "15 deg"', 'climb_pitch = { value = "15 deg", from = "measured" }'
    )
    path.write_text(stated, encoding="utf-8")
    found = case_differences(CASES / "nose-high" / "case.toml", path)
    assert [(d.place, d.second) for d in found] == [("flight.climb_pitch.from", '"measured"')]
