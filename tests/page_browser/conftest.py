"""The page in a real browser, headless.

Needs Chromium and its driver on the PATH and the package selenium; otherwise these tests are
skipped and say so.
"""

import contextlib
import importlib.util
import io
import json
import os
import shutil
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from flowsim.files.case.starter import starter_text
from flowsim.page.answer import answer
from flowsim.page.desk import Desk
from flowsim.page.guards import Answer, Gate, Request
from flowsim.page.room import Room
from flowsim.page.serve import Server, bound, port_of

ROOT = Path(__file__).parents[2]
CASES = ROOT / "cases"
BROWSER = next(
    (f for n in ("chromium", "chromium-browser", "google-chrome") if (f := shutil.which(n))), None
)
DRIVER = shutil.which("chromedriver")
FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--window-size=1400,1000",
)  # fmt: skip
HAS_SELENIUM = importlib.util.find_spec("selenium") is not None


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    if BROWSER is None or DRIVER is None or not HAS_SELENIUM:
        mark = pytest.mark.skip(reason="no Chromium with its driver on the PATH, or no selenium")
        for item in items:
            if Path(item.fspath).parent == Path(__file__).parent:
                item.add_marker(mark)


@pytest.fixture(scope="session")
def driver(tmp_path_factory) -> Iterator[Any]:
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


class Page:
    """One case on the page, with the server behind it in this process."""

    def __init__(self, driver: Any, room: Room, server: Server) -> None:
        self.driver, self.room, self.server = driver, room, server
        self.delay: Callable[[Request], float] = lambda _request: 0.0
        self.asked: list[tuple[float, str]] = []

    @property
    def desk(self) -> Desk:
        return self.room.need()

    def respond(self, request: Request) -> Answer:
        self.asked.append((time.perf_counter(), request.path))
        made = answer(self.room, request)
        time.sleep(self.delay(request))
        return made

    def open(self, address: str | None = None) -> None:
        self.driver.get("about:blank")
        self.driver.get_log("performance")
        self.driver.get_log("browser")
        self.driver.get(address or self.room.gate.new_address())
        self.until("document.querySelector('#desk') && !document.querySelector('#desk').hidden")

    def js(self, code: str, *words: Any) -> Any:
        return self.driver.execute_script(code, *words)

    def until(self, condition: str, seconds: float = 30.0) -> None:
        """Wait until a JavaScript condition holds."""
        end = time.monotonic() + seconds
        while time.monotonic() < end:
            if self.js(f"return Boolean({condition})"):
                return
            time.sleep(0.02)
        raise AssertionError(f"never came true: {condition}\n{self.text('#answer')}")

    def settled(self) -> None:
        """Wait until the verdict of the current edition is there, or mistakes are."""
        turn = self.desk.editions.turn
        self.until(
            f"document.querySelector('#word').dataset.turn === '{turn}' && "
            "(!document.querySelector('#word').classList.contains('is-waiting') || "
            "document.querySelector('#verdict-word').textContent === 'No result')"
        )

    def at_edition(self, count: int) -> None:
        """Wait until the case has had so many editions."""
        self.until(f"document.querySelector('#case-edition').textContent.endsWith(' of {count}')")

    def text(self, selector: str) -> str:
        return self.js(
            "const e = document.querySelector(arguments[0]); return e ? e.innerText : ''", selector
        )

    def field(self, path: list[str | int]) -> Any:
        """Give the input of a path that can be seen."""
        found = self.js(
            "return [...document.querySelectorAll('[data-path]')].find(e => e.dataset.path === "
            "arguments[0] && e.matches('input,select') && e.offsetParent)",
            json.dumps(path, separators=(",", ":")),
        )
        assert found is not None, path
        return found

    def tab(self, name: str) -> None:
        self.js("document.getElementById('tab-' + arguments[0]).click()", name)

    def write(self, path: list[str | int], text: str) -> None:
        """Write into a field as a hand does, and leave it by Enter."""
        from selenium.webdriver.common.keys import Keys

        field = self.field(path)
        self.js("arguments[0].scrollIntoView({block: 'center'}); arguments[0].focus()", field)
        field.send_keys(Keys.CONTROL, "a")
        field.send_keys(text or Keys.DELETE)
        field.send_keys(Keys.ENTER)

    def value(self, path: list[str | int]) -> str:
        return self.js("return arguments[0].value", self.field(path))

    def picture(self, name: str) -> None:
        """Keep what is seen now; with FLOWSIM_PICTURES set to a folder, for the docs."""
        folder = os.environ.get("FLOWSIM_PICTURES")
        content = self.driver.get_screenshot_as_png()
        assert len(content) > 20_000
        if folder:
            from PIL import Image

            image = Image.open(io.BytesIO(content)).convert("RGB").quantize(48)
            image.save(Path(folder, f"page-{name}.png"), optimize=True)

    def complaints(self) -> list[str]:
        """Whatever the browser had to say."""
        return [e["message"] for e in self.driver.get_log("browser") if e["level"] != "INFO"]


@pytest.fixture
def opened(driver, tmp_path) -> Iterator[Callable[..., Page]]:
    """Open a case, by the name of a bundled one or by its text."""
    pages: list[Page] = []

    def start(case: str = "one-tank", *, text: str | None = None) -> Page:
        path = tmp_path / f"{case}.toml"
        if text is not None:
            path.write_text(text, encoding="utf-8")
        elif case == "starter":
            path.write_text(starter_text("Starter"), encoding="utf-8")
        else:
            shutil.copy(CASES / case / "case.toml", path)
        made = bound(0)
        room = Room(Gate(port_of(made)), tmp_path, Desk(path))
        page = Page(driver, room, None)  # type: ignore[arg-type]
        page.server = Server(made, page.respond)
        room.on_close = page.server.stop
        page.thread = threading.Thread(target=page.server.run, daemon=True)  # type: ignore[attr-defined]
        page.thread.start()  # type: ignore[attr-defined]
        pages.append(page)
        driver.execute_cdp_cmd("Emulation.clearDeviceMetricsOverride", {})
        driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "", "features": []})
        page.open()
        return page

    yield start
    driver.get("about:blank")
    for page in pages:
        page.delay = lambda _request: 0.0
        page.server.stop(0.0)
        page.thread.join(10.0)  # type: ignore[attr-defined]
        page.desk.close()


def flowsim(*words: object) -> subprocess.CompletedProcess[str]:
    """Run a command as the terminal does."""
    return subprocess.run(
        [sys.executable, "-m", "flowsim.cli.main", *map(str, words)],
        capture_output=True, text=True, check=False, cwd=ROOT,
    )  # fmt: skip


@contextlib.contextmanager
def program(*words: object, folder: Path = ROOT) -> Iterator[subprocess.Popen[str]]:
    """Run ``flowsim open`` as a terminal does, and be sure that it ends."""
    done = subprocess.Popen(
        [sys.executable, "-m", "flowsim.cli.main", "open", *map(str, words), "--no-browser"],
        stdout=subprocess.PIPE, stdin=subprocess.PIPE, text=True, cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT)},
    )  # fmt: skip
    with done:
        try:
            yield done
        finally:
            done.kill()


def wait(driver: Any, condition: str, seconds: float = 30.0) -> None:
    """Wait until a JavaScript condition holds."""
    end = time.monotonic() + seconds
    while not driver.execute_script(f"return Boolean({condition})"):
        assert time.monotonic() < end, condition
        time.sleep(0.03)
