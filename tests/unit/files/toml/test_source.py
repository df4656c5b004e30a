"""Whatever a file holds: data with lines, or InputError; never anything else."""

import hashlib
import time
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from flowsim.errors import InputError, Mistake
from flowsim.files.case.reader import read_case, read_case_and_digest, read_case_text
from flowsim.files.toml.lines import key_lines
from flowsim.files.toml.source import decode, read_toml

Read = Callable[[str], list[Mistake]]

_AWKWARD = (
    '''title = "a # b"  # remark
[fuel]
'quoted key' = """
two lines""" # after
"esc\\u0061ped".inner = [ 1, # one
  "]", {x = 1979-05-27 07:32:00, "y z" = ["a",
    'b']} ,
]
empty = {}
[[tank]]
name = """"quoted\\""""
[tank.vent]
kind = '''
    + "'''it''s'''"
    + """
[[tank.outlet]]
at = [-1.5e3, +inf,
  nan]
[[tank]]
[[tank.outlet]]
n = 1
[[tank.outlet]]
n = 2
"""
)


def _paths(data: object, path: tuple[str | int, ...] = ()) -> set[tuple[str | int, ...]]:
    """Every path of some data, found without the scanner."""
    found = {path}
    items = data.items() if isinstance(data, dict) else enumerate(data)  # type: ignore[arg-type]
    for key, value in items if isinstance(data, dict | list) else ():
        found |= _paths(value, (*path, key)) if isinstance(value, dict | list) else {(*path, key)}
    return found


@pytest.mark.parametrize("which", ["awkward", "two tanks"])
def test_scanner_finds_every_path_that_the_parser_finds(which: str, two_tanks: str) -> None:
    text = _AWKWARD if which == "awkward" else two_tanks
    assert set(key_lines(text)) == _paths(tomllib.loads(text))


def test_lines_of_an_awkward_file() -> None:
    lines = key_lines(_AWKWARD)
    assert lines["title",] == 1
    assert lines["fuel", "quoted key"] == 3
    assert lines["fuel", "escaped", "inner", 0] == 5
    assert lines["fuel", "escaped", "inner", 2, "y z", 1] == 7
    assert lines["fuel", "empty"] == 9
    assert lines["tank", 0, "vent", "kind"] == 13
    assert lines["tank", 0, "outlet", 0, "at", 2] == 16
    assert lines["tank", 1, "outlet", 1, "n"] == 21


def test_line_of_something_missing_is_that_of_what_should_hold_it() -> None:
    source = read_toml(_AWKWARD, "a")
    assert source.line(("tank", 1, "shape")) == 17
    assert source.line(("test", "draw")) == 1


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_line_ends_and_byte_order_mark(ending: str, two_tanks: str) -> None:
    text = "\ufeff" + two_tanks.replace("\n", ending)
    source = read_toml(decode(text.encode(), "a"), "a")
    assert source.data == tomllib.loads(two_tanks)
    assert source.lines == key_lines(two_tanks)


_HOSTILE: dict[str, tuple[bytes, str]] = {
    "empty": (b"", "title: is missing"),
    "blank": (b"\n\n", "title: is missing"),
    "nul bytes": (b'title = "a\x00b"\n', "a character that is not text"),
    "binary": (bytes(range(256)) * 40, "not text in UTF-8"),
    "invalid utf-8": (b'title = "x"\nnote = "\xff"\n', "case.toml:2: this is not text in UTF-8"),
    "utf-16": ('title = "x"'.encode("utf-16"), "not text in UTF-8"),
    "deep lists": (b"a = " + b"[" * 900 + b"]" * 900, "nested too deeply"),
    "deeper lists": (b"a = " + b"[\n" * 100000, "nested too deeply"),
    "deep among others": (b"b = 1\nc = [\n" + b"{ d = [" * 9 + b"] }" * 9 + b"]\n",
                          "case.toml:3: is nested too deeply; at most 8"),
    "deep line by line": (b"# [[[[[[[[[[\nb = '[[[[[[[[[[['\na = [\n" + b"[\n" * 9 + b"]\n" * 10,
                          "case.toml:12: is nested too deeply"),
    "deep tables": (b"a = " + b"{a = " * 300 + b"1" + b"}" * 300, "nested too deeply"),
    "long dotted key": (b"a." * 900 + b"a = 1", "a key has too many parts"),
    "long line": (b"title = '" + b"x" * 5000 + b"'", "longer than 2000 characters"),
    "long number": (b"title = " + b"9" * 1990, "title: a huge whole number is not text"),
    "open text": (b'title = "x\n', "not closed"),
    "open list": (b"title = [1, 2\n", "not closed"),
    "no value": (b"title\n", "a key has no value"),
    "section twice": (b"[fuel]\n[fuel]\n", "case.toml:2: a section is given twice"),
    "not toml": (b"\xe2\x98\x83", "not TOML"),
    "html": (b"<html><body>x</body></html>", "not TOML"),
    "escape codes": (b'title = "\\u001b[31m"\nkind = "\\u001b[2J"', "kind: unknown key"),
    "too many things": (b'[[junction]]\nname = "a"\n' * 1500, "title: is missing"),
    "sections as values": (b"fuel = 1\nengine = []\nflight = 'x'\ntest = 2\ntank = 3\nline = {}",
                           "line: a table is not a list; write it in [ ]"),
}  # fmt: skip


@pytest.mark.parametrize("name", _HOSTILE)
def test_hostile_content_is_refused_with_a_line_of_words(name: str, tmp_path: Path) -> None:
    content, expected = _HOSTILE[name]
    path = tmp_path / "case.toml"
    path.write_bytes(content)
    start = time.perf_counter()
    with pytest.raises(InputError) as caught:
        read_case(path)
    text = str(caught.value)
    assert expected in text
    assert text.isprintable() or "\n" in text
    assert all(line.isprintable() for line in text.split("\n"))
    assert time.perf_counter() - start < 20.0


def test_files_that_are_none(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="there is no such file"):
        read_case(tmp_path / "missing.toml")
    with pytest.raises(InputError, match="this is a folder"):
        read_case(tmp_path)
    with pytest.raises(InputError, match=r"no such file|bad name"):
        read_case(Path("a\x00b"))
    with pytest.raises(InputError, match=r"no such file|cannot be read"):
        read_case(Path("x" * 5000))
    with pytest.raises(InputError, match="not a plain file"):
        read_case(Path("/dev/zero"))
    with pytest.raises(InputError, match="there is no such file"):
        read_case_and_digest(tmp_path / "missing.toml")


def test_large_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    with path.open("wb") as stream:
        stream.truncate(50 * 1024 * 1024)
    start = time.perf_counter()
    with pytest.raises(InputError, match="larger than 1 MiB"):
        read_case(path)
    assert time.perf_counter() - start < 0.5


def test_many_keys_within_the_limit_take_seconds_not_minutes(tmp_path: Path) -> None:
    path = tmp_path / "case.toml"
    path.write_text("".join(f"key_{number} = {number}\n" for number in range(40000)))
    start = time.perf_counter()
    with pytest.raises(InputError, match="more mistakes"):
        read_case(path)
    assert time.perf_counter() - start < 20.0


def test_more_things_than_a_fuel_system_has(two_tanks: str, mistakes: Read) -> None:
    more = "".join(f'[[drain]]\nname = "{i}"\nreaches = "bowl"\n' for i in range(1000))
    (only,) = mistakes(two_tanks + more)
    assert "more than 1000" in only.problem


def test_slips_are_read_over_and_reported() -> None:
    source = read_toml(
        'a = 3/8 in # remark\nb = [31.5 in, "0 in"]\nc = True\nd = 1\nd = 2\ne = avgas\n', "x"
    )
    assert source.data == {"a": "3/8 in", "b": ["31.5 in", "0 in"], "c": True, "d": 1, "e": "avgas"}
    assert [(slip.line, slip.remedy) for slip in source.slips] == [
        (1, 'write a = "3/8 in"'),
        (2, 'write b = ["31.5 in", "0 in"]'),
        (3, "write c = true"),
        (5, "keep one of them"),
        (6, 'write e = "avgas"'),
    ]


def test_fingerprint_is_that_of_the_very_bytes_that_were_read(
    tmp_path: Path, two_tanks: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file that changes while it is read: system and digest are of one and the same text."""
    path = tmp_path / "case.toml"
    path.write_text(two_tanks, encoding="utf-8")
    title = read_case(path).title
    looks = []

    def look_then_change(file: Path) -> bytes:
        looks.append(file)
        content = file.read_bytes()
        file.write_text(two_tanks.replace(title, "Another"), encoding="utf-8")
        return content

    monkeypatch.setattr("flowsim.files.case.reader.read_bytes", look_then_change)
    system, digest = read_case_and_digest(path)
    assert len(looks) == 1
    assert system.title == title
    assert digest == hashlib.sha256(two_tanks.encode()).hexdigest()


def test_control_characters_do_not_reach_a_message() -> None:
    """An escape character in an unquoted value acts on nobody's terminal (found by a property)."""
    with pytest.raises(InputError) as caught:
        read_case_text("0=\x1b\n", "case.toml")
    assert all(str(mistake).isprintable() for mistake in caught.value.mistakes)
