"""Which run tells most, against the closed forms of normal regression."""

import numpy as np
import pytest

from flowsim.studies.ground_test.information import choose, shared_causes


def ensemble(count: int = 4000):
    generator = np.random.default_rng(11)
    causes = generator.normal(size=(count, 3))
    answer = causes @ [2.0, 1.0, 0.0]
    times = causes @ np.array([[0.1, 0.0, 0.05], [0.0, 0.1, 0.05], [0.0, 0.0, 0.3]])
    return causes, answer, times


def test_gain_of_one_run_is_the_squared_correlation_with_its_error():
    # Closed form: share = cov^2/(var(answer)(var(time) + s^2)), the R^2 of a noisy regressor.
    _, answer, times = ensemble()
    error = np.array([0.05, 0.02, 0.01])
    covariance = np.cov(np.column_stack([answer, times]), rowvar=False)
    wanted = covariance[0, 1:] ** 2 / covariance[0, 0] / (np.diag(covariance)[1:] + error**2)
    for choice in choose(answer, times, error):
        assert choice.alone == pytest.approx(wanted[choice.index])


def test_what_all_runs_leave_is_the_residual_of_their_joint_regression():
    _, answer, times = ensemble()
    error = np.array([0.05, 0.02, 0.01])
    covariance = np.cov(np.column_stack([answer, times]), rowvar=False)
    inner = covariance[1:, 1:] + np.diag(error**2)
    left = covariance[0, 0] - covariance[0, 1:] @ np.linalg.solve(inner, covariance[1:, 0])
    chosen = choose(answer, times, error)
    assert chosen[-1].left == pytest.approx(left / covariance[0, 0], rel=1e-9)
    assert sum(choice.gain for choice in chosen) == pytest.approx(1.0 - chosen[-1].left)


def test_the_best_run_comes_first_and_a_repeat_of_it_tells_little():
    _, answer, times = ensemble()
    doubled = np.column_stack([times, times[:, 0]])
    chosen = choose(answer, doubled, np.full(4, 1e-3))
    assert chosen[0].index in (0, 3)
    repeat = next(c for c in chosen if c.index in (0, 3) and c is not chosen[0])
    assert repeat.alone > 0.7
    assert repeat.gain < 1e-3


def test_needed_runs_are_ordered_before_the_others():
    _, answer, times = ensemble()
    first = np.array([False, False, True])
    assert next(c.index for c in choose(answer, times, np.full(3, 0.01), first)) == 2


def test_a_run_that_may_never_fill_comes_last_and_tells_nothing():
    _, answer, times = ensemble()
    times[5, 0] = np.inf
    chosen = choose(answer, times, np.full(3, 0.01))
    assert chosen[-1].index == 0
    assert chosen[-1].gain == 0.0


def test_an_answer_without_spread_gives_no_order():
    _, answer, times = ensemble()
    assert choose(np.zeros_like(answer), times, np.full(3, 0.01)) == ()


def test_shared_causes_are_those_of_both():
    causes, answer, times = ensemble()
    assert shared_causes(answer, times[:, 0], causes) == (0,)
    assert shared_causes(answer, np.zeros(len(answer)), causes) == ()
