"""Shares of the variance on draws whose variance can be split by hand.

The draws are a full factorial of log-odds scores, so inputs are exactly independent and every
variance below is a plain mean over a few points; no published table.
"""

from itertools import product

import numpy as np
import pytest

from flowsim.studies.sampling.causes import Uncertain
from flowsim.studies.sampling.ranking import AdditiveFit, Share, even, ranked_shares, shares_of
from flowsim.system.bands import Exact

LEVELS = np.array([-3.0, -1.5, -0.5, 0.5, 1.5, 3.0])
"""Log-odds of the levels; symmetric, so odd powers have no mean."""
PAIRS = np.array(list(product(LEVELS, LEVELS)))
DRAWS = 1.0 / (1.0 + np.exp(-PAIRS))
COUNT = len(PAIRS)
SQUARE, FOURTH = float(np.mean(LEVELS**2)), float(np.mean(LEVELS**4))


def inputs(*names: str) -> tuple[Uncertain, ...]:
    return tuple(
        Uncertain(key=name, name=f"the {name}", measurement=f"measure {name}", band=Exact())
        for name in names
    )


def fit_of(output: np.ndarray, draws: np.ndarray = DRAWS) -> AdditiveFit:
    fit = AdditiveFit(draws.shape[1])
    fit.add(draws, output)
    return fit


class TestShares:
    def test_a_sum_of_cubics_is_shared_out_exactly(self):
        # Two independent terms and nothing left over: shares are the terms' own variances.
        first, second = PAIRS[:, 0] ** 3 - 2.0 * PAIRS[:, 0], 4.0 * PAIRS[:, 1] ** 2
        share, error = fit_of(first + second).shares()
        whole = np.var(first) + np.var(second)
        assert share == pytest.approx([np.var(first) / whole, np.var(second) / whole], rel=1e-9)
        assert error == pytest.approx([0.0, 0.0], abs=1e-6)

    def test_each_of_three_inputs_gets_its_own(self):
        scores = np.array(list(product(LEVELS, repeat=3)))
        share, _ = fit_of(scores @ [1.0, 2.0, 4.0], 1.0 / (1.0 + np.exp(-scores))).shares()
        assert share == pytest.approx([1 / 21, 4 / 21, 16 / 21])

    def test_what_two_inputs_do_together_belongs_to_neither(self):
        # Y = a + ab/4 on symmetric levels: Var = s + s^2/16 (s the levels' mean square), and no
        # curve of one input picks anything up from ab. Least squares with 6 terms and a mean leaves
        # s^2/16 n/(n - 7) of variance per draw; a curve of 3 terms picks up 3/n of that by chance,
        # which is taken off again (docs/theory/uncertainty.md).
        share, error = fit_of(PAIRS[:, 0] * (1.0 + 0.25 * PAIRS[:, 1])).shares()
        left = SQUARE**2 / 16.0 * COUNT / (COUNT - 7)
        noise = 3.0 * left / COUNT
        whole = SQUARE - 2.0 * noise + left
        assert share == pytest.approx([(SQUARE - noise) / whole, -noise / whole], rel=1e-9)
        expected = [
            np.sqrt((4.0 * (SQUARE - noise) + 2.0 * noise) * left / COUNT) / whole,
            np.sqrt(2.0 * noise * left / COUNT) / whole,
        ]
        assert error == pytest.approx(expected, rel=1e-9)

    def test_an_input_that_does_nothing_shares_nothing_within_its_error(self):
        # Noise that has nothing to do with the inputs: over many fits shares average to zero
        # and scatter by no more than the error they state, and not far below it.
        generator = np.random.default_rng(11)
        found = []
        for _ in range(200):
            draws = generator.uniform(0.01, 0.99, size=(200, 2))
            found.append(fit_of(generator.normal(size=200), draws).shares())
        shares = np.array([share for share, _ in found])
        errors = np.array([error for _, error in found])
        assert abs(shares.mean()) < 0.003
        assert 0.7 * errors.mean() < shares.std() < errors.mean()

    def test_draws_in_batches_give_what_they_give_together(self):
        output = 1e6 + 1e-3 * (PAIRS[:, 0] + PAIRS[:, 1] * PAIRS[:, 0])
        batched = AdditiveFit(2)
        batched.add(DRAWS[:0], output[:0])
        for start, end in ((0, 1), (1, 15), (15, COUNT)):
            batched.add(DRAWS[start:end], output[start:end])
        assert batched.count == COUNT
        for one, other in zip(batched.shares(), fit_of(output).shares(), strict=True):
            assert one == pytest.approx(other, rel=1e-6)

    def test_the_variance_is_that_of_the_draws_however_far_from_zero(self):
        # A spread of a thousandth about a million: lost to rounding if squares were summed as is.
        output = 1e6 + 1e-3 * PAIRS[:, 0]
        assert fit_of(output).variance() == pytest.approx(1e-6 * SQUARE, rel=1e-6)
        skew = PAIRS[:, 0] ** 2
        assert fit_of(skew).variance() == pytest.approx(FOURTH - SQUARE**2, rel=1e-9)

    def test_too_few_draws_have_no_shares(self):
        # One input has a mean and 3 terms; twice as many draws are asked for.
        score = np.linspace(-2.0, 2.0, 8)
        draws = (1.0 / (1.0 + np.exp(-score)))[:, None]
        share, error = fit_of(score[:7], draws[:7]).shares()
        assert np.isnan([*share, *error]).all()
        share, error = fit_of(score, draws).shares()
        assert share == pytest.approx([1.0])
        assert np.isfinite(error).all()

    @pytest.mark.parametrize("value", [0.0, 7.5, np.nan])
    def test_without_spread_or_with_a_failed_draw_there_are_none(self, value):
        output = np.full(COUNT, value) if value == value else PAIRS[:, 0].copy()
        if value != value:
            output[5] = np.nan
        share, error = fit_of(output).shares()
        assert share.shape == error.shape == (2,)
        assert np.isnan([*share, *error]).all()
        assert shares_of(inputs("a", "b"), DRAWS, output) == ()

    def test_without_any_draw_there_are_none(self):
        share, error = AdditiveFit(2).shares()
        assert np.isnan([*share, *error]).all()
        assert ranked_shares(inputs("a", "b"), AdditiveFit(2)) == ()


class TestRanking:
    def test_the_largest_share_comes_first_with_its_own_words(self):
        ranked = shares_of(inputs("a", "b"), DRAWS, PAIRS[:, 0] + 3.0 * PAIRS[:, 1])
        assert [item.key for item in ranked] == ["b", "a"]
        assert [item.name for item in ranked] == ["the b", "the a"]
        assert [item.measurement for item in ranked] == ["measure b", "measure a"]
        assert [item.share for item in ranked] == pytest.approx([0.9, 0.1])  # 9 to 1 in variance

    def test_each_share_keeps_its_error(self):
        output = PAIRS[:, 1] * (1.0 + 2.0 * PAIRS[:, 0])
        share, error = fit_of(output).shares()
        ranked = ranked_shares(inputs("a", "b"), fit_of(output))
        assert [item.key for item in ranked] == ["b", "a"]
        assert [item.share for item in ranked] == pytest.approx(share[::-1])
        assert [item.error for item in ranked] == pytest.approx(error[::-1])


def a_share(share: float, error: float) -> Share:
    return Share(key="k", name="n", measurement="m", share=share, error=error)


class TestEven:
    def test_two_standard_errors_of_the_difference_tell_shares_apart(self):
        # Errors 0.03 and 0.04 give 0.05 for the difference (3-4-5), twice that is 0.1.
        first, near, far = a_share(0.5, 0.03), a_share(0.41, 0.04), a_share(0.39, 0.04)
        assert even(first, near)
        assert not even(first, far)

    def test_a_difference_of_just_so_much_is_not_even(self):
        assert not even(a_share(0.5, 0.0), a_share(0.5, 0.0))
        assert not even(a_share(0.75, 0.125), a_share(0.5, 0.0))
