"""Bracketing the quantity below which something is lost."""

import numpy as np
import pytest

from flowsim.studies.judged.limit_search import TOLERANCE, find_limits


def test_smooth_loss_jump_always_and_never() -> None:
    # Row 0 is lost smoothly below 0.0123, row 1 jumps at 0.02, row 2 is always fine, row 3 never.
    smooth = np.array([0.0123, 0.02, -1.0, np.inf])
    found = find_limits(
        lambda rows, quantity: (quantity > smooth[rows])[:, None],
        np.zeros(4),
        np.full(4, 0.05),
        np.array([[np.nan], [0.02], [np.nan], [np.nan]]),
        1,
    )
    assert found.quantity[0, 0] == pytest.approx(0.0123, abs=TOLERANCE)
    assert found.quantity[0, 0] >= 0.0123
    assert found.quantity[1:, 0].tolist() == [0.02, 0.0, np.inf]
    assert found.always[:, 0].tolist() == [False, False, True, False]


def test_a_gap_between_fine_quantities_is_not_jumped_over() -> None:
    # Fine below 0.01 and above 0.03, lost between: the limit is 0.03, not zero.
    found = find_limits(
        lambda _, quantity: ((quantity < 0.01) | (quantity > 0.03))[:, None],
        np.zeros(1),
        np.full(1, 0.05),
        np.array([[0.01, 0.03]]),
        1,
    )
    assert found.quantity[0, 0] == 0.03


def test_criteria_are_searched_apart() -> None:
    limits = np.array([0.004, 0.017])
    found = find_limits(
        lambda _, quantity: quantity[:, None] > limits,
        np.zeros(2),
        np.full(2, 0.05),
        np.full((2, 1), np.nan),
        2,
    )
    assert found.quantity == pytest.approx(np.tile(limits, (2, 1)), abs=TOLERANCE)
