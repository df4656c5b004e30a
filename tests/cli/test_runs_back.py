"""Fuel that runs back is nowhere a negative flow: in text, table, picture, report, page and card.

The case is a bundled one with the carburettor at the height of the tank: level some fuel arrives,
in the climb the float bowl empties towards the tank. JSON keeps the sign, as its schemas say.
"""

import json
import math
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from flowsim.files.case.reader import read_draft
from flowsim.files.results.flight_json import flight_json
from flowsim.page import jobs
from flowsim.page.desk import Desk
from flowsim.page.results import flows_object, verdict_object
from flowsim.reports.pages import fit as fit_pages
from flowsim.reports.pages import flight as flight_pages
from flowsim.reports.words.units import RUNS_BACK
from flowsim.studies.adequacy.live import flows, verdict
from flowsim.studies.flight.profile import fly
from flowsim.studies.ground_test.reading_errors import SetUpErrors, time_band
from flowsim.system.profile import Phase, Profile
from tests.cli.conftest import Said
from tests.support import every_command

FLOW_KEY = re.compile(r"flow|percent|kg_per_h|p05|p50|p95|chance|low|high|median|nominal|least")
NO_FLOW_KEY = re.compile(r"head|deg|_mm|pitch|pressure|_c$|margin_kpa|height|difference")
AS_WRITTEN = (1.0, 1.0 / 0.45359237)
"""[kg/h, lb/h] What a figure may be printed in; percent is itself."""
ROUND = {f"-{value / 2:.1f}" for value in range(81)}
"""Pitches and temperatures look like these."""


@pytest.fixture
def backwards(tmp_path: Path) -> Path:
    text = every_command.CASES["nose-high"].read_text(encoding="utf-8")
    for key, old, new in (
        ("inlet_at", "640 mm", "1380 mm"), ("float_level_at", "660 mm", "1400 mm"),
    ):  # fmt: skip
        line = next(one for one in text.splitlines() if one.startswith(key))
        text = text.replace(line, line.replace(old, new))
    path = tmp_path / "case.toml"
    path.write_text(text.replace('"0 mm", "400 mm"]]', '"0 mm", "1300 mm"]]'), encoding="utf-8")
    return path


def negative(value: Any, key: str = "") -> Iterator[float]:
    """Give every negative figure that is a flow or a share of one."""
    if isinstance(value, dict):
        for name, item in value.items():
            yield from negative(item, name)
    elif isinstance(value, list):
        for item in value:
            yield from negative(item, key)
    elif isinstance(value, float) and value < -0.05 and is_flow(key):
        yield value


def is_flow(key: str) -> bool:
    return bool(FLOW_KEY.search(key)) and not NO_FLOW_KEY.search(key)


def shown(text: str, figures: set[float]) -> list[str]:
    """Give the negative flows that stand in a text, as any number of decimals."""
    printed = {
        f"{figure * unit:.{decimals}f}"
        for figure in figures for unit in AS_WRITTEN for decimals in (1, 2, 3)
    }  # fmt: skip
    return sorted(printed & set(re.findall(r"(?<![\w.])-\d+\.\d+", text)) - ROUND)


def commands(case: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, list[str]]:
    monkeypatch.setattr(every_command, "CASES", {**every_command.CASES, "backwards": case})
    return every_command.commands("backwards")


def test_no_command_prints_a_negative_flow(
    run: Callable[..., Said], backwards: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = commands(backwards, monkeypatch)
    made = {
        name: json.loads(run(*words[name], "--json").out)
        for name in ("check", "size", "uncertainty", "what-if", "compare")
    }
    figures = {value for one in made.values() for value in negative(one)}
    assert len(figures) > 100
    told = {name: run(*line).out for name, line in words.items()}
    del told["routing"]  # slopes of lines, no flows past a hump in this case
    assert {name: shown(text, figures) for name, text in told.items() if shown(text, figures)} == {}
    assert not any(re.search(r"(?<!\+)-\d[\d.]* %(?! to -)", text) for text in told.values())
    for name in ("check", "check --full", "size", "uncertainty", "what-if", "compare"):
        assert RUNS_BACK in " ".join(told[name].split()), name
    assert "at least none" not in "".join(told.values())


def test_a_flight_says_where_it_runs_back(backwards: Path) -> None:
    """Level too little arrives, in the climb none: the flow is not only cut at zero."""
    system = read_draft(backwards.read_text(encoding="utf-8"), "case.toml").system
    assert system is not None
    level = Phase(
        name="level", duration=60.0, pitch=0.0, lean=0.0, turning=False, burn=5.0 / 3600.0,
        selector="no selector", altitude=0.0, airspeed=0.0, temperature=263.15,
    )  # fmt: skip
    climb = replace(level, name="climb", pitch=math.radians(15.0), burn=12.0 / 3600.0)
    profile = Profile(title="x", start=(("wing", 0.008),), phases=(level, climb))
    flown = fly(system, profile)
    assert [phase.runs_back for phase in flown.phases] == [False, True]
    made = json.loads(flight_json(flown, "case.toml", "0" * 64))
    assert made["runs_back"] is True
    assert [phase["runs_back"] for phase in made["phases"]] == [False, True]
    before = json.loads(flight_json(fly(system, replace(profile, phases=(level,))), "c", "0" * 64))
    assert before["starved"] is True
    assert before["runs_back"] is False
    rows = flight_pages._phases(flown)
    told = "\n".join(str(block) for block in rows)
    assert "0:01:00 back" in told
    assert f'"back": {RUNS_BACK}.' in told


def test_a_container_that_never_fills() -> None:
    """A time that is infinite is "never", and one that no solve gave "no result"."""
    errors = SetUpErrors(common=np.zeros((4, 1)), own=np.zeros(4), names=("scale",))
    inf, nan = math.inf, math.nan
    seconds = np.array([[60.0, 60.0, inf, nan]] * 19 + [[60.0, inf, 60.0, 60.0]] * 2)
    low, high = time_band(seconds, errors, 1)
    assert low.tolist()[:2] == [60.0, 60.0]
    assert high.tolist()[:3] == [60.0, inf, inf]
    assert np.isnan([low[3], high[3]]).all()
    cells = [fit_pages._times(a, b) for a, b in zip(low, high, strict=True)]
    assert cells == ["60.0-60.0", "60.0-never", "60.0-never", "no result"]
    assert fit_pages._times(inf, inf) == "never"


def test_report_and_its_pictures(run: Callable[..., Said], backwards: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    said = run("report", backwards, "--out", out, "--no-pdf", "--draws", "100")
    assert said.code == 1
    made = json.loads((out / "report.json").read_text(encoding="utf-8"))
    figures = set(negative(made))
    assert len(figures) > 100
    slopes = {
        f"{slope:.1f}" for slope in numbers(json.loads(run("routing", backwards, "--json").out))
    }
    page = (out / "report.html").read_text(encoding="utf-8")
    body, _, data = page.partition('<script type="application/json"')
    measured = {f"{item['rank_correlation']:.2f}" for item in made["check"]["contributions"]}
    assert set(shown(re.sub(r"<svg.*?</svg>", "", body, flags=re.S), figures)) <= slopes | measured
    pictures = re.findall(r"<svg.*?</svg>", body, flags=re.S)
    words = " ".join(text for one in pictures for text in re.findall(r">([^<>]+)</t", one))
    assert shown(words, figures) == []
    assert f"on the zero line: {RUNS_BACK}" in words
    assert 'back = "none; it runs back"' in data


def test_the_tornado_picture(run: Callable[..., Said], backwards: Path, tmp_path: Path) -> None:
    file = tmp_path / "t.svg"
    run("uncertainty", backwards, "--samples", "0", "--draws", "100", "--picture", file)
    text = file.read_text(encoding="utf-8")
    assert not re.search(r">-\d|-\d+(\.\d+)? %", text)
    assert ">runs back<" in text


def test_the_page(backwards: Path) -> None:
    draft = read_draft(backwards.read_text(encoding="utf-8"), "case.toml")
    assert draft.system is not None
    first = flows(draft.system)
    made = flows_object(first)
    made |= verdict_object(first, verdict(first), draft, made["attitudes"])
    words = " ".join(strings(made))
    assert RUNS_BACK in words
    words = re.sub(r'points="[^"]*"|(x|y|x1|y1|x2|y2|viewBox|d)="[^"]*"', "", words)
    assert shown(words, set(negative(made))) == []
    assert not re.search(r"-\d[\d.]* %", words)


def test_the_pages_panel_of_sizes(backwards: Path) -> None:
    """One size tried on single values, and one whole with its curves over those of the case."""
    desk = Desk(backwards, work=lambda _draft, say, _go_on: say(2, {}))
    names = ("forward",)
    count = len(jobs.list_sizes(desk, names)["sizes"])
    assert count > 3
    for number in (0, count - 1):
        tried = jobs.tried(desk, names, number)
        one = jobs.try_size(tried)
        assert one["problem"] == ""
        assert one["least"] == RUNS_BACK
        assert re.match(r"-\d+ mm", one["head"])  # short of it
    whole = jobs.try_whole(desk, tried)
    assert whole["verdict"] == "not adequate"
    line, _, said = whole["least"].partition(": ")
    assert line
    assert said == f"{RUNS_BACK}; 5 to 95 % band: {RUNS_BACK}."
    assert [curve["type"] for curve in whole["curves"]] == ["figure"] * len(whole["curves"])
    texts = " ".join(re.findall(r">([^<>]+)</t", "".join(c["svg"] for c in whole["curves"])))
    assert f"on the zero line: {RUNS_BACK}" in texts
    assert not re.search(r"-\d[\d.]* (?:%|kg/h)", " ".join(strings(whole)))
    desk.worker.stop()


def numbers(value: Any) -> Iterator[float]:
    if isinstance(value, float):
        yield value
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for item in inside:
        yield from numbers(item)


def strings(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    for item in inside:
        yield from strings(item)


@pytest.mark.filterwarnings("error")
def test_a_reading_that_may_be_off_by_any_factor_has_no_upper_end() -> None:
    """Found by changed files (seed 12001230): a warning of an overflow reached the terminal."""
    errors = SetUpErrors(common=np.zeros((1, 0)), names=(), own=np.array([1e4]))
    low, high = time_band(np.full((50, 1), 60.0), errors, 1)
    assert low[0] < 1.0
    assert high[0] == np.inf
