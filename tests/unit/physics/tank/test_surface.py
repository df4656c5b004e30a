"""The surface for every description of a tank, and the notes that go with it."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank import solids
from flowsim.physics.tank.surface import (
    DIP_TABLE_NOTE,
    capacity_of,
    quantity_below,
    stick_direction,
    surface_elevation_of,
    surface_notes,
)
from flowsim.physics.tank.volume import surface_elevation
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, StatedLevel

AT = Point(2.1, 0.9, 1.05)
PITCH = math.radians(11.0)
TABLE = DipTable(
    at=AT, dips=(0.0, 0.05, 0.15, 0.2), quantities=(0.002, 0.01, 0.04, 0.05), pitch=PITCH, roll=0.0
)
LEVEL = np.array([[0.0, 0.0, -1.0]])


def pull(pitch: float, roll: float) -> FloatArray:
    return np.array(
        [[math.sin(pitch), math.sin(roll) * math.cos(pitch), -math.cos(roll) * math.cos(pitch)]]
    )


def test_solid_is_passed_on() -> None:
    tank = solids.box(Point(0, 0, 0), Point(0.4, 1.2, 0.2))
    gravity, quantity = pull(0.2, 0.1), np.array([0.03])
    expected = surface_elevation(tank, gravity, quantity)
    assert surface_elevation_of(tank, gravity, quantity) == expected
    assert quantity_below(tank, gravity, expected) == pytest.approx(quantity, rel=1e-12)
    assert capacity_of(tank) == solids.capacity(tank)
    assert surface_notes(tank) == ()


@pytest.mark.parametrize(
    ("quantity", "dip"), [(0.002, 0.0), (0.01, 0.05), (0.025, 0.1), (0.05, 0.2), (0.045, 0.175)]
)
def test_dip_table_in_the_attitude_dipped(quantity: float, dip: float) -> None:
    # In that attitude the elevation is the elevation of the foot plus the dip, nothing else.
    gravity = pull(PITCH, 0.0)
    foot = -float(gravity[0] @ np.array(AT))
    found = surface_elevation_of(TABLE, gravity, np.array([quantity]))
    assert found == pytest.approx([foot + dip], rel=1e-14)
    assert quantity_below(TABLE, gravity, found) == pytest.approx([quantity], rel=1e-12)


def test_dip_table_turns_about_the_point_on_the_stick() -> None:
    up = np.array([-math.sin(PITCH), 0.0, math.cos(PITCH)])
    assert stick_direction(TABLE) == pytest.approx(up, abs=1e-15)
    on_stick = np.array(AT) + 0.1 * up
    for gravity in (LEVEL, pull(0.4, 0.0), pull(-0.2, 0.3), 1.5 * pull(0.1, 0.0)):
        expected = -float(gravity[0] @ on_stick)
        found = surface_elevation_of(TABLE, gravity, np.array([0.025]))
        assert found == pytest.approx([expected], rel=1e-14)
        assert quantity_below(TABLE, gravity, found) == pytest.approx([0.025], rel=1e-12)


def test_rolled_stick_points_up_in_its_own_attitude() -> None:
    rolled = DipTable(at=AT, dips=(0.0, 0.1), quantities=(0.0, 0.02), pitch=0.2, roll=-0.1)
    assert -float(pull(0.2, -0.1)[0] @ stick_direction(rolled)) == pytest.approx(1.0, rel=1e-14)


@pytest.mark.parametrize("quantity", [0.0, 0.00199, 0.0501, -0.01, math.nan, math.inf])
def test_dip_table_is_not_extrapolated(quantity: float) -> None:
    assert np.isnan(surface_elevation_of(TABLE, LEVEL, np.array([quantity]))).all()


@pytest.mark.parametrize("surface", [1.0, 1.3, math.nan])
def test_dip_table_read_backwards_is_not_extrapolated(surface: float) -> None:
    assert np.isnan(quantity_below(TABLE, LEVEL, np.array([surface]))).all()


def test_stick_on_its_side_cannot_be_read() -> None:
    assert np.isnan(quantity_below(TABLE, -LEVEL, np.array([-1.1]))).all()


def test_stated_level_stays() -> None:
    header = StatedLevel(surface=Point(1.0, 0.0, 0.8))
    gravity = np.concatenate([LEVEL, pull(0.3, 0.0)])
    expected = -(gravity @ np.array(header.surface))
    found = surface_elevation_of(header, gravity, np.array([np.nan, 0.0]))
    assert found == pytest.approx(expected, rel=1e-15)
    assert np.isnan(quantity_below(header, gravity, found)).all()
    assert capacity_of(header) is None
    assert "stated" in surface_notes(header)[0]


def test_notes_and_capacity_of_a_dip_table() -> None:
    assert surface_notes(TABLE) == (DIP_TABLE_NOTE,)
    assert "assumption" in DIP_TABLE_NOTE
    assert capacity_of(TABLE) == 0.05


@pytest.mark.parametrize("gravity", [[0.0, 0.0, 0.0], [np.nan, 0.0, -1.0]])
def test_without_gravity_there_is_no_surface(gravity: list[float]) -> None:
    for shape in (TABLE, StatedLevel(surface=AT)):
        assert np.isnan(surface_elevation_of(shape, np.array([gravity]), np.array([0.02]))).all()


@pytest.mark.parametrize(
    ("dips", "quantities", "words"),
    [
        ((0.0,), (0.0,), "at least two rows"),
        ((0.0, 0.1), (0.0, 0.1, 0.2), "at least two rows"),
        ((0.0, 0.1, 0.1), (0.0, 0.1, 0.2), "dips of a dip table must rise"),
        ((0.0, 0.1, 0.2), (0.0, 0.1, 0.05), "quantities of a dip table must rise"),
        ((0.0, math.nan), (0.0, 0.1), "not a number"),
        ((0.0, 0.1), (-0.01, 0.1), "below zero"),
    ],
)
def test_bad_dip_table(dips: tuple[float, ...], quantities: tuple[float, ...], words: str) -> None:
    table = DipTable(at=AT, dips=dips, quantities=quantities, pitch=0.0, roll=0.0)
    for ask in (
        lambda: surface_elevation_of(table, LEVEL, np.array([0.01])),
        lambda: quantity_below(table, LEVEL, np.array([0.01])),
        lambda: capacity_of(table),
    ):
        with pytest.raises(DomainError, match=words):
            ask()
