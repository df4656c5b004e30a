"""Air in lines: worked tables, limits, and answers to bad questions."""

import math

import numpy as np
import pytest

from flowsim.physics.air.trapped import (
    HumpState,
    clearing_velocity,
    clearing_velocity_escarameia,
    clearing_velocity_kalinske_bliss,
    flooding_flow,
    hump_clears,
    lower_clearing_velocity,
    vertical_drift,
)

# Petrol of 720 kg/m3 and 21.6 mN/m; calculated (regression) from
# Wisner 1975 (read in a quoted design rule), Escarameia 2007 (constant from memory), Viana et al.
# 2003 (read). Columns: bore mm, drift m/s, L/h vertical drift, Wisner 10 and 90 deg, Escarameia.
BORE = 1e-3 * np.array([4.57, 6.2, 7.75, 9.5, 10.9])
LITRES_PER_HOUR = 0.25 * math.pi * BORE**2 * 3.6e6
FUEL = (720.0, 0.0216)


def test_vertical_drift() -> None:
    drift = vertical_drift(BORE, *FUEL)
    np.testing.assert_allclose(drift, [0.017, 0.048, 0.076, 0.097, 0.108], atol=6e-4)
    np.testing.assert_allclose(drift * LITRES_PER_HOUR, [1, 5, 13, 25, 36], atol=0.5)


def test_drift_limit_of_wide_tubes() -> None:
    # D. T. Dumitrescu 1943, R. M. Davies and G. I. Taylor 1950: 0.35 (0.33 measured) sqrt(gD)
    # (from memory); Viana's limit is 0.34.
    assert vertical_drift(0.1, *FUEL) == pytest.approx(0.34 * math.sqrt(9.80665 * 0.1), rel=1e-3)


def test_clearing_velocities() -> None:
    for slope, wisner, escarameia in (
        (10.0, [12, 25, 44, 72, 102], [11, 23, 39, 66, 93]),
        (90.0, [13, 29, 50, 84, 118], [15, 31, 55, 91, 129]),
    ):
        angle = math.radians(slope)
        np.testing.assert_allclose(
            clearing_velocity(BORE, angle) * LITRES_PER_HOUR, wisner, atol=0.51
        )
        np.testing.assert_allclose(
            clearing_velocity_escarameia(BORE, angle) * LITRES_PER_HOUR, escarameia, atol=0.51
        )
    flow = clearing_velocity_kalinske_bliss(BORE[2], np.radians([10.0, 45.0])) * LITRES_PER_HOUR[2]
    np.testing.assert_allclose(flow, [30, 71], atol=0.5)


@pytest.mark.parametrize("slope", [0.0, -0.1, 1.6, math.nan])
def test_no_clearing_velocity_where_the_leg_does_not_fall(slope: float) -> None:
    assert np.isnan(clearing_velocity(7.75e-3, slope))


def test_hump_states() -> None:
    slope = math.radians(30.0)
    low, high = lower_clearing_velocity(BORE, *FUEL), 2.0 * clearing_velocity(BORE, slope)
    assert np.all(low < high)
    for velocity, state in (
        (low, HumpState.WILL_NOT_CLEAR),
        (low * 1.001, HumpState.UNCERTAIN),
        (high * 0.999, HumpState.UNCERTAIN),
        (high, HumpState.CLEARS),
        (-high, HumpState.WILL_NOT_CLEAR),
    ):
        assert hump_clears(velocity, BORE, slope, *FUEL).tolist() == [state] * 5


def test_a_bad_question_never_clears() -> None:
    assert hump_clears(math.nan, 7.75e-3, 0.5, *FUEL) == HumpState.UNCERTAIN
    assert hump_clears(5.0, 7.75e-3, math.nan, *FUEL) == HumpState.UNCERTAIN
    assert hump_clears(5.0, math.nan, 0.5, *FUEL) == HumpState.UNCERTAIN
    assert hump_clears(5.0, 7.75e-3, -0.5, *FUEL) == HumpState.UNCERTAIN


def test_flooding_is_bound_by_both_laws() -> None:
    bore = np.geomspace(4e-3, 50e-3, 30)
    flow, area = flooding_flow(bore), 0.25 * math.pi * bore**2
    assert np.all(np.diff(flow) > 0.0)
    assert np.all(flow <= vertical_drift(bore, *FUEL) * area * (1 + 1e-12))
    # Wallis 1969: sqrt(jg*) + sqrt(jl*) <= 0.8 with equal volumes (from memory).
    scale = 9.80665 * bore * (720.0 - 1.2)
    speed = flow / area
    starred = np.sqrt(speed * np.sqrt(720.0 / scale)) + np.sqrt(speed * np.sqrt(1.2 / scale))
    assert np.all(starred <= 0.8 * (1 + 1e-12))
