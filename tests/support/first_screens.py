"""The pages ``docs/guide/first-screens*.md``: how each command begins on each bundled case.

    python -m tests.support.first_screens

writes them, so that all can be read as a whole; a test holds the first current, and with
``-m long`` the second, of the slow commands on the large cases.
"""

import contextlib
import io
import os
from pathlib import Path

from flowsim.cli.main import exit_code_of
from tests.support.every_command import CASES, ROOT, commands

PAGE = ROOT / "docs" / "guide" / "first-screens.md"
SLOW_PAGE = ROOT / "docs" / "guide" / "first-screens-slow.md"
LINES = 40
"""Of a screen."""
LARGE = ("four-outlets", "tandem")
LIGHT = ("check", "hand-check", "routing", "ground-test leak", "flight")
"""Of the large cases only what takes a second or two, so that the test stays quick."""
HEAD = """# The first screen of each command

Made by `python -m tests.support.first_screens` on the bundled cases, which are invented: how each
text begins at 80 columns. With 100 draws, to be quick; usual are 2048, and their bands differ a
little; of the two large cases those that are quick, the others in
[the slow ones](first-screens-slow.md). An estimate each, not an approval: the ground
test decides.
"""
SLOW_HEAD = """# The first screen of the slow commands on the large cases

Made by `python -m tests.support.first_screens`, as [the quick ones](first-screens.md). An estimate
each, not an approval: the ground test decides.
"""


def screens(name: str, *, slow: bool = False) -> str:
    """Give the part of the page on a case: of a large one the quick commands, or the slow ones."""
    parts = [f"## {name}\n"]
    for key, words in commands(name).items():
        if key == "check --full" or (name in LARGE and (key in LIGHT) is slow):
            continue  # the former begins as check does and goes on for pages
        said = as_typed(words)
        parts.append(screen(key, said, _output(said)))
    return "\n".join(parts)


def as_typed(words: list[str]) -> list[str]:
    """Give a command's words as they are typed at the top of the clone."""
    return [word.replace(f"{ROOT}{os.sep}", "") for word in words]


def screen(key: str, words: list[str], text: str) -> str:
    """Give the part of the page on one command, from the text that it printed."""
    command = " ".join(f'"{word}"' if " " in word else word for word in words)
    lines = text.splitlines()
    cut = len(lines) - LINES
    more = [f"... ({cut} more lines)"] if cut > 0 else []
    shown = "\n".join([*lines[:LINES], *more])
    return f"### {key}\n\n```text\n$ flowsim {command}\n{shown}\n```\n"


def page() -> str:
    """Give the page."""
    return "\n".join([HEAD, *(screens(name) for name in CASES)])


def slow_page() -> str:
    """Give the page of the slow commands."""
    return "\n".join([SLOW_HEAD, *(screens(name, slow=True) for name in LARGE)])


def _output(words: list[str]) -> str:
    """Give what a command prints, run from the top of the clone on a plain terminal."""
    plain = {"COLUMNS": "80", "TERM": "dumb", "NO_COLOR": "1"}
    before, there = {key: os.environ.get(key) for key in plain}, Path.cwd()
    out = io.StringIO()
    try:
        os.environ.update(plain)
        os.chdir(ROOT)
        with contextlib.redirect_stdout(out):
            exit_code_of(words)
    finally:
        os.chdir(there)
        for key, value in before.items():
            os.environ.pop(key) if value is None else os.environ.update({key: value})
    return out.getvalue()


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    SLOW_PAGE.write_text(slow_page(), encoding="utf-8")
