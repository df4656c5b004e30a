"""What runs that do not fit suggest: in words, from how they differ and from which others."""

from dataclasses import dataclass

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.studies.ground_test.fit import Posterior, SetUpErrors
from flowsim.studies.ground_test.runs import Reading

SURE = 3.0
"""[-] Deviations from which a difference is called one."""
MOVED = 2.0
"""[-] Deviations of its band from which an input is said to have moved."""
LEAST_SCATTER = 0.005
"""[-] Repeats are never taken to agree better than this."""

SLOWER_ONCE = (
    "slower than its repeats: air in the line in that run (an air lock), the watch started before "
    "the flow was steady, the line's end held higher, or less fuel at the start"
)
FASTER_ONCE = (
    "faster than its repeats: the line's end hung lower, the container not full, the watch started "
    "late, or more fuel at the start"
)
FALLS = (
    "the flow falls from run to run: a vent that is blocked or too narrow, a screen that clogs, or "
    "a tank that was not filled up to the same quantity again"
)
RISES = (
    "the flow rises from run to run: air that was swept out step by step, or more fuel at "
    "the start each time"
)
SLOWER = (
    "slower than the other settings allow: an air lock or a blockage on the way that this "
    "setting uses, a smaller bore there than stated, a blocked vent, or less fuel or a higher line "
    "end than written"
)
FASTER = (
    "faster than the other settings allow: a larger bore there than stated, more fuel than "
    "written, or a line end that hung lower"
)
ALL_SLOW = (
    "Every setting is slower than predicted: a blockage, a smaller bore or a part that was left "
    "out on the way that all share, a container larger than stated, or a blocked vent."
)
ALL_FAST = (
    "Every setting is faster than predicted: the losses on the way that all share are less than "
    "stated, the container is smaller than stated, or the line's end hung low in all of them."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """``runs``: what each run suggests (run); ``findings``: what all together suggest."""

    runs: tuple[tuple[str, ...], ...]
    findings: tuple[str, ...]


def diagnose(
    readings: tuple[Reading, ...],
    low: FloatArray,
    high: FloatArray,
    errors: SetUpErrors,
    fitted: tuple[int, ...],
    posterior: Posterior,
    names: dict[str, str],
) -> Diagnosis:
    """Name runs that do not fit, and what they suggest.

    Parameters
    ----------
    readings : tuple of Reading
    low, high : FloatArray (run,)
        [s] 5th to 95th percentile before the test.
    errors : SetUpErrors
        Of all runs.
    fitted : tuple of int
        Runs that the posterior used, in its order.
    posterior : Posterior
    names : dict of str
        Name of each input by its key.

    Returns
    -------
    Diagnosis
    """
    seconds = np.array([reading.seconds for reading in readings])
    said: list[list[str]] = [[] for _ in readings]
    groups = setting_groups(readings)
    own = np.maximum(errors.own, LEAST_SCATTER)
    for group in groups:
        _drift(group, seconds, own, said)
    _odd_ones(groups, errors, fitted, posterior, said)
    findings = _all_alike(groups, seconds, low, high)
    findings += _moved(posterior, names)
    return Diagnosis(
        runs=tuple(tuple(dict.fromkeys(words)) for words in said), findings=tuple(findings)
    )


def setting_groups(readings: tuple[Reading, ...]) -> tuple[tuple[int, ...], ...]:
    """Group runs that repeat each other: equal but for the container and the temperature."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for index, reading in enumerate(readings):
        s = reading.setting
        key = (s.position, s.pitch, s.roll, s.end_height, s.quantities)
        groups.setdefault(key, []).append(index)
    return tuple(tuple(group) for group in groups.values())


def _drift(
    group: tuple[int, ...], seconds: FloatArray, own: FloatArray, said: list[list[str]]
) -> None:
    """Find a flow that falls or rises through all repeats."""
    if len(group) < 3:
        return
    chosen = list(group)
    times = np.log(seconds[chosen])
    steps = np.diff(times)
    scatter = float(own[chosen].max())
    if abs(times[-1] - times[0]) > SURE * np.sqrt(2.0) * scatter and (
        (steps > 0).all() or (steps < 0).all()
    ):
        for run in chosen:
            said[run].append(FALLS if steps[0] > 0 else RISES)


def _odd_ones(
    groups: tuple[tuple[int, ...], ...],
    errors: SetUpErrors,
    fitted: tuple[int, ...],
    posterior: Posterior,
    said: list[list[str]],
) -> None:
    """Find the runs and settings that the others, with everything uncertain, do not allow.

    Runs are jointly normal: the inputs' and the set-up's effects plus their own errors. A set of
    runs is odd if it lies far from what the rest predicts of it. The oddest is named and taken out,
    and the rest looked at again, so that one wrong run does not make the others look wrong.
    """
    place = {run: index for index, run in enumerate(fitted)}
    common = errors.common[list(fitted)]
    own = np.maximum(errors.own[list(fitted)], LEAST_SCATTER)
    effects = posterior.sensitivity
    values = posterior.misfit * errors.own[list(fitted)] + common @ posterior.set_up
    values = values + effects @ posterior.scores
    covariance = effects @ effects.T + common @ common.T + np.diag(own**2)
    sets = [[place[run] for run in group if run in place] for group in groups]
    left = list(range(len(fitted)))
    while len(left) > 1:
        choices = [[run] for run in left] + [
            kept for mine in sets if 1 < len(kept := [run for run in mine if run in left])
        ]
        scored = [
            (*_oddness(values, covariance, chosen, [i for i in left if i not in chosen]), chosen)
            for chosen in choices
            if len(chosen) < len(left)
        ]
        score, above, odd = max(scored, key=lambda entry: entry[0])
        if score <= 0.0:
            return
        single = len(odd) == 1 and any(odd[0] in mine and len(mine) > 1 for mine in sets)
        words = (SLOWER_ONCE, FASTER_ONCE) if single else (SLOWER, FASTER)
        for run in odd:
            said[fitted[run]].append(words[0] if above > 0 else words[1])
        left = [run for run in left if run not in odd]


def _oddness(
    values: FloatArray, covariance: FloatArray, chosen: list[int], rest: list[int]
) -> tuple[float, float]:
    """Give how far ``chosen`` lies from what ``rest`` predicts (above 0: too far), and its side."""
    gain = np.linalg.solve(covariance[np.ix_(rest, rest)], covariance[np.ix_(rest, chosen)])
    miss = values[chosen] - gain.T @ values[rest]
    spread = covariance[np.ix_(chosen, chosen)] - covariance[np.ix_(chosen, rest)] @ gain
    distance = float(miss @ np.linalg.solve(spread, miss))
    return distance - SURE**2 * len(chosen), float(miss.mean())


def _all_alike(
    groups: tuple[tuple[int, ...], ...], seconds: FloatArray, low: FloatArray, high: FloatArray
) -> list[str]:
    """Say when every setting lies beyond its band on the same side."""
    slow = [all(seconds[run] > high[run] for run in group) for group in groups]
    fast = [all(seconds[run] < low[run] for run in group) for group in groups]
    if all(slow):
        return [ALL_SLOW]
    return [ALL_FAST] if all(fast) else []


def _moved(posterior: Posterior, names: dict[str, str]) -> list[str]:
    """Name inputs that the test pushed to the edge of what was stated."""
    words = []
    for key, score in zip(posterior.keys, posterior.scores, strict=True):
        if abs(score) > MOVED:
            words.append(
                f"{names[key]} came out {abs(score):.1f} deviations "
                f"{'above' if score > 0 else 'below'} the middle of its stated band: measure it, "
                "and look for a blockage or a wrong bore before trusting the correction."
            )
    return words
