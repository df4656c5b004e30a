"""Learn from readings: penalised least squares on the uncertain inputs, and how sure it leaves us.

Unknown are the normal scores of the inputs (prior: independent, mean 0, deviation 1, which is what
their bands say) and the set-up errors that several runs share: each container, each setting of the
attitude, each height of the line's end. The logarithm of a run's time is the model's plus its share
of the set-up errors plus its own error. The most likely scores minimise

    sum of (misfit / own error)^2 + sum of scores^2,

found by ``scipy.optimize.least_squares``; the posterior is taken as normal about them with the
inverse of the Gauss-Newton matrix as covariance (Laplace).
"""

from collections.abc import Hashable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray
from flowsim.studies.ground_test.predict import RunModel, run_model
from flowsim.studies.ground_test.runs import END_HEIGHT, PITCH, QUANTITY, Setting
from flowsim.studies.sampling.calibration import inputs_on_ground, with_scores
from flowsim.studies.sampling.draws import draws_from

STEP = 0.05
"""[-] Step of scores for the derivatives (central)."""
CENTRE_PAIRS, CENTRE_ROUNDS, CENTRE_SEED = 64, 3, 1
"""Pairs of opposite draws with which a fit is centred, rounds of it, and their seed."""
LEAST_KEPT = 0.05
"""[-] Share of a variance that is kept however much the bend of the model adds to it."""
FURTHEST = 6.0
"""[-] Scores are sought within this: a value beyond six deviations is no correction but a
different system."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetUpErrors:
    """Errors of the set-up in the logarithm of the time.

    ``common`` (run, error): effect of one deviation of each shared error; ``names`` (error) say
    them; ``own`` (run,) one deviation of what belongs to a run alone.
    """

    common: FloatArray
    names: tuple[tuple[str, Hashable], ...]
    own: FloatArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Posterior:
    """What the readings leave of the uncertain inputs.

    ``scores`` (input), the most likely, ``centre`` (input), about which draws give the times of the
    best fit in the mean, and ``covariance`` (input, input) of ``keys``; ``set_up`` (error,) the
    scores of the shared set-up errors. Per run in the order given: ``predicted`` log time at the
    most likely scores, set-up errors included, ``misfit`` in own deviations. ``sensitivity`` (run,
    input) of the log time.
    """

    keys: tuple[str, ...]
    scores: FloatArray
    centre: FloatArray
    covariance: FloatArray
    set_up: FloatArray
    predicted: FloatArray
    misfit: FloatArray
    sensitivity: FloatArray
    iterations: int

    @property
    def deviations(self) -> FloatArray:
        """One deviation of each score after the test (input,); 1 before it."""
        root: FloatArray = np.sqrt(np.diag(self.covariance))
        return root


def log_seconds(model: RunModel, keys: tuple[str, ...], scores: FloatArray) -> FloatArray:
    """Logarithm of the time of each run (draw, run) at some scores (draw, key)."""
    draws = draws_from(model.assembly, with_scores(model.assembly, keys, scores))
    with np.errstate(divide="ignore", invalid="ignore"):
        times: FloatArray = np.log(model.seconds(draws))
    return times


def set_up_errors(
    model: RunModel, containers: tuple[str, ...], container: FloatArray, timing: FloatArray
) -> SetUpErrors:
    """Work out what the errors of setting up and reading do to the time of each run.

    Parameters
    ----------
    model : RunModel
    containers : tuple of str (run)
        Names; runs with the same name share the container's error.
    container, timing : FloatArray (run,)
        [-] One deviation of the container's volume and of the time, relative.

    Returns
    -------
    SetUpErrors
    """
    settings = model.settings
    tilt = change_of_log(model, [replace(s, pitch=s.pitch + PITCH) for s in settings])
    lifted = [replace(s, end_height=s.end_height + END_HEIGHT) for s in settings]
    lift = change_of_log(model, lifted)
    quantity = quantity_effect(model)
    columns: list[FloatArray] = []
    names: list[tuple[str, Hashable]] = []
    groups: tuple[tuple[str, Sequence[Hashable], FloatArray], ...] = (
        ("container", containers, container),
        ("attitude", [round(float(np.degrees(s.pitch)), 2) for s in settings], tilt),
        ("end_height", [round(s.end_height, 4) for s in settings], lift),
    )
    for name, group, size in groups:
        for member in dict.fromkeys(group):
            columns.append(np.where([item == member for item in group], size, 0.0))
            names.append((name, member))
    return SetUpErrors(
        common=np.column_stack(columns),
        names=tuple(names),
        own=np.sqrt(timing**2 + quantity**2),
    )


def quantity_effect(model: RunModel) -> FloatArray:
    """Change of the log time (run,) by one deviation of what is put into each tank."""
    filled = [
        replace(s, quantities=tuple(q + QUANTITY if q > 0 else q for q in s.quantities))
        for s in model.settings
    ]
    return change_of_log(model, filled)


def change_of_log(model: RunModel, settings: list[Setting]) -> FloatArray:
    """Change of the log time (run,) when the runs are set up a little otherwise; 0 if unknown."""
    with np.errstate(divide="ignore", invalid="ignore"):
        change = np.log(run_model(model.assembly, tuple(settings)).seconds()[0])
        change = change - np.log(model.seconds()[0])
    return np.where(np.isfinite(change), change, 0.0)


def fit(model: RunModel, observed: FloatArray, errors: SetUpErrors) -> Posterior:
    """Find the scores that the readings make most likely, and their covariance.

    Parameters
    ----------
    model : RunModel
        Of the system as it was before the test.
    observed : FloatArray (run,)
        Logarithm of the time [s].
    errors : SetUpErrors

    Returns
    -------
    Posterior

    Raises
    ------
    DomainError
        When the model gives no time for a run (it cannot be compared), or a reading is not finite.
    """
    keys = tuple(item.key for item in inputs_on_ground(model.assembly))
    task = _Task(model, keys, observed, errors)
    unknown = len(keys) + errors.common.shape[1]
    first = task.residual(np.zeros(unknown))
    if not np.isfinite(first).all():
        raise DomainError(
            "the model gives no time for a run, so it cannot be fitted: leave it out of the fit, "
            "or correct its quantities and attitude"
        )
    from scipy.optimize import least_squares

    found = least_squares(
        task.residual, np.zeros(unknown), jac=task.jacobian, method="trf",
        bounds=(-FURTHEST, FURTHEST), x_scale=1.0, ftol=1e-8, xtol=1e-6, gtol=1e-8, max_nfev=60,
    )  # fmt: skip
    centred = _centred(task, found.x)
    inputs, runs = len(keys), len(observed)
    left_over = task.residual(found.x)[:runs]
    return Posterior(
        keys=keys,
        scores=found.x[:inputs],
        centre=centred.scores,
        covariance=centred.covariance,
        set_up=found.x[inputs:],
        predicted=observed - left_over * errors.own,
        misfit=left_over,
        sensitivity=centred.slopes,
        iterations=int(found.nfev),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Centre:
    """Middle of the posterior: ``scores`` (input,), ``covariance`` and ``slopes`` there."""

    scores: FloatArray
    covariance: FloatArray
    slopes: FloatArray


def _centred(task: "_Task", most_likely: FloatArray) -> _Centre:
    """Move the scores until draws about them give, in the mean, the times of the best fit.

    Losses are lognormal: of inputs that the readings see only together, draws of the one against
    the other lose more in the mean than both in the middle. About the most likely scores the draws
    would so be too slow. Slopes and covariance are taken anew at the middle.
    """
    inputs = len(task.keys)
    best = log_seconds(task.model, task.keys, most_likely[None, :inputs])[0]
    unknown = most_likely.copy()
    apart = np.random.default_rng(CENTRE_SEED).standard_normal((CENTRE_PAIRS, inputs))
    for _ in range(CENTRE_ROUNDS):
        here = _about(task, unknown)
        steps = apart @ _root(here.covariance).T
        both = np.vstack([here.scores + steps, here.scores - steps])
        times = log_seconds(task.model, task.keys, both)
        off = np.where(np.isfinite(times), times, best).mean(axis=0) - best
        unknown[:inputs] = here.scores - _gain(here.slopes, task.errors) @ off
    return _narrowed(task, _about(task, unknown), apart)


def _narrowed(task: "_Task", here: _Centre, apart: FloatArray) -> _Centre:
    """Take off the covariance what the bend of the model adds to the draws by itself.

    Draws along what the readings leave open do not lie on one straight line of the times: they
    spread in what was learned too. That much is left out of the normal spread there, so that both
    together are what the readings leave.
    """
    root = _root(here.covariance)
    steps = apart @ root.T
    both = np.vstack([steps, -steps])
    times = log_seconds(task.model, task.keys, here.scores + both)
    bent = times - both @ here.slopes.T
    bent = bent[np.isfinite(bent).all(axis=1)]
    if len(bent) < 2 * CENTRE_PAIRS:
        return here
    moved = (bent - bent.mean(axis=0)) @ _gain(here.slopes, task.errors).T
    white = np.linalg.solve(root, moved.T)
    sizes, axes = np.linalg.eigh(white @ white.T / len(bent))
    kept = root @ axes * np.sqrt(np.maximum(1.0 - sizes, LEAST_KEPT))
    return replace(here, covariance=(kept @ kept.T).astype(np.float64))


def _root(covariance: FloatArray) -> FloatArray:
    return np.asarray(np.linalg.cholesky(covariance), dtype=np.float64)


def _about(task: "_Task", unknown: FloatArray) -> _Centre:
    """Give covariance and slopes at some unknowns (Gauss-Newton, Laplace)."""
    inputs, runs = len(task.keys), len(task.observed)
    jacobian = task.jacobian(unknown)
    covariance: FloatArray = np.linalg.inv(jacobian.T @ jacobian).astype(np.float64)
    return _Centre(
        scores=unknown[:inputs].copy(),
        covariance=covariance[:inputs, :inputs],
        slopes=-jacobian[:runs, :inputs] * task.errors.own[:, None],
    )


def _gain(slopes: FloatArray, errors: SetUpErrors) -> FloatArray:
    """Give what a change of the log times (run,) says of the scores (input, run)."""
    data = slopes @ slopes.T + errors.common @ errors.common.T + np.diag(errors.own**2)
    return np.linalg.solve(data, slopes).T.astype(np.float64)


@dataclass(frozen=True, slots=True, kw_only=True)
class StraightFit:
    """Log times of runs as straight lines in the scores.

    ``effects`` (run, input) slopes; ``values`` (run,) what the scores and the errors together must
    make up: observed less the line's height at scores of zero.
    """

    effects: FloatArray
    values: FloatArray


def straight(
    model: RunModel, keys: tuple[str, ...], scores: FloatArray, observed: FloatArray
) -> StraightFit:
    """Lay a straight line through the model at some scores (key,).

    Raises
    ------
    DomainError
        A run has no finite time near them.
    """
    errors = SetUpErrors(common=np.zeros((len(observed), 0)), names=(), own=np.ones(len(observed)))
    task = _Task(model, keys, observed, errors)
    inputs = len(keys)
    effects = -task.jacobian(scores)[: len(observed), :inputs]
    values = task.residual(scores)[: len(observed)] + effects @ scores
    return StraightFit(effects=effects, values=values)


class _Task:
    """Residuals and their derivatives, one batch of solves for each."""

    def __init__(
        self, model: RunModel, keys: tuple[str, ...], observed: FloatArray, errors: SetUpErrors
    ) -> None:
        self.model, self.keys, self.observed, self.errors = model, keys, observed, errors

    def residual(self, unknown: FloatArray) -> FloatArray:
        """Misfits in own deviations, then the scores themselves."""
        scores, common = unknown[: len(self.keys)], unknown[len(self.keys) :]
        expected = log_seconds(self.model, self.keys, scores[None, :])[0]
        misfit = self.observed - expected - self.errors.common @ common
        return np.concatenate([misfit / self.errors.own, unknown])

    def jacobian(self, unknown: FloatArray) -> FloatArray:
        """Differentiate by central differences, all inputs in one batch."""
        inputs = len(self.keys)
        steps = STEP * np.eye(inputs)
        scores = unknown[:inputs]
        times = log_seconds(self.model, self.keys, np.vstack([scores + steps, scores - steps]))
        slope = ((times[:inputs] - times[inputs:]) / (2 * STEP)).T
        if not np.isfinite(slope).all():
            raise DomainError(
                "a run stops near the most likely values, so the fit has no slope: leave out the "
                "run with the least flow, or correct its quantities"
            )
        model_part = -np.hstack([slope, self.errors.common]) / self.errors.own[:, None]
        return np.vstack([model_part, np.eye(len(unknown))])
