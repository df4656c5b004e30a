"""A case goes through tables and back: the same data, the same system, the same verdict."""

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest

from flowsim.document.words.telling import all_told
from flowsim.files.case.draft import Draft
from flowsim.files.case.reader import read_case_text, read_draft
from flowsim.files.case.starter import starter_text
from flowsim.files.tables.case_text import case_text
from flowsim.files.tables.key_path import read_path, written_path
from flowsim.files.tables.reader import ENDINGS, read_table_bytes, table_bytes
from flowsim.files.toml.values import same
from flowsim.studies.adequacy.study import judge
from flowsim.system.fuel_system import FuelSystem
from tests.support.plausible_cases import plausible_case
from tests.support.same_system import same_system

CASES = sorted((Path(__file__).parents[4] / "cases").glob("*/case.toml"))
EVERYTHING = """
title = "Invented: what the sheets have no column for"
note = "=1+1 is no formula; nor is @this"
what_if = ["dirty-screens=0.05", "hot-fuel=45 degC"]
[fuel]
kind = "avgas 100LL"
temperatures = [{ value = "-10 degC", from = "assumed", note = "a cold day; no colder" }, "35 degC"]
density = [{ at = "15 degC", value = { value = "716 kg/m3", from = "measured" } }]
[engine]
inlet_at = [{ value = "-8 in", from = "measured", accuracy = "0.1 in" }, "1 in", "-8.0 in"]
feed = "gravity"
burn = "5.40 US_gal/h"
[flight]
climb_pitch = "11 deg"
climb_speed = "58 kt"
pressure_altitude = "6000 ft"
[ground]
kind = "tailwheel"
pitch = "11 deg"
[test]
draw = "1 L"
[[tank]]
name = "#1 tank"
shape = "cells"
cells = [
  [["30 in", "-9 in", "40 in"], ["50 in", "-9 in", "40 in"], ["50 in", "9 in", "40 in"],
   ["30 in", "9 in", "40 in"], ["40 in", "0 in", "50 in"]],
  [["30 in", "9 in", "40 in"], ["50 in", "9 in", "40 in"], ["50 in", "19 in", "40 in"],
   ["30 in", "19 in", "40 in"], ["40 in", "14 in", "50 in"]],
]
unusable = "1.50 L"
least_takeoff = "5 L"
[tank.vent]
kind = "cap"
pressure_coefficient = { value = -0.4, from = "measured" }
band = [-0.6, -0.2]
[[tank.outlet]]
name = "=low"
at = [{ value = "40 in", from = "drawing" }, { value = "0 in", from = "drawing" },
      { value = "40.1 in", from = "drawing" }]
bore = "3/8 in"
parts = [{ part = "elbow 90", bore = "0.297 in", count = 2, band = [0.8, 1.3] }]
[[tank]]
name = "header"
shape = "dips"
dip_at = ["20 in", "0 in", "30 in"]
dip_pitch = "11 deg"
floor_length = "6 in"
floor_width = "6 in"
floor_at = ["20 in", "0 in", "30 in"]
dips = [{ dip = "0 in", quantity = "0.5 L" }, { dip = "3.0 in", quantity = "1.5 L" },
        { dip = "6 in", quantity = "2.5 L" }]
unusable = "0.6 L"
least_takeoff = "2 L"
outlet = [{ name = "out", at = ["20 in", "0 in", "30.1 in"], bore = "0.30 in" }]
[[line]]
name = "2"
from = "header.out"
to = "valve"
tube = "3/8 in x 0.035 in"
straight = true
parts = [
  { part = "flow meter", measured = [
    { flow = "20 L/h", drop = "0.4 kPa" }, { flow = "40 L/h", drop = "1.3 kPa" }], name = "+m" },
  { part = "loss", k = 2 },
  { part = "loss", k = 2.50 },
]
[[line]]
name = "1"
from = "#1 tank.=low"
to = "valve"
hose_bore = { value = "11/32 in", from = "measured", accuracy = "1/64 in", note = "'as is" }
material = "rubber hose"
via = [["38 in", "0 in", "30 in"]]
bend_radius = "4 in"
corners = [{ point = 1, radius = "3 in" }]
installation = { supports_at = [["38 in", "0 in", "28 in"]], supports_along = [
  "14 in", "28 in"], trim = "2 in", protection = [
  { kind = "sleeve", along = "1 in", length = "2 in", note = "at the rib" }] }
[[selector]]
name = "valve"
at = ["10 in", "0 in", "20 in"]
ports = { a = "1", "b c" = "2" }
outlet = "feed"
positions = { main = ["a"], reserve = ["b c"], off = [] }
judged = ["main"]
loss = { part = "selector", cv = { value = 1.6, from = "measured", accuracy = 0.1 } }
[[line]]
name = "feed"
from = "valve"
to = "engine"
tube = "3/8 in x 0.035 in"
straight = true
[[drain]]
name = "low drain"
reaches = "valve"
[[obstacle]]
name = "exhaust"
kind = "hot part"
points = [["-5 in", "6 in", "0 in"], ["-10 in", "6 in", "-8 in"]]
"""


def draft_of(text: str) -> Draft:
    draft = read_draft(text, "case.toml")
    assert [str(mistake) for mistake in draft.mistakes] == []
    return draft


def there_and_back(draft: Draft, ending: str):
    return read_table_bytes(table_bytes(draft.data, ending), f"case{ending}")


def same_but_for_order(first: FuelSystem, second: FuelSystem) -> None:
    """The same; what is listed in file order comes in that of the reference after the way."""
    first, second = (replace(x, cautions=tuple(sorted(x.cautions))) for x in (first, second))
    same_system(first, second, ("not_said", "provenance"))


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("path", CASES, ids=lambda path: path.parent.name)
def test_bundled_cases_come_back(path, ending):
    draft = draft_of(path.read_text(encoding="utf-8"))
    made = there_and_back(draft, ending)
    assert same(made.data, draft.data)
    same_but_for_order(made.system, draft.system)
    same_but_for_order(read_case_text(made.text, "case.toml"), draft.system)


@pytest.mark.parametrize("ending", ENDINGS)
def test_starter_and_what_has_no_column_come_back(ending):
    for text in (starter_text("Starter"), EVERYTHING):
        draft = draft_of(text)
        made = there_and_back(draft, ending)
        assert same(made.data, draft.data)
        same_but_for_order(made.system, draft.system)


@pytest.mark.parametrize("ending", ENDINGS)
@pytest.mark.parametrize("seed", range(25))
def test_random_cases_come_back(seed, ending):
    draft = draft_of(case_text(plausible_case(seed)))
    made = there_and_back(draft, ending)
    assert same(made.data, draft.data)
    same_but_for_order(made.system, draft.system)


def test_the_tandem_system_has_the_same_verdict_through_a_spreadsheet():
    draft = draft_of((CASES[-1]).read_text(encoding="utf-8"))
    assert draft.system.title.startswith("Tandem")
    before = judge(draft.system, nominal=True)
    after = judge(there_and_back(draft, ".xlsx").system, nominal=True)
    assert (after.verdict, after.deciding) == (before.verdict, before.deciding)
    assert sorted(all_told(after.assumptions)) == sorted(all_told(before.assumptions))


def test_the_text_of_a_case_is_its_data():
    for text in (EVERYTHING, *(path.read_text(encoding="utf-8") for path in CASES)):
        data = tomllib.loads(text)
        assert same(tomllib.loads(case_text(data)), data)


def test_long_tables_keep_lines_that_the_reader_takes():
    drops = [{"flow": f"{n}.123456789 L/h", "drop": f"0.{n:09} kPa"} for n in range(1, 90)]
    part = {"part": "filter", "name": "x" * 400, "measured": drops, "measured_blocked": drops}
    data = {"line": [{"name": "a", "parts": [part]}]}
    text = case_text(data)
    assert max(map(len, text.split("\n"))) < 2000
    assert same(tomllib.loads(text), data)


def test_key_paths_come_back():
    data = {
        "selector": [{"name": "#2"}, {"name": "on"}, {"name": ""}],
        "fuel": {"temperatures": ["1", "2"]},
        "a.b": {' "q" ': 1},
    }
    for path, text in (
        (("selector", 0, "name"), 'selector."#2".name'),
        (("selector", 1, "name"), "selector.on.name"),
        (("selector", 2, "name"), "selector.#3.name"),
        (("fuel", "temperatures", 1), "fuel.temperatures.2"),
        (("a.b", ' "q" '), '"a.b"."""q"""'),
    ):
        assert written_path(path, data) == text
        assert next(step.text for step in read_path(text)) == path[0]
    assert read_path("a..b") is None
    assert read_path('a."b') is None
    assert [step.number for step in read_path("tank.#12.x.3")] == [0, 12, 0, 3]
