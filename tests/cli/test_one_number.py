"""One number, one name: a figure that several commands give is the same in all of them.

``COMPARED`` is the list of those figures. Every command is run as JSON, with few draws.
"""

import json
import math
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from tests.cli.conftest import Said
from tests.support.every_command import CASES, FEW, commands

Json = dict[str, Any]
Told = Iterator[tuple[str, str, float | None]]
"""What it is, who says it, and the figure."""

COMPARED = {
    "least flow of a line, nominal": "check, size (as it is), what-if (as stated), compare, report",
    "least flow of a line, 5th percentile": "check, uncertainty, what-if, size, compare, report",
    "least flow of a line, 95th percentile": "check, uncertainty, compare, report",
    "flow of the deciding scenario": "check, hand-check, size, what-if, compare, report",
    "head left over there": "check, hand-check, size, what-if, report",
    "flow with trapped air": "check, routing",
    "lost with a blocked vent": "unusable, what-if",
    "draw that shows a blocked vent": "unusable, test card",
    "required flow": "check, uncertainty, unusable, test card",
}
QUICK = ("humps", "nose-high", "one-tank")


@pytest.fixture(params=QUICK)
def made(request, run: Callable[..., Said]) -> dict[str, Json]:
    """Give every command's JSON for a case."""
    name = request.param
    case = str(CASES[name])
    words = {key: list(value) for key, value in commands(name).items()}
    asked = {
        key: words[key]
        for key in ("check", "size", "uncertainty", "unusable", "routing", "ground-test plan")
    }
    asked["what-if"] = ["what-if", case, "blocked-vent", *FEW]
    asked["compare"] = ["compare", case, str(CASES["one-tank"]), *FEW]
    asked["report"] = ["report", case, "--date", "2026-01-31", *FEW]
    found = {key: json.loads(run(*value, "--json").out) for key, value in asked.items()}
    deciding = scenario(found["check"])
    found["hand-check"] = json.loads(
        run(
            "hand-check", case, "--pitch", f"{deciding['pitch_deg']:.6g}", "--selector",
            deciding["selector"], "--fuel-state", deciding["fuel_state"], "--end", deciding["end"],
            "--fuel-temperature", f"{deciding['fuel_temperature_c']} degC", "--json",
        ).out
    )  # fmt: skip
    return found


def scenario(check: Json) -> Json:
    return next(s for s in check["scenarios"] if s["index"] == check["deciding"]["index"])


def lines(made: dict[str, Json]) -> Told:
    """Give the least flow of every line of result."""
    check = made["check"]["result_lines"]
    for who, rows in (("check", check), ("report", made["report"]["check"]["result_lines"])):
        for row in rows:
            yield f"{row['name']}, nominal", who, row["least_percent_nominal"]
            yield f"{row['name']}, 5 %", who, row["least_percent_p05"]
            yield f"{row['name']}, 95 %", who, row["least_percent_p95"]
    for row in made["uncertainty"]["result_lines"]:
        yield f"{row['name']}, 5 %", "uncertainty", row["percent_of_required_p05"]
        yield f"{row['name']}, 95 %", "uncertainty", row["percent_of_required_p95"]
    for cell in made["what-if"]["rows"][0]["cells"]:
        yield f"{cell['result_line']}, nominal", "what-if", cell["least_percent_nominal"]
        yield f"{cell['result_line']}, 5 %", "what-if", cell["least_percent_p05"]
    for row in made["compare"]["result_lines"]:
        if row["first"] is not None:
            yield f"{row['name']}, nominal", "compare", row["first"]["least_percent_nominal"]
            yield f"{row['name']}, 5 %", "compare", row["first"]["least_percent_p05"]
            yield f"{row['name']}, 95 %", "compare", row["first"]["least_percent_p95"]
    present = next(size for size in made["size"]["sizes"] if size["as_it_is"])
    for key, what in (("nominal", "nominal"), ("p05", "5 %")):
        least = min(row[f"least_percent_{key}"] for row in check)
        yield f"least of all, {what}", "check", least
        yield f"least of all, {what}", "size", present[f"least_percent_{key}"]


def deciding(made: dict[str, Json]) -> Told:
    """Give flow and head left over of the deciding scenario."""
    present = next(size for size in made["size"]["sizes"] if size["as_it_is"])
    told = {
        "check": scenario(made["check"]),
        "hand-check": made["hand-check"]["scenario"],
        "what-if": made["what-if"]["rows"][0]["deciding"],
        "size": present,
        "report": made["report"]["check"]["deciding"],
    }
    for who, row in told.items():
        for key in ("flow_kg_per_h", "head_left_at_required_mm", "required_kg_per_h"):
            if key in row:
                yield key, who, row[key]


def trapped(made: dict[str, Json]) -> Told:
    """Give what arrives past trapped air, in the attitudes that both look at."""
    attitudes = {row["name"]: row for row in made["routing"]["attitudes"]}
    for point in made["routing"]["high_points"]:
        attitude = attitudes[point["attitude"]]
        for row in made["check"]["scenarios"]:
            by = f"{row['end']}, {row['fuel_temperature_c']:.0f} degC ("
            same = (
                row["judged"]
                and row["purpose"] == "climb"
                and abs(row["pitch_deg"] - attitude["pitch_deg"]) < 0.01
                and attitude["roll_or_bank_deg"] == row["roll_deg"]
                and by in point["decided_by"]
                and point["decided_by"].endswith(row["screens"])
                and row["fuel_state"] == "test quantity"
            )
            if same:
                what = f"past air at {point['attitude']}, {point['decided_by']}"
                yield what, "routing", point["flow_with_trapped_air_kg_per_h"]
                yield what, "check", row["flow_with_trapped_air_kg_per_h"]


def blocked(made: dict[str, Json]) -> Told:
    """Give what a blocked vent lets through, and the draw that shows it."""
    rows = made["unusable"]["blocked_vents"]
    words = " ".join(reason for row in made["what-if"]["rows"] for reason in row["reasons"])
    for state in {row["fuel_state"] for row in rows}:
        for asked, place in (("required", "on the ground"), ("burn", "in flight")):
            lost = [
                row["drawn_until_lost_l"]
                for row in rows
                if (row["fuel_state"], row["asked"]) == (state, asked)
                and row["drawn_until_lost_l"] is not None
            ]
            if f"{state}: {place}" in words and lost:
                after = words.split(f"{state}: {place}")[1].split("lost after ")[1].split(" L")[0]
                yield f"blocked vent, {state}, {asked}", "unusable", round(min(lost), 2)
                yield f"blocked vent, {state}, {asked}", "what-if", float(after)


def draws(made: dict[str, Json]) -> Told:
    """Give what must be drawn to see a blocked vent: at the temperature that shows it last."""
    for test in made["ground-test plan"]["vent_tests"]:
        state = "full" if test["full"] else "test quantity"
        rows = [
            row["test_draw_needed_l"]
            for row in made["unusable"]["blocked_vents"]
            if row["asked"] == "required" and row["fuel_state"] == state
        ]
        yield f"to draw, {state}", "test card", test["draw_l"]
        yield f"to draw, {state}", "unusable", None if None in rows else max(rows)


def required(made: dict[str, Json]) -> Told:
    yield "required", "check", made["check"]["requirement"]["required_kg_per_h"]
    yield "required", "uncertainty", made["uncertainty"]["requirement"]["required_kg_per_h"]
    yield "required", "unusable", made["unusable"]["required_kg_per_h"]
    yield "required", "card", made["ground-test plan"]["requirement"]["required_kg_per_h"]


def test_a_figure_shown_twice_is_the_same(made: dict[str, Json]) -> None:
    told: dict[str, dict[str, float | None]] = {}
    for source in (lines, deciding, trapped, blocked, draws, required):
        for what, who, value in source(made):
            told.setdefault(what, {})[who] = value
    assert sum(len(by) > 1 for by in told.values()) >= 8
    differing = {what: by for what, by in told.items() if not _same(list(by.values()))}
    assert not differing


def _same(values: list[float | None]) -> bool:
    first = values[0]
    return all(
        value == first
        or (value is not None and first is not None and math.isclose(value, first, rel_tol=1e-6))
        for value in values
    )


@pytest.mark.parametrize("name", QUICK)
def test_the_head_left_over_says_where(run: Callable[..., Said], name: str) -> None:
    text = " ".join(run("hand-check", CASES[name], "--nominal", "--width", 100).out.split())
    carburettor = "end: through the carburettor" in text
    assert ("of fuel behind screen and needle at the required flow" in text) is carburettor
    assert ("of fuel at the inlet at the required flow" in text) is not carburettor


COUNTING = ("size", "uncertainty", "what-if", "unusable", "routing", "flight")


@pytest.mark.parametrize("name", ["four-outlets", *QUICK])
def test_assumed_values_are_counted_as_the_check_lists_them(
    run: Callable[..., Said], name: str
) -> None:
    words = commands(name)
    full = run(*words["check --full"]).out
    listed = int(full.split("Values assumed or filled in (")[1].split(")")[0])
    asked = [key for key in COUNTING if key in words and (name in QUICK or key == "flight")]
    for key in asked:
        text = " ".join(run(*words[key]).out.split())
        assert f"{listed} values are assumed or filled in: flowsim check" in text, key
        own = text.split("What it rests on")[1].split("Cautions")[0]
        listed_by_check = full.split("Values assumed or filled in (")[1].split("\n\n")[0]
        for said in listed_by_check.split("\n  - ")[1:]:
            assert " ".join(said.split()) not in own, key
