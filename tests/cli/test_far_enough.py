"""Far more than the burn that is asked for: told as more than so much, in words and in the JSON."""

import json
from pathlib import Path

ONE_TANK = Path(__file__).parents[2] / "cases" / "one-tank" / "case.toml"


def test_it_is_told_as_more_than_that(run):
    lines = json.loads(run("check", ONE_TANK, "--draws", "100", "--json").out)["result_lines"]
    far = [line for line in lines if line["band_worked_out_to_percent"] is not None]
    assert [line["name"] for line in far] == [
        "declared unusable fuel, full-power burn", "take-off run, 100 %, open line",
    ]  # fmt: skip
    for line in far:
        assert line["band_worked_out_to_percent"] == 200.0
        assert line["least_percent_p05"] is None
        assert line["least_percent_nominal"] > 200.0
        assert line["chance"] == 1.0
    text = " ".join(run("check", ONE_TANK, "--draws", "100", "--full").out.split())
    assert "(over 200 % in 95 % of the draws)" in text
    assert "over 200 % in 95 % of the draws, how far over was not worked out" in text


def test_the_spread_has_no_error_there(run):
    words = ("uncertainty", ONE_TANK, "--draws", "100", "--samples", "0")
    lines = json.loads(run(*words, "--json").out)["result_lines"]
    far = [line for line in lines if line["band_worked_out_to_percent"] is not None]
    assert far
    for line in far:
        assert line["percent_of_required_p50"] is None
        assert line["percent_of_required_p50_standard_error"] is None
        assert line["flow_p50_kg_per_h"] is None
    text = " ".join(run(*words).out.split())
    assert " in 95 % of the draws; how far over was not worked out." in text


def test_a_what_if_gives_no_column_to_what_is_far_more_than_met(run):
    said = " ".join(run("what-if", ONE_TANK, "dirty-screens", "--draws", "100").out.split())
    without = said.split("so without a column:")[1].split("In words")[0]
    assert "declared unusable fuel" in without
    assert "open line, 150 %" not in without
    table = said.split("What if")[1].split("Columns:")[0]
    assert ">" not in table
    assert "yes 4" in table
