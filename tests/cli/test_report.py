"""``flowsim report``: files, verdict, dates, refusals; nothing half written."""

import importlib.util
import json
import os
import stat
from pathlib import Path

import jsonschema
import pytest

from flowsim.reports.render import pdf as report_pdf
from flowsim.studies.report import collect as collecting
from tests.support.report_cases import quick_study

ROOT = Path(__file__).parents[2]
CASES = ROOT / "cases"
HAS_TYPST = importlib.util.find_spec("typst") is not None
NAMES = ["report.html", "report.json", *(["report.pdf"] if HAS_TYPST else [])]
DATE = ("--date", "2026-01-31")


@pytest.fixture
def quick(monkeypatch):
    """Leave the slow studies out."""
    monkeypatch.setattr(collecting, "collect", lambda system, **_: quick_study(system))


def names(folder):
    return sorted(path.name for path in folder.iterdir()) if folder.exists() else []


def test_writes_page_paper_and_data(run, case, tmp_path):
    """The one whole run, with every study."""
    out = tmp_path / "out"
    said = run("report", case, "--out", out, "--draws", "100", *DATE)
    assert said.code == (0 if HAS_TYPST else 5)
    assert names(out) == NAMES
    assert said.out.startswith("Verdict: adequate\nwrote ")
    assert "This is an estimate, not an approval." in said.out
    made = json.loads((out / "report.json").read_text())
    schema = json.loads((ROOT / "docs" / "schemas" / "report.schema.json").read_text())
    jsonschema.validate(made, schema)
    assert made["date"] == "2026-01-31"
    assert [s["name"] for s in made["sections"] if not s["complete"]] == []
    assert "2026-01-31" in (out / "report.html").read_text()


def test_the_uncertainty_study_tells_the_same_band_as_the_check(run, case):
    """Two ways through the draws; 100 against 400 draws differ by sampling only."""
    said = run("report", case, "--json", "--draws", "100", "--units", "metric", *DATE)
    made = json.loads(said.out)
    bands = {line["name"]: line for line in made["check"]["result_lines"]}
    (spread,) = [s for s in made["sections"] if s["name"] == "spread"]
    told = [b["text"] for b in spread["blocks"] if b["type"] == "words"]
    for name, line in bands.items():
        (place,) = [i for i, text in enumerate(told) if text.startswith(f"{name}: ")]
        if line["band_worked_out_to_percent"] is not None:  # more than that: told as such
            assert "how far over was not worked out" in told[place + 1]
            continue
        low = float(told[place + 1].split("5 % ")[1].split(" kg/h")[0])
        assert low == pytest.approx(
            line["least_percent_p05"] / 100 * line["required_kg_per_h"], rel=0.08
        )


def test_same_date_same_bytes_and_made_again_from_the_data(run, case, tmp_path, quick):
    once, twice, again = (tmp_path / name for name in ("one", "two", "again"))
    for out in (once, twice):
        run("report", case, "--out", out, *DATE)
    run("report", "--from", once / "report.json", "--out", again)
    assert names(again) == [name for name in NAMES if name != "report.json"]
    for name in NAMES:
        assert (once / name).read_bytes() == (twice / name).read_bytes()
        if name != "report.json":
            assert (again / name).read_bytes() == (once / name).read_bytes()


@pytest.mark.parametrize(("name", "code"), [("one-tank", 0), ("nose-high", 1), ("humps", 1)])
def test_exit_code_is_the_verdict(run, tmp_path, quick, name, code):
    said = run("report", CASES / name / "case.toml", "--out", tmp_path, "--no-pdf", *DATE)
    assert said.code == code
    assert names(tmp_path) == ["report.html", "report.json"]


def test_json_goes_to_stdout_and_nothing_is_written(run, case, tmp_path, quick, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = names(tmp_path)
    said = run("report", case, "--json", *DATE)
    assert json.loads(said.out)["schema"] == "flowsim.report/1"
    assert names(tmp_path) == before


def test_the_environment_s_date_is_used(run, case, quick, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1769817600")  # 2026-01-31T00:00:00Z
    assert json.loads(run("report", case, "--json").out)["date"] == "2026-01-31"
    assert json.loads(run("report", case, "--json", "--date", "2025-12-01").out)["date"] == (
        "2025-12-01"
    )


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((), "give either a CASE or --from"),
        (("x.toml", "--from", "y.json"), "give either a CASE or --from"),
        (("--from", "y.json", "--date", "2026-01-31"), "--from takes all from its data"),
        (("x.toml", "--date", "31.1.2026"), "write it as 2026-01-31"),
    ],
)
def test_wrong_usage(run, words, said):
    done = run("report", *words)
    assert done.code == 2
    assert said in " ".join(done.err.split())


def test_wrong_date_in_the_environment(run, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "yesterday")
    done = run("report", "x.toml")
    assert done.code == 2
    assert "SOURCE_DATE_EPOCH" in done.err


def test_files_that_are_there_are_kept_unless_forced(run, case, tmp_path, quick):
    (tmp_path / "report.html").write_text("mine")
    done = run("report", case, "--out", tmp_path, *DATE)
    assert done.code == 5
    assert "--force" in done.err
    assert done.out == ""
    assert (tmp_path / "report.html").read_text() == "mine"
    assert "report.json" not in names(tmp_path)
    assert run("report", case, "--out", tmp_path, "--no-pdf", "--force", *DATE).code == 0
    assert (tmp_path / "report.html").read_text().startswith("<!DOCTYPE html>")


def test_a_folder_that_cannot_be_written_to(run, case, tmp_path, quick):
    locked = tmp_path / "locked"
    locked.mkdir()
    locked.chmod(stat.S_IRUSR | stat.S_IXUSR)
    if os.access(locked, os.W_OK):
        locked = tmp_path / "a file"  # the superuser may write anywhere, but not into a file
        locked.write_text("")
    done = run("report", case, "--out", locked, *DATE)
    assert done.code == 5
    assert "cannot be written" in done.err
    assert "check that its folder is there" in done.err


def test_a_folder_in_a_folder_that_is_not_there(run, case, tmp_path, quick):
    done = run("report", case, "--out", tmp_path / "no" / "such", *DATE)
    assert done.code == 5
    assert not (tmp_path / "no").exists()


def test_a_folder_where_a_file_should_go(run, case, tmp_path, quick):
    (tmp_path / "report.json").mkdir()
    done = run("report", case, "--out", tmp_path, "--force", *DATE)
    assert done.code == 5
    assert "is a folder" in done.err


def test_nothing_is_left_behind_when_the_disk_fills(run, case, tmp_path, quick, monkeypatch):
    real, count = os.fsync, [0]

    def full(handle):
        count[0] += 1
        if count[0] == 2:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", full)
    out = tmp_path / "out"
    done = run("report", case, "--out", out, *DATE)
    assert done.code == 5
    assert "No space left on device" in done.err
    assert names(out) == []


def test_without_the_optional_part_the_page_is_made_all_the_same(
    run, case, tmp_path, quick, monkeypatch
):
    monkeypatch.setattr(report_pdf, "can_make_pdf", lambda: False)
    done = run("report", case, "--out", tmp_path / "out", *DATE)
    assert done.code == 5
    assert "pip install '.[pdf]'" in done.err
    assert names(tmp_path / "out") == ["report.html", "report.json"]
    assert "report.html" in done.out


def test_data_of_another_version(run, tmp_path):
    other = tmp_path / "old.json"
    other.write_text('{"schema": "flowsim.report/0"}')
    done = run("report", "--from", other, "--out", tmp_path / "out")
    assert done.code == 4
    assert "another version" in done.err
    assert "make the report again from its case" in done.err
    assert names(tmp_path / "out") == []


def test_bad_readings_are_refused_before_anything_is_written(run, case, tmp_path, quick):
    readings = tmp_path / "readings.csv"
    readings.write_text("run,nonsense\n1,2\n")
    done = run("report", case, "--readings", readings, "--out", tmp_path / "out", *DATE)
    assert done.code == 4
    assert "readings.csv" in done.err
    assert names(tmp_path / "out") == []


@pytest.mark.slow
def test_readings_stand_in_the_report(run, tmp_path):
    case = CASES / "four-outlets" / "case.toml"
    readings = CASES / "four-outlets" / "readings.csv"
    said = run("report", case, "--readings", readings, "--json", "--nominal", *DATE)
    made = json.loads(said.out)
    assert made["readings"]["file"].endswith("readings.csv")
    (tested,) = [s for s in made["sections"] if s["name"] == "tested"]
    assert tested["complete"]
    first = json.dumps(made["sections"][0])
    assert "Ground test: " in first
