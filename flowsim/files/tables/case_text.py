"""The data of a case as TOML text, laid out as a builder would write it."""

from typing import Any

from flowsim.files.toml.source import LONGEST_LINE
from flowsim.files.toml.values import written, written_key

WIDTH = 100
"""Characters in a line, where there is a place to break it."""
_HEADED = (("engine", "carburettor"), ("tank", "outlet"), ("calibration", "input"))
"""What stands inside a section under a heading of its own."""


def case_text(data: dict[str, Any]) -> str:
    """Write a case as TOML: one key on a line, a heading for each section.

    Parameters
    ----------
    data
        Plain data of a case.

    Returns
    -------
    str
        The standard library reads the same data from it.
    """
    return "\n\n".join("\n".join(block) for block in _blocks((), data) if block) + "\n"


def _blocks(path: tuple[str, ...], table: dict[str, Any]) -> list[list[str]]:
    """Give the lines of a table without its heading, then the blocks of what is in it."""
    own: list[str] = []
    below: list[list[str]] = []
    for key, value in table.items():
        here = (*path, key)
        heading = ".".join(written_key(step) for step in here)
        has_heading = not path or here in _HEADED
        if has_heading and isinstance(value, dict):
            below += _under(f"[{heading}]", here, value)
        elif has_heading and value and isinstance(value, list) and _all_tables(value):
            for item in value:
                below += _under(f"[[{heading}]]", here, item)
        else:
            start = f"{written_key(key)} = "
            own.append(start + laid_out(value, "", len(start)))
    return [own, *below]


def _under(heading: str, path: tuple[str, ...], table: dict[str, Any]) -> list[list[str]]:
    first, *rest = _blocks(path, table)
    return [[heading, *first], *rest]


def _all_tables(value: list[Any]) -> bool:
    return all(isinstance(item, dict) for item in value)


def laid_out(value: Any, indent: str, column: int) -> str:
    """Write a value, lists that do not fit into the line with an element on each line.

    Parameters
    ----------
    value
        Plain data.
    indent
        Blanks before the line that it stands on.
    column
        Characters before it on the line.

    Returns
    -------
    str
        TOML.
    """
    line = written(value)
    if column + len(line) <= WIDTH or not isinstance(value, dict | list) or not value:
        return line
    if isinstance(value, dict):
        # Only the lists in a table may be broken: long ones, and all where that is not enough.
        return _table(value, indent, 0) or _table(value, indent, WIDTH) or line
    deeper = indent + "  "
    rows = [f"{deeper}{laid_out(item, deeper, len(deeper) + 1)}," for item in value]
    return "\n".join(["[", *rows, f"{indent}]"])


def _table(value: dict[str, Any], indent: str, before: int) -> str:
    """Write a table with lists broken that are longer than there is room; empty if too long."""
    texts = (f"{written_key(k)} = {laid_out(v, indent, before)}" for k, v in value.items())
    text = f"{{ {', '.join(texts)} }}"
    return text if max(map(len, text.split("\n"))) < LONGEST_LINE - WIDTH else ""
