"""The line search: what it promises of the point that it returns, whatever way it goes there."""

from dataclasses import replace

import numpy as np
import pytest

from flowsim.network.conditions import nominal_factors
from flowsim.network.laws import LinkLaws, link_laws
from flowsim.network.search import _line_search
from tests.support.small_networks import conditions, living, network, quadratic, tube

MOST_LOOKS = 18
SOLUTION = 2e-5
"""[m3/s]"""


def laws_of(*parts) -> LinkLaws:
    of = network(["A", "B"], [("A", "B", parts)])
    given = conditions(of, {"A": 1.0, "B": 0.0})
    both = np.zeros((1, 1), dtype=np.int8)
    return link_laws(of, living(of), both, given, nominal_factors(of))


@pytest.mark.parametrize("parts", [(quadratic(1e9),), (tube(),), (tube(), quadratic(1e8))])
@pytest.mark.parametrize("begin", [0.0, -3e-5, 1.9e-5, 6e-5])
def test_it_stops_where_the_slope_of_the_content_is_half_gone(parts, begin):
    """All overshoots at once, from none to a factor of a hundred, in few looks at the law."""
    laws = laws_of(*parts)
    drop = laws.head_loss(np.array([[SOLUTION]]))[0]
    side = 1.0 if begin < SOLUTION else -1.0
    beyond = np.array([[0.3, 0.9, 1.0, 1.1, 3.0, 10.0, 100.0]])
    flow = np.full_like(beyond, begin)
    target = begin + side * beyond * abs(SOLUTION - begin)
    loss, _ = laws.head_loss(flow)
    looks = []

    class Counting(LinkLaws):
        def head_loss(self, at):
            looks.append(at)
            return laws.head_loss(at)

    counted = Counting(**{name: getattr(laws, name) for name in LinkLaws.__dataclass_fields__})
    found, new_loss, new_slope = _line_search(
        counted, flow, target, np.broadcast_to(drop, flow.shape), loss, 0.0
    )
    at_begin = (loss - drop) * (target - flow)
    at_end = (new_loss - drop) * (target - flow)
    assert (at_begin < 0).all()
    taken_whole = (laws.head_loss(target)[0] - drop) * (target - flow) <= 0.5 * np.abs(at_begin)
    np.testing.assert_array_equal(found[taken_whole], target[taken_whole])
    assert (np.abs(at_end)[~taken_whole] <= 0.5 * np.abs(at_begin)[~taken_whole]).all()
    share = (found - flow) / (target - flow)
    assert ((share > 0) & (share <= 1)).all()
    np.testing.assert_array_equal(new_loss, laws.head_loss(found)[0])
    np.testing.assert_array_equal(new_slope, laws.head_loss(found)[1])
    assert len(looks) <= MOST_LOOKS, len(looks)


def test_the_first_step_is_taken_whole():
    laws = laws_of(quadratic(1e9))
    target = np.array([[1.0]])
    found, loss, _ = _line_search(
        laws, np.zeros((1, 1)), target, np.ones((1, 1)), np.zeros((1, 1)), np.inf
    )
    np.testing.assert_array_equal(found, target)
    np.testing.assert_array_equal(loss, [[1e9]])


@pytest.mark.parametrize(("begin", "target"), [(-1e-6, 1e-3), (2e-5, -1e-3), (-1e-6, -1e-3)])
def test_a_link_that_opens_or_closes_in_the_step_does_not_cut_it(begin, target):
    """Beside a link that flows both ways and is at rest, so that only the kink could stop it."""
    laws = replace(laws_of(quadratic(1e9)), direction=np.ones((1, 1), dtype=np.int8), leak=1e10)
    flow, goal = np.array([[begin]]), np.array([[target]])
    loss, _ = laws.head_loss(flow)
    found, _, _ = _line_search(laws, flow, goal, np.array([[0.1]]), loss, 0.0)
    np.testing.assert_array_equal(found, goal)
