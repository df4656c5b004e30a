"""Corners of a line: a radius each, made by a fitting, or stated where no points are known."""

import math
from collections.abc import Callable

import pytest

from flowsim.errors import Mistake
from flowsim.files.case.reader import read_case_text
from flowsim.physics.losses.formed_fittings import bend
from flowsim.system.lines import Line, StatedCorner
from flowsim.system.parts import MinorLoss

Read = Callable[[str], list[Mistake]]

_INCH = 0.0254


def _rig(line: str) -> str:
    """A reservoir, one line with two right angles (10 in, 10 in, 10 in), water."""
    return f"""title = "Rig"
[fuel]
kind = "water"
temperatures = ["20 degC"]
[engine]
inlet_at = ["10 in", "10 in", "10 in"]
feed = "gravity"
burn = "10 kg/h"
[flight]
climb_pitch = "10 deg"
climb_speed = "60 kt"
pressure_altitude = "0 ft"
[test]
draw = "1 L"
[[tank]]
name = "top"
shape = "level"
surface_at = ["0 in", "0 in", "40 in"]
[[tank.outlet]]
name = "out"
at = ["0 in", "0 in", "20 in"]
bore = "8 mm"
[[line]]
name = "only"
from = "top.out"
to = "engine"
bore = "8 mm"
{line}
"""


_VIA = 'via = [["0 in", "0 in", "10 in"], ["10 in", "0 in", "10 in"]]\n'
_ELBOW = 'parts = [{ part = "elbow 90", name = "post elbow", bore = "7 mm" }]\n'


def _line(text: str) -> Line:
    return read_case_text(_rig(text), "rig").lines[0]


def _bends(line: Line) -> list[MinorLoss]:
    return [p for p in line.parts if isinstance(p, MinorLoss) and p.kind == "tube bend 90"]


def test_each_corner_has_its_own_radius() -> None:
    line = _line(_VIA + 'bend_radius = "1 in"\ncorners = [{ point = 2, radius = "2 in" }]')
    assert line.radii == pytest.approx((1 * _INCH, 2 * _INCH))
    assert line.tightest_bend == pytest.approx(_INCH)
    saved = 2.0 - math.pi / 2.0
    assert line.length == pytest.approx((30.0 - 3.0 * saved) * _INCH, rel=1e-12)
    right = math.pi / 2.0
    expected = [bend(right, radius * _INCH, 0.008, "x").k_inf for radius in (1.0, 2.0)]
    assert [b.k_inf for b in _bends(line)] == pytest.approx(expected)


def test_equal_radii_are_the_same_however_they_are_written() -> None:
    once = _line(_VIA + 'bend_radius = "1.5 in"')
    each = _line(
        _VIA + 'corners = [{ point = 1, radius = "1.5 in" }, { point = 2, radius = "1.5 in" }]'
    )
    assert (each.parts, each.length, each.route) == (once.parts, once.length, once.route)
    assert each.radii == once.radii


def test_a_corner_made_by_an_elbow_is_counted_once() -> None:
    """No bend there, no length saved, and the elbow once among the parts."""
    line = _line(
        _VIA
        + 'bend_radius = "1 in"\n'
        + _ELBOW
        + 'corners = [{ point = 1, fitting = "Post elbow" }]'
    )
    assert [b.name for b in _bends(line)] == ["bend 90 deg at point 2"]
    assert [p.kind for p in line.parts if isinstance(p, MinorLoss)].count("elbow 90") == 1
    assert line.length == pytest.approx((30.0 - (2.0 - math.pi / 2.0)) * _INCH, rel=1e-12)
    assert line.radii == pytest.approx((0.0, _INCH))


def test_an_elbow_may_be_named_by_what_it_is_and_no_radius_is_needed_then() -> None:
    parts = 'parts = [{ part = "elbow 90", bore = "7 mm", count = 2 }]\n'
    both = 'corners = [{ point = 1, fitting = "elbow 90" }, { point = 2, fitting = "elbow 90" }]'
    line = _line(_VIA + parts + both)
    assert _bends(line) == []
    assert line.length == pytest.approx(30.0 * _INCH)
    assert line.tightest_bend is None


def test_a_corner_far_off_its_elbows_angle_is_remarked_on() -> None:
    parts = 'parts = [{ part = "elbow 45", name = "post elbow", bore = "7 mm" }]\n'
    system = read_case_text(
        _rig(
            _VIA
            + 'bend_radius = "1 in"\n'
            + parts
            + 'corners = [{ point = 1, fitting = "post elbow" }]'
        ),
        "rig",
    )
    (found,) = [text for text in system.cautions if "makes it" in text]
    made = '"post elbow", which makes it, is an elbow 45'
    assert found == f'line "only", corner 1: it turns by 90 deg, and {made}'


def test_corners_without_points_are_charged_and_their_length_is_the_lines() -> None:
    line = _line(
        'length = "40 in"\nbend_radius = "1.5 in"\n'
        'corners = [{ angle = "90 deg", count = 2 }, { angle = "45 deg", radius = "3 in" }]'
    )
    assert line.length == pytest.approx(40 * _INCH)
    assert line.corners == (
        StatedCorner(angle=pytest.approx(math.pi / 2), radius=pytest.approx(1.5 * _INCH), count=2),
        StatedCorner(angle=pytest.approx(math.pi / 4), radius=pytest.approx(3 * _INCH)),
    )
    first, second = _bends(line)
    assert (first.count, second.count) == (2, 1)
    assert first.k_inf == bend(math.pi / 2, 1.5 * _INCH, 0.008, "x").k_inf
    assert second.k_inf == pytest.approx(bend(math.pi / 4, 3 * _INCH, 0.008, "x").k_inf)


_MISTAKES = {
    "no such point": (
        _VIA + 'bend_radius = "1 in"\ncorners = [{ point = 3, radius = "2 in" }]',
        'line "only", corner 1, point', "via has 2 points, no point 3", "from 1",
    ),
    "point twice": (
        _VIA + 'corners = [{ point = 1, radius = "1 in" }, { point = 1, radius = "2 in" }, '
        '{ point = 2, radius = "2 in" }]',
        'line "only", corner 2, point', "point 1 is given twice", "keep one",
    ),
    "no point": (
        _VIA + 'bend_radius = "1 in"\ncorners = [{ radius = "2 in" }]',
        'line "only", corner 1, point', "is missing", "point = 1",
    ),
    "neither": (
        _VIA + 'bend_radius = "1 in"\ncorners = [{ point = 1 }]',
        'line "only", corner 1', "neither radius nor fitting", 'radius = "2 in"',
    ),
    "both": (
        _VIA + 'bend_radius = "1 in"\n' + _ELBOW
        + 'corners = [{ point = 1, radius = "2 in", fitting = "post elbow" }]',
        'line "only", corner 1', "gives both", "fitting",
    ),
    "angle with points": (
        _VIA + 'bend_radius = "1 in"\ncorners = [{ point = 1, radius = "2 in", angle = "90 deg" }]',
        'line "only", corner 1, angle', "the points of via give it", "delete it",
    ),
    "no such fitting": (
        _VIA + 'bend_radius = "1 in"\n' + _ELBOW
        + 'corners = [{ point = 1, fitting = "pst elbow" }]',
        'line "only", corner 1, fitting', 'no part called "pst elbow"',
        'did you mean "post elbow"?',
    ),
    "one elbow for two corners": (
        _VIA + _ELBOW + 'corners = [{ point = 1, fitting = "post elbow" }, '
        '{ point = 2, fitting = "post elbow" }]',
        'line "only", corner 2, fitting', "makes 2 corners but is there once", "count = 2",
    ),
    "two of a name": (
        _VIA + 'bend_radius = "1 in"\nparts = [{ part = "elbow 90", bore = "7 mm" }, '
        '{ part = "elbow 90", bore = "7 mm" }]\ncorners = [{ point = 1, fitting = "elbow 90" }]',
        'line "only", corner 1, fitting', '2 parts are called "elbow 90"', "name of its own",
    ),
    "straight on": (
        'via = [["0 in", "0 in", "15 in"], ["0 in", "0 in", "10 in"], ["10 in", "0 in", "10 in"]]\n'
        'bend_radius = "1 in"\ncorners = [{ point = 1, radius = "2 in" }]',
        'line "only", corner 1', "runs straight on at point 1", "delete the corner",
    ),
    "fitting without points": (
        'length = "40 in"\n' + _ELBOW + 'corners = [{ fitting = "post elbow", angle = "90 deg", '
        'radius = "1 in" }]',
        'line "only", corner 1, fitting', "has no via", "only stands in parts",
    ),
    "angle missing": (
        'length = "40 in"\ncorners = [{ radius = "1 in" }]',
        'line "only", corner 1, angle', "is missing", 'angle = "90 deg"',
    ),
    "radius missing": (
        'length = "40 in"\ncorners = [{ angle = "90 deg" }]',
        'line "only", corner 1, radius', "is missing", "bend_radius of the line",
    ),
    "tighter than its bore": (
        'length = "40 in"\ncorners = [{ angle = "90 deg", radius = "5 mm" }]',
        'line "only", corner 1, radius', "is below one bore", "",
    ),
    "longer than the line": (
        'length = "18 in"\ncorners = [{ angle = "90 deg", radius = "6 in", count = 2 }]',
        'line "only", length', "its bends alone are 18.85 in long", "correct the length",
    ),
    "leg too short for two radii": (
        _VIA + 'bend_radius = "4 in"\ncorners = [{ point = 2, radius = "7 in" }]',
        'line "only", corner 1, radius', "leg 2, from point 1 of via to point 2 of via, is 10 in "
        "long, too short for its bends of radius 4 in and 7 in, which take 11 in",
        'write radius = "6 in" or less',
    ),
    "leg too short for any bend": (
        'via = [["0 in", "0 in", "10 in"], ["0.5 in", "0 in", "10 in"], '
        '["0.5 in", "10 in", "10 in"]]\n'
        'bend_radius = "1 in"',
        'line "only", bend_radius', "leg 2", "let a fitting make the corner",
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", _MISTAKES)
def test_mistakes_of_corners(name: str, mistakes: Read) -> None:
    text, item, problem, remedy = _MISTAKES[name]
    found = mistakes(_rig(text))
    assert [m.item for m in found] == [item], "\n".join(str(m) for m in found)
    assert problem in found[0].problem
    assert remedy in found[0].remedy
    key = "corners" if "corner" in item else item.rsplit(", ", 1)[1]
    assert _rig(text).split("\n")[(found[0].line or 0) - 1].startswith(key)
