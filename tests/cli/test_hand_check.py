"""``flowsim hand-check``: choosing a scenario, sheet and JSON."""

import json

import pytest


def test_without_options_it_is_the_deciding_scenario(run, case):
    said = run("hand-check", case)
    assert said.code == 0
    assert said.err == ""
    assert "Scenario: the one that decides the check" in said.out
    assert "attitude: 17.0 deg nose-up, wings level (the test attitude)" in said.out
    assert "DIFFER" not in said.out
    assert ", difference " in " ".join(said.out.split())


def test_options_ask_for_another_scenario(run, case):
    said = run(
        "hand-check", case, "--nominal", "--pitch", "10", "--end", "open line", "--fuel-state",
        "least take-off fuel", "--fuel-temperature", "-10 degC", "--selector", "no selector",
    )  # fmt: skip
    assert said.code == 0
    text = " ".join(said.out.split())
    assert "Scenario: as asked for" in text
    assert "attitude: 10.0 deg nose-up" in text
    assert "end: open line" in text
    assert "fuel: least take-off fuel" in text
    assert "fuel temperature: 14.0 degF" in text


def test_what_is_not_asked_for_stays_as_in_the_deciding_scenario(run, case):
    deciding = json.loads(run("hand-check", case, "--nominal", "--json").out)["scenario"]
    other = json.loads(run("hand-check", case, "--nominal", "--json", "--pitch", "3").out)
    changed = other["scenario"]
    assert changed["pitch_deg"] == pytest.approx(3.0)
    for key in ("selector", "fuel_state", "fuel_temperature_c", "end", "screens"):
        assert changed[key] == deciding[key]


@pytest.mark.parametrize(
    ("option", "value", "offered"),
    [
        ("--selector", "Middle", "no selector"),
        ("--fuel-state", "full", "least take-off fuel"),
        ("--pitch", "77", "-15.0"),
        ("--fuel-temperature", "20 degC", "38.0 degC"),
        ("--end", "exhaust", "carburettor"),
        ("--fuel-temperature", "20", "write"),
    ],
)
def test_what_does_not_exist_is_refused_with_what_does(run, case, option, value, offered):
    said = run("hand-check", case, "--nominal", option, value)
    assert said.code == 2
    assert said.out == ""
    assert option in said.err
    assert offered in said.err


def test_json_sheet(run, case):
    made = json.loads(run("hand-check", case, "--nominal", "--json").out)
    assert made["schema"] == "flowsim.hand-check/1"
    for path in made["paths"]:
        total = sum(part["loss_mm"] for part in path["parts"])
        assert total == pytest.approx(path["head_available_mm"], abs=1e-3)


def test_a_pitch_is_taken_at_rest_and_not_in_the_take_off_run(run, case):
    """Both are judged at 1 deg; what is asked for stays like the deciding scenario."""
    said = run(
        "hand-check", case, "--nominal", "--pitch", "1", "--fuel-state", "least take-off fuel"
    )
    assert said.code == 0
    assert "accelerating" not in said.out
    assert "1.0 deg nose-up" in said.out
