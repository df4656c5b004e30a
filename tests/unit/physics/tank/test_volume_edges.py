"""Surfaces in tanks: how much work they take, poor starts, and scenarios that have none."""

import numpy as np
import pytest

from flowsim.physics.tank import solids
from flowsim.physics.tank import volume as tank_volume
from flowsim.physics.tank.solid_surface import arrays_of
from flowsim.physics.tank.volume import extreme_elevations, surface_elevation, volume_below
from flowsim.system.points import Point

BOX = solids.box(Point(0, 0, 0), Point(1.0, 2.0, 0.3))
SECTION = [(0, 0), (1, -0.1), (1.2, 0.1), (0.5, 0.3), (0, 0.2)]
BAY = solids.lofted(
    [Point(x, 0, z) for x, z in SECTION],
    [Point(0.6 * x + 0.3, 2.0, 0.7 * z + 0.1) for x, z in SECTION],
    fill_factor=0.95,
)
PYRAMID = solids.cells(
    [[Point(0, 0, 0), Point(1, 0, 0), Point(1, 1, 0), Point(0, 1, 0), Point(0.4, 0.3, 0.6)]]
)


def scenarios(tank, count: int = 200):
    rng = np.random.default_rng(count)
    share = rng.uniform(0.0, 1.0, count)
    return rng.normal(size=(count, 3)), share * solids.capacity(tank)


class TestWork:
    """A look at the tank is a volume under given surfaces; the time of a sweep hangs on them."""

    @pytest.fixture
    def looks(self, monkeypatch):
        made = []
        submerged = tank_volume.submerged

        def counted(*arguments):
            made.append(1)
            return submerged(*arguments)

        monkeypatch.setattr(tank_volume, "submerged", counted)
        return made

    @pytest.mark.parametrize(("tank", "halvings"), [(BOX, 3), (BAY, 4), (PYRAMID, 3)])
    def test_the_halvings_one_for_the_cubic_and_one_to_see_that_it_is_right(
        self, looks, tank, halvings
    ) -> None:
        """Seven gaps between 8 corners take three, thirteen four, and four gaps up to three."""
        pulls, quantities = scenarios(tank, 60)
        for pull, quantity in zip(pulls, quantities, strict=True):
            looks.clear()
            surface_elevation(tank, pull, np.array([quantity]))
            assert len(looks) <= halvings + 2

    def test_empty_full_and_impossible_ones_cost_no_more(self, looks) -> None:
        found = surface_elevation(BOX, [0.2, 0.1, -1.0], np.array([0.0, 0.6, 0.7, -0.1, 0.2]))
        np.testing.assert_array_equal(np.isnan(found), [False, False, True, True, False])
        assert len(looks) <= 5


@pytest.mark.parametrize("tank", [BOX, BAY])
def test_what_is_filled_in_comes_out_again(tank) -> None:
    pulls, quantities = scenarios(tank, 500)
    surface = surface_elevation(tank, pulls, quantities)
    back = volume_below(tank, pulls, surface)
    np.testing.assert_allclose(back, quantities, atol=1e-12 * solids.capacity(tank))


@pytest.mark.parametrize("start_at", [0.0, 0.02, 0.5, 0.98, 1.0])
@pytest.mark.parametrize("tank", [BOX, BAY])
def test_the_improvement_needs_no_good_start(tank, start_at) -> None:
    """From anywhere between the lowest and the highest point of the tank to the same surface."""
    pulls, quantities = scenarios(tank)
    attitudes = tank_volume.LevelledSolid.of(arrays_of(tank), pulls)
    lower, upper = attitudes.elevations[0], attitudes.elevations[-1]
    start = lower + start_at * (upper - lower)
    found = tank_volume._improve(attitudes, quantities, start, lower, upper)
    expected = surface_elevation(tank, pulls, quantities) - attitudes.datum
    np.testing.assert_allclose(found, expected, atol=1e-9)
    value, _ = attitudes.volume(found)
    np.testing.assert_allclose(value, quantities, rtol=0, atol=2e-13 * solids.capacity(tank))


@pytest.mark.parametrize("quantity", [-1e-11, 0.0, 0.3, 0.6, 0.6 + 1e-11])
def test_without_gravity_an_empty_or_a_full_tank_has_no_surface_either(quantity) -> None:
    found = surface_elevation(BOX, np.zeros((1, 3)), np.array([quantity]))
    assert np.isnan(found).all()


def test_the_ends_of_a_tank_in_several_attitudes() -> None:
    """Level, on its nose, and on its right side at twice the pull: by the box's corners."""
    pulls = np.array([[0.0, 0.0, -1.0], [-1.0, 0.0, 0.0], [0.0, 2.0, 0.0]])
    low, high = extreme_elevations(BOX, pulls)
    np.testing.assert_allclose(low, [0.0, 0.0, -4.0], atol=1e-15)
    np.testing.assert_allclose(high, [0.3, 1.0, 0.0], atol=1e-15)


def test_one_surface_in_several_attitudes() -> None:
    """0.15 m up half the box, standing level; on its nose 0.15 of 1 m; on its tail all of it."""
    pulls = np.array([[0.0, 0.0, -1.0], [-1.0, 0.0, 0.0], [1.0, 0.0, 0.0]])
    found = volume_below(BOX, pulls, np.array([0.15]))
    np.testing.assert_allclose(found, [0.3, 0.09, 0.6], rtol=1e-12)
