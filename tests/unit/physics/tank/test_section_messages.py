"""Messages about sections name the corner or the sides that are wrong."""

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank.section_polygons import check_section


def test_the_corner_that_stands_off_and_by_how_much() -> None:
    """A square of 1 m whose third corner is lifted by 80 mm: each stands off the mean plane."""
    points = np.array([[0.0, 0, 0], [1, 0, 0], [1, 1, 0.08], [0, 1, 0]])
    with pytest.raises(DomainError) as refused:
        check_section(points, "root section", off_plane=1e-3)
    unit = np.linalg.svd(points - points.mean(axis=0))[2][2]
    off = np.abs((points - points.mean(axis=0)) @ unit)
    assert f"{1000 * off.max():.0f} mm" in str(refused.value)
    assert any(f"point {corner} is" in str(refused.value) for corner in (1, 2, 3, 4))


@pytest.mark.parametrize("corner", [0, 2, 4])
def test_one_corner_of_six_is_named(corner) -> None:
    angles = np.linspace(0, 2 * np.pi, 7)[:-1]
    points = np.column_stack([np.cos(angles), np.sin(angles), np.zeros(6)])
    points[corner, 2] = 0.3
    with pytest.raises(DomainError, match=f"point {corner + 1} is"):
        check_section(points, "root section")


@pytest.mark.parametrize("turned", range(5))
def test_the_sides_that_cross_are_named(turned) -> None:
    """Sides 2 and 4 of this outline cross; they keep their numbers as the list is turned round."""
    outline = np.array([[0.0, 0, 0], [3, 0, 0], [3, 2, 0], [4, 1, 0], [0, 1, 0]])
    rolled = np.roll(outline, -turned, axis=0)
    sides = sorted((side - 1 - turned) % 5 + 1 for side in (2, 4))
    with pytest.raises(DomainError, match=f"sides {sides[0]} and {sides[1]}\\)"):
        check_section(rolled, "root section")
