"""A table of one attitude: the direct surface again, and when it is made."""

import numpy as np
import pytest

from flowsim.physics.tank import solids, surface_table
from flowsim.physics.tank.solid_surface import arrays_of
from flowsim.physics.tank.surface_table import ASKED_BEFORE, SurfaceTable, surface_elevation_again
from flowsim.physics.tank.volume import surface_elevation
from flowsim.system.points import Point

LEVEL = np.array([0.0, 0.0, -1.0])
NOSE_UP = np.array([0.2, -0.05, -0.97])


@pytest.fixture
def box():
    return solids.box(Point(1.0, -0.4, 2.0), Point(1.8, 0.6, 2.25))


def test_a_level_box_by_hand(box):
    """Height over the floor is quantity over area (1.0 m x 0.8 m)."""
    table = SurfaceTable(arrays_of(box), LEVEL)
    quantity = np.array([0.0, 0.02, 0.1, 0.2])
    np.testing.assert_allclose(table.elevation(quantity), 2.0 + quantity / 0.8, atol=1e-14)


def test_few_quantities_and_many_give_the_same(box):
    table = SurfaceTable(arrays_of(box), NOSE_UP)
    quantity = np.concatenate([np.linspace(0.0, 0.2, 41), 0.2 * 10.0 ** -np.arange(3, 12)])
    together = table.elevation(quantity)
    alone = np.concatenate([table.elevation(quantity[[i]]) for i in range(len(quantity))])
    np.testing.assert_allclose(alone, together, rtol=0, atol=1e-13)
    assert np.isnan(table.elevation(np.array([np.nan]))).all()


def test_what_is_outside_the_tank_has_no_surface(box):
    table = SurfaceTable(arrays_of(box), NOSE_UP)
    quantity = np.array([-1e-6, -1e-11, 0.2 + 1e-11, 0.2 + 1e-6, np.nan])
    direct = surface_elevation(box, np.tile(NOSE_UP, (5, 1)), quantity)
    found = table.elevation(quantity)
    np.testing.assert_array_equal(np.isnan(found), [True, False, False, True, True])
    np.testing.assert_allclose(found, direct, atol=1e-14)


def test_the_table_is_made_when_an_attitude_comes_again(box, monkeypatch):
    made = []

    class Counting(SurfaceTable):
        def __init__(self, arrays, gravity):
            made.append(gravity)
            super().__init__(arrays, gravity)

    monkeypatch.setattr(surface_table, "SurfaceTable", Counting)
    monkeypatch.setattr(surface_table, "_KNOWN", type(surface_table._KNOWN)())
    quantity = np.array([0.03, 0.11])
    expected = surface_elevation(box, np.tile(NOSE_UP, (2, 1)), quantity)
    for number in range(ASKED_BEFORE + 3):
        found = surface_elevation_again(box, np.tile(NOSE_UP, (2, 1)), quantity)
        np.testing.assert_allclose(found, expected, atol=1e-12)
        assert len(made) == (number >= ASKED_BEFORE)
    two = surface_elevation_again(box, np.array([NOSE_UP, LEVEL]), quantity)
    np.testing.assert_allclose(two[0], expected[0], atol=1e-12)
    assert np.isnan(surface_elevation_again(box, np.zeros((1, 3)), quantity)).all()


def test_a_table_that_is_not_good_enough_is_not_used(box, monkeypatch):
    monkeypatch.setattr(surface_table, "_KNOWN", type(surface_table._KNOWN)())
    monkeypatch.setattr(surface_table, "AIM", -1.0)
    quantity = np.array([0.07])
    expected = surface_elevation(box, NOSE_UP[None, :], quantity)
    for _ in range(ASKED_BEFORE + 2):
        found = surface_elevation_again(box, NOSE_UP[None, :], quantity)
        np.testing.assert_array_equal(found, expected)


def test_only_so_many_attitudes_are_remembered(box, monkeypatch):
    known = type(surface_table._KNOWN)()
    monkeypatch.setattr(surface_table, "_KNOWN", known)
    monkeypatch.setattr(surface_table, "MOST_KEPT", 5)
    for pitch in np.linspace(0.0, 0.3, 20):
        pull = np.array([[np.sin(pitch), 0.0, -np.cos(pitch)]])
        surface_elevation_again(box, pull, np.array([0.05]))
    assert len(known) == 5
