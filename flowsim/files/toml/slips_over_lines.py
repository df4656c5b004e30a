"""Slips of the pen that concern several lines: lists and tables that are not closed or not parted.

See ``toml_slips``, which looks at single lines.
"""

import re
from collections.abc import Iterator

from flowsim.files.toml.brackets import first_open
from flowsim.files.toml.slip import Mended, SyntaxSlip, printable, write_line


def over_lines(lines: list[str], number: int) -> Iterator[Mended]:
    """Give what may have been meant where lines belong together, the likeliest first.

    Parameters
    ----------
    lines
        All lines of the text.
    number
        The line [from 1] at which the reader stopped.

    Yields
    ------
    tuple
        All lines, mended, and the slip.
    """
    for mend in (_comma_before, _joined_table, _brace_missing):
        if (mending := mend(lines, number)) is not None:
            yield mending
    yield from open_brackets(lines, number)


def open_brackets(lines: list[str], number: int) -> Iterator[Mended]:
    """Close what was opened and never closed, before the next key.

    Parameters
    ----------
    lines
        All lines of the text.
    number
        The line [from 1] at which the reader stopped.

    Yields
    ------
    tuple
        All lines, mended, and the slip.
    """
    found = first_open(lines[:number])
    if found is None:
        return
    what = "list" if found.brackets[-1] == "[" else "table"
    closing = "".join("]" if bracket == "[" else "}" for bracket in reversed(found.brackets))
    last = found.last_line
    whole = lines[last - 1]
    bare, remark = _parted(whole)
    bare = bare.rstrip().rstrip(",") if what == "table" else bare.rstrip()
    named = f'the {what} "{found.key}"' if found.key else f"a {what}"
    problem = f"{named} that begins here is not closed"
    remedy = f"write the closing {closing} at the end of line {last}"
    mended = [*lines[: last - 1], f"{bare}{closing}{remark}", *lines[last:]]
    yield mended, SyntaxSlip(found.line, problem, remedy)


def _parted(line: str) -> tuple[str, str]:
    """Part a line from its remark."""
    match = re.fullmatch(r"((?:[^\"'#]|\"(?:[^\"\\]|\\.)*\"|'[^']*')*)(#.*)?", line)
    if match is None or match[2] is None:
        return line, ""
    return match[1], f" {match[2]}"


def _joined_table(lines: list[str], number: int) -> Mended | None:
    """Put a table in braces that goes over several lines on one; blank lines keep the count."""
    first = next((n for n in range(number, 0, -1) if _braces(lines[n - 1]) > 0), None)
    if first is None or number - first > 20:
        return None
    depth, last = 0, first
    for last in range(first, min(len(lines), first + 20) + 1):
        if last > first and re.match(r"\s*(?:\]|\[\[?[A-Za-z]|\{)", lines[last - 1]):
            return None
        depth += _braces(lines[last - 1])
        if depth <= 0:
            break
    if depth != 0 or last == first:
        return None
    whole = " ".join(_parted(line)[0].strip() for line in lines[first - 1 : last])
    whole = re.sub(r"\s*,\s*\}", " }", whole)
    blank = [""] * (last - first)
    slip = SyntaxSlip(first, "a table in { } goes over several lines", printable(write_line(whole)))
    return [*lines[: first - 1], whole, *blank, *lines[last:]], slip


def _brace_missing(lines: list[str], number: int) -> Mended | None:
    """Close a table in braces at the end of the line on which it begins."""
    bare, remark = _parted(lines[number - 1])
    if _braces(bare) != 1 or number == len(lines):
        return None
    comma = "," if bare.rstrip().endswith(",") else ""
    meant = f"{bare.rstrip().rstrip(',').rstrip()} }}"
    tail = meant + (comma or ("," if lines[number].lstrip().startswith("{") else ""))
    slip = SyntaxSlip(number, "the closing } is missing", printable(write_line(tail)))
    return [*lines[: number - 1], tail + remark, *lines[number:]], slip


def _comma_before(lines: list[str], number: int) -> Mended | None:
    """Put the comma between two rows of a list that stand on lines of their own."""
    if number < 2 or not re.match(r"\s*[\[{\"]", lines[number - 1]):
        return None
    before = next((n for n in range(number - 1, 0, -1) if _parted(lines[n - 1])[0].strip()), 0)
    bare, remark = _parted(lines[before - 1])
    if not before or not re.search(r"[\]}\"]\s*$", bare) or first_open(lines[:before]) is None:
        return None
    meant = f"{bare.rstrip()},"
    slip = SyntaxSlip(before, "a comma is missing after it", printable(write_line(meant)))
    return [*lines[: before - 1], meant + remark, *lines[before:]], slip


def _braces(line: str) -> int:
    bare = re.sub(r"\"(?:[^\"\\]|\\.)*\"|'[^']*'", "", line).split("#")[0]
    return bare.count("{") - bare.count("}")
