"""A judgement in two steps, for whoever waits: first the flows, then the band and the verdict.

Both are made by what ``check`` is made of, so that they cannot differ from it.
"""

from dataclasses import dataclass

from flowsim.progress import Progress
from flowsim.studies.adequacy.brief import judge_swept
from flowsim.studies.adequacy.study import DRAWS, SEED, explained
from flowsim.studies.judged.sweep import Sweep, sweep
from flowsim.studies.result import AdequacyResult
from flowsim.studies.verdict.judging import judge_lines
from flowsim.system.fuel_system import FuelSystem


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveFlows:
    """The sweep on single values. ``result`` holds flows and losses; its verdict is none.

    No band was worked out and nothing beside the flows was decided: whoever shows it must not show
    its verdict.
    """

    swept: Sweep
    result: AdequacyResult


def flows(system: FuelSystem) -> LiveFlows:
    """Work out every flow on single values.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    LiveFlows
    """
    swept = sweep(system)
    lines = judge_lines(swept, None)
    # When the fuel boils is told with the verdict.
    first = explained(swept, None, lines, (), draws=0, seed=SEED, boiling=False)
    return LiveFlows(swept=swept, result=first)


def verdict(
    first: LiveFlows, *, draws: int = DRAWS, seed: int = SEED, progress: Progress | None = None
) -> AdequacyResult:
    """Work out the band and the verdict on what was swept.

    Parameters
    ----------
    first : LiveFlows
    draws, seed : int
        As in a check.
    progress : callable, optional
        Called between the scenarios that are drawn; what it raises ends the work.

    Returns
    -------
    AdequacyResult
        The one that ``check`` gives with the same draws and seed.
    """
    swept = first.swept
    brief = judge_swept(swept, nominal=False, draws=draws, seed=seed, progress=progress)
    return explained(swept, brief.joint, brief.lines, brief.decisions, draws=draws, seed=seed)
