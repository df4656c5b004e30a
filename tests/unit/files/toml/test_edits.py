"""Edits by place: what is asked for is done, and nothing else is touched."""

import random
import re

import pytest

from flowsim.files.toml.edits import Edit, EditBugError, edited, read
from flowsim.files.toml.sheet import EditError
from flowsim.files.toml.source import LONGEST_LINE, with_quotes
from flowsim.files.toml.spans import spans_of
from flowsim.files.toml.values import same, written
from tests.support.random_edits import paths, random_edit, texts, value, variants

BEFORE = """\
# about the case
title = "Two" # kept

[engine]
# where the hose ends
inlet_at = ["22 in", "2 in", "18 in"]
burn = "5.6 US_gal/h"   # from the manual

[[line]]
name = "down"
via = [
  ["1 in", "2 in", "3 in"],
  # the post
  ["4 in", "5 in", "6 in"], # a remark beside
]
parts = [{ part = "elbow 90", bore = "0.297 in" }, { part = "ball valve" }]

# the other one
[[line]]
name = "feed"
"""
ORDER = {(): ("title", "note", "fuel", "engine", "tank", "line", "drain"),
         ("engine",): ("inlet_at", "feed", "burn", "burn_density"),
         ("line", 0): ("name", "from", "to", "via", "parts")}  # fmt: skip

EDITS = {
    "a value": (
        [Edit("set", ("engine", "burn"), "6 US_gal/h")],
        'burn = "5.6 US_gal/h"   # from', 'burn = "6 US_gal/h"   # from',
    ),
    "one coordinate": (
        [Edit("set", ("line", 0, "via", 1, 2), "7 in")], '"6 in"], # a', '"7 in"], # a',
    ),
    "a new key in its order": (
        [Edit("set", ("engine", "feed"), "gravity")],
        '"18 in"]\n', '"18 in"]\nfeed = "gravity"\n',
    ),
    "a new key that comes first": (
        [Edit("set", ("note",), "n")], "# kept\n", '# kept\nnote = "n"\n',
    ),
    "a key of an inline table": (
        [Edit("set", ("line", 0, "parts", 1, "name"), "tap")],
        'part = "ball valve" }', 'part = "ball valve", name = "tap" }',
    ),
    "a key out": (
        [Edit("unset", ("engine", "burn"))], 'burn = "5.6 US_gal/h"   # from the manual\n', "",
    ),
    "a key out of an inline table": (
        [Edit("unset", ("line", 0, "parts", 0, "bore"))], ', bore = "0.297 in"', "",
    ),
    "a corner in between": (
        [Edit("insert", ("line", 0, "via", 1), ["0 in", "0 in", "0 in"])],
        '  ["4 in"', '  ["0 in", "0 in", "0 in"],\n  ["4 in"',
    ),
    "a corner at the end": (
        [Edit("insert", ("line", 0, "via", 2), ["0 in", "0 in", "0 in"])],
        '"6 in"], #', '"6 in"],\n  ["0 in", "0 in", "0 in"], #',
    ),
    "a corner out, its remark stays": (
        [Edit("remove", ("line", 0, "via", 0))], '  ["1 in", "2 in", "3 in"],\n', "",
    ),
    "a part out": (
        [Edit("remove", ("line", 0, "parts", 1))], ', { part = "ball valve" }', "",
    ),
    "parts in another order": (
        [Edit("move", ("line", 0, "parts", 1), 0)],
        '{ part = "elbow 90", bore = "0.297 in" }, { part = "ball valve" }',
        '{ part = "ball valve" }, { part = "elbow 90", bore = "0.297 in" }',
    ),
    "a section at the end": (
        [Edit("add_table", ("drain", 0), {"name": "d", "reaches": "feed"})],
        'name = "feed"\n', 'name = "feed"\n\n[[drain]]\nname = "d"\nreaches = "feed"\n',
    ),
    "a section in its order": (
        [Edit("add_table", ("fuel",), {"kind": "own"})],
        "# kept\n", '# kept\n\n[fuel]\nkind = "own"\n',
    ),
    "a section before another, above its remark": (
        [Edit("add_table", ("line", 1), {"name": "x"})],
        "# the other one\n", '[[line]]\nname = "x"\n\n# the other one\n',
    ),
    "a section below another": (
        [Edit("add_table", ("engine", "carburettor"), {"bowl_pressure": "0 Pa"})],
        "# from the manual\n",
        '# from the manual\n\n[engine.carburettor]\nbowl_pressure = "0 Pa"\n',
    ),
    "a section out, remarks stay": (
        [Edit("unset", ("line", 1))], '[[line]]\nname = "feed"\n', "",
    ),
    "another key": (
        [Edit("rename", ("engine", "burn"), "descent_burn")], "\nburn =", "\ndescent_burn =",
    ),
    "the first element of a list that is not there": (
        [Edit("insert", ("line", 1, "parts", 0), {"part": "elbow 45"})],
        'name = "feed"\n', 'name = "feed"\nparts = [{ part = "elbow 45" }]\n',
    ),
}  # fmt: skip


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
@pytest.mark.parametrize("name", EDITS)
def test_an_edit_changes_its_own_place_only(name: str, ending: str) -> None:
    edits, old, new = EDITS[name]
    assert BEFORE.count(old) == 1
    before = ("\ufeff" + BEFORE).replace("\n", ending)
    wanted = ("\ufeff" + BEFORE.replace(old, new)).replace("\n", ending)
    assert edited(before, edits, lambda path: ORDER.get(path, ())) == wanted


REFUSED = {
    "nothing there": Edit("unset", ("engine", "feed")),
    "no such line": Edit("set", ("line", 7, "name"), "x"),
    "no table": Edit("set", ("title", "x"), 1),
    "a section is no value": Edit("set", ("engine",), 1),
    "remarks inside": Edit("set", ("line", 0, "via"), []),
    "a section that is there": Edit("add_table", ("engine",), {}),
    "an element that is no section": Edit("insert", ("line", 0), "x"),
    "a key that is there": Edit("rename", ("engine", "burn"), "inlet_at"),
    "beyond the end": Edit("remove", ("line", 0, "via", 2)),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_cannot_be_edited_says_so(name: str) -> None:
    with pytest.raises(EditError) as caught:
        edited(BEFORE, [REFUSED[name]])
    assert str(caught.value).isprintable()


def test_text_that_is_no_toml_is_not_edited() -> None:
    with pytest.raises(EditError, match="cannot be read"):
        edited("a = \n", [Edit("set", ("a",), 1)])


def test_a_line_over_the_limit_is_broken_before_an_element() -> None:
    text = 'points = [["1 in", "2 in", "3 in"]]\nafter = 1\n'
    for index in range(300):
        text = edited(
            text, [Edit("insert", ("points", index + 1), [f"{index} in", "2 in", "3 in"])]
        )
    assert max(map(len, text.split("\n"))) <= LONGEST_LINE
    assert len(read(text)["points"]) == 301


def test_a_wrong_cut_is_found_out_and_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Faults planted into the cuts: other data, no TOML, a remark lost."""
    edit = Edit("set", ("engine", "burn"), "6 US_gal/h")
    place = BEFORE.index('"5.6 US_gal/h"')
    remark = BEFORE.index("# where")
    for planted in (
        [(place, place + 14, '"7 US_gal/h"')],
        [(place, place + 14, '"6 US_gal/h')],
        [(place, place + 14, '"6 US_gal/h"'), (remark, BEFORE.index("\n", remark), "")],
        [(place, place + 14, '"6 US_gal/h"'), (place + 3, place + 5, "")],
    ):
        monkeypatch.setattr(
            "flowsim.files.toml.edits.cuts.set_value", lambda *_, planted=planted: planted
        )
        with pytest.raises(EditBugError, match="nothing was changed"):
            edited(BEFORE, [edit])


@pytest.mark.parametrize("name", texts())
def test_spans_hold_the_text_of_their_values(name: str) -> None:
    text = texts()[name]
    data, spans = read(text), spans_of(text)
    for path, (start, end) in spans.values.items():
        found = data
        for step in path:
            found = found[step]
        assert same(read(f"x = {text[start:end]}")["x"], found)
    assert set(paths(data)) == {path for path in spans.lines if path}
    remarks = [text[a:b] for a, b in spans.remarks(text)]
    assert remarks == re.findall(r"(?m)^[ \t]*#.*\n", text)


def test_values_are_written_as_they_are_read() -> None:
    generator = random.Random(7)
    for _ in range(500):
        made = value(generator)
        assert same(read(f"x = {written(made)}")["x"], made)
    with pytest.raises(TypeError):
        written(None)


def test_random_edits_are_proved_and_keep_line_ends() -> None:
    """Reduced; ``python -m tests.benchmarks.bench_page --edits 10000`` makes the whole number."""
    assert run_edits(600, seed=20260101) >= 600


def run_edits(wanted: int, seed: int) -> int:
    """Make random edits on every text and form of it; each is proved by ``edited`` itself."""
    generator = random.Random(seed)
    every = texts()
    done = 0
    while done < wanted:
        name = generator.choice(sorted(every))
        how, text = generator.choice(sorted(variants(every[name], generator).items()))
        for _ in range(generator.randint(1, 5)):
            edit = random_edit(generator, read(text))
            try:
                changed = edited(text, [edit])
            except EditError:
                continue
            assert changed.startswith("\ufeff") == text.startswith("\ufeff")
            if how in ("CRLF", "BOM CRLF"):
                assert not re.search(r"(?<!\r)\n", changed)
            if how == "as it is":
                assert "\r" not in changed
            text = changed
            done += 1
    return done


QUOTES = {
    "bare value": ("\ufeffa = 3/8 in # r\r\nb = 1\r\n", '\ufeffa = "3/8 in" # r\r\nb = 1\r\n'),
    "list": ("a = [31.5 in, 2 in]\n", 'a = ["31.5 in", "2 in"]\n'),
    "yes": ("a = True\n", "a = true\n"),
    "nothing missing": ('a = "3/8 in"\n', None),
    "given twice is not about quotes": ("a = 1\na = 2\nb = 3 in\n", None),
    "no TOML at all": ("a = [\n", None),
}


@pytest.mark.parametrize("name", QUOTES)
def test_quotes_are_put_in(name: str) -> None:
    before, after = QUOTES[name]
    assert with_quotes(before) == after
