"""When a surface encloses a body: closed, turned outward, not flat, at any size."""

import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank import solids
from flowsim.physics.tank.solid_surface import arrays_of
from flowsim.system.points import Point
from flowsim.system.tanks import Solid

UNIT = solids.box(Point(0, 0, 0), Point(1, 1, 1))


def scaled(size: float, inside_out: bool = False) -> Solid:
    corners = tuple(Point(*(size * value for value in corner)) for corner in UNIT.corners)
    triangles = tuple(t[::-1] if inside_out else t for t in UNIT.triangles)
    return Solid(corners=corners, triangles=triangles)


@pytest.mark.parametrize("size", [1e-6, 0.01, 1.0, 1e10])
def test_a_cube_of_any_size_is_a_body_and_inside_out_it_is_told_so(size) -> None:
    assert arrays_of(scaled(size)).gross_volume == pytest.approx(size**3)
    with pytest.raises(DomainError, match="inside out"):
        arrays_of(scaled(size, inside_out=True))


def test_flat_is_less_than_a_milliardth_of_the_cube_on_the_diagonal() -> None:
    """1 m square: the diagonal is sqrt 2 m, so 2.83 nm thick."""
    with pytest.raises(DomainError, match="flat"):
        solids.box(Point(0, 0, 0), Point(1, 1, 2e-9))
    assert solids.capacity(solids.box(Point(0, 0, 0), Point(1, 1, 5e-9))) == pytest.approx(5e-9)


def test_a_triangle_with_a_corner_twice_does_not_close_anything() -> None:
    corner = (0, 0, 1)
    with pytest.raises(DomainError, match="not closed"):
        arrays_of(Solid(corners=UNIT.corners, triangles=(*UNIT.triangles, corner)))


@pytest.mark.parametrize("left_out", range(12))
def test_any_missing_triangle_is_found(left_out) -> None:
    kept = tuple(t for place, t in enumerate(UNIT.triangles) if place != left_out)
    with pytest.raises(DomainError, match="not closed"):
        arrays_of(Solid(corners=UNIT.corners, triangles=kept))
