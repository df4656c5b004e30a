"""How quick the local page is, in a real browser; and how many random edits are proved.

``python -m tests.benchmarks.bench_page`` prints the times of the four-outlet case beside what they
should be on two quiet cores, with the computer's load; ``--edits 10000`` makes random edits.
Times are never asserted in a test.
"""

import argparse
import os
import shutil
import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.page_browser.conftest import BROWSER, CASES, DRIVER, FLAGS, program, wait
from tests.unit.files.toml.test_edits import run_edits

CASE = CASES / "four-outlets" / "case.toml"
# Notes the moment at which each part of an answer can be seen, counted from leaving a field.
WATCH = """
window.times = {};
const mark = (name) => { if (!(name in window.times)) window.times[name] = performance.now(); };
const word = document.getElementById('word'), edition = document.getElementById('case-edition');
const look = () => {
  if (Number(word.dataset.turn) !== window.turn) {
    mark('state');
    if (document.querySelector('#panels .wrong:not([hidden])')) mark('mistake');
    if (document.querySelector('#curves svg')) mark('curves');
    if (!word.classList.contains('is-waiting')) mark('verdict');
  }
};
new MutationObserver(look).observe(document.body, {subtree: true, childList: true,
  characterData: true, attributes: true});
window.leave = (path, text) => {
  const input = [...document.querySelectorAll('input.value')].find(e => e.dataset.path === path &&
    e.checkVisibility());
  input.focus(); input.value = text; window.times = {}; window.turn = Number(word.dataset.turn);
  window.began = performance.now(); input.blur();
};
"""


def main() -> None:
    """Measure, and print."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--edits", type=int, default=0, help="make so many random edits instead")
    asked.add_argument("--repeats", type=int, default=25, help="changes, starts are a fifth of it")
    options = asked.parse_args()
    if options.edits:
        began = time.perf_counter()
        done = run_edits(options.edits, seed=20260101)
        each = 1000 * (time.perf_counter() - began) / done
        print(f"{done} random edits made and proved, {each:.1f} ms each with finding them")
        return
    with tempfile.TemporaryDirectory() as folder:
        browser = _browser(folder)
        try:
            _print(_starts(browser, folder, max(3, options.repeats // 5)), "from the command")
            _print(_changes(browser, folder, options.repeats), "from leaving a field")
        finally:
            browser.quit()
    print(f"load of the computer (1 min): {os.getloadavg()[0]:.1f}")


def _browser(folder: str) -> Any:
    from selenium import webdriver
    from selenium.webdriver.chrome.options import Options
    from selenium.webdriver.chrome.service import Service

    options = Options()
    options.binary_location = BROWSER or ""
    for flag in (*FLAGS, f"--user-data-dir={folder}/profile"):
        options.add_argument(flag)
    return webdriver.Chrome(options=options, service=Service(DRIVER))


Row = tuple[str, list[float], str]


def _starts(browser: Any, folder: str, count: int) -> list[Row]:
    """From the command to the painted page and to the verdict [ms]."""
    painted, verdicts = [], []
    for number in range(count):
        case = Path(folder, f"start{number}.toml")
        shutil.copy(CASE, case)
        began = time.time()
        with program(case) as running:
            browser.get(running.stdout.readline().strip())
            wait(browser, "document.querySelector('#word').dataset.turn && "
                 "!document.querySelector('#word').classList.contains('is-waiting')")  # fmt: skip
            verdicts.append(1000 * (time.time() - began))
            paint = browser.execute_script(
                "return performance.timeOrigin + performance.getEntriesByName("
                "'first-contentful-paint')[0].startTime"
            )
            painted.append(paint - 1000 * began)
    return [("painted page", painted, "1500"), ("verdict", verdicts, "3000")]


def _changes(browser: Any, folder: str, count: int) -> list[Row]:
    """From leaving a field to what is seen of it [ms], and the script's time for a pitch step."""
    case = Path(folder, "change.toml")
    shutil.copy(CASE, case)
    seen: dict[str, list[float]] = {"state": [], "mistake": [], "curves": [], "verdict": []}
    with program(case) as running:
        browser.get(running.stdout.readline().strip())
        settled = "!document.querySelector('#word').classList.contains('is-waiting')"
        wait(browser, f"document.querySelector('#word').dataset.turn && {settled}")
        browser.execute_script(WATCH)
        path = '["line",2,"via",0,0]'
        for number in range(count):
            text = "a word" if number % 5 == 4 else f"{77 + number / 100} in"
            browser.execute_script("window.leave(arguments[0], arguments[1])", path, text)
            last = "mistake" if number % 5 == 4 else "verdict"
            wait(browser, f"window.times.{last}")
            times = browser.execute_script("return window.times")
            began = browser.execute_script("return window.began")
            for name in seen:
                if name in times:
                    seen[name].append(times[name] - began)
            time.sleep(0.1)
        browser.execute_script("window.leave(arguments[0], '77 in')", path)
        wait(browser, f"window.times.verdict && {settled}")
        steps = browser.execute_script(
            "const s = document.getElementById('at-pitch'); const all = [];"
            "for (let i = 0; i < 184; i += 1) { s.value = String(i % 46); const t = "
            "performance.now(); s.dispatchEvent(new Event('input')); "
            "document.getElementById('drawing').getBoundingClientRect(); "
            "all.push(performance.now() - t); } return all;"
        )
    return [
        ("drawing and state", seen["state"], "median 100, 95 % 250"),
        ("mistake at its field", seen["mistake"], "median 100, 95 % 250"),
        ("curves and head", seen["curves"], "95 % 500"),
        ("verdict", seen["verdict"], "median 800, 95 % 1200"),
        ("pitch step, script and layout", steps, "8"),
    ]


def _print(rows: list[Row], title: str) -> None:
    print(f"\n{title}, ms{'':30}  median    95 %     max   should be")
    rank: Callable[[list[float], float], float] = lambda v, q: sorted(v)[  # noqa: E731
        min(len(v) - 1, int(q * len(v)))
    ]
    for name, values, wanted in rows:
        print(f"  {name:40}{statistics.median(values):9.1f}{rank(values, 0.95):8.1f}"
              f"{max(values):8.1f}   {wanted}")  # fmt: skip


if __name__ == "__main__":
    main()
