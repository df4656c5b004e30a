"""docs/messages.md is made from the code and holds what is really said."""

import ast

from tests.support.messages_page import PAGE, messages, messages_page


def test_it_is_current() -> None:
    """Written by ``python -m tests.support.messages_page``; do so after a change of any message."""
    assert PAGE.read_text(encoding="utf-8") == messages_page()


def test_it_takes_what_is_said_and_leaves_the_rest() -> None:
    source = '''
"""A docstring of three words."""
PLACE = "docs/some/place.md"
NAMES = {"a_key": 1}
heading("Vapour")
mistake(path, f"{value} is more than {most} holds", "write less")
found = f"the tank {name} is empty" if name else "nothing was found here"
'''
    assert list(messages(ast.parse(source))) == [
        "Vapour",
        "{value} is more than {most} holds",
        "write less",
        "the tank {name} is empty",
        "nothing was found here",
    ]
