"""Bends, supports, sag, clearances, crossings and the cut list."""

import math

import pytest

from flowsim.document.words.telling import all_told, told
from flowsim.files.results.routing_json import fittings_told
from flowsim.studies.routing.result import Grade, RoutingResult
from flowsim.studies.routing.study import route_study
from tests.support.routing_case import line, system_of

FALLING = [(2.0, 0.0, 1.0), (1.0, 0.1, 0.5)]
HOSE = 'hose_bore = "8 mm"\nmaterial = "rubber hose"'


def words(result: RoutingResult, topic: str, grade: Grade) -> list[str]:
    return [told(f.words) for f in result.findings if f.topic == topic and f.grade is grade]


def test_bend_below_the_table_is_to_be_mended() -> None:
    """3/8 in aluminium tube: 15/16 in = 23.8 mm (AC 43.13-1B table 9-2, from memory)."""
    tight = route_study(system_of(line("feed", "tank.out", "engine", FALLING, bend="20 mm")))
    assert "less than 23.8 mm" in words(tight, "bend radius", Grade.MEND)[0]
    wide = route_study(system_of(line("feed", "tank.out", "engine", FALLING, bend="24 mm")))
    assert not words(wide, "bend radius", Grade.MEND)
    assert [bend.point for bend in wide.bends] == [1, 2]


def test_maker_s_radius_replaces_the_table() -> None:
    more = '[line.installation]\nleast_bend_radius = "60 mm"\n'
    text = line("feed", "tank.out", "engine", FALLING, bend="50 mm", more=more)
    assert "less than 60.0 mm" in words(route_study(system_of(text)), "bend radius", Grade.MEND)[0]


def test_soft_tube_has_no_table() -> None:
    size = 'tube = "3/8 in x 1/16 in"\nmaterial = "plastic tube"'
    result = route_study(system_of(line("feed", "tank.out", "engine", FALLING, size=size)))
    assert words(result, "bend radius", Grade.UNKNOWN)
    assert words(result, "supports", Grade.UNKNOWN)


def test_straight_rigid_line_is_remarked_on_and_a_hose_is_not() -> None:
    rigid = route_study(system_of(line("feed", "tank.out", "engine", None)))
    assert words(rigid, "straight line", Grade.LOOK)
    hose = route_study(system_of(line("feed", "tank.out", "engine", None, size=HOSE)))
    assert not words(hose, "straight line", Grade.LOOK)


def test_spans_against_the_handbook_table() -> None:
    """3/8 in aluminium: 16.5 in = 419 mm (mechanic's handbook, from memory)."""
    along = ", ".join(f'"{number * 400} mm"' for number in range(1, 9) if number != 4)
    more = f"[line.installation]\nsupports_along = [{along}]\n"
    result = route_study(system_of(line("feed", "tank.out", "engine", FALLING, more=more)))
    found = words(result, "supports", Grade.MEND)
    assert len(found) == 1
    assert found[0].startswith("800.0 mm")
    assert "419.1 mm" in found[0]
    assert result.spans[0].largest == pytest.approx(16.5 * 0.0254)
    assert sum(span.end - span.start for span in result.spans) == pytest.approx(
        result.cuts[0].centre_line
    )


def test_supports_not_stated_are_not_known_and_counted_by_the_table() -> None:
    result = route_study(system_of(line("feed", "tank.out", "engine", FALLING)))
    cut = result.cuts[0]
    assert not cut.supports_stated
    assert cut.supports == math.ceil(cut.centre_line / (16.5 * 0.0254)) - 1
    assert f"needs {cut.supports}" in words(result, "supports", Grade.UNKNOWN)[0]


def test_soft_hose_sags_into_a_dip_between_supports() -> None:
    """Level run of 0.6 m, measured sag of 8 mm on 0.4 m rods: 8 x (0.6/0.4)^4 = 40.5 mm (Roark)."""
    more = (
        '[line.installation]\nsupports_along = ["1 m", "1.6 m"]\nsag = "8 mm"\nsag_span = "0.4 m"\n'
    )
    via = [(2.0, 0.0, 1.0), (1.0, 0.0, 1.0)]
    text = line("feed", "tank.out", "engine", via, size=HOSE, bend="105 mm", more=more)
    result = route_study(system_of(text))
    span = next(item for item in result.spans if item.start == pytest.approx(1.0))
    assert span.attitude in ("level", "banked")
    load = 1.0 if span.attitude == "level" else 1 / math.cos(math.radians(30.0))
    assert span.sag == pytest.approx(load * 0.008 * 1.5**4, rel=0.01)
    assert span.dip > 0.0
    assert words(result, "sag", Grade.MEND)


def test_without_a_measured_sag_a_hose_s_is_not_known() -> None:
    more = '[line.installation]\nsupports_along = ["1 m"]\n'
    text = line("feed", "tank.out", "engine", FALLING, size=HOSE, bend="105 mm", more=more)
    assert all(math.isnan(span.sag) for span in route_study(system_of(text)).spans)


def obstacle(kind: str, *points: str, more: str = "") -> str:
    rows = ", ".join(points)
    return f'[[obstacle]]\nname = "thing"\nkind = "{kind}"\npoints = [{rows}]\n{more}\n'


def test_clearance_is_from_surface_to_surface() -> None:
    """Vertical tube at station 2, a wire 30 mm aft of it, of 2 mm radius."""
    wire = obstacle("wire", '["2.03 m", "-1 m", "1.5 m"]', '["2.03 m", "1 m", "1.5 m"]',
                    more='radius = "2 mm"')  # fmt: skip
    result = route_study(system_of(line("feed", "tank.out", "engine", FALLING), wire))
    gap = result.clearances[0].gap
    assert gap == pytest.approx(0.03 - 0.002 - 0.5 * 0.375 * 0.0254, abs=5e-5)
    assert words(result, "clearance", Grade.LOOK)
    assert not words(result, "clearance", Grade.MEND)
    hot = obstacle("hot part", '["2.09 m", "0 m", "1.5 m"]')
    found = route_study(system_of(line("feed", "tank.out", "engine", FALLING), hot))
    (near,) = words(found, "clearance", Grade.MEND)
    assert "no sleeve makes up for it" in near
    edge = obstacle("structure edge", '["2.005 m", "0 m", "1.5 m"]')
    found = route_study(system_of(line("feed", "tank.out", "engine", FALLING), edge))
    assert all("or a support and a sleeve" in w for w in words(found, "clearance", Grade.MEND))
    stated = obstacle("hot part", '["2.09 m", "0 m", "1.5 m"]', more='least = "50 mm"')
    found = route_study(system_of(line("feed", "tank.out", "engine", FALLING), stated))
    assert not words(found, "clearance", Grade.MEND)


def test_wire_below_the_line_is_remarked_on() -> None:
    wire = obstacle("wire", '["0.5 m", "-1 m", "0 m"]', '["0.5 m", "1 m", "0 m"]')
    result = route_study(system_of(line("feed", "tank.out", "engine", FALLING), wire))
    assert any("lies below" in text for text in words(result, "clearance", Grade.LOOK))


TWO = """[[junction]]
name = "a"
at = ["1.5 m", "0 m", "1 m"]
[[junction]]
name = "b"
at = ["1 m", "0 m", "0.6 m"]
"""


def test_lines_that_cross_in_the_top_view() -> None:
    """The loop back over the feed 100 mm higher passes above it."""
    lines = (
        line("one", "tank.out", "a", None),
        line("two", "a", "b", [(1.2, 0.4, 0.9), (0.6, 0.4, 0.8), (0.6, -0.2, 0.75)]),
        line("three", "b", "engine", [(0.5, 0.05, 0.3)]),
    )
    result = route_study(system_of(*lines, TWO))
    found = [item for item in result.crossings if item.view == "top"]
    assert len(found) == 1
    assert (found[0].outside, found[0].inside, told(found[0].words)) == ("two", "three", "above")
    assert found[0].apart > 0.0
    pair = next(c for c in result.clearances if {c.line, c.other} == {"two", "three"})
    assert pair.gap <= found[0].apart + 1e-9


def test_cut_list_adds_up() -> None:
    more = (
        '[line.installation]\nsupports_along = []\nstart_make_up = "20 mm"\nend_make_up = "25 mm"\n'
    )
    parts = 'parts = [{ part = "straight union", count = 2 }, { part = "elbow 90", bore = "7 mm" }]'
    text = line("feed", "tank.out", "engine", FALLING, more=f"{parts}\n{more}")
    crossing = (
        '[[crossing]]\nname = "rib"\nline = "feed"\nkind = "rib"\n'
        'at = ["2 m", "0 m", "1.5 m"]\nsleeve = "50 mm"\n'
    )
    result = route_study(system_of(text, crossing, '[routing]\ntrim = "10 mm"\n'))
    cut = result.cuts[0]
    assert cut.pieces == 3
    assert cut.cut == pytest.approx(cut.centre_line - 0.045 + 3 * 2 * 0.010)
    assert (cut.sleeves, cut.sleeve_length) == (1, pytest.approx(0.05))
    outside, bore = 0.375 * 0.0254, 0.305 * 0.0254
    wall = math.pi / 4 * (outside**2 - bore**2)
    assert cut.tube_mass == pytest.approx(2700.0 * wall * (cut.centre_line - 0.045))
    assert cut.fuel_volume == pytest.approx(math.pi / 4 * bore**2 * cut.centre_line)
    assert dict(fittings_told(result)) == {
        "straight union, bore 7.75 mm": 2,
        "elbow 90, bore 7.00 mm": 1,
        "drain": 1,
    }
    assert not any("trim" in text for text in all_told(result.assumptions))


def test_drain_far_from_its_line_is_remarked_on() -> None:
    drain = '[[drain]]\nname = "d"\nreaches = "feed"\nat = ["1 m", "0.2 m", "0.5 m"]\n'
    result = route_study(system_of(line("feed", "tank.out", "engine", FALLING), drain))
    assert words(result, "drain", Grade.LOOK)
