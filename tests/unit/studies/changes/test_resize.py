"""A size that is tried is the size written into the case: the same parts, the same bores."""

from collections import Counter
from dataclasses import fields
from typing import Any

import pytest

from flowsim.files.case.reader import read_case_text
from flowsim.studies.changes.resize import Size, resized, size_of
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Selector, Tee
from flowsim.system.parts import Part

HEAD = """
title = "Invented: a size put into a case"
fuel = { kind = "avgas 100LL", temperatures = ["15 degC"] }
[engine]
inlet_at = ["300 mm", "0 mm", "330 mm"]
feed = "gravity"
burn = "20 L/h"
[flight]
climb_pitch = "9 deg"
climb_speed = "55 kt"
pressure_altitude = "5000 ft"
[test]
draw = "2 L"
"""
TANK = """
[[tank]]
name = "{name}"
shape = "box"
corners = [["1200 mm", "{y} mm", "1500 mm"], ["1800 mm", "{far} mm", "1650 mm"]]
unusable = "8 L"
least_takeoff = "12 L"
vent = {{ kind = "cap" }}
[[tank.outlet]]
name = "o"
at = ["1790 mm", "{y} mm", "1500 mm"]
bore = "8 mm"
"""
LINE = """
[[line]]
name = "{name}"
from = "{start}"
to = "{end}"
straight = true
bore = "{bore:.6f} mm"
{more}
"""
ONE = HEAD + TANK.format(name="left", y=-100, far=-900)
TWO = ONE + TANK.format(name="right", y=100, far=900)
PLACE = '\n[[{kind}]]\nname = "low"\nat = ["900 mm", "0 mm", "400 mm"]\n'
JUNCTION = PLACE.format(kind="junction")
DRAIN = '\n[[drain]]\nname = "drain"\nat = ["900 mm", "0 mm", "350 mm"]\n'
SELECTOR = PLACE.format(kind="selector") + (
    'ports = { l = "upper", r = "other" }\noutlet = "lower"\n'
    'positions = { left = ["l"], right = ["r"] }\njudged = ["left", "right"]\n'
)
TEE = PLACE.format(kind="tee") + 'run = ["upper", "lower"]\nbranch = "other"\ncommon = "lower"\n'
DRAINED = PLACE.format(kind="tee") + 'run = ["upper", "sump"]\nbranch = "lower"\n' + DRAIN
RADIUS = 'bend_radius = "30 mm"'
LOSS = 'parts = [{ part = "loss", k = 3.0 }, { part = "small ball valve" }]'
METER = 'parts = [{ part = "flow meter", cv = 0.4 }]'


def text(kind: str, upper: float, lower: float, other: float = 7.75) -> str:
    """Give a case with bores [mm] of the lines above and below a place."""
    head, node = (ONE, JUNCTION)
    more = {"radius": RADIUS, "loss": LOSS, "meter": METER}.get(kind, "")
    two = kind in ("three", "selector", "tee")
    if two:
        head, node = TWO, {"three": JUNCTION, "selector": SELECTOR, "tee": TEE}[kind]
    if kind in ("turn", "drained"):
        node = JUNCTION + DRAIN if kind == "turn" else DRAINED
    lines = LINE.format(name="upper", start="left.o", end="low", bore=upper, more=more)
    if two:
        lines += LINE.format(name="other", start="right.o", end="low", bore=other, more="")
    lines += LINE.format(name="lower", start="low", end="engine", bore=lower, more="")
    if kind in ("turn", "drained"):
        lines += LINE.format(name="sump", start="low", end="drain", bore=6.0, more="")
    return head + node + lines


def bare(part: Part) -> tuple[Any, ...]:
    """Give what a part loses, without its origin."""
    values = {item.name: getattr(part, item.name) for item in fields(part)}
    kept = (name for name in values if "band" not in name and name not in ("source", "tag"))
    return tuple(
        round(value, 9) if isinstance(value := values[name], float) else str(value) for name in kept
    )


def contents(system: FuelSystem) -> list[Any]:
    """Give every part by the line that it stands in, and the nodes' bores."""
    lines = [(line.name, Counter(map(bare, line.parts))) for line in system.lines]
    tees = [round(node.bore, 9) for node in system.nodes if isinstance(node, Tee)]
    losses = [bare(node.loss) for node in system.nodes if isinstance(node, Selector)]
    return [lines, tees, losses]


def everything(system: FuelSystem) -> Counter[Any]:
    """Give every part of all lines together."""
    return Counter(bare(part) for line in system.lines for part in line.parts)


@pytest.mark.parametrize("changed", ["upper", "lower"])
@pytest.mark.parametrize(
    "kind", ["plain", "radius", "three", "turn", "drained", "selector", "tee", "loss"]
)
def test_a_narrower_size_is_that_size_in_the_case(kind: str, changed: str):
    before = {"upper": 7.75, "lower": 6.0 if kind != "loss" else 7.75}
    system = read_case_text(text(kind, **before), "case.toml")
    tried = resized(system, (changed,), Size(name="4 mm", bore=0.004)).system
    written = read_case_text(text(kind, **(before | {changed: 4.0})), "case.toml")
    if kind == "turn":  # it stays in its line, whose bore it then is stepped into from
        assert everything(tried) == everything(written)
    else:
        assert contents(tried) == contents(written)


@pytest.mark.parametrize("kind", ["plain", "radius", "three", "turn"])
def test_a_wider_size_moves_what_a_plain_place_costs(kind: str):
    system = read_case_text(text(kind, 7.75, 6.0), "case.toml")
    tried = resized(system, ("lower",), Size(name="10 mm", bore=0.010)).system
    written = read_case_text(text(kind, 7.75, 10.0), "case.toml")
    if kind == "turn":  # its bore may be its own: no credit for a wider one
        assert contents(tried) != contents(written)
    else:
        assert contents(tried) == contents(written)


@pytest.mark.parametrize("kind", ["plain", "three", "drained", "selector", "tee"])
def test_the_size_that_it_has_changes_nothing(kind: str):
    system = read_case_text(text(kind, 7.75, 6.0), "case.toml")
    size = size_of(next(line for line in system.lines if line.name == "lower"))
    assert contents(resized(system, ("lower",), size).system) == contents(system)


@pytest.mark.parametrize("bore", [0.004, 0.010])
def test_a_tee_that_is_none_has_the_bore_of_the_fittings(bore: float):
    usual = '[defaults]\nfitting_bore = "5 mm"\n'
    before, after = (text("three", 7.75, 6.0), text("three", 7.75, 1e3 * bore))
    system = read_case_text(before.replace("[engine]", usual + "[engine]"), "case.toml")
    tees = [
        part for line in system.lines for part in line.parts if part.name.startswith("low, tee")
    ]
    assert [getattr(part, "bore", None) for part in tees] == [0.005] * 3
    tried = resized(system, ("lower",), Size(name="tried", bore=bore)).system
    written = read_case_text(after.replace("[engine]", usual + "[engine]"), "case.toml")
    assert contents(tried) == contents(written)


def test_a_meter_stays_and_is_told_so():
    system = read_case_text(text("meter", 7.75, 7.75), "case.toml")
    for bore in (0.004, 0.010):
        found = resized(system, ("upper",), Size(name="tried", bore=bore))
        assert [item.name for item in found.stayed] == ["upper: flow meter"]
        assert not found.followed
