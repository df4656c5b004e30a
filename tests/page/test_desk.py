"""File faults seen from the page: nothing is lost, and nobody's work is written over."""

import os
import shutil
from pathlib import Path

import pytest

from flowsim.errors import FlowsimError
from flowsim.files.case.form import form
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.starter import starter_text
from flowsim.files.saving.draft_file import draft_path, kept
from flowsim.files.toml.edits import Edit
from flowsim.page.changes import ChangeStep
from flowsim.page.desk import Desk
from flowsim.page.guards import Gate
from flowsim.page.merge import differences, onto
from flowsim.page.room import Room
from tests.page.conftest import Caller, not_judged

CASES = Path(__file__).parents[2] / "cases"
FORMS = {
    "as it is": lambda text: text.encode(),
    "CRLF": lambda text: text.replace("\n", "\r\n").encode(),
    "mixed": lambda text: text.replace("\n", "\r\n", 20).encode(),
    "BOM": lambda text: b"\xef\xbb\xbf" + text.encode(),
    "BOM CRLF": lambda text: b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode(),
}


def opened(path: Path, tab: str = "one") -> Caller:
    caller = Caller(Room(Gate(1), path.parent, Desk(path, work=not_judged)), tab)
    caller("/state")
    return caller


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", sorted(path.parent.name for path in CASES.glob("*/case.toml")))
def test_saved_unchanged_it_is_the_same_bytes_and_one_value_is_one_line(
    tmp_path: Path, name: str, form: str
) -> None:
    path = tmp_path / "case.toml"
    before = FORMS[form]((CASES / name / "case.toml").read_text(encoding="utf-8"))
    path.write_bytes(before)
    ask = opened(path)
    assert ask("/save")["ok"]
    assert path.read_bytes() == before
    assert ask.type(["flight", "climb_pitch"], "13.25 deg")["ok"]
    assert ask("/save")["history"]["is_saved"]
    after = path.read_bytes()
    old, new = before.split(b"\n"), after.split(b"\n")
    assert len(old) == len(new)
    assert sum(one != other for one, other in zip(old, new, strict=True)) == 1
    assert b'climb_pitch = "13.25 deg"' in after


def test_a_new_case_writes_nothing_before_save(tmp_path: Path) -> None:
    path = tmp_path / "new.toml"
    room = Room(Gate(1), tmp_path, Desk(path, starter_text("new"), work=not_judged))
    ask = Caller(room)
    assert ask("/state")["file"]["new"]
    assert list(tmp_path.iterdir()) == []
    said = ask("/save")
    assert said["ok"]
    assert not said["file"]["new"]
    assert path.read_text(encoding="utf-8") == starter_text("new")


def test_it_saves_with_mistakes(ask: Caller, case: Path) -> None:
    said = ask.type(["engine", "burn"], "a lot")
    assert [m["path"] for m in said["case"]["mistakes"]] == [["engine", "burn"]]
    assert not said["judged"]
    assert ask("/save")["ok"]
    assert b'burn = "a lot"' in case.read_bytes()


def test_changed_outside_is_seen_and_never_written_over(ask: Caller, case: Path) -> None:
    ask.type(["engine", "burn"], "6 US_gal/h")
    theirs = starter_text("Starter").replace('climb_pitch = "12 deg"', 'climb_pitch = "9 deg"')
    case.write_text(theirs, encoding="utf-8")
    assert ask("/pulse")["file"]["outside"] == "changed"
    said = ask("/save")
    assert not said["ok"]
    assert "changed outside" in said["words"]
    assert case.read_text(encoding="utf-8") == theirs
    both = ask("/outside", what="look")
    assert both["theirs"] == theirs
    assert 'burn = "6 US_gal/h"' in both["mine"]
    said = ask("/outside", what="mine")
    assert said["unfit"] == []
    assert ask("/save")["ok"]
    saved = case.read_text(encoding="utf-8")
    assert 'climb_pitch = "9 deg"' in saved
    assert 'burn = "6 US_gal/h"' in saved


def test_what_no_longer_fits_is_listed(ask: Caller, case: Path) -> None:
    ask.type(["engine", "burn"], "6 US_gal/h")
    ask.type(["title"], "Mine")
    theirs = starter_text("Starter").replace('burn = "5.6 US_gal/h"', 'burn = "7 US_gal/h"')
    case.write_text(theirs, encoding="utf-8")
    ask("/pulse")
    said = ask("/outside", what="mine")
    assert said["unfit"] == [["engine, burn", "7 US_gal/h", "6 US_gal/h"]]
    assert said["case"]["data"]["title"] == "Mine"
    assert said["case"]["data"]["engine"]["burn"] == "7 US_gal/h"
    assert 'burn = "6 US_gal/h"' in ask("/travel", where="back", number=2)["case"]["text"]


def test_taking_theirs_keeps_mine_among_the_editions(ask: Caller, case: Path) -> None:
    ask.type(["title"], "Mine")
    case.write_text(starter_text("Theirs"), encoding="utf-8")
    ask("/pulse")
    said = ask("/outside", what="theirs")
    assert said["case"]["data"]["title"] == "Theirs"
    assert said["history"]["is_saved"]
    assert ask("/travel", where="back", number=1)["case"]["data"]["title"] == "Mine"


def test_mine_can_be_saved_beside_it(ask: Caller, case: Path) -> None:
    ask.type(["title"], "Mine")
    case.write_text(starter_text("Theirs"), encoding="utf-8")
    ask("/pulse")
    assert ask("/outside", what="beside")["beside"] == "starter-mine.toml"
    assert ask("/outside", what="beside")["beside"] == "starter-mine-2.toml"
    assert 'title = "Mine"' in case.with_name("starter-mine.toml").read_text(encoding="utf-8")
    assert case.read_text(encoding="utf-8") == starter_text("Theirs")


def test_deleted_outside(ask: Caller, case: Path) -> None:
    ask.type(["title"], "Mine")
    case.unlink()
    assert ask("/pulse")["file"]["outside"] == "deleted"
    said = ask("/save")
    assert not said["ok"]
    assert "deleted" in said["words"]
    assert not case.exists()
    assert ask("/outside", what="beside")["ok"]


def test_a_full_disk_is_said_and_nothing_is_lost(ask: Caller, case: Path, monkeypatch) -> None:
    before = case.read_bytes()

    def full(*_args: object, **_options: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("tempfile.mkstemp", full)
    said = ask.type(["title"], "Mine")
    assert "kept only as long as this program runs" in said["file"]["draft_problem"]
    said = ask("/save")
    assert "No space left on device" in said["words"]
    assert case.read_bytes() == before
    monkeypatch.undo()
    assert ask("/save")["ok"]
    assert 'title = "Mine"' in case.read_text(encoding="utf-8")


def test_every_change_is_kept_beside_the_case_until_it_is_saved(ask: Caller, case: Path) -> None:
    ask.type(["title"], "Mine")
    found = kept(case)
    assert b'title = "Mine"' in found.content
    assert found.process == os.getpid()
    ask.type(["title"], "Mine too")
    assert len(kept(case).changes) == 2
    ask("/travel", where="undo")
    assert b'title = "Mine"' in kept(case).content
    ask("/save")
    assert kept(case) is None


def test_a_draft_after_a_kill_is_offered_and_taken_up(ask: Caller, case: Path) -> None:
    ask.type(["title"], "Mine")
    # The program is gone, the draft is there.
    again = opened(case)
    said = again("/state")
    assert said["case"]["data"]["title"] == "Starter"
    assert said["file"]["draft"]["changes"] == ["title: Mine, was Starter"]
    assert 'title = "Mine"' in again("/draft", what="look")["theirs"]
    said = again("/draft", what="take")
    assert said["case"]["data"]["title"] == "Mine"
    assert said["file"]["draft"] is None
    assert case.read_text(encoding="utf-8") == starter_text("Starter")
    assert again("/save")["ok"]
    assert not draft_path(case).exists()


def test_a_draft_can_be_dropped(ask: Caller, case: Path) -> None:
    ask.type(["title"], "Mine")
    again = opened(case)
    said = again("/draft", what="drop")
    assert said["file"]["draft"] is None
    assert said["case"]["data"]["title"] == "Starter"
    assert not draft_path(case).exists()


def test_an_older_draft_is_not_written_over(ask: Caller, case: Path) -> None:
    ask.type(["title"], "Mine")
    again = opened(case)
    said = again.type(["title"], "Another")
    assert "take it up or drop it first" in said["file"]["draft_problem"]
    assert b'title = "Mine"' in kept(case).content


def test_another_program_that_still_runs_keeps_its_draft(ask: Caller, case: Path) -> None:
    ask.type(["title"], "Mine")
    path = draft_path(case)
    theirs = path.read_bytes().replace(f'"process": {os.getpid()}'.encode(), b'"process": 1')
    path.write_bytes(theirs.replace(ask.room.desk.owner.encode(), b"another"))
    said = ask.type(["title"], "Mine too")
    assert "another program has this case open" in said["file"]["draft_problem"]
    assert b"another" in path.read_bytes()


def test_two_pages_ask_before_one_takes_over(room: Room) -> None:
    one, two = Caller(room, "one"), Caller(room, "two")
    assert one("/state")["holds"]
    assert not two("/state")["holds"]
    said = two.type(["title"], "Two")
    assert not said["ok"]
    assert "Take it over" in said["words"]
    assert two("/take")["holds"]
    assert two.type(["title"], "Two")["ok"]
    assert not one("/pulse")["holds"]
    assert not one.type(["title"], "One")["ok"]
    assert room.desk.draft.system.title == "Two"


def test_a_change_on_an_old_edition_is_refused(ask: Caller) -> None:
    ask.turn = 1
    assert ask.type(["title"], "A")["ok"]
    ask.turn = 1
    said = ask.type(["title"], "B")
    assert said["stale"]
    assert "still in the field" in said["words"]
    assert said["case"]["data"]["title"] == "A"


def test_hard_links_are_told(tmp_path: Path, case: Path) -> None:
    os.link(case, tmp_path / "other.toml")
    assert opened(case)("/state")["file"]["hard_links"]


def test_saved_through_a_link(tmp_path: Path, case: Path) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(case)
    ask = opened(link)
    ask.type(["title"], "Through")
    assert ask("/save")["ok"]
    assert link.is_symlink()
    assert 'title = "Through"' in case.read_text(encoding="utf-8")


def test_text_that_is_no_toml_opens_as_text_and_can_be_mended(case: Path) -> None:
    case.write_text("}}} {{{\n", encoding="utf-8")
    ask = opened(case)
    said = ask("/state")
    assert not said["case"]["reads"]
    assert said["case"]["mistakes"][0]["line"] == 1
    assert not ask.type(["title"], "x")["ok"]
    said = ask.step("text", text=starter_text("Mended"))
    assert said["case"]["data"]["title"] == "Mended"


@pytest.mark.parametrize("form", FORMS)
def test_a_text_area_keeps_the_files_line_ends(case: Path, form: str) -> None:
    before = FORMS[form](starter_text("x"))
    case.write_bytes(before)
    ask = opened(case)
    written = starter_text("x").replace('burn = "5.6 US_gal/h"', 'burn = "6 US_gal/h"')
    assert ask.step("text", text=starter_text("x"))["history"]["is_saved"]
    assert ask.step("text", text=written)["ok"]
    assert ask("/save")["ok"]
    assert case.read_bytes() == before.replace(b"5.6 US_gal/h", b"6 US_gal/h")


def test_missing_quotes_are_one_change(case: Path) -> None:
    text = starter_text("x").replace('"5.6 US_gal/h"', "5.6 US_gal/h")
    case.write_text(text, encoding="utf-8")
    ask = opened(case)
    assert ask("/state")["case"]["quotes"]
    said = ask.step("quotes")
    assert said["case"]["text"] == starter_text("x")
    assert said["judged"]


def test_a_case_with_a_ground_test_says_what_a_change_means(case: Path) -> None:
    source = CASES / "four-outlets"
    assert "calibration" not in (source / "case.toml").read_text(encoding="utf-8")
    ask = opened(case)
    assert not ask("/state")["case"]["tested"]
    ask.step("text", text=starter_text("x") + '\n[calibration]\nsource = "s"\n')
    assert ask("/state")["case"]["tested"]


def test_corners_keep_their_points_when_one_comes_or_goes(case: Path) -> None:
    text = starter_text("x").replace(
        'bend_radius = "1.25 in"',
        'bend_radius = "1.25 in"\ncorners = [{ point = 2, radius = "2 in" }, '
        '{ point = 3, radius = "3 in" }]',
        1,
    )
    case.write_text(text, encoding="utf-8")
    ask = opened(case)
    said = ask.step("insert", path=["line", 0, "via", 0], value=["65 in", "-10 in", "60 in"])
    corners = said["case"]["data"]["line"][0]["corners"]
    assert corners == [{"point": 3, "radius": "2 in"}, {"point": 4, "radius": "3 in"}]
    said = ask.step("remove", path=["line", 0, "via", 2])
    assert said["case"]["data"]["line"][0]["corners"] == [{"point": 3, "radius": "3 in"}]
    said = ask.step("remove", path=["line", 0, "via", 0])
    assert said["case"]["data"]["line"][0]["corners"] == [{"point": 2, "radius": "3 in"}]


def test_a_mirrored_side_has_its_places_in_the_sheet_and_is_not_copied(case: Path) -> None:
    text = (CASES / "four-outlets" / "case.toml").read_text(encoding="utf-8")
    case.write_text(text, encoding="utf-8")
    ask = opened(case)
    said = ask("/state")
    for kind in ("drain", "line", "tee", "tank"):
        rows = said["case"]["data"][kind]
        for index in reversed([i for i, row in enumerate(rows) if "right" in row["name"]]):
            said = ask.step("remove", path=[kind, index], others_too=False)
            if not said["ok"]:
                said = ask("/state")
                with ask.room.desk.lock:
                    edit = Edit("unset", (kind, index))
                    ask.room.desk.change([ChangeStep(do="edits", value=(edit,))])
                said = ask("/state")
    said = ask.step("add", path=["defaults"], value={"mirror": "left"})
    assert said["judged"], said["case"]["mistakes"]
    assert len(said["case"]["drawing"]["tanks"]) == 2
    assert len(said["case"]["drawing"]["lines"]) == 8
    assert not ask("/mirror", side="left")["ok"]
    assert "whenever the case is read" in ask("/mirror", side="left")["words"]


def test_every_section_of_the_format_has_its_tab() -> None:
    source = Path(__file__).parents[2] / "flowsim" / "page" / "static" / "cards.js"
    tabs = source.read_text(encoding="utf-8").split("const CALLED")[0]
    for field in form(CaseFile):
        if field.kind in ("section", "sections") and field.key != "calibration":
            assert f'"{field.key}"' in tabs, field.key


def test_differences_are_found_by_name() -> None:
    before = {"line": [{"name": "a", "x": 1}, {"name": "b"}, {"name": "c"}], "note": "n"}
    after = {"line": [{"name": "c"}, {"name": "a", "x": 2}, {"name": "d"}], "title": "t"}
    found = [(d.path, d.edit.do) for d in differences(before, after)]
    assert found == [
        (("line", 0, "x"), "set"), (("line", 1), "unset"), (("line", 2), "add_table"),
        (("note",), "unset"), (("title",), "set"),
    ]  # fmt: skip


def test_changes_find_their_things_though_the_order_changed() -> None:
    base = (CASES / "four-outlets" / "case.toml").read_text(encoding="utf-8")
    mine = base.replace('name = "right"\nshape', 'name = "right"\nnote = "x"\nshape', 1)
    mine = mine.replace('burn = "8.8 US_gal/h"', 'burn = "9 US_gal/h"')
    theirs = base.replace('draw = "3 L"', 'draw = "2 L"')
    text, refused = onto(base, base.replace("8.8 US_gal/h", "9 US_gal/h"), theirs)
    assert refused == []
    assert text == theirs.replace("8.8 US_gal/h", "9 US_gal/h")
    text, refused = onto(base, mine, theirs)
    assert refused == []
    assert text.count('note = "x"') == 1
    with pytest.raises(FlowsimError):
        onto(base, "a = ", theirs)


def test_the_folder_and_the_examples_are_offered(tmp_path: Path, case: Path) -> None:
    shutil.copy(CASES / "humps" / "case.toml", tmp_path / "humps.toml")
    (tmp_path / "pyproject.toml").write_text("[project]\n")
    room = Room(Gate(1), tmp_path)
    ask = Caller(room)
    said = ask("/list")
    assert said["cases"] == ["humps.toml", "starter.toml"]
    assert "one-tank" in said["examples"]
    assert not said["open"]
    said = ask("/choose", what="new", title="My Wing!")
    assert said["file"]["name"] == "my-wing.toml"
    assert said["file"]["new"]
    assert not (tmp_path / "my-wing.toml").exists()
    assert not ask("/choose", what="case", number=0)["ok"]
    room.desk.close()


def test_an_example_is_opened_as_a_copy(tmp_path: Path) -> None:
    (tmp_path / "one-tank.toml").write_text("x = 1\n")
    room = Room(Gate(1), tmp_path)
    ask = Caller(room)
    number = ask("/list")["examples"].index("one-tank")
    said = ask("/choose", what="example", number=number)
    assert said["file"]["name"] == "one-tank-2.toml"
    assert said["judged"]
    room.desk.close()
