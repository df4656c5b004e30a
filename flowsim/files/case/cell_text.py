"""Text in a cell of a spreadsheet: what keeps it from being run as a formula, and back."""

import re

FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""Text that begins so may be run as a formula."""
MARKS = (*FORMULA, "#", "[")
"""Text that begins so may also be taken for a remark or for the name of a sheet."""

_PLAIN_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?")


def is_plain_number(text: str) -> bool:
    """Tell whether a spreadsheet keeps a text whole as a number: decimal, at most 15 digits."""
    return _PLAIN_NUMBER.fullmatch(text) is not None and sum(c.isdigit() for c in text) <= 15


def protected(text: str, marks: tuple[str, ...]) -> str:
    """Give a text with an apostrophe before it where it begins with a mark or an apostrophe."""
    return f"'{text}" if text.startswith(("'", *marks)) and not is_plain_number(text) else text


def unprotected(text: str) -> str:
    """Give a text without the apostrophe that was put before it, or that a builder typed."""
    return text[1:] if text.startswith("'") and text[1:].startswith(("'", *MARKS)) else text
