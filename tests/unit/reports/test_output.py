"""Files are written whole or not at all, and never over another without leave."""

from pathlib import Path

import pytest

from flowsim.errors import OutputError
from flowsim.files.saving.output import write_text


def test_writes_and_replaces(tmp_path: Path):
    path = tmp_path / "a.toml"
    write_text(path, "eins\n")
    write_text(path, "zwei ü\n")
    assert path.read_bytes() == "zwei ü\n".encode()
    assert [item.name for item in tmp_path.iterdir()] == ["a.toml"]


def test_refuses_to_overwrite_and_says_what_to_do(tmp_path: Path):
    path = tmp_path / "a.toml"
    path.write_text("mine", encoding="utf-8")
    with pytest.raises(OutputError, match=r"is there already .* choose another name") as caught:
        write_text(path, "yours", overwrite=False)
    assert caught.value.exit_code == 5
    assert path.read_text(encoding="utf-8") == "mine"


def test_a_dangling_link_counts_as_there(tmp_path: Path):
    path = tmp_path / "a.toml"
    path.symlink_to(tmp_path / "nowhere")
    with pytest.raises(OutputError, match="there already"):
        write_text(path, "x", overwrite=False)


@pytest.mark.parametrize("name", ["no/such/folder.toml", "nul\0.toml"])
def test_what_cannot_be_written_is_said(tmp_path: Path, name: str):
    with pytest.raises(OutputError, match=r"cannot be written .*; check that its folder is there"):
        write_text(tmp_path / name, "x")


def test_a_folder_in_the_way_leaves_nothing_behind(tmp_path: Path):
    (tmp_path / "a.toml").mkdir()
    with pytest.raises(OutputError, match="cannot be written"):
        write_text(tmp_path / "a.toml", "x")
    assert [item.name for item in tmp_path.iterdir()] == ["a.toml"]


def test_text_that_has_no_bytes_leaves_the_old_file(tmp_path: Path):
    path = tmp_path / "a.toml"
    write_text(path, "old")
    with pytest.raises(OutputError):
        write_text(path, "half a character: \ud800")
    assert path.read_text(encoding="utf-8") == "old"
    assert [item.name for item in tmp_path.iterdir()] == ["a.toml"]


def test_permissions_are_those_of_an_ordinary_file(tmp_path: Path):
    ordinary = tmp_path / "ordinary"
    ordinary.write_text("x", encoding="utf-8")
    write_text(tmp_path / "ours", "x")
    assert (tmp_path / "ours").stat().st_mode == ordinary.stat().st_mode
