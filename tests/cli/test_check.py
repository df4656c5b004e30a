"""``flowsim check``: streams, exit codes, JSON, mistakes."""

import json
from pathlib import Path

import jsonschema
import pytest

from flowsim.cli import check as command
from flowsim.cli.exit_codes import BY_VERDICT
from flowsim.studies.adequacy import study as adequacy
from flowsim.studies.result import Verdict

ROOT = Path(__file__).parents[2]
CASES = sorted((ROOT / "cases").glob("*/case.toml"))
SCHEMA = json.loads((ROOT / "docs" / "schemas" / "check.schema.json").read_text(encoding="utf-8"))


def test_result_on_stdout_and_nothing_on_stderr(run, case):
    said = run("check", case, "--draws", "100")
    assert said.code == 0
    assert said.err == ""
    assert said.out.startswith("Starter\n")
    assert "\x1b" not in said.out
    assert "Verdict: adequate\n" in said.out


def test_json_is_one_object_that_fits_the_schema(run, case):
    said = run("check", case, "--json", "--draws", "100")
    assert said.err == ""
    made = json.loads(said.out)
    jsonschema.validate(made, SCHEMA)
    assert said.code == BY_VERDICT[made["verdict"].removesuffix(", open line only")]
    assert made["judged_on"] == {"draws": 100, "seed": 20240229, "band": True}


def test_same_seed_same_bytes(run, case):
    once = run("check", case, "--json", "--draws", "100", "--seed", "7")
    assert once == run("check", case, "--json", "--draws", "100", "--seed", "7")


def test_nominal_has_no_band(run, case):
    assert "On nominal values alone" in run("check", case, "--nominal").out
    said = run("check", case, "--nominal", "--full")
    assert "single values only" in said.out
    assert "5 to 95 %" not in said.out


def test_all_prints_every_degree(run, case):
    assert "\n  13.0 " not in run("check", case, "--nominal", "--full").out
    assert "\n  13.0 " in run("check", case, "--nominal", "--all").out


@pytest.mark.parametrize("bundled", CASES, ids=lambda path: path.parent.name)
def test_the_first_screen_is_one_screen_with_the_answer(run, bundled, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    said = run("check", bundled, "--draws", "200")
    lines = said.out.splitlines()
    assert len(lines) <= 40
    assert max(map(len, lines)) <= 80
    assert any(line.startswith("Verdict: ") for line in lines[:5])
    assert "an estimate, not an" in said.out.replace("\n ", "")
    assert said.out.rstrip().endswith("--full")
    plain = " ".join(said.out.split()).partition("Adequate as well: ")[2].partition(".")[0]
    for topic in ("open line, 150 %", "air", "vapour", "water on the ground", "humps"):
        assert any(row.startswith(f"  {topic} ") for row in lines) or topic in plain, topic


def test_the_first_screen_says_everything_that_is_not_adequate(run):
    said = run("check", ROOT / "cases" / "humps" / "case.toml", "--json", "--draws", "200")
    short = run("check", ROOT / "cases" / "humps" / "case.toml", "--draws", "200")
    for decision in json.loads(said.out)["decisions"]:
        if decision["decides"] and decision["verdict"] != "adequate":
            row = next(
                x for x in short.out.splitlines() if x.startswith(f"  {decision['name'][:24]}")
            )
            assert decision["verdict"] in row


@pytest.mark.parametrize(
    ("verdict", "code"),
    [(Verdict.ADEQUATE, 0), (Verdict.NOT_ADEQUATE, 1), (Verdict.CANNOT_TELL, 3)],
)
def test_exit_code_is_the_verdict(run, case, monkeypatch, verdict, code):
    from dataclasses import replace

    real = adequacy.judge

    def judge(system, **options):
        return replace(real(system, **options), verdict=verdict, verdict_words=verdict.value)

    monkeypatch.setattr(adequacy, "judge", judge)
    assert run("check", case, "--nominal").code == code


def test_every_verdict_has_an_exit_code():
    assert set(BY_VERDICT) == {verdict.value for verdict in Verdict}


def test_mistakes_go_to_stderr_with_file_and_line(run, case):
    text = case.read_text(encoding="utf-8").replace('burn = "5.6 US_gal/h"', 'burn = "5.6 gal/h"')
    case.write_text(text, encoding="utf-8")
    said = run("check", case)
    assert said.code == 4
    assert said.out == ""
    line = 1 + text.splitlines().index('burn = "5.6 gal/h"')
    assert f"{case.name}:{line}: " in said.err or f"{case}:{line}: " in said.err
    assert "US_gal" in said.err
    assert "Traceback" not in said.err


def test_a_missing_file_is_an_invalid_case(run, tmp_path):
    said = run("check", tmp_path / "nothing.toml")
    assert said.code == 4
    assert said.out == ""
    assert "nothing.toml" in said.err


def test_case_text_cannot_steer_the_terminal(run, case):
    text = case.read_text(encoding="utf-8").replace('title = "Starter"', 'title = "a\\u001b[2Jb"')
    case.write_text(text, encoding="utf-8")
    said = run("check", case, "--nominal")
    assert "\x1b" not in said.out + said.err


@pytest.mark.parametrize(
    "words",
    [
        ("check",),
        ("check", "x.toml", "--draws", "1"),
        ("check", "x.toml", "--draws", "many"),
        ("check", "x.toml", "--bogus"),
        ("bogus",),
        (),
    ],
)
def test_wrong_usage(run, words):
    said = run(*words)
    assert said.code == 2
    assert said.out == ""
    assert "Usage: flowsim" in said.err


@pytest.mark.parametrize("columns", ["40", "60", "200"])
def test_narrow_and_wide_terminals(run, case, monkeypatch, columns):
    monkeypatch.setenv("COLUMNS", columns)
    said = run("check", case, "--nominal")
    assert max(map(len, said.out.splitlines())) <= min(100, int(columns))


def test_progress_is_shown_on_a_terminal_only(run, case, monkeypatch):
    assert run("check", case, "--draws", "100").err == ""
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    said = run("check", case, "--draws", "100")
    assert "sweeping" in said.err
    assert said.err.endswith("\r")
    assert "\n" not in said.err


def test_defaults_are_those_of_the_study():
    assert command.options.DRAWS == adequacy.DRAWS
    assert command.options.SEED == adequacy.SEED


@pytest.mark.parametrize("bundled", CASES, ids=lambda path: path.parent.name)
def test_bundled_cases_fit_the_schema_and_close_by_hand(run, bundled):
    said = run("check", bundled, "--json", "--draws", "100")
    made = json.loads(said.out)
    jsonschema.validate(made, SCHEMA)
    assert said.code == BY_VERDICT[made["verdict"].removesuffix(", open line only")]
    sheet = run("hand-check", bundled, "--nominal")
    assert sheet.code == 0
    assert "DIFFER" not in sheet.out
    assert sheet.err == ""


def test_there_are_bundled_cases():
    assert CASES
