"""A slip of the pen in a TOML file: what it is, and how the line as it should be is shown."""

import re
from dataclasses import dataclass

from flowsim.files.units.written_numbers import plain_text

Mended = tuple[list[str], "SyntaxSlip"]
"""All lines as they were meant, and the slip."""

SlipFound = tuple[str, str, str] | None
"""A line as it was meant, what is wrong, what to write."""

KEY_WORD = r"[A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*"
KEY = rf"(?P<key>[ \t]*{KEY_WORD}[ \t]*=[ \t]*)"
REST = r"(?P<rest>[ \t]*(?:#.*)?)"
"""A key's word, a key with its sign, and what may stand behind a value."""

NOT_IN_QUOTES = "not in quotes"
"""How the words of a slip end that lacks nothing but quotes."""


@dataclass(frozen=True, slots=True)
class SyntaxSlip:
    """A slip that was read over: the line, and what to write instead.

    ``lacks_quotes``: nothing but quotes was missing (or ``true`` was written otherwise).
    """

    line: int
    problem: str
    remedy: str
    lacks_quotes: bool = False


def printable(text: str) -> str:
    """Give text as it may stand in a message: a control character would act on the terminal.

    Parameters
    ----------
    text
        Any text.

    Returns
    -------
    str
        Printable text.
    """
    return "".join(c if c.isprintable() else "?" for c in text)


def write_line(line: str) -> str:
    """Give the remedy that shows a line without its remark.

    Parameters
    ----------
    line
        The line as it should be.

    Returns
    -------
    str
        ``write ...``, at most some 160 characters.
    """
    bare = re.sub(r"\s+#[^\"']*$", "", line).strip()
    return f"write {bare if len(bare) <= 160 else bare[:157] + '...'}"


def in_words(value: str) -> str:
    """Write marks of feet and inches as words: ``5' 3"`` is ``5 ft 3 in``.

    Parameters
    ----------
    value
        A measure as it was written.

    Returns
    -------
    str
        Without quotes and marks.
    """
    value = re.sub(r"(?<=[A-Za-z])\s*\"", "", plain_text(value).replace("''", '"'))
    value = value.replace("'", " ft ").replace('"', " in ")
    return re.sub(r"\s+", " ", value).strip()
