"""The mark: the least flow of the runs that count, and not their mean, against the required."""

from dataclasses import dataclass

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import FloatArray
from flowsim.studies.ground_test.needed import ATTITUDE, NeededRun, needed_runs
from flowsim.studies.ground_test.predict import run_model
from flowsim.studies.ground_test.runs import QUANTITY, Reading
from flowsim.studies.judged.scenarios import fuel_states
from flowsim.studies.saying import Said, saying

LOWER_END = 0.005
"""[m] A line end lower than this adds head: the run does not count. Tag: common practice."""
REPEATS = 3
"""Runs of each setting that the mark needs. Tag: common practice."""
EDGE = 1.645
"""[-] Deviations of the 5th percentile of a normal error."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkResult:
    """How the readings stand against the required flow.

    ``least`` run among those that count (of all runs if none does); ``passed`` None: it is not
    shown, as none counts, runs are missing, or it is met by less than the reading's own error;
    ``words`` say it, ``short`` what is missing or spoils a run; ``counting`` runs and stretches.
    """

    least: int
    passed: bool | None
    words: Said
    short: tuple[Said, ...]
    counting: int


def against_mark(assembly: Assembly, readings: tuple[Reading, ...]) -> MarkResult:
    """Compare readings with the required flow.

    Parameters
    ----------
    assembly : Assembly
    readings : tuple of Reading
        At least one. Each stretch of a drain-down counts by its own mean flow and by the fuel
        that is left where it begins.

    Returns
    -------
    MarkResult
    """
    engine = assembly.system.engine
    required = engine.burn * engine.factor
    ratios = np.array([reading.mass_flow / required for reading in readings])
    begin = _at_start(assembly, readings)
    needed = needed_runs(assembly, assembly.system.test_draw, readings[0].setting.temperature)
    pairs = zip(readings, begin, strict=True)
    why = [_spoilt(assembly, needed, reading, quantities) for reading, quantities in pairs]
    counting = [index for index, reason in enumerate(why) if not reason]
    short: list[Said] = []
    for reason in dict.fromkeys(reason for reason in why if reason):
        runs = [
            reading.name for reading, given in zip(readings, why, strict=True) if given == reason
        ]
        one = len(runs) == 1
        short.append(
            saying(
                "mark.run_does_not_count" if one else "mark.runs_do_not_count",
                runs=tuple(runs),
                reason=reason,
            )
        )
    if not counting:
        short += _missing(assembly, needed, [], begin)
        least = int(np.argmin(ratios))
        none = saying("mark.no_run_counts_mark")
        return MarkResult(least=least, passed=None, words=none, short=tuple(short), counting=0)
    missing = _missing(assembly, needed, [readings[index] for index in counting], begin[counting])
    short += missing
    least = min(counting, key=lambda index: ratios[index])
    passed, words = _judged(float(ratios[least]), readings[least].relative_error, missing)
    words = saying(
        "mark.least_flow_required_run",
        ratio=float(ratios[least]),
        run=readings[least].name,
        words=words,
    )
    return MarkResult(
        least=least, passed=passed, words=words, short=tuple(short), counting=len(counting)
    )


def _judged(ratio: float, error: float, missing: list[Said]) -> tuple[bool | None, Said]:
    """Say whether the least flow over the required, known to ``error`` [-], meets the mark."""
    if ratio < 1.0:
        return False, saying("mark.mark_missed")
    if ratio * (1.0 - EDGE * error) < 1.0:
        return None, (saying("mark.mark_met_but_less"))
    if missing:
        return None, saying("mark.these_runs_meet_mark")
    return True, saying("mark.mark_met")


def without_odd(assembly: Assembly, readings: tuple[Reading, ...], odd: tuple[int, ...]) -> Said:
    """Say what the mark would be without single runs that their repeats contradict.

    Parameters
    ----------
    assembly : Assembly
    readings : tuple of Reading
    odd : tuple of int
        Those runs.

    Returns
    -------
    Said
        A sentence; empty where none of them is the least that counts. The mark itself is not
        changed by it: a run that was spoilt is to be repeated.
    """
    mark = against_mark(assembly, readings)
    kept = tuple(reading for index, reading in enumerate(readings) if index not in odd)
    if not mark.counting or mark.least not in odd or not kept:
        return ""
    rest = against_mark(assembly, kept)
    if not rest.counting:
        return ""
    return saying(
        "mark.without_runs" if len(set(odd)) > 1 else "mark.without_run",
        names=tuple(readings[index].name for index in sorted(set(odd))),
        rest=rest.words,
    )


def _at_start(assembly: Assembly, readings: tuple[Reading, ...]) -> FloatArray:
    """Give the fuel in each tank (run, tank) [m3] where a run or stretch begins."""
    settings = tuple(reading.setting for reading in readings)
    if not any(setting.drawn_before for setting in settings):
        return np.array([setting.quantities for setting in settings])
    model = run_model(assembly, settings)
    begin: FloatArray = model.quantities[model.which, 0]
    return begin


def _spoilt(
    assembly: Assembly, needed: tuple[NeededRun, ...], reading: Reading, quantities: FloatArray
) -> Said:
    """Say why a run does not count for the mark; empty if it does."""
    setting = reading.setting
    judged = {position.name for position in assembly.positions if position.judged}
    if setting.position not in judged:
        return saying("mark.selector_position_not_meant")
    here = [run for run in needed if run.setting.position == setting.position]
    if not any(run.low <= setting.pitch <= run.high for run in here):
        return saying("mark.not_made_test_attitude")
    if abs(setting.roll) > ATTITUDE:
        return saying("mark.wings_were_not_level")
    if setting.end_height < -LOWER_END:
        return saying("mark.line_end_hung_below")
    test = fuel_states(assembly)[0].quantity
    if any(q > t + 3 * QUANTITY for q, t in zip(quantities, test, strict=True) if t > 0):
        return saying("mark.more_fuel_than_test")
    return ""


def _missing(
    assembly: Assembly, needed: tuple[NeededRun, ...], counting: list[Reading], begin: FloatArray
) -> list[Said]:
    """Say which runs were not made, or not often enough; ``begin`` (run, tank) [m3]."""
    words: list[Said] = []
    for run in needed:
        # A drain-down is one run, however many stretches of it count.
        made = {
            reading.drain or (reading.name, reading.line)
            for reading, quantities in zip(counting, begin, strict=False)
            if run.counts(reading.setting, quantities)
        }
        where = saying("mark.system")
        if assembly.system.selectors:
            where = saying("mark.selector", position=run.setting.position)
        if not made:
            words.append(saying("mark.not_tested", where=where, run=run.words))
        elif len(made) < REPEATS:
            times = saying("mark.once")
            if len(made) > 1:
                times = saying("mark.times", count=len(made))
            words.append(
                saying("mark.run", where=where, times=times, run=run.words, repeats=REPEATS)
            )
    return words
