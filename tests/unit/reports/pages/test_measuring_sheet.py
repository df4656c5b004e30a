"""The measuring sheet: what is known is printed, what is not is a line to write on."""

import json
import random
import re
from pathlib import Path

import pytest

from flowsim.document.blocks import Bullets, Heading, Words
from flowsim.files.case.reader import read_draft
from flowsim.reports.pages.measuring_sheet import measuring_sheet
from flowsim.reports.pages.measuring_sheet_axes import axes_svg
from flowsim.reports.pages.measuring_sheet_cells import Chapter, Form
from flowsim.reports.pages.measuring_sheet_paper import measuring_sheet_pdf
from flowsim.studies.adequacy.study import judge

CASES = Path(__file__).parents[4] / "cases"


def draft_of(name: str, *changes: tuple[str, str]):
    text = (CASES / name / "case.toml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return read_draft(text, f"{name}.toml")


def rows_of(pieces, caption: str, after: str = "") -> list[tuple]:
    """The rows of the first form with a caption, behind a heading."""
    seen = not after
    for piece in pieces:
        seen = seen or (isinstance(piece, Heading) and after in piece.text)
        if seen and isinstance(piece, Form) and piece.caption.startswith(caption):
            return [tuple((cell.kind, cell.text or cell.hint) for cell in row)
                    for row in piece.rows]  # fmt: skip
    raise AssertionError(caption)


def chapters(pieces) -> list[str]:
    return [piece.title for piece in pieces if isinstance(piece, Chapter)]


def test_what_the_case_says_is_printed_and_what_it_assumes_is_a_blank():
    draft = draft_of("one-tank", ('capacity = "40 L"', ""), (
        'unusable = "6 L"', 'unusable = { value = "6 L", from = "assumed" }'), (
        'fill_factor = 0.97', 'fill_factor = { value = 0.97, from = "drawing", accuracy = 0.01 }'),
    )  # fmt: skip
    rows = {row[0][1]: row for row in rows_of(measuring_sheet(draft, None), "", "Tank")}
    assert rows["capacity"][1] == ("blank", "")
    assert rows["unusable"][1] == ("blank", "(assumed 6 L)")
    assert rows["fill factor"][1:4] == (("known", "0.97"), ("known", "0.01"), ("known", "d"))
    assert rows["least takeoff"][1:4] == (("known", "9 L"), ("blank", ""), ("known", "?"))


def test_each_line_has_its_corners_numbered_from_start_to_end():
    draft = draft_of("four-outlets")
    rows = rows_of(measuring_sheet(draft, None), "Corners", 'Line "left down"')
    assert [row[0][1] for row in rows] == ["0", "1", "2", "3", "4", "5"]
    assert rows[0][1:5] == (
        ("label", "start: left tee"), ("known", "76 in"), ("known", "-21 in"), ("known", "63 in"),
    )  # fmt: skip
    assert rows[3][2:5] == (("known", "72 in"), ("known", "-8 in"), ("known", "20 in"))
    assert rows[3][-1] == ("known", "1.5 in")
    assert {cell[0] for cell in rows[4][2:]} == {"blank"}
    assert rows[5][1] == ("label", "end: selector")


def test_every_line_tank_outlet_and_joint_of_the_case_is_there():
    draft = draft_of("four-outlets")
    pieces = measuring_sheet(draft, None)
    said = json.dumps([str(piece) for piece in pieces])
    for line in draft.model.line:
        assert f'Line \\\\"{line.name}\\\\", from {line.start}' in said or line.name in said
    headings = [piece.text for piece in pieces if isinstance(piece, Heading)]
    assert sum(text.startswith("Line ") for text in headings) == len(draft.model.line)
    assert [text for text in headings if text.startswith("Tank")] == ['Tank "left"', 'Tank "right"']
    outlets = [p for p in pieces if isinstance(p, Form) and p.caption.startswith("Outlet ")]
    assert len(outlets) == 4
    places = rows_of(pieces, "Places", 'Line "left rear"')
    assert [row[1][1] for row in places if row[1][0] == "label"] == [
        "tee: left tee", "tee: right tee", "junction: firewall bowl", "selector: selector",
        "drain: left sump drain, at left", "drain: right sump drain, at right",
        "drain: selector drain, at selector", "drain: bowl drain, at firewall bowl",
    ]  # fmt: skip
    rows_of(pieces, 'Selector "selector"')


def test_what_matters_most_stands_first():
    draft = draft_of("four-outlets")
    result = judge(draft.system, nominal=True)
    pieces = measuring_sheet(draft, result)
    first = next(p for p in pieces if isinstance(p, Form) and "share" in dict(p.columns))
    shares = [int(row[3].text.split()[0]) for row in first.rows if row[3].text]
    assert len(shares) >= 5
    assert shares == sorted(shares, reverse=True)
    assert first.rows[0][1].text == "needle and seat (carburettor)"
    decides = [row[1].text for row in first.rows if not row[3].text]
    assert "engine, burn" in decides
    lines = [p.text for p in pieces if isinstance(p, Heading) and p.text.startswith("Line")]
    by_line: dict[str, float] = {}
    for item in result.unmeasured:
        by_line[item.line] = by_line.get(item.line, 0.0) + (item.share or 0.0)
    costs = [by_line.get(re.match('Line "(.*?)"', text)[1], 0.0) for text in lines]
    assert costs == sorted(costs, reverse=True)
    assert costs[0] > costs[-1]


def test_the_other_side_of_a_mirror_is_to_be_measured_too():
    pieces = measuring_sheet(draft_of("tandem"), None)
    left = rows_of(pieces, "Corners", 'Line "left down"')
    right = rows_of(pieces, "Corners", 'Line "right down"')
    assert left[1][3] == ("known", "-19 in")
    assert right[1][3] == ("blank", "(mirror 19 in)")
    assert right[0][3] == ("blank", "(mirror 20 in)")
    rear = {row[0][1]: row for row in rows_of(pieces, 'Outlet "rear"', 'Tank "left"')}
    assert rear["station"][1] == ("known", "53.4 in")
    assert rear["bore of the port"][1] == ("blank", "(mirror 0.30 in)")


def test_a_case_that_is_not_finished_gives_a_sheet_without_ranks():
    text = 'title = "Half"\n[[tank]]\nname = "wing"\n[[line]]\nname = "a"\nto = "engine"\nvia = 3\n'
    draft = read_draft(text, "half.toml")
    assert draft.mistakes
    pieces = measuring_sheet(draft, None)
    words = [piece.text for piece in pieces if isinstance(piece, Words)]
    assert any("cannot be judged yet" in text for text in words)
    assert all(row[1][0] != "known" for row in rows_of(pieces, "Attitudes"))


def test_an_empty_sheet_has_forms_for_everything():
    pieces = measuring_sheet(None, None)
    assert chapters(pieces) == [
        "Axes and datum", "How to fill it in", "What to measure first",
        "Carburettor and engine inlet", "Lines", "Tees, junctions, selector, drains",
        "Tanks, outlets, vents", "Attitudes, engine, fuel", "Notes and sketches",
    ]  # fmt: skip
    cells = [
        cell for piece in pieces if isinstance(piece, Form) for row in piece.rows for cell in row
    ]
    assert not [cell for cell in cells if cell.kind == "known"]
    assert sum(cell.kind == "blank" for cell in cells) > 300


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_the_paper_has_its_size_and_the_same_bytes_each_time(paper):
    pytest.importorskip("typst")
    pieces = measuring_sheet(None, None)
    made = measuring_sheet_pdf(pieces, "", "", paper, "2026-01-31")
    assert made.startswith(b"%PDF")
    assert made == measuring_sheet_pdf(pieces, "", "", paper, "2026-01-31")
    box = re.search(rb"/MediaBox ?\[ ?0 0 ([0-9.]+) ([0-9.]+)", made)
    wanted = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}[paper]
    assert [float(side) for side in box.groups()] == pytest.approx(wanted, abs=0.1)


def test_the_caution_stands_first_and_axes_are_drawn():
    pieces = measuring_sheet(None, None)
    assert isinstance(pieces[0], Words)
    assert pieces[0].tone == "warning"
    for words in ("estimate, which is not an approval", "ground test decides", "licensed practice"):
        assert words in pieces[0].text
    svg = axes_svg()
    for words in ("station + (aft)", "buttline + (right)", "waterline + (up)", "nose up +"):
        assert words in svg
    first = next(piece for piece in pieces if isinstance(piece, Bullets))
    assert "left is negative" in first.items[0]


def test_text_of_a_case_is_text_on_paper():
    pytest.importorskip("typst")
    hostile = '#panic() $x$ *b* <svg> \\" ] }'
    draft = draft_of("one-tank", ('title = "One', f'title = "{hostile.replace(chr(34), "")} One'))
    made = measuring_sheet_pdf(
        measuring_sheet(draft, None), draft.model.title if draft.model else "", "x", "a4", "no date"
    )
    assert made.startswith(b"%PDF")


@pytest.mark.parametrize("seed", range(25))
def test_a_case_in_any_state_gives_a_sheet(seed):
    generator = random.Random(seed)
    name = generator.choice(["tandem", "four-outlets", "one-tank"])
    lines = (CASES / name / "case.toml").read_text(encoding="utf-8").split("\n")
    for _ in range(8):
        place = generator.randrange(len(lines))
        lines[place] = generator.choice(
            [lines[generator.randrange(len(lines))], lines[place].replace(' in"', ' kg"'), ""]
        )
    draft = read_draft("\n".join(lines), "x.toml")
    if draft.model is not None:
        assert chapters(measuring_sheet(draft, None))[-1] == "Notes and sketches"
