"""The page in a real browser: move the pitch, read the numbers, compare them with the data.

Needs Chromium and its driver on the PATH and the package selenium; otherwise it is skipped and
says so.
"""

import json
import math
import shutil
from pathlib import Path

import pytest

from flowsim.files.results.report_object import report_json
from flowsim.reports.render.html import report_html
from tests.support.report_cases import report_of

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
BROWSER = next((found for name in BROWSERS if (found := shutil.which(name))), None)
DRIVER = shutil.which("chromedriver")
selenium = pytest.importorskip("selenium", reason="selenium is not installed (extra dev)")
pytestmark = pytest.mark.skipif(
    BROWSER is None or DRIVER is None, reason="no Chromium with its driver on the PATH"
)
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--window-size=1200,900",
)  # fmt: skip


@pytest.fixture(scope="module")
def driver(tmp_path_factory):
    from selenium import webdriver
    from selenium.webdriver.chrome.options import Options
    from selenium.webdriver.chrome.service import Service

    options = Options()
    options.binary_location = BROWSER
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('profile')}"):
        options.add_argument(flag)
    browser = webdriver.Chrome(options=options, service=Service(DRIVER))
    yield browser
    browser.quit()


@pytest.fixture(scope="module")
def data():
    return json.loads(report_json(report_of("four-outlets")))


@pytest.fixture(scope="module")
def file(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("page") / "report.html"
    path.write_text(report_html(report_of("four-outlets")), encoding="utf-8")
    return path


@pytest.fixture
def page(driver, file):
    from selenium.webdriver.support.ui import WebDriverWait

    driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
    driver.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": False})
    driver.get("about:blank")  # so that the page read next is surely a new one
    driver.get(file.as_uri())
    WebDriverWait(driver, 30).until(lambda page: element(page, "explorer").is_displayed())
    return driver


def element(page, name):
    from selenium.webdriver.common.by import By

    return page.find_element(By.ID, name)


def choose(page, name, index):
    from selenium.webdriver.support.ui import Select

    Select(element(page, name)).select_by_index(index)


def cell_of(tries, selector, state, end, pitch):
    for one in tries["sets"]:
        if (one["selector"], one["state"], one["end"]) == (selector, state, end):
            return one["cells"][pitch]
    return None


def compare(page, tries, selector, state, end, pitch):
    """Compare what is read off the page with the data."""
    cell = cell_of(tries, selector, state, end, pitch)
    if cell is None:
        assert element(page, "x-flow").text == "not drawn"
        return
    assert element(page, "x-flow").text == f"{cell['flow_kg_per_h']:.1f} kg/h"
    percent = element(page, "x-percent").text
    shown = math.floor(10 * cell["percent_of_required"] + 1e-6) / 10  # 99.96 % is not 100 %
    assert percent.startswith(f"{shown:.1f} % of ")
    assert ("too little" in percent) is (cell["percent_of_required"] < 100)
    bare = ", ".join(tries["outlets"][i] for i in cell["uncovered"]) or "none"
    assert element(page, "x-bare").text == bare
    assert element(page, "x-verdict").text.startswith(cell["verdict"])
    degrees = tries["pitch_deg"][pitch]
    assert f"{abs(degrees):.1f} deg" in element(page, "x-angle").text
    turn = page.execute_script(
        "return document.querySelector('#x-figure svg g').getAttribute('transform')"
    )
    assert turn.startswith(f"rotate({degrees:g} ")
    tank = page.execute_script(
        "return document.querySelector('#x-figure polyline.su').getAttribute('points')"
    )
    surface = tries["seen"][state][pitch][0]["surface"]
    assert tank == " ".join(f"{x:g},{-y:g}" for x, y in surface)


def test_it_starts_where_the_verdict_is_decided(page, data):
    tries = data["tries"]
    compare(page, tries, *tries["start"])
    assert f"{data['check']['deciding']['flow_kg_per_h']:.1f} kg/h" == element(page, "x-flow").text


def test_pitch_by_keyboard_and_every_choice(page, data):
    from selenium.webdriver.common.keys import Keys

    tries = data["tries"]
    slider = element(page, "x-pitch")
    last = len(tries["pitch_deg"]) - 1
    for selector in range(len(tries["selectors"])):
        choose(page, "x-selector", selector)
        for state in range(len(tries["states"])):
            choose(page, "x-state", state)
            for end in range(len(tries["ends"])):
                choose(page, "x-end", end)
                slider.send_keys(Keys.HOME)
                compare(page, tries, selector, state, end, 0)
                slider.send_keys(Keys.ARROW_RIGHT, Keys.ARROW_RIGHT)
                compare(page, tries, selector, state, end, 2)
                slider.send_keys(Keys.END)
                compare(page, tries, selector, state, end, last)


def test_named_attitudes_are_buttons(page, data):
    from selenium.webdriver.common.by import By

    tries = data["tries"]
    buttons = page.find_elements(By.CSS_SELECTOR, "#x-named button")
    named = [index for index, name in enumerate(tries["pitch_names"]) if name]
    assert len(buttons) == len(named) == 3
    for button, index in zip(buttons, named, strict=True):
        button.click()
        compare(page, tries, *tries["start"][:3], index)
    spoken = element(page, "x-pitch").get_attribute("aria-valuetext")
    assert spoken == "17.0 deg nose-up (the test attitude)"


def test_nothing_is_asked_of_the_network_and_nothing_complains(page):
    page.get_log("performance")
    page.refresh()
    asked = [json.loads(entry["message"])["message"] for entry in page.get_log("performance")]
    urls = {
        item["params"]["request"]["url"]
        for item in asked
        if item["method"] == "Network.requestWillBeSent"
    }
    assert all(url.startswith("file://") for url in urls)
    assert [entry for entry in page.get_log("browser") if entry["level"] != "INFO"] == []


def test_it_reads_with_scripts_off(page, file):
    from selenium.webdriver.common.by import By

    page.execute_cdp_cmd("Emulation.setScriptExecutionDisabled", {"value": True})
    page.get(file.as_uri())
    assert not element(page, "explorer").is_displayed()
    assert "Scripts are off" in page.find_element(By.CSS_SELECTOR, "#try").text
    assert "Least flow" in element(page, "answer").text
    assert len(page.find_elements(By.CSS_SELECTOR, "figure svg")) > 10


@pytest.mark.parametrize("width", [360, 390, 1200])
def test_no_part_runs_out_of_the_page(page, file, width):
    page.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": width, "height": 800, "deviceScaleFactor": 1, "mobile": width < 500},
    )
    page.get(file.as_uri())
    assert page.execute_script("return document.documentElement.scrollWidth") <= width
    smallest = page.execute_script(
        "return Math.min(...[...document.querySelectorAll('figure svg.fig text')].map(t => "
        "parseFloat(getComputedStyle(t).fontSize) * t.ownerSVGElement.getBoundingClientRect().width"
        " / t.ownerSVGElement.viewBox.baseVal.width))"
    )
    assert smallest >= 11.0 - 1e-6


def test_no_column_of_a_table_is_cut_on_a_telephone(page, file):
    page.execute_cdp_cmd(
        "Emulation.setDeviceMetricsOverride",
        {"width": 360, "height": 800, "deviceScaleFactor": 1, "mobile": True},
    )
    page.get(file.as_uri())
    cut = page.execute_script(
        "return [...document.querySelectorAll('.scroll')].filter(b => b.scrollWidth > "
        "b.clientWidth + 1).map(b => b.getAttribute('aria-label') + b.innerText.slice(0, 60))"
    )
    assert cut == []
    assert len(page.execute_script("return [...document.querySelectorAll('table.wide td')]")) > 100


def test_dark_and_light_have_their_colours(page, file):
    seen = []
    for scheme in ("light", "dark"):
        page.execute_cdp_cmd(
            "Emulation.setEmulatedMedia",
            {"features": [{"name": "prefers-color-scheme", "value": scheme}]},
        )
        page.get(file.as_uri())
        seen.append(
            page.execute_script("return getComputedStyle(document.documentElement).backgroundColor")
        )
    page.execute_cdp_cmd("Emulation.setEmulatedMedia", {"features": []})
    assert seen == ["rgb(255, 255, 255)", "rgb(25, 25, 23)"]


def test_every_printed_page_says_what_it_is(page, file, tmp_path):
    import base64
    import subprocess

    if shutil.which("pdftotext") is None:
        pytest.skip("pdftotext is not installed")
    page.get(file.as_uri())
    made = page.execute_cdp_cmd("Page.printToPDF", {"preferCSSPageSize": True})
    path = tmp_path / "print.pdf"
    path.write_bytes(base64.b64decode(made["data"]))
    text = subprocess.run(
        ["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True
    ).stdout
    pages = text.split("\f")[:-1]
    assert len(pages) > 5
    for one in pages:
        words = " ".join(one.split())
        assert "An estimate, not an approval. The ground test decides." in words
