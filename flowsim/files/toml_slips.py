"""Slips of the pen in a hand-written TOML file: what is meant, and what to write instead.

Each mender looks at the line that the standard library's reader stopped at and gives the line as it
was meant. ``toml_source`` takes the first one with which the reader comes further, reports the slip
and reads on, so that one run shows every mistake.
"""

import re
from collections.abc import Callable, Iterator

from flowsim.files.quantity_text import shown
from flowsim.files.toml_brackets import first_open
from flowsim.files.toml_slip import Mended, SyntaxSlip, printable, write_line
from flowsim.files.toml_slips_over_lines import open_brackets, over_lines
from flowsim.files.written_numbers import plain_text

LISTED_SECTIONS = ("tank", "tank.outlet", "line", "junction", "tee", "selector", "drain", "stock",
                   "start", "phase", "obstacle", "crossing", "vent_line", "run")  # fmt: skip
"""Sections of which there may be several, written ``[[name]]``."""

_KEY_WORD = r"[A-Za-z0-9_-]+(?:\.[A-Za-z0-9_-]+)*"
_KEY = rf"(?P<key>[ \t]*{_KEY_WORD}[ \t]*=[ \t]*)"
_REST = r"(?P<rest>[ \t]*(?:#.*)?)"
_UNQUOTED = re.compile(
    _KEY + r"""(?P<value>[^"'\[\]{}#=\n]*[^"'\[\]{}#=\s,;])(?P<more>(?:[ \t]*[,;])?)""" + _REST
)
_MEASURE = re.compile(_KEY + r"""(?P<value>[+-]?[0-9.][^\[\]{}#=\n]*[^\[\]{}#=\s,;])""" + _REST)
_PAIR = re.compile(_KEY + r".*")
_HEADING = re.compile(r"[ \t]*\[[ \t]*\[?(?P<name>[^\[\]#\"'=,]*?)\]?[ \t]*\]?[ \t]*" + _REST)
_REMARK = re.compile(r"[ \t]*(?://|;|--|%|!)[ \t]*(?P<words>.*)")
_NO_SIGN = re.compile(
    r"(?P<key>[ \t]*[A-Za-z][A-Za-z0-9_ -]*?)[ \t]*(?P<sign>:=|==|:|=>|=|)[ \t]*"
    r"(?P<value>[\"\[{].*)"
)
_UNIT_OUTSIDE = re.compile(_KEY + r'"(?P<number>[^"]*)"[ \t]*(?P<unit>[A-Za-z/_0-9]+)' + _REST)
_NOT_CLOSED = re.compile(_KEY + r'"(?P<value>[^"#\n]*[^"#\s])' + _REST)
_ENDS_IN_COMMA = re.compile(_KEY + r"(?P<value>.*\S)[ \t]*(?P<mark>[,;])" + _REST)
_INCH_MARK = re.compile(r'"(?P<value>[+-]?[0-9.][^",\[\]{}=\n]*)""(?=[ \t]*(?:[,\]}#]|$))')
_INCH_MARKS = re.compile(_KEY + r'"(?P<value>[+-]?[0-9.][^#\n]*".*)"' + _REST)
_GROUP = re.compile(r"\[([^\[\]{}]*)\]")
_GOOD_ITEMS = re.compile(r"""\s*(?:(?:"[^"\n]*"|'[^'\n]*'|[^"'\s,]+)\s*(?:,\s*|$))*""")
_COLON = re.compile(r'(?P<key>[{,]\s*[A-Za-z_]+)\s*:(?=\s*["\[{0-9])')
_NUMBER_WITH_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+")
_NO_DIGIT_BEFORE = re.compile(r"[+-]?\.[0-9]+")
_COMMA_IN_TABLE = re.compile(r"(?P<before>=\s*[0-9]+),(?P<after>[0-9]+)(?=\s*[,}])")
_NO_BRACKETS = re.compile(
    _KEY
    + r"""\(?(?P<items>(?:"[^"]*"|'[^']*'|[0-9.]+)(?:\s*[,;]\s*(?:"[^"]*"|'[^']*'|[0-9.]+))+)\)?"""
    + _REST
)
_IS_NEXT = re.compile(r"[ \t]*(?:[A-Za-z][A-Za-z0-9_. -]*[ \t]*=|\[\[?[ \t]*[A-Za-z])")
_NOT_IN_QUOTES, _NO_YES_OR_NO = "not in quotes", "not a yes or no of TOML"
_QUOTES_ONLY = (_NOT_IN_QUOTES, _NO_YES_OR_NO)
_YES, _NO = ("true", "yes", "on"), ("false", "no", "off")


def mendings(lines: list[str], number: int, message: str) -> Iterator[Mended]:
    """Give what may have been meant, the likeliest first.

    Parameters
    ----------
    lines
        All lines of the text.
    number
        The line [from 1] at which the reader stopped.
    message
        What the reader said.

    Yields
    ------
    tuple
        All lines, mended, and the slip.
    """
    line = lines[number - 1]
    if message.startswith("Cannot declare"):
        yield from _sections_twice(lines, number, line)
    if _IS_NEXT.match(line) and first_open(lines[: number - 1]) is not None:
        yield from open_brackets(lines, number)
    for mender in _MENDERS:
        found = mender(line, message)
        if found is not None and found[0] != line:
            mended, problem, remedy = found
            bare = problem.endswith(_QUOTES_ONLY)
            slip = SyntaxSlip(number, problem, printable(remedy), bare)
            yield [*lines[: number - 1], mended, *lines[number:]], slip
    yield from over_lines(lines, number)


_Found = tuple[str, str, str] | None
"""The line as it was meant, what is wrong, what to write."""


def _given_twice(line: str, message: str) -> _Found:
    match = _PAIR.fullmatch(line)
    if match is None or not message.startswith("Cannot overwrite a value"):
        return None
    return "", f"{shown(_key_of(match))} is given twice", "keep one of them"


def _remark(line: str, _: str) -> _Found:
    match = _REMARK.fullmatch(line)
    if match is None:
        return None
    return f"# {match['words']}", "a remark begins with #", write_line(f"# {match['words']}"[:80])


def _heading(line: str, message: str) -> _Found:
    match = _HEADING.fullmatch(line)
    if match is None or message.startswith("Cannot"):
        return None
    name = ".".join(part.strip() for part in match["name"].split("."))
    if not re.fullmatch(_KEY_WORD, name):
        return None
    meant = f"[[{name}]]" if name in LISTED_SECTIONS else f"[{name}]"
    return (
        f"{meant}{match['rest']}",
        "the brackets of a heading are not in pairs",
        write_line(meant),
    )


def _curly_quotes(line: str, _: str) -> _Found:
    if not re.search("[“”„‟″‘’′\u00a0\u202f\u2009]", line):
        return None
    meant = re.sub("[\u00a0\u202f\u2009]", " ", line)
    meant = re.sub("[“”„‟″]", '"', re.sub("[‘’′]", "'", meant))
    if '"' in line and "'" not in line:
        meant = meant.replace("'", '"')
    curly = re.search("[“”„‟″‘’′]", line)
    what = (
        "curly quotes are not quotes of TOML"
        if curly
        else "there is a blank that TOML does not read"
    )
    return meant, what, write_line(_straightened(meant))


def _straightened(line: str) -> str:
    """Give a line with feet and inches in words where its marks would end the text."""
    found = _inch_marks(line, "") or _inch_marks_of_one(line, "") or _measure(line, "")
    return line if found is None else found[0]


def _curly_marks(line: str, message: str) -> _Found:
    """Read curly quotes about a measure that has curly marks of feet and inches in it."""
    found = _curly_quotes(line, message)
    return None if found is None else (_straightened(found[0]), *found[1:])


def _inch_marks(line: str, _: str) -> _Found:
    meant = _INCH_MARK.sub(lambda match: f'"{_in_words(match["value"])} in"', line)
    if meant == line:
        return None
    return meant, 'the inch mark " ends the text', write_line(meant)


def _inch_marks_of_one(line: str, _: str) -> _Found:
    match = _INCH_MARKS.fullmatch(line)
    if match is None or re.search(r'"\s*[,=]', match["value"]):
        return None
    meant = f'{match["key"]}"{_in_words(match["value"])}"'
    return f"{meant}{match['rest']}", 'the inch mark " ends the text', write_line(meant)


def _measure(line: str, _: str) -> _Found:
    """Read a measure without quotes that has marks of feet or inches in it."""
    match = _MEASURE.fullmatch(line)
    if match is None or not re.search("[\"']", match["value"]):
        return None
    meant = f'{match["key"]}"{_in_words(match["value"])}"'
    what = f"the value {shown(match['value'])} is not in quotes"
    return f"{meant}{match['rest']}", what, write_line(meant)


def _in_words(value: str) -> str:
    """Write marks of feet and inches as words: ``5' 3"`` is ``5 ft 3 in``."""
    value = re.sub(r"(?<=[A-Za-z])\s*\"", "", plain_text(value).replace("''", '"'))
    value = value.replace("'", " ft ").replace('"', " in ")
    return re.sub(r"\s+", " ", value).strip()


def _unquoted(line: str, _: str) -> _Found:
    match = _UNQUOTED.fullmatch(line)
    if match is None:
        return None
    value = match["value"]
    if value.lower() in (*_YES, *_NO):
        meant = "true" if value.lower() in _YES else "false"
        problem = f"{shown(value)} is {_NO_YES_OR_NO}"
    elif _NUMBER_WITH_COMMA.fullmatch(value):
        meant, problem = value.replace(",", "."), f"the number {value} has a decimal comma"
    elif _NO_DIGIT_BEFORE.fullmatch(value):
        meant = value.replace(".", "0.")
        problem = f"the number {value} has no digit before its point"
    else:
        meant = f'"{plain_text(value)}"'
        problem = f"the value {shown(value)} is {_NOT_IN_QUOTES}"
    return f"{match['key']}{meant}{match['rest']}", problem, f"write {_key_of(match)} = {meant}"


def _unit_outside(line: str, _: str) -> _Found:
    match = _UNIT_OUTSIDE.fullmatch(line)
    if match is None:
        return None
    meant = f'{match["key"]}"{match["number"]} {match["unit"]}"'
    return f"{meant}{match['rest']}", "the unit stands outside the quotes", write_line(meant)


def _not_closed(line: str, _: str) -> _Found:
    match = _NOT_CLOSED.fullmatch(line)
    if match is None:
        return None
    meant = f'{match["key"]}"{match["value"].rstrip()}"'
    return f"{meant}{match['rest']}", "a text in quotes is not closed", write_line(meant)


def _ends_in_comma(line: str, _: str) -> _Found:
    match = _ENDS_IN_COMMA.fullmatch(line)
    if match is None:
        return None
    meant = f"{match['key']}{match['value']}"
    return f"{meant}{match['rest']}", f'"{match["mark"]}" stands at the end', write_line(meant)


def _broken_list(line: str, _: str) -> _Found:
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
        has_quotes = re.search("[\"'“”„]", inside) is not None
        items = re.split(r'[,;"“”„]' if has_quotes else ",", inside)
        items = [item.strip().strip("'").strip() for item in items]
        items = [item for item in items if item]
        problem = _what_of_list(inside, has_quotes)
        return "[" + ", ".join(item if _is_plain(item) else f'"{item}"' for item in items) + "]"

    meant = _GROUP.sub(mend, line)
    return None if meant == line else (meant, problem, write_line(meant))


def _what_of_list(inside: str, has_quotes: bool) -> str:
    if not has_quotes:
        return f"the values of the list are {_NOT_IN_QUOTES}"
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


def _too_many(line: str, message: str) -> _Found:
    """Take away a closing bracket that nothing opens."""
    match = re.fullmatch(
        r"(?P<before>.*[\]}\"0-9])[ \t]*(?P<extra>[\]}])(?P<rest>[ \t]*,?[ \t]*(?:#.*)?)", line
    )
    if match is None or not message.startswith("Expected newline"):
        return None
    meant = f"{match['before']}{match['rest']}"
    return meant, f"there is one {match['extra']} too many", write_line(meant)


def _colons(line: str, _: str) -> _Found:
    meant = _COLON.sub(r"\g<key> =", line)
    return (
        None if meant == line else (meant, "a key and its value are joined by =", write_line(meant))
    )


def _comma_in_table(line: str, _: str) -> _Found:
    meant = _COMMA_IN_TABLE.sub(r"\g<before>.\g<after>", line)
    return None if meant == line else (meant, "a number has a decimal comma", write_line(meant))


def _no_brackets(line: str, _: str) -> _Found:
    match = _NO_BRACKETS.fullmatch(line)
    if match is None:
        return None
    meant = f"{match['key']}[{match['items'].replace(';', ',')}]"
    return f"{meant}{match['rest']}", "a list is written in [ ]", write_line(meant)


def _trailing_comma(line: str, _: str) -> _Found:
    meant = re.sub(r"\s*,\s*\}", " }", line)
    return None if meant == line else (meant, "a comma stands before }", write_line(meant))


def _no_sign(line: str, _: str) -> _Found:
    match = _NO_SIGN.fullmatch(line)
    if match is None:
        return None
    key = re.sub(r"\s+", "_", match["key"].strip())
    if not re.fullmatch(_KEY_WORD, key):
        return None
    meant = f"{key} = {match['value']}"
    if match["sign"] == "=":
        what = "a key is one word, joined with _"
    else:
        what = f"{shown(match['sign'])} stands for =" if match["sign"] else "the = is missing"
    return meant, what, write_line(meant)


_MENDERS: tuple[Callable[[str, str], _Found], ...] = (
    _given_twice, _remark, _heading, _curly_quotes, _curly_marks, _inch_marks,
    _inch_marks_of_one, _unit_outside, _measure, _unquoted, _not_closed, _ends_in_comma,
    _no_brackets, _broken_list, _colons, _comma_in_table, _trailing_comma, _too_many, _no_sign,
)  # fmt: skip


def _sections_twice(lines: list[str], number: int, line: str) -> Iterator[Mended]:
    """Turn ``[tank]`` written more than once into ``[[tank]]``, all of them."""
    match = _HEADING.fullmatch(line)
    if match is None or match["name"].strip() not in LISTED_SECTIONS:
        return
    name = match["name"].strip()
    meant = [f"[[{name}]]" if one.split("#")[0].strip() == f"[{name}]" else one for one in lines]
    problem = f"[{name}] is given twice"
    yield meant, SyntaxSlip(number, problem, f"write [[{name}]] for each")


def _key_of(match: re.Match[str]) -> str:
    return match["key"].split("=")[0].strip()
