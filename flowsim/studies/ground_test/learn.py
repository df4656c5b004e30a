"""From readings to a corrected model, with what it could and could not tell."""

from dataclasses import replace

import numpy as np

from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly, assemble
from flowsim.physics.arrays import BoolArray, FloatArray
from flowsim.progress import Progress
from flowsim.studies.adequacy.study import DRAWS, SEED, judge
from flowsim.studies.ground_test.diagnose import OddRuns, diagnose, distrust, odd_runs
from flowsim.studies.ground_test.drain_down import DrainDown, drain_downs
from flowsim.studies.ground_test.expected_law import expected_law_seconds
from flowsim.studies.ground_test.fit import Posterior, fit, log_seconds, straight
from flowsim.studies.ground_test.mark import MarkResult, against_mark, without_odd
from flowsim.studies.ground_test.predict import RunModel, run_model
from flowsim.studies.ground_test.reading_errors import errors_of, time_band
from flowsim.studies.ground_test.result import GroundTestFit, LearnedGroup, LearnedInput, RunResult
from flowsim.studies.ground_test.runs import Reading
from flowsim.studies.sampling.calibration import calibrated, inputs_on_ground
from flowsim.studies.sampling.causes import Uncertain, quantile
from flowsim.studies.sampling.draws import draw
from flowsim.studies.sampling.scores import learned_of, share_of
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem

PREDICTIVE_DRAWS = 1024
TOGETHER = 0.3
"""[-] Share of variance taken away from which a combination of inputs is shown."""
MEMBER = 0.25
"""[-] Weight from which an input is named as a member of a combination."""
BAND = np.array([-1.6448536269514722, 0.0, 1.6448536269514722])
"""[-] Scores of the 5th, 50th and 95th percentile."""
LOOKS = 3
"""Times that odd runs are looked for and the fit is made anew without them."""
DIGITS = 6
"""Decimals with which scores and directions are kept, here and in the calibrated case alike."""
TRIFLE = 5e-4
"""[-] Scores and weights below it are left out."""

BENDS = saying("learn.drain_down_falls_off")

LEFT_OUT = saying("learn.corrected_case_would_promise")
UNFIT = saying("learn.but_readings_do_not")


def learn(
    system: FuelSystem,
    readings: tuple[Reading, ...],
    *,
    source: str = "ground test",
    draws: int = DRAWS,
    seed: int = SEED,
    remarks: tuple[Said, ...] = (),
    progress: Progress | None = None,
) -> GroundTestFit:
    """Compare readings with the prediction and correct the model.

    Parameters
    ----------
    system : FuelSystem
        As it was before the test, not calibrated.
    readings : tuple of Reading
        At least one.
    source : str
        Which test, for the corrected case.
    draws, seed : int
        Joint draws for the answers before and after.
    remarks : tuple of str
        What the reader of the readings took for granted.
    progress : callable, optional
        Called with a word, how many are done, and how many there are.

    Returns
    -------
    GroundTestFit

    Raises
    ------
    DomainError
        The case is calibrated already, there is no reading, or no run can be fitted.
    """
    _refuse(system, readings)
    assembly = assemble(system)
    model = run_model(assembly, tuple(reading.setting for reading in readings))
    low, high = _bands(model, readings, seed)
    usable = np.isfinite(np.log(model.seconds()[0]))
    wanted = tuple(i for i, reading in enumerate(readings) if reading.used and usable[i])
    posterior, odd, fitted = _fit(assembly, readings, wanted)
    stored, centre, learned, directions = _kept(posterior)
    names = {item.key: item.name for item in inputs_on_ground(assembly)}
    diagnosis = diagnose(readings, low, high, errors_of(model, readings), odd, posterior, names)
    corrected = calibrated(system, posterior.keys, stored, learned, directions, source, centre)
    mark = against_mark(assembly, readings)
    drains = _drains(model, readings, posterior, fitted)
    single = tuple(run for entry in odd if entry.single for run in entry.runs)
    without = without_odd(assembly, readings, single)
    before = judge(system, draws=draws, seed=seed, progress=progress)
    after = judge(corrected, draws=draws, seed=seed, progress=progress)
    left_out = tuple(
        saying("learn.run_not_fitted", run=reading.name, why=_why_not(reading, usable[i]))
        for i, reading in enumerate(readings)
        if i not in fitted
    )
    doubt = _doubt(drains, distrust(odd, posterior), mark, readings, fitted)
    passed, pass_words = mark.passed, mark.words
    if passed and doubt:
        passed, pass_words = None, saying("learn.met_and_unfit", mark=mark.words, unfit=UNFIT)
    return GroundTestFit(
        title=system.title,
        required=system.engine.burn * system.engine.factor,
        runs=_runs(model, readings, low, high, posterior, fitted, diagnosis.runs),
        least=mark.least,
        passed=passed,
        pass_words=pass_words,
        findings=(*mark.short, *((without,) if without else ()), *diagnosis.findings),
        drains=drains,
        inputs=_inputs(assembly, posterior),
        groups=_groups(posterior, names, learned, directions),
        learned=tuple(float(value) for value in learned),
        directions=tuple(tuple(float(value) for value in row) for row in directions),
        before=before,
        after=after,
        system=corrected,
        distrust=doubt,
        remarks=(*remarks, *left_out),
        cautions=after.cautions,
    )


def _refuse(system: FuelSystem, readings: tuple[Reading, ...]) -> None:
    """Refuse to learn from nothing, and to learn twice."""
    if not readings:
        raise DomainError("there is no reading to learn from")
    if system.calibration is not None:
        raise DomainError(
            "the case is calibrated already; fit the case as it was, with the readings of all "
            "tests in one file"
        )


def _doubt(
    drains: tuple[DrainDown, ...],
    distrusted: Said,
    mark: MarkResult,
    readings: tuple[Reading, ...],
    fitted: tuple[int, ...],
) -> Said:
    """Say why the correction is not to be relied on; empty if nothing speaks against it."""
    if any(vent.bends for drain in drains for vent in drain.vents):
        return BENDS
    if not distrusted and mark.passed is False and mark.least not in fitted:
        run = readings[mark.least].name
        return saying("learn.run_misses_mark_not", run=run, left_out=LEFT_OUT)
    return distrusted


def _drains(
    model: RunModel, readings: tuple[Reading, ...], posterior: Posterior, fitted: tuple[int, ...]
) -> tuple[DrainDown, ...]:
    """Give the curves of the drain-downs, if there are any."""
    if not any(reading.drain for reading in readings):
        return ()
    after = np.exp(log_seconds(model, posterior.keys, posterior.scores[None, :])[0])
    small, times = _observed(model.assembly, tuple(readings[index] for index in fitted))
    line = straight(small, posterior.keys, posterior.scores, times)
    errors = errors_of(small, tuple(readings[index] for index in fitted))
    return drain_downs(model, readings, after, line, errors, fitted)


def _kept(posterior: Posterior) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Give scores, centre, learned shares and directions with the decimals that a file keeps."""
    stored, centre = np.round(posterior.scores, DIGITS), np.round(posterior.centre, DIGITS)
    learned, directions = learned_of(posterior.covariance)
    learned, directions = np.floor(learned * 1e6) / 1e6, np.round(directions, DIGITS)
    told = _no_trifle(stored, centre, directions)
    stored, centre, directions = (
        np.where(told, part, 0.0) for part in (stored, centre, directions)
    )
    return stored, centre, learned, directions


def _no_trifle(scores: FloatArray, centre: FloatArray, directions: FloatArray) -> BoolArray:
    """Tell of which inputs (input,) the test says something, so that the file stays short."""
    told = np.asarray((np.abs(directions) >= TRIFLE).any(axis=0))
    return told | (np.abs(scores) >= TRIFLE) | (np.abs(centre) >= TRIFLE)


def _why_not(reading: Reading, usable: bool) -> Said:
    """Say why a run did not correct the model."""
    if not reading.used:
        return saying("learn.file_says")
    if not usable:
        return saying("learn.model_gives_no_time")
    return saying("learn.repeats_agree_each_other")


def _fit(
    assembly: Assembly, readings: tuple[Reading, ...], wanted: tuple[int, ...]
) -> tuple[Posterior, tuple[OddRuns, ...], tuple[int, ...]]:
    """Fit the runs; give the odd ones and those fitted, counted in ``readings``.

    Single runs that their repeats contradict are found on straight lines in the middle of all bands
    and left out; then all are looked at again on straight lines at the corrected values.
    """
    if not wanted:
        raise DomainError(
            "no run can be fitted: each is left out, or the model gives no time for it; check "
            "quantities, attitude and the column fit"
        )
    chosen = tuple(readings[index] for index in wanted)
    model, observed = _observed(assembly, chosen)
    errors = errors_of(model, chosen)
    keys = tuple(item.key for item in inputs_on_ground(assembly))
    scores = np.zeros(len(keys))
    odd: tuple[OddRuns, ...] = ()
    posterior: Posterior | None = None
    fitted: tuple[int, ...] = ()
    for _ in range(LOOKS):
        odd = odd_runs(chosen, straight(model, keys, scores, observed), errors)
        spoilt = {run for entry in odd if entry.single for run in entry.runs}
        left = tuple(run for run in range(len(chosen)) if run not in spoilt)
        again = tuple(wanted[run] for run in left)
        if posterior is not None and again == fitted:
            break
        fitted = again
        kept = tuple(chosen[run] for run in left)
        small, times = _observed(assembly, kept)
        posterior = fit(small, times, errors_of(small, kept))
        scores = posterior.scores
    assert posterior is not None
    counted = tuple(replace(entry, runs=tuple(wanted[run] for run in entry.runs)) for entry in odd)
    return posterior, counted, fitted


def _observed(assembly: Assembly, readings: tuple[Reading, ...]) -> tuple[RunModel, FloatArray]:
    """Give the model and the log times of some readings."""
    model = run_model(assembly, tuple(reading.setting for reading in readings))
    return model, np.log([reading.seconds for reading in readings])


def _bands(
    model: RunModel, readings: tuple[Reading, ...], seed: int
) -> tuple[FloatArray, FloatArray]:
    """Give the 5th and 95th percentile of each time [s] before the test, errors included."""
    seconds = model.seconds(draw(model.assembly, PREDICTIVE_DRAWS, seed))
    return time_band(seconds, errors_of(model, readings), seed)


def _runs(
    model: RunModel,
    readings: tuple[Reading, ...],
    low: FloatArray,
    high: FloatArray,
    posterior: Posterior,
    fitted: tuple[int, ...],
    suggests: tuple[tuple[Said, ...], ...],
) -> tuple[RunResult, ...]:
    expected = model.seconds()[0]
    law = expected_law_seconds(model)
    after = np.exp(log_seconds(model, posterior.keys, posterior.scores[None, :])[0])
    engine = model.assembly.system.engine
    required = engine.burn * engine.factor
    place = {run: index for index, run in enumerate(fitted)}
    return tuple(
        RunResult(
            reading=reading,
            flow=reading.mass_flow,
            flow_error=reading.relative_error * reading.mass_flow,
            ratio=reading.mass_flow / required,
            expected=float(expected[i]),
            low=float(low[i]),
            high=float(high[i]),
            law=float(law[i]),
            inside=bool(low[i] <= reading.seconds <= high[i]),
            after=float(after[i]),
            misfit=float(posterior.misfit[place[i]]) if i in place else None,
            suggests=suggests[i],
        )
        for i, reading in enumerate(readings)
    )


def _inputs(assembly: Assembly, posterior: Posterior) -> tuple[LearnedInput, ...]:
    """Give what each input was and is, the most learned first."""
    made = []
    for column, item in enumerate(inputs_on_ground(assembly)):
        score, deviation = float(posterior.scores[column]), float(posterior.deviations[column])
        middle = float(posterior.centre[column])
        made.append(
            LearnedInput(
                key=item.key,
                name=item.name,
                unit="m" if item.key == "height" else "factor",
                before=_values(assembly, item, BAND),
                after=_values(assembly, item, middle + deviation * BAND),
                score=round(score, DIGITS),
                deviation=deviation,
                learned=1.0 - deviation**2,
            )
        )
    return tuple(sorted(made, key=lambda entry: -entry.learned))


def _values(assembly: Assembly, item: Uncertain, scores: FloatArray) -> tuple[float, float, float]:
    """Give an input's values at three scores."""
    low, middle, high = (float(value) for value in quantile(item.band, share_of(scores)))
    if item.key == "height":
        size = assembly.system.height_deviation
        return (low - 1.0) * size, (middle - 1.0) * size, (high - 1.0) * size
    return low, middle, high


def _groups(
    posterior: Posterior, names: dict[str, Said], learned: FloatArray, directions: FloatArray
) -> tuple[LearnedGroup, ...]:
    """Give the combinations that the test knows, with the inputs that it cannot tell apart."""
    found = []
    for share, weights in zip(learned, directions, strict=True):
        order = [i for i in np.argsort(-np.abs(weights)) if abs(weights[i]) >= MEMBER]
        if share >= TOGETHER and order:
            sign = np.sign(weights[order[0]])
            members = tuple((names[posterior.keys[i]], float(sign * weights[i])) for i in order)
            found.append(LearnedGroup(learned=float(share), members=members))
    return tuple(found)
