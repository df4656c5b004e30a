"""One number, one name: a figure that several commands give is the same in all of them.

``COMPARED`` is the list of those figures: what it is, who gives it, and what reads it. Every
command is run as JSON, with few draws, once for each case; the large cases with ``-m slow``.
"""

import contextlib
import io
import json
import math
import re
from collections.abc import Callable, Iterator
from functools import cache
from typing import Any

import pytest

from flowsim.cli.main import exit_code_of
from tests.cli.conftest import Said
from tests.support.every_command import CASES, FEW, commands

Json = dict[str, Any]
Told = Iterator[tuple[str, str, Any]]
"""What it is, who says it, and the figure."""

QUICK = ("humps", "nose-high", "one-tank")
LARGE = ("four-outlets", "tandem")
ALL = [*QUICK, *(pytest.param(name, marks=pytest.mark.slow) for name in LARGE)]
ASKED = ("check", "size", "uncertainty", "unusable", "routing", "ground-test plan",
         "ground-test leak", "flight")  # fmt: skip


def said(*words: str) -> Json:
    """Run a command and give its JSON."""
    out = io.StringIO()
    with contextlib.redirect_stdout(out):
        exit_code_of([*words, "--json"])
    return json.loads(out.getvalue())


@cache
def made(name: str) -> dict[str, Json]:
    """Give every command's JSON for a case."""
    case, words = str(CASES[name]), commands(name)
    found = {key: said(*words[key]) for key in ASKED if key in words}
    found["what-if"] = said("what-if", case, "blocked-vent", *FEW)
    found["compare"] = said("compare", case, str(CASES["one-tank"]), *FEW)
    found["report"] = said("report", case, "--date", "2026-01-31", *FEW)
    deciding = scenario(found["check"])
    found["hand-check"] = said(
        "hand-check", case, "--pitch", f"{deciding['pitch_deg']:.6g}", "--selector",
        deciding["selector"], "--fuel-state", deciding["fuel_state"], "--end", deciding["end"],
        "--fuel-temperature", f"{deciding['fuel_temperature_c']} degC",
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
    for row in made["ground-test plan"]["result_lines"]:
        yield f"{row['name']}, nominal", "plan", row["least_percent_nominal"]
        yield f"{row['name']}, 5 %", "plan", row["least_percent_p05"]
        yield f"{row['name']}, 95 %", "plan", row["least_percent_p95"]
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
    yield "least of all, nominal", "check", min(row["least_percent_nominal"] for row in check)
    yield "least of all, nominal", "size", present["least_percent_nominal"]
    # Of the least line in each draw: may lie a little under the least of the lines' own.
    yield "least of all, 5 %", "size", present["least_percent_p05"]
    joint = made["uncertainty"]["least_of_all"]["percent_of_required_p05"]
    yield "least of all, 5 %", "uncertainty", joint


def deciding(made: dict[str, Json]) -> Told:
    """Give flow and head left over of the deciding scenario."""
    present = next(size for size in made["size"]["sizes"] if size["as_it_is"])
    told = {
        "check": scenario(made["check"]),
        "hand-check": made["hand-check"]["scenario"],
        "what-if": made["what-if"]["rows"][0]["deciding"],
        "size": present,
        "report": made["report"]["check"]["deciding"],
        "plan": made["ground-test plan"]["deciding"],
    }
    for who, row in told.items():
        for key in DECIDING:
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
                # Words have three digits, the data more.
                decimals = len(after.partition(".")[2])
                yield f"blocked vent, {state}, {asked}", "unusable", round(min(lost), decimals)
                yield f"blocked vent, {state}, {asked}", "what-if", float(after)


def draws(made: dict[str, Json]) -> Told:
    """Give what must be drawn to see a blocked vent: at the temperature that shows it last."""
    for test in made["ground-test plan"]["vent_tests"]:
        state = "full" if test["full"] else "test quantity"
        rows = [
            row["test_draw_needed_l"]
            for row in made["unusable"]["blocked_vents"]
            if row["asked"] == "required"
            and row["fuel_state"] == state
            and test["selector"] in (None, row["selector"])
        ]
        yield f"to draw, {state}", "test card", test["draw_l"]
        yield f"to draw, {state}", "unusable", None if None in rows else max(rows)


def required(made: dict[str, Json]) -> Told:
    for who in ("check", "uncertainty", "ground-test plan"):
        yield "required", who, made[who]["requirement"]["required_kg_per_h"]
        yield "burn", who, made[who]["requirement"]["burn_kg_per_h"]
    yield "required", "unusable", made["unusable"]["required_kg_per_h"]
    yield "burn", "unusable", made["unusable"]["burn_kg_per_h"]
    if "flight" in made:
        yield "required", "flight", made["flight"]["required_kg_per_h"]


def verdicts(made: dict[str, Json]) -> Told:
    yield "verdict", "check", made["check"]["verdict"]
    yield "verdict", "report", made["report"]["verdict"]["words"]
    yield "verdict", "uncertainty", made["uncertainty"]["verdict"]
    yield "verdict", "what-if", made["what-if"]["rows"][0]["verdict"]
    yield "verdict", "size", next(s for s in made["size"]["sizes"] if s["as_it_is"])["verdict"]
    yield "verdict", "compare", made["compare"]["first"]["verdict"]
    for who in ("check", "uncertainty", "ground-test plan"):
        for row in made[who]["result_lines"]:
            yield f"verdict, {row['name']}", who, row["verdict"]
    for cell in made["what-if"]["rows"][0]["cells"]:
        yield f"verdict, {cell['result_line']}", "what-if", cell["verdict"]


def chances(made: dict[str, Json]) -> Told:
    for who in ("check", "uncertainty"):
        for row in made[who]["result_lines"]:
            yield f"chance, {row['name']}", who, row["chance"]
    for row in made["ground-test plan"]["result_lines"]:
        yield f"chance, {row['name']}", "plan", row["chance_percent"] / 100.0


def losses(made: dict[str, Json]) -> Told:
    """Give the head available and each part's loss on each way."""
    for who, paths in (
        ("check", made["check"]["losses"]),
        ("hand-check", made["hand-check"]["paths"]),
        ("report", made["report"]["check"]["losses"]),
    ):
        for path in paths:
            way = f"{path['tank']}.{path['outlet']}"
            yield f"head available, {way}", who, path["head_available_mm"]
            for place, part in enumerate(path["parts"]):
                yield f"loss of {place} {part['part']}, {way}", who, part["loss_mm"]
            yield f"sum of losses, {way}", who, sum(part["loss_mm"] for part in path["parts"])
            yield f"sum of losses, {way}", f"{who}, available", path["head_available_mm"]


def attitudes(made: dict[str, Json]) -> Told:
    for who in ("check", "ground-test plan"):
        for key in ("level_pitch_deg", "climb_pitch_deg", "test_pitch_deg"):
            yield key, who, made[who]["attitude"][key]
    for view in made["routing"]["attitudes"]:
        if view["name"] in ("level", "climb"):
            yield f"{view['name']}_pitch_deg", "routing", view["pitch_deg"]


def leak_pressure(made: dict[str, Json]) -> Told:
    yield "leak check", "plan", made["ground-test plan"]["leak_check"]["pressure_kpa"]
    yield "leak check", "leak", made["ground-test leak"]["pressure_to_hold_kpa"]


def water(made: dict[str, Json]) -> Told:
    """Give how deep the dip is that stands on the ground, and what it holds."""
    dip = r"a dip of ([\d.]+) mm .*?holds ([\d.]+) mL"
    points = [p for p in made["routing"]["low_points"] if p["attitude"] == "ground"]
    for decision in made["check"]["decisions"]:
        found = re.search(dip, decision["found"]) if decision["topic"] == "water" else None
        if found is not None:
            for what, text, key in (
                ("deep", found[1], "depth_mm"),
                ("holds", found[2], "volume_ml"),
            ):
                near = min((p[key] for p in points), key=lambda x: abs(x - float(text)))
                yield f"dip, {what}", "check", float(text)
                yield f"dip, {what}", "routing", round(near, 1)


def declared(made: dict[str, Json]) -> Told:
    """Tell whether the declared fuel holds, and whether the line is called too small."""
    rows = {row["topic"]: row for row in made["check"]["decisions"]}
    tanks = made["unusable"]["tanks"]
    if "unusable_fuel" in rows:
        found = rows["unusable_fuel"]["found"] + rows["least_takeoff_fuel"]["found"]
        small = any(tank["line_too_small"] for tank in tanks)
        yield "line too small", "check", "do not placard it" in found
        yield "line too small", "unusable", small
        yield "no placard", "unusable", small
        yield "no placard", "placard", any(tank["unusable_placard_l"] is None for tank in tanks)


DECIDING = ("flow_kg_per_h", "head_left_at_required_mm", "required_kg_per_h", "vapour_margin_kpa",
            "trapped_air_head_mm", "flow_with_trapped_air_kg_per_h", "percent_of_burn",
            "inlet_pressure_at_required_kpa")  # fmt: skip
COMPARED: dict[str, tuple[str, Callable[[dict[str, Json]], Told]]] = {
    "verdict, of the case and of each line of result": (
        "check, report, uncertainty, what-if (as stated), size (as it is), compare, test card",
        verdicts,
    ),
    "least flow of a line: nominal, 5th and 95th percentile": (
        "check, report, uncertainty, size (as it is), what-if (as stated), compare, test card",
        lines,
    ),
    "chance of a line of result": ("check, uncertainty, test card", chances),
    "deciding scenario: flow, required, head left, inlet pressure, vapour margin, trapped air": (
        "check, hand-check, size, what-if, report, test card",
        deciding,
    ),
    "head available, loss of each part, and that they add up": (
        "check, hand-check, report",
        losses,
    ),
    "flow with trapped air in an attitude": ("check, routing", trapped),
    "lost with a blocked vent": ("unusable, what-if", blocked),
    "draw that shows a blocked vent": ("unusable, test card", draws),
    "required flow and burn": ("check, uncertainty, unusable, test card, flight", required),
    "pitch level, in the climb and in the test": ("check, test card, routing", attitudes),
    "pressure of the leak check": ("test card, leak check", leak_pressure),
    "dip on the ground: depth and what it holds": ("check, routing", water),
    "line too small to placard": ("check, unusable", declared),
}
"""What is compared, who gives it, and what reads it. Values assumed are counted below, in words;
the suggested placard is put into the case, for check to judge it."""
SHOWN_ONCE_IN = {
    "flow with trapped air in an attitude": ("humps",),
    "lost with a blocked vent": ("humps", "one-tank"),
    "dip on the ground: depth and what it holds": ("humps",),
}
"""Figures that only some of the quick cases have."""


@pytest.mark.parametrize("name", ALL)
@pytest.mark.parametrize("figure", list(COMPARED))
def test_a_figure_shown_twice_is_the_same(
    pytestconfig: pytest.Config, figure: str, name: str
) -> None:
    if name in LARGE and "slow" not in (pytestconfig.getoption("-m") or ""):
        pytest.skip("a minute for each large case: -m slow")
    told: dict[str, dict[str, Any]] = {}
    for what, who, value in COMPARED[figure][1](made(name)):
        told.setdefault(what, {})[who] = value
    if name in SHOWN_ONCE_IN.get(figure, QUICK):
        assert any(len(by) > 1 for by in told.values())
    assert not {what: by for what, by in told.items() if not _same(list(by.values()))}


@pytest.mark.parametrize("name", QUICK)
def test_check_passes_what_unusable_suggests(run: Callable[..., Said], tmp_path, name: str) -> None:
    """With the suggested placards declared, and a little less than computed, in turn."""
    tanks = made(name)["unusable"]["tanks"]
    if any(tank["unusable_placard_l"] is None for tank in tanks):
        return  # nothing is suggested: compared above
    (tank,) = tanks
    least = max(tank["burn_lost_cautious"]["quantity_l"],
                tank["required_lost_cautious"]["quantity_l"] - tank["test_draw_l"])  # fmt: skip
    tries = [(tank["unusable_placard_l"], True)]
    tries += [(0.9 * least, False)] if least > 1.0 else []
    for declare, holds in tries:
        text = CASES[name].read_text(encoding="utf-8")
        takeoff = max(declare, tank["takeoff_placard_l"])
        text = re.sub(r"(?m)^unusable = .*$", f'unusable = "{declare:.3f} L"', text)
        text = re.sub(r"(?m)^least_takeoff = .*$", f'least_takeoff = "{takeoff:.3f} L"', text)
        path = tmp_path / f"{holds}.toml"
        path.write_text(text, encoding="utf-8")
        rows = json.loads(run("check", path, "--nominal", "--json").out)["decisions"]
        found = {row["topic"]: row["verdict"] for row in rows}
        assert (found["unusable_fuel"] == "adequate") is holds
        if holds:
            assert found["least_takeoff_fuel"] == "adequate"
            assert tank["takeoff_placard_l"] >= tank["unusable_placard_l"]


def _same(values: list[Any]) -> bool:
    first = values[0]
    return all(
        value == first
        or (_is_number(value) and _is_number(first) and math.isclose(value, first, rel_tol=1e-6))
        for value in values
    )


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


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
