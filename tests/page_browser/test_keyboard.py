"""From the starter to the one-tank case by keyboard alone; the focus is never lost."""

import json
import tomllib
from typing import Any

import pytest

pytest.importorskip("selenium", reason="selenium is not installed (extra dev)")

from selenium.webdriver.common.action_chains import ActionChains
from selenium.webdriver.common.keys import Keys

from tests.page_browser.conftest import CASES

# Counts how often Tab must be pressed from what has the focus to what is wanted; negative: back.
AWAY = """
const seen = [...document.querySelectorAll(
  'a[href],button,input,select,textarea,summary,[tabindex]')]
  .filter(e => e.tabIndex >= 0 && !e.disabled && e.checkVisibility());
return seen.indexOf(arguments[0]) - seen.indexOf(document.activeElement);
"""


class Hands:
    """Two hands on a keyboard: nothing here clicks or sets anything."""

    def __init__(self, page) -> None:
        self.page = page
        self.pressed = 0

    def press(self, *keys: str, held: str = "") -> None:
        chain = ActionChains(self.page.driver, duration=0)
        if held:
            chain.key_down(held)
        for key in keys:
            chain.send_keys(key)
        if held:
            chain.key_up(held)
        chain.perform()
        self.pressed += len(keys)
        self.focus_is_somewhere()

    def focus_is_somewhere(self, after: object = "a key") -> None:
        is_somewhere = self.page.js("return document.activeElement !== document.body")
        assert is_somewhere, f"the focus is lost after {after}"

    def go_to(self, element: Any) -> None:
        """Press Tab, or Shift and Tab, until an element has the focus."""
        for _ in range(12):
            if self.page.js("return document.activeElement === arguments[0]", element):
                return
            away = self.page.js(AWAY, element)
            assert away != 0
            self.press(*([Keys.TAB] * abs(away)), held=Keys.SHIFT if away < 0 else "")
        raise AssertionError("Tab does not lead there")

    def open_tab(self, name: str) -> None:
        self.go_to(self.page.js("return document.querySelector('[role=tab][aria-selected=true]')"))
        while self.page.js("return document.activeElement.id") != f"tab-{name}":
            self.press(Keys.ARROW_RIGHT)

    def uncover(self, find: str, *words: Any) -> Any:
        """Open what is folded around an element, from the outside in, and give it."""
        element = self.page.js(f"return {find}", *words)
        assert element is not None, words
        for _ in range(6):
            folded = self.page.js(
                "let f = null; for (let d = arguments[0].parentElement.closest('details'); d; "
                "d = d.parentElement.closest('details')) { if (!d.open) f = d; } "
                "return f ? f.firstElementChild : null", element,
            )  # fmt: skip
            if folded is None:
                return element
            self.go_to(folded)
            self.press(Keys.ENTER)
        return element

    def field(self, path: list[str | int]) -> Any:
        return self.uncover(
            "[...document.querySelectorAll('input.value,select.value')].find(e => e.dataset.path "
            "=== arguments[0] && !e.closest('[role=tabpanel][hidden]'))",
            json.dumps(path, separators=(",", ":")),
        )

    def write(self, path: list[str | int], text: str) -> None:
        count = len(self.page.desk.editions.every)
        field = self.field(path)
        self.go_to(field)
        if field.tag_name == "select":
            self.press(*text)
        else:
            self.press("a", held=Keys.CONTROL)
            self.press(text or Keys.DELETE)
            self.press(Keys.ENTER)
        self.page.at_edition(count + 1)
        self.focus_is_somewhere(path)

    def push(self, find: str, *words: Any) -> None:
        """Go to a button and press it."""
        count = len(self.page.desk.editions.every)
        self.go_to(self.uncover(find, *words))
        self.press(Keys.ENTER)
        self.page.at_edition(count + 1)
        self.page.until("document.activeElement !== document.body")


CARD = (
    "[...document.querySelectorAll('[role=tabpanel]:not([hidden]) .card-head')].find(h => "
    "h.dataset.path === arguments[0]).closest('.card')"
)


def data_of(page) -> dict[str, Any]:
    return tomllib.loads(page.desk.editions.text)


def get(data: Any, path: list[str | int]) -> Any:
    for step in path:
        if isinstance(data, dict):
            data = data.get(step)
        else:
            data = data[step] if isinstance(data, list) and step < len(data) else None
    return data


def take_out(hands: Hands, path: list[str | int]) -> None:
    key = json.dumps(path, separators=(",", ":"))
    hands.push(f"{CARD}.querySelector('.card-tools .out')", key)


def make_like(hands: Hands, path: list[str | int], target: Any) -> None:
    """Bring what stands at a path to what is wanted, key by key."""
    page = hands.page
    now = get(data_of(page), path)
    if now == target:
        return
    if isinstance(target, dict) and "value" in target:
        accuracy = f" +- {target['accuracy']}" if "accuracy" in target else ""
        hands.write(path, target["value"] + accuracy)
        if target.get("from"):
            hands.go_to(hands.field(path))
            hands.press(Keys.TAB)  # to the word "from" under the field
            hands.press(Keys.ENTER)
            hands.press(Keys.TAB)
            count = len(page.desk.editions.every)
            hands.press(*target["from"])
            page.at_edition(count + 1)
    elif isinstance(target, dict):
        for key, value in target.items():
            make_like(hands, [*path, key], value)
        for key in set(get(data_of(page), path)) - set(target):
            put_away(hands, [*path, key])
    elif path[-1] == "cells":
        make_cells(hands, path, target)
    elif isinstance(target, list) and target and isinstance(target[0], dict | list):
        while len(get(data_of(page), path)) > len(target):
            take_last(hands, path, len(get(data_of(page), path)) - 1)
        for index, value in enumerate(target):
            make_like(hands, [*path, index], value)
    elif (isinstance(target, list) and path[-1] in ("inlet_at", "at")) or isinstance(path[-1], int):
        for axis, value in enumerate(target):
            if get(data_of(page), [*path, axis]) != value:
                hands.write([*path, axis], value)
    else:
        hands.write(path, ", ".join(target) if isinstance(target, list) else str(target))


ADDER = (
    "[...document.querySelectorAll('[role=tabpanel]:not([hidden]) fieldset')].find(f => "
    "f.querySelector('legend').textContent === 'cells').querySelectorAll('.tools button')"
)


def make_cells(hands: Hands, path: list[str | int], target: list[Any]) -> None:
    """Write the corners of cells, one more cell and one more point at a time."""
    page = hands.page
    for i, cell in enumerate(target):
        if get(data_of(page), [*path, i]) is None:
            hands.push(f"{ADDER}[1]")
        for j, point in enumerate(cell):
            if get(data_of(page), [*path, i, j]) is None:
                hands.push(f"{ADDER}[0]")
            for axis, value in enumerate(point):
                hands.write([*path, i, j, axis], value)


def take_last(hands: Hands, path: list[str | int], index: int) -> None:
    if path[-1] in ("via", "corners"):
        key = json.dumps([*path, index], separators=(",", ":"))
        hands.push(
            "[...document.querySelectorAll('[role=tabpanel]:not([hidden]) .point')].find(p => "
            "p.dataset.point === arguments[0]).querySelector('.out')", key,
        )  # fmt: skip
    else:
        take_out(hands, [*path, index])


def put_away(hands: Hands, path: list[str | int]) -> None:
    value = get(data_of(hands.page), path)
    if isinstance(value, dict) and "value" in value:
        hands.write(path, "")
    elif isinstance(value, dict) or (
        value and isinstance(value, list) and isinstance(value[0], dict)
    ):
        while isinstance(get(data_of(hands.page), path), list):
            take_out(hands, [*path, len(get(data_of(hands.page), path)) - 1])
        if get(data_of(hands.page), path) is not None:
            take_out(hands, path)
    elif path[-1] in ("via", "corners"):
        while (there := get(data_of(hands.page), path)) is not None:
            take_last(hands, path, len(there) - 1)
    elif isinstance(value, list) and len(value) == 3 and path[-1].endswith("_at"):
        for axis in range(3):
            hands.write([*path, axis], "")
    else:
        hands.write(path, "")


def test_from_the_starter_to_the_one_tank_case(opened) -> None:
    page = opened("starter")
    page.settled()
    page.picture("1-starter")
    target = tomllib.loads((CASES / "one-tank" / "case.toml").read_text(encoding="utf-8"))
    hands = Hands(page)
    lines = ["junction", "drain", "line"]
    rest = [key for key in target if key not in ("tank", *lines)]
    places = {"engine": rest, "tanks": ["tank"], "lines": lines}
    for tab, keys in places.items():
        hands.open_tab(tab)
        for key in keys:
            make_like(hands, [key], target[key])
    hands.open_tab("measure")
    page.settled()
    page.picture("2-one-tank")
    assert data_of(page) == target
    assert page.text("#verdict-word") == "adequate, open line only"
    assert set(data_of(page)) == set(target)
    # The remarks of the starter are all still there.
    assert "# Points where straight pieces" in page.desk.editions.text
    hands.press("s", held=Keys.CONTROL)
    page.until("document.getElementById('case-saved').textContent === 'saved'")
    assert hands.pressed > 200
    assert page.complaints() == []
