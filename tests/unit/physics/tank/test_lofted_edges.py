"""Lofted bays of any size and at any datum, and refusals that name the section."""

import math

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.physics.tank import solids
from flowsim.physics.tank.section_polygons import OFF_PLANE, normal_of
from flowsim.system.points import Point

ROOT = np.array([(0, 0, 0), (1, 0, 0), (1, 0, 1), (0, 0, 1)], dtype=float)
TWISTED = np.array([(0.1, 2, 0.3), (0.9, 2, 0), (0.7, 2, 0.8), (0.2, 2, 0.9)], dtype=float)


def points(section: np.ndarray) -> list[Point]:
    return [Point(*corner) for corner in section.tolist()]


def capacity_over_size(size: float, datum: tuple[float, float, float]) -> float:
    """Capacity of the twisted bay, size and datum taken off again."""
    root, tip = (size * (section + np.array(datum)) for section in (ROOT, TWISTED))
    return solids.capacity(solids.lofted(points(root), points(tip))) / size**3


def prismoid() -> float:
    """Exact for ruled sides: span/6 (root + 4 x middle section + tip), areas by the surveyor."""

    def area(section: np.ndarray) -> float:
        x, z = section[:, 0], section[:, 2]
        return 0.5 * float(x @ np.roll(z, -1) - z @ np.roll(x, -1))

    return 2.0 / 6.0 * (area(ROOT) + 4.0 * area(0.5 * (ROOT + TWISTED)) + area(TWISTED))


@pytest.mark.parametrize("size", [1e-6, 0.01, 1.0, 100.0])
@pytest.mark.parametrize(
    "datum", [(0.0, 0.0, 0.0), (1000.0, 0.0, 0.0), (-1000.0, 0.0, 0.0), (0.0, 0.0, -1000.0)]
)
def test_a_twisted_bay_anywhere_is_its_prismoid(size, datum) -> None:
    assert capacity_over_size(size, datum) == pytest.approx(prismoid(), rel=1e-9)


def test_a_twisted_bay_a_hundred_kilometres_from_the_datum() -> None:
    """Whether a side is twisted does not hang on where the datum is."""
    assert capacity_over_size(1.0, (1e5, 0.0, 0.0)) == pytest.approx(prismoid(), rel=1e-9)


def test_a_bay_as_thin_as_paper_far_away_is_a_bay() -> None:
    """100 mm square and half a micrometre thick, 10 m aft: a few millionths of its size."""
    root = 0.1 * ROOT + np.array([10.0, 0.0, 0.0])
    tip = root + np.array([0.0, 5e-7, 0.0])
    tank = solids.lofted(points(root), points(tip))
    assert solids.capacity(tank) == pytest.approx(5e-9, rel=1e-6)
    with pytest.raises(DomainError, match="touch or cut"):
        solids.lofted(points(root), points(root + np.array([0.0, 5e-9, 0.0])))


def test_sections_between_a_square_root_and_a_slanted_tip_need_not_be_flat() -> None:
    """A quadrangle in a tip plane at 58 deg: half way the corners stand off any one plane."""
    outline = np.array([(0, 0), (1.0, 0.0), (0.2, 1.0), (0.0, 1.0)])
    tip = np.column_stack([outline[:, 0], 1.0 + 1.6 * outline[:, 0], outline[:, 1]])
    middle = 0.5 * (ROOT + tip)
    normal = normal_of(middle)
    off = np.abs((middle - middle.mean(axis=0)) @ normal) / np.linalg.norm(normal)
    assert off.max() > OFF_PLANE * np.ptp(middle, axis=0).max()
    assert solids.capacity(solids.lofted(points(ROOT), points(tip))) > 1.0


class TestRefusals:
    BOW_TIE = np.array([(0, 0, 0), (4, 0, 0), (4, 0, 3), (1, 0, -1)], dtype=float)

    @pytest.mark.parametrize("bad", ["root", "tip"])
    @pytest.mark.parametrize(
        ("section", "words"),
        [
            (BOW_TIE, r"sides 1 and 3"),
            (ROOT[:2], "at least three points"),
            (ROOT * math.nan, "not a number"),
        ],
    )
    def test_the_section_is_named(self, bad, section, words) -> None:
        other = ROOT[: len(section)] if len(section) > 2 else ROOT
        pair = [section, other + np.array([0.0, 2.0, 0.0])]
        if bad == "tip":
            pair.reverse()
        with pytest.raises(DomainError, match=f"^{bad} section: .*{words}"):
            solids.lofted(points(pair[0]), points(pair[1]))
