"""The common slips of writing: each is found on its line, and the message holds what to write.

No slip hides another mistake of the file, none drags one with it, and no remedy loses a part of
what was written. What the remedy shows is read without a mistake.
"""

import re
from collections.abc import Callable
from dataclasses import replace

import pytest

from flowsim.errors import Mistake
from flowsim.files.case.reader import read_case_text

Read = Callable[[str], list[Mistake]]

# In two_tanks.toml: what stands there, what is written instead, a piece of the problem, the remedy
_AT = 'at = ["15 in", "0 in", "20 in"]'
_LENGTH = 'length = "90 in"'
_VIA = 'via = [["10 in", "-28 in", "56 in"]]'
_TWO = '["10 in", "-28 in", "56 in"], ["15 in", "-28 in", "53 in"]'
_PORTS = 'ports = { left = "left down", right = "right down" }'
_VALVE = '  { part = "valve", kv = 1.2 },'
_SLIPS = {
    # --- quotes
    "no quotes": (_LENGTH, "length = 90 in", "is not in quotes", 'write length = "90 in"'),
    "curly quotes": (_LENGTH, "length = “90 in”", "curly quotes", 'write length = "90 in"'),
    "curly quotes and marks": (
        _LENGTH, "length = “7’ 6””", "curly quotes", 'write length = "7 ft 6 in"',
    ),
    "curly quotes in a list": (
        _AT, "at = [“15 in”, “0 in”, “20 in”]", "curly quotes", f"write {_AT}",
    ),
    "no closing quote": (_LENGTH, 'length = "90 in', "not closed", 'write length = "90 in"'),
    "no opening quote": (_LENGTH, 'length = 90 in"', "not in quotes", 'write length = "90 in"'),
    "no closing quote before a remark": (
        _LENGTH, 'length = "90 in   # taped', "not closed", 'write length = "90 in"',
    ),
    "unit outside the quotes": (
        _LENGTH, 'length = "90" in', "unit stands outside", 'write length = "90 in"',
    ),
    "quote missing in a list": (
        _AT, 'at = ["15 in, "0 in", "20 in"]', "a quote is missing", f"write {_AT}",
    ),
    # --- feet and inches
    "inch mark ends the text": (
        'hose_bore = "11/32 in"', 'hose_bore = "11/32""', "inch mark", 'hose_bore = "11/32 in"',
    ),
    "feet and inch marks": (
        _LENGTH, 'length = "7\' 6""', 'the inch mark " ends', 'write length = "7 ft 6 in"',
    ),
    "feet and inch marks without quotes": (
        _LENGTH, "length = 7' 6\"", "not in quotes", 'write length = "7 ft 6 in"',
    ),
    "tube in inch marks": (
        'tube = "3/8 in x 0.035 in"\nvia', 'tube = "3/8" x .035""\nvia',
        "inch mark", 'write tube = "3/8 in x .035 in"',
    ),
    "list in inch marks": (_AT, 'at = ["15"", "0"", "20""]', "inch mark", f"write {_AT}"),
    "marks in single quotes": (
        _LENGTH, "length = '7' 6\"'", "the foot mark ' ends", 'write length = "7 ft 6 in"',
    ),
    "no closing single quote": (_LENGTH, "length = '90 in", "missing", 'write length = "90 in"'),
    "marks in a list without quotes": (
        _AT, "at = [1' 3\", 0\", 20\"]", "not in quotes",
        'write at = ["1 ft 3 in", "0 in", "20 in"]',
    ),
    # --- numbers and units
    "bare number": (_LENGTH, "length = 90", "no unit", 'write "90 in"'),
    "bare numbers in a point": (
        _AT, "at = [15, 0, 20]", "bare numbers have no unit", 'write ["15 in", "0 in", "20 in"]',
    ),
    "number in quotes": ("kv = 1.2", 'kv = "1,2"', "is not a number", "write 1.2 without quotes"),
    "decimal comma": (
        "fill_factor = 0.95", "fill_factor = 0,95", "decimal comma", "write fill_factor = 0.95",
    ),
    "decimal comma in braces": (
        _VALVE, '  { part = "valve", kv = 1,2 },', "decimal comma", f"write {_VALVE.strip()}",
    ),
    "no digit before the point": (
        "fill_factor = 0.95", "fill_factor = .95", "no digit before", "write fill_factor = 0.95",
    ),
    "comma of two meanings": (
        _LENGTH, 'length = "1,200 mm"', "may be 1.200 or 1200", 'write "1.200 mm" or "1200 mm"',
    ),
    "gallons": (
        'capacity = "15 US_gal"', 'capacity = "15 gal"',
        "US or imperial", 'write "15 US_gal" or "15 imp_gal"',
    ),
    "fluid ounces": (
        'draw = "1 US_qt"', 'draw = "32 fl oz"',
        "US or imperial", 'write "32 US_fl_oz" or "32 imp_fl_oz"',
    ),
    "gallons per hour": (
        'descent_burn = "3 US_gal/h"', 'descent_burn = "3 GPH"',
        "US or imperial", 'write "3 US_gal/h" or "3 imp_gal/h"',
    ),
    "a guess": (
        _LENGTH, 'length = "~90 in"', "a guess", '{ value = "90 in", from = "assumed" }',
    ),
    "an accuracy": (
        _LENGTH, 'length = "90 in +/- 0.5 in"', "accuracy", 'accuracy = "0.5 in" }',
    ),
    "tube without units": (
        'tube = "3/8 in x 0.035 in"\nvia', 'tube = "3/8 x 0.035"\nvia',
        "no unit", 'write "3/8 in x 0.035 in"',
    ),
    # --- lists and brackets
    "list not closed": (
        _AT, _AT[:-1], 'the list "at" that begins here is not closed', "the closing ] at the end",
    ),
    "list of lists not closed": (
        _VIA, _VIA[:-1], 'the list "via" that begins here is not closed', "the closing ] at",
    ),
    "list over several lines not closed": (
        f"{_VALVE}\n]", _VALVE, 'the list "parts" that begins here is not closed', "closing ] at",
    ),
    "one bracket too many": (_AT, _AT + "]", "there is one ] too many", f"write {_AT}"),
    "point without its own brackets": (
        _VIA, 'via = ["10 in", "-28 in", "56 in"]', "each point in its own brackets",
        'write [["10 in", "-28 in", "56 in"]]',
    ),
    "no brackets": (
        _AT, 'at = "15 in", "0 in", "20 in"', "written in [ ]", f"write {_AT}",
    ),
    "round brackets": (
        _AT, 'at = ("15 in", "0 in", "20 in")', "written in [ ]", f"write {_AT}",
    ),
    "comma missing in a list": (
        _AT, 'at = ["15 in" "0 in", "20 in"]', "a comma is missing", f"write {_AT}",
    ),
    "comma missing between lines": (
        '  { part = "flow meter" },\n', '  { part = "flow meter" }\n',
        "a comma is missing", 'write { part = "flow meter" },',
    ),
    "one word for a list": (
        'judged = ["left", "right", "both"]', 'judged = "both"', "is not a list", 'write ["both"]',
    ),
    "value for a list": (
        'temperatures = ["-5 degC", "100 degF"]', 'temperatures = "-5 degC"',
        "is not a list", 'write ["-5 degC"]',
    ),
    "list in braces": (_AT, 'at = {"15 in", "0 in", "20 in"}', "in [ ]", f"write {_AT}"),
    "point in one text": (
        _AT, 'at = "15, 0, 20 in"', "not one text", 'write ["15 in", "0 in", "20 in"]',
    ),
    "point in two brackets": (
        _AT, 'at = [["15 in", "0 in", "20 in"]]', "a list of one point",
        'write ["15 in", "0 in", "20 in"]',
    ),
    "decimal commas in a list": (
        _AT, "at = [15,0 in, 0 in, 20 in]", "not in quotes",
        'write at = ["15,0 in", "0 in", "20 in"]',
    ),
    "points without brackets about them": (
        _VIA, f'{_VIA[:6]}{_VIA[7:-1]}, ["15 in", "-28 in", "53 in"]',
        "a list of points has brackets", f"write via = [{_TWO}]",
    ),
    "comma missing between points": (
        _VIA, f'{_VIA[:-1]} ["15 in", "-28 in", "53 in"]]', "a comma is missing",
        f"write via = [{_TWO}]",
    ),
    "points in round brackets": (
        _VIA, 'via = [("10 in", "-28 in", "56 in")]', "in [ ]", f"write {_VIA}",
    ),
    # --- braces
    "words without quotes in braces": (
        _PORTS, "ports = { left = left down, right = right down }", "not in quotes",
        f"write {_PORTS}",
    ),
    "brackets for braces": (
        _PORTS, 'ports = [left = "left down", right = "right down"]', "in { }", f"write {_PORTS}",
    ),
    "comma missing in braces": (
        _PORTS, 'ports = { left = "left down" right = "right down" }', "comma is missing",
        f"write {_PORTS}",
    ),
    "value without its key": (
        _LENGTH, 'length = { "90 in", from = "measured" }', "the value has no key",
        'write length = { value = "90 in", from = "measured" }',
    ),
    "brace missing": (
        _VALVE, _VALVE[:-3], "the closing } is missing", 'write { part = "valve", kv = 1.2 }',
    ),
    "braces over several lines": (
        _VALVE, '  { part = "valve",\n    kv = 1.2 },', "goes over several lines",
        f"write {_VALVE.strip()}",
    ),
    "comma before a brace": (
        _VALVE, '  { part = "valve", kv = 1.2, },', "a comma stands before }",
        f"write {_VALVE.strip()}",
    ),
    "colons in braces": (
        _VALVE, '  { part: "valve", kv: 1.2 },', "joined by =", f"write {_VALVE.strip()}",
    ),
    # --- keys and headings
    "no equals sign": (_LENGTH, 'length "90 in"', "the = is missing", f"write {_LENGTH}"),
    "colon": (_LENGTH, 'length: "90 in"', '":" stands for =', f"write {_LENGTH}"),
    "comma at the end": (_LENGTH, f"{_LENGTH},", '"," stands at the end', f"write {_LENGTH}"),
    "key of two words": (
        'bend_radius = "0.5 in"', 'bend radius = "0.5 in"', "one word", 'write bend_radius = "0.5',
    ),
    "key in capitals": (
        'bend_radius = "0.5 in"', 'BEND_RADIUS = "0.5 in"', "unknown key",
        'did you mean "bend_radius"?',
    ),
    "key twice": (_LENGTH, f"{_LENGTH}\n{_LENGTH}", '"length" is given twice', "keep one"),
    "yes for true": ("straight = true", "straight = yes", "yes or no", "write straight = true"),
    "yes in quotes": ("straight = true", 'straight = "yes"', "yes or no", "write true"),
    "heading of a list": ("[[tee]]", "[tee]", "[tee] is one of a list", "write [[tee]]"),
    "heading not closed": ("[[tee]]", "[[tee]", "not in pairs", "write [[tee]]"),
    "heading of one": ("[fuel]", "[[fuel]]", "there is one [fuel]", "write [fuel]"),
    "remark": ("# Invented", "// Invented", "a remark begins with #", "write # Invented"),
    "heading without brackets": ("[[tee]]", "tee", "stands in brackets", "write [[tee]]"),
    "heading in the plural": (
        '[[line]]\nname = "left front"', '[[lines]]\nname = "left front"', "unknown key",
        'did you mean "line"?',
    ),
    "remark behind a value": (
        _LENGTH, f"{_LENGTH} (tape)", "a remark begins with #", f"write {_LENGTH} # (tape)",
    ),
    "hard blank": (
        'draw = "1 US_qt"', 'draw\u00a0= "1 US_qt"', "a blank that TOML", 'write draw = "1 US_qt"',
    ),
}  # fmt: skip


def test_there_are_more_than_sixty() -> None:
    assert len(_SLIPS) > 60


@pytest.mark.parametrize("name", _SLIPS)
def test_a_slip_is_one_mistake_with_what_to_write(
    name: str, two_tanks: str, mistakes: Read
) -> None:
    old, new, problem, remedy = _SLIPS[name]
    assert old in two_tanks
    text = two_tanks.replace(old, new, 1)
    at = two_tanks.count("\n", 0, two_tanks.index(old)) + 1
    (found,) = mistakes(text)
    assert problem in found.problem
    assert remedy in found.remedy
    assert at - 3 <= (found.line or 0) <= at + 1
    assert not re.search("[“”‘’]", found.remedy)


@pytest.mark.parametrize("name", [name for name in _SLIPS if _SLIPS[name][3].startswith("write ")])
def test_what_the_remedy_shows_is_read(name: str, two_tanks: str, mistakes: Read) -> None:
    """A remedy that is a whole line, put in the place of the slip, leaves no mistake."""
    old, new, _, remedy = _SLIPS[name]
    shown = remedy.removeprefix("write ")
    if (
        " or " in shown
        or "closing" in shown
        or '"0.5' in shown
        or shown.startswith(("#", "[", '"'))
    ):
        return
    key = re.match(r"[a-z_]+ = |\{", shown)
    if key is None:
        return
    text = two_tanks.replace(old, new, 1).replace(new.split("\n")[0], shown, 1)
    if "\n" in new and name not in (
        "key twice",
        "tube in inch marks",
        "comma missing between lines",
    ):
        return
    assert [m for m in mistakes(text) if "given twice" not in m.problem] == []


@pytest.mark.parametrize("name", _SLIPS)
def test_a_slip_hides_no_other_mistake(name: str, two_tanks: str, mistakes: Read) -> None:
    old, new, problem, _ = _SLIPS[name]
    other = two_tanks.replace('climb_speed = "60 kt"', 'climb_speed = "fast"')
    found = mistakes(other.replace(old, new, 1))
    assert len(found) == 2
    assert any('"fast" is not a number' in m.problem for m in found)
    assert any(problem in m.problem for m in found)


def test_many_slips_come_in_one_run(two_tanks: str, mistakes: Read) -> None:
    """One of each kind, on lines of their own."""
    names = (
        "curly quotes", "inch mark ends the text", "quote missing in a list", "decimal comma",
        "list of lists not closed", "colons in braces", "heading not closed", "key of two words",
        "remark", "gallons", "yes for true", "comma missing between lines",
    )  # fmt: skip
    text = two_tanks
    for name in names:
        old, new, _, _ = _SLIPS[name]
        assert old in text
        text = text.replace(old, new, 1)
    found = mistakes(text)
    for name in names:
        assert any(_SLIPS[name][2] in m.problem for m in found), name
    assert len(found) == len(names)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('judged = ["left", "right", "both"]', 'judged = ["Left", "RIGHT", "Both"]'),
        ('both = ["left", "right"]', 'both = ["LEFT", "Right"]'),
        ('{ part = "flow meter" }', '{ part = "Flow Meter" }'),
        ('shape = "box"', 'shape = "Box"'),
        ('kind = "cap"', 'kind = "Cap"'),
        ('kind = "motor gasoline summer"', 'kind = "Motor Gasoline Summer"'),
        ('length = "90 in"', "length = \"7' 6 in\""),
        ('length = "90 in"', "length = '90\"'"),
        ('length = "90 in"', 'length = "90,0 inches"'),
        ('tube = "3/8 in x 0.035 in"\nvia', "tube = '3/8\" x 0.035\"'\nvia"),
        ('tube = "3/8 in x 0.035 in"\nvia', 'tube = "3/8 X .035 in"\nvia'),
        ('tube = "3/8 in x 0.035 in"\nvia', 'tube = "3/8 in OD x 0.035 in wall"\nvia'),
    ],
)  # fmt: skip
def test_what_has_one_meaning_is_read_as_it_is_meant(old: str, new: str, two_tanks: str) -> None:
    assert old in two_tanks
    meant = read_case_text(two_tanks, "case.toml")
    found = read_case_text(two_tanks.replace(old, new, 1), "case.toml")
    # Values without an origin are listed in their own unit.
    assert replace(found, not_said=()) == replace(meant, not_said=())
    assert len(found.not_said) == len(meant.not_said)


def test_every_leg_that_is_too_short_is_named_with_the_radius_that_fits(
    two_tanks: str, mistakes: Read
) -> None:
    """Two legs: R tan(a/2) at each end; the radius is rounded down in the unit written."""
    bent = (
        '[["10 in", "-28 in", "56 in"], ["10 in", "-28 in", "52 in"], ["14 in", "-28 in", "52 in"]]'
    )
    text = two_tanks.replace('via = [["10 in", "-28 in", "56 in"]]', f"via = {bent}")
    text = text.replace('bend_radius = "0.5 in"', 'bend_radius = "5 in"')
    found = mistakes(text)
    assert [m.problem.split(",")[0] for m in found] == ["leg 2", "leg 3"]
    assert {m.item for m in found} == {'line "left front", bend_radius'}
    # Turns: 23.96 deg at point 1, 90 deg at points 2, and 18.4 deg at point 3 of via.
    assert 'which take 6.061 in; write bend_radius = "3.29 in" or less' in str(found[0])
    assert 'which take 5.811 in; write bend_radius = "3.44 in" or less' in str(found[1])


def test_the_radius_that_is_offered_fits(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks.replace('bend_radius = "0.5 in"', 'bend_radius = "9 in"')
    (found,) = mistakes(text)
    offered = re.search(r'bend_radius = "[^"]*"', found.remedy)
    assert offered is not None
    assert mistakes(two_tanks.replace('bend_radius = "0.5 in"', offered[0])) == []


def test_all_that_is_wrong_with_a_line_comes_at_once(two_tanks: str, mistakes: Read) -> None:
    via = (
        '[["10 in", "-30 in", "60.5 in"], ["20 in", "-28 in", "56 in"], '
        '["20 in", "-28 in", "56 in"]]'
    )
    text = two_tanks.replace('via = [["10 in", "-28 in", "56 in"]]', f"via = {via}")
    found = [m.problem for m in mistakes(text)]
    assert found == [
        "its start and point 1 of via are the same place",
        "point 2 of via and point 3 of via are the same place",
    ]
