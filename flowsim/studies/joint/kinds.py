"""Which judged scenarios are of one family, of one liquid, of one state of the screens."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.studies.joint.drawn import ram_columns
from flowsim.studies.judged.sweep import Sweep


@dataclass(frozen=True, slots=True, kw_only=True)
class Kinds:
    """Of each judged scenario (judged scenario,) the family and the liquid.

    ``variant`` is the liquid with the state of the screens, ``ram`` [m] the dynamic pressure as a
    column of the liquid.
    """

    family: IntArray
    liquid: IntArray
    variant: IntArray
    ram: FloatArray


def kinds_of(sweep: Sweep) -> Kinds:
    """Give each judged scenario of a sweep the numbers of its kinds.

    Scenarios of a family differ in heights (pitch and quantities), speed, liquid and screens alone.

    Parameters
    ----------
    sweep : Sweep

    Returns
    -------
    Kinds
    """
    rows = sweep.judged_rows
    conditions = sweep.situation.conditions
    clear = np.nan_to_num(conditions.screen_clear[rows, None], nan=-1.0)
    liquid = conditions.kinematic_viscosity[rows, None], conditions.density[rows, None]
    family = _numbered(
        conditions.allowed[rows],
        sweep.situation.uncovered[rows],
        np.sign(sweep.trapped.held_head),
        sweep.table.scenarios.end[rows, None],
        sweep.table.required[rows, None],
    )
    return Kinds(
        family=family,
        liquid=_numbered(*liquid),
        variant=_numbered(*liquid, clear),
        ram=ram_columns(sweep, rows),
    )


def _numbered(*columns: npt.NDArray[np.generic]) -> IntArray:
    """Give a number to each distinct row of some arrays (n, any) side by side (n,)."""
    table = np.concatenate(columns, axis=1, dtype=np.float64, casting="unsafe") + 0.0
    table = np.ascontiguousarray(table)
    words = table.view(np.dtype((np.void, table.dtype.itemsize * table.shape[1])))
    _, number = np.unique(words.ravel(), return_inverse=True)
    return number
