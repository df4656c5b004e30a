"""A slip of the pen in a TOML file: what it is, and how the line as it should be is shown."""

import re
from dataclasses import dataclass

Mended = tuple[list[str], "SyntaxSlip"]


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
