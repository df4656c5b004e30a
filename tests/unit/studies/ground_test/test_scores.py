"""Normal scores and the posterior that a calibrated case keeps."""

import numpy as np
import pytest
from scipy.stats import norm

from flowsim.errors import DomainError
from flowsim.studies.sampling.scores import after_test, learned_of, score_of, share_of, spread
from flowsim.system.calibration import Calibration


def a_calibration(seed: int = 3, inputs: int = 6, learned: int = 2) -> Calibration:
    generator = np.random.default_rng(seed)
    directions = np.linalg.qr(generator.normal(size=(inputs, learned)))[0].T
    return Calibration(
        keys=tuple("abcdef"[:inputs]),
        scores=tuple(generator.normal(size=inputs)),
        learned=(0.97, 0.4)[:learned],
        directions=tuple(tuple(row) for row in directions),
    )


def test_shares_are_those_of_the_normal_distribution():
    # Reference: scipy.stats.norm.
    scores = np.linspace(-6, 6, 49)
    assert share_of(scores) == pytest.approx(norm.cdf(scores), rel=1e-9, abs=1e-15)
    assert score_of(share_of(scores)) == pytest.approx(scores, abs=1e-6)


def test_shares_stay_inside_however_far_the_score():
    assert ((share_of(np.array([-99.0, 99.0])) > 0) & (share_of(np.array([-99.0, 99.0])) < 1)).all()


def test_a_share_of_one_has_no_score():
    with pytest.raises(DomainError):
        score_of(np.array([0.5, 1.0]))


def test_draws_have_the_stored_mean_and_covariance():
    # Closed form: z = m + A x has covariance A A^T = I - U diag(learned) U^T.
    calibration = a_calibration()
    root = spread(calibration, np.eye(6)) - np.array(calibration.scores)
    directions = np.array(calibration.directions)
    wanted = np.eye(6) - directions.T @ np.diag(calibration.learned) @ directions
    assert root.T @ root == pytest.approx(wanted, abs=1e-12)
    assert spread(calibration, np.zeros((1, 6)))[0] == pytest.approx(calibration.scores)


def test_a_covariance_is_split_and_put_together_again():
    calibration = a_calibration()
    directions = np.array(calibration.directions)
    covariance = np.eye(6) - directions.T @ np.diag(calibration.learned) @ directions
    learned, found = learned_of(covariance)
    assert learned == pytest.approx([0.97, 0.4])
    assert found.T @ np.diag(learned) @ found == pytest.approx(np.eye(6) - covariance, abs=1e-12)


def test_inputs_that_the_test_does_not_know_keep_their_shares():
    calibration = a_calibration()
    shares = {key: np.array([0.2, 0.8]) for key in "abcdefx"}
    found = after_test(calibration, shares)
    assert found["x"] == pytest.approx([0.2, 0.8])
    assert found["a"] != pytest.approx([0.2, 0.8])


def test_an_input_that_is_gone_is_taken_at_its_middle():
    calibration = a_calibration()
    shares = {key: np.array([0.5]) for key in "abcde"}
    found = after_test(calibration, shares)
    assert "f" not in found
    assert score_of(found["a"])[0] == pytest.approx(calibration.scores[0], abs=1e-9)
