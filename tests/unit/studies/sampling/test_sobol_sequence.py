"""The sequence, the plan's indices and the normal quantile against the statistics package."""

import subprocess
import sys
from statistics import NormalDist

import numpy as np
import pytest
from scipy.special import ndtri
from scipy.stats import qmc, sobol_indices

from flowsim.errors import DomainError
from flowsim.studies.sampling import sobol_sequence
from flowsim.studies.sampling.normal_quantile import normal_quantile
from flowsim.studies.sampling.sobol_sequence import scrambled_sobol
from flowsim.studies.uncertainty.sensitivity import _indices


@pytest.mark.parametrize("dimensions", [1, 2, 9, 64, 130])
@pytest.mark.parametrize("points", [1, 2, 64, 1024])
def test_the_sequence_is_the_packages_to_the_last_bit(dimensions, points):
    for seed in (0, 20240229):
        expected = qmc.Sobol(dimensions, rng=np.random.default_rng(seed)).random(points)
        np.testing.assert_array_equal(scrambled_sobol(dimensions, points, seed), expected)


def test_without_the_table_the_package_is_asked(monkeypatch):
    expected = scrambled_sobol(5, 16, 3)
    assert sobol_sequence._table() is not None
    monkeypatch.setattr(sobol_sequence, "_table", lambda: None)
    np.testing.assert_array_equal(scrambled_sobol(5, 16, 3), expected)


def test_every_coordinate_has_one_point_in_each_slice():
    """What a sequence of a power of two is for (Sobol 1967): each 1/n of each axis once."""
    points = scrambled_sobol(12, 256, 7)
    slices = np.sort(np.floor(points * 256).astype(int), axis=0)
    np.testing.assert_array_equal(slices, np.tile(np.arange(256)[:, None], 12))


@pytest.mark.parametrize("points", [0, 3, 1000, 2**31])
def test_other_counts_are_refused(points):
    with pytest.raises(DomainError, match="power of two"):
        scrambled_sobol(2, points, 1)


def test_the_statistics_package_is_not_imported():
    """Its import is what this is for."""
    names = "numpy, flowsim.studies.uncertainty.sensitivity, flowsim.studies.uncertainty.study"
    code = (
        f"import sys, {names}; "
        "from flowsim.studies.sampling.sobol_sequence import scrambled_sobol; "
        "scrambled_sobol(4, 8, 1); sys.exit('scipy.stats' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_indices_are_the_packages():
    generator = np.random.default_rng(4)
    outputs = 3.0 + generator.normal(size=(7, 128))
    functions = {"f_A": outputs[:1], "f_B": outputs[1:2], "f_AB": outputs[2:, None, :]}
    expected = sobol_indices(func=functions, n=128)
    first, total = _indices(outputs)
    np.testing.assert_allclose(first, expected.first_order, rtol=1e-12)
    np.testing.assert_allclose(total, expected.total_order, rtol=1e-12)
    none, whole = _indices(np.ones((4, 8)))
    assert none.tolist() == whole.tolist() == [0.0, 0.0]


class TestNormalQuantile:
    def test_against_the_package_and_the_standard_library(self):
        tails = 10.0 ** np.linspace(-300, -1, 600)
        share = np.concatenate([np.linspace(1e-6, 1 - 1e-6, 4001), tails, 1 - tails[tails > 1e-15]])
        found = normal_quantile(share)
        np.testing.assert_allclose(found, ndtri(share), rtol=1e-13, atol=1e-15)
        python = [NormalDist().inv_cdf(value) for value in share.tolist()]
        np.testing.assert_allclose(found, python, rtol=1e-14, atol=1e-16)

    def test_shapes_stay_and_joints_hold(self):
        joints = np.array([[0.075, 0.925], [0.5, np.exp(-25.0)]])
        found = normal_quantile(joints)
        assert found.shape == (2, 2)
        np.testing.assert_allclose(found, ndtri(joints), rtol=1e-14, atol=1e-16)
        assert normal_quantile(0.95) == pytest.approx(1.6448536269514722, abs=1e-15)

    @pytest.mark.parametrize("share", [0.0, 1.0, -0.1, 1.5, np.nan, np.inf])
    def test_what_is_no_probability_gives_nan(self, share):
        assert np.isnan(normal_quantile(np.array([share, 0.5]))).tolist() == [True, False]
