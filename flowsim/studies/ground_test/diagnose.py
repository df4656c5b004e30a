"""What runs that do not fit suggest: in words, from how they differ and from which others."""

from dataclasses import dataclass

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.studies.ground_test.fit import Posterior, SetUpErrors, StraightFit
from flowsim.studies.ground_test.runs import Reading
from flowsim.studies.saying import Said, saying

SURE = 3.0
"""[-] Deviations from which a difference is called one."""
MOVED = 2.0
"""[-] Deviations of its band from which an input is said to have moved."""
BEYOND = 4.0
"""[-] Deviations beyond which a value is no correction but another system."""
MOST_MOVED = 4
"""Inputs named as moved, the furthest first."""
STEADY = 0.15
"""[-] Each step of a drift is at least this share of the whole; else it is one run that jumps."""
LEAST_SCATTER = 0.005
"""[-] Repeats are never taken to agree better than this. Tag: common practice."""

SLOWER_ONCE = saying("diagnose.slower_than_repeats_air")
FASTER_ONCE = saying("diagnose.faster_than_repeats_line")
FALLS = saying("diagnose.flow_falls_run_run")
RISES = saying("diagnose.flow_rises_run_run")
SLOWER = saying("diagnose.slower_than_other_settings")
FASTER = saying("diagnose.faster_than_other_settings")
ALL_SLOW = saying("diagnose.every_setting_slower_than")
ALL_FAST = saying("diagnose.every_setting_faster_than")


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagnosis:
    """``runs``: what each run suggests (run); ``findings``: what all together suggest."""

    runs: tuple[tuple[Said, ...], ...]
    findings: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OddRuns:
    """Runs that the rest does not allow: ``runs`` together, ``slower`` or faster than it allows.

    ``single``: one run among repeats that agree, so it is the run that was spoilt.
    """

    runs: tuple[int, ...]
    slower: bool
    single: bool


def diagnose(
    readings: tuple[Reading, ...],
    low: FloatArray,
    high: FloatArray,
    errors: SetUpErrors,
    odd: tuple[OddRuns, ...],
    posterior: Posterior,
    names: dict[str, Said],
) -> Diagnosis:
    """Say what runs that do not fit suggest.

    Parameters
    ----------
    readings : tuple of Reading
    low, high : FloatArray (run,)
        [s] 5th to 95th percentile before the test.
    errors : SetUpErrors
    odd : tuple of OddRuns
        As ``odd_runs`` gives them, runs counted in ``readings``.
    posterior : Posterior
    names : dict of str
        Name of each input by its key.

    Returns
    -------
    Diagnosis
    """
    seconds = np.array([reading.seconds for reading in readings])
    said: list[list[Said]] = [[] for _ in readings]
    groups = setting_groups(readings)
    own = np.maximum(errors.own, LEAST_SCATTER)
    for group in groups:
        _drift(group, seconds, own, said)
    for entry in odd:
        words = (SLOWER_ONCE, FASTER_ONCE) if entry.single else (SLOWER, FASTER)
        for run in entry.runs:
            said[run].append(words[0] if entry.slower else words[1])
    findings = _all_alike(groups, seconds, low, high)
    findings += _moved(posterior, names)
    return Diagnosis(
        runs=tuple(tuple(dict.fromkeys(words)) for words in said), findings=tuple(findings)
    )


def distrust(odd: tuple[OddRuns, ...], posterior: Posterior) -> Said:
    """Say why a correction is not to be relied on; empty if nothing speaks against it.

    A case that cannot give the readings must not be bent until it nearly does: what it would say of
    other attitudes could be too favourable.
    """
    if any(not entry.single for entry in odd):
        return saying("diagnose.readings_different_settings_contradict")
    if np.abs(posterior.scores).max(initial=0.0) > BEYOND:
        return saying("diagnose.readings_need_values_more", beyond=BEYOND)
    return ""


def setting_groups(readings: tuple[Reading, ...]) -> tuple[tuple[int, ...], ...]:
    """Group runs that repeat each other: equal but for the container and the temperature."""
    groups: dict[tuple[object, ...], list[int]] = {}
    for index, reading in enumerate(readings):
        s = reading.setting
        key: tuple[object, ...] = (s.position, s.pitch, s.roll, s.end_height, s.quantities)
        if reading.drain:
            key = (*key, "drain-down", s.drawn_before, s.volume)
        groups.setdefault(key, []).append(index)
    return tuple(tuple(group) for group in groups.values())


def _drift(
    group: tuple[int, ...], seconds: FloatArray, own: FloatArray, said: list[list[Said]]
) -> None:
    """Find a flow that falls or rises through all repeats."""
    if len(group) < 3:
        return
    chosen = list(group)
    times = np.log(seconds[chosen])
    steps = np.diff(times)
    scatter = float(own[chosen].max())
    whole = times[-1] - times[0]
    if (
        abs(whole) > SURE * np.sqrt(2.0) * scatter
        and (steps > STEADY * abs(whole)).all() | (steps < -STEADY * abs(whole)).all()
    ):
        for run in chosen:
            said[run].append(FALLS if steps[0] > 0 else RISES)


def odd_runs(
    readings: tuple[Reading, ...], line: StraightFit, errors: SetUpErrors
) -> tuple[OddRuns, ...]:
    """Find the runs and settings that the others, with everything uncertain, do not allow.

    Runs are jointly normal: the inputs' and the set-up's effects plus their own errors. A set of
    runs is odd if it lies far from what the rest predicts of it. The oddest is named and taken out,
    and the rest looked at again, so that one wrong run does not make the others look wrong.

    Parameters
    ----------
    readings : tuple of Reading
    line : StraightFit
        The same runs as straight lines.
    errors : SetUpErrors
        Of the same runs.

    Returns
    -------
    tuple of OddRuns
        The oddest first.
    """
    own = np.maximum(errors.own, LEAST_SCATTER)
    covariance = line.effects @ line.effects.T + errors.common @ errors.common.T + np.diag(own**2)
    groups = setting_groups(readings)
    left = list(range(len(readings)))
    found: list[OddRuns] = []
    while len(left) > 1:
        together = [[run for run in group if run in left] for group in groups]
        choices = [[run] for run in left if not _agrees(run, together, line.values, own)]
        choices += [runs for runs in together if len(runs) > 1]
        scored = [
            (*_oddness(line.values, covariance, runs, [i for i in left if i not in runs]), runs)
            for runs in choices
            if len(runs) < len(left)
        ]
        if not scored:
            break
        score, above, odd = max(scored, key=lambda entry: entry[0])
        if score <= 0.0:
            break
        single = len(odd) == 1 and any(odd[0] in group and len(group) > 2 for group in groups)
        found.append(OddRuns(runs=tuple(odd), slower=above > 0, single=single))
        left = [run for run in left if run not in odd]
    return tuple(found)


def _agrees(run: int, groups: list[list[int]], values: FloatArray, own: FloatArray) -> bool:
    """Tell whether a run agrees with its own repeats: then it is odd with them or not at all."""
    repeats = [other for group in groups if run in group for other in group if other != run]
    if not repeats:
        return False
    apart = abs(float(values[run] - values[repeats].mean()))
    return apart <= SURE * float(own[run]) * float(np.sqrt(1.0 + 1.0 / len(repeats)))


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
) -> list[Said]:
    """Say when every setting lies beyond its band on the same side."""
    slow = [all(seconds[run] > high[run] for run in group) for group in groups]
    fast = [all(seconds[run] < low[run] for run in group) for group in groups]
    if all(slow):
        return [ALL_SLOW]
    return [ALL_FAST] if all(fast) else []


def _moved(posterior: Posterior, names: dict[str, Said]) -> list[Said]:
    """Name the inputs that the test pushed to the edge of what was stated."""
    order = np.argsort(-np.abs(posterior.scores))[:MOST_MOVED]
    words = [
        saying("diagnose.moved", name=names[posterior.keys[index]], score=posterior.scores[index])
        for index in order
        if abs(posterior.scores[index]) > MOVED
    ]
    if not words:
        return []
    return [saying("diagnose.pushed_edge_what_stated", words=tuple(words))]
