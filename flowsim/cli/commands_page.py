"""The page ``docs/commands.md``, made from the commands' own help.

``python -m flowsim.cli.commands_page > docs/commands.md`` writes it; a test compares the two.
"""

import contextlib
import io
import os
import sys

from flowsim.cli.main import app, exit_code_of

WIDTH = 80

_HEAD = """# Commands

Made from `flowsim --help` and the help of each command by
`python -m flowsim.cli.commands_page > docs/commands.md`.
"""


def commands_page() -> str:
    """Give the page: the program's help, then that of each command, as a terminal shows them."""
    names = [command.name for command in app.registered_commands if command.name]
    blocks = [("flowsim", _help([]))]
    blocks += [(f"flowsim {name}", _help([name])) for name in names]
    for group in app.registered_groups:
        within = group.typer_instance
        blocks.append((f"flowsim {group.name}", _help([str(group.name)])))
        for command in within.registered_commands if within else ():
            words = [str(group.name), str(command.name)]
            blocks.append((f"flowsim {' '.join(words)}", _help(words)))
    return "\n".join([_HEAD, *(f"## {title}\n\n```text\n{text}```\n" for title, text in blocks)])


def _help(words: list[str]) -> str:
    """Catch the help of one command, in a terminal of fixed width."""
    caught = io.StringIO()
    before = os.environ.get("COLUMNS")
    os.environ["COLUMNS"] = str(WIDTH)
    try:
        with contextlib.redirect_stdout(caught):
            exit_code_of([*words, "--help"])
    finally:
        if before is None:
            del os.environ["COLUMNS"]
        else:
            os.environ["COLUMNS"] = before
    return "\n".join(line.rstrip() for line in caught.getvalue().splitlines()) + "\n"


if __name__ == "__main__":
    sys.stdout.write(commands_page())
