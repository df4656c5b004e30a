"""``flowsim flight``: report, JSON, CSV, picture, exit codes, mistakes."""

import csv
import io
import json
import xml.dom.minidom
from pathlib import Path

import pytest

CASES = Path(__file__).parents[2] / "cases"
CASE, PROFILE = CASES / "four-outlets" / "case.toml", CASES / "four-outlets" / "flight.toml"
SHORT = """title = "Short"
[[start]]
tank = "left"
quantity = "20 L"
[[start]]
tank = "right"
quantity = "20 L"
[[phase]]
name = "climb"
duration = "4 min"
pitch = "10 deg"
power = 1
selector = "both"
"""


@pytest.fixture
def short(tmp_path: Path) -> Path:
    path = tmp_path / "short.toml"
    path.write_text(SHORT, encoding="utf-8")
    return path


def test_bundled_profile_starves_and_says_so(run, tmp_path):
    said = run(
        "flight",
        CASE,
        PROFILE,
        "--csv",
        tmp_path / "f.csv",
        "--picture",
        tmp_path / "f.svg",
        "--units",
        "metric",
    )
    assert said.code == 1
    assert said.err == ""
    assert "By this estimate: starved" in said.out
    assert "the burn is lost at" in said.out
    assert "Fuel balance" in said.out
    assert "not an approval" in said.out
    rows = list(csv.reader(io.StringIO((tmp_path / "f.csv").read_text(encoding="utf-8"))))
    assert rows[0][:4] == ["time_s", "phase", "left fuel_l", "right fuel_l"]
    assert rows[1][:4] == ["0", "taxi", "24", "32"]
    assert rows[-1][1] == "slip"
    assert {len(row) for row in rows} == {len(rows[0])}
    picture = (tmp_path / "f.svg").read_text(encoding="utf-8")
    xml.dom.minidom.parseString(picture)
    for words in ("fuel, L", "flow, kg/h", "pitch, deg", "time, minutes", "required flow",
                  "test attitude", "not an approval"):  # fmt: skip
        assert words in picture


def test_quiet_flight_json_and_balance(run, short):
    said = run("flight", CASE, short, "--json")
    assert said.code == 0
    made = json.loads(said.out)
    assert made["schema"] == "flowsim.flight/1"
    balance = made["balance"]
    out = balance["end_kg"] + balance["burned_kg"] + balance["overflowed_kg"]
    assert balance["start_kg"] == pytest.approx(out, rel=1e-6)
    assert abs(balance["misfit"]) < 1e-6
    assert made["starved"] is False
    samples = made["samples"]
    assert len(samples["time_s"]) == len(samples["fuel_l"]["left"]) == len(samples["starved"])
    assert samples["time_s"][-1] == 240.0
    assert made["phases"][0]["burned_kg"] == pytest.approx(made["phases"][0]["asked_kg"])


def test_same_flight_same_picture(run, short, tmp_path):
    for name in ("a.svg", "b.svg"):
        assert run("flight", CASE, short, "--picture", tmp_path / name).code == 0
    assert (tmp_path / "a.svg").read_bytes() == (tmp_path / "b.svg").read_bytes()


def test_phases_of_the_case(run, tmp_path):
    case = tmp_path / "case.toml"
    text = CASE.read_text(encoding="utf-8")
    case.write_text(text + SHORT.split("\n", 1)[1], encoding="utf-8")
    assert run("flight", case).code == 0


def test_no_phase_anywhere(run):
    said = run("flight", CASE)
    assert said.code == 4
    assert said.out == ""
    assert "[[phase]]" in said.err


def test_mistakes_carry_lines(run, short):
    short.write_text(SHORT.replace('"both"', '"bth"').replace("4 min", "0 min"), encoding="utf-8")
    said = run("flight", CASE, short)
    assert said.code == 4
    assert f"{short}:10: " in said.err
    assert f"{short}:13: " in said.err
    assert "Traceback" not in said.err


def test_output_that_cannot_be_written(run, short, tmp_path):
    said = run("flight", CASE, short, "--csv", tmp_path / "no" / "f.csv")
    assert said.code == 5
    assert said.out == ""


def test_transfer_takes_no_profile(run, short):
    assert run("flight", CASE, short, "--transfer").code == 2


def test_transfer_without_joined_tanks(run):
    case = CASES / "one-tank" / "case.toml"
    said = run("flight", case, "--transfer")
    assert said.code == 0
    assert "No line joins two tanks in any selector position" in said.out
    made = json.loads(run("flight", case, "--transfer", "--json").out)
    assert made["schema"] == "flowsim.transfer/1"
    assert made["rows"] == []


def test_transfer_overflows(run, monkeypatch):
    from flowsim.studies.flight import transfer

    monkeypatch.setattr(transfer, "SITUATIONS", transfer.SITUATIONS[-1:])
    said = run("flight", CASE, "--transfer")
    assert said.code == 1
    assert "A vent overflows" in said.out
    made = json.loads(run("flight", CASE, "--transfer", "--json").out)
    assert made["overflows"] is True
    assert len(made["rows"]) == 2


def test_csv_cells_are_not_formulas():
    from flowsim.files.results.flight_csv import _text

    assert _text("=1+1") == "'=1+1"
    assert _text("left") == "left"


def test_bands_of_the_time_to_starvation(run):
    made = json.loads(run("flight", CASE, PROFILE, "--json", "--seed", "5").out)["bands"]
    assert made["draws"] == 256
    assert made["starved"] == 1.0
    time = made["time_to_starvation_s"]
    assert time["p5"] < time["p50"] < time["p95"]
    assert json.loads(run("flight", CASE, PROFILE, "--json", "--nominal").out)["bands"] is None


def test_starved_in_more_than_5_percent_of_the_draws_is_exit_code_3(run, tmp_path):
    """One minute short of where it starves on single values."""
    text = PROFILE.read_text(encoding="utf-8").split('[[phase]]\nname = "cruise on right"')[0]
    path = tmp_path / "short.toml"
    path.write_text(text.replace('"75 min"', '"57 min"'), encoding="utf-8")
    said = run("flight", CASE, path)
    assert said.code == 3
    assert "cannot tell whether the burn is met throughout" in said.out
    assert run("flight", CASE, path, "--nominal").code == 0
