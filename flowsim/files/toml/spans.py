r"""Where every key, value and heading of a TOML text begins and ends.

The scanner expects text that the standard library's reader has accepted, so it only has to find
its way, not to judge. It knows what tomllib does not tell: where things stand. Positions count
characters of the text as it is, with ``\r\n`` and byte order mark.
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass, field

KeyPath = tuple[str | int, ...]
"""Where a value stands: keys and list indices from the top."""

TextSpan = tuple[int, int]
"""Begin and end of a piece of text."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"[ \t]*")
_BLANK_LINES = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' + r"'''.*?'{3,5}|" + r'"(?:[^"\\\n]|\\.)*"|' + r"'[^'\n]*'",
    re.DOTALL,
)
_PLAIN = re.compile(r"[^\s,\]}#]+(?: [0-9:.]+[^\s,\]}#]*)?")
_REMARK = re.compile(r"^[ \t]*#[^\n]*(?:\n|\Z)", re.MULTILINE)


@dataclass(slots=True)
class TableHeading:
    """``[table]`` or ``[[array of tables]]``: where it leads, where it stands, what it holds.

    ``pairs`` are the paths of the keys that stand under it, in order; a dotted key stands under
    its heading with its whole path.
    """

    path: KeyPath
    span: TextSpan
    doubled: bool
    pairs: list[KeyPath] = field(default_factory=list)


@dataclass(slots=True)
class Spans:
    """What was found. ``headings`` begins with the top of the file, which has no text.

    ``values`` has the text of every value and list element, ``pairs`` that of every
    ``key = value``, ``gaps`` the blanks and remarks between, ``lines`` the line of each path.
    """

    lines: dict[KeyPath, int] = field(default_factory=lambda: {(): 1})
    values: dict[KeyPath, TextSpan] = field(default_factory=dict)
    pairs: dict[KeyPath, TextSpan] = field(default_factory=dict)
    headings: list[TableHeading] = field(default_factory=lambda: [TableHeading((), (0, 0), False)])
    gaps: list[TextSpan] = field(default_factory=list)

    def remarks(self, text: str) -> Iterator[TextSpan]:
        """Give the remarks that have a line of their own, whole lines with their line ends."""
        for start, end in self.gaps:
            if "#" in text[start:end]:
                begin = text.rfind("\n", 0, start) + 1
                first = begin if not text[begin:start].strip(" \t\ufeff") else start
                for match in _REMARK.finditer(text, first, end):
                    yield match.start(), match.end()

    def children(self, path: KeyPath) -> list[KeyPath]:
        """Give the paths of the keys or elements written directly inside an inline value."""
        size = len(path) + 1
        return [found for found in self.values if len(found) == size and found[:-1] == path]


def spans_of(text: str) -> Spans:
    """Find everything in a TOML text.

    Parameters
    ----------
    text
        Valid TOML.

    Returns
    -------
    Spans
    """
    return _Scanner(text).run()


class _Scanner:
    """Walks once through the text; ``at`` is the position."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 1 if text.startswith("\ufeff") else 0
        self.line = 1
        self.counted = 0
        self.found = Spans()
        self.tables: dict[KeyPath, int] = {}

    def run(self) -> Spans:
        """Scan everything."""
        table: KeyPath = ()
        self.between()
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.heading()
            else:
                self.found.headings[-1].pairs.append(self.pair(table))
            self.between()
        return self.found

    def skip(self, what: re.Pattern[str]) -> str:
        """Step over a match here (perhaps empty) and give it."""
        match = what.match(self.text, self.at)
        if match is None:
            return ""
        self.at = match.end()
        return match[0]

    def between(self) -> None:
        """Step over blanks, line ends and remarks."""
        start = self.at
        if self.skip(_BLANK_LINES):
            self.found.gaps.append((start, self.at))

    def mark(self, path: KeyPath, start: int) -> None:
        """Note the line of a path, the first time it is met."""
        self.line += self.text.count("\n", self.counted, start)
        self.counted = start
        self.found.lines.setdefault(path, self.line)

    def key(self) -> list[str]:
        """Read a dotted key."""
        parts = []
        while True:
            self.skip(_BLANK)
            if self.text[self.at] in "\"'":
                parts.append(str(tomllib.loads("key = " + self.skip(_STRING))["key"]))
            else:
                parts.append(self.skip(_BARE))
            end = self.at
            self.skip(_BLANK)
            if self.text[self.at] != ".":
                self.at = end
                return parts
            self.at += 1

    def heading(self) -> KeyPath:
        """Read ``[table]`` or ``[[array of tables]]`` and give the path of what follows."""
        start = self.at
        doubled = self.text.startswith("[[", start)
        self.at += 2 if doubled else 1
        path: KeyPath = ()
        *above, last = self.key()
        for part in above:
            path = self.within(path, part, start)
        if not doubled:
            path = self.within(path, last, start)
        else:
            path = (*path, last)
            self.mark(path, start)
            self.tables[path] = self.tables.get(path, -1) + 1
            path = (*path, self.tables[path])
            self.mark(path, start)
        self.skip(_BLANK)
        self.at += 2 if doubled else 1
        self.found.headings.append(TableHeading(path, (start, self.at), doubled))
        return path

    def within(self, path: KeyPath, part: str, start: int) -> KeyPath:
        """Step into a table, or into the newest element of an array of tables."""
        path = (*path, part)
        self.mark(path, start)
        return (*path, self.tables[path]) if path in self.tables else path

    def pair(self, table: KeyPath) -> KeyPath:
        """Read ``key = value`` of a table and give its path."""
        start = self.at
        path = table
        for part in self.key():
            path = (*path, part)
            self.mark(path, start)
        self.skip(_BLANK)
        self.at += 1
        self.skip(_BLANK)
        self.value(path)
        self.found.pairs[path] = (start, self.at)
        return path

    def value(self, path: KeyPath) -> None:
        """Read a value, and note where it stands and what it holds."""
        start = self.at
        opening = self.text[start]
        if opening == "[":
            self.listed(path)
        elif opening == "{":
            self.inline(path)
        elif opening in "\"'":
            self.skip(_STRING)
        else:
            self.skip(_PLAIN)
        self.found.values[path] = (start, self.at)

    def listed(self, path: KeyPath) -> None:
        """Read a list."""
        self.at += 1
        index = 0
        while True:
            self.between()
            if self.text[self.at] == ",":
                self.at += 1
            elif self.text[self.at] == "]":
                self.at += 1
                return
            else:
                self.mark((*path, index), self.at)
                self.value((*path, index))
                index += 1

    def inline(self, path: KeyPath) -> None:
        """Read an inline table."""
        self.at += 1
        while True:
            self.between()
            if self.text[self.at] == ",":
                self.at += 1
            elif self.text[self.at] == "}":
                self.at += 1
                return
            else:
                self.pair(path)
