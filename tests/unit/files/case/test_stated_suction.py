"""Suction and lift that a case states for itself: refused, with their worth in head."""

import re

import pytest

from flowsim.errors import InputError
from tests.support.value_cases import ONE, read

BOWL = ONE[ONE.index("[engine.carburettor]") : ONE.index("[flight]")]
FLOAT = 'float_level_at = ["320 mm", "30 mm", "460 mm"]'


def refused(*changes: tuple[str, str]) -> str:
    with pytest.raises(InputError) as caught:
        read(ONE, *changes)
    return str(caught.value)


def test_a_bowl_below_ambient_is_refused_with_its_worth():
    words = refused(('bowl_pressure = "0 Pa"', 'bowl_pressure = "-1 kPa"'))
    # 1000 Pa / (715 kg/m3 g0) = 142.6 mm = 5.61 in of avgas.
    assert re.search(r"case.toml:\d+: engine, carburettor, bowl_pressure: ", words)
    assert "143 mm (5.6 in) of fuel" in words
    assert '"0 Pa"' in words


def test_an_inlet_below_ambient_is_refused_with_its_worth():
    words = refused((BOWL, '[engine.carburettor]\nleast_inlet_pressure = "-2 kPa"\n'))
    assert "least_inlet_pressure" in words
    assert "285 mm (11.2 in) of fuel" in words


@pytest.mark.parametrize("pressure", ["0 Pa", "500 Pa"])
def test_pressure_that_counts_against_the_flow_is_taken(pressure):
    assert read(ONE, ('bowl_pressure = "0 Pa"', f'bowl_pressure = "{pressure}"'))


@pytest.mark.parametrize(
    "place",
    [
        '["320 mm", "30 mm", "100 mm"]',  # a metre of head out of nothing
        '["320 mm", "30 mm", "800 mm"]',
        '["-100 mm", "30 mm", "460 mm"]',  # it gains head nose-up
        '["320 in", "30 mm", "460 mm"]',
    ],
)
def test_a_float_far_from_the_inlet_is_refused(place):
    words = refused((FLOAT, f"float_level_at = {place}"))
    assert "engine, carburettor, float_level_at: " in words
    assert re.search(r"lies \d+ mm \([\d.]+ in\) from the inlet", words)
    assert "mm of head" in words or "of fuel" in words


def test_a_float_notably_below_the_inlet_is_a_caution_with_its_worth():
    low = read(ONE, (FLOAT, 'float_level_at = ["320 mm", "30 mm", "300 mm"]'))
    assert any(
        "150 mm (5.9 in) below the inlet" in words and "measure" in words for words in low.cautions
    )
    assert not any("below the inlet" in words for words in read(ONE).cautions)


class TestFillFactor:
    SMALL = ("fill_factor = 0.97", "fill_factor = 0.5")
    NO_CAPACITY = ('capacity = "39 L"\n', "")

    def test_a_small_one_without_capacity_is_refused(self):
        words = refused(self.SMALL, self.NO_CAPACITY)
        assert re.search(r'case.toml:\d+: tank "centre", fill_factor: ', words)
        assert "capacity" in words
        assert "higher than with a fill_factor of 1" in words  # how much higher 9 L would stand

    def test_with_a_capacity_it_is_taken(self):
        assert read(ONE, self.SMALL, ('capacity = "39 L"', 'capacity = "20 L"'))

    def test_a_usual_one_without_capacity_is_taken(self):
        assert read(ONE, self.NO_CAPACITY)


def test_a_positive_pressure_coefficient_is_refused_with_its_worth():
    words = refused(
        ('vent = { kind = "forward" }', 'vent = { kind = "cap", pressure_coefficient = 0.4 }')
    )
    assert "pressure_coefficient" in words
    assert "no credit" in words


def test_a_seat_wider_than_its_line_is_a_mistake():
    words = refused(('bore = "4 mm" }]', 'bore = "40 mm" }]'))
    assert 'part 1 "needle and seat", bore' in words
    assert "8.7 mm" in words


@pytest.mark.parametrize(
    ("stated", "times"),
    [
        # 4 mm passes pi/4 (4 mm)^2 sqrt(2 x 1 bar/1000 kg/m3) = 0.640 m3/h of water: Cv 0.740.
        ("cv = 3.0", "4.05"),
        ("kv = 3.0", "4.69"),
        # 40 L/h through it is 0.884 m/s: 281 Pa of 719 kg/m3.
        ('measured = [{ flow = "40 L/h", drop = "70 Pa" }], density = "719 kg/m3"', "2"),
    ],
)
def test_a_seat_that_passes_more_than_its_bore_can_is_a_mistake(stated, times):
    words = refused(('bore = "4 mm" }]', f'bore = "4 mm", {stated} }}]'))
    assert re.search(
        r'case.toml:\d+: engine, carburettor, part 1 "needle and seat", (cv|kv|me)', words
    )
    assert f"it would pass {times} times what an opening of its bore, 4 mm" in words


@pytest.mark.parametrize(
    ("part", "times"),
    [
        # 4 mm in a tube of 7.75 mm: at best 1/(1 - (4/7.75)^2) = 1.36 times Cv 0.740.
        ('{ part = "restrictor", bore = "4 mm", cv = 3.0 }', "2.97"),
        ('{ part = "valve", bore = "4 mm", kv = 2.0 }', "2.29"),
        ('{ part = "one-way valve", bore = "4 mm", cv = 2.0, cracking = "100 Pa" }', "1.98"),
        ('{ part = "ball valve", bore = "4 mm", cv = 2.0, count = 4 }', "1.98"),
        ('{ part = "restrictor", bore = "4 mm", cv = 1.0 }', ""),
        ('{ part = "valve", bore = "7.7 mm", cv = 30.0 }', ""),
        ('{ part = "valve", cv = 30.0 }', ""),
    ],
)
def test_a_part_that_passes_more_than_its_bore_can_is_a_mistake(part, times):
    change = ('{ part = "ball valve", name = "centre fitting" }', part)
    if not times:
        assert read(ONE, change)
        return
    words = refused(change)
    assert f"it would pass {times} times what an opening of its bore, 4 mm" in words


def test_a_seat_that_loses_what_its_bore_asks_is_taken():
    assert read(ONE, ('bore = "4 mm" }]', 'bore = "4 mm", cv = 0.74 }]'))


def test_an_engine_that_makes_more_work_than_half_of_its_fuel_is_a_mistake():
    """0.055 lb/hp/h (a slip of the decimal) would ask for a tenth of the fuel: 33 g/kWh."""
    power = ('burn = "18 L/h"', 'rated_power = "100 hp"\nspecific_consumption = "{}"')
    burn = next(line for line in ONE.splitlines() if line.startswith("burn ="))
    dense = [line for line in ONE.splitlines() if line.startswith("burn_density")]
    drop = [(line, "") for line in dense]

    def stated(text: str) -> tuple[tuple[str, str], ...]:
        return ((burn, power[1].format(text)), *drop)

    words = refused(*stated("0.055 lb/hp/h"))
    assert "engine, specific_consumption" in words
    assert "no piston engine does that" in words
    assert read(ONE, *stated("0.42 lb/hp/h"))


def test_a_drain_that_says_not_what_it_drains_is_shown_what_there_is():
    reaches = 'reaches = "forward"'
    words = refused((reaches, ""))
    assert '"centre"' in words
    assert '"floor"' in words
    assert 'reaches = "left"' not in words
