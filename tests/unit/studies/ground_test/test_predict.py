"""Times of runs: what the tanks hold while they are drawn."""

import math
from dataclasses import replace

import pytest

from flowsim.network.assembly import assemble
from flowsim.studies.ground_test.predict import run_model
from flowsim.studies.ground_test.runs import Setting
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point
from tests.support.systems import line, one_tank, tank


def with_a_header() -> FuelSystem:
    """Give a wing tank that runs into a small header tank lower down, and a line from that."""
    wing = tank("wing", Point(1.2, -0.5, 1.5), Point(1.7, 0.5, 1.62), {"o": Point(1.6, 0.0, 1.5)})
    low, high = Point(1.0, -0.1, 0.9), Point(1.2, 0.1, 1.0)  # 4 litres
    header = tank("header", low, high, {"in": Point(1.1, 0.0, 0.9), "out": Point(1.05, 0.0, 0.9)})
    lines = (
        line("fill", "wing.o", "header.in", [Point(1.6, 0.0, 1.5), Point(1.1, 0.0, 0.9)]),
        line("feed", "header.out", "engine", [Point(1.05, 0.0, 0.9), Point(0.6, 0.0, 0.8)]),
    )
    base = one_tank(tanks=(wing, header), lines=lines, nodes=())
    return replace(base, engine=replace(base.engine, inlet_at=Point(0.6, 0.0, 0.8)))


def test_a_header_that_fills_up_runs_over_and_the_time_is_known():
    assembly = assemble(with_a_header())
    setting = Setting(
        position=assembly.positions[0].name, pitch=0.0, end_height=0.0,
        quantities=(0.03, 0.0035), volume=0.003, temperature=288.15,
    )  # fmt: skip
    model = run_model(assembly, (setting,))
    assert model.quantities[0, -1, 1] == pytest.approx(0.004)  # full, not above
    assert 30.0 < float(model.seconds()[0, 0]) < 600.0
    assert math.isfinite(float(model.start.sum()))
