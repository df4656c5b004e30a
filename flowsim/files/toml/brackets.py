"""Which list or table was opened and never closed."""

import re
from dataclasses import dataclass

_TOKEN = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' + r"'''.*?'{3,5}|" + r'"(?:[^"\\\n]|\\.)*"|' + r"'[^'\n]*'"
    r"|#[^\n]*|\n|[\[\]{}]|[^\"'#\n\[\]{}]+|.",
    re.DOTALL,
)
_NEXT = re.compile(
    r"[ \t]*(?:[A-Za-z][A-Za-z0-9_. -]*[ \t]*=|"
    r"\[\[?[ \t]*[A-Za-z][A-Za-z0-9_.]*[ \t]*\]\]?[ \t]*(?:#.*)?$)"
)
_KEY = re.compile(r"[ \t]*([A-Za-z0-9_.-]+)[ \t]*=")


@dataclass(frozen=True, slots=True)
class OpenBracket:
    """Brackets that are open, outermost first, under which key, from which line to which."""

    brackets: str
    key: str
    line: int
    last_line: int


def first_open(lines: list[str]) -> OpenBracket | None:
    """Find the first list or table that is still open where the next key or heading begins.

    Parameters
    ----------
    lines
        The text up to where the reader stopped; strings in it are closed.

    Returns
    -------
    OpenBracket or None
        ``line`` is that of its key, ``last_line`` the last one with anything of its own; None
        where every bracket is closed.
    """
    open_brackets: list[str] = []
    key, began, last = "", 1, 1
    number = 1
    starts_line = True
    for token in _TOKEN.findall("\n".join(lines)):
        if starts_line and number <= len(lines):
            line = lines[number - 1]
            if open_brackets and _NEXT.match(line) and "{" not in open_brackets:
                break
            if not open_brackets:
                found = _KEY.match(line)
                key, began = ("" if found is None else found[1]), number
            starts_line = False
        if token == "\n":
            number += 1
            starts_line = True
        elif token.startswith("#") or not token.strip():
            continue
        else:
            last = number + token.count("\n")
            number += token.count("\n")
            if token in "[{":
                open_brackets.append(token)
            elif token in "]}" and open_brackets:
                open_brackets.pop()
    if not open_brackets:
        return None
    return OpenBracket("".join(open_brackets), key, began, last)
