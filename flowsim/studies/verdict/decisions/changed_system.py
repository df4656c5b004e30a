"""Judging what a case becomes when something in it is changed: its flows, with the same draws."""

import numpy as np

from flowsim.network.assembly import Assembly, assemble
from flowsim.studies.joint.study import joint_result
from flowsim.studies.judged.scenarios import CLIMB
from flowsim.studies.judged.sweep import sweep_of
from flowsim.studies.result import ResultLine
from flowsim.studies.sampling.causes import uncertain_inputs
from flowsim.studies.sampling.draws import Draws, draws_from
from flowsim.studies.verdict.decisions.evidence import Evidence
from flowsim.studies.verdict.judging import judge_lines
from flowsim.system.fuel_system import FuelSystem

SEED = 7
"""Any fixed number: inputs that only the changed system has are drawn with it."""


def lines_of_changed(evidence: Evidence, changed: FuelSystem) -> tuple[ResultLine, ...]:
    """Judge the flows for take-off and climb of a changed system.

    Parameters
    ----------
    evidence : Evidence
        Of the system as stated.
    changed : FuelSystem
        The same tanks, selectors and flight; other parts or shapes.

    Returns
    -------
    tuple of ResultLine
        On the judged scenarios of the evidence; what is uncertain in both is drawn alike, so that
        they differ by the change alone.
    """
    assembly = assemble(changed)
    whole = evidence.swept.table
    table = whole.take(np.flatnonzero(whole.purpose == CLIMB))
    swept = sweep_of(assembly, table)
    joint = None
    if evidence.joint is not None:
        joint = joint_result(swept, same_draws(assembly, evidence.joint.draws))
    return judge_lines(swept, joint)


def same_draws(assembly: Assembly, draws: Draws) -> Draws:
    """Give the draws of another system, alike in all inputs that both have.

    Parameters
    ----------
    assembly : Assembly
        Of the other system.
    draws : Draws

    Returns
    -------
    Draws
        As many. An input that is new takes a slice of its own in each draw, in an order of its own.
    """
    column = {item.key: draws.values[:, index] for index, item in enumerate(draws.inputs)}
    generator = np.random.default_rng(SEED)
    middles = (np.arange(draws.count) + 0.5) / draws.count
    return draws_from(
        assembly,
        np.column_stack(
            [
                column[item.key] if item.key in column else generator.permutation(middles)
                for item in uncertain_inputs(assembly)
            ]
        ),
    )
