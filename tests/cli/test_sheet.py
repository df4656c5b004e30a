"""``flowsim sheet``: a measuring sheet of a finished case, of a half one, and of none."""

import pytest

pytest.importorskip("typst")

DATE = ("--date", "2026-01-31")


def test_of_a_case_in_both_sizes(run, case, tmp_path):
    for paper in ("a4", "letter"):
        out = tmp_path / f"{paper}.pdf"
        said = run("sheet", case, "--paper", paper, "--out", out, *DATE)
        assert (said.code, said.err) == (0, "")
        assert said.out == (
            f"Wrote {out.as_posix()}.\nAn estimate, not an approval: the ground test decides.\n"
        )
        assert out.read_bytes().startswith(b"%PDF")


def test_without_a_case_it_is_empty_and_replaces_nothing(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert run("sheet", *DATE).code == 0
    before = (tmp_path / "measuring-sheet.pdf").read_bytes()
    said = run("sheet", "--paper", "letter", *DATE)
    assert said.code == 5
    assert "is there already and is left as it is" in said.err
    assert (tmp_path / "measuring-sheet.pdf").read_bytes() == before
    assert run("sheet", "--paper", "letter", "--force", *DATE).code == 0
    assert (tmp_path / "measuring-sheet.pdf").read_bytes() != before


def test_a_half_case_gives_a_sheet_and_says_so(run, case, tmp_path):
    case.write_text(case.read_text(encoding="utf-8").replace("gravity", "gravty"))
    said = run("sheet", case, "--out", tmp_path / "half.pdf", *DATE)
    assert said.code == 0
    assert "The case has a mistake, so nothing is ranked; see flowsim check." in said.out
    assert (tmp_path / "half.pdf").exists()


def test_what_is_no_case_gives_none(run, tmp_path):
    path = tmp_path / "x.toml"
    path.write_bytes(b"\xff\xfe\x00")
    said = run("sheet", path, "--out", tmp_path / "x.pdf")
    assert said.code == 4
    assert not (tmp_path / "x.pdf").exists()
    assert run("sheet", "--paper", "a5").code == 2


def test_without_the_part_for_pdfs_it_says_what_to_install(run, tmp_path, monkeypatch):
    monkeypatch.setattr("flowsim.reports.render.pdf.can_make_pdf", lambda: False)
    said = run("sheet", "--out", tmp_path / "x.pdf")
    assert said.code == 5
    assert "pip install '.[pdf]'" in said.err
    assert "--no-pdf" not in said.err
    assert not (tmp_path / "x.pdf").exists()
