"""What a sound case file becomes: SI data, places, routes, parts, bands, where values are from."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from flowsim.errors import InputError
from flowsim.files.case.reader import read_case, read_case_and_digest, read_case_text
from flowsim.files.case.starter import starter_text
from flowsim.physics.losses.fitting_catalogue import (
    BORE_BAND,
    FLOW_METER_BAND,
    SCREEN_BAND,
    SEAT_BAND,
)
from flowsim.physics.losses.formed_fittings import sudden_change
from flowsim.system.bands import Exact, Normal, Triangular
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Part,
    Pipe,
    QuadraticLoss,
    Screen,
)
from flowsim.system.points import Point
from flowsim.system.tags import Tag
from flowsim.system.tanks import DipTable, Floor, Solid, StatedLevel

_INCH = 0.0254
_GALLON = 3.785411784e-3


@pytest.fixture(scope="module")
def system(two_tanks: str) -> FuelSystem:
    return read_case_text(two_tanks, "case.toml")


def _rig(parts: str = "[]", line: str = "", more: str = "", tank: str = "") -> str:
    """Write a small rig: a reservoir of stated level, one line, water."""
    tank = tank or 'shape = "level"\nsurface_at = ["0 m", "0 m", "1 m"]'
    return f"""title = "Rig"
[fuel]
kind = "water"
temperatures = ["20 degC"]
[engine]
inlet_at = ["0 m", "1 m", "0 m"]
feed = "gravity"
burn = "10 kg/h"
[flight]
climb_pitch = "10 deg"
climb_speed = "60 kt"
pressure_altitude = "0 ft"
[test]
draw = "1 L"
[[tank]]
name = "top"
{tank}
[[tank.outlet]]
name = "out"
at = ["0 m", "0 m", "0.5 m"]
bore = "8 mm"
[[line]]
name = "only"
from = "top.out"
to = "engine"
{line or 'bore = "8 mm"' + chr(10) + 'length = "2 m"'}
parts = {parts}
{more}
"""


def _part(text: str, line: str = "") -> Part:
    return _parts(text, line)[-1]


def _parts(text: str, line: str = "") -> tuple[Part, ...]:
    return read_case_text(_rig(f"[{text}]", line), "rig").lines[0].parts


def test_places_of_stated_and_reached_nodes(system: FuelSystem) -> None:
    places = system.places()
    assert places["left.front"] == pytest.approx((10 * _INCH, -30 * _INCH, 60.5 * _INCH))
    assert places["engine"] == pytest.approx((-38 * _INCH, 0.0, 12 * _INCH))
    # selector at (15, 0, 20) in; its line to the bowl goes 10 in forward and 3 in down
    assert places["bowl"] == pytest.approx((5 * _INCH, 0.0, 17 * _INCH))


def test_place_is_reached_against_the_direction_of_a_line(two_tanks: str) -> None:
    text = two_tanks.replace('from = "selector"\nto = "bowl"', 'from = "bowl"\nto = "selector"')
    text = text.replace('to = "engine"\ntube = "3/8 in x 0.035 in"\nlength = "60 in"',
                        'to = "engine"\ntube = "3/8 in x 0.035 in"\nlength = "70 in"')  # fmt: skip
    places = read_case_text(text, "case.toml").places()
    assert places["bowl"] == pytest.approx((25 * _INCH, 0.0, 23 * _INCH))


def test_route_length_and_bends(system: FuelSystem) -> None:
    """Two legs with one corner; a fillet of radius R shortens it by 2 R tan(a/2) - R a."""
    line = system.lines[0]
    assert line.route == (
        pytest.approx((10 * _INCH, -30 * _INCH, 60.5 * _INCH)),
        pytest.approx((10 * _INCH, -28 * _INCH, 56 * _INCH)),
        pytest.approx((20 * _INCH, -28 * _INCH, 50 * _INCH)),
    )
    first, second = (0.0, 2.0, -4.5), (10.0, 0.0, -6.0)
    legs = math.hypot(*first) + math.hypot(*second)
    angle = math.acos(27.0 / (math.hypot(*first) * math.hypot(*second)))
    shorter = 2 * 0.5 * math.tan(angle / 2) - 0.5 * angle
    assert line.length == pytest.approx((legs - shorter) * _INCH, rel=1e-12)
    pipe, bend = line.parts
    assert isinstance(pipe, Pipe)
    assert pipe.length == line.length
    assert isinstance(bend, MinorLoss)
    assert bend.name == "bend 62 deg at point 1"
    assert line.bend_radius == pytest.approx(0.5 * _INCH)
    assert (line.outside_diameter, line.wall) == pytest.approx((0.375 * _INCH, 0.035 * _INCH))
    assert line.bore == pytest.approx(0.305 * _INCH)


def test_straight_line_has_a_route_and_a_line_by_length_has_none(system: FuelSystem) -> None:
    by_name = {line.name: line for line in system.lines}
    assert len(by_name["left rear"].route or ()) == 2
    assert by_name["left down"].route is None
    assert by_name["left down"].length == pytest.approx(60 * _INCH)
    noted = [p for p in system.provenance if p.value == "no high point between its ends"]
    assert [p.item for p in noted] == [
        'line "left down"', 'line "right down"', 'line "to bowl"', 'line "to engine"',
    ]  # fmt: skip
    assert {p.origin for p in noted} == {"assumed"}


def test_stated_length_beyond_its_points_is_used_and_remarked(two_tanks: str) -> None:
    text = two_tanks.replace('bend_radius = "0.5 in"', 'bend_radius = "0.5 in"\nlength = "20 in"')
    system = read_case_text(text, "case.toml")
    assert system.lines[0].length == pytest.approx(20 * _INCH)
    assert any("21 % more than its points give, 16.53 in" in text for text in system.cautions)


def test_tanks(system: FuelSystem) -> None:
    left, right = system.tanks
    assert isinstance(left.shape, Solid)
    assert isinstance(right.shape, Solid)
    assert right.shape.fill_factor == 0.95
    assert left.unusable == pytest.approx(_GALLON)
    assert left.placarded_capacity == pytest.approx(15 * _GALLON)
    # What is not said costs no less than what could be said.
    assert left.outlets[0].entrance.kind == "standpipe outlet"
    assert left.outlets[1].entrance.kind == "standpipe outlet"
    assert left.vent.group == "both"
    for vent in (left.vent, right.vent):
        assert vent.pressure_coefficient == -0.5
        assert (vent.coefficient_low, vent.coefficient_high) == (-1.0, 0.0)
    assert (left.vent.kind, right.vent.kind) == ("cap", "unknown")
    assert right.vent.group == "right"


def test_placarded_capacity_off_by_more_than_three_per_cent_is_a_caution(
    system: FuelSystem,
) -> None:
    # the box: 20 x 30 x 6 in = 3600 in3 = 15.58 US gal (231 in3 each)
    assert system.cautions == (
        'tank "left": the placarded capacity is 15 US_gal, the computed one 15.58 US_gal (+3.9 %)',
    )


def test_burn_from_power(system: FuelSystem) -> None:
    """AC 90-89A (1995; later edition AC 90-89B), read: 0.55 lb/bhp/h; 80 hp: 44 lb/h."""
    assert system.engine.burn == pytest.approx(44 * 0.45359237 / 3600, rel=1e-9)
    assert system.engine.factor == 1.5
    origins = {p.item: p.origin for p in system.provenance}
    assert origins["engine, rated_power"] == "assumed"
    assert origins["engine, specific_consumption"] == "default"


def test_burn_in_volume_uses_the_density_stated_with_it_or_that_at_15_degc(two_tanks: str) -> None:
    text = two_tanks.replace('rated_power = "80 hp"', 'burn = "6 US_gal/h"')
    system = read_case_text(text, "case.toml")
    assert system.engine.burn == pytest.approx(6 * _GALLON * system.fuel.density_15 / 3600)
    (entry,) = [p for p in system.provenance if p.item == "engine, burn_density"]
    assert entry.note == "the fuel's at 15 degC (59 degF)"
    stated = read_case_text(
        text.replace('burn = "6', 'burn_density = "719 kg/m3"\nburn = "6'), "case.toml"
    )
    assert stated.engine.burn == pytest.approx(6 * _GALLON * 719 / 3600)
    assert stated.engine.basis == "6 US_gal/h at 719 kg/m3 = 16.33 kg/h (36.002 lb/h)"
    mass = read_case_text(text.replace('"6 US_gal/h"', '"36 lb/h"'), "case.toml")
    assert mass.engine.burn == pytest.approx(36 * 0.45359237 / 3600)


def test_pitch_worked_out_of_the_climb(system: FuelSystem) -> None:
    knot = 1852 / 3600
    path = math.asin(800 * 0.3048 / 60 / (60 * knot))
    assert system.flight.climb_pitch == pytest.approx(path + math.radians(8 - 2))
    assert system.flight.pitch_working == (
        "path asin(800 ft/min / 60 kt) = 7.6 deg, plus angle of attack 8 deg, less incidence "
        "2 deg = 13.6 deg"
    )
    assert math.degrees(system.flight.test_margin) == pytest.approx(5.0)


def test_fuel_measurements_replace_those_of_the_catalogue(system: FuelSystem) -> None:
    assert system.fuel.density_15 == pytest.approx(6.2 * 0.45359237 / _GALLON, rel=1e-6)
    assert system.fuel.reid_pressure == 60000.0
    assert system.temperatures == pytest.approx((268.15, 310.9278), rel=1e-6)
    listed = [p.item for p in system.provenance if p.item.startswith("fuel")]
    assert listed == ["fuel, viscosity"]


def test_own_fuel(two_tanks: str) -> None:
    text = two_tanks.replace('kind = "motor gasoline summer"', 'kind = "own"\n'
        'viscosity = [{ at = "20 degC", value = { value = "0.6 mm2/s", accuracy = "0.03 mm2/s" } }]'
    )  # fmt: skip
    fuel = read_case_text(text, "case.toml").fuel
    assert fuel.viscosity_law == "constant"
    assert fuel.viscosity_band == Normal(pytest.approx(0.05))
    assert fuel.density_points[0] == pytest.approx((288.15, 6.2 * 0.45359237 / _GALLON))


def test_one_viscosity_reading_moves_the_curve_of_a_named_fuel(two_tanks: str) -> None:
    text = two_tanks.replace("reid_vapour", 'viscosity = [{ at = "-20 degC", value = "1.1 mm2/s" }]'
                             "\nreid_vapour")  # fmt: skip
    system = read_case_text(text, "case.toml")
    assert [nu for _, nu in system.fuel.viscosity_points] == pytest.approx([1.1e-6, 0.55e-6])
    assert any("times 1.1" in p.value and p.origin == "assumed" for p in system.provenance)


def test_ethanol(two_tanks: str) -> None:
    text = two_tanks.replace("temperatures", "ethanol = 0.1\ntemperatures")
    assert read_case_text(text, "case.toml").fuel.ethanol == 0.1


def test_carburettor_by_least_pressure_and_by_float_bowl(system: FuelSystem) -> None:
    carburettor = system.engine.carburettor
    assert carburettor is not None
    assert carburettor.least_inlet_pressure == pytest.approx(689.476, rel=1e-5)
    bowl = read_case_text(starter_text("x"), "x").engine.carburettor
    assert bowl is not None
    assert bowl.float_level == pytest.approx((23 * _INCH, 2 * _INCH, 17.5 * _INCH))
    assert [type(part) for part in bowl.parts] == [Screen, Orifice]


def test_selector_tee_and_drain(system: FuelSystem) -> None:
    (selector,) = system.selectors
    assert selector.ports == {"left": "left down", "right": "right down"}
    assert selector.positions["both"] == ("left", "right")
    assert selector.positions["off"] == ()
    assert selector.judged == ("left", "right", "both")
    assert selector.loss.bore == pytest.approx(0.25 * _INCH)
    (tee,) = system.tees
    assert tee.run == ("left front", "left rear")
    assert tee.bore == pytest.approx(0.305 * _INCH)
    (drain,) = system.drains
    assert drain.at == system.places()["bowl"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ('{ part = "elbow 90", bore = "7 mm", count = 2 }',
         MinorLoss(name="elbow 90", kind="elbow 90", bore=0.007, k_inf=1.5, k_laminar=1000.0,
                   count=2, joins=(0.008, 0.008))),
        ('{ part = "straight union" }',
         MinorLoss(name="straight union", kind="straight union", bore=0.008, k_inf=0.1,
                   k_laminar=50.0, joins=(0.008, 0.008))),
        ('{ part = "loss", k = 3, k_laminar = 100, bore = "6 mm" }',
         MinorLoss(name="loss", kind="loss", bore=0.006, k_inf=3.0, k_laminar=100.0,
                   joins=(0.008, 0.008))),
        ('{ part = "size change", to = "6 mm" }',
         replace(sudden_change(0.008, 0.006), name="step of bore 8.00 to 6.00 mm")),
        ('{ part = "valve", kv = 1.2, name = "shut-off" }',
         FlowCoefficient(name="shut-off", kind="valve", bore=0.008, kv=1.2)),
        ('{ part = "valve", cv = 1.0 }',  # Kv = 0.865 Cv (IEC 60534-1)
         FlowCoefficient(name="valve", kind="valve", bore=0.008, kv=0.865)),
        ('{ part = "sediment bowl", bore = "7 mm", cv = 1.0, count = 4 }',
         FlowCoefficient(name="sediment bowl", kind="sediment bowl", bore=0.007, kv=0.4325)),
        ('{ part = "flow meter" }',
         FlowCoefficient(name="flow meter", kind="flow meter", bore=0.008, kv=0.35 * 0.865)),
        ('{ part = "flow meter", kv = 0.3, bypass_cv = 0.2 }',
         FlowCoefficient(
             name="flow meter", kind="flow meter", bore=0.008, kv=0.3,
             blocked=FlowCoefficient(name="flow meter, blocked", kind="blocked flow meter",
                                     bore=0.008, kv=0.173))),
        ('{ part = "flow meter", name = "sensor", bypass_kv = { value = 0.2, accuracy = 0.01 } }',
         FlowCoefficient(
             name="sensor", kind="flow meter", bore=0.008, kv=0.35 * 0.865,
             blocked=FlowCoefficient(name="sensor, blocked", kind="blocked flow meter",
                                     bore=0.008, kv=0.2))),
        ('{ part = "flow meter", kv = 0.3, density = "719 kg/m3", measured_blocked = '
         '[{ flow = "36 L/h", drop = "4 kPa" }, { flow = "72 L/h", drop = "15 kPa" }] }',
         FlowCoefficient(
             name="flow meter", kind="flow meter", bore=0.008, kv=0.3,
             blocked=MeasuredDrop(name="flow meter, blocked", kind="blocked flow meter", bore=0.008,
                                  flows=(1e-5, 2e-5), drops=(4000.0, 15000.0), density=719.0))),
        ('{ part = "small ball valve" }',
         FlowCoefficient(name="small ball valve", kind="small ball valve", bore=0.008,
                         kv=3.2 * 0.865, k_laminar=500.0)),
        ('{ part = "fine filter bowl" }',
         FlowCoefficient(name="fine filter bowl", kind="fine filter bowl", bore=0.008,
                         kv=0.39 * 0.865)),
        ('{ part = "needle and seat", bore = "2.5 mm" }',
         Orifice(name="needle and seat", kind="needle and seat", bore=0.0025,
                 discharge_coefficient=0.61)),
        ('{ part = "restrictor", bore = "2 mm", discharge_coefficient = 0.7 }',
         Orifice(name="restrictor", kind="restrictor", bore=0.002, discharge_coefficient=0.7)),
        ('{ part = "screen", area = "3 cm2", mesh = "60 /in", wire = "0.0075 in" }',
         Screen(name="screen", area=3e-4, wires_per_metre=60 / _INCH, wire_diameter=0.0075 * _INCH,
                clear_fraction=0.9)),
        ('{ part = "filter", measured = [{ flow = "36 L/h", drop = "1 kPa" }], '
         'density = "719 kg/m3" }',
         MeasuredDrop(name="filter", kind="filter", bore=0.008, flows=(1e-5,), drops=(1000.0,),
                      density=719.0)),
        ('{ part = "quadratic loss", coefficient = "1e9 s2/m5" }',
         QuadraticLoss(name="quadratic loss", kind="quadratic loss", bore=0.008, coefficient=1e9)),
        ('{ part = "one-way valve", cracking = "100 Pa", kv = 1.0 }',
         OneWayValve(name="one-way valve", bore=0.008, cracking_pressure=100.0, kv=1.0)),
        ('{ part = "hose", length = "0.5 m", bore = "9 mm" }',
         Pipe(name="hose", length=0.5, bore=0.009, roughness=30e-6, material="rubber hose")),
        ('{ part = "tube", length = "0.5 m", tube = "10 mm x 1 mm", roughness = "5 um" }',
         Pipe(name="tube", length=0.5, bore=0.008, roughness=5e-6)),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)  # fmt: skip
def test_parts(text: str, expected: Part) -> None:
    _assert_same(_part(text), expected)


def test_a_fitting_sits_in_the_tube_that_is_listed_before_it() -> None:
    listed = (
        '{ part = "elbow 90", name = "first", bore = "7 mm" }, '
        '{ part = "hose", length = "0.1 m", bore = "9 mm" }, '
        '{ part = "elbow 45", name = "second", bore = "7 mm" }, '
        '{ part = "size change", to = "6 mm" }, '
        '{ part = "loss", name = "third", k = 2 }'
    )
    joins = {part.name: part.joins for part in _parts(listed) if isinstance(part, MinorLoss)}
    assert joins["first"] == pytest.approx((0.008, 0.008))
    assert joins["second"] == pytest.approx((0.009, 0.009))
    assert joins["third"] == pytest.approx((0.006, 0.006))


def _assert_same(made: Part, expected: Part) -> None:
    """The same but for spreads and sources; numbers to 1e-4."""
    assert type(made) is type(expected)
    for field in type(expected).__dataclass_fields__:
        if field not in ("band", "laminar_band", "bore_band", "source", "tag"):
            value, wanted = getattr(made, field), getattr(expected, field)
            if field == "blocked" and wanted is not None:
                _assert_same(value, wanted)
                continue
            is_text = isinstance(wanted, str) or wanted is None
            assert value == (wanted if is_text else pytest.approx(wanted, rel=1e-4)), field


@pytest.mark.parametrize(
    ("blocked", "spread"),
    [
        ("bypass_kv = 0.2", 0.1),
        ("bypass_kv = { value = 0.2, accuracy = 0.01 }, band = [0.5, 2]", 0.05),
        ('measured_blocked = [{ flow = "36 L/h", drop = "4 kPa" }], band = [0.5, 2]', 0.05),
    ],
)
def test_the_spread_of_a_blocked_meter_is_its_own(blocked: str, spread: float) -> None:
    made = _part(f'{{ part = "flow meter", kv = 0.3, {blocked} }}')
    assert isinstance(made, FlowCoefficient)
    assert made.blocked is not None
    assert isinstance(made.blocked.band, Normal)
    assert made.blocked.band.deviation == pytest.approx(spread)


def test_bend_and_size_change_follow_their_shapes() -> None:
    bend = _part('{ part = "bend", angle = "90 deg", radius = "32 mm" }')
    assert isinstance(bend, MinorLoss)
    assert bend.k_inf == pytest.approx(0.25)
    step = _part('{ part = "size change", to = "4 mm" }')
    assert isinstance(step, MinorLoss)
    assert (step.kind, step.bore) == ("contraction", 0.004)


def test_narrow_barb_is_worked_out_from_both_bores() -> None:
    """A 9.5 mm hose on a 6.4 mm barb costs K = 3.3 on the hose bore, 0.68 on the barb's."""
    barb = _part('{ part = "hose barb", bore = "6.4 mm" }', 'hose_bore = "9.5 mm"\nlength = "2 m"')
    assert isinstance(barb, MinorLoss)
    assert barb.k_inf * (9.5 / 6.4) ** 4 == pytest.approx(3.3, rel=0.05)


def test_pieces_are_part_of_the_length() -> None:
    line = read_case_text(
        _rig('[{ part = "hose", length = "0.5 m", bore = "9 mm" }]'), "rig"
    ).lines[0]
    assert [part.length for part in line.parts if isinstance(part, Pipe)] == pytest.approx(
        [1.5, 0.5]
    )
    assert line.length == pytest.approx(2.0)


@pytest.mark.parametrize(
    ("text", "band"),
    [
        ('{ part = "valve", kv = 1, band = [0.8, 1.5] }', Triangular(0.8, 1.0, 1.5)),
        ('{ part = "valve", kv = 1, band = [1, 1] }', Exact()),
        ('{ part = "valve", kv = { value = 2, accuracy = 0.1 } }', Normal(0.05)),
        ('{ part = "valve", kv = 1 }', Normal(0.1)),
        ('{ part = "flow meter" }', FLOW_METER_BAND),
        ('{ part = "needle and seat", bore = "2 mm" }', SEAT_BAND),
        ('{ part = "screen", area = "3 cm2", mesh = "60 /in", wire = "0.1 mm" }', SCREEN_BAND),
        ('{ part = "elbow 90", bore = "7 mm", band = [0.5, 2] }', Triangular(0.5, 1.0, 2.0)),
    ],
)
def test_bands(text: str, band: object) -> None:
    made = _part(text)
    assert not isinstance(made, Pipe)
    assert made.band == band


@pytest.mark.parametrize(
    ("text", "tag"),
    [
        ('{ part = "elbow 90", bore = "7 mm" }', Tag.ESTIMATE),
        ('{ part = "elbow 90", bore = "7 mm", k = 1.2 }', Tag.NOT_SAID),
        ('{ part = "elbow 90", bore = "7 mm", k = { value = 1.2, from = "handbook" } }',
         Tag.HANDBOOK),
        ('{ part = "bend", angle = "90 deg", radius = "30 mm" }', Tag.PUBLISHED),
        ('{ part = "size change", to = "6 mm" }', Tag.PUBLISHED),
        ('{ part = "valve", kv = 1 }', Tag.NOT_SAID),
        ('{ part = "valve", cv = { value = 1, from = "assumed" } }', Tag.ASSUMED),
        ('{ part = "valve", cv = { value = 1, from = "measured" } }', Tag.MEASURED),
        ('{ part = "filter", measured = [{ flow = "36 L/h", drop = "1 kPa" }] }', Tag.MEASURED),
        ('{ part = "flow meter" }', Tag.PUBLISHED),
        ('{ part = "needle and seat", bore = "2 mm" }', Tag.ESTIMATE),
        ('{ part = "restrictor", bore = "2 mm" }', Tag.PUBLISHED),
        ('{ part = "needle and seat", bore = "2 mm", discharge_coefficient = 0.6 }', Tag.NOT_SAID),
        ('{ part = "screen", area = "3 cm2", mesh = "60 /in", wire = "0.1 mm" }', Tag.PUBLISHED),
        ('{ part = "screen", area = "3 cm2", mesh = "16 /in", wire = "0.4 mm" }', Tag.ESTIMATE),
        ('{ part = "screen", area = "3 cm2", mesh = "32 /in", wire = "0.2 mm" }', Tag.ESTIMATE),
        ('{ part = "fine filter bowl" }', Tag.ESTIMATE),
        ('{ part = "fine filter bowl", cv = 1 }', Tag.NOT_SAID),
        ('{ part = "quadratic loss", coefficient = "1e9 s2/m5" }', Tag.NOT_SAID),
        ('{ part = "one-way valve", cracking = "100 Pa", cv = 2 }', Tag.NOT_SAID),
        ('{ part = "tube", length = "0.5 m", tube = "10 mm x 1 mm", roughness = "5 um" }',
         Tag.HANDBOOK),
        ('{ part = "hose", length = "0.5 m", bore = { value = "8 mm", from = "measured" } }',
         Tag.MEASURED),
    ],
)  # fmt: skip
def test_tags_say_where_a_loss_is_from(text: str, tag: Tag) -> None:
    assert _part(text).tag is tag


def test_bore_accuracy_is_its_band() -> None:
    system = read_case_text(
        _rig(line='bore = { value = "8 mm", accuracy = "0.2 mm" }\nlength = "2 m"'), "rig"
    )
    pipe = system.lines[0].parts[0]
    assert isinstance(pipe, Pipe)
    assert pipe.bore_band == Normal(pytest.approx(0.025))
    usual = read_case_text(_rig(), "rig").lines[0].parts[0]
    assert isinstance(usual, Pipe)
    assert usual.bore_band == BORE_BAND


def test_largest_stated_height_accuracy_counts(two_tanks: str) -> None:
    text = two_tanks.replace(
        '["15 in", "0 in", "20 in"]', '["15 in", "0 in", { value = "20 in", accuracy = "12 mm" }]'
    )
    assert read_case_text(text, "case.toml").height_deviation == pytest.approx(0.012)
    assert read_case_text(two_tanks, "case.toml").height_deviation == pytest.approx(0.005)


def test_friction_factor_and_bore_in_tube() -> None:
    line = 'outside_diameter = "10 mm"\nbore = "8 mm"\nlength = "2 m"\nfriction_factor = 0.02'
    system = read_case_text(_rig(line=line), "rig")
    pipe = system.lines[0].parts[0]
    assert isinstance(pipe, Pipe)
    assert pipe.friction_factor == 0.02
    assert system.lines[0].wall == pytest.approx(0.001)


def test_shapes() -> None:
    level = read_case_text(_rig(), "rig").tanks[0]
    assert level.shape == StatedLevel(surface=Point(0.0, 0.0, 1.0))
    assert (level.unusable, level.least_takeoff) == (None, None)
    dips = read_case_text(
        _rig(tank='shape = "dips"\ndip_at = ["0 m", "0 m", "0.5 m"]\ndip_pitch = "11 deg"\n'
             'dips = [{ dip = "0 mm", quantity = "1 L" }, { dip = "100 mm", quantity = "40 L" }]\n'
             'unusable = "2 L"\nleast_takeoff = "10 L"'),
        "rig",
    ).tanks[0]  # fmt: skip
    assert isinstance(dips.shape, DipTable)
    assert dips.shape.quantities == pytest.approx((0.001, 0.04))
    assert dips.shape.pitch == pytest.approx(math.radians(11))
    cells = read_case_text(
        _rig(tank='shape = "cells"\nunusable = "2 L"\nleast_takeoff = "10 L"\ncells = [[\n'
             '["0 m", "0 m", "0.5 m"], ["1 m", "0 m", "0.5 m"], ["0 m", "1 m", "0.5 m"],\n'
             '["0 m", "0 m", "1.5 m"]]]'),
        "rig",
    ).tanks[0]  # fmt: skip
    assert isinstance(cells.shape, Solid)


_DIPS = (
    'shape = "dips"\ndip_at = ["0 m", "0 m", "0.5 m"]\ndip_pitch = "0 deg"\n'
    'dips = [{ dip = "0 mm", quantity = "1 L" }, { dip = "100 mm", quantity = "41 L" }]\n'
    'unusable = "2 L"\nleast_takeoff = "10 L"\n'
)
_FLOOR = 'floor_length = "0.5 m"\nfloor_width = "0.8 m"\nfloor_at = ["0.1 m", "0.2 m", "0.5 m"]\n'


def test_the_floor_of_a_tank_known_by_dips() -> None:
    system = read_case_text(_rig(tank=_DIPS + _FLOOR), "rig")
    shape = system.tanks[0].shape
    assert isinstance(shape, DipTable)
    assert shape.floor == Floor(length=0.5, width=0.8, centre=Point(0.1, 0.2, 0.5))
    assert not [words for words in system.cautions if "floor" in words]
    wide = _FLOOR.replace('"0.8 m"', '"1.2 m"')
    cautions = read_case_text(_rig(tank=_DIPS + wide), "rig").cautions
    assert any("+50 %" in words for words in cautions)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('floor_width = "0.8 m"\n', "", "floor_width: is missing beside floor_length"),
        ('["0.1 m", "0.2 m", "0.5 m"]', '["0.4 m", "0.2 m", "0.5 m"]', "outside the tank's floor"),
        ('shape = "dips"', 'shape = "level"\nsurface_at = ["0 m", "0 m", "1 m"]', "is not used by"),
    ],
)  # fmt: skip
def test_a_floor_that_does_not_fit_is_a_mistake(old: str, new: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        read_case_text(_rig(tank=(_DIPS + _FLOOR).replace(old, new)), "rig")
    assert any(words in str(mistake) for mistake in caught.value.mistakes)


def test_everything_assumed_or_filled_in_is_listed_in_file_order(two_tanks: str) -> None:
    text = two_tanks.replace(
        'draw = "1 US_qt"',
        'draw = { value = "1 US_qt", from = "assumed", note = "a guess" }',
    ).replace('capacity = "15 US_gal"', 'capacity = { value = "15 US_gal", from = "measured" }')
    system = read_case_text(text, "case.toml")
    entry = next(p for p in system.provenance if p.item == "test, draw")
    assert (entry.value, entry.origin, entry.note) == ("1 US_qt", "assumed", "a guess")
    assert not any("capacity" in p.item for p in system.provenance)
    sections = [p.item.split(",")[0].split()[0] for p in system.provenance]
    order = ["fuel", "engine", "flight", "test", "tank", "line", "tee"]
    assert sections == sorted(sections, key=order.index)


def test_starter_reads_without_cautions_and_says_it_is_invented(tmp_path: Path) -> None:
    text = starter_text('Ann\'s "wing" \\ \n\x1b')
    path = tmp_path / "case.toml"
    path.write_text(text, encoding="utf-8")
    system = read_case(path)
    assert system.title == 'Ann\'s "wing" \\'
    assert system.cautions == ()
    assert "invented" in text
    assert len(read_case_and_digest(path)[1]) == 64
    assert read_case_text(starter_text(""), "x").title == "My fuel system"
