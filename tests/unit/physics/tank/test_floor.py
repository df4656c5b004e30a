"""A tank known by dips and the floor it stands on, against the box of that floor."""

import math
from dataclasses import replace

import numpy as np
import pytest

from flowsim.physics.attitude import effective_gravity
from flowsim.physics.tank.floor import PLAN_SHARE, stick_direction, surface_doubt
from flowsim.physics.tank.solids import box
from flowsim.physics.tank.surface import quantity_below, surface_elevation_of
from flowsim.physics.tank.volume import surface_elevation
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Floor

LOW, HIGH = Point(1.2, -0.5, 1.5), Point(1.7, 0.3, 1.7)
SOLID = box(LOW, HIGH)
FLOOR = Floor(length=0.5, width=0.8, centre=Point(1.45, -0.1, 1.5))


def exact_dips(pitch: float, roll: float, at: Point, rows: int = 60) -> DipTable:
    """The table that dips of the box give in an attitude, with no error."""
    table = DipTable(
        at=at, dips=(0.0, 1.0), quantities=(0.0, 1.0), pitch=pitch, roll=roll, floor=FLOOR
    )
    up = stick_direction(table)
    held = np.linspace(0.02, 0.98, rows) * 0.5 * 0.8 * 0.2
    dips = surface_elevation(SOLID, -up[None, :], held) - up @ np.array(at)
    return replace(table, dips=tuple(dips.tolist()), quantities=tuple(held.tolist()))


ATTITUDES = [(0.0, 0.0), (11.0, 0.0), (-6.0, 0.0), (17.0, 0.0), (5.0, 8.0), (0.0, -10.0)]


@pytest.mark.parametrize("dipped", [(0.0, 0.0), (11.0, 0.0), (9.0, 2.0)])
@pytest.mark.parametrize("flown", ATTITUDES)
def test_exact_dips_of_a_box_give_its_surface_less_the_band(dipped, flown):
    """Up to where the box's roof is wetted; above, the box of the floor stands lower."""
    table = exact_dips(*np.radians(dipped), Point(1.5, 0.1, 1.5))
    gravity = np.asarray(effective_gravity(*np.radians(flown)))[None, :]
    held = np.array(table.quantities[1:30])
    found = surface_elevation_of(table, gravity, held) + surface_doubt(table, gravity)
    assert found == pytest.approx(surface_elevation(SOLID, gravity, held), abs=2e-4)


@pytest.mark.parametrize("dipped", [(0.0, 0.0), (11.0, 0.0)])
@pytest.mark.parametrize("flown", ATTITUDES)
def test_exact_dips_never_stand_higher_than_the_box(dipped, flown):
    table = exact_dips(*np.radians(dipped), Point(1.5, 0.1, 1.5), rows=200)
    gravity = np.asarray(effective_gravity(*np.radians(flown)))[None, :]
    held = np.array(table.quantities)
    found = surface_elevation_of(table, gravity, held)
    assert (found <= surface_elevation(SOLID, gravity, held) + 1e-6).all()


def test_in_the_attitude_of_the_dips_the_dips_are_exact():
    table = exact_dips(0.19, 0.0, Point(1.5, 0.1, 1.5), rows=7)
    up = stick_direction(table)
    found = surface_elevation_of(table, -up[None, :], np.array(table.quantities))
    assert found == pytest.approx(up @ np.array(table.at) + np.array(table.dips), abs=1e-9)
    assert surface_doubt(table, -up[None, :]) == pytest.approx(0.0, abs=1e-12)


def test_the_stick_may_stand_below_the_floor():
    """In a sump: at its lowest dips nothing covers the floor, and the dips still are exact."""
    table = replace(
        exact_dips(0.0, 0.0, Point(1.45, -0.1, 1.45)), dips=(0.0, 0.03, 0.15),
        quantities=(0.0, 0.0005, 0.04),
    )  # fmt: skip
    level = np.array([[0.0, 0.0, -1.0]])
    found = surface_elevation_of(table, level, np.array([0.0, 0.0005, 0.04]))
    assert found == pytest.approx([1.45, 1.48, 1.6])


def test_the_band_is_a_share_of_the_floor_times_the_tilt():
    """Level dips, 10 deg nose-up: a tenth of 0.5 m times sin 10 deg."""
    table = exact_dips(0.0, 0.0, Point(1.5, 0.1, 1.5))
    gravity = np.asarray(effective_gravity(math.radians(10.0), 0.0))[None, :]
    exact = PLAN_SHARE * 0.5 * math.sin(math.radians(10.0))
    assert surface_doubt(table, gravity) == pytest.approx(exact)
    upper = replace(table, floor=replace(FLOOR, end=-1.0))
    held = np.array([0.03])
    lifted = surface_elevation_of(upper, gravity, held) - surface_elevation_of(table, gravity, held)
    assert lifted == pytest.approx(2.0 * exact)


@pytest.mark.parametrize("flown", ATTITUDES)
def test_quantity_and_surface_go_round(flown):
    table = exact_dips(0.1, 0.0, Point(1.5, 0.1, 1.5))
    gravity = np.asarray(effective_gravity(*np.radians(flown)))[None, :]
    held = np.linspace(table.quantities[1], table.quantities[-2], 23)
    surface = surface_elevation_of(table, gravity, held)
    assert quantity_below(table, gravity, surface) == pytest.approx(held, abs=1e-9)


def test_a_tank_of_no_box_is_told_from_one_by_its_band_alone():
    """A quantity outside the table, and no gravity, stay NaN."""
    table = exact_dips(0.0, 0.0, Point(1.5, 0.1, 1.5))
    level = np.array([[0.0, 0.0, -1.0]])
    assert np.isnan(surface_elevation_of(table, level, np.array([1.0]))).all()
    assert np.isnan(surface_elevation_of(table, np.zeros((1, 3)), np.array([0.03]))).all()
