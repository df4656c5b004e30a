"""``mirror``: what is written once is the very system that is written out."""

import re
from collections.abc import Callable

import pytest

from flowsim.errors import Mistake
from flowsim.files.case.mirror import _SHAPE
from flowsim.files.case.reader import read_case_text
from flowsim.files.case.shapes import _FLOOR, _KEYS, full_quantity
from flowsim.files.case.sides import names_side, other_side, turned
from flowsim.files.case.source import open_case
from tests.support.same_system import same_system

Read = Callable[[str], list[Mistake]]

_INCH = 0.0254

# --- mirror, on the two tanks of the reader's tests

_MORE = """
[[tank]]
name = "right"
mirror = "left"
"""


def _two(two_tanks: str, right: str, lines: str = "") -> str:
    """The left tank and its lines, the right ones as given."""
    tank = two_tanks.index('[[tank]]\nname = "right"')
    text = two_tanks[:tank] + right + two_tanks[two_tanks.index('[[line]]\nname = "left front"') :]
    start = text.index('[[line]]\nname = "right down"')
    end = text.index("[[line]]", start + 1)
    more = """
[[line]]
mirror = "left front"
[[line]]
mirror = "left rear"
[[line]]
mirror = "left down"
[[tee]]
mirror = "left tee"
"""
    return text[:start] + text[end:] + more + lines


def _right(text: str) -> str:
    """The right side written out by hand: sides exchanged, buttlines with the other sign."""
    text = text.replace("left", "right")
    return re.sub(
        r'\["([^"]+)", "(-?)([0-9.]+ in)", ',
        lambda m: f'["{m[1]}", "{"" if m[2] else "-"}{m[3]}", ',
        text,
    )


def _section(text: str, start: str) -> str:
    at = text.index(start)
    end = text.find("\n\n[[", at)
    return text[at : len(text) if end < 0 else end] + "\n"


def _both(two_tanks: str, override: str = "", instead: tuple[str, str] = ("", "")) -> list[str]:
    """The mirrored case, and the same written out with the override in its place."""
    mirrored = _two(two_tanks, _MORE + override)
    tank = two_tanks[two_tanks.index("[[tank]]") : two_tanks.index('[[tank]]\nname = "right"')]
    lines = [_section(two_tanks, f'[[line]]\nname = "left {x}"') for x in ("front", "rear", "down")]
    tee = _section(two_tanks, '[[tee]]\nname = "left tee"')
    out = _two(two_tanks, _right(tank).replace(*instead))
    out = out[: out.index('\n[[line]]\nmirror = "left front"')]
    return [mirrored, out + "\n" + "\n".join(_right(part) for part in (*lines, tee))]


def test_mirrored_tank_lines_and_tee_are_those_written_out(two_tanks: str) -> None:
    mirrored, out = _both(two_tanks)
    first, second = (read_case_text(text, "case.toml") for text in (mirrored, out))
    same_system(first, second)
    right = first.tanks[1]
    assert right.name == "right"
    assert right.outlets[0].at == pytest.approx((10 * _INCH, 30 * _INCH, 60.5 * _INCH))
    assert [line.name for line in first.lines if line.start.startswith("right.")] == [
        "right front", "right rear",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("override", "instead"),
    [
        ('capacity = "14 US_gal"\n', ('capacity = "15 US_gal"', 'capacity = "14 US_gal"')),
        ('unusable = "1.5 US_gal"\n', ('unusable = "1 US_gal"', 'unusable = "1.5 US_gal"')),
        (
            'vent = { kind = "forward" }\n',
            ('vent = { kind = "cap", group = "both" }', 'vent = { kind = "forward" }'),
        ),
        (
            '[[tank.outlet]]\nname = "rear"\nbore = "0.25 in"\n',
            ('bore = "0.305 in"\nstyle', 'bore = "0.25 in"\nstyle'),
        ),
    ],
)
def test_single_values_of_a_mirror_are_its_own(
    override: str, instead: tuple[str, str], two_tanks: str
) -> None:
    """A key of the tank, a table, one key of one outlet: the rest is the mirror's."""
    mirrored, out = _both(two_tanks, override, instead)
    first, second = (read_case_text(text, "case.toml") for text in (mirrored, out))
    same_system(first, second, free=("not_said", "provenance"))


def test_a_mirror_of_another_shape_takes_over_nothing_of_the_shape(two_tanks: str) -> None:
    own = (
        'shape = "cells"\ncells = [[["10 in", "30 in", "60 in"], ["30 in", "30 in", "60 in"], '
        '["30 in", "60 in", "60 in"], ["10 in", "60 in", "60 in"], ["10 in", "30 in", "66 in"], '
        '["30 in", "30 in", "66 in"], ["30 in", "60 in", "66 in"], ["10 in", "60 in", "66 in"]]]\n'
    )
    left, right = read_case_text(_two(two_tanks, _MORE + own), "case.toml").tanks
    assert full_quantity(right.shape) == pytest.approx(full_quantity(left.shape))
    found = open_case(_two(two_tanks, _MORE + own), "x").ledger.source.data["tank"][1]
    assert "corners" not in found


def test_every_key_of_a_shape_goes_with_it() -> None:
    """Each key that a shape of its own stands instead of, by the keys that shapes take."""
    shapes = {key for keys in _KEYS.values() for key in keys} | {*_FLOOR, "dip_roll"}
    assert set(_SHAPE) == shapes


def test_the_order_of_original_and_mirror_does_not_matter(two_tanks: str) -> None:
    text = _two(two_tanks, _MORE)
    at = text.index("[[tank]]")
    first = text.replace(_MORE, "")
    first = first[:at] + _MORE + "\n" + first[at:]
    a, b = read_case_text(text, "x"), read_case_text(first, "x")
    assert {tank.name: tank for tank in a.tanks} == {tank.name: tank for tank in b.tanks}


def test_a_mirror_of_a_mirror_is_the_original_but_for_its_name(two_tanks: str) -> None:
    text = _two(two_tanks, _MORE + '[[tank]]\nname = "left spare"\nmirror = "right"\n')
    found = open_case(text, "x").ledger.source.data["tank"]
    assert {**found[2], "name": ""} == {**found[0], "name": ""}


def test_names_of_sides() -> None:
    pairs = [
        ("left tee", "right tee"), ("Left", "Right"), ("tank L", "tank R"), ("LH sump", "RH sump"),
        ("left_front.rear", "right_front.rear"), ("port wing", "starboard wing"), ("LEFT", "RIGHT"),
        ("selector", "selector"), ("leftover", "leftover"), ("l", "l"),
        ("left to right", "right to left"),
    ]  # fmt: skip
    for name, other in pairs:
        assert other_side(name) == other
        assert other_side(other) == name
    assert names_side("left tee", "left")
    assert not names_side("left to right", "left")
    assert not names_side("selector", "left")


@pytest.mark.parametrize(
    ("value", "other"),
    [
        ("-20 in", "20 in"), ("20 in", "-20 in"), ("+20 in", "-20 in"), ("0 in", "0 in"),
        ("-5' 3\"", "5' 3\""), ("\u22125 in", "5 in"), ("5 ft 3 in", "-5 ft 3 in"), (3, 3),
        ({"value": "-1 m", "from": "measured"}, {"value": "1 m", "from": "measured"}),
        ("abc", "abc"), ("31,5 in", "-31,5 in"),
    ],
)  # fmt: skip
def test_the_sign_of_a_buttline(value: object, other: object) -> None:
    assert turned("at", ["1 in", value, "2 in"]) == ["1 in", other, "2 in"]
    assert turned("via", [["1 in", value, "2 in"]]) == [["1 in", other, "2 in"]]
    assert turned("right", value) == other
    assert turned("rise", value) == value


def test_every_point_of_every_section_is_turned() -> None:
    """Each key of the format that holds a point is one that is turned."""
    from flowsim.files.case import models_lines as lines
    from flowsim.files.case import models_routing as routing
    from flowsim.files.case import models_tanks as tanks
    from flowsim.files.case.sides import POINTS

    sections = [lines.LineSection, lines.JunctionSection, lines.TeeSection, lines.DrainSection,
                tanks.TankSection, tanks.OutletSection, routing.ObstacleSection,
                routing.CrossingSection, routing.VentLineSection,
                routing.InstallationSection]  # fmt: skip
    holding = {
        key
        for section in sections
        for key, value in section.model_json_schema(by_alias=True)["properties"].items()
        if '"x-flowsim": "point"' in toml_json(value)
    }
    assert holding
    assert holding <= set(POINTS)


def toml_json(value: object) -> str:
    import json

    return json.dumps(value)


def test_a_mistake_of_the_mirror_alone_names_its_line(two_tanks: str, mistakes: Read) -> None:
    """The override moves the outlet away from the copied via, whose bend then does not fit."""
    text = _two(two_tanks, _MORE).replace(
        '[[line]]\nmirror = "left front"',
        '[[line]]\nmirror = "left front"\nvia = [["10 in", "29.9 in", "60.4 in"]]',
    )
    (found,) = mistakes(text)
    line = text.count("\n", 0, text.index('mirror = "left front"')) + 1
    copied = text.count("\n", 0, text.index('bend_radius = "0.5 in"')) + 1
    assert (found.line, found.item) == (line, 'line "right front", bend_radius')
    assert "too short for its bend" in found.problem
    assert f"(copied from line {copied}; write bend_radius = ... here to change it" in found.remedy


def test_an_override_of_its_own_is_blamed_on_its_line(two_tanks: str, mistakes: Read) -> None:
    text = _two(two_tanks, _MORE + 'capacity = "14 gal"\n')
    (found,) = mistakes(text)
    assert found.item == 'tank "right", capacity'
    assert found.line == text.count("\n", 0, text.index('"14 gal"')) + 1


_MIRROR_MISTAKES = {
    "unknown": ('mirror = "lefft"', "there is no tank called", 'did you mean "left"?'),
    "itself": ('mirror = "right"', "it mirrors itself", "name another"),
    "no name": ("mirror = 3", "3 is not a name", 'write mirror = "left"'),
}


@pytest.mark.parametrize("name", _MIRROR_MISTAKES)
def test_mistakes_of_the_key_mirror(name: str, two_tanks: str, mistakes: Read) -> None:
    new, problem, remedy = _MIRROR_MISTAKES[name]
    text = _two(two_tanks, _MORE.replace('mirror = "left"', new))
    found = [m for m in mistakes(text) if m.item == 'tank "right", mirror']
    assert len(found) == 1
    assert problem in found[0].problem
    assert remedy in found[0].remedy
    assert found[0].line == text.count("\n", 0, text.index(new)) + 1


def test_two_that_mirror_each_other(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks + '[[drain]]\nmirror = "right x"\nname = "left x"\n'
    text += '[[drain]]\nmirror = "left x"\nname = "right x"\n'
    assert [m.problem for m in mistakes(text)] == ["they mirror each other"]


def test_a_name_without_a_side_needs_another(two_tanks: str, mistakes: Read) -> None:
    text = two_tanks + '[[drain]]\nmirror = "bowl drain"\n'
    assert any("names no side" in m.problem and 'name = "..."' in m.remedy for m in mistakes(text))


def test_a_tank_across_the_middle_has_no_mirror(two_tanks: str, mistakes: Read) -> None:
    text = _two(two_tanks, _MORE).replace(
        '["30 in", "-30 in", "66 in"]]', '["30 in", "30 in", "66 in"]]'
    )
    assert any("lies on both sides of buttline 0" in m.problem for m in mistakes(text))


def test_a_reference_without_its_other_side_is_not_joined_to_this_side(
    two_tanks: str, mistakes: Read
) -> None:
    """Without the mirrored tee the mirrored lines have no end; they are not led to the left one."""
    text = _two(two_tanks, _MORE).replace('[[tee]]\nmirror = "left tee"\n', "")
    found = [m for m in mistakes(text) if 'called "right tee"' in m.problem]
    assert [m.item for m in found] == [
        'line "right front", to', 'line "right rear", to', 'line "right down", from',
    ]  # fmt: skip
    assert found[0].line == text.count("\n", 0, text.index('mirror = "left front"')) + 1
