"""What-ifs against the case edited by hand, Boyle's law, and what must be so."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.errors import DomainError
from flowsim.files.case.reader import read_case
from flowsim.studies.adequacy.brief import judge_briefly
from flowsim.studies.changes.changed_parts import changed_parts
from flowsim.studies.result import Verdict
from flowsim.studies.what_if.result import WhatIf
from flowsim.studies.what_if.study import HOT, usual_what_ifs, what_if
from flowsim.system.parts import FlowCoefficient

CASES = Path(__file__).parents[4] / "cases"


@pytest.fixture(scope="module")
def nose_high():
    return read_case(CASES / "nose-high" / "case.toml")


@pytest.fixture(scope="module")
def four_outlets():
    return read_case(CASES / "four-outlets" / "case.toml")


@pytest.fixture(scope="module")
def one_tank():
    return read_case(CASES / "one-tank" / "case.toml")


def judged(system, *asked):
    return what_if(system, asked, nominal=True, draws=0, seed=0).rows


def least(row):
    return [cell.least for cell in row.cells]


def test_rows_are_as_stated_and_each_what_if(one_tank):
    result = what_if(one_tank, usual_what_ifs(one_tank), nominal=True, draws=0, seed=0)
    assert [row.word for row in result.rows][:2] == ["as stated", "dirty-screens"]
    assert "tank-empty" not in " ".join(row.word for row in result.rows)  # it has one tank
    brief = judge_briefly(one_tank, nominal=True, draws=0, seed=0)
    assert least(result.rows[0]) == [line.least_nominal for line in brief.lines]


def test_the_band_is_that_of_check(one_tank):
    result = what_if(one_tank, (), nominal=False, draws=200, seed=4)
    brief = judge_briefly(one_tank, nominal=False, draws=200, seed=4)
    assert [cell.least_low for cell in result.rows[0].cells] == [
        line.least_low for line in brief.lines
    ]


def test_the_usual_what_ifs_are_never_milder_than_the_case(one_tank):
    """A case judged hotter, colder and higher than the usual values keeps its own."""
    harsh = replace(
        one_tank,
        temperatures=(238.15, 321.15),
        flight=replace(one_tank.flight, pressure_altitude=4500.0),
    )
    usual = [WhatIf(word=kind, kind=kind) for kind in ("hot-fuel", "cold-fuel", "altitude")]
    said = [told(row.words) for row in judged(harsh, *usual)[1:]]
    assert [any(own in words for own in ("48.0 degC", "-35.0 degC", "4500 m")) for words in said]
    assert all("than the case" not in words for words in said)


@pytest.mark.parametrize(
    ("word", "kind", "value", "wanted"),
    [
        ("dirty-screens=1", "dirty-screens", 1.0, "cleaner than the 20 %"),
        ("hot-fuel=0 degC", "hot-fuel", 273.15, "cooler than the case is judged"),
        ("cold-fuel=30 degC", "cold-fuel", 303.15, "warmer than the case is judged"),
        ("altitude=0 m", "altitude", 0.0, "lower than that of the case"),
    ],
)
def test_a_what_if_milder_than_the_case_says_so(one_tank, word, kind, value, wanted):
    row = judged(one_tank, WhatIf(word=word, kind=kind, value=value))[1]
    assert wanted in told(row.words)


def test_a_part_in_its_own_place_changes_nothing(nose_high):
    meter = next(p for line in nose_high.lines for p in line.parts if p.name == "flow sensor")
    same = WhatIf(word="x", kind="part", target="flow sensor", value=meter.kv, coefficient="kv")
    stated, replaced = judged(nose_high, same)
    assert least(replaced) == pytest.approx(least(stated), rel=1e-9)


def test_less_loss_more_flow(nose_high):
    rows = judged(
        nose_high,
        *(WhatIf(word=f"k {k}", kind="part", target="bowl", value=k) for k in (20.0, 5.0, 1.0)),
    )
    flows = [least(row)[0] for row in rows[1:]]
    assert flows == sorted(flows)


def test_dirtier_screens_less_flow(four_outlets):
    rows = judged(
        four_outlets,
        *(WhatIf(word=str(c), kind="dirty-screens", value=c) for c in (0.05, 0.2, 1.0)),
    )
    flows = [least(row)[1] for row in rows[1:]]
    assert flows == sorted(flows)
    # The judged set holds screens at 20 % clear, so that row is the case as stated.
    assert rows[2].cells[1].least == pytest.approx(rows[0].cells[1].least, rel=1e-9)


def test_a_blocked_meter_of_which_nothing_is_known_is_not_guessed(nose_high):
    row = judged(nose_high, WhatIf(word="meter-blocked", kind="meter-blocked"))[1]
    assert row.verdict is Verdict.CANNOT_TELL
    assert np.isnan(least(row)).all()
    assert "measure it blocked" in told(row.reasons[0])


def test_meter_blocked_through_its_bypass(nose_high):
    def bypassed(factor):
        def add(_, part):
            if isinstance(part, FlowCoefficient) and part.kind == "flow meter":
                around = replace(
                    part, name="around", kind="blocked flow meter", kv=factor * part.kv
                )
                return replace(part, blocked=around)
            return part

        system = changed_parts(nose_high, add)
        return judged(system, WhatIf(word="meter-blocked", kind="meter-blocked"))

    stated, same = bypassed(1.0)
    assert least(same) == pytest.approx(least(stated), rel=1e-9)
    assert least(bypassed(0.5)[1])[0] < least(stated)[0]


def test_an_empty_tank_is_worse_on_neither_side_of_a_mirrored_case(four_outlets):
    _, left, right = judged(four_outlets, WhatIf(word="tank-empty", kind="tank-empty"))
    assert (left.word, right.word) == ("tank-empty=left", "tank-empty=right")
    assert least(left) == pytest.approx(least(right), rel=1e-6)
    assert left.deciding.selector in ("right", "both")
    assert dict(left.deciding.quantities)["right"] > 0


def test_hot_fuel_is_the_case_at_that_temperature(four_outlets):
    row = judged(four_outlets, WhatIf(word="hot-fuel", kind="hot-fuel"))[1]
    brief = judge_briefly(replace(four_outlets, temperatures=(HOT,)), nominal=True, draws=0, seed=0)
    assert least(row) == [line.least_nominal for line in brief.lines]
    assert row.deciding.temperature == HOT


def test_altitude_lowers_the_vapour_margin(one_tank):
    rows = judged(one_tank, *(WhatIf(word=f"{h}", kind="altitude", value=h) for h in (0.0, 4000.0)))
    assert rows[1].deciding.vapour_margin > rows[2].deciding.vapour_margin


def test_a_fuel_outside_its_range_is_said_and_not_worked_out(one_tank):
    row = judged(one_tank, WhatIf(word="hot-fuel", kind="hot-fuel", value=400.0))[1]
    assert row.verdict is None
    assert row.cells == ()
    assert "are known from" in told(row.note)


def test_fuller_tanks_lose_the_flow_sooner(one_tank):
    row = judged(one_tank, WhatIf(word="blocked-vent", kind="blocked-vent"))[1]
    assert row.verdict is Verdict.NOT_ADEQUATE
    drawn = {
        words.split(":")[0]: float(words.split(" is lost after ")[1].split(" L")[0])
        for words in all_told(row.reasons)
        if "in flight" in words
    }
    assert drawn["full"] < drawn["least take-off fuel"]
    assert "at one temperature" in told(row.note)


@pytest.mark.parametrize(
    ("item", "words"),
    [
        (WhatIf(word="tank-empty=up", kind="tank-empty", target="up"), 'there is no "up"'),
        (WhatIf(word="pump=2", kind="part", target="pump", value=2.0), 'no part is called "pump"'),
        (WhatIf(word="blocked-vent=x", kind="blocked-vent", target="x"), 'there is no "x"'),
    ],
)
def test_what_is_not_there_is_refused(one_tank, item, words):
    with pytest.raises(DomainError, match=words):
        judged(one_tank, item)
