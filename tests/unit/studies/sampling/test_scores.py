"""Normal scores against tables of the normal distribution and a posterior worked by hand."""

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.studies.sampling.scores import (
    FURTHEST,
    after_test,
    learned_of,
    score_of,
    share_of,
    spread,
)
from flowsim.system.calibration import Calibration


def known(**given) -> Calibration:
    """Two inputs; 3/4 of the variance is gone along (0.6, 0.8), so half the deviation is left."""
    values = {
        "keys": ("a", "b"),
        "scores": (0.5, -1.0),
        "learned": (0.75,),
        "directions": ((0.6, 0.8),),
        **given,
    }
    return Calibration(**values)


class TestNormalDistribution:
    @pytest.mark.parametrize(
        ("score", "share"),
        # Percentage points of the normal distribution, in any statistics table (from memory).
        [(0.0, 0.5), (1.0, 0.841345), (1.959964, 0.975), (-1.644854, 0.05), (-2.326348, 0.01)],
    )
    def test_shares_and_scores_are_those_of_the_table(self, score, share):
        assert share_of(np.array([score])) == pytest.approx([share], abs=1e-6)
        assert score_of(np.array([share])) == pytest.approx([score], abs=1e-5)

    def test_any_shape_comes_back(self):
        scores = np.array([[-1.0, 0.0, 1.0], [2.0, -2.0, 0.5]])
        assert share_of(scores).shape == score_of(share_of(scores)).shape == (2, 3)
        assert score_of(share_of(scores)) == pytest.approx(scores)

    def test_beyond_the_furthest_score_nothing_changes(self):
        far = share_of(np.array([-FURTHEST, -FURTHEST - 1.0, -1e9, FURTHEST, 1e9]))
        assert far[0] == far[1] == far[2] > 0.0
        assert far[3] == far[4] < 1.0
        near = share_of(np.array([-7.5, 7.5]))
        assert far[0] < near[0] < 1e-13
        assert far[3] > near[1] > 1.0 - 1e-13

    def test_scores_stay_numbers_however_far(self):
        assert np.isfinite(score_of(share_of(np.array([-np.inf, np.inf])))).all()

    def test_a_failed_score_stays_nan(self):
        assert np.isnan(share_of(np.array([np.nan]))).all()

    @pytest.mark.parametrize("share", [0.0, 1.0, -0.2, 1.5, np.nan])
    def test_a_share_outside_has_no_score(self, share):
        with pytest.raises(DomainError, match="above 0 and below 1"):
            score_of(np.array([0.5, share]))


class TestSpread:
    def test_nothing_learned_only_moves_the_middle(self):
        independent = np.array([[1.0, 2.0], [-3.0, 0.0]])
        found = spread(known(learned=(), directions=()), independent)
        assert found == pytest.approx(np.array([[1.5, 1.0], [-2.5, -1.0]]))

    def test_the_learned_direction_keeps_half_its_deviation(self):
        # 1 - 3/4 of the variance is left: half the deviation along (0.6, 0.8), all across it.
        middle = np.array([0.5, -1.0])
        along, across = np.array([0.6, 0.8]), np.array([-0.8, 0.6])
        found = spread(known(), np.array([along, across, np.zeros(2)]))
        assert found == pytest.approx(middle + np.array([0.5 * along, across, np.zeros(2)]))

    def test_the_covariance_is_the_identity_less_what_was_learned(self):
        # Scores of unit vectors are the rows of a root R; R^T R = I - U diag(learned) U^T.
        calibration = known(
            scores=(0.0, 0.0), learned=(0.96, 0.3), directions=((0.6, 0.8), (0.8, -0.6))
        )
        root = spread(calibration, np.eye(2))
        directions = np.array(calibration.directions)
        expected = np.eye(2) - directions.T @ np.diag(calibration.learned) @ directions
        assert root.T @ root == pytest.approx(expected)


class TestAfterTest:
    def test_what_the_test_knows_nothing_of_stays(self):
        other = np.array([0.1, 0.9])
        found = after_test(known(), {"a": np.array([0.5, 0.5]), "other": other})
        assert found["other"] is other
        assert set(found) == {"a", "other"}

    def test_the_median_of_all_inputs_goes_to_the_middle(self):
        half = np.array([0.5])
        found = after_test(known(), {"b": half, "a": half})
        assert found["a"] == pytest.approx(share_of(np.array([0.5])))
        assert found["b"] == pytest.approx(share_of(np.array([-1.0])))

    def test_an_input_that_is_gone_is_taken_at_its_middle(self):
        # Score 1 of a alone: (1, 0) less half of its part along (0.6, 0.8), which is 0.6.
        shares = {"a": share_of(np.array([1.0, -1.0]))}
        found = after_test(known(), shares)
        moved = 1.0 - 0.5 * 0.6 * 0.6
        assert found["a"] == pytest.approx(share_of(0.5 + moved * np.array([1.0, -1.0])))

    def test_the_shares_given_are_left_alone(self):
        shares = {"a": np.array([0.3]), "b": np.array([0.6])}
        after_test(known(), shares)
        assert shares["a"] == 0.3
        assert shares["b"] == 0.6


class TestLearned:
    def test_a_covariance_gives_back_what_it_was_made_of_largest_first(self):
        directions = np.array([[0.6, 0.8, 0.0], [0.8, -0.6, 0.0]])
        learned = np.array([0.3, 0.9])
        covariance = np.eye(3) - directions.T @ np.diag(learned) @ directions
        found, along = learned_of(covariance)
        assert found == pytest.approx([0.9, 0.3])
        assert np.abs(along @ directions.T) == pytest.approx(np.array([[0, 1], [1, 0]]), abs=1e-9)
        assert along @ along.T == pytest.approx(np.eye(2))

    def test_what_is_hardly_learned_is_left_out(self):
        covariance = np.diag([1.0 - 0.9e-4, 1.0 - 1.1e-4, 1.0])
        found, along = learned_of(covariance)
        assert found == pytest.approx([1.1e-4])
        assert np.abs(along) == pytest.approx(np.array([[0.0, 1.0, 0.0]]))
        assert learned_of(covariance, least=0.5e-4)[0] == pytest.approx([1.1e-4, 0.9e-4])
        assert learned_of(np.diag([0.5, 1.0]), least=0.5)[0].shape == (
            0,
        )  # just so much is not more

    def test_no_share_reaches_one_or_falls_below_zero(self):
        # Rounding of a perfectly known direction, and of one known worse than before.
        found, _ = learned_of(np.diag([-1e-12, 0.5]))
        assert found == pytest.approx([1.0 - 1e-9, 0.5], rel=1e-12)
        assert found[0] < 1.0
        found, _ = learned_of(np.diag([1.1, 0.5]), least=-1.0)
        assert found.tolist() == [0.5, 0.0]
