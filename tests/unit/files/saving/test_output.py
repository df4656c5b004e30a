"""Files are written all of them whole or none, and never over another without leave."""

import os
import signal
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from flowsim.errors import OutputError
from flowsim.files.saving import output
from flowsim.files.saving.output import refuse, write_outputs, written


def names(folder: Path) -> list[str]:
    return sorted(item.name for item in folder.iterdir())


def test_writes_and_replaces(tmp_path: Path):
    path = tmp_path / "a.toml"
    written(path, "eins\n", force=False)
    written(path, "zwei ü\n", force=True)
    assert path.read_bytes() == "zwei ü\n".encode()
    assert names(tmp_path) == ["a.toml"]


@pytest.mark.parametrize(("force", "remedy"), [(None, "choose another name"), (False, "--force")])
def test_refuses_to_overwrite_and_says_what_to_do(tmp_path: Path, force, remedy):
    path = tmp_path / "a.toml"
    path.write_text("mine", encoding="utf-8")
    for call in (
        lambda: written(path, "yours", force=force), lambda: refuse([path], force=force)
    ):  # fmt: skip
        with pytest.raises(OutputError, match=f"is there already .* {remedy}") as caught:
            call()
        assert caught.value.exit_code == 5
    assert path.read_text(encoding="utf-8") == "mine"


@pytest.mark.parametrize("force", [None, False, True])
def test_a_link_is_never_followed_nor_replaced(tmp_path: Path, force):
    behind, link, nowhere = tmp_path / "b.toml", tmp_path / "a.toml", tmp_path / "c.toml"
    behind.write_text("mine", encoding="utf-8")
    link.symlink_to(behind)
    nowhere.symlink_to(tmp_path / "nowhere")
    for path in (link, nowhere):
        with pytest.raises(OutputError, match="is a link to"):
            written(path, "yours", force=force)
    assert behind.read_text(encoding="utf-8") == "mine"
    assert link.is_symlink()
    assert nowhere.is_symlink()
    assert names(tmp_path) == ["a.toml", "b.toml", "c.toml"]


@pytest.mark.parametrize("force", [None, False, True])
def test_an_input_is_never_replaced_by_whatever_name(tmp_path: Path, force):
    case, other = tmp_path / "case.toml", tmp_path / "other name.svg"
    case.write_text("mine", encoding="utf-8")
    os.link(case, other)
    for path in (case, other, tmp_path / "." / "case.toml"):
        with pytest.raises(OutputError, match="what this was read from"):
            written(path, "yours", force=force, inputs=(None, case))
    assert case.read_text(encoding="utf-8") == "mine"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such nodes on this system")
def test_a_node_that_is_no_plain_file_stays(tmp_path: Path):
    node = tmp_path / "node"
    os.mkfifo(node)
    for path in (node, Path(os.devnull)):
        with pytest.raises(OutputError, match="no plain file"):
            written(path, "x", force=True)
    assert not node.is_file()
    assert node.exists()


@pytest.mark.parametrize("name", ["no/such/folder.toml", "nul\0.toml"])
def test_what_cannot_be_written_is_said(tmp_path: Path, name: str):
    with pytest.raises(OutputError, match=r"cannot be written .*; (choose|check)"):
        written(tmp_path / name, "x", force=False)


def test_a_folder_in_the_way_leaves_nothing_behind(tmp_path: Path):
    (tmp_path / "a.toml").mkdir()
    with pytest.raises(OutputError, match="is a folder"):
        written(tmp_path / "a.toml", "x", force=True)
    assert names(tmp_path) == ["a.toml"]


def test_text_that_has_no_bytes_leaves_the_old_file(tmp_path: Path):
    path = tmp_path / "a.toml"
    written(path, "old", force=False)
    with pytest.raises(OutputError):
        written(path, "half a character: \ud800", force=True)
    assert path.read_text(encoding="utf-8") == "old"
    assert names(tmp_path) == ["a.toml"]


def test_permissions_are_those_of_an_ordinary_file_or_of_the_one_before(tmp_path: Path):
    ordinary, ours = tmp_path / "ordinary", tmp_path / "ours"
    ordinary.write_text("x", encoding="utf-8")
    written(ours, "x", force=False)
    assert ours.stat().st_mode == ordinary.stat().st_mode
    ours.chmod(0o640)
    written(ours, "y", force=True)
    assert ours.stat().st_mode & 0o777 == 0o640


def test_one_name_for_two_outputs(tmp_path: Path):
    with pytest.raises(OutputError, match="named for two outputs"):
        refuse([tmp_path / "a", tmp_path / "." / "a"], force=True)


@pytest.mark.parametrize("there", [False, True])
@pytest.mark.parametrize("failing", range(3))
def test_where_one_cannot_be_put_in_place_all_is_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int, there: bool
):
    paths = [tmp_path / name for name in "abc"]
    if there:
        for path in paths:
            path.write_bytes(b"old " + path.name.encode())
    real, calls = output._name, []

    def fail(temporary, path, *, force):
        calls.append(path)
        if len(calls) == failing + 1:
            raise OSError(28, "No space left on device")
        real(temporary, path, force=force)

    monkeypatch.setattr(output, "_name", fail)
    with pytest.raises(OutputError, match="No space left"):
        write_outputs(dict.fromkeys(paths, b"new"), force=there)
    assert names(tmp_path) == (["a", "b", "c"] if there else [])
    for path in paths if there else ():
        assert path.read_bytes() == b"old " + path.name.encode()


def test_two_programs_into_one_folder_never_mix(tmp_path: Path):
    """Each writes its own number into every file, over and over; they must agree in the end."""
    paths = [tmp_path / f"{number}" for number in range(6)]
    write_outputs(dict.fromkeys(paths, b"start"), force=False)
    code = (
        "import sys\nfrom pathlib import Path\n"
        "from flowsim.files.saving.output import write_outputs\n"
        f"paths = [Path({str(tmp_path)!r}) / str(n) for n in range(6)]\n"
        "for _ in range(40):\n"
        "    write_outputs(dict.fromkeys(paths, sys.argv[1].encode()), force=True)\n"
    )
    both = [subprocess.Popen([sys.executable, "-c", code, str(n)]) for n in range(2)]
    assert [one.wait(120) for one in both] == [0, 0]
    assert len({path.read_bytes() for path in paths}) == 1
    assert names(tmp_path) == sorted(path.name for path in paths)


@pytest.mark.skipif(os.name != "posix", reason="signals are another matter there")
@pytest.mark.parametrize("which", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
@pytest.mark.parametrize("step", ["os.fsync", "output._name", "output._kept"])
def test_a_signal_waits_until_all_files_are_in_place(tmp_path: Path, which, step):
    """Sent when the first of three is half done: all are new then, and nothing else is left."""
    paths = [tmp_path / name for name in "abc"]
    write_outputs(dict.fromkeys(paths, b"old"), force=False)
    module, name = step.rsplit(".", 1)
    code = (
        "import os, signal, sys\nfrom pathlib import Path\n"
        "from flowsim.files.saving import output\n"
        "from flowsim.files.saving.signals import end_as_interrupted\n"
        "end_as_interrupted()\n"
        f"real = {module}.{name}\n"
        "def sent(*a, **k):\n"
        f"    os.kill(os.getpid(), {int(which)})\n"
        "    return real(*a, **k)\n"
        f"{module}.{name} = sent\n"
        f"paths = [Path({str(tmp_path)!r}) / n for n in 'abc']\n"
        "try: output.write_outputs(dict.fromkeys(paths, b'new'), force=True)\n"
        "except KeyboardInterrupt: sys.exit(77)\n"
    )
    done = subprocess.run([sys.executable, "-c", code], check=False, timeout=60)
    assert done.returncode == 77
    assert {path.read_bytes() for path in paths} == {b"new"}
    assert names(tmp_path) == ["a", "b", "c"]


def test_in_another_thread_nothing_is_held_back(tmp_path: Path):
    path = tmp_path / "a"
    worker = threading.Thread(target=written, args=(path, "x"), kwargs={"force": False})
    worker.start()
    worker.join()
    assert path.read_text() == "x"
