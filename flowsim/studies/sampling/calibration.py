"""A fuel system as a ground test corrected it: nominal values and draws from then on."""

from dataclasses import replace

import numpy as np

from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly, assemble
from flowsim.physics.arrays import FloatArray
from flowsim.studies.sampling.causes import Uncertain, uncertain_inputs
from flowsim.studies.sampling.draws import draws_from
from flowsim.studies.sampling.scores import share_of
from flowsim.system.calibration import Calibration, PartFactors
from flowsim.system.fuel_system import FuelSystem

ROUNDING = 1e-3
"""[-] How far stored directions may be from orthonormal: they are written with a few digits."""


def inputs_on_ground(assembly: Assembly) -> tuple[Uncertain, ...]:
    """List the uncertain inputs that a test on the ground can say anything about: all but vents."""
    return tuple(item for item in uncertain_inputs(assembly) if not item.of_vent)


def with_scores(assembly: Assembly, keys: tuple[str, ...], scores: FloatArray) -> FloatArray:
    """Give the shares (draw, input) of every uncertain input where some have ``scores``.

    Parameters
    ----------
    assembly : Assembly
    keys : tuple of str
        Of the inputs that have scores; the others are put at their middle.
    scores : FloatArray (draw, key)

    Returns
    -------
    FloatArray (draw, input)
        For ``draws_from``.
    """
    column = {key: index for index, key in enumerate(keys)}
    inputs = uncertain_inputs(assembly)
    shares = np.full((len(scores), len(inputs)), 0.5)
    for index, item in enumerate(inputs):
        if item.key in column:
            shares[:, index] = share_of(scores[:, column[item.key]])
    return shares


def calibrated(
    system: FuelSystem,
    keys: tuple[str, ...],
    scores: FloatArray,
    learned: FloatArray,
    directions: FloatArray,
    source: str,
    centre: FloatArray | None = None,
) -> FuelSystem:
    """Give a system with the scores of a ground test as its nominal values and its spread.

    Parameters
    ----------
    system : FuelSystem
        As it was before the test.
    keys : tuple of str
        Uncertain inputs of the system.
    scores : FloatArray (key,)
    learned : FloatArray (direction,)
        Shares of variance taken away, each from 0 to below 1.
    directions : FloatArray (direction, key)
        Orthonormal rows.
    source : str
        Which test.
    centre : FloatArray (key,), optional
        Scores about which draws are made; ``scores`` if not given.

    Returns
    -------
    FuelSystem

    Raises
    ------
    DomainError
        When the system was calibrated before, a key is not one of its inputs, or the directions are
        not orthonormal.
    """
    if system.calibration is not None:
        raise DomainError("the case is calibrated already; fit the case as it was before the test")
    assembly = assemble(system)
    known = {item.key for item in inputs_on_ground(assembly)}
    for key in keys:
        if key not in known:
            raise DomainError(f'"{key}" is no uncertain input of the case; fit the test again')
    _check(scores, learned, directions)
    middle = draws_from(assembly, with_scores(assembly, keys, scores[None, :]))
    network, factors = assembly.network, middle.factors
    column_of = {int(part): column for column, part in enumerate(network.pipes.part)}
    parts = {
        placed.key: PartFactors(
            key=placed.key,
            loss=float(factors.loss[0, index]),
            laminar=float(factors.laminar[0, index]),
            bore=float(factors.bore[0, column_of[index]]) if index in column_of else 1.0,
        )
        for index, placed in enumerate(network.placed)
    }
    calibration = Calibration(
        keys=keys,
        scores=tuple(float(value) for value in scores),
        learned=tuple(float(value) for value in learned),
        directions=tuple(tuple(float(value) for value in row) for row in directions),
        parts=tuple(parts.values()),
        friction=float(factors.friction[0]),
        viscosity=float(middle.viscosity[0]),
        height=float(middle.height[0]),
        source=source,
        centre=() if centre is None else tuple(float(value) for value in centre),
    )
    return replace(system, calibration=calibration)


def _check(scores: FloatArray, learned: FloatArray, directions: FloatArray) -> None:
    if directions.shape != (len(learned), len(scores)):
        raise DomainError(
            f"{len(learned)} directions of {len(scores)} inputs are needed, not {directions.shape}"
        )
    if not ((learned >= 0.0) & (learned < 1.0)).all():
        raise DomainError("shares of variance taken away must lie from 0 to below 1")
    misfit = np.abs(directions @ directions.T - np.eye(len(learned))).max(initial=0.0)
    if not (np.isfinite(scores).all() and misfit <= ROUNDING):
        raise DomainError("the directions are not orthonormal; fit the test again")
