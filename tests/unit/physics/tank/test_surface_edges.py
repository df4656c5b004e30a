"""Dip tables and stated levels at their edges: rounding, shapes, and what cannot be read."""

import numpy as np
import pytest

from flowsim.physics.tank.surface import (
    capacity_of,
    quantity_below,
    stick_direction,
    surface_elevation_of,
)
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, StatedLevel

LEVEL = np.array([[0.0, 0.0, -1.0]])
TABLE = DipTable(
    at=Point(1.0, 2.0, 0.5), dips=(0.1, 0.2, 0.4, 0.5), quantities=(0.010, 0.020, 0.040, 0.050),
    pitch=0.0, roll=0.0,
)  # fmt: skip


class TestRoundingAtTheEndsOfATable:
    """A table covers its rows and 1e-9 of their span beyond: here 0.040 m3, so 4e-11 m3."""

    @pytest.mark.parametrize(
        ("quantity", "dip"), [(0.050 + 3.5e-11, 0.5), (0.010 - 3.5e-11, 0.1), (0.030, 0.3)]
    )
    def test_rounding_is_covered(self, quantity, dip) -> None:
        found = surface_elevation_of(TABLE, LEVEL, np.array([quantity]))
        assert found[0] == pytest.approx(0.5 + dip, abs=1e-15)

    @pytest.mark.parametrize("quantity", [0.050 + 5e-11, 0.010 - 5e-11])
    def test_more_is_not(self, quantity) -> None:
        assert np.isnan(surface_elevation_of(TABLE, LEVEL, np.array([quantity]))[0])


def test_a_table_may_start_at_nothing() -> None:
    table = DipTable(
        at=Point(0, 0, 0), dips=(0.0, 0.2), quantities=(0.0, 0.04), pitch=0.0, roll=0.0
    )
    assert surface_elevation_of(table, LEVEL, np.array([0.0]))[0] == 0.0
    assert quantity_below(table, LEVEL, np.array([0.05]))[0] == pytest.approx(0.01)
    assert capacity_of(table) == 0.04


def test_a_stick_that_lies_exactly_level_or_points_down_reads_nothing() -> None:
    pulls = np.array([[1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, 1.0]])
    assert np.isnan(quantity_below(TABLE, pulls, np.array([0.8, 0.8, 0.8]))).all()


def test_one_scenario_without_gravity_does_not_touch_the_others() -> None:
    pulls = np.array([[0.0, 0.0, -1.0], [0.0, 0.0, 0.0], [0.0, 0.0, -2.0]])
    found = surface_elevation_of(TABLE, pulls, np.array([0.03, 0.03, 0.03]))
    np.testing.assert_allclose(found, [0.8, np.nan, 1.6])
    back = quantity_below(TABLE, pulls, np.array([0.8, 0.8, 1.6]))
    np.testing.assert_allclose(back, [0.03, np.nan, 0.03])
    stated = StatedLevel(surface=Point(0.0, 0.0, 2.0))
    np.testing.assert_allclose(surface_elevation_of(stated, pulls, np.zeros(3)), [2.0, np.nan, 4.0])


@pytest.mark.parametrize(("scenarios", "levels"), [(1, 3), (3, 1), (3, 3)])
def test_a_stated_level_has_no_quantity_in_any_scenario(scenarios, levels) -> None:
    stated = StatedLevel(surface=Point(0.0, 0.0, 2.0))
    found = quantity_below(stated, np.repeat(LEVEL, scenarios, axis=0), np.ones(levels))
    assert found.shape == (3,)
    assert np.isnan(found).all()
    assert capacity_of(stated) is None


def test_a_stick_dipped_nose_up_and_right_wing_down() -> None:
    """Up in that attitude: (-sin p, -sin r cos p, cos r cos p); 30 and 60 deg, by hand."""
    table = DipTable(
        at=Point(0, 0, 0), dips=(0.0, 1.0), quantities=(0.0, 1.0),
        pitch=np.radians(30), roll=np.radians(60),
    )  # fmt: skip
    np.testing.assert_allclose(stick_direction(table), [-0.5, -0.75, np.sqrt(3) / 4], atol=1e-15)
