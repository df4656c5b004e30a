"""Bounds of heads where nothing flows: chains worked by hand, and a linear program."""

import numpy as np
import pytest
from scipy.optimize import linprog

from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.enclosed import head_bounds
from tests.support.small_networks import network, tube

BOTH = FORWARD | BACKWARD


@pytest.mark.parametrize(
    ("codes", "least", "most"),
    [
        ((FORWARD, FORWARD, FORWARD), (0.9, 0.8), (2.0, 1.9)),
        ((BACKWARD, BACKWARD, BACKWARD), (1.6, 1.7), (1.1, 1.2)),
        ((FORWARD, 0, BACKWARD), (0.9, 1.7), (np.inf, np.inf)),
        ((BACKWARD, BOTH, FORWARD), (-np.inf, -np.inf), (1.1, 1.2)),
    ],
)
def test_conditions_are_followed_from_place_to_place(codes, least, most):
    """A - J - K - B: A stands at 1.0 m, B at 1.8 m, and 0.1 m opens a link."""
    of = network(["A", "B"], [("A", "J", (tube(),)), ("J", "K", (tube(),)), ("K", "B", (tube(),))])
    head = np.full((1, 4), np.nan)
    head[0, [of.node_names.index(name) for name in "AB"]] = 1.0, 1.8
    free = [of.node_names.index(name) for name in "JK"]
    found = head_bounds(of, np.array([codes], dtype=np.int8), np.full((1, 3), 0.1), head)
    for bound, expected in zip(found, (least, most), strict=True):
        assert np.nanmax(np.abs(bound - head)) == 0.0
        assert bound[0, free] == pytest.approx(expected)


def test_bounds_are_those_of_a_linear_program():
    """Two scenarios of a mesh of ten places, three of them known; each bound by its own program."""
    dice = np.random.default_rng(5)
    names = [f"N{number}" for number in range(10)]
    pairs = [tuple(dice.choice(10, 2, replace=False)) for _ in range(16)]
    of = network(names[:3], [(names[one], names[other], (tube(),)) for one, other in pairs])
    order = [of.node_names.index(name) for name in names if name in of.node_names]
    allowed = dice.choice(np.array([0, FORWARD, BACKWARD, BOTH], dtype=np.int8), (2, 16))
    opening = dice.uniform(0.0, 0.5, (2, 16))
    head = np.full((2, len(of.node_names)), np.nan)
    head[:, :3] = dice.uniform(0.0, 0.2, (2, 3))
    least, most = head_bounds(of, allowed, opening, head)
    for row in range(2):
        matrix, limit = [], []
        for link, (start, end) in enumerate(zip(of.start, of.end, strict=True)):
            for bit, high, low in ((FORWARD, start, end), (BACKWARD, end, start)):
                if allowed[row, link] & bit:
                    matrix.append(np.eye(len(order))[high] - np.eye(len(order))[low])
                    limit.append(opening[row, link])
        known = [(h, h) if np.isfinite(h) else (-10.0, 10.0) for h in head[row]]
        for node in range(3, len(order)):
            for sign, bound in ((1.0, least), (-1.0, most)):
                unit = sign * np.eye(len(order))[node]
                best = linprog(unit, A_ub=matrix, b_ub=limit, bounds=known)
                assert best.success
                if np.isfinite(bound[row, node]):
                    assert best.x[node] == pytest.approx(bound[row, node], abs=1e-9)
                else:
                    assert abs(best.x[node]) > 5.0
