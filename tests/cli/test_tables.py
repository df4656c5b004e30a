"""``flowsim table`` and ``flowsim case from``: a case to a spreadsheet and back."""

import json

import pytest


@pytest.mark.parametrize("ending", [".csv", ".xlsx"])
def test_there_and_back(run, case, tmp_path, ending):
    tables, back = tmp_path / f"mine{ending}", tmp_path / "back.toml"
    said = run("table", case, "--out", tables)
    assert (said.code, said.err) == (0, "")
    assert f"flowsim case from {tables.as_posix()}" in said.out
    said = run("case", "from", tables, "--out", back)
    assert (said.code, said.err) == (0, "")
    assert f"flowsim check {back.as_posix()}" in said.out
    one, other = (json.loads(run("check", c, "--nominal", "--json").out) for c in (case, back))
    assert one["verdict"] == other["verdict"]
    assert one["result_lines"] == other["result_lines"]


def test_without_out_the_case_goes_to_standard_output(run, case, tmp_path):
    tables = tmp_path / "mine.csv"
    run("table", case, "--out", tables)
    said = run("case", "from", tables)
    assert said.code == 0
    assert said.out.startswith('title = "')


def test_nothing_is_replaced_unless_forced(run, case, tmp_path):
    tables = tmp_path / "mine.csv"
    tables.write_text("mine", encoding="utf-8")
    said = run("table", case, "--out", tables)
    assert said.code == 5
    assert "is there already and is left as it is" in said.err
    assert tables.read_text(encoding="utf-8") == "mine"
    assert run("table", case, "--out", tables, "--force").code == 0
    assert run("case", "from", tables, "--out", case).code == 5
    assert run("case", "from", tables, "--out", case, "--force").code == 0


def test_mistakes_end_with_4_and_write_nothing(run, case, tmp_path):
    tables, back = tmp_path / "mine.csv", tmp_path / "back.toml"
    run("table", case, "--out", tables)
    text = tables.read_text(encoding="utf-8")
    tables.write_text(text.replace("gravity", "gravty"), encoding="utf-8")
    said = run("case", "from", tables, "--out", back)
    assert said.code == 4
    assert ", column value: engine, feed: " in said.err
    assert said.out == ""
    assert not back.exists()


def test_a_case_with_mistakes_is_not_put_into_tables(run, case, tmp_path):
    case.write_text(case.read_text(encoding="utf-8").replace("gravity", "gravty"))
    said = run("table", case, "--out", tmp_path / "mine.csv")
    assert said.code == 4
    assert 'did you mean "gravity"?' in said.err
    assert not (tmp_path / "mine.csv").exists()


def test_another_ending_is_wrong_usage(run, case, tmp_path):
    said = run("table", case, "--out", tmp_path / "mine.xls")
    assert said.code == 2
    assert "must end in .xlsx or .csv" in said.err


def test_onto_a_case_its_remarks_stay(run, case, tmp_path):
    tables = tmp_path / "mine.csv"
    run("table", case, "--out", tables)
    before = case.read_text(encoding="utf-8")
    said = run("case", "from", tables, "--onto", case)
    assert said.out == f"{case.as_posix()} says the same as the tables; nothing was written.\n"
    text = tables.read_text(encoding="utf-8")
    tables.write_text(text.replace("test.draw,2,L", "test.draw,1.5,L"), encoding="utf-8")
    said = run("case", "from", tables, "--onto", case)
    assert (said.code, said.err) == (0, "")
    assert 'test.draw: "2 L" became "1.5 L"' in said.out
    assert case.read_text(encoding="utf-8") == before.replace('draw = "2 L"', 'draw = "1.5 L"')
    said = run("case", "from", tables, "--onto", case, "--out", tmp_path / "x.toml")
    assert said.code == 2
