"""What a section polygon must be: flat, simple, of some area, at any size and any datum."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank.section_polygons import (
    check_section,
    crossing_edges,
    flatten,
    normal_of,
    triangulate,
)

RECTANGLE = np.array([(0, 0, 0), (3, 0, 0), (3, 0, 2), (0, 0, 2)], dtype=float)
TOUCHED = np.array([(0, 0), (4, 0), (4, 3), (2, 0), (0, 3)], dtype=float)
"""Corner 3 (0-based) touches the middle of side 0."""


class TestPlane:
    @pytest.mark.parametrize("datum", [(0.0, 0.0, 0.0), (50.0, -7.0, 3.0)])
    def test_the_area_vector_of_a_rectangle(self, datum) -> None:
        """Station then up turns about minus buttline: 3 x 2 m2."""
        np.testing.assert_allclose(normal_of(RECTANGLE + datum), (0, -6, 0), atol=1e-12)

    @pytest.mark.parametrize("axis", range(3))
    @pytest.mark.parametrize("length", [0.01, 1.0, 40.0])
    def test_drawn_flat_without_change_of_size_or_sense(self, axis, length) -> None:
        """In planes square to each axis, whatever the length of the normal."""
        points = np.roll(RECTANGLE, axis, axis=1)
        normal = normal_of(points)
        flat = flatten(points, length * normal / np.linalg.norm(normal))
        np.testing.assert_allclose(
            np.linalg.norm(np.diff(flat, axis=0), axis=1), [3.0, 2.0, 3.0], rtol=1e-12
        )
        x, y = flat.T
        assert x @ np.roll(y, -1) - y @ np.roll(x, -1) == pytest.approx(12.0)

    def test_drawn_flat_from_an_oblique_plane(self) -> None:
        """A triangle with corners on the three axes: sides of sqrt 5, sqrt 13 and sqrt 10."""
        points = np.array([(1, 0, 0), (0, 2, 0), (0, 0, 3)], dtype=float)
        flat = flatten(points, normal_of(points))
        sides = np.linalg.norm(flat - np.roll(flat, -1, axis=0), axis=1)
        np.testing.assert_allclose(sides, np.sqrt([5, 13, 10]), rtol=1e-12)


class TestFlatness:
    """A corner may stand 5 % of the section's size off its plane."""

    def bent(self, size: float, off: float) -> np.ndarray:
        """An octagon of that size, its fourth corner off by so much of it; far from the datum."""
        turned = math.pi / 8 + math.pi / 4 * np.arange(8)
        points = np.column_stack([np.cos(turned), np.zeros(8), np.sin(turned)])
        points /= np.ptp(points[:, 0])
        points[3, 1] = off
        return size * points + (1000.0, 0.0, 0.0)

    @pytest.mark.parametrize("size", [0.1, 1.0, 10.0])
    def test_a_little_is_taken_and_more_is_not(self, size) -> None:
        check_section(self.bent(size, 0.04), "rib")
        with pytest.raises(DomainError, match=r"rib: point 4 is .* mm off the plane"):
            check_section(self.bent(size, 0.12), "rib")

    def test_the_distance_is_told_in_millimetres(self) -> None:
        """A square of 1 m with corners 150 mm up and down in turn: each is 150 mm off."""
        saddle = np.array([(0, 0.15, 0), (1, -0.15, 0), (1, 0.15, 1), (0, -0.15, 1)])
        with pytest.raises(DomainError, match="is 150 mm off"):
            check_section(saddle, "rib")
        with pytest.raises(DomainError, match="is 1500 mm off"):
            check_section(10.0 * saddle, "rib")


class TestArea:
    @pytest.mark.parametrize("size", [0.01, 0.1, 1.0, 10.0])
    def test_a_thin_strip_counts_by_its_share_of_the_size(self, size) -> None:
        """Half a millionth thick is thin and has an area; a tenth of that is one line."""
        strip = size * RECTANGLE / 3.0 * (1.0, 1.0, 0.75e-6)
        np.testing.assert_allclose(
            np.linalg.norm(check_section(strip, "rib")), 0.5e-6 * size**2, rtol=1e-6
        )
        with pytest.raises(DomainError, match="rib: "):
            check_section(strip * (1.0, 1.0, 0.1), "rib")


class TestCrossing:
    def test_the_sides_are_told_counted_from_one(self) -> None:
        """Side 3 comes down through side 1."""
        outline = [(0, 0, 0), (4, 0, 0), (4, 0, 3), (1, 0, -1)]
        with pytest.raises(DomainError, match=r"rib: .*\(sides 1 and 3\)"):
            check_section(np.array(outline, dtype=float), "rib")

    @pytest.mark.parametrize("first", range(5))
    @pytest.mark.parametrize("backwards", [False, True])
    @pytest.mark.parametrize("size", [0.05, 1.0, 30.0])
    def test_a_corner_on_a_side_far_round(self, first, backwards, size) -> None:
        """The first pair in order of the side that is touched and the two that touch it."""
        outline = TOUCHED[::-1] if backwards else TOUCHED
        outline = np.roll(outline, -first, axis=0)
        corners = [tuple(corner) for corner in outline.tolist()]
        here = {corner: place for place, corner in enumerate(corners)}
        touched = here[(4.0, 0.0) if backwards else (0.0, 0.0)]
        tip = here[(2.0, 0.0)]
        pairs = [tuple(sorted((touched, side % 5))) for side in (tip - 1, tip)]
        assert crossing_edges(size * outline) == min(pairs)

    @pytest.mark.parametrize("shift", [(0.0, 0.0), (-5.0, 0.0), (7.0, -3.0)])
    @pytest.mark.parametrize("first", [0, 1, 3])
    def test_a_side_that_folds_back(self, shift, first) -> None:
        """From (2, 0) back to (1, 0): the two sides at that corner lie on each other."""
        outline = np.array([(0, 0), (2, 0), (1, 0), (1, 1)], dtype=float) + shift
        found = crossing_edges(np.roll(outline, -first, axis=0))
        assert found == tuple(sorted(((0 - first) % 4, (1 - first) % 4)))

    @pytest.mark.parametrize("size", [1e-4, 1.0, 1e3])
    def test_a_simple_outline_of_any_size_far_away_is_simple(self, size) -> None:
        outline = size * np.array([(0, 0), (4, 0), (4, 3), (2, 0.1), (0, 3)], dtype=float)
        assert crossing_edges(outline) is None
        assert crossing_edges(outline + size * np.array([1e6, 0.0])) is None


@pytest.mark.parametrize("size", [1e-8, 0.01, 1.0, 1e7])
@pytest.mark.parametrize("away", [0.0, 1e4])
def test_triangles_at_any_size_and_datum(size, away) -> None:
    """A notched outline of 6.2 squares: 4 x 3 less the notch of 4 x 2.9/2."""
    outline = np.array([(0, 0), (4, 0), (4, 3), (2, 0.1), (0, 3)], dtype=float)
    outline = size * (outline + np.array([away, 0.0]))
    total = 0.0
    for a, b, c in triangulate(outline):
        p, q = outline[b] - outline[a], outline[c] - outline[a]
        total += 0.5 * float(p[0] * q[1] - p[1] * q[0])
    assert total == pytest.approx(6.2 * size**2, rel=1e-9)
