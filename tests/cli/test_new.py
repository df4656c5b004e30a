"""``flowsim new``: a starter file that checks, and no file is ever overwritten."""

import pytest


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_writes_a_case_that_checks(run, here):
    said = run("new", "my-plane")
    assert said.code == 0
    assert said.err == ""
    assert "flowsim check my-plane.toml" in said.out
    assert [item.name for item in here.iterdir()] == ["my-plane.toml"]
    checked = run("check", "my-plane.toml", "--nominal")
    assert checked.code in (0, 1, 3)
    assert checked.out.startswith("my-plane (my-plane.toml)\n")


def test_the_ending_may_be_written(run, here):
    assert run("new", "my-plane.toml").code == 0
    assert (here / "my-plane.toml").is_file()


def test_a_dot_in_the_name_is_kept(run, here):
    assert run("new", "plane.v2").code == 0
    assert (here / "plane.v2.toml").is_file()


def test_a_file_that_is_there_is_left_alone(run, here):
    (here / "my-plane.toml").write_text("mine", encoding="utf-8")
    said = run("new", "my-plane")
    assert said.code == 5
    assert said.out == ""
    assert "is there already" in said.err
    assert "choose another name" in said.err
    assert (here / "my-plane.toml").read_text(encoding="utf-8") == "mine"


def test_a_missing_folder_is_said(run):
    said = run("new", "nowhere/my-plane")
    assert said.code == 5
    assert "check that its folder is there" in said.err


@pytest.mark.parametrize("name", ["", " ", ".", "..", "...", "a\nb", "a\x1bb", ".toml"])
def test_what_is_no_name_is_wrong_usage(run, here, name):
    said = run("new", name)
    assert said.code == 2
    assert list(here.iterdir()) == []


def test_awkward_names_still_make_a_case_that_reads(run):
    name = 'a "b" \\ c'
    assert run("new", name).code == 0
    assert run("check", f"{name}.toml", "--nominal").out.startswith(f"{name} (")
