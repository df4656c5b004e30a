"""The hand-check sheet: every printed line is followed with a calculator's arithmetic."""

import json
import math
import re
from dataclasses import replace
from pathlib import Path

import fluids
import jsonschema
import pytest

from flowsim.reports.pages.hand_check import hand_check_object, hand_check_text
from flowsim.reports.pages.hand_formulas import HandLiquid, colebrook, worked
from flowsim.reports.pages.hand_steps import elevation
from flowsim.studies.adequacy.study import judge, loss_paths
from flowsim.studies.result import AdequacyResult, LossRow, ScenarioResult
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import MeasuredDrop
from flowsim.system.points import Point

PRINTED = 2e-5
"""Six digits are printed; a formula with a few of them is off by no more than this."""


def sheet(system: FuelSystem, result: AdequacyResult, scenario: ScenarioResult) -> str:
    paths = loss_paths(system, scenario)
    return hand_check_text(system, result, scenario, paths, "x.toml", width=120)


def calculated(expression: str) -> float:
    """Work out an expression as it is printed, angles in degrees."""
    python = expression.replace("^", "**").replace(" x ", " * ")
    python = re.sub(r"\b(cos|sin) (-?[\d.e-]+)", r"\1(\2)", python)
    python = re.sub(r"/\(pi \* ", "/(pi * ", python)
    names = {
        "pi": math.pi,
        "sqrt": math.sqrt,
        "log10": math.log10,
        "ln": math.log,
        "cos": lambda degrees: math.cos(math.radians(degrees)),
        "sin": lambda degrees: math.sin(math.radians(degrees)),
    }
    return float(eval(python, {"__builtins__": {}}, names))  # our own printed text


def unwrapped(text: str) -> list[str]:
    """Undo the wrapping: a line that is indented four more than the last goes on with it."""
    lines: list[str] = []
    indent = 0
    for line in text.splitlines():
        depth = len(line) - len(line.lstrip())
        if lines and line.strip() and depth == indent + 4:
            lines[-1] += " " + line.strip()
            continue
        indent = depth
        lines.append(line)
    return lines


EQUATION = re.compile(
    r"^\s+(?:(?:laminar.*|Head available): )?(?:[A-Za-z ]*?)(?P<name>[A-Za-z]+) = "
    r"(?P<formula>.+) = (?P<numbers>[^=]+) = (?P<value>-?[\d.e+-]+)(?: |$|;)"
)


def equations(text: str) -> list[tuple[str, str, float]]:
    found = []
    for line in unwrapped(text):
        match = EQUATION.match(line)
        if match and re.search(r"\d", match["numbers"]):
            found.append((match["name"], match["numbers"], float(match["value"])))
    return found


def test_every_printed_equation_can_be_followed(system: FuelSystem, result: AdequacyResult):
    seen: set[str] = set()
    count = 0
    for scenario in some_scenarios(result):
        for name, numbers, value in equations(sheet(system, result, scenario)):
            # The head available is a difference of terms that are printed to six digits each.
            terms = [abs(float(term)) for term in re.findall(r"[\d.]+", numbers)]
            rounding = 1e-5 * max(terms) if name == "H" else 1e-9
            assert calculated(numbers) == pytest.approx(value, rel=PRINTED, abs=rounding), numbers
            seen.add(name)
            count += 1
    assert {"V", "Re", "K", "h", "f", "hv", "hl", "H", "Dp", "e", "a", "U", "Res", "s"} <= seen
    assert count > 300


def some_scenarios(result: AdequacyResult) -> list[ScenarioResult]:
    """A few of each end and position, steep and level, down to small flows."""
    flowing = [s for s in result.scenarios if s.flow > 0.0 and s.converged]
    flowing.sort(key=lambda scenario: scenario.flow)
    return flowing[:: max(1, len(flowing) // 12)]


def test_friction_in_the_three_regimes_is_written_out(system: FuelSystem, result: AdequacyResult):
    text = "\n".join(sheet(system, result, scenario) for scenario in some_scenarios(result))
    assert "laminar (Re up to 1900): f = 64/Re" in text
    assert "Colebrook: 1/sqrt(f) = -2 log10(eps/(3.7 D) + 2.51/(Re sqrt(f)))" in text
    assert "between Re 1900 and 2300" in text
    assert "f = fl^(1 - s) ft^s" in text


def test_both_sides_of_colebrook_are_equal_as_printed(system: FuelSystem, result: AdequacyResult):
    text = " ".join(sheet(system, result, result.deciding_scenario).split())
    pairs = re.findall(r"1/sqrt\(([\d.]+)\) = ([\d.]+); (-2 log10\(.+?\)\)\)) = ([\d.]+)", text)
    assert pairs
    for factor, left, right, value in pairs:
        assert 1.0 / math.sqrt(float(factor)) == pytest.approx(float(left), rel=PRINTED)
        expression = right.replace("-2 log10", "-2 x log10")
        assert calculated(expression) == pytest.approx(float(value), rel=PRINTED)
        assert float(left) == pytest.approx(float(value), rel=PRINTED)


def test_working_by_hand_ends_at_the_network_s_loss_everywhere(
    system: FuelSystem, result: AdequacyResult
):
    for scenario in result.scenarios[::7]:
        assert "DIFFER" not in sheet(system, result, scenario)


def test_a_wrong_loss_is_caught(system: FuelSystem, result: AdequacyResult):
    scenario = result.deciding_scenario
    path = loss_paths(system, scenario)[0]
    rows = (replace(path.rows[0], loss=path.rows[0].loss * 1.001), *path.rows[1:])
    text = hand_check_text(system, result, scenario, (replace(path, rows=rows),), "x")
    assert "DIFFERS: by hand" in text
    assert "1 part(s) above DIFFER" in text


def test_sums_close_with_the_head_available(system: FuelSystem, result: AdequacyResult):
    text = sheet(system, result, result.deciding_scenario)
    closing = re.search(
        r"Sum of losses ([\d.]+) mm.*, head available ([\d.]+) mm.*, difference (-?[\d.]+) mm", text
    )
    assert closing
    losses = [float(value) for value in re.findall(r"^\s+loss (-?[\d.]+) mm", text, re.MULTILINE)]
    assert sum(losses) == pytest.approx(float(closing[1]), abs=0.0005 * len(losses))
    assert float(closing[1]) == pytest.approx(float(closing[2]), abs=0.001)
    assert abs(float(closing[3])) < 0.001


def test_colebrook_agrees_with_the_reference_library():
    # Reference: fluids (C. Bell and contributors), friction.Colebrook, exact solution.
    for reynolds in (2000.0, 4000.0, 3.0e4, 1.0e6):
        for rough in (0.0, 1e-4, 5e-3, 0.04):
            expected = fluids.friction.Colebrook(reynolds, rough, tol=-1)
            assert colebrook(reynolds, rough) == pytest.approx(expected, rel=1e-12)


def test_a_laminar_pipe_is_hagen_poiseuille():
    # h = 32 nu L V/(g D^2): Hagen-Poiseuille, exact.
    bore, velocity, viscosity, length = 0.004, 0.1, 1.0e-6, 2.0
    row = LossRow(
        part="tube",
        line="l",
        law="friction, laminar",
        flow=velocity * math.pi * bore**2 / 4,
        bore=bore,
        velocity=velocity,
        reynolds=velocity * bore / viscosity,
        coefficient=math.nan,
        loss=math.nan,
        share=math.nan,
        source="",
        terms=(("length", length), ("roughness", 0.0), ("darcy_factor", 0.16)),
    )
    head = worked(row, HandLiquid(density=720.0, kinematic_viscosity=viscosity)).head
    assert head == pytest.approx(32 * viscosity * length * velocity / (9.80665 * bore**2), rel=1e-9)


def test_a_measured_table_shows_its_neighbouring_points(system: FuelSystem, result: AdequacyResult):
    text = sheet(system, result, result.deciding_scenario)
    assert "h is read off the part's measured table" in text
    assert "table point: 72 L/h, 190 Pa of a liquid of 720 kg/m3" in text


def with_two_filters(system: FuelSystem) -> FuelSystem:
    """A second measured filter whose name goes on from the first one's, with a table of its own."""
    *others, main = system.lines
    first = next(part for part in main.parts if isinstance(part, MeasuredDrop))
    second = replace(first, name=f"{first.name} B", flows=(1e-5, 4e-5), drops=(11.0, 130.0))
    return replace(system, lines=(*others, replace(main, parts=(*main.parts, second))))


def test_each_part_shows_its_own_table(system: FuelSystem):
    """Though its name begins with another's."""
    changed = with_two_filters(system)
    found = judge(changed, nominal=True)
    paths = loss_paths(changed, found.deciding_scenario)
    made = hand_check_object(changed, found, found.deciding_scenario, paths, "x", "0" * 64)
    points = {
        part["part"]: " ".join(line for line in part["working"] if "table point" in line)
        for part in made["paths"][0]["parts"]
    }
    assert "72 L/h, 190 Pa" in points["bowl filter"]
    assert "130 Pa" not in points["bowl filter"]
    assert "130 Pa" in points["bowl filter B"]
    assert "190 Pa" not in points["bowl filter B"]


def test_elevation_is_the_rotation_of_the_axes():
    # Nose up by p: a point ahead (station less) rises, an upper point leans back and sinks.
    height, _ = elevation(Point(-1.0, 0.0, 0.0), math.radians(30.0), 0.0)
    assert height == pytest.approx(0.5)
    height, _ = elevation(Point(0.0, 1.0, 0.0), 0.0, math.radians(30.0))
    assert height == pytest.approx(-0.5)  # right wing down
    height, words = elevation(Point(2.0, 0.5, 1.0), math.radians(12.0), math.radians(-4.0))
    numbers, value = words.removesuffix(" m").split(" = ")
    assert calculated(numbers) == pytest.approx(float(value), rel=PRINTED)
    assert height == pytest.approx(float(value), rel=PRINTED)


def test_printed_elevations_are_those_of_the_network(system: FuelSystem, result: AdequacyResult):
    for scenario in some_scenarios(result):
        for path in loss_paths(system, scenario):
            end = Point(0.2, 0.0, 0.28 if scenario.end == "carburettor" else 0.30)
            pull = scenario.forward_acceleration / 9.80665
            height, _ = elevation(end, scenario.pitch, scenario.roll, pull)
            assert height == pytest.approx(path.end_elevation, abs=1e-9)


def test_elevations_of_the_take_off_run(system: FuelSystem, result: AdequacyResult):
    """Printed, explained, and those of the network."""
    run = next(one for one in result.scenarios if one.purpose == "takeoff_run" and one.flow > 0.0)
    paths = loss_paths(system, run)
    assert paths
    text = " ".join(sheet(system, result, run).split())
    assert "the run at a/g0 = 0.3 adds - (a/g0) (W sin p + S cos p)" in text
    height, words = elevation(Point(0.2, 0.0, 0.28), run.pitch, run.roll, 0.3)
    numbers, value = words.removesuffix(" m").split(" = ")
    assert calculated(numbers) == pytest.approx(float(value), rel=PRINTED)
    assert height == pytest.approx(paths[0].end_elevation, abs=1e-9)


def test_no_flow_is_said(system: FuelSystem, result: AdequacyResult):
    text = hand_check_text(system, result, result.deciding_scenario, (), "x")
    assert "Nothing flows to the end" in text


@pytest.mark.parametrize("width", [10, 40, 60, 200])
def test_fits_any_terminal(system: FuelSystem, result: AdequacyResult, width: int):
    scenario = result.deciding_scenario
    text = hand_check_text(system, result, scenario, loss_paths(system, scenario), "x", width=width)
    assert max(map(len, text.splitlines())) <= max(40, min(100, width))


def test_json_sheet_holds_the_same_paths(system: FuelSystem, result: AdequacyResult):
    scenario = result.deciding_scenario
    paths = loss_paths(system, scenario)
    made = json.loads(
        json.dumps(
            hand_check_object(system, result, scenario, paths, "x", "0" * 64), allow_nan=False
        )
    )
    schema = json.loads(
        (Path(__file__).parents[4] / "docs/schemas/check.schema.json").read_text(encoding="utf-8")
    )
    for name, value in (("scenario", made["scenario"]), *(("path", p) for p in made["paths"])):
        jsonschema.validate(value, {**schema["$defs"][name], "$defs": schema["$defs"]})
    assert made["schema"] == "flowsim.hand-check/1"
    assert made["constants"]["standard_gravity_m_per_s2"] == 9.80665
    assert all(part["working"] for path in made["paths"] for part in path["parts"])
    assert made["cautions"]
