"""``flowsim unusable``: figures, exit codes, JSON."""

import json
import math
from pathlib import Path

import pytest

from flowsim.document.words.telling import all_told
from flowsim.studies.unusable import study


def test_report_and_exit_code(run, case):
    said = run("unusable", case)
    assert said.code == 0
    assert said.err == ""
    assert said.out.startswith("Starter\n")
    for words in ("suggested placard", "least take-off", "burn lost below", "Cautions"):
        assert words in said.out
    assert "not an approval" in said.out
    assert "A blocked vent" not in said.out


def test_declared_too_little_is_not_adequate(run, case):
    text = case.read_text(encoding="utf-8")
    assert 'unusable = "' in text
    lines = [
        'unusable = "0 L"' if line.startswith("unusable = ") else line for line in text.splitlines()
    ]
    case.write_text("\n".join(lines) + "\n", encoding="utf-8")
    said = run("unusable", case)
    assert said.code == 1
    assert "less than the computed one" in said.out


def test_json(run, case):
    said = run("unusable", case, "--json", "--blocked-vent")
    assert said.code == 0
    made = json.loads(said.out)
    assert made["schema"] == "flowsim.unusable/1"
    assert made["verdict"] == "adequate"
    tank = made["tanks"][0]
    assert tank["burn_lost"]["quantity_l"] <= tank["declared_unusable_l"]
    assert tank["unusable_placard_l"] * 2 == pytest.approx(round(tank["unusable_placard_l"] * 2))
    assert {row["attitude"] for row in made["attitudes"]} >= {"wings level", "turn", "slip"}
    assert made["blocked_vents"]
    assert made["cautions"][0].startswith("This is an estimate")


def test_blocked_vent_section(run, case):
    said = run("unusable", case, "--blocked-vent")
    assert "A blocked vent" in said.out
    assert "Ground test, required flow" in said.out


def test_never_met_has_no_number(run, case, monkeypatch):
    from dataclasses import replace

    real = study.unusable_fuel

    def unusable_fuel(system, progress=None, **how):
        result = real(system, progress, **how)
        tank = result.tanks[0]
        lost = replace(tank.burn, quantity=math.inf)
        return replace(result, tanks=(replace(tank, burn=lost, unusable_placard=math.inf),))

    monkeypatch.setattr(study, "unusable_fuel", unusable_fuel)
    assert "even with a full tank" in run("unusable", case).out
    made = json.loads(run("unusable", case, "--json").out)
    assert made["tanks"][0]["burn_lost"]["quantity_l"] is None
    assert made["tanks"][0]["burn_lost"]["holds_with_full_tank"] is False


@pytest.mark.parametrize("columns", ["40", "100"])
def test_narrow_and_wide(run, case, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", columns)
    said = run("unusable", case, "--blocked-vent")
    assert max(map(len, said.out.splitlines())) <= int(columns)


def test_a_missing_case(run, tmp_path):
    said = run("unusable", tmp_path / "nothing.toml")
    assert said.code == 4
    assert "nothing.toml" in said.err


def test_header_tank_volume_key(run, case):
    # The volume belongs to a tank of stated level; elsewhere it is refused with its line.
    lines = case.read_text(encoding="utf-8").splitlines()
    row = next(i for i, line in enumerate(lines) if line.startswith("unusable = "))
    lines.insert(row, 'volume = "3 L"')
    case.write_text("\n".join(lines) + "\n", encoding="utf-8")
    said = run("unusable", case)
    assert said.code == 4
    assert f":{row + 1}: " in said.err
    assert "volume" in said.err


def test_header_tank_alone_at_the_engine(run, case, monkeypatch):
    # Only the refill can decide then: the report says so, and the exit code follows it.
    from dataclasses import replace

    from flowsim.studies.result import Verdict
    from flowsim.studies.unusable.header_tank import with_refill
    from flowsim.studies.unusable.study import unusable_fuel
    from tests.unit.studies.changes.test_blocked_vent import header_system, header_tanks

    good, high = header_system(0.004), header_system(0.004, rise=0.8)
    assert (
        with_refill(unusable_fuel(good, nominal=True), header_tanks(good)).verdict
        is Verdict.ADEQUATE
    )
    short = with_refill(unusable_fuel(high, nominal=True), header_tanks(high))
    assert short.verdict is Verdict.NOT_ADEQUATE
    assert any("falls short" in reason for reason in all_told(short.reasons))
    failed = tuple(replace(row, failed=True) for row in header_tanks(good))
    assert with_refill(unusable_fuel(good, nominal=True), failed).verdict is Verdict.CANNOT_TELL


def test_without_carburettor_data_it_is_never_a_plain_adequate(run):
    one_tank = Path(__file__).parents[2] / "cases" / "one-tank" / "case.toml"
    checked = json.loads(run("check", one_tank, "--json", "--nominal").out)
    found = json.loads(run("unusable", one_tank, "--json").out)
    assert checked["verdict"] == "adequate, open line only"
    assert found["verdict"] == checked["verdict"]
    assert {tank["verdict"] for tank in found["tanks"]} == {checked["verdict"]}
    assert "Declared figures: adequate, open line only" in run("unusable", one_tank).out
