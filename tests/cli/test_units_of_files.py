"""Files that a command writes, in the units asked for: tables, the measuring sheet."""

import json
import re

import pytest

from flowsim.cli.sheet import _draft
from flowsim.files.units.turned import turned
from flowsim.measures import Units
from flowsim.reports.pages.measuring_sheet import measuring_sheet
from flowsim.reports.pages.measuring_sheet_cells import Form
from tests.support.every_command import CASES

OTHER = {"us": r"\b(mm|cm|m|L|mL|kg|kPa|degC)\b", "metric": r"\b(in|ft|US_gal|lb|psi|degF)\b"}


@pytest.mark.parametrize("units", ["us", "metric"])
@pytest.mark.parametrize("name", ["one-tank", "nose-high", "four-outlets"])
def test_tables_in_either_units_are_the_same_case(run, tmp_path, name, units):
    tables, back = tmp_path / "t.csv", tmp_path / "back.toml"
    assert run("table", CASES[name], "--out", tables, "--units", units).code == 0
    headings = re.findall(r"\[(\w+)\]", tables.read_text(encoding="utf-8"))
    assert headings
    assert not [unit for unit in headings if re.fullmatch(OTHER[units], unit)]
    assert run("case", "from", tables, "--out", back).code == 0
    one, other = (
        json.loads(run("check", case, "--nominal", "--json").out) for case in (CASES[name], back)
    )
    assert one["verdict"] == other["verdict"]
    for first, second in zip(one["scenarios"], other["scenarios"], strict=True):
        assert second["flow_kg_per_h"] == pytest.approx(first["flow_kg_per_h"], rel=1e-4, abs=1e-3)


def test_both_and_nothing_leave_the_tables_as_written(run, tmp_path):
    written = []
    for number, asked in enumerate(((), ("--units", "both"))):
        path = tmp_path / f"{number}.csv"
        assert run("table", CASES["nose-high"], "--out", path, *asked).code == 0
        written.append(path.read_bytes())
    assert written[0] == written[1]


@pytest.mark.parametrize("units", list(OTHER))
def test_the_sheet_prints_the_values_in_the_units_asked_for(units):
    for name in ("one-tank", "nose-high"):
        pieces = measuring_sheet(_draft(CASES[name], Units(units)), None)
        cells = [c for p in pieces if isinstance(p, Form) for row in p.rows for c in row]
        known = [c.text or c.hint for c in cells if c.kind != "label"]
        assert any(re.search(r"\d (in|mm)\b", text) for text in known)
        sizes = r"\d[\d./ ]*(in|mm)? x [\d.]+ (in|mm)"
        wrong = [t for t in known if re.search(r"\d " + OTHER[units], re.sub(sizes, "", t))]
        assert not wrong


def test_the_command_writes_a_sheet_in_each(run, tmp_path):
    pytest.importorskip("typst")
    for units in ("us", "metric", "both"):
        path = tmp_path / f"{units}.pdf"
        said = run("sheet", CASES["one-tank"], "--units", units, "--out", path)
        assert (said.code, said.err) == (0, "")
        assert path.read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("text", "system", "expected"),
    [
        ("25.4 mm", Units.US, "1 in"),
        ("3/8 in", Units.METRIC, "9.525 mm"),
        ("3/8 in x 0.035 in", Units.METRIC, "3/8 in x 0.035 in"),
        ("12 deg", Units.US, "12 deg"),
        ("60 kt", Units.METRIC, "60 kt"),
        ("0 mm", Units.US, "0 in"),
        ("-40 degC", Units.US, "-40 degF"),
        ("10 US gal", Units.METRIC, "37.85412 L"),
        ("lower mm", Units.US, "lower mm"),
        ("720 kg/m3", Units.US, "6.008691 lb/US_gal"),
    ],
)
def test_turned(text, system, expected):
    assert turned(text, system) == expected
