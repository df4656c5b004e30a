"""Find the line of every key and list element of a TOML text.

The scanner expects text that the standard library's reader has accepted, so it only has to find
its way, not to judge. It knows what tomllib does not tell: where things stand.
"""

import re
import tomllib

Path = tuple[str | int, ...]
"""Where a value stands: keys and list indices from the top."""

_BARE = re.compile(r"[A-Za-z0-9_-]+")
_BLANK = re.compile(r"[ \t]*")
_BLANK_LINES = re.compile(r"(?:[ \t\n]|#[^\n]*)*")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' + r"'''.*?'{3,5}|" + r'"(?:[^"\\\n]|\\.)*"|' + r"'[^'\n]*'",
    re.DOTALL,
)
_PLAIN = re.compile(r"[^\s,\]}#]+(?: [0-9:.]+[^\s,\]}#]*)?")


def key_lines(text: str) -> dict[Path, int]:
    r"""Map each path of a TOML text to the line on which it first stands.

    Parameters
    ----------
    text
        Valid TOML, lines ended by ``\n`` alone.

    Returns
    -------
    dict
        Path (keys, and indices from 0 in lists and arrays of tables) to 1-based line.
    """
    return _Scanner(text).run()


class _Scanner:
    """Walks once through the text; ``at`` is the position."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.counted = 0
        self.lines: dict[Path, int] = {(): 1}
        self.tables: dict[Path, int] = {}

    def run(self) -> dict[Path, int]:
        """Scan everything."""
        table: Path = ()
        self.skip(_BLANK_LINES)
        while self.at < len(self.text):
            if self.text[self.at] == "[":
                table = self.header()
            else:
                self.pair(table)
            self.skip(_BLANK_LINES)
        return self.lines

    def skip(self, what: re.Pattern[str]) -> str:
        """Step over a match here (perhaps empty) and give it."""
        match = what.match(self.text, self.at)
        if match is None:
            return ""
        self.at = match.end()
        return match[0]

    def mark(self, path: Path, start: int) -> None:
        """Note the line of a path, the first time it is met."""
        self.line += self.text.count("\n", self.counted, start)
        self.counted = start
        self.lines.setdefault(path, self.line)

    def key(self) -> list[str]:
        """Read a dotted key."""
        parts = []
        while True:
            self.skip(_BLANK)
            if self.text[self.at] in "\"'":
                parts.append(str(tomllib.loads("key = " + self.skip(_STRING))["key"]))
            else:
                parts.append(self.skip(_BARE))
            self.skip(_BLANK)
            if self.text[self.at] != ".":
                return parts
            self.at += 1

    def header(self) -> Path:
        """Read ``[table]`` or ``[[array of tables]]`` and give the path of what follows."""
        start = self.at
        doubled = self.text.startswith("[[", start)
        self.at += 2 if doubled else 1
        path: Path = ()
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
        self.at += 2 if doubled else 1
        return path

    def within(self, path: Path, part: str, start: int) -> Path:
        """Step into a table, or into the newest element of an array of tables."""
        path = (*path, part)
        self.mark(path, start)
        return (*path, self.tables[path]) if path in self.tables else path

    def pair(self, table: Path) -> None:
        """Read ``key = value`` of a table."""
        start = self.at
        path = table
        for part in self.key():
            path = (*path, part)
            self.mark(path, start)
        self.at += 1
        self.skip(_BLANK)
        self.value(path)

    def value(self, path: Path) -> None:
        """Read a value, and note what it holds."""
        opening = self.text[self.at]
        if opening == "[":
            self.listed(path)
        elif opening == "{":
            self.inline(path)
        elif opening in "\"'":
            self.skip(_STRING)
        else:
            self.skip(_PLAIN)

    def listed(self, path: Path) -> None:
        """Read a list."""
        self.at += 1
        index = 0
        while True:
            self.skip(_BLANK_LINES)
            if self.text[self.at] == ",":
                self.at += 1
            elif self.text[self.at] == "]":
                self.at += 1
                return
            else:
                self.mark((*path, index), self.at)
                self.value((*path, index))
                index += 1

    def inline(self, path: Path) -> None:
        """Read an inline table."""
        self.at += 1
        while True:
            self.skip(_BLANK_LINES)
            if self.text[self.at] == ",":
                self.at += 1
            elif self.text[self.at] == "}":
                self.at += 1
                return
            else:
                self.pair(path)
