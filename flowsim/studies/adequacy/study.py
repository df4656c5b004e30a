"""The main job: does gravity deliver the required flow everywhere that it must."""

import math

from flowsim.network.assembly import assemble
from flowsim.network.scenarios import situate
from flowsim.network.solver import solve
from flowsim.physics.fuel.properties import density
from flowsim.progress import Progress
from flowsim.studies.adequacy.brief import judge_swept
from flowsim.studies.adequacy.loss_paths import loss_paths_of
from flowsim.studies.adequacy.one_scenario import scenarios_of
from flowsim.studies.adequacy.scenario_results import scenario_results
from flowsim.studies.joint.study import JointResult
from flowsim.studies.judged.sweep import Sweep, sweep
from flowsim.studies.result import (
    AdequacyResult,
    Decision,
    LossPath,
    Requirement,
    ResultLine,
    ScenarioResult,
)
from flowsim.studies.review.remarks import assumptions, cautions
from flowsim.studies.review.unmeasured import not_measured_of, unmeasured_things, words_of
from flowsim.studies.sampling.draws import SEED as SEED
from flowsim.studies.saying import Said
from flowsim.studies.verdict.hot_fuel import hot_fuel
from flowsim.studies.verdict.overall import overall
from flowsim.system.fuel_system import FuelSystem

DRAWS = 2048
REFERENCE_TEMPERATURE = 288.15
"""[K] 15 degC, at which volumes of the requirement are shown."""


def judge(
    system: FuelSystem,
    *,
    nominal: bool = False,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress | None = None,
) -> AdequacyResult:
    """Sweep, judge and explain a fuel system.

    Parameters
    ----------
    system : FuelSystem
    nominal : bool
        Judge on single values instead of the band.
    draws : int
        Joint draws at the scenarios that can decide.
    seed : int
    progress : callable, optional
        Called with a word, how many are done, and how many there are.

    Returns
    -------
    AdequacyResult
    """
    if progress is not None:
        progress("sweeping attitudes", 0, 1)
    swept = sweep(system)
    brief = judge_swept(swept, nominal=nominal, draws=draws, seed=seed, progress=progress)
    return explained(
        swept, brief.joint, brief.lines, brief.decisions, draws=0 if nominal else draws, seed=seed
    )


def explained(
    swept: Sweep,
    joint: JointResult | None,
    lines: tuple[ResultLine, ...],
    decisions: tuple[Decision, ...],
    *,
    draws: int,
    seed: int,
    boiling: bool = True,
) -> AdequacyResult:
    """Put what was swept, drawn and decided into one answer.

    Parameters
    ----------
    swept : Sweep
    joint : JointResult or None
        None where it is judged on single values.
    lines : tuple of ResultLine
    decisions : tuple of Decision
    draws, seed : int
        As in a check; 0 draws for single values.
    boiling : bool
        Whether to find the temperature at which the fuel boils.

    Returns
    -------
    AdequacyResult
    """
    system = swept.assembly.system
    hot = hot_fuel(swept) if boiling else None
    decisions = decisions if hot is None else hot.beside(decisions)
    verdict = overall(swept, joint, lines, decisions)
    scenarios = scenario_results(swept, joint)
    deciding = verdict.deciding
    losses = loss_paths_of(swept.assembly, swept.situation, swept.delivery.solution, deciding)
    unmeasured = unmeasured_things(swept.assembly, losses)
    flight = system.flight
    return AdequacyResult(
        title=system.title,
        requirement=requirement_of(system),
        verdict=verdict.verdict,
        verdict_words=verdict.words,
        reasons=verdict.reasons,
        deciding=deciding,
        lines=lines,
        decisions=decisions,
        scenarios=scenarios,
        losses=losses,
        costliest=costliest(losses),
        contributions=verdict.contributions,
        settle=verdict.settle,
        assumptions=(*(words_of(item) for item in unmeasured), *assumptions(system)),
        unmeasured=unmeasured,
        not_measured=not_measured_of(system, unmeasured, losses),
        boils_from=hot.boils_from if hot and math.isfinite(hot.boils_from) else None,
        cautions=cautions(swept),
        draws=draws,
        seed=seed,
        test_pitch=flight.climb_pitch + flight.test_margin,
        level_pitch=flight.level_pitch,
        climb_pitch=flight.climb_pitch,
    )


def costliest(losses: tuple[LossPath, ...], count: int = 3) -> tuple[Said, ...]:
    """Name the parts that cost most head on any of the paths, dearest first."""
    dearest: dict[Said, float] = {}
    for path in losses:
        for row in path.rows:
            name = row.part_of_line
            dearest[name] = max(dearest.get(name, 0.0), row.loss)
    return tuple(sorted(dearest, key=lambda name: -dearest[name])[:count])


def loss_paths(system: FuelSystem, scenario: ScenarioResult) -> tuple[LossPath, ...]:
    """Work out the losses along every flowing way in one scenario of a result.

    Parameters
    ----------
    system : FuelSystem
    scenario : ScenarioResult
        Of a result of the same system.

    Returns
    -------
    tuple of LossPath
    """
    assembly = assemble(system)
    situation = situate(assembly, scenarios_of(assembly, scenario))
    solution = solve(assembly.network, situation.conditions)
    return loss_paths_of(assembly, situation, solution, 0)


def requirement_of(system: FuelSystem) -> Requirement:
    """Give the required flow of a system with its working."""
    engine = system.engine
    reference = float(density(system.fuel, REFERENCE_TEMPERATURE))
    return Requirement(
        burn=engine.burn,
        factor=engine.factor,
        required=engine.burn * engine.factor,
        density=reference,
        basis=engine.basis,
    )
