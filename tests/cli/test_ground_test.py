"""The ground-test commands: card, empty readings, fit, leak check."""

import json
import math
import re
import shutil
from pathlib import Path

import pytest

from flowsim.cli.ground_test import app

FOLDER = Path(__file__).parents[2] / "cases" / "four-outlets"
COMMANDS = [command.name for command in app.registered_commands]


@pytest.fixture
def bench(tmp_path):
    """A copy of the bundled case and readings in a folder of its own."""
    for name in ("case.toml", "readings.csv"):
        shutil.copy(FOLDER / name, tmp_path / name)
    return tmp_path


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_has_help_with_exit_codes(run, name):
    said = run("ground-test", name, "--help")
    assert said.code == 0
    assert "Exit codes" in said.out


def test_help_loads_nothing_slow(shell):
    code = (
        "import sys\n"
        "from flowsim.cli.main import exit_code_of\n"
        "exit_code_of(['ground-test', 'fit', '--help'])\n"
        "print(*[n for n in ('numpy', 'scipy', 'pint', 'tomlkit', 'rich') if n in sys.modules],"
        " file=sys.stderr)\n"
    )
    assert shell("-c", code).err.strip() == ""


def test_the_card_says_how_and_what(run, bench):
    said = run("ground-test", "plan", bench / "case.toml", "--draws", "128", "--units", "metric")
    assert said.code == 0
    plain = " ".join(said.out.split())
    for words in (
        "17.0 deg nose-up", "inclinometer", "ramp", "tailwheel", "Chock", "tie down", "Bond",
        "extinguisher", "Vents, caps and strainers as they will fly", "bypass",
        "open end at the carburettor inlet's height", "hangs lower adds head", "3.0 L",
        "0.30063 x", "s or less", "at least 3 times", "selector left, test attitude", "band",
        "takes away", "Vent test", "Unusable fuel", "Stop at once when", "needle and seat",
        "not an approval",
    ):  # fmt: skip
        assert words in plain, words
    assert " safe" not in plain


def test_the_plan_as_json(run, bench):
    said = run("ground-test", "plan", bench / "case.toml", "--draws", "128", "--json")
    found = json.loads(said.out)
    assert found["schema"] == "flowsim.ground-test-plan/1"
    assert found["repeats"] == 3
    first = found["runs"][0]
    assert first["expected_p05_s"] < first["expected_s"] < first["expected_p95_s"]
    # The mark by hand: seconds = volume x density / required flow, all as the object gives them.
    mark = found["pass_seconds"][0]
    required = found["requirement"]["required_kg_per_h"]
    wanted = 3.6 * found["container_l"] * mark["density_kg_per_m3"] / required
    assert mark["seconds"] == pytest.approx(wanted)


def test_an_empty_file_of_readings_is_written_once(run, bench):
    target = bench / "new.csv"
    said = run("ground-test", "readings", bench / "case.toml", "--out", target)
    assert said.code == 0
    before = target.read_text()
    assert "seconds" in before
    said = run("ground-test", "readings", bench / "case.toml", "--out", target)
    assert said.code == 5
    assert "is there already" in said.err
    assert target.read_text() == before


def test_a_fit_writes_the_calibrated_case_beside_the_case(run, bench):
    case, target = bench / "case.toml", bench / "case.calibrated.toml"
    before = case.read_bytes()
    said = run("ground-test", "fit", case, bench / "readings.csv", "--draws", "128")
    assert said.code == 0
    assert "the mark is met" in said.out
    assert "What it knows only together" in said.out
    assert "The answer before and after" in said.out
    assert case.read_bytes() == before
    assert target.read_text().startswith(case.read_text().rstrip())
    assert sorted(path.name for path in bench.iterdir()) == [
        "case.calibrated.toml", "case.toml", "readings.csv",
    ]  # fmt: skip
    checked = run("check", target, "--nominal", "--full")
    assert checked.code == 0
    assert "Corrected by a ground test" in checked.out
    by_hand = run("hand-check", target, "--nominal")
    assert "DIFFER" not in by_hand.out
    assert "the factor of the ground test" in by_hand.out
    written = target.read_bytes()
    again = run("ground-test", "fit", case, bench / "readings.csv", "--draws", "128")
    assert again.code == 5
    assert "is there already" in again.err
    assert target.read_bytes() == written
    second = run("ground-test", "fit", target, bench / "readings.csv", "--no-case")
    assert second.code == 4
    assert "calibrated already" in second.err


def test_a_fit_as_json(run, bench):
    said = run(
        "ground-test", "fit", bench / "case.toml", bench / "readings.csv", "--no-case", "--json",
        "--draws", "128",
    )  # fmt: skip
    found = json.loads(said.out)
    assert found["schema"] == "flowsim.ground-test-fit/1"
    assert found["calibrated_case"] is None
    assert found["mark"]["met"] is True
    assert len(found["runs"]) == 15
    assert found["before"]["result_lines"][0]["name"] == found["after"]["result_lines"][0]["name"]
    assert not (bench / "case.calibrated.toml").exists()


def test_the_exit_code_is_the_mark(run, bench):
    text = (bench / "readings.csv").read_text()
    slow = text.replace(",83.4,", ",250,", 1)
    (bench / "slow.csv").write_text(slow)
    words = ("ground-test", "fit", bench / "case.toml", bench / "slow.csv", "--no-case")
    said = run(*words, "--draws", "128")
    assert said.code == 1
    assert "the mark is missed" in said.out
    assert "slower than its repeats" in " ".join(said.out.split())
    (bench / "slow.csv").write_text(text.replace(",17,0,", ",5,0,"))
    said = run(*words, "--draws", "128")
    assert said.code == 3
    assert "neither met nor missed" in said.out


def test_a_correction_that_is_not_to_be_relied_on_is_not_written(run, bench):
    path = bench / "readings.csv"
    lines = [
        re.sub(r",(\d\d\.\d),18,", lambda m: f",{6 * float(m[1]):.1f},18,", line)
        for line in path.read_text().splitlines()
    ]
    path.write_text("\n".join(lines))
    said = run("ground-test", "fit", bench / "case.toml", path, "--draws", "128")
    assert said.code == 1
    assert "not written: " in said.out
    assert "Do not rely on the answer after" in said.out
    assert not (bench / "case.calibrated.toml").exists()


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        (",83.4,", ",0,", "plausible"),
        (",6,6,3,15,", ",6,6,9,15,", "more than the 1.59 US gal"),
        (",713.5,", ",,", None),
    ],
)
def test_bad_readings_write_nothing(run, bench, old, new, words):
    path = bench / "readings.csv"
    path.write_text(path.read_text().replace(old, new, 1))
    said = run("ground-test", "fit", bench / "case.toml", path, "--draws", "128")
    if words is None:
        assert said.code == 0
        assert "the density is missing" in " ".join(said.out.split())
        return
    assert said.code == 4
    assert words in said.err
    assert f"{path}:4: run 1" in said.err
    assert said.out == ""
    assert not (bench / "case.calibrated.toml").exists()


def test_an_output_in_no_folder_is_exit_5(run, bench):
    said = run(
        "ground-test", "fit", bench / "case.toml", bench / "readings.csv",
        "--out", bench / "none" / "c.toml", "--draws", "128",
    )  # fmt: skip
    assert said.code == 5
    assert "cannot be written" in said.err


def test_the_leak_check_says_what_to_hold_and_how_long(run, bench):
    said = run("ground-test", "leak", bench / "case.toml")
    assert said.code == 0
    assert "psi" in said.out
    assert "Where to look first" in said.out
    said = run(
        "ground-test", "leak", bench / "case.toml", "--volume", "1.2 L", "--division", "0.1 kPa",
        "--start-pressure", "21 kPa", "--end-pressure", "20.2 kPa", "--minutes", "15",
        "--start-temperature", "20 degC", "--end-temperature", "18.5 degC", "--json",
    )  # fmt: skip
    found = json.loads(said.out)["reading"]
    # Ideal gas: (21 + 101.325) kPa x 1.5/293.15.
    assert found["by_temperature_kpa"] == pytest.approx(122.325 * 1.5 / 293.15)
    assert found["left_for_leak_kpa"] == pytest.approx(0.8 - 122.325 * 1.5 / 293.15)


def test_a_leak_check_too_short_or_at_too_little_pressure_does_not_comfort(run, bench):
    """A minute at 1 kPa: what leak would not have shown is said, and that less was held."""
    given = [
        "--volume", "1 L", "--division", "0.1 kPa", "--start-pressure", "1 kPa",
        "--end-pressure", "1 kPa", "--start-temperature", "15 degC", "--end-temperature", "15 degC",
        "--minutes", "1",
    ]  # fmt: skip
    said = run("ground-test", "leak", bench / "case.toml", *given, "--units", "metric").out
    # Twice the deviation of the fall: 0.1 kPa of the gauge, and 0.5 K of 102.3 kPa at 288.15 K.
    hidden = 2.0 * math.hypot(0.1, 102.325 * 0.5 / 288.15) / 101.325 * 1000.0
    assert f"no leak above {hidden:.2g} mL of air a minute" in said
    assert "Only 1.0 kPa was held" in said


def test_half_a_leak_reading_is_wrong_usage(run, bench):
    said = run("ground-test", "leak", bench / "case.toml", "--start-pressure", "21 kPa")
    assert said.code == 2
    assert "--end-pressure" in said.err
    said = run("ground-test", "leak", bench / "case.toml", "--volume", "3")
    assert said.code == 2
    assert "has no unit" in said.err


def test_a_drain_down_from_template_to_curve(run, bench):
    plan = json.loads(
        run("ground-test", "plan", bench / "case.toml", "--draws", "128", "--json").out
    )
    made = run("ground-test", "readings", bench / "case.toml").out.splitlines()
    head = next(line for line in made if line.startswith("run,"))
    rows = [line.split(",") for line in made if line.startswith("D1,")]
    seconds = head.split(",").index("seconds")
    for cells, mark in zip(rows, plan["drain_down"]["marks"], strict=True):
        cells[seconds] = f"{mark['expected_s']:.1f}"
    rows[0][seconds + 1] = "59"  # degF, as the form heads it
    file = bench / "drain.csv"
    file.write_text(head + "\n" + "\n".join(",".join(cells) for cells in rows) + "\n")
    said = run(
        "ground-test", "fit", bench / "case.toml", file, "--draws", "128", "--no-case", "--json"
    )
    found = json.loads(said.out)
    (drain,) = found["drain_downs"]
    assert drain["run"] == "D1"
    flows = [stretch["flow_kg_per_h"] for stretch in drain["curve"]]
    expected = [stretch["expected_kg_per_h"] for stretch in drain["curve"]]
    assert flows == pytest.approx(expected, rel=0.02)
    assert [vent["bends"] for vent in drain["vents"]] == [False]
    assert {entry["drain_down"] for entry in found["runs"]} == {"D1"}
    text = run("ground-test", "fit", bench / "case.toml", file, "--draws", "128", "--no-case").out
    assert "Drain-down D1: flow against head" in text
    assert "Vent:" in text
