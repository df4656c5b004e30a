"""Slips of the pen in a hand-written TOML file: what is meant, and what to write instead.

Each mender looks at the line that the standard library's reader stopped at and gives the line as it
was meant. ``toml_source`` takes the first one with which the reader comes further, reports the slip
and reads on, so that one run shows every mistake.
"""

import re
from collections.abc import Callable, Iterator

from flowsim.files.toml.brackets import first_open
from flowsim.files.toml.slip import (
    KEY,
    KEY_WORD,
    NOT_IN_QUOTES,
    REST,
    Mended,
    SlipFound,
    SyntaxSlip,
    in_words,
    printable,
    write_line,
)
from flowsim.files.toml.slips_in_lists import LIST_MENDERS
from flowsim.files.toml.slips_over_lines import open_brackets, over_lines
from flowsim.files.units.text import shown
from flowsim.files.units.written_numbers import plain_text

LISTED_SECTIONS = ("tank", "tank.outlet", "line", "junction", "tee", "selector", "drain", "stock",
                   "start", "phase", "obstacle", "crossing", "vent_line", "run")  # fmt: skip
"""Sections of which there may be several, written ``[[name]]``."""

_UNQUOTED = re.compile(
    KEY + r"""(?P<value>[^"'\[\]{}#=\n]*[^"'\[\]{}#=\s,;])(?P<more>(?:[ \t]*[,;])?)""" + REST
)
_MEASURE = re.compile(KEY + r"""(?P<value>[+-]?[0-9.][^\[\]{}#=\n]*[^\[\]{}#=\s,;])""" + REST)
_PAIR = re.compile(KEY + r".*")
_HEADING = re.compile(r"[ \t]*\[[ \t]*\[?(?P<name>[^\[\]#\"'=,]*?)\]?[ \t]*\]?[ \t]*" + REST)
_REMARK = re.compile(r"[ \t]*(?://|;|--|%|!)[ \t]*(?P<words>.*)")
_NO_SIGN = re.compile(
    r"(?P<key>[ \t]*[A-Za-z][A-Za-z0-9_ -]*?)[ \t]*(?P<sign>:=|==|:|=>|=|)[ \t]*"
    r"(?P<value>[\"\[{].*)"
)
_UNIT_OUTSIDE = re.compile(KEY + r'"(?P<number>[^"]*)"[ \t]*(?P<unit>[A-Za-z/_0-9]+)' + REST)
_NOT_CLOSED = re.compile(KEY + r'"(?P<value>[^"#\n]*[^"#\s])' + REST)
_ENDS_IN_COMMA = re.compile(KEY + r"(?P<value>.*\S)[ \t]*(?P<mark>[,;])" + REST)
_INCH_MARK = re.compile(r'"(?P<value>[+-]?[0-9.][^",\[\]{}=\n]*)""(?=[ \t]*(?:[,\]}#]|$))')
_SINGLE_QUOTES = re.compile(KEY + r"'(?P<value>[+-]?[0-9.][^#\n]*?)'?" + REST)
_BEHIND = re.compile(
    KEY + r"""(?P<value>"[^"]*"|'[^']*'|\[[^\[\]]*\]|\{[^{}]*\})[ \t]*(?P<words>(?://|;|--|\().*)"""
)
_INCH_MARKS = re.compile(KEY + r'"(?P<value>[+-]?[0-9.][^#\n]*".*)"' + REST)
_NUMBER_WITH_COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+")
_NO_DIGIT_BEFORE = re.compile(r"[+-]?\.[0-9]+")
_IS_NEXT = re.compile(r"[ \t]*(?:[A-Za-z][A-Za-z0-9_. -]*[ \t]*=|\[\[?[ \t]*[A-Za-z])")
_NO_YES_OR_NO = "not a yes or no of TOML"
_QUOTES_ONLY = (NOT_IN_QUOTES, _NO_YES_OR_NO)
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
    if message.startswith('Expected "\'"'):  # the reader looked for the quote to the very end
        number = next((n for n, one in enumerate(lines, 1) if _lacks_single_quote(one)), number)
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


def _lacks_single_quote(line: str) -> bool:
    bare = re.sub(r'"(?:[^"\\]|\\.)*"', "", line).split("#")[0]
    return bare.count("'") % 2 == 1


def _given_twice(line: str, message: str) -> SlipFound:
    match = _PAIR.fullmatch(line)
    if match is None or not message.startswith("Cannot overwrite a value"):
        return None
    return "", f"{shown(_key_of(match))} is given twice", "keep one of them"


def _remark(line: str, _: str) -> SlipFound:
    match = _REMARK.fullmatch(line)
    if match is None:
        return None
    return f"# {match['words']}", "a remark begins with #", write_line(f"# {match['words']}"[:80])


def _remark_behind(line: str, _: str) -> SlipFound:
    match = _BEHIND.fullmatch(line)
    if match is None:
        return None
    words = match["words"].lstrip("/;-")
    meant = f"{match['key']}{match['value']} # {words.strip()}"
    return meant, "a remark begins with #", f"write {meant.strip()}"


def _heading_word(line: str, _: str) -> SlipFound:
    name = line.split("#")[0].strip()
    if name not in LISTED_SECTIONS:
        return None
    return f"[[{name}]]", "a section's heading stands in brackets", f"write [[{name}]]"


def _heading(line: str, message: str) -> SlipFound:
    match = _HEADING.fullmatch(line)
    if match is None or message.startswith("Cannot"):
        return None
    name = ".".join(part.strip() for part in match["name"].split("."))
    if not re.fullmatch(KEY_WORD, name):
        return None
    meant = f"[[{name}]]" if name in LISTED_SECTIONS else f"[{name}]"
    return (
        f"{meant}{match['rest']}",
        "the brackets of a heading are not in pairs",
        write_line(meant),
    )


def _curly_quotes(line: str, _: str) -> SlipFound:
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


def _curly_marks(line: str, message: str) -> SlipFound:
    """Read curly quotes about a measure that has curly marks of feet and inches in it."""
    found = _curly_quotes(line, message)
    return None if found is None else (_straightened(found[0]), *found[1:])


def _inch_marks(line: str, _: str) -> SlipFound:
    meant = _INCH_MARK.sub(lambda match: f'"{in_words(match["value"])} in"', line)
    if meant == line:
        return None
    return meant, 'the inch mark " ends the text', write_line(meant)


def _inch_marks_of_one(line: str, _: str) -> SlipFound:
    match = _INCH_MARKS.fullmatch(line)
    if match is None or re.search(r'"\s*[,=]|=|"\s+"', match["value"]):
        return None
    meant = f'{match["key"]}"{in_words(match["value"])}"'
    return f"{meant}{match['rest']}", 'the inch mark " ends the text', write_line(meant)


def _marks_in_single_quotes(line: str, _: str) -> SlipFound:
    match = _SINGLE_QUOTES.fullmatch(line)
    if match is None or '"' in match["value"].rstrip('"'):
        return None
    meant = f'{match["key"]}"{in_words(match["value"])}"'
    what = "the foot mark ' ends the text" if "'" in match["value"] else "a quote is missing"
    return f"{meant}{match['rest']}", what, write_line(meant)


def _measure(line: str, _: str) -> SlipFound:
    """Read a measure without quotes that has marks of feet or inches in it."""
    match = _MEASURE.fullmatch(line)
    if match is None or not re.search("[\"']", match["value"]):
        return None
    meant = f'{match["key"]}"{in_words(match["value"])}"'
    what = f"the value {shown(match['value'])} is not in quotes"
    return f"{meant}{match['rest']}", what, write_line(meant)


def _unquoted(line: str, _: str) -> SlipFound:
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
        problem = f"the value {shown(value)} is {NOT_IN_QUOTES}"
    return f"{match['key']}{meant}{match['rest']}", problem, f"write {_key_of(match)} = {meant}"


def _unit_outside(line: str, _: str) -> SlipFound:
    match = _UNIT_OUTSIDE.fullmatch(line)
    if match is None:
        return None
    meant = f'{match["key"]}"{match["number"]} {match["unit"]}"'
    return f"{meant}{match['rest']}", "the unit stands outside the quotes", write_line(meant)


def _not_closed(line: str, _: str) -> SlipFound:
    match = _NOT_CLOSED.fullmatch(line)
    if match is None:
        return None
    meant = f'{match["key"]}"{match["value"].rstrip()}"'
    return f"{meant}{match['rest']}", "a text in quotes is not closed", write_line(meant)


def _ends_in_comma(line: str, _: str) -> SlipFound:
    match = _ENDS_IN_COMMA.fullmatch(line)
    if match is None:
        return None
    meant = f"{match['key']}{match['value']}"
    return f"{meant}{match['rest']}", f'"{match["mark"]}" stands at the end', write_line(meant)


def _no_sign(line: str, _: str) -> SlipFound:
    match = _NO_SIGN.fullmatch(line)
    if match is None:
        return None
    key = re.sub(r"\s+", "_", match["key"].strip())
    if not re.fullmatch(KEY_WORD, key):
        return None
    meant = f"{key} = {match['value']}"
    if match["sign"] == "=":
        what = "a key is one word, joined with _"
    else:
        what = f"{shown(match['sign'])} stands for =" if match["sign"] else "the = is missing"
    return meant, what, write_line(meant)


_MENDERS: tuple[Callable[[str, str], SlipFound], ...] = (
    _given_twice, _remark, _remark_behind, _heading, _heading_word, _curly_quotes, _curly_marks,
    _inch_marks, _inch_marks_of_one, _marks_in_single_quotes, _unit_outside, _measure, _unquoted,
    _not_closed, _ends_in_comma, *LIST_MENDERS, _no_sign,
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
