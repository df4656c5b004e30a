"""What is seen first, by the real command; and that nothing is asked of anybody else."""

import json

import pytest

from flowsim.files.case.starter import starter_text
from tests.page_browser.conftest import CASES, flowsim, program, wait


def test_the_command_opens_the_page_and_the_verdict_is_that_of_check(driver, tmp_path) -> None:
    case = tmp_path / "case.toml"
    case.write_bytes((CASES / "nose-high" / "case.toml").read_bytes())
    with program(case) as running:
        address = running.stdout.readline().strip()
        assert address.startswith("http://127.0.0.1:")
        assert "#" in address
        driver.get(address)
        wait(driver, "document.querySelector('#word').dataset.turn && "
             "!document.querySelector('#word').classList.contains('is-waiting')")  # fmt: skip
        checked = json.loads(flowsim("check", case, "--json").stdout)
        assert driver.find_element("id", "verdict-word").text == checked["verdict"]
        assert "An estimate, not an approval." in driver.find_element("id", "standing").text
        assert driver.current_url.endswith("/")
        # The word of the address is used up: another window is told what to do.
        driver.execute_script("sessionStorage.clear()")
        driver.get("about:blank")
        driver.get(address)
        wait(driver, "document.body.innerText.includes('Press Enter in the terminal')")
        running.stdin.write("\n")
        running.stdin.flush()
        running.stdout.readline()
        driver.get(running.stdout.readline().strip())
        wait(driver, "!document.querySelector('#desk').hidden")
        driver.execute_script("document.getElementById('close').click()")
        assert running.wait(10) == 0
        wait(driver, "document.body.innerText.includes('flowsim has been stopped')")
        assert case.read_bytes() == (CASES / "nose-high" / "case.toml").read_bytes()


def test_first_sight_has_answer_drawing_curves_and_the_sheet(opened) -> None:
    page = opened("four-outlets")
    page.settled()
    assert page.text("#headline").startswith("Least flow")
    assert "5 to 95 % band" in page.text("#headline")
    assert page.js("return document.querySelectorAll('#drawing polygon.tk').length") == 2
    assert page.js("return document.querySelectorAll('#drawing polygon.fu').length") >= 1
    assert page.js("return document.querySelectorAll('#drawing .cross').length") >= 1
    assert page.js("return document.querySelectorAll('#curves svg polyline').length") >= 2
    assert page.js("return document.querySelectorAll('#heads svg rect').length") > 10
    assert page.js("return document.activeElement.dataset.path") == '["tank",0,"outlet",0,"at",0]'
    named = page.js("return document.getElementById('at-pitch').getAttribute('aria-valuetext')")
    assert named == "17.0 deg nose-up (the test attitude)"
    assert page.text("#rests-on").startswith("Rests on 0 assumed and ")


def test_the_cursor_stands_in_the_first_wrong_cell(opened) -> None:
    text = starter_text("x").replace('["38 in", "0 in", "20 in"]', '["38 in", "", "20 in"]')
    page = opened("starter", text=text)
    assert page.js("return document.activeElement.dataset.path") == '["line",1,"via",0,1]'


def test_nothing_is_asked_of_another_address_and_nothing_complains(opened) -> None:
    page = opened("four-outlets")
    page.settled()
    for name in ("lines", "tanks", "engine", "try", "changes", "text", "measure"):
        page.tab(name)
    page.write(["line", 0, "via", 0, 0], "52 in")
    page.at_edition(2)
    page.settled()
    asked = [json.loads(e["message"])["message"] for e in page.driver.get_log("performance")]
    urls = [
        item["params"]["request"]["url"]
        for item in asked
        if item["method"] == "Network.requestWillBeSent"
    ]
    ours = page.room.gate.origin
    assert len(urls) > 10
    assert [u for u in urls if not u.startswith((ours + "/", "about:", "chrome"))] == []
    assert page.complaints() == []
    policies = {
        item["params"]["response"]["headers"].get("content-security-policy")
        for item in asked
        if item["method"] == "Network.responseReceived"
        and item["params"]["response"]["url"].startswith(ours)
    }
    assert len(policies) == 1
    assert policies.pop().startswith("default-src 'none'; script-src 'self'; style-src 'self'")


def test_what_a_case_says_is_never_read_as_markup(opened) -> None:
    text = starter_text("<img src=x onerror=alert(1)>").replace(
        'name = "floor"', 'name = "<b>floor</b>"'
    )
    text = text.replace('"floor"', '"<b>floor</b>"')
    page = opened("starter", text=text)
    page.settled()
    assert page.text("#case-title") == "<img src=x onerror=alert(1)>"
    assert page.js("return document.querySelectorAll('img, #desk b b').length") == 0
    assert page.complaints() == []


@pytest.mark.parametrize("name", ["humps.toml", "new"])
def test_without_a_case_one_is_chosen(driver, tmp_path, name) -> None:
    (tmp_path / "humps.toml").write_bytes((CASES / "humps" / "case.toml").read_bytes())
    with program(folder=tmp_path) as running:
        driver.get(running.stdout.readline().strip())
        wait(driver, "document.querySelector('#choose button')")
        assert "humps.toml" in driver.find_element("id", "choose").text
        if name == "new":
            driver.find_element("id", "new-title").send_keys("My wing\n")
        else:
            driver.find_element("css selector", "#choose .choices button").click()
        wait(driver, "!document.querySelector('#desk').hidden")
        shown = driver.find_element("id", "case-file").text
        assert shown == ("my-wing.toml (new)" if name == "new" else name)
        assert not (tmp_path / "my-wing.toml").exists()
