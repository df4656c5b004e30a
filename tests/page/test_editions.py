"""Undo never loses a text."""

import random

from flowsim.files.case.starter import starter_text
from flowsim.page.changes import ChangeStep
from flowsim.page.editions import Editions
from flowsim.page.typed import TAKE_OUT, shown_text, typed_list, typed_value
from tests.page.conftest import Caller


def test_undo_and_redo_walk_the_way_back_and_forth() -> None:
    editions = Editions("a", "opened")
    assert not editions.undo()
    editions.add("b", "to b")
    editions.add("c", "to c")
    assert editions.undo()
    assert editions.text == "b"
    editions.add("d", "to d")
    assert not editions.redo()
    assert editions.undo()
    assert editions.redo()
    assert editions.text == "d"
    assert editions.back(2)
    assert editions.text == "c"
    assert [edition.text for edition in editions.way()] == ["a", "b", "c"]
    assert not editions.back(99)
    assert [edition.text for edition in editions.every] == ["a", "b", "c", "d"]


def test_every_turn_has_its_own_number() -> None:
    editions = Editions("a", "opened")
    turns = [editions.turn]
    for _ in range(3):
        editions.add("b", "")
        turns.append(editions.turn)
        editions.undo()
        turns.append(editions.turn)
    assert len(set(turns)) == len(turns)


def test_saved_is_what_the_file_holds() -> None:
    editions = Editions("a", "opened")
    editions.add("b", "")
    assert not editions.is_saved
    editions.saved = editions.now
    assert editions.is_saved
    editions.undo()
    assert not editions.is_saved
    assert not Editions("a", "new", is_saved=False).is_saved


def test_500_undos_give_the_first_bytes(ask: Caller, room, case) -> None:
    generator = random.Random(5)
    first = case.read_bytes()
    desk = room.desk
    for number in range(500):
        path, text = generator.choice([
            (("title",), f"title {number}"),
            (("engine", "burn"), f"{5 + number / 100} US_gal/h"),
            (("line", 0, "via", 1, 2), f"{40 + number / 50} in"),
            (("flight", "climb_pitch"), f"{8 + number % 7 + number / 1000} deg"),
        ])  # fmt: skip
        desk.change([ChangeStep(do="type", path=path, text=text)])
    last = desk.editions.text
    assert len(desk.editions.every) == 501
    for _ in range(500):
        desk.travel("undo")
    said = ask("/state")
    assert not said["history"]["can_undo"]
    assert said["history"]["is_saved"]
    assert desk.editions.text.encode() == first == starter_text("Starter").encode()
    for _ in range(500):
        desk.travel("redo")
    assert not ask("/state")["history"]["can_redo"]
    assert desk.editions.text == last


def test_undo_survives_saving(ask: Caller, room, case) -> None:
    ask.type(["title"], "Another")
    assert ask("/save")["history"]["is_saved"]
    said = ask("/travel", where="undo")
    assert not said["history"]["is_saved"]
    assert ask("/save")["ok"]
    assert case.read_text(encoding="utf-8") == starter_text("Starter")


def field(kind: str, item: str = ""):
    from flowsim.files.case.form import FormField

    return FormField(key="x", label="x", kind=kind, words="", required=False, item=item)


def test_what_is_typed_becomes_a_value() -> None:
    quantity = field("quantity")
    for text, old, unit, above, wanted in (
        ("31 1/2", None, "in", None, "31 1/2 in"),
        ("31 1/2 mm", None, "in", None, "31 1/2 mm"),
        (" 3/8 in ", None, "", None, "3/8 in"),
        ("31,5", None, "in", None, "31,5 in"),
            ("6 ft 2 1/2", None, "in", None, "6 ft 2 1/2"),
        ("soon", None, "in", None, "soon"),
        ("=", None, "in", "12 in", "12 in"),
        ("=-14", None, "in", "12 1/2 in", "-1.5 in"),
        ("=+ 1/4", None, "in", {"value": "12 in"}, "12.25 in"),
        ("0.305 in ?", None, "", None, {"value": "0.305 in", "from": "assumed"}),
        ("?", "0.305 in", "", None, {"value": "0.305 in", "from": "assumed"}),
        ("0.305 in +- 0.003", None, "in", None, {"value": "0.305 in", "accuracy": "0.003 in"}),
        ("0.31", {"value": "0.3 in", "from": "measured"}, "in", None,
         {"value": "0.31 in", "from": "measured"}),
        ("", "1 in", "", None, TAKE_OUT),
    ):  # fmt: skip
        assert typed_value(quantity, text, old, unit, above) == wanted
    assert typed_value(field("number"), "0.9", None) == 0.9
    assert typed_value(field("number"), "90 %", None) == "90 %"
    assert typed_value(field("number"), "abc", None) == "abc"
    assert typed_value(field("count"), "2", None) == 2
    assert typed_value(field("yes_no"), "yes", None) is True
    assert typed_value(field("band"), "0.8 to 1.3", None) == [0.8, 1.3]
    assert typed_value(field("names"), "left, right", None) == ["left", "right"]
    assert typed_list("-10, 38 degC", None) == ["-10 degC", "38 degC"]
    assert typed_list("-12, 40", ["-10 degC", "38 degC"]) == ["-12 degC", "40 degC"]
    assert shown_text({"value": 0.3, "from": "assumed"}) == "0.3"
    assert shown_text(["a", True]) == "a, true"
