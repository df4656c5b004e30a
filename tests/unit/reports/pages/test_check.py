"""The words of a check: order, honesty, narrow terminals, text that cannot steer a terminal."""

import math
from dataclasses import replace

import pytest

from flowsim.reports.pages.check import TWO_US_QUARTS, check_text, seconds_to_fill
from flowsim.studies.result import AdequacyResult, Requirement, ScenarioResult, Topic, Verdict
from flowsim.studies.saying import saying
from flowsim.system.fuel_system import FuelSystem, Provenance

LB_PER_H = 0.45359237 / 3600.0


def report(system: FuelSystem, result: AdequacyResult, **options) -> str:
    return check_text(system, result, "cases/x.toml", **{"width": 80, **options})


def with_deciding(result: AdequacyResult, **changes) -> AdequacyResult:
    scenarios = list(result.scenarios)
    scenarios[result.deciding] = replace(scenarios[result.deciding], **changes)
    return replace(result, scenarios=tuple(scenarios))


def test_sections_stand_in_reading_order(system: FuelSystem, result: AdequacyResult):
    text = report(system, result)
    headings = [
        "Invented two-tank",
        "not measured",
        "Verdict: ",
        "Deciding scenario",
        "Each requirement",
        "Required flow",
        "Flow against pitch",
        "Where the head goes",
        "Unusable fuel",
        "Uncovered outlets and air",
        "Vapour",
        "Assumptions (",
        "Cautions",
    ]
    places = [text.index(heading) for heading in headings]
    assert places == sorted(places)


@pytest.mark.parametrize("verdict", list(Verdict))
def test_no_verdict_is_said_as_an_approval(
    system: FuelSystem, result: AdequacyResult, verdict: Verdict
):
    text = report(system, replace(result, verdict=verdict, verdict_words=verdict.value))
    lowered = text.lower()
    assert f"Verdict: {verdict.value}" in text
    assert "not an approval" in lowered
    assert "ground test decides" in " ".join(lowered.split())
    for word in ("safe", "certified", "airworthy", "guarantee"):
        assert word not in lowered


def test_assumed_values_are_counted_before_the_verdict(system: FuelSystem, result: AdequacyResult):
    head = report(system, result).split("Verdict:")[0]
    found = result.not_measured
    words = " ".join(head.split())
    assert "1 value assumed, 1 by default" in words
    assert f"{found.catalogue} losses from the catalogue, " in words
    assert f"% of the head; {found.not_said} stated without saying where from" in words


def test_unmeasured_losses_stand_first_among_the_assumptions_by_share(
    system: FuelSystem, result: AdequacyResult
):
    told = report(system, result).split("\nAssumptions (")[1].split("Cautions")[0]
    rows = [line.split() for line in told.splitlines()[3:] if line.strip()]
    first = next(item for item in result.unmeasured if item.share is not None)
    assert rows[0][: len(first.part.split())] == first.part.split()
    assert told.index("What would settle the costliest") > told.index(first.part)
    assert first.measure.split()[0] in told
    # What is in the table is not told again as a sentence.
    assert "% of the head (" not in told


def test_values_without_an_origin_are_listed_on_request(system: FuelSystem, result: AdequacyResult):
    bare = replace(system, not_said=(Provenance("line 1, bore", "8 mm", "not said"),))
    assert "line 1, bore: 8 mm" not in check_text(bare, result, "x.toml")
    assert "line 1, bore: 8 mm" in check_text(bare, result, "x.toml", every_degree=True)


def test_cautions_stand_even_where_the_result_has_none(system: FuelSystem, result: AdequacyResult):
    text = " ".join(report(system, replace(result, cautions=())).split())
    assert "an estimate, not an approval. The ground test decides." in text
    assert "licensed practice come first" in text


def test_deciding_scenario_is_told_in_words_and_units(system: FuelSystem, result: AdequacyResult):
    changed = with_deciding(
        result,
        pitch=result.test_pitch,
        flow=1.2e-2,
        volume_flow=1.2e-2 / 720.0,
        required=1.0e-2,
        flow_low=1.1e-2,
        flow_high=1.3e-2,
        head_left=0.100,
    )
    text = " ".join(report(system, changed).split())
    assert "17.0 deg nose-up, wings level (the test attitude)" in text
    # 0.012 kg/s x 3600 = 43.2 kg/h; /720 = 60.0 L/h; /3.785411784 = 15.85 US gal/h;
    # /0.45359237 = 95.2 lb/h
    assert "43.2 kg/h, 60.0 L/h (95.2 lb/h, 15.9 US gal/h)" in text
    assert "36.0 kg/h (79.4 lb/h) required: 120 % of it" in text
    assert "39.6 kg/h (87.3 lb/h) to 46.8 kg/h (103 lb/h)" in text
    assert "100 mm (3.9 in) of fuel behind screen and needle at the required flow" in text


def test_a_failed_solve_shows_no_number(system: FuelSystem, quiet_result: AdequacyResult):
    text = report(system, quiet_result)
    deciding = text.split("Deciding scenario")[1].split("Each requirement")[0]
    assert "no result" in deciding
    assert "FAILED" in deciding
    assert "nan" not in text.lower().replace("nominal", "")
    assert "No losses are known in this scenario: it was not solved." in text


def test_nominal_says_that_there_is_no_band(system: FuelSystem, nominal_result: AdequacyResult):
    text = report(system, nominal_result)
    assert "single values only: no band" in text
    assert "5 to 95 %" not in text


def test_cannot_tell_names_the_measurement(system: FuelSystem, result: AdequacyResult):
    changed = replace(
        result, verdict=Verdict.CANNOT_TELL, verdict_words="cannot tell", settle="weigh the cat"
    )
    text = report(system, changed)
    assert "What would settle it\n  weigh the cat" in text
    assert "That is no" in text


def test_requirement_shows_the_published_example(system: FuelSystem, result: AdequacyResult):
    # AC 90-89A (24 May 1995; later edition AC 90-89B), read: 100 hp at 0.55 lb/bhp/h: 82.5 lb/h
    # (its 13.7 gal/h is a rounded 13.75 at 6.0 lb/gal).
    at_six_pounds = replace(result.requirement, density=6.0 * 0.45359237 / 3.785411784e-3)
    text = report(system, replace(result, requirement=at_six_pounds))
    assert "82.5 lb/h" in text
    assert "13.75 US gal/h" in text


def test_seconds_to_fill_are_rounded_down():
    # 82.5 lb/h at 6 lb/gal is 13.75 gal/h: half a gallon fills in 3600 x 0.5/13.75 = 130.909 s.
    requirement = Requirement(
        burn=55.0 * LB_PER_H,
        factor=1.5,
        required=82.5 * LB_PER_H,
        density=6.0 * 0.45359237 / 3.785411784e-3,
        basis="",
    )
    assert seconds_to_fill(TWO_US_QUARTS, requirement) == "130.9"
    assert seconds_to_fill(0.001, replace(requirement, required=0.0)) == "no result"


def test_losses_close_with_the_head_available(system: FuelSystem, result: AdequacyResult):
    text = report(system, result)
    assert text.count("head available") == len(result.losses)
    assert text.count("sum of the parts") == len(result.losses)
    row = next(line for line in text.splitlines() if line.strip().startswith("difference"))
    assert float(row.split()[1]) == pytest.approx(0.0, abs=0.05)


@pytest.mark.parametrize("width", [20, 40, 60, 80, 100, 300])
def test_fits_any_terminal(system: FuelSystem, result: AdequacyResult, width: int):
    text = report(system, result, width=width)
    assert max(len(line) for line in text.splitlines()) <= max(40, min(100, width))
    assert text.isascii()
    assert not any(line != line.rstrip() for line in text.splitlines())


def test_no_line_breaks_between_a_number_and_its_unit(system: FuelSystem, result: AdequacyResult):
    for width in range(40, 100, 7):
        for line in report(system, result, width=width).splitlines():
            assert not line.lstrip().startswith(("% ", "kg/h ", "mm ", "US gal", "gal/h", "deg "))


def test_plain_text_has_no_escape_codes_and_markup_stays_text(
    system: FuelSystem, result: AdequacyResult
):
    text = report(system, replace(result, title="[red]x[/red] \x1b[2J"))
    assert text.startswith("[red]x[/red] ?[2J\n")
    assert "\x1b" not in text


def test_styled_text_says_the_same(
    system: FuelSystem, result: AdequacyResult, monkeypatch: pytest.MonkeyPatch
):
    monkeypatch.setenv("TERM", "xterm")
    monkeypatch.delenv("NO_COLOR", raising=False)
    styled = report(system, result, styled=True)
    bare = styled.replace("\x1b[1m", "").replace("\x1b[0m", "")
    assert "\x1b[1m" in styled
    assert "\x1b" not in bare
    assert bare.split() == report(system, result).split()


def test_unusable_fuel_says_lost_where_it_is(system: FuelSystem, result: AdequacyResult):
    def spoil(scenario: ScenarioResult) -> ScenarioResult:
        if scenario.purpose == "unusable" and scenario.selector == "Left":
            return replace(scenario, flow=0.0, verdict=Verdict.NOT_ADEQUATE)
        return scenario

    text = report(system, replace(result, scenarios=tuple(map(spoil, result.scenarios))))
    section = text.split("Unusable fuel")[1].split("Uncovered outlets")[0]
    left = next(line for line in section.splitlines() if line.strip().startswith("Left"))
    assert "is lost" in left
    assert "0.0 %" in left


def test_vapour_below_zero_is_said_as_boiling(system: FuelSystem, result: AdequacyResult):
    text = " ".join(report(system, with_deciding(result, vapour_margin=-1200.0)).split())
    assert "-1.2 kPa (-0.17 psi) (below zero: the fuel boils in the line)" in text
    text = " ".join(report(system, with_deciding(result, vapour_margin=1200.0)).split())
    assert "1.2 kPa (0.17 psi) (so little that it cannot be told whether the fuel boils)" in text


def test_missing_vapour_margins_are_counted(system: FuelSystem, result: AdequacyResult):
    text = " ".join(report(system, with_deciding(result, vapour_margin=math.nan)).split())
    assert "1 of " in text
    assert "have no vapour margin: the required flow cannot be supplied there. " in text


def test_a_vapour_margin_that_no_solve_found_says_so(system: FuelSystem, result: AdequacyResult):
    unknown = with_deciding(result, vapour_margin=math.nan)
    unsolved = saying("vapour.required_flow", unsolved="selector left")
    decisions = tuple(
        replace(one, found=unsolved) if one.topic is Topic.VAPOUR else one
        for one in result.decisions
    )
    text = " ".join(report(system, replace(unknown, decisions=decisions)).split())
    assert "the required flow cannot be supplied there, or the solve failed. " in text


def test_trapped_air_and_air_drawn_are_told(system: FuelSystem, result: AdequacyResult):
    changed = with_deciding(
        result,
        humps=("main at 3 ft: will not clear",),
        trapped_air_head=0.05,
        flow_trapped=0.001,
        air_drawn=True,
        air_margin=-0.02,
        uncovered=("left.rear",),
        backflow=("right",),
    )
    text = " ".join(report(system, changed).split())
    assert "main at 3 ft: will not clear: may hold back 50 mm (2.0 in), leaving 3.6 kg/h" in text
    held = sum(bool(scenario.humps) for scenario in changed.scenarios if scenario.judged)
    told = f"Air may stay trapped in {held} judged scenarios. The least flow with it is 3.6 kg/h"
    assert told in text
    assert "air drawn at the required flow" in text
    assert "Air is drawn at the required flow in" in text
    assert "uncovered outlets left.rear" in text
    assert "flow back into right" in text
