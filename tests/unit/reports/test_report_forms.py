"""The report as data, page and PDF: complete, repeatable, escaped, standing alone."""

import importlib.util
import json
import re
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import jsonschema
import pytest

from flowsim.document.blocks import Figure
from flowsim.errors import InputError, OutputError
from flowsim.files.case.reader import read_case
from flowsim.files.results.report_model import Report
from flowsim.files.results.report_object import read_report, report_json, report_schema, seal_of
from flowsim.reports.render import pdf as pdf_module
from flowsim.reports.render.html import STANDING, TEMPLATES, json_in_page, report_html
from flowsim.reports.render.pdf import pdf_content, report_pdf
from flowsim.reports.sections import studies
from flowsim.reports.sections.build import PROVIDERS, build_report
from flowsim.reports.sections.closing import given_ticks
from flowsim.reports.words.sources import FULL
from flowsim.system.points import Point
from flowsim.system.routing import Crossing, Obstacle
from tests.support.report_cases import CASE, CASES, DATE, LEFT_OUT, quick_study, report_of, study_of

ROOT = Path(__file__).parents[3]
NAMES = ("four-outlets", "nose-high", "one-tank", "humps")
needs_typst = pytest.mark.skipif(
    importlib.util.find_spec("typst") is None, reason="typst is not installed (extra pdf)"
)
HOSTILE_TITLE = '<script>alert(1)</script></title> #strong[x] $x^2$ *b* [[y]] \\ "q" {{ 7*7 }}'
HOSTILE_TANK = "<img src=x onerror=alert(2)>"
HOSTILE_NODE = "</script><script>alert(3)</script> #eval(1) ]]>"


def test_schema_is_published_and_every_report_fits_it():
    published = json.loads((ROOT / "docs/schemas/report.schema.json").read_text(encoding="utf-8"))
    assert published == report_schema()
    for name in NAMES:
        jsonschema.validate(json.loads(report_json(report_of(name))), published)


@pytest.mark.parametrize("name", NAMES)
def test_every_section_is_there_in_order(name):
    found = [section.name for section in report_of(name).sections]
    assert found == ["answer", *(provider[0] for provider in PROVIDERS), "made", "notes"]


def test_studies_without_result_say_so_and_are_named_on_the_first_page():
    report = report_of("four-outlets")
    left_out = {"unusable", "routing", "spread", "what-if", "card"}
    for section in report.sections:
        assert section.complete is (section.name not in left_out)
        if section.name in left_out:
            assert LEFT_OUT in section.blocks[-1].text
    first = report.sections[0].blocks[0]
    assert first.tone == "warning"
    assert "Sections without a result: Unusable fuel" in first.text


def test_a_section_that_breaks_says_so(monkeypatch):
    from flowsim.reports.sections import build as report_build

    def breaks(_study):
        raise KeyError("x")

    providers = tuple(
        (name, title, breaks if name == "vapour" else provider)
        for name, title, provider in PROVIDERS
    )
    monkeypatch.setattr(report_build, "PROVIDERS", providers)
    made = build_report(study_of("one-tank"), date=DATE, case=CASE)
    (section,) = [section for section in made.sections if section.name == "vapour"]
    assert not section.complete
    assert "fault in flowsim" in section.blocks[0].text


def test_the_table_of_losses_closes_and_agrees_with_the_picture():
    for section in report_of("four-outlets").sections:
        if section.name != "head":
            continue
        pictures = [b.picture for b in section.blocks if isinstance(b, Figure)]
        tables = [b for b in section.blocks if b.type == "table"]
        for picture, table in zip(pictures, tables, strict=True):
            drawn = [row.loss_mm for row in picture.rows]
            printed = [float(row[1]) for row in table.rows if len(row) > 1]
            assert printed == pytest.approx(drawn, abs=0.051)
            assert sum(drawn) == pytest.approx(picture.available_mm, abs=0.05 * len(drawn))
            assert [row[0] for row in table.foot] == [
                "sum of the parts", "head available", "difference",
            ]  # fmt: skip
            assert abs(float(table.foot[2][1])) <= 0.05


def test_cells_to_try_are_the_check_s_scenarios():
    study, tries = study_of("four-outlets"), report_of("four-outlets").tries
    for one in tries.sets:
        for pitch, cell in zip(tries.pitch_deg, one.cells, strict=True):
            behind = [
                s
                for s in study.check.scenarios
                if s.selector == tries.selectors[one.selector]
                and s.fuel_state == tries.states[one.state]
                and s.end == tries.ends[one.end]
                and s.purpose not in ("descent", "takeoff_run", "in_flight")
                and abs(s.pitch * 57.29577951308232 - pitch) < 0.011
            ]
            assert (cell is None) is (not behind)
            if cell is not None:
                least = min(s.flow for s in behind)
                assert cell.flow_kg_per_h == pytest.approx(3600 * least, abs=1e-4)
                bare = {name for s in behind for name in s.uncovered}
                assert {tries.outlets[i] for i in cell.uncovered} == bare


def test_the_page_starts_at_the_deciding_scenario():
    report = report_of("four-outlets")
    tries, deciding = report.tries, report.check["deciding"]
    selector, state, end, pitch = tries.start
    assert tries.selectors[selector] == deciding["selector"]
    assert tries.states[state] == deciding["fuel_state"]
    assert tries.ends[end] == deciding["end"]
    assert tries.pitch_deg[pitch] == pytest.approx(deciding["pitch_deg"], abs=0.01)


@pytest.mark.parametrize("name", NAMES)
def test_data_read_back_give_the_same_page(name, tmp_path):
    path = tmp_path / "report.json"
    path.write_text(report_json(report_of(name)), encoding="utf-8")
    again = read_report(path)
    assert again == report_of(name)
    assert report_html(again) == report_html(report_of(name))


def test_same_study_same_bytes():
    system = read_case(CASES / "one-tank" / "case.toml")
    made = [report_html(build_report(quick_study(system), date=DATE, case=CASE)) for _ in range(2)]
    assert made[0] == made[1]


class Page(HTMLParser):
    """Collects what a browser would act on."""

    def __init__(self):
        super().__init__()
        self.tags, self.ids, self.labelled, self.headings = [], [], set(), []

    def handle_starttag(self, tag, attrs):
        found = dict(attrs)
        self.tags.append((tag, found))
        if "id" in found:
            self.ids.append(found["id"])
        if tag == "label":
            self.labelled.add(found["for"])


def page_of(name):
    page = Page()
    page.feed(report_html(report_of(name)))
    return page


@pytest.mark.parametrize("name", NAMES)
def test_the_page_asks_nobody_for_anything(name):
    html = report_html(report_of(name))
    page = page_of(name)
    for tag, found in page.tags:
        assert tag not in ("img", "link", "iframe", "object", "embed", "base", "form")
        assert not {"src", "action", "srcset", "data"} & found.keys()
        assert found.get("href", "#").startswith("#")
        assert not any(key.startswith("on") for key in found)
    addresses = set(re.findall(r"https?://[^\s\"'<]+", html))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert "@import" not in html
    assert "default-src 'none'" in html


@pytest.mark.parametrize("name", NAMES)
def test_the_page_is_usable_without_eyes_or_mouse(name):
    page = page_of(name)
    assert len(page.ids) == len(set(page.ids))
    for tag, found in page.tags:
        if tag in ("select", "input"):
            assert found["id"] in page.labelled
        if tag == "svg":
            assert found["role"] == "img"
            assert found["aria-labelledby"] in page.ids
        if tag == "section":
            assert found["aria-labelledby"] in page.ids
        if tag == "th":
            assert found["scope"] in ("col", "row", "rowgroup")
    assert ("html", {"lang": "en"}) in page.tags
    live = [found for _, found in page.tags if found.get("aria-live") == "polite"]
    assert len(live) == 1


def test_four_outlets_page_is_small_and_says_what_it_is_on_every_page():
    html = report_html(report_of("four-outlets"))
    assert len(html.encode()) < 2_000_000
    sections = len(report_of("four-outlets").sections)
    assert html.count(f'<p class="foot" aria-hidden="true">{STANDING}</p>') == sections
    assert f'content:"{STANDING}"' in html
    assert "prefers-color-scheme:dark" in html
    assert "@media print" in html


def test_all_fifteen_points_have_their_place():
    """The list that reviewers go by (a synthesis of the trade's papers, no single source)."""
    html = report_html(report_of("four-outlets"))
    for words in (
        "Scheme of the system", "Places, mm (in)", "steepest climb", "full-power burn",
        "2 US quarts in", "Flow against pitch", "Never measured", "Ground test: what was read",
        "Unusable fuel", "How the lines are laid", "Strainers at the outlets", "vent",
        "opens port (line)", "bowl drain", "Signatures", "Not checked by this calculation",
    ):  # fmt: skip
        assert words in html


def hostile_report():
    study = study_of("four-outlets")
    system = study.system
    left = replace(system.tanks[0], name=HOSTILE_TANK)
    check = replace(
        study.check,
        title=HOSTILE_TITLE,
        assumptions=(HOSTILE_NODE,),
        cautions=(HOSTILE_TITLE,),
        settle=HOSTILE_NODE,
    )
    changed = replace(system, title=HOSTILE_TITLE, tanks=(left, *system.tanks[1:]))
    made = build_report(study, date=DATE, case=CASE.model_copy(update={"file": HOSTILE_NODE}))
    assert made.title != HOSTILE_TITLE
    return build_report(
        replace(study, check=check, system=changed),
        date=DATE,
        case=CASE.model_copy(update={"file": HOSTILE_NODE}),
    )


def test_words_of_a_case_are_text_in_the_page():
    html = report_html(hostile_report())
    page = Page()
    page.feed(html)
    tags = [tag for tag, _ in page.tags]
    assert "img" not in tags
    assert tags.count("script") == 2
    assert "<script>alert" not in html
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in html
    assert "{{ 7*7 }}" in html
    assert json_in_page({"x": HOSTILE_NODE}).count("<") == 0


@needs_typst
def test_words_of_a_case_are_text_in_the_pdf():
    made = hostile_report()
    assert report_pdf(made).startswith(b"%PDF")
    shown = json.dumps(pdf_content(made))
    assert HOSTILE_TITLE in json.loads(shown)["title"]


@needs_typst
@pytest.mark.parametrize("name", ["four-outlets", "humps"])
def test_pdf_has_the_same_content_and_the_same_bytes(name):
    report = report_of(name)
    made = report_pdf(report)
    assert made == report_pdf(report)
    content = pdf_content(report)
    assert [item["title"] for item in content["sections"]] == [s.title for s in report.sections]
    shown = sum(
        len(block["pictures"]) for item in content["sections"] for block in item["blocks"]
        if block["type"] == "figures"
    )  # fmt: skip
    assert shown == sum(isinstance(b, Figure) for s in report.sections for b in s.blocks)


def test_missing_part_for_pdfs_says_what_to_install(monkeypatch):
    monkeypatch.setattr(pdf_module, "can_make_pdf", lambda: False)
    with pytest.raises(OutputError, match=r"pip install '\.\[pdf\]'"):
        report_pdf(report_of("one-tank"))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b'{"schema": "flowsim.report/2"}', 'of another version ("flowsim.report/2"'),
        (b'{"schema": "flowsim.check/1"}', 'says "flowsim.check/1"'),
        (b"[]", "names no schema"),
        (b"{", "is no JSON"),
        (b'{"schema": "flowsim.report/1", "title": 3}', "is damaged at title"),
    ],
)
def test_other_files_are_refused_in_words(tmp_path, content, said):
    path = tmp_path / "r.json"
    path.write_bytes(content)
    with pytest.raises(InputError) as raised:
        read_report(path)
    assert said in str(raised.value)


def _changed(tmp_path, change, *, sealed):
    made = json.loads(report_json(report_of("one-tank")))
    change(made)
    if sealed:
        made["seal"] = seal_of(made)
    path = tmp_path / "r.json"
    path.write_text(json.dumps(made), encoding="utf-8")
    return path


def _figure(made, kind):
    return next(
        block["picture"] for section in made["sections"] for block in section["blocks"]
        if block["type"] == "figure" and block["picture"]["kind"] == kind
    )  # fmt: skip


@pytest.mark.parametrize("sealed", [False, True])
@pytest.mark.parametrize(
    ("change", "said"),
    [
        (lambda made: made["verdict"].update(value="cannot tell"), "not what check says"),
        (lambda made: made["verdict"].update(words="cannot tell"), "not what check says"),
        (lambda made: _figure(made, "scheme")["lines"][0].update(end=99), "none of the"),
        (lambda made: _figure(made, "scheme")["lines"][0].update(start=-1), "none of the"),
        (lambda made: _figure(made, "margin")["percent"].pop(), "a map is not of"),
        (lambda made: _figure(made, "margin")["air"][0].pop(), "a map is not of"),
        (lambda made: _figure(made, "flow").update(curves=[]), "no curve has a point"),
        (lambda made: _figure(made, "pressure").update(points=[]), "there are no points"),
        (lambda made: made["tries"].update(start=[0, 0, 0, 9999]), "starts where nothing is"),
        (lambda made: made["tries"]["sets"][0].update(state=77), "belongs to nothing"),
        (lambda made: made["tries"]["sets"][0]["cells"].pop(), "cells for"),
        (lambda made: made["tries"]["seen"].pop(), "what is seen does not fit"),
        (lambda made: made.update(standing=[]), "what every report must say"),
    ],
)
def test_changed_data_are_refused(tmp_path, change, said, sealed):
    """A seal made anew hides a change of words, never what does not fit together."""
    with pytest.raises(InputError) as raised:
        read_report(_changed(tmp_path, change, sealed=sealed))
    assert (said if sealed else "was changed since") in str(raised.value)
    assert "make the report again" in str(raised.value)


def test_the_order_of_keys_and_the_blanks_are_no_change(tmp_path):
    path = _changed(tmp_path, lambda made: made.update(sorted(made.items())), sealed=False)
    assert read_report(path) == report_of("one-tank")


def test_missing_file_is_refused_in_words(tmp_path):
    with pytest.raises(InputError, match="cannot be read"):
        read_report(tmp_path / "none.json")


def test_nan_never_reaches_the_data():
    for name in NAMES:
        assert "NaN" not in report_json(report_of(name))


def test_a_result_without_a_number_is_said_not_drawn():
    study = study_of("one-tank")
    line = replace(study.check.lines[0], least_nominal=float("nan"), least_low=float("nan"))
    check = replace(study.check, lines=(line, *study.check.lines[1:]))
    made = build_report(replace(study, check=check), date=DATE, case=CASE)
    html = report_html(made)
    assert "no result" in html
    assert isinstance(made, Report)


def test_words_of_the_studies_are_those_of_their_commands():
    """A section borrows the words that the check prints."""
    section = studies.air_section(study_of("four-outlets"))
    assert any("judged scenarios" in getattr(block, "text", "") for block in section.blocks)


EXPECTED_GAPS = {"unusable", "routing", "spread", "what-if", "card"}


def gaps(system):
    made = build_report(quick_study(system), date=DATE, case=CASE)
    assert report_html(made).startswith("<!DOCTYPE html>")
    assert pdf_content(made)
    return {section.name for section in made.sections if not section.complete}, made


def test_one_part_of_every_kind_makes_a_whole_report(system):
    found, made = gaps(system)
    assert found == EXPECTED_GAPS
    assert made.tries is not None


def with_shape(shape):
    from tests.support.systems import one_tank

    made = one_tank()
    (tank,) = made.tanks
    return replace(made, tanks=(replace(tank, shape=shape),))


def test_a_dip_table_is_drawn_by_its_surface_alone():
    from flowsim.system.points import Point
    from flowsim.system.tanks import DipTable
    from tests.support.systems import one_tank

    outlet = one_tank().tanks[0].outlets[0].at
    shape = DipTable(
        at=Point(*outlet), dips=(0.0, 0.1, 0.2), quantities=(0.0, 0.03, 0.06), pitch=0.0, roll=0.0
    )
    found, made = gaps(with_shape(shape))
    assert found == EXPECTED_GAPS
    seen = made.tries.seen[0][made.tries.start[3]][0]
    assert seen.fuel == ()
    assert len(seen.surface) == 2


def test_a_stated_level_alone_has_no_map_and_says_why():
    from flowsim.system.points import Point
    from flowsim.system.tanks import StatedLevel
    from tests.support.systems import one_tank

    outlet = one_tank().tanks[0].outlets[0].at
    above = Point(outlet.station, outlet.buttline, outlet.waterline + 0.1)
    found, made = gaps(with_shape(StatedLevel(surface=above)))
    assert found == EXPECTED_GAPS | {"margin"}
    (section,) = [section for section in made.sections if section.name == "margin"]
    assert "every tank's level is stated" in section.blocks[0].text


@needs_typst
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", NAMES)
def test_no_page_is_nearly_empty(name, paper):
    """A heading and a line or two alone: a page that nobody should have to turn."""
    import typst

    pages = typst.compile(
        TEMPLATES / "report.typ",
        format="svg",
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(pdf_content(report_of(name), paper=paper))},
    )
    # Head and foot of a page have some 120 letters; a picture is an image, a blank a rule.
    full = [page.count(b"<use") > 400 or page.count(b"<image") for page in pages[:-1]]
    assert all(full), [page.count(b"<use") for page in pages]


@pytest.mark.parametrize("name", NAMES)
def test_a_fuel_state_looks_alike_in_every_picture(name):
    looks: dict[str, set[int]] = {}
    for block in next(s for s in report_of(name).sections if s.name == "flow").blocks:
        for curve in getattr(getattr(block, "picture", None), "curves", ()):
            looks.setdefault(curve.name, set()).add(curve.style)
    assert looks
    assert all(len(styles) == 1 for styles in looks.values())
    assert len({style for styles in looks.values() for style in styles}) == len(looks)


def test_sources_are_written_out_and_the_note_and_ticks_are_there():
    report = report_of("four-outlets")
    text = json.dumps(json.loads(report_json(report)), ensure_ascii=False)
    for words in (
        "Hooper, W. B.: The Two-K Method", "Chemical Engineering 88", "AC 90-89B, 27 April 2015",
        "Technical Paper No. 410", "the case's own note", "firewall and bulkhead fittings",
        "clearance to the exhaust",
    ):  # fmt: skip
        assert words in text
    named = {"Rennels", "Hooper", "Darby", "Crane", "Miller", "Blevins", "Idelchik"}
    assert named <= {word for word, _ in FULL}


def test_ticks_say_what_the_case_gave():
    system = study_of("four-outlets").system
    wall = Crossing(name="firewall", line="feed", kind="bulkhead", at=Point(0, 0, 0))
    pipe = Obstacle(name="muffler", kind="hot part", points=(Point(0, 0, 0),), least=0.05)
    routing = replace(system.routing, crossings=(wall,), obstacles=(pipe,))
    ticks = given_ticks(replace(study_of("four-outlets"), system=replace(system, routing=routing)))
    assert '"firewall" for line "feed"' in ticks[0]
    assert 'line "feed" at bulkhead "firewall"' in ticks[1]
    assert '"muffler", at least' in ticks[2]
    none = given_ticks(study_of("one-tank"))
    assert all("look yourself" in words or '"' in words for words in none)
