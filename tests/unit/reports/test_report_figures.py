"""Pictures: well-formed, named axes with units, escaped, legible in grey and by contrast."""

import re
import xml.etree.ElementTree as ET

import pytest

from flowsim.document.blocks import Figure
from flowsim.document.pictures import BandRow, Bands, Head, HeadRow, Ranking, RankRow
from flowsim.reports.figures.draw import draw
from flowsim.reports.figures.drawing import WIDTH, Axis, Drawing
from flowsim.reports.figures.looks import DARK, LIGHT, fixed_sheet, sheet
from tests.support.report_cases import report_of

CASES = ("four-outlets", "nose-high", "one-tank", "humps")
HOSTILE = '<script>alert("x")</script> & ]]> \x1b[31m'
WITH_UNITS = {
    "bands": ["percent of the required"],
    "flow": ["pitch, degrees", "flow, kg/h"],
    "margin": ["pitch, degrees", "in each tank, L"],
    "head": ["mm of fuel"],
    "pressure": ["distance along the lines from the outlet, mm", "height over datum, mm"],
    "view": [" mm "],
    "scheme": [" mm"],
    "ranking": ["percent"],
}


def figures(name):
    blocks = [block for section in report_of(name).sections for block in section.blocks]
    return [block for block in blocks if isinstance(block, Figure)]


@pytest.mark.parametrize("name", CASES)
def test_every_picture_is_well_formed_inside_its_sheet_and_names_its_units(name):
    kinds = set()
    for number, figure in enumerate(figures(name)):
        svg = draw(figure.picture).svg(f"f{number}", figure.alt)
        root = ET.fromstring(svg)
        kinds.add(figure.picture.kind)
        assert "nan" not in svg.lower()
        assert root.get("role") == "img"
        assert root.find("{http://www.w3.org/2000/svg}title").text
        height = float(root.get("height"))
        words = list(root.iter("{http://www.w3.org/2000/svg}text"))
        for word in words:
            assert 0.0 <= float(word.get("x")) <= WIDTH
            assert 0.0 <= float(word.get("y")) <= height
            # As many pixels on the narrowest telephone (tests/report_browser measures it).
            assert float(word.get("font-size")) >= 11.0
        told = " ".join(word.text or "" for word in words)
        for wanted in WITH_UNITS[figure.picture.kind]:
            assert wanted in told
    assert kinds >= {"bands", "scheme", "view", "flow", "margin", "head"}


@pytest.mark.parametrize("name", CASES)
def test_flow_shows_requirement_burn_and_test_attitude(name):
    for figure in figures(name):
        if figure.picture.kind == "flow":
            svg = draw(figure.picture).svg("f", figure.alt)
            for wanted in (">required ", ">full-power burn ", ">test ", ">climb ", 'class="rq"'):
                assert wanted in svg


def test_words_from_a_case_stay_words():
    row = HeadRow(part=HOSTILE, line=HOSTILE, before_mm=0.0, loss_mm=1.0)
    svg = draw(Head(title=HOSTILE, available_mm=1.0, rows=(row,))).svg("f", HOSTILE)
    ET.fromstring(svg)
    assert "<script" not in svg
    assert "\x1b" not in svg


def test_no_rows_and_a_single_point_are_drawn():
    assert draw(Ranking(rows=())).svg("f", "nothing")
    drawing = Drawing(10.0)
    drawing.chain([(1.0, 1.0)], "c0")
    assert drawing.items == []


def test_shares_of_either_sign_are_drawn():
    rows = (
        RankRow(name="a", share_percent=40.0, error_percent=1.0),
        RankRow(name="b", share_percent=-0.2, error_percent=0.3),
    )
    assert ">-0.2<" in draw(Ranking(rows=rows)).svg("f", "ranking")


def test_an_axis_keeps_to_its_ends_and_has_round_ticks():
    axis = Axis(0.0, 10.0, 100.0, 200.0)
    assert axis.at(5.0) == 150.0
    assert axis.at(99.0) == 200.0
    assert axis.ticks(5) == [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]


def luminance(colour):
    """Relative luminance, WCAG 2.1 (W3C Recommendation, 2018); from memory."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one, other):
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_words_have_the_contrast_of_wcag_aa(colours):
    """4.5 to 1 for words (WCAG 2.1, success criterion 1.4.3; from memory)."""
    for ink in ("ink", "soft", "mark"):
        for ground in ("paper", "tint"):
            assert contrast(colours[ink], colours[ground]) >= 4.5


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_shades_of_the_map_keep_their_order_in_grey(colours):
    shades = [luminance(colours[f"m{number}"]) for number in range(5)]
    assert shades in (sorted(shades), sorted(shades, reverse=True))
    assert min(contrast(colours[f"m{n}"], colours[f"m{n + 1}"]) for n in range(4)) > 1.25


def test_every_class_has_a_look_and_fixed_looks_need_no_variables():
    assert "var(" not in fixed_sheet("Some Font")
    known = set(re.findall(r"\.([a-z]\w)\b", sheet()))
    used = set()
    for name in CASES:
        for figure in figures(name):
            svg = draw(figure.picture).svg("f", figure.alt)
            for classes in re.findall(r'class="([^"]+)"', svg):
                used |= set(classes.split())
    assert used - {"fig", "ml"} <= known


def test_a_band_shows_the_figures_of_the_tables_rounded_down():
    rows = (
        BandRow(name="short", nominal_percent=103.0, low_percent=99.96, middle_percent=103.0,
                high_percent=206.9),
        BandRow(name="alone", nominal_percent=99.96, low_percent=None, middle_percent=None,
                high_percent=None),
    )  # fmt: skip
    svg = draw(Bands(rows=rows)).svg("f", "bands")
    assert "99.9 to 206 %" in svg
    assert "99.9 %<" in svg
