"""The search for the edge: on functions whose edge is known."""

import math

import pytest

from flowsim.errors import UnsolvedError
from flowsim.studies.sizing.edge_search import TOLERANCE, Edge, find_edge

LIMITS = (0.0, 8.0)
EDGE = 2.7


def _find(ratio, near: float | None, *, meets_above: bool = True) -> Edge:  # type: ignore[no-untyped-def]
    return find_edge(ratio, "a question", "m", 1.0, LIMITS, near, meets_above=meets_above)


@pytest.mark.parametrize("near", [None, 0.1, 2.6, 2.7, 2.9, 7.9, math.nan, 11.0])
@pytest.mark.parametrize("meets_above", [True, False])
def test_smooth_edge_is_found_from_anywhere(near: float | None, meets_above: bool) -> None:
    sign = 1.0 if meets_above else -1.0
    found = _find(lambda at: 1.0 + sign * (math.exp(at) - math.exp(EDGE)), near,
                  meets_above=meets_above)  # fmt: skip
    assert found.value == pytest.approx(EDGE, abs=TOLERANCE * 8.0)
    assert sign * (found.value - EDGE) >= 0.0  # on the side on which the requirement is met


@pytest.mark.parametrize("near", [None, 2.6, 2.9])
@pytest.mark.parametrize("meets_above", [True, False])
def test_jump_is_left_on_the_side_that_meets(near: float | None, meets_above: bool) -> None:
    def ratio(at: float) -> float:
        return 1.64 if (at > EDGE) is meets_above else 0.0

    found = _find(ratio, near, meets_above=meets_above)
    assert ratio(found.value) >= 1.0
    assert abs(found.value - EDGE) <= 2.0 * TOLERANCE * 8.0


@pytest.mark.parametrize("near", [None, 0.5, 4.0])
@pytest.mark.parametrize(("level", "always"), [(1.3, True), (0.7, False)])
def test_no_edge_is_said_so(near: float | None, level: float, always: bool) -> None:
    found = _find(lambda at: level, near)
    assert math.isnan(found.value)
    assert found.always is always


def test_likely_place_saves_looks() -> None:
    looks = []

    def ratio(at: float) -> float:
        looks.append(at)
        return 0.5 + 0.5 * at / EDGE

    _find(ratio, 2.71)
    assert not {0.0, 8.0} & set(looks)
    assert len(looks) == len(set(looks))


def test_failed_solve_is_told_with_its_place() -> None:
    with pytest.raises(UnsolvedError, match=r"a question: .* at 0 m"):
        _find(lambda at: math.nan, None)
