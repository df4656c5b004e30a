"""File faults: after each of them the file holds the old bytes or the new ones, never others."""

import os
import resource
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from flowsim.errors import OutputError
from flowsim.files.saving import draft_file
from flowsim.files.saving.draft_file import KeptDraft
from flowsim.files.saving.safe_save import STEPS, ChangedOutsideError, fingerprint, look, save

OLD, NEW, THEIRS = b'title = "old"\r\n', b'title = "new"\n' * 400, b'title = "theirs"\n'


@pytest.fixture
def case(tmp_path: Path) -> Path:
    path = tmp_path / "case.toml"
    path.write_bytes(OLD)
    return path


def leftovers(case: Path) -> list[str]:
    return sorted(p.name for p in case.parent.iterdir() if p.name.startswith(".flowsim-"))


def test_it_saves(case: Path) -> None:
    found = save(case, NEW, fingerprint(OLD))
    assert case.read_bytes() == NEW
    assert found.fingerprint == fingerprint(NEW)
    assert leftovers(case) == []


def test_a_new_file_is_made_with_the_usual_mode(tmp_path: Path) -> None:
    path, usual = tmp_path / "new.toml", tmp_path / "usual"
    usual.write_bytes(b"")
    save(path, NEW, "")
    assert path.read_bytes() == NEW
    assert path.stat().st_mode == usual.stat().st_mode
    with pytest.raises(ChangedOutsideError, match="is there already"):
        save(path, OLD, "")
    assert path.read_bytes() == NEW


def test_changed_before(case: Path) -> None:
    case.write_bytes(THEIRS)
    with pytest.raises(ChangedOutsideError, match="changed outside; nothing was written"):
        save(case, NEW, fingerprint(OLD))
    assert case.read_bytes() == THEIRS


def test_changed_between_the_looks(case: Path) -> None:
    def change(step: str) -> None:
        if step == "look again":
            case.write_bytes(THEIRS)

    with pytest.raises(ChangedOutsideError):
        save(case, NEW, fingerprint(OLD), change)
    assert case.read_bytes() == THEIRS
    assert leftovers(case) == []


def test_a_new_file_that_came_up_between_the_looks(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"

    def change(step: str) -> None:
        if step == "rename":
            path.write_bytes(THEIRS)

    with pytest.raises(ChangedOutsideError, match="is there already"):
        save(path, NEW, "", change)
    assert path.read_bytes() == THEIRS
    assert leftovers(path) == []


def test_deleted(case: Path) -> None:
    case.unlink()
    with pytest.raises(ChangedOutsideError, match="has been deleted"):
        save(case, NEW, fingerprint(OLD))
    assert not case.exists()


def test_changed_right_after(case: Path) -> None:
    def change(step: str) -> None:
        if step == "read back":
            case.write_bytes(THEIRS)

    with pytest.raises(ChangedOutsideError, match="right after"):
        save(case, NEW, fingerprint(OLD), change)


def test_a_link_stays_a_link(case: Path, tmp_path: Path) -> None:
    link = tmp_path / "elsewhere" / "link.toml"
    link.parent.mkdir()
    link.symlink_to(case)
    save(link, NEW, fingerprint(OLD))
    assert link.is_symlink()
    assert case.read_bytes() == NEW


def test_the_mode_stays(case: Path) -> None:
    case.chmod(0o640)
    save(case, NEW, fingerprint(OLD))
    assert case.stat().st_mode & 0o777 == 0o640


def test_hard_links_are_told_beforehand(case: Path, tmp_path: Path) -> None:
    os.link(case, tmp_path / "other.toml")
    assert look(case).names == 2


def test_no_plain_file(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=r"plain file|cannot be read"):
        save(tmp_path, NEW, "")
    with pytest.raises(OutputError, match="plain file"):
        look(Path("/dev/null"))


@pytest.mark.parametrize("where", ["tempfile.mkstemp", "os.fsync", "pathlib.Path.replace"])
@pytest.mark.parametrize("fault", ["No space left on device", "Read-only file system"])
def test_full_disk_and_read_only_folder(
    case: Path, monkeypatch: pytest.MonkeyPatch, where: str, fault: str
) -> None:
    def fail(*_args: object, **_options: object) -> None:
        raise OSError(28, fault)

    monkeypatch.setattr(where, fail)
    with pytest.raises(OutputError, match=fault):
        save(case, NEW, fingerprint(OLD))
    monkeypatch.undo()
    assert case.read_bytes() == OLD
    assert leftovers(case) == []


def in_a_process(code: str, case: Path, **limits: object) -> int:
    """Run a save in a process of its own and give its exit code."""
    head = (
        "import os, signal, sys\nfrom pathlib import Path\n"
        "from flowsim.files.saving.safe_save import fingerprint, save\n"
        f"case = Path({str(case)!r}); OLD = {OLD!r}; NEW = {NEW!r}\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", head + code], check=False, capture_output=True, **limits
    )
    return done.returncode


def test_a_file_that_the_system_lets_nobody_write_in_full(case: Path) -> None:
    """The system's own limit on a file's size stops the write in its middle."""
    code = (
        "signal.signal(signal.SIGXFSZ, signal.SIG_IGN)\n"
        "from flowsim.errors import OutputError\n"
        "try: save(case, NEW, fingerprint(OLD))\n"
        "except OutputError: sys.exit(9)\n"
    )

    def small() -> None:
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))

    assert in_a_process(code, case, preexec_fn=small) == 9
    assert case.read_bytes() == OLD
    assert leftovers(case) == []


@pytest.mark.parametrize("step", STEPS)
def test_a_kill_at_each_step(case: Path, step: str) -> None:
    code = (
        f"save(case, NEW, fingerprint(OLD), "
        f"lambda step: step == {step!r} and os.kill(os.getpid(), signal.SIGKILL))\n"
    )
    assert in_a_process(code, case) == -signal.SIGKILL
    assert case.read_bytes() == (NEW if step == "read back" else OLD)
    # The next program saves as if nothing had been.
    save(case, THEIRS, fingerprint(case.read_bytes()))
    assert case.read_bytes() == THEIRS


def test_a_draft_is_kept_and_comes_back(case: Path) -> None:
    made = KeptDraft(b"\xef\xbb\xbf" + NEW, fingerprint(OLD), "me", 1234, ("line size", "ümläut"))
    draft_file.keep(case, made)
    assert draft_file.kept(case) == made
    assert draft_file.draft_path(case).name == "case.toml.draft"
    assert case.read_bytes() == OLD
    draft_file.drop(case)
    draft_file.drop(case)
    assert draft_file.kept(case) is None


@pytest.mark.parametrize("content", [b"", b"no draft", b"# flowsim draft, not saved: {\n", b"\xff"])
def test_what_is_no_draft_of_ours_is_left_alone(case: Path, content: bytes) -> None:
    draft_file.draft_path(case).write_bytes(content)
    assert draft_file.kept(case) is None


def test_a_draft_that_cannot_be_written_says_so(
    case: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_args: object, **_options: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tempfile.mkstemp", full)
    with pytest.raises(OutputError, match="kept only as long as this program runs"):
        draft_file.keep(case, KeptDraft(NEW, "", "me", 1, ()))


def test_it_knows_whether_a_program_still_runs() -> None:
    assert draft_file.is_running(os.getpid())
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    assert not draft_file.is_running(gone.pid)
    assert not draft_file.is_running(0)
