"""One drain-down in place of several buckets: what it would tell, and when it is enough."""

from dataclasses import replace

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import FloatArray
from flowsim.physics.fuel.properties import density
from flowsim.studies.ground_test.predict import run_model
from flowsim.studies.ground_test.reading_errors import errors_of
from flowsim.studies.ground_test.result import PlannedDrain, PlannedRun
from flowsim.studies.ground_test.runs import (
    CONTAINER,
    MARK_VOLUME,
    PRESS,
    TIMING,
    Reading,
    Setting,
)
from flowsim.studies.judged.scenarios import fed_tanks, fuel_states
from flowsim.studies.sampling.draws import Draws
from flowsim.studies.saying import Said, saying
from flowsim.system.tanks import StatedLevel

MARKS = 8
"""Marks of the planned drain-down."""
ENOUGH = 0.9
"""[-] A drain-down that takes away this share of what the buckets take stands for them."""


def plan_drain(
    assembly: Assembly,
    runs: tuple[PlannedRun, ...],
    drawn: Draws,
    answer: FloatArray,
    repeats: int,
    seed: int,
) -> PlannedDrain | None:
    """Plan one drain-down in the position of the run that tells most.

    Parameters
    ----------
    assembly : Assembly
    runs : tuple of PlannedRun
        The bucket runs, the most telling first.
    drawn : Draws
    answer : FloatArray (draw,)
        Flow over required of the deciding scenario.
    repeats : int
        Of each bucket run.
    seed : int
        For the errors of the bands.

    Returns
    -------
    PlannedDrain or None
        From the larger of test quantity and least take-off fuel down to the declared unusable. None
        where a tank of stated level feeds, or the flow stops on the way in some draw.
    """
    whole = _setting(assembly, runs[0].setting)
    if whole is None:
        return None
    readings = _readings(assembly, whole)
    model = run_model(assembly, tuple(reading.setting for reading in readings))
    seconds = model.seconds(drawn)
    if not np.isfinite(seconds).all():
        return None
    middle = model.seconds()[0]
    timed = _timed(readings, middle)
    errors = errors_of(model, timed)
    covariance = errors.common @ errors.common.T + np.diag(errors.own**2)
    share = explained(answer, np.log(seconds), covariance)
    buckets = tuple(run for run in runs if run.setting.position == whole.position)
    stood_for = _bucket_share(assembly, buckets, drawn, answer, repeats)
    noise = np.random.default_rng(seed).multivariate_normal(
        np.zeros(len(middle)), covariance, size=len(seconds)
    )
    passed = np.cumsum(seconds * np.exp(noise), axis=1)
    low, high = np.percentile(passed, [5, 95], axis=0)
    return PlannedDrain(
        setting=whole,
        drawn=tuple(float(r.setting.drawn_before + r.setting.volume) for r in readings),
        expected=tuple(float(value) for value in np.cumsum(middle)),
        low=tuple(float(value) for value in low),
        high=tuple(float(value) for value in high),
        share=share,
        buckets=len(buckets) * repeats,
        bucket_share=stood_for,
        enough=bool(np.isfinite(share) and share >= ENOUGH * stood_for),
    )


def explained(answer: FloatArray, times: FloatArray, errors: FloatArray) -> float:
    """Share of the answer's variance that readings with correlated errors take away.

    Parameters
    ----------
    answer : FloatArray (draw,)
    times : FloatArray (draw, reading)
        Logarithms, finite.
    errors : FloatArray (reading, reading)
        Covariance of the readings' errors.

    Returns
    -------
    float
        Taken as jointly normal: c' (C + E)^-1 c / var; NaN where the answer has no spread.
    """
    if not np.isfinite(answer).all() or np.ptp(answer) == 0.0 or not times.shape[1]:
        return float("nan")
    joint = np.atleast_2d(np.cov(np.column_stack([answer, times]), rowvar=False))
    beside = joint[0, 1:]
    return float(beside @ np.linalg.solve(joint[1:, 1:] + errors, beside) / joint[0, 0])


def replaces_words(drain: PlannedDrain, selector: str) -> Said:
    """Say whether the drain-down stands for the bucket runs of its position."""
    return saying(
        "plan_drain.stands_for_buckets" if drain.enough else "plan_drain.stands_for_none",
        share=drain.share,
        buckets=drain.buckets,
        selector=selector,
        other=drain.bucket_share,
    )


def _setting(assembly: Assembly, run: Setting) -> Setting | None:
    """Give the whole drain-down: test attitude, start quantities, all that may be drawn."""
    system = assembly.system
    names = [position.name for position in assembly.positions]
    fed = fed_tanks(assembly, names.index(run.position))
    if any(isinstance(system.tanks[tank].shape, StatedLevel) for tank in fed):
        return None
    states = fuel_states(assembly)
    start = np.maximum(states[0].quantity, states[1].quantity)
    there = sum(float(start[tank]) - (system.tanks[tank].unusable or 0.0) for tank in fed)
    if not there > 0.0:
        return None
    flight = system.flight
    return Setting(
        position=run.position,
        pitch=flight.climb_pitch + flight.test_margin,
        end_height=0.0,
        quantities=tuple(float(value) for value in start),
        volume=there,
        temperature=run.temperature,
    )


def _readings(assembly: Assembly, whole: Setting) -> tuple[Reading, ...]:
    """Cut it into stretches; their times are not known yet."""
    step = whole.volume / MARKS
    liquid = float(density(assembly.system.fuel, whole.temperature))
    return tuple(
        Reading(
            name=str(number),
            line=0,
            setting=replace(whole, drawn_before=number * step, volume=step),
            seconds=1.0,
            density=liquid,
            density_measured=True,
            container="drain-down",
            container_error=CONTAINER,
            timing=PRESS,
            drain="drain-down",
            mark=MARK_VOLUME,
        )
        for number in range(MARKS)
    )


def _timed(readings: tuple[Reading, ...], seconds: FloatArray) -> tuple[Reading, ...]:
    return tuple(
        replace(reading, seconds=float(time))
        for reading, time in zip(readings, seconds, strict=True)
    )


def _bucket_share(
    assembly: Assembly,
    buckets: tuple[PlannedRun, ...],
    drawn: Draws,
    answer: FloatArray,
    repeats: int,
) -> float:
    """Share of the variance that the bucket runs of the position take away together."""
    settings = tuple(run.setting for run in buckets)
    model = run_model(assembly, settings)
    seconds, middle = model.seconds(drawn), model.seconds()[0]
    usable = np.isfinite(seconds).all(axis=0) & np.isfinite(middle)
    if not usable.any():
        return 0.0
    readings = tuple(
        Reading(
            name="bucket",
            line=0,
            setting=run.setting,
            seconds=float(time) if np.isfinite(time) else 3600.0,
            density=1.0,
            density_measured=True,
            container="container",
            container_error=CONTAINER,
            timing=TIMING,
        )
        for run, time in zip(buckets, middle, strict=True)
    )
    errors = errors_of(model, readings)
    covariance = errors.common @ errors.common.T + np.diag(errors.own**2 / repeats)
    with np.errstate(divide="ignore", invalid="ignore"):
        times = np.log(seconds[:, usable])
    return explained(answer, times, covariance[np.ix_(usable, usable)])
