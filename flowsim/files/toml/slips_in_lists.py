"""Slips of the pen in lists and in tables in braces, on one line.

See ``toml_slips``, which looks at keys, headings and single values.
"""

import re
from collections.abc import Callable

from flowsim.files.toml.slip import KEY, NOT_IN_QUOTES, REST, SlipFound, in_words, write_line

_PAIR = re.compile(KEY + r".*")
_HEADING = re.compile(r"[ \t]*\[\[?[A-Za-z_. ]*\]?\]?[ \t]*(?:#.*)?")
_GROUP = re.compile(r"\[([^\[\]{}]*)\]")
_GOOD_ITEMS = re.compile(r"""\s*(?:(?:"[^"\n]*"|'[^'\n]*'|[^"'\s,]+)\s*(?:,\s*|$))*""")
_MARKED = re.compile(r"""[+-]?[0-9][0-9./ -]*(?:'\s*[0-9./ -]*"?|")""")
_COLON = re.compile(r'(?P<key>[{,]\s*[A-Za-z_]+)\s*:(?=\s*["\[{0-9])')
_COMMA_IN_TABLE = re.compile(r"(?P<before>=\s*[0-9]+),(?P<after>[0-9]+)(?=\s*[,}])")
_LOOSE_IN_TABLE = re.compile(
    r"""(?P<before>[{,]\s*[A-Za-z_]+\s*=\s*)(?P<value>[^\s"'\[\]{},=][^"'\[\]{},=]*?)(?=\s*[,}])"""
)
_ITEM = r"""(?:"[^"]*"|'[^']*'|[0-9.]+)"""
_NO_BRACKETS = re.compile(KEY + rf"\(?(?P<items>{_ITEM}(?:\s*[,;]\s*{_ITEM})+)\)?" + REST)
_BRACES = re.compile(KEY + rf"\{{\s*(?P<items>{_ITEM}(?:\s*,\s*{_ITEM})+)\s*\}}" + REST)
_TABLE_IN_BRACKETS = re.compile(KEY + r"\[\s*(?P<pairs>[A-Za-z_ ]+=[^\[\]{}]*)\]" + REST)
_POINTS = re.compile(KEY + r"(?P<points>\[[^\[\]]*\](?:\s*,\s*\[[^\[\]]*\])+)" + REST)
_FIRST_VALUE = re.compile(r"""\{\s*(?P<value>"[^"]*"|[0-9.]+)(?=\s*,\s*[A-Za-z_]+\s*=)""")


def _broken_list(line: str, _: str) -> SlipFound:
    """Set the quotes and commas of lists of plain values right."""
    if not _PAIR.fullmatch(line) and not re.match(r"\s*[\[{]", line):
        return None
    if _HEADING.fullmatch(line) and "=" not in line:
        return None
    problem = ""

    def mend(match: re.Match[str]) -> str:
        nonlocal problem
        inside = match[1]
        if _GOOD_ITEMS.fullmatch(inside) and not _has_loose(inside):
            return match[0]
        if "\\" in inside:
            return match[0]
        items, problem = _items(inside)
        return "[" + ", ".join(item if _is_plain(item) else f'"{item}"' for item in items) + "]"

    meant = _GROUP.sub(mend, line)
    return None if meant == line else (meant, problem, write_line(meant))


def _items(inside: str) -> tuple[list[str], str]:
    """Part a list of plain values, whatever its quotes, and say what is wrong with it."""
    pieces = [piece.strip() for piece in re.split(r",\s+|;", inside)]
    if all(_MARKED.fullmatch(piece) for piece in pieces):
        return [in_words(piece) for piece in pieces], f"the values of the list are {NOT_IN_QUOTES}"
    has_quotes = re.search("[\"'“”„]", inside) is not None
    if not has_quotes:
        parted = pieces if len(pieces) > 1 else inside.split(",")
    else:
        parted = re.split(r'[,;"“”„]', inside)
    items = [item.strip().strip("'").strip() for item in parted]
    return [item for item in items if item], _what_of_list(inside, has_quotes)


def _what_of_list(inside: str, has_quotes: bool) -> str:
    if not has_quotes:
        return f"the values of the list are {NOT_IN_QUOTES}"
    if inside.count('"') % 2:
        return "a quote is missing in the list"
    if re.search(r'"\s*"', re.sub(r'"[^"]*"', '""', inside).replace('""', '"')):
        return "a comma is missing in the list"
    return "the values of the list are not all in quotes"


def _has_loose(inside: str) -> bool:
    bare = re.sub(r"\"[^\"\n]*\"|'[^'\n]*'", "", inside)
    return any(item.strip() and not _is_plain(item.strip()) for item in bare.split(","))


def _is_plain(item: str) -> bool:
    """Tell whether TOML takes an item without quotes."""
    return re.fullmatch(
        r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?|true|false", item
    ) is not None and not item.lstrip("+-").startswith(".")


def _too_many(line: str, message: str) -> SlipFound:
    """Take away a closing bracket that nothing opens."""
    match = re.fullmatch(
        r"(?P<before>.*[\]}\"0-9])[ \t]*(?P<extra>[\]}])(?P<rest>[ \t]*,?[ \t]*(?:#.*)?)", line
    )
    if match is None or not message.startswith("Expected newline"):
        return None
    meant = f"{match['before']}{match['rest']}"
    return meant, f"there is one {match['extra']} too many", write_line(meant)


def _colons(line: str, _: str) -> SlipFound:
    meant = _COLON.sub(r"\g<key> =", line)
    return (
        None if meant == line else (meant, "a key and its value are joined by =", write_line(meant))
    )


def _comma_in_table(line: str, _: str) -> SlipFound:
    meant = _COMMA_IN_TABLE.sub(r"\g<before>.\g<after>", line)
    return None if meant == line else (meant, "a number has a decimal comma", write_line(meant))


def _no_brackets(line: str, _: str) -> SlipFound:
    match = _NO_BRACKETS.fullmatch(line)
    if match is None:
        return None
    meant = f"{match['key']}[{match['items'].replace(';', ',')}]"
    return f"{meant}{match['rest']}", "a list is written in [ ]", write_line(meant)


def _trailing_comma(line: str, _: str) -> SlipFound:
    meant = re.sub(r"\s*,\s*\}", " }", line)
    return None if meant == line else (meant, "a comma stands before }", write_line(meant))


def _loose_in_table(line: str, _: str) -> SlipFound:
    """Put quotes about words in a table in braces."""

    def quoted(match: re.Match[str]) -> str:
        value = match["value"]
        plain = _is_plain(value) or value in ("true", "false")
        return match[0] if plain else f'{match["before"]}"{value}"'

    meant = _LOOSE_IN_TABLE.sub(quoted, line)
    what = f"a value in braces is {NOT_IN_QUOTES}"
    return None if meant == line else (meant, what, write_line(meant))


def _comma_between_pairs(line: str, _: str) -> SlipFound:
    meant = re.sub(r"""(?<=["'\]}0-9])\s+(?=[A-Za-z_]+\s*=[^{]*\})""", ", ", line)
    if meant == line or "{" not in line:
        return None
    return meant, "a comma is missing in the braces", write_line(meant)


def _first_value(line: str, _: str) -> SlipFound:
    meant = _FIRST_VALUE.sub(r"{ value = \g<value>", line)
    return None if meant == line else (meant, "the value has no key", write_line(meant))


def _braces_for_brackets(line: str, _: str) -> SlipFound:
    match = _BRACES.fullmatch(line)
    if match is None:
        return None
    meant = f"{match['key']}[{match['items']}]"
    return f"{meant}{match['rest']}", "a list is written in [ ]", write_line(meant)


def _brackets_for_braces(line: str, _: str) -> SlipFound:
    match = _TABLE_IN_BRACKETS.fullmatch(line)
    if match is None:
        return None
    meant = f"{match['key']}{{ {match['pairs'].strip()} }}"
    return f"{meant}{match['rest']}", "names with values are written in { }", write_line(meant)


def _points(line: str, _: str) -> SlipFound:
    match = _POINTS.fullmatch(line)
    if match is None:
        return None
    meant = f"{match['key']}[{match['points']}]"
    return f"{meant}{match['rest']}", "a list of points has brackets of its own", write_line(meant)


def _between_points(line: str, _: str) -> SlipFound:
    meant = re.sub(r"\]\s*\[", "], [", line)
    if meant == line or not _PAIR.fullmatch(line):
        return None
    return meant, "a comma is missing in the list", write_line(meant)


def _round_brackets(line: str, _: str) -> SlipFound:
    meant = re.sub(r"\(([^()]*)\)", r"[\1]", line)
    if meant == line or not _PAIR.fullmatch(line):
        return None
    return meant, "a list is written in [ ]", write_line(meant)


LIST_MENDERS: tuple[Callable[[str, str], SlipFound], ...] = (
    _no_brackets, _braces_for_brackets, _brackets_for_braces, _points, _between_points,
    _round_brackets, _broken_list, _colons, _comma_in_table, _loose_in_table, _comma_between_pairs,
    _first_value, _trailing_comma, _too_many,
)  # fmt: skip
"""In the order in which they are tried."""
