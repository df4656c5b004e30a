"""Read a hand-written TOML file into plain data that remembers its lines.

Whatever is in the file, the only exception that leaves this module is ``InputError``. Values that
lack their quotes, the commonest slip of the pen, are reported and read all the same, so that one
run shows every mistake.
"""

import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path as FilePath
from typing import Any

from flowsim.errors import InputError, Mistake
from flowsim.files.toml.lines import KeyPath, key_lines
from flowsim.files.toml.slip import SyntaxSlip, printable
from flowsim.files.toml.slips import mendings
from flowsim.files.units.text import shown

LARGEST_FILE = 1024 * 1024
"""[bytes] Larger files are refused unread."""

LONGEST_LINE = 2000
"""Characters in a line; a longer one is not written by hand."""

_BEHIND = 10_000_000
"""More than there are lines in a file."""

DEEPEST = 8
"""Levels of tables and lists that the file's format can need."""

_MOST_REPAIRS, _FEW_REPAIRS = 50, 5
_LONG_TEXT = 100_000  # no hand-written case is so long, and each repair reads it twice
_PLACE = re.compile(r" \(at (?:line ([0-9]+), column ([0-9]+)|end of document)\)$")
_QUOTED = re.compile(r"""(["'])[^"'\n]*\1|#[^\n]*""")
"""Short texts and remarks."""
_LONG_KEY = re.compile(
    r"""(?<![\w"'-])(?:(?>[\w-]+|"[^"\n]{0,200}"|'[^'\n]{0,200}')[ \t]*\.[ \t]*){12}"""
)


@dataclass(frozen=True, slots=True, kw_only=True)
class TomlSource:
    """The data of a file, the line of each of its paths, and the slips that were read over.

    ``copied`` tells from where the data at a path was copied (a mirror, a default); what a copied
    section says itself has lines of its own. ``moved`` tells where data was written that now has
    another place, ``added`` which sections were not written at all, in order.
    """

    name: str
    data: dict[str, Any]
    lines: dict[KeyPath, int]
    slips: tuple[SyntaxSlip, ...] = field(default=())
    copied: dict[KeyPath, KeyPath] = field(default_factory=dict)
    moved: dict[KeyPath, KeyPath] = field(default_factory=dict)
    added: dict[KeyPath, int] = field(default_factory=dict)

    def line(self, path: KeyPath) -> int:
        """Give the line of a path, or of the nearest thing that holds it."""
        while path not in self.lines:
            path = path[:-1]
        return self.lines[path]

    def origin(self, path: KeyPath) -> KeyPath | None:
        """Give the path from which what stands at a path was copied; None if it was not."""
        for depth in range(len(path), 0, -1):
            above = path[:depth]
            if above in self.copied:
                found = (*self.copied[above], *path[depth:])
                return self.origin(found) or found
            if above in self.lines:
                return None
        return None

    def place(self, path: KeyPath) -> tuple[int, int]:
        """Give what orders paths: the line, and for what is copied that of its origin.

        What was added comes behind everything that is written, in its own order.
        """
        while path in self.copied and self.copied[path][0] in ("defaults", "stock"):
            path = path[:-1]  # what is said once comes with the thing that it is said of
        origin = self.origin(path)
        line = self.line(path) + _BEHIND * self.added.get(path[:2], 0)
        return line, 0 if origin is None else self.line(origin)

    def add(self, path: KeyPath, because: KeyPath) -> None:
        """Note a section that was added, because of what stands at another path."""
        self.added[path] = len(self.added) + 1
        self.lines[path] = self.line(because)

    def written_at(self, path: KeyPath) -> KeyPath:
        """Give the path at which data was written that may have been moved since."""
        for depth in range(len(path), 0, -1):
            if path[:depth] in self.moved:
                return (*self.moved[path[:depth]], *path[depth:])
        return path

    def move(self, path: KeyPath, places: dict[int, int]) -> None:
        """Let rows of a list be found at other places: from old to new index."""
        size = len(path)
        mine = {p: line for p, line in self.lines.items() if p[:size] == path and len(p) > size}
        for old in mine:
            del self.lines[old]
        for old, line in mine.items():
            index = old[size]
            new = places.get(index, index) if isinstance(index, int) else index
            self.lines[(*path, new, *old[size + 1 :])] = line
        self.moved.update({(*path, new): (*path, old) for old, new in places.items() if old != new})

    def also(self, path: KeyPath, other: KeyPath) -> None:
        """Let everything at a path be found at another path too."""
        found = [(p, line) for p, line in self.lines.items() if p[: len(path)] == path]
        self.lines.update(((*other, *p[len(path) :]), line) for p, line in found)

    def path_at(self, line: int) -> KeyPath:
        """Give the first path that stands on a line, or the top."""
        return next((path for path, at in self.lines.items() if at == line and path), ())


def read_bytes(path: FilePath) -> bytes:
    """Read a file that should hold a case or readings.

    Parameters
    ----------
    path
        The file.

    Returns
    -------
    bytes
        All of it.

    Raises
    ------
    InputError
        Missing, not a plain file, not readable, or larger than 1 MiB.
    """
    name = file_name(path)
    try:
        if not path.exists():
            raise _refusal(name, "there is no such file", "check its name and folder")
        if path.is_dir():
            raise _refusal(name, "this is a folder", "give the file in it")
        if not path.is_file():
            raise _refusal(name, "this is not a plain file", "give a file of text")
        with path.open("rb") as stream:
            content = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else "bad name"
        raise _refusal(name, f"cannot be read ({reason.lower()})", "check the file") from None
    if len(content) > LARGEST_FILE:
        raise _refusal(name, "is larger than 1 MiB", "give a case file; they are a few kB")
    return content


def file_name(path: FilePath) -> str:
    """Give a file's name as it stands in messages."""
    return printable(str(path))


def decode(content: bytes, name: str) -> str:
    """Turn a file's bytes into text.

    Parameters
    ----------
    content
        UTF-8, with or without a byte order mark.
    name
        The file's name for messages.

    Returns
    -------
    str
        The text.

    Raises
    ------
    InputError
        Not UTF-8; the message has the line.
    """
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _refusal(
            name, "this is not text in UTF-8", "save the file as plain text, encoding UTF-8", line
        ) from None


def read_toml(text: str, name: str) -> TomlSource:
    r"""Read TOML text.

    Parameters
    ----------
    text
        The text; lines may end in ``\n`` or ``\r\n``.
    name
        The file's name for messages.

    Returns
    -------
    TomlSource
        Data and lines.

    Raises
    ------
    InputError
        Not TOML beyond repair, too long, or nested deeper than any case file needs.
    """
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    refuse_monsters(text, name)
    slips: list[SyntaxSlip] = []
    data: dict[str, Any] | None = None
    while data is None:
        try:
            data = tomllib.loads(text)
        except RecursionError:
            raise _too_deep(text, name) from None
        except ValueError as error:
            text, slip = _read_over(text, error, name, slips)
            slips.append(slip)
    if _depth_exceeds(data, DEEPEST):
        raise _too_deep(text, name)
    return TomlSource(name=name, data=data, lines=key_lines(text), slips=tuple(slips))


def with_quotes(text: str) -> str | None:
    """Give a text with the quotes that its values lack, if nothing else keeps it from being TOML.

    Parameters
    ----------
    text
        Line ends and byte order mark are kept.

    Returns
    -------
    str or None
        None where no quotes are missing, or something else is wrong too.
    """
    mended = text.removeprefix("\ufeff").replace("\r\n", "\n")
    try:
        refuse_monsters(mended, "")
    except InputError:
        return None
    slips: list[SyntaxSlip] = []
    while True:
        try:
            tomllib.loads(mended)
            break
        except RecursionError:
            return None
        except ValueError as error:
            try:
                mended, slip = _read_over(mended, error, "", slips)
            except InputError:
                return None
            if not slip.lacks_quotes:
                return None
            slips.append(slip)
    own = text.split("\n")
    for slip, line in ((s, mended.split("\n")[s.line - 1]) for s in slips):
        before = own[slip.line - 1]
        mark = "\ufeff" if before.startswith("\ufeff") else ""
        own[slip.line - 1] = f"{mark}{line}" + ("\r" if before.endswith("\r") else "")
    return "\n".join(own) if slips else None


def _refusal(name: str, problem: str, remedy: str, line: int | None = None) -> InputError:
    return InputError([Mistake(name, line, "", problem, remedy)])


def _too_deep(text: str, name: str) -> InputError:
    """Refuse tables and lists in each other, with the line on which they come to lie deepest."""
    depth, deepest, line_number = 0, -1, 1
    for number, line in enumerate(_QUOTED.sub("", text).split("\n"), 1):
        here = depth + sum(line.count(mark) for mark in "[{.")
        if here > deepest:
            deepest, line_number = here, number
        depth += sum(line.count(mark) for mark in "[{") - sum(line.count(mark) for mark in "]}")
    remedy = f"at most {DEEPEST} tables and lists may lie in each other; see the file format's page"
    return _refusal(name, "is nested too deeply", remedy, line_number)


def refuse_monsters(text: str, name: str) -> None:
    """Refuse what no builder writes and the parser would choke on or take minutes over.

    Parameters
    ----------
    text : str
        Of a file.
    name : str
        Its name for messages.

    Raises
    ------
    InputError
        Too long a file, a line or a key that is, or a character that is no text.
    """
    if len(text) > LARGEST_FILE:
        raise _refusal(name, "is larger than 1 MiB", "give a case file; they are a few kB")
    try:
        text.encode()
    except UnicodeEncodeError as error:
        line_number = text.count("\n", 0, error.start) + 1
        raise _refusal(name, "a character is not text", "type it again", line_number) from None
    for number, line in enumerate(text.split("\n"), 1):
        if len(line) > LONGEST_LINE:
            problem = f"the line is longer than {LONGEST_LINE} characters"
            raise _refusal(name, problem, "break it into several lines", number)
        if "." in line and _LONG_KEY.search(line):
            raise _refusal(name, "a key has too many parts", "see the file format's page", number)


def _depth_exceeds(data: object, deepest: int) -> bool:
    """Tell whether tables and lists lie deeper than allowed (without recursion)."""
    level = [data]
    for _ in range(deepest + 1):
        level = [
            inner
            for outer in level
            for inner in (outer.values() if isinstance(outer, dict) else outer)  # type: ignore[attr-defined]
            if isinstance(inner, dict | list)
        ]
        if not level:
            return False
    return True


def _read_over(
    text: str, error: ValueError, name: str, slips: list[SyntaxSlip]
) -> tuple[str, SyntaxSlip]:
    """Mend the line of a syntax error so that reading can go on, or give up with all mistakes."""
    lines = text.split("\n")
    stopped = _stopped_at(error, len(lines))
    message = _PLACE.sub("", str(error))
    if len(slips) < (_MOST_REPAIRS if len(text) < _LONG_TEXT else _FEW_REPAIRS):
        for mended, slip in mendings(lines, stopped[0], message):
            new = "\n".join(mended)
            if _comes_further(new, stopped, len(lines), same_line=slip.line < stopped[0]):
                return new, slip
    mistakes = [Mistake(name, slip.line, "", slip.problem, slip.remedy) for slip in slips]
    problem, remedy = _in_plain_words(message)
    mistakes.append(Mistake(name, stopped[0], "", problem, remedy))
    raise InputError(sorted(mistakes, key=lambda mistake: mistake.line or 0)) from None


def _stopped_at(error: ValueError, last: int) -> tuple[int, int]:
    """Give line and column at which the reader stopped."""
    place = _PLACE.search(str(error))
    return (int(place[1]), int(place[2])) if place and place[1] else (last, LONGEST_LINE)


def _comes_further(text: str, stopped: tuple[int, int], last: int, *, same_line: bool) -> bool:
    """Tell whether a text is read beyond the line, or place, at which the reader stopped before."""
    try:
        tomllib.loads(text)
    except RecursionError:
        return False
    except ValueError as error:
        now = _stopped_at(error, last)
        return now > stopped if same_line else now[0] > stopped[0]
    return True


def _in_plain_words(message: str) -> tuple[str, str]:
    """Give problem and remedy of a syntax error that cannot be read over."""
    if message.startswith("Illegal character '\\n'") or "Unterminated string" in message:
        return "a text in quotes is not closed", 'write the closing quote: key = "31.5 in"'
    if "Expected '=' after a key" in message:
        return "a key has no value", 'write key = "value", or # before a remark'
    if message.startswith("Cannot declare") and "twice" in message:
        return "a section is given twice", "keep one; lists of things are written [[tank]]"
    if message.startswith("Unclosed array"):
        return "a list is not closed", "write the closing ]"
    if message.startswith("Expected newline"):
        problem = "more stands on the line than one key and its value"
        return problem, "write each key on a line of its own, and # before a remark"
    if message.startswith("Illegal character"):
        return "there is a character that is not text", "delete it"
    if message.startswith("Exceeds the limit"):
        return "a number is too long", 'write for example "31.5 in"'
    return f"not TOML ({shown(message, 80)[1:-1]})", 'write key = "value"'
