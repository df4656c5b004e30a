"""What a command writes never costs another file, and is whole or not there, whatever happens."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
ONE_TANK = ROOT / "cases" / "one-tank" / "case.toml"
FLOWN = ROOT / "cases" / "four-outlets" / "case.toml"

PROGRAM = [sys.executable, "-m", "flowsim.cli.main"]
WRITERS = {
    "flight --csv": (("flight", "CASE", "--csv", "FILE"), True),
    "flight --picture": (("flight", "CASE", "--picture", "FILE"), True),
    "uncertainty --picture": (
        ("uncertainty", "CASE", "--draws", "100", "--samples", "0", "--picture", "FILE"), True,
    ),
    "sheet": (("sheet", "CASE", "--out", "FILE"), True),
    "table": (("table", "CASE", "--out", "FILE"), True),
    "ground-test readings": (("ground-test", "readings", "CASE", "--out", "FILE"), False),
    "routing --drawings": (("routing", "CASE", "--drawings", "DIR"), True),
    "report": (("report", "CASE", "--nominal", "--no-pdf", "--out", "DIR"), True),
}  # fmt: skip
"""By command: its words, and whether it knows --force."""
MADE = {"routing --drawings": "top.svg", "report": "report.json"}
ENDING = {"table": ".csv", "sheet": ".pdf", "ground-test readings": ".csv"}


@pytest.fixture
def here(tmp_path: Path) -> Path:
    (tmp_path / "case.toml").write_bytes(FLOWN.read_bytes())
    return tmp_path


def words_of(name: str, here: Path, file: Path) -> list[str]:
    put = {"CASE": here / "case.toml", "FILE": file, "DIR": file.parent}
    return [str(put.get(word, word)) for word in WRITERS[name][0]]


def target(name: str, folder: Path) -> Path:
    return folder / MADE.get(name, f"made{ENDING.get(name, '.svg')}")


@pytest.mark.parametrize("name", WRITERS)
def test_a_file_that_is_there_stays(run, here, name):
    file = target(name, here)
    file.write_bytes(b"mine")
    said = run(*words_of(name, here, file))
    assert said.code == 5
    assert f'"{file}" is there already' in said.err
    assert ("--force" in said.err) is WRITERS[name][1]
    assert said.out == ""
    assert file.read_bytes() == b"mine"
    assert sorted(item.name for item in here.iterdir()) == sorted(["case.toml", file.name])


@pytest.mark.parametrize("name", [name for name, (_, force) in WRITERS.items() if force])
def test_neither_the_case_nor_a_link_nor_a_node_is_replaced_by_force(run, here, name):
    case, file = here / "case.toml", target(name, here)
    before = case.read_bytes()
    if name not in MADE and name not in ENDING:
        said = run(*words_of(name, here, case), "--force")
        assert (said.code, case.read_bytes()) == (5, before)
        assert "read from" in said.err
    for make in (
        lambda: file.symlink_to(case),
        lambda: os.link(case, file),
        lambda: os.mkfifo(file),
    ):
        make()
        said = run(*words_of(name, here, file), "--force")
        assert said.code == 5, said.err
        assert said.out == ""
        assert case.read_bytes() == before
        assert not file.is_file() or file.samefile(case)
        file.unlink()
    assert [item.name for item in here.iterdir()] == ["case.toml"]


@pytest.mark.parametrize("name", ["flight --csv", "routing --drawings"])
def test_by_force_it_is_replaced_whole(run, here, name):
    file = target(name, here)
    file.write_bytes(b"mine")
    words = words_of(name, here, file)
    if name == "flight --csv":
        words.insert(2, str(FLOWN.with_name("flight.toml")))
    assert run(*words, "--force").code in (0, 1, 3)
    assert len(file.read_bytes()) > 1000


def test_csv_and_picture_of_one_name(run, here):
    file = here / "x"
    said = run("flight", here / "case.toml", "--csv", file, "--picture", file)
    assert said.code == 5
    assert "named for two outputs" in said.err
    assert not file.exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
@pytest.mark.parametrize("unbuffered", ["", "1"])
@pytest.mark.parametrize(
    "words", [["check", "CASE", "--nominal", "--json"], ["--help"], ["new", "--help"]]
)
def test_a_full_disk_is_never_success(words, unbuffered):
    words = [str(ONE_TANK) if word == "CASE" else word for word in words]
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [*PROGRAM, *words], stdout=full, stderr=subprocess.PIPE, text=True, check=False,
            env={**os.environ, "PYTHONUNBUFFERED": unbuffered},
        )  # fmt: skip
    assert done.returncode == 5
    assert "standard output" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.skipif(os.name != "posix", reason="limits of the system")
@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_disk_that_fills_in_the_middle_of_the_text(tmp_path, unbuffered):
    import resource

    def small() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096))

    with (tmp_path / "out").open("w") as out:
        done = subprocess.run(
            [*PROGRAM, "check", str(ONE_TANK), "--nominal", "--json"], stdout=out,
            stderr=subprocess.PIPE, check=False, preexec_fn=small,
            env={**os.environ, "PYTHONUNBUFFERED": unbuffered, "PYTHONDONTWRITEBYTECODE": "1"},
        )  # fmt: skip
    assert (tmp_path / "out").stat().st_size == 4096
    assert done.returncode == 5


@pytest.mark.skipif(os.name != "posix", reason="descriptors are another matter there")
@pytest.mark.parametrize(
    ("words", "shut", "code"),
    [
        (["check", "CASE", "--nominal"], ">&-", 5),
        (["check", "CASE", "--nominal"], ">/dev/null 2>&-", 0),
        (["check", "no.toml"], "2>&-", 4),
        (["check", "no.toml"], ">&- 2>&- <&-", 4),
        (["nonsense"], "2>&-", 2),
        (["nonsense"], "2>/dev/full", 2),
        (["--help"], ">&-", 5),
    ],
)
def test_closed_streams_keep_the_exit_code(words, shut, code):
    words = [str(ONE_TANK) if word == "CASE" else word for word in words]
    done = subprocess.run(
        ["sh", "-c", f'exec "$@" {shut}', "sh", *PROGRAM, *words], capture_output=True, text=True,
        check=False,
    )  # fmt: skip
    assert done.returncode == code
    assert "Traceback" not in done.stdout + done.stderr


@pytest.mark.skipif(os.name != "posix", reason="signals are another matter there")
@pytest.mark.parametrize("which", [signal.SIGINT, signal.SIGTERM, signal.SIGHUP])
def test_a_report_that_is_stopped_leaves_nothing(here, which):
    out = here / "out"
    for seconds in (0.3, 1.8):
        words = ["report", str(here / "case.toml"), "--out", str(out), "--draws", "100", "--force"]
        one = subprocess.Popen([*PROGRAM, *words], stdout=subprocess.PIPE, stderr=subprocess.PIPE)
        time.sleep(seconds)
        one.send_signal(which)
        said = one.communicate(timeout=60)
        assert one.returncode in (130, -which) or (one.returncode in (0, 1, 3) and said[0])
        assert b"Traceback" not in said[1] or one.returncode == -which
        left = sorted(item.name for item in out.iterdir()) if out.exists() else []
        assert left in ([], ["report.html", "report.json", "report.pdf"])
