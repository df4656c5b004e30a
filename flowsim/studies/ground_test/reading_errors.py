"""Errors of readings as they share them: runs by themselves, and stretches of a drain-down."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.studies.ground_test.fit import SetUpErrors, quantity_effect, set_up_errors
from flowsim.studies.ground_test.predict import RunModel
from flowsim.studies.ground_test.runs import STRETCH, Reading

SAME_MARK = 1e-9
"""[m3] Two stretches whose ends lie nearer than this meet at one mark."""


def errors_of(model: RunModel, readings: tuple[Reading, ...]) -> SetUpErrors:
    """Give the set-up errors of readings.

    Parameters
    ----------
    model : RunModel
        Of these readings.
    readings : tuple of Reading

    Returns
    -------
    SetUpErrors
        Of a drain-down the quantity put in is one error of all its stretches, and each mark one of
        the two stretches that meet there: a mark that is read late makes the one before it longer
        and the one after it shorter. So its stretches err together, and their sum by two marks.
    """
    timing = np.array([reading.timing / reading.seconds for reading in readings])
    found = set_up_errors(
        model,
        tuple(reading.container for reading in readings),
        np.array([reading.volume_error for reading in readings]),
        timing,
    )
    drains = drains_of(readings)
    if not drains:
        return found
    quantity = quantity_effect(model)
    columns, names, own = [found.common], list(found.names), found.own.copy()
    for name, stretches in drains.items():
        filled = np.zeros((len(readings), 1))
        filled[stretches, 0] = quantity[stretches]
        marks = [_mark(readings, *beside) for beside in _marks(readings, stretches)]
        columns += [filled, *(mark[:, None] for mark in marks)]
        names.append(("quantity_put_in", name))
        names += [("mark", (name, number)) for number in range(len(marks))]
        own[stretches] = STRETCH
    return replace(found, common=np.hstack(columns), names=tuple(names), own=own)


def time_band(seconds: FloatArray, errors: SetUpErrors, seed: int) -> tuple[FloatArray, FloatArray]:
    """Give the 5th and 95th percentile of each predicted time, errors of one reading included.

    Parameters
    ----------
    seconds : FloatArray (draw, run)
        Predicted times [s]; infinite where nothing flows, NaN where a solve failed.
    errors : SetUpErrors
    seed : int
        Of the errors' draws.

    Returns
    -------
    (FloatArray (run,), FloatArray (run,))
        [s], infinite where so many draws never fill the container, NaN where a solve failed.
    """
    error = np.sqrt((errors.common**2).sum(axis=1) + errors.own**2)
    noise = np.random.default_rng(seed).standard_normal(seconds.shape) * error
    # A reading that may be off by any factor has no upper end: that is what infinite says.
    with np.errstate(over="ignore", invalid="ignore"):
        times = seconds * np.exp(noise)
        low, high = np.percentile(times, [5, 95], axis=0)
    # Between a time and never lies none of either: there the next draw above counts.
    never = np.isinf(times).any(axis=0)
    low[never], high[never] = np.percentile(times[:, never], [5, 95], axis=0, method="higher")
    return low, high


def drains_of(readings: tuple[Reading, ...]) -> dict[str, list[int]]:
    """Give the stretches of each drain-down, in order, as places among the readings."""
    found: dict[str, list[int]] = {}
    for index, reading in enumerate(readings):
        if reading.drain:
            found.setdefault(reading.drain, []).append(index)
    for stretches in found.values():
        stretches.sort(key=lambda index: readings[index].setting.drawn_before)
    return found


def _marks(
    readings: tuple[Reading, ...], stretches: list[int]
) -> Iterator[tuple[int | None, int | None]]:
    """Give for each mark the stretch that ends there and the one that begins there."""
    before: int | None = None
    for index in stretches:
        setting = readings[index].setting
        if before is None:
            yield None, index
        else:
            last = readings[before].setting
            gap = setting.drawn_before - last.drawn_before - last.volume
            if abs(gap) <= SAME_MARK:
                yield before, index
            else:  # a stretch between them is left out
                yield before, None
                yield None, index
        before = index
    yield before, None


def _mark(readings: tuple[Reading, ...], ends: int | None, begins: int | None) -> FloatArray:
    """Effect (run,) on the log times of one deviation of a mark."""
    beside = [index for index in (ends, begins) if index is not None]
    # The first mark of a drain-down is the start of the watch: nothing is read on the container.
    is_start = ends is None and readings[beside[0]].setting.drawn_before == 0.0
    slowness = np.mean([readings[i].seconds / readings[i].setting.volume for i in beside])
    reading = readings[beside[0]]
    late = float(np.hypot(reading.timing, 0.0 if is_start else reading.mark * slowness))
    effect = np.zeros(len(readings))
    if ends is not None:
        effect[ends] = late / readings[ends].seconds
    if begins is not None:
        effect[begins] = -late / readings[begins].seconds
    return effect
