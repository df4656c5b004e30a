"""Times of runs, and the fit against closed forms."""

import math
from dataclasses import replace

import numpy as np
import pytest

from flowsim.errors import DomainError
from flowsim.network.assembly import assemble
from flowsim.studies.ground_test.expected_law import expected_law_seconds
from flowsim.studies.ground_test.fit import SetUpErrors, fit, log_seconds, set_up_errors
from flowsim.studies.ground_test.predict import run_model
from flowsim.studies.ground_test.reading_errors import errors_of
from flowsim.studies.ground_test.runs import Setting
from flowsim.studies.sampling.calibration import calibrated, inputs_on_ground
from flowsim.system.bands import Exact, Lognormal
from tests.unit.studies.ground_test_systems import (
    COEFFICIENT,
    HEAD,
    SIDE,
    bench,
    box,
    reading,
    setting,
)  # fmt: skip

FACTOR = 1.5
SLOPE = 0.5 * math.log(FACTOR)
"""Closed form: h = f c Q^2, so ln T = ln(V sqrt(c/h)) + 0.5 ln f, and ln f = score x ln 1.5."""


def test_a_steady_surface_fills_in_volume_over_flow():
    # Closed form: T = V/sqrt(h/c); the line itself costs next to nothing.
    model = run_model(assemble(bench(Exact())), (setting(),))
    assert model.seconds()[0, 0] == pytest.approx(1e-3 * math.sqrt(COEFFICIENT / HEAD), rel=2e-4)


def test_raising_the_end_takes_its_height_off_the_head():
    model = run_model(assemble(bench(Exact())), (setting(end_height=0.36),))
    wanted = 1e-3 * math.sqrt(COEFFICIENT / (HEAD - 0.36))
    assert model.seconds()[0, 0] == pytest.approx(wanted, rel=2e-4)


def test_a_falling_surface_takes_the_drain_time_of_torricelli():
    # Closed form (any hydraulics text): t = 2 A sqrt(c) (sqrt(h1) - sqrt(h2)) for h = c Q^2.
    system = bench(Exact(), box(HEAD, HEAD + 0.3))
    start, drawn = 0.03, 0.02
    run = setting(quantities=(start,), volume=drawn)
    high = HEAD - 0.1 + start / SIDE**2
    low = HEAD - 0.1 + (start - drawn) / SIDE**2
    wanted = 2 * SIDE**2 * math.sqrt(COEFFICIENT) * (math.sqrt(high) - math.sqrt(low))
    assert run_model(assemble(system), (run,)).seconds()[0, 0] == pytest.approx(wanted, rel=3e-4)


def test_equal_settings_are_solved_once():
    model = run_model(assemble(bench(Exact())), (setting(), setting(end_height=0.1), setting()))
    assert len(model.distinct) == 2
    assert model.seconds()[0, 0] == model.seconds()[0, 2]


def test_the_expected_law_agrees_where_friction_is_nothing():
    model = run_model(assemble(bench(Exact())), (setting(),))
    assert expected_law_seconds(model) == pytest.approx(model.seconds()[0], rel=1e-3)


@pytest.mark.parametrize("runs", [(), (replace(setting(), position="both"),)])
def test_runs_that_cannot_be_are_refused(runs):
    with pytest.raises(DomainError):
        run_model(assemble(bench(Exact())), runs)


def straight_line(observed_scores, own: float):
    """Fit runs of the bench whose log times lie on a straight line of one score."""
    model = run_model(assemble(bench(Lognormal(FACTOR))), (setting(),) * len(observed_scores))
    count = len(observed_scores)
    errors = SetUpErrors(common=np.zeros((count, 0)), names=(), own=np.full(count, own))
    start = np.log(model.seconds()[0])
    return fit(model, start + SLOPE * np.array(observed_scores), errors)


@pytest.mark.parametrize("own", [0.3, 0.05, 0.01])
def test_the_posterior_of_a_straight_line_is_the_closed_form(own):
    # Closed form of the normal linear model with prior N(0, 1): precision 1 + n a^2/s^2, mean
    # (a/s^2) sum(y)/precision (any text on Bayesian statistics).
    scores = [0.8, 1.1, 0.7]
    found = straight_line(scores, own)
    precision = 1.0 + len(scores) * SLOPE**2 / own**2
    column = next(i for i, key in enumerate(found.keys) if key == "quadratic loss loss")
    assert found.deviations[column] == pytest.approx(precision**-0.5, rel=5e-3)
    mean = SLOPE**2 * sum(scores) / own**2 / precision
    assert found.scores[column] == pytest.approx(mean, rel=5e-3)
    others = np.delete(found.deviations, column)
    assert (others > 0.98).all()


def test_the_covariance_is_that_of_the_conditional_normal():
    # Independent route: C = I - J^T (J J^T + N N^T + R)^-1 J, shared errors marginalised
    # (conditioning of a joint normal), against the inverse Gauss-Newton matrix of the fit.
    system = bench(Lognormal(FACTOR))
    runs = tuple(
        reading(100.0 + 7 * end, str(end), setting(end_height=0.1 * end)) for end in (0, 0, 1, 3)
    )
    model = run_model(assemble(system), tuple(run.setting for run in runs))
    errors = errors_of(model, runs)
    found = fit(model, np.log([run.seconds for run in runs]), errors)
    slopes = found.sensitivity
    data = slopes @ slopes.T + errors.common @ errors.common.T + np.diag(errors.own**2)
    wanted = np.eye(len(found.keys)) - slopes.T @ np.linalg.solve(data, slopes)
    assert found.covariance == pytest.approx(wanted, abs=1e-8)


def test_repeats_do_not_average_the_container_s_error_away():
    few, many = (
        fit_of(count).deviations[next(
            i for i, key in enumerate(fit_of(count).keys) if key == "quadratic loss loss"
        )]
        for count in (3, 60)
    )  # fmt: skip
    floor = 0.02 / math.hypot(0.02, SLOPE)
    assert many > 0.9 * floor
    assert few > many


def fit_of(count: int):
    runs = tuple(
        reading(100.0, str(number), container_error=0.02, timing=2.0) for number in range(count)
    )
    model = run_model(assemble(bench(Lognormal(FACTOR))), tuple(run.setting for run in runs))
    return fit(model, np.log([run.seconds for run in runs]), errors_of(model, runs))


def test_the_error_of_the_end_s_height_is_half_its_share_of_the_head():
    # Closed form: T ~ h^-1/2, so d ln T = dz/(2 h) for the end raised by dz.
    model = run_model(assemble(bench(Exact())), (setting(),))
    errors = set_up_errors(model, ("jug",), np.array([0.01]), np.array([0.005]))
    column = next(i for i, name in enumerate(errors.names) if "height" in name[0])
    assert errors.common[0, column] == pytest.approx(0.003 / (2 * HEAD), rel=5e-3)


def test_a_corrected_system_gives_the_fitted_times():
    system = bench(Lognormal(FACTOR))
    assembly = assemble(system)
    keys = tuple(item.key for item in inputs_on_ground(assembly))
    scores = np.linspace(-1, 1, len(keys))
    corrected = calibrated(system, keys, scores, np.zeros(0), np.zeros((0, len(keys))), "test")
    model = run_model(assembly, (setting(),))
    wanted = log_seconds(model, keys, scores[None, :])[0]
    found = np.log(run_model(assemble(corrected), (setting(),)).seconds()[0])
    assert found == pytest.approx(wanted, abs=1e-9)


def test_a_system_is_corrected_once():
    system = bench(Lognormal(FACTOR))
    keys = tuple(item.key for item in inputs_on_ground(assemble(system)))
    none = (np.zeros(len(keys)), np.zeros(0), np.zeros((0, len(keys))))
    with pytest.raises(DomainError, match="calibrated already"):
        calibrated(calibrated(system, keys, *none, "once"), keys, *none, "twice")
    with pytest.raises(DomainError, match="no uncertain input"):
        calibrated(system, ("nothing",), np.zeros(1), np.zeros(0), np.zeros((0, 1)), "x")
    with pytest.raises(DomainError, match="orthonormal"):
        calibrated(system, keys, np.zeros(len(keys)), np.array([0.5]), np.ones((1, len(keys))), "x")


def test_gallons_an_hour_are_225_cups_over_seconds():
    # Rule of the trade: gal/h = 225 x 8-oz cups / seconds (derived: 16 cups a gallon, 3600/16).
    cup, gallon = 8 * 29.5735295625e-6, 231 * 0.0254**3
    made = reading(60.0, made=setting(volume=4 * cup))
    assert made.mass_flow / made.density / gallon * 3600 == pytest.approx(225 * 4 / 60, rel=1e-12)


def test_the_error_of_a_flow_adds_container_watch_and_density():
    made = reading(50.0, container_error=0.01, timing=0.5)
    assert made.relative_error == pytest.approx(math.sqrt(0.01**2 + 0.01**2 + 0.002**2))
    assert isinstance(made.setting, Setting)
