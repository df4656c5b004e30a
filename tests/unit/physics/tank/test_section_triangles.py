"""Triangles of section outlines: they tile the outline, fattest ear first, whatever the shape."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank.section_polygons import crossing_edges, triangulate


def doubled(outline: np.ndarray, corners: tuple[int, ...]) -> float:
    """Twice the area by the surveyor's formula, positive anticlockwise."""
    x, y = outline[list(corners)].T
    return float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def star(seed: int, count: int = 9) -> np.ndarray:
    """An outline that turns once about its middle, with deep notches."""
    random = np.random.default_rng(seed)
    turned = np.sort(random.uniform(0.0, 2.0 * math.pi, count))
    radius = random.uniform(0.15, 1.0, count)
    return np.column_stack([radius * np.cos(turned), radius * np.sin(turned)])


def assert_tiles(outline: np.ndarray) -> None:
    """Areas add up, none is negative, and each side of the outline is a side of one triangle."""
    count = len(outline)
    triangles = triangulate(outline)
    assert len(triangles) == count - 2
    areas = [doubled(outline, triangle) for triangle in triangles]
    assert min(areas) > 0.0
    assert sum(areas) == pytest.approx(doubled(outline, tuple(range(count))))
    sides = [(t[k], t[(k + 1) % 3]) for t in triangles for k in range(3)]
    assert len(set(sides)) == len(sides)
    inner = {side for side in sides if side[::-1] in sides}
    assert set(sides) - inner == {(k, (k + 1) % count) for k in range(count)}


@pytest.mark.parametrize("seed", [7, 24, 194, 391, 557, 2183, 2189, 2318, 2343])
def test_notched_outlines(seed) -> None:
    """Random ones, most of them chosen because they leave few ears to begin with."""
    outline = star(seed)
    assert crossing_edges(outline) is None
    assert_tiles(outline)


@pytest.mark.parametrize("first", range(8))
def test_an_arrow_from_any_corner_on(first) -> None:
    """Two notches; the outline may begin at one of them."""
    arrow = np.array(
        [(0, 0), (2, 0), (2, 1), (1.2, 0.4), (1, 2), (0.8, 0.4), (0, 1), (-0.2, 0.5)], dtype=float
    )
    assert_tiles(np.roll(arrow, -first, axis=0))


@pytest.mark.parametrize("shift", [(0.0, 0.0), (40.0, -7.0)])
@pytest.mark.parametrize("seed", range(12))
def test_the_fattest_ear_is_cut_first(seed, shift) -> None:
    """Every corner of a convex outline is an ear; fat is a large height over the longest side."""
    random = np.random.default_rng(seed)
    turned = np.sort(random.uniform(0.0, 2.0 * math.pi, 6))
    outline = np.column_stack([3.0 * np.cos(turned), np.sin(turned)]) + shift

    def fatness(corners: tuple[int, ...]) -> float:
        points = outline[list(corners)]
        longest = np.linalg.norm(points - np.roll(points, -1, axis=0), axis=1).max()
        return doubled(outline, corners) / float(longest) ** 2

    best = max(fatness(((k - 1) % 6, k, (k + 1) % 6)) for k in range(6))
    assert fatness(triangulate(outline)[0]) == pytest.approx(best, rel=1e-9)


def test_a_clockwise_outline_has_no_ears() -> None:
    with pytest.raises(DomainError, match="wrong way round"):
        triangulate(np.array([(0, 0), (0, 1), (1, 1), (1, 0)], dtype=float))
