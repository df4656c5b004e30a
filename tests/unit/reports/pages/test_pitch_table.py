"""The table of flow against pitch: the worst of every cell, and no number where one is missing."""

import math
from dataclasses import replace

import pytest

from flowsim.reports.pages.pitch_table import cell_of, pitch_tables
from flowsim.reports.render.terminal import render
from flowsim.studies.result import AdequacyResult, ScenarioResult, Verdict


@pytest.fixture
def fine(result: AdequacyResult) -> ScenarioResult:
    scenario = next(s for s in result.scenarios if s.purpose == "climb" and s.end == "open line")
    return replace(
        scenario,
        flow=0.012,
        required=0.010,
        uncovered=(),
        air_drawn=False,
        converged=True,
        verdict=Verdict.ADEQUATE,
    )


def test_the_least_flow_is_shown(fine: ScenarioResult):
    assert cell_of([fine, replace(fine, flow=0.011)]).text() == "39.6"


def test_marks_are_the_worst_of_all_scenarios_behind_a_cell(fine: ScenarioResult):
    others = [
        replace(fine, uncovered=("left.rear",)),
        replace(fine, air_drawn=True, air_margin=-0.01),
        replace(fine, verdict=Verdict.CANNOT_TELL),
        replace(fine, flow=0.009),
    ]
    assert cell_of([fine, *others]).text() == "32.4 below ua?"


@pytest.mark.parametrize("failure", [{"flow": math.nan}, {"converged": False}])
def test_one_failed_scenario_takes_the_number_away(fine: ScenarioResult, failure: dict):
    assert cell_of([fine, replace(fine, **failure)]).text() == "no result ?"


def test_flow_just_required_is_not_below(fine: ScenarioResult):
    assert cell_of([replace(fine, flow=0.010)]).text() == "36.0"


def test_rows_are_fifth_degrees_and_the_named_attitudes(result: AdequacyResult):
    text = render(pitch_tables(result, 80), 80)
    rows = [line.split()[0] for line in text.splitlines() if line[2:3].isdigit() or "-" in line[:4]]
    degrees = [row for row in rows if not row.startswith("---")]
    assert degrees[:3] == ["-15.0", "-10.0", "-5.0"]
    assert "12.0" in degrees
    assert "17.0" in degrees
    assert "17.0 *" in text
    assert "12.0 climb" in text
    assert "1.0" not in degrees


def test_every_degree_on_request(result: AdequacyResult):
    text = render(pitch_tables(result, 80, every_degree=True), 80)
    shown = {line.split()[0] for line in text.splitlines() if line.strip()}
    assert {f"{degree:.1f}" for degree in range(-15, 31)} <= shown


def test_off_has_no_column_but_is_named(result: AdequacyResult):
    text = render(pitch_tables(result, 80), 80)
    assert "No flow at any pitch, and not judged: Off." in text


def test_many_positions_are_broken_into_tables(result: AdequacyResult):
    assert render(pitch_tables(result, 40), 40).count("pitch, deg") == 3


def test_nothing_to_draw_is_said(result: AdequacyResult):
    none = replace(result, scenarios=tuple(s for s in result.scenarios if s.end == "carburettor"))
    assert "No scenario" in render(pitch_tables(none, 80), 80)


def test_air_above_the_required_flow_has_its_own_mark(fine: ScenarioResult):
    above = replace(fine, air_drawn=True, air_margin=0.2)
    assert cell_of([above]).text() == "43.2 m"
    assert cell_of([replace(above, air_margin=-0.01)]).text() == "43.2 a"
    assert cell_of([replace(above, air_margin=math.nan, flow=0.009)]).text() == "32.4 below a"
