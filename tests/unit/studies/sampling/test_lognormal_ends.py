"""Bands known by their ends: 5 and 95 % points are the ends, the median is the middle."""

from statistics import NormalDist

import numpy as np
import pytest

from flowsim.studies.sampling.causes import quantile
from flowsim.system.bands import Lognormal, LognormalEnds

SKEW = LognormalEnds(low=0.45, high=3.0)
OFF = LognormalEnds(low=0.95, high=1.12, middle=1.02)


@pytest.mark.parametrize("band", [SKEW, OFF])
def test_ends_and_median_are_met_exactly(band):
    found = quantile(band, np.array([0.05, 0.5, 0.95]))
    assert found == pytest.approx([band.low, band.middle, band.high], rel=1e-12)


@pytest.mark.parametrize("band", [SKEW, OFF])
def test_it_rises_and_stays_positive_out_to_the_tails(band):
    shares = np.concatenate([[1e-9, 1e-6], np.linspace(0.001, 0.999, 999), [1 - 1e-6, 1 - 1e-9]])
    found = quantile(band, shares)
    assert (np.diff(found) > 0).all()
    assert found[0] > 0.0


def test_symmetric_ends_are_a_plain_lognormal():
    shares = np.linspace(0.01, 0.99, 99)
    factor = 1.7
    plain = quantile(Lognormal(factor ** (1 / 1.6448536269514722)), shares)
    ends = quantile(LognormalEnds(low=1 / factor, high=factor), shares)
    assert ends == pytest.approx(plain, rel=1e-9)


def test_the_halves_are_each_lognormal():
    # At twice the score of the ends the factor is the square of the end's.
    share = NormalDist().cdf(2 * 1.6448536269514722)
    twice = quantile(SKEW, np.array([1 - share, share]))
    assert twice == pytest.approx([0.45**2, 3.0**2], rel=1e-9)
