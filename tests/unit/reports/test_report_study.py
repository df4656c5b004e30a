"""What the report works out by itself: pressures, margins, bands, and what is seen of the tanks."""

import math

import numpy as np
import pytest

from flowsim.constants import STANDARD_GRAVITY
from flowsim.document.words.telling import told
from flowsim.network.assembly import assemble
from flowsim.network.scenarios import situate
from flowsim.physics.fuel.properties import density
from flowsim.studies.adequacy.one_scenario import scenarios_of
from flowsim.studies.delivery.deliver import deliver
from flowsim.studies.report.collect import attempt
from flowsim.studies.report.pressure_path import pressure_paths
from flowsim.studies.report.tilted import below, fuel_seen, outline_of
from flowsim.system.tanks import Solid
from tests.support.report_cases import study_of

CASES = ("four-outlets", "nose-high", "one-tank", "humps")


@pytest.mark.parametrize("name", ["four-outlets", "humps"])
def test_lowest_pressure_on_the_way_is_the_check_s_vapour_margin(name):
    """Same law, worked out for the whole network in the check and along one way here.

    Where one tank alone feeds, nose-up: else fuel may run beside the way, into the other tank or
    through the other outlet, and the check looks there too.
    """
    study = study_of(name)
    scenario = min(
        (
            one
            for one in study.check.scenarios
            if one.judged and one.selector in ("left", "no selector") and one.purpose == "climb"
            if one.pitch == pytest.approx(study.check.test_pitch)
        ),
        key=lambda one: one.flow,
    )
    paths = pressure_paths(assemble(study.system), scenario)
    lowest = min(p.above_vapour for path in paths for p in path.points)
    assert lowest == pytest.approx(scenario.vapour_margin, rel=1e-9)


def test_last_pressure_is_the_check_s_inlet_pressure():
    study = study_of("four-outlets")
    scenario = study.check.deciding_scenario
    for path in study.pressures.result:
        last = path.points[-1]
        assert last.name == study.system.engine.inlet
        assert last.pressure == pytest.approx(scenario.inlet_pressure_at_required, rel=1e-9)


def test_the_level_of_the_pressure_only_falls_below_the_surface():
    """At rest it would be the surface all along (hydrostatics, any text); flow takes from it.

    The level with the velocity head only falls; by itself it may rise where the bore widens.
    """
    study = study_of("four-outlets")
    path = study.pressures.result[0]
    weight = STANDARD_GRAVITY * float(
        density(study.system.fuel, study.check.deciding_scenario.temperature)
    )
    assert path.weight == pytest.approx(weight, rel=1e-12)
    levels = [
        point.elevation + point.pressure / weight + point.velocity_head for point in path.points
    ]
    assert levels[0] == pytest.approx(path.surface, abs=1e-12)
    assert (np.diff(levels) <= 1e-12).all()


def test_no_supply_gives_no_path_and_no_number():
    for name in CASES:
        study = study_of(name)
        nothing = math.isnan(study.check.deciding_scenario.vapour_margin)
        assert (study.pressures.result == ()) is nothing


def test_margin_map_is_the_flow_of_the_check():
    """One cell of the map, worked out again as a scenario of its own."""
    from dataclasses import replace

    study = study_of("four-outlets")
    found = study.margins.result[0]
    level, column = 7, 30
    quantity = float(found.quantity[level])
    least = math.inf
    for temperature in study.system.temperatures:
        scenario = replace(
            study.check.deciding_scenario,
            selector=found.selector,
            pitch=float(found.pitch[column]),
            quantities=tuple((tank.name, quantity) for tank in study.system.tanks),
            temperature=temperature,
            end=found.end,
            screens="20 % clear",
        )
        situation = situate(study.assembly, scenarios_of(study.assembly, scenario))
        delivery = deliver(study.assembly, situation)
        flow = float(delivery.deliverable[0] * situation.density[0])
        least = min(least, flow / scenario.required)
    assert found.ratio[level, column] == pytest.approx(least, rel=2e-4)


@pytest.mark.parametrize("name", CASES)
def test_margin_map_covers_the_sweep_for_every_judged_position(name):
    study = study_of(name)
    judged = {position.name for position in study.assembly.positions if position.judged}
    assert {item.selector for item in study.margins.result} == judged
    for item in study.margins.result:
        assert item.ratio.shape == (len(item.quantity), len(item.pitch))
        assert np.degrees(item.pitch[[0, -1]]) == pytest.approx([-15.0, 30.0])


def test_bands_hold_the_nominal_flow_and_reach_every_judged_pitch():
    study = study_of("four-outlets")
    judged = [s for s in study.check.scenarios if s.judged and s.purpose == "climb"]
    keys = {(s.selector, s.end, round(s.pitch, 9)) for s in judged}
    bands = {(b.selector, b.end, round(b.pitch, 9)): b for b in study.bands.result}
    assert bands.keys() == keys
    for key, band in bands.items():
        least = min(s.flow for s in judged if (s.selector, s.end, round(s.pitch, 9)) == key)
        assert 0.9 * band.low < least < 1.1 * band.high


def test_outline_of_a_cloud_is_its_hull():
    square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
    assert set(outline_of(np.array([*square, (0.5, 0.5), (0.5, 0.0)]))) == set(square)


def area(outline):
    """Shoelace formula (any text on mensuration)."""
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    return 0.5 * abs(sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in pairs))


def test_half_a_square_is_left_below_its_middle_and_nothing_without_a_surface():
    square = ((0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0))
    up = np.array([0.0, 1.0])
    assert area(below(square, up, 0.5)) == pytest.approx(0.5)
    assert below(square, up, math.nan) == ()
    assert below(square, up, -1.0) == ()
    assert area(below(square, up, 2.0)) == pytest.approx(1.0)


@pytest.mark.parametrize("degrees", [-15.0, 0.0, 7.0, 30.0])
def test_fuel_seen_in_a_box_is_its_quantity(degrees):
    """A box is a prism: volume = area seen from the side x width (any text on mensuration)."""
    study = study_of("humps")
    tank = study.system.tanks[0]
    assert isinstance(tank.shape, Solid)
    corners = np.array(tank.shape.corners)
    width = np.ptp(corners[:, 1])
    held = 0.006
    (seen,) = fuel_seen(study.assembly, (held,), math.radians(degrees))
    shown = area(seen.outline) * width * tank.shape.fill_factor
    assert shown == pytest.approx(held, rel=1e-9)
    pitch = math.radians(degrees)
    for station, waterline in seen.line:
        height = waterline * math.cos(pitch) - station * math.sin(pitch)
        assert height == pytest.approx(seen.surface, abs=1e-12)


def test_a_failing_study_leaves_its_reason():
    from flowsim.errors import DomainError

    def refuses():
        raise DomainError("no such thing")

    def breaks():
        raise ZeroDivisionError("division by zero")

    assert attempt(refuses).why_not == "no such thing"
    said = attempt(breaks)
    assert said.result is None
    assert "fault in flowsim" in told(said.why_not)
    assert "ZeroDivisionError" in told(said.why_not)
