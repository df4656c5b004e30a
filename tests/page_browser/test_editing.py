"""Writing on the page: sentences of the check, answers out of order, nothing typed is lost."""

import json
import random
import re
import time

import pytest

from flowsim.files.case.starter import starter_text
from flowsim.measures import POUND
from tests.page_browser.conftest import flowsim


def sentences(page) -> list[str]:
    """Every sentence that stands at a field or a heading that can be seen."""
    return page.js(
        "return [...document.querySelectorAll('#panels .wrong')].filter(e => !e.hidden && "
        "e.offsetParent).flatMap(e => [...e.childNodes].filter(n => n.nodeType === 3)"
        ".flatMap(n => n.textContent.split('\\n')))"
    )


WRONG = {
    "a word": (["engine", "burn"], "a lot"),
    "a unit of another kind": (["flight", "climb_speed"], "55 kg"),
    "plausible": (["flight", "climb_pitch"], "95 deg"),
    "an unknown fuel": (["fuel", "kind"], "avgas 100"),
    "nothing where something must be": (["test", "draw"], ""),
}


@pytest.mark.parametrize("name", WRONG)
def test_a_mistake_stands_at_its_field_in_the_words_of_check(opened, name) -> None:
    page = opened("starter")
    page.settled()
    page.tab("engine")
    path, text = WRONG[name]
    page.write(path, text)
    page.at_edition(2)
    page.settled()
    field = page.field(path)
    told = field.get_attribute("aria-describedby").split()
    assert field.get_attribute("aria-invalid") == "true"
    shown = page.js("return document.getElementById(arguments[0]).textContent", told[-1])
    page.js("document.getElementById('save').click()")
    page.until("document.getElementById('case-saved').textContent.startsWith('saved; 1 thing')")
    path_ = page.desk.path
    printed = flowsim("check", path_).stderr.strip().split("\n")
    assert len(printed) == 1
    assert printed[0].split(": ", 1)[1] == shown
    assert "1 thing to put right" in page.text("#mistakes")
    # With mistakes there are no numbers at all.
    assert page.text("#verdict-word") == "No result"
    assert page.text("#headline") == page.text("#curves") == page.text("#heads") == ""
    assert not page.js("return Boolean(document.querySelector('.attitude').offsetParent)")


def test_every_sentence_of_a_case_full_of_mistakes_is_one_of_check(opened) -> None:
    text = starter_text("x")
    for old, new in (
        ('at = ["48 in", "-4 in", "22 in"]', 'at = ["48 in", "4 kg", "22"]'),
        ('tube = "3/8 in x 0.035 in"', 'tube = "-6"'),
        (re.search(r'unusable = "[^"]+"', text)[0], 'unusable = "5 gal"'),
        ('part = "ball valve"', 'part = "bal valve"'),
        ('to = "engine"', 'to = "motor"'),
        ("least_takeoff", "least_takeof"),
        ('kind = "avgas 100LL"', "kind = 100"),
        ('from = "wing.rear"', 'from = "wing"'),
    ):
        assert old in text
        text = text.replace(old, new)
    page = opened("starter", text=text)
    lines = flowsim("check", page.desk.path).stderr.splitlines()
    printed = {line.split(": ", 1)[1] for line in lines}
    assert len(printed) >= 8
    seen = set()
    for name in ("measure", "lines", "tanks", "engine"):
        page.tab(name)
        found = set(sentences(page))
        assert found <= printed
        seen |= found
    assert seen == printed
    listed = page.js("return [...document.querySelectorAll('#mistakes a')].map(a => a.textContent)")
    assert {words.split(": ", 1)[1] for words in listed} == printed
    # Each in the list leads to a place.
    for number in range(len(listed)):
        page.js("document.querySelectorAll('#mistakes a')[arguments[0]].click()", number)
        assert page.js("return document.activeElement !== document.body")


def test_ten_changes_with_answers_out_of_order(opened) -> None:
    """Delays at random: no number of an older edition is shown, and the last one is check's."""
    page = opened("four-outlets")
    page.settled()
    generator = random.Random(10)
    page.delay = lambda _request: generator.uniform(0.0, 0.6)
    page.js(
        "window.seen = []; const word = document.getElementById('word');"
        "const look = () => { const turn = Number(word.dataset.turn); const said = "
        "document.getElementById('verdict-word').textContent; const head = "
        "document.getElementById('headline').textContent; window.seen.push([turn, said, head, "
        "word.className]); };"
        "new MutationObserver(look).observe(document.getElementById('answer'), "
        "{subtree: true, childList: true, characterData: true, attributes: true});"
    )
    turns = {}
    started = time.monotonic()
    for number in range(10):
        page.write(["line", 2, "via", 0, 0], f"{77 + number / 4} in")
        time.sleep(max(0.0, started + 0.2 * (number + 1) - time.monotonic()))
    page.at_edition(11)
    page.settled()
    page.delay = lambda _request: 0.0
    page.js("document.getElementById('save').click()")
    page.until("document.getElementById('case-saved').textContent === 'saved'")
    checked = json.loads(flowsim("check", page.desk.path, "--json").stdout)
    assert page.text("#verdict-word") == checked["verdict"]
    shown = page.text("#headline")
    deciding = checked["deciding"]
    # Shown in the units in which the case is written.
    assert f"{deciding['flow_kg_per_h'] / POUND:.3g} lb/h" in shown
    last = 0
    for turn, said, head, looks in page.js("return window.seen"):
        assert turn >= last
        last = turn
        turns[turn] = head
        if "is-waiting" in looks:
            assert said in ("Working out the flows", "Working out the band", "No result")
            assert "band" not in head
        elif head:
            assert "5 to 95 % band" in head
    assert last == page.desk.editions.turn


def test_typing_through_arriving_answers_loses_no_letter(opened) -> None:
    """Twenty new states of the case come in while a hand writes on."""
    from selenium.webdriver.common.keys import Keys

    page = opened("one-tank")
    page.settled()
    page.tab("engine")
    page.write(["test", "draw"], "2.5 L")
    page.at_edition(2)
    words = "A longer title, typed while twenty answers arrive, and not one letter of it is lost."
    field = page.field(["title"])
    page.js("arguments[0].focus(); arguments[0].select()", field)
    for number, letter in enumerate(words):
        field.send_keys(letter)
        if number % 4 == 3:
            what = "undo" if number % 8 == 3 else "redo"
            page.js("document.getElementById(arguments[0]).click()", what)
    end = time.monotonic() + 30
    while [path for _, path in page.asked].count("/travel") < 21:
        assert time.monotonic() < end
        time.sleep(0.05)
    page.until("document.getElementById('case-edition').textContent.startsWith('1 of')")
    assert page.value(["title"]) == words
    assert page.js("return document.activeElement.dataset.path") == '["title"]'
    field.send_keys(Keys.ENTER)
    page.at_edition(3)
    assert page.desk.draft.data["title"] == words


def test_numbers_take_the_sheets_unit_and_relatives_work(opened) -> None:
    page = opened("starter")
    page.settled()
    page.write(["line", 0, "via", 1, 0], "54 1/2")
    page.at_edition(2)
    page.until("true")
    assert page.value(["line", 0, "via", 1, 0]) == "54 1/2 in"
    page.write(["line", 0, "via", 2, 0], "=-4")
    page.at_edition(3)
    assert page.value(["line", 0, "via", 2, 0]) == "50.5 in"
    page.write(["line", 0, "via", 2, 2], "=")
    page.at_edition(4)
    assert page.value(["line", 0, "via", 2, 2]) == "52 in"
    page.write(["line", 0, "via", 2, 2], "24 ?")
    page.at_edition(5)
    assert page.desk.draft.data["line"][0]["via"][2][2] == {"value": "24 in", "from": "assumed"}
    assert page.js("return arguments[0].classList.contains('assumed')",
                   page.field(["line", 0, "via", 2, 2]))  # fmt: skip
    assumed = [entry for entry in page.desk.draft.provenance if entry.origin == "assumed"]
    assert page.text("#rests-on").startswith(f"Rests on {len(assumed)} assumed")
    page.write(["line", 0, "via", 2, 2], "24.5 +- 0.1")
    page.at_edition(6)
    assert page.desk.draft.data["line"][0]["via"][2][2]["accuracy"] == "0.1 in"


def test_keys_of_the_sheet(opened) -> None:
    from selenium.webdriver.common.action_chains import ActionChains
    from selenium.webdriver.common.keys import Keys

    page = opened("starter")
    page.settled()

    def here() -> list[str | int]:
        return json.loads(page.js("return document.activeElement.dataset.path || '[]'"))

    def press(*keys: str) -> None:
        chain = ActionChains(page.driver)
        for key in keys[:-1]:
            chain.key_down(key)
        chain.send_keys(keys[-1])
        for key in keys[:-1]:
            chain.key_up(key)
        chain.perform()

    page.js("arguments[0].focus()", page.field(["line", 0, "via", 0, 1]))
    press(Keys.ENTER)
    assert here() == ["line", 0, "via", 1, 1]
    press(Keys.SHIFT, Keys.ENTER)
    assert here() == ["line", 0, "via", 0, 1]
    press(Keys.TAB)
    assert here() == ["line", 0, "via", 0, 2]
    press(Keys.CONTROL, Keys.ENTER)
    page.at_edition(2)
    page.until('document.activeElement.dataset.path === \'["line",0,"via",1,2]\'')
    assert page.desk.draft.data["line"][0]["via"][1] == ["", "", ""]
    press("5")
    press("0")
    press(Keys.ESCAPE)
    assert page.js("return document.activeElement.value") == ""
    press(Keys.CONTROL, Keys.DELETE)
    page.at_edition(3)
    page.until('document.activeElement.dataset.path === \'["line",0,"via",1,2]\'')
    page.settled()
    assert len(page.desk.draft.data["line"][0]["via"]) == 3
    press(Keys.CONTROL, "s")
    page.until("document.getElementById('case-saved').textContent === 'saved'")


def test_a_block_from_a_spreadsheet_fills_cells(opened) -> None:
    page = opened("starter")
    page.settled()
    field = page.field(["line", 0, "via", 0, 0])
    page.js("arguments[0].focus()", field)
    page.js(
        "const data = new DataTransfer(); data.setData('text/plain', arguments[1]);"
        "arguments[0].dispatchEvent(new ClipboardEvent('paste', {clipboardData: data, "
        "bubbles: true, cancelable: true}))",
        field, "65\t-10\t58\r\n54\t-17.5\t=\n",
    )  # fmt: skip
    page.at_edition(2)
    via = page.desk.draft.data["line"][0]["via"]
    assert via[0] == ["65 in", "-10 in", "58 in"]
    assert via[1] == ["54 in", "-17.5 in", "58 in"]
    page.js("document.getElementById('undo').click()")
    page.until("document.getElementById('case-edition').textContent.startsWith('1 of')")
    assert page.value(["line", 0, "via", 0, 0]) == "65.5 in"


def test_a_thing_that_others_name_is_not_taken_out_silently(opened) -> None:
    page = opened("starter")
    page.settled()
    page.tab("lines")
    page.js(
        "[...document.querySelectorAll('#panel-lines > .cards > .card')].find(c => "
        "c.querySelector('h3').textContent === 'Junction \"floor\"').querySelector('.card-tools "
        ".out').click()"
    )
    page.until("document.getElementById('notices').innerText.includes('named elsewhere')")
    assert "line" in page.text("#notices")
    assert len(page.desk.editions.every) == 1
    page.js("[...document.querySelectorAll('#notices button')][0].click()")
    page.at_edition(2)
    page.until("document.getElementById('notices').innerText === ''")
    assert "line" not in page.desk.draft.data


def test_a_renamed_thing_keeps_its_references(opened) -> None:
    page = opened("starter")
    page.settled()
    page.tab("lines")
    page.write(["junction", 0, "name"], "cabin floor")
    page.at_edition(2)
    page.settled()
    assert page.desk.draft.system is not None
    assert page.desk.draft.data["line"][0]["to"] == "cabin floor"


def test_the_program_gone_and_back_loses_nothing(opened, driver) -> None:
    page = opened("one-tank")
    page.settled()
    page.tab("engine")
    driver.execute_cdp_cmd("Network.enable", {})
    gone = {"offline": True, "latency": 0, "downloadThroughput": 0, "uploadThroughput": 0}
    driver.execute_cdp_cmd("Network.emulateNetworkConditions", gone)
    page.write(["title"], "Written while nobody listened")
    page.until("document.getElementById('notices').innerText.includes('flowsim is not running')")
    assert page.value(["title"]) == "Written while nobody listened"
    page.js("document.activeElement.blur()")
    assert page.value(["title"]) == "Written while nobody listened"
    driver.execute_cdp_cmd("Network.emulateNetworkConditions",
                           {**gone, "offline": False, "downloadThroughput": -1,
                            "uploadThroughput": -1})  # fmt: skip
    page.until("!document.getElementById('notices').innerText.includes('flowsim is not running')")
    page.at_edition(2)
    assert page.desk.draft.data["title"] == "Written while nobody listened"


def test_changed_outside_is_seen_and_both_are_kept(opened) -> None:
    page = opened("starter")
    page.settled()
    page.tab("engine")
    page.write(["engine", "burn"], "6 US_gal/h")
    page.at_edition(2)
    theirs = starter_text("Starter").replace('climb_pitch = "12 deg"', 'climb_pitch = "9 deg"')
    page.desk.path.write_text(theirs, encoding="utf-8")
    page.until("document.getElementById('notices').innerText.includes('changed outside')", 5)
    buttons = "[...document.querySelectorAll('#notices button')]"
    page.js(f"{buttons}.find(b => b.textContent === 'See both').click()")
    page.until("document.querySelectorAll('#notices .both pre').length === 2")
    assert "overwrite" not in page.text("#notices").lower()
    page.js(f"{buttons}.find(b => b.textContent === 'Put my changes onto it').click()")
    page.until("!document.getElementById('notices').innerText.includes('changed outside')")
    assert page.value(["flight", "climb_pitch"]) == "9 deg"
    assert page.value(["engine", "burn"]) == "6 US_gal/h"


def test_two_tabs_ask_before_one_takes_over(opened, driver) -> None:
    page = opened("one-tank")
    page.settled()
    first = driver.current_window_handle
    driver.switch_to.new_window("tab")
    try:
        driver.get(page.room.gate.new_address())
        page.until("document.getElementById('notices').innerText.includes('Another page has this')")
        page.js("document.querySelector('#notices button').click()")
        page.until("document.getElementById('notices').innerText === ''")
        driver.switch_to.window(first)
        page.until("document.getElementById('notices').innerText.includes('Another page has')", 6)
    finally:
        for handle in driver.window_handles:
            if handle != first:
                driver.switch_to.window(handle)
                driver.close()
        driver.switch_to.window(first)


def test_what_is_no_toml_opens_as_text_only_and_can_be_mended(opened) -> None:
    page = opened("broken", text="}}} {{{\ntitle = 1\n")
    shown = page.js("return [...document.querySelectorAll('[role=tab]')].filter(t => "
                    "t.checkVisibility()).map(t => t.textContent)")  # fmt: skip
    assert shown == ["Text"]
    assert page.js("return document.activeElement.id") == "case-text"
    assert page.js("return document.querySelector('.numbers .bad').textContent").strip() == "! 1"
    assert page.text("#verdict-word") == "No result"
    area = page.driver.find_element("id", "case-text")
    page.js("arguments[0].value = arguments[1]; arguments[0].dispatchEvent(new Event('input'))",
            area, starter_text("Mended"))  # fmt: skip
    page.js("[...document.querySelectorAll('#panel-text button')][0].click()")
    page.at_edition(2)
    page.settled()
    assert page.text("#case-title") == "Mended"
    assert page.js("return document.getElementById('tab-measure').checkVisibility()")
