"""Outlets of which it is not certain whether fuel covers them: both states are judged.

The published onset of a dip holds for a still tank; swirl and slosh make it one to five times as
deep, and the heights of surface and outlet are known to their deviation alone. Within that band an
outlet may feed or draw air. Every judged scenario in which that is so gets twins in which the
doubtful outlets are taken the other way; they are judged like any other scenario, so that the worse
state counts, in every study.
"""

from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.scenarios import BARE, BY_HEIGHT, COVERED, Situation
from flowsim.physics.air.dips import critical_dip
from flowsim.physics.arrays import FloatArray
from flowsim.physics.attitude import pull_of
from flowsim.studies.judged.blocks import ScenarioTable
from flowsim.studies.judged.fuel_states import fed_tanks

DIP_LEAST, DIP_MOST = 1.0, 5.0
"""[-] Times the critical dip, still to swirling and sloshing fuel. Tag: estimate."""
DEVIATIONS = 2.0
"""[-] So many deviations of the difference of two heights count as doubt. Tag: common practice."""
MOST_COMBINED = 4
"""So many doubtful outlets of one scenario are combined in every way; of more, all covered, all
bare, and each single one the other way."""

CoverStates = npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True, kw_only=True)
class Doubt:
    """Depths [m] over the outlets (scenario, outlet).

    ``depth`` of fuel over each outlet; below ``bare`` it is surely uncovered, from ``sure`` up
    surely covered.
    """

    depth: FloatArray
    bare: FloatArray
    sure: FloatArray

    @property
    def doubtful(self) -> npt.NDArray[np.bool_]:
        """Tell which outlets may be covered or bare (scenario, outlet)."""
        found: npt.NDArray[np.bool_] = (self.depth >= self.bare) & (self.depth < self.sure)
        return found


def cover_doubt(assembly: Assembly, situation: Situation) -> Doubt:
    """Give the depth over every outlet and the band in which its cover is not certain.

    Parameters
    ----------
    assembly : Assembly
    situation : Situation

    Returns
    -------
    Doubt
        NaN depths (a quantity beyond the tank) are in no doubt: they are not solved at all.

    References
    ----------
    Dip: ``flowsim.physics.air.dips.critical_dip``. The factors and the two deviations: estimate.
    """
    tanks = [tank for _, tank, _ in assembly.outlets]
    nodes = [node for node, _, _ in assembly.outlets]
    depth = situation.surface[:, tanks] - situation.elevation[:, nodes]
    out = situation.scenarios.dip_flow / situation.density
    dip = critical_dip(out, pull_of(situation.scenarios.gravity))[:, None]
    bare, sure = doubt_ends(dip, assembly.system.height_deviation)
    # An empty tank has no surface over its outlet, however its height was measured.
    empty = situation.scenarios.quantity[:, tanks] <= 0.0
    return Doubt(depth=depth, bare=bare, sure=np.where(empty, -np.inf, sure))


def doubt_ends(dip: FloatArray, deviation: float) -> tuple[FloatArray, FloatArray]:
    """Give the depths between which it is not certain whether an outlet is covered.

    Parameters
    ----------
    dip : FloatArray, any shape
        [m] Critical dip of a still tank.
    deviation : float
        [m] One standard deviation of a stated height.

    Returns
    -------
    tuple of FloatArray
        [m] Below the first it is surely bare, from the second up surely covered.
    """
    # Surface and outlet are two heights, each with its own deviation.
    height = DEVIATIONS * np.sqrt(2.0) * deviation
    return DIP_LEAST * dip - height, DIP_MOST * dip + height


def doubtful_twins(
    assembly: Assembly, table: ScenarioTable, situation: Situation
) -> ScenarioTable | None:
    """Give the twins of the judged scenarios, doubtful outlets taken the other way.

    Parameters
    ----------
    assembly : Assembly
    table : ScenarioTable
    situation : Situation
        Of the table's scenarios.

    Returns
    -------
    ScenarioTable or None
        None where no outlet of any judged scenario is in doubt.
    """
    doubtful = cover_doubt(assembly, situation).doubtful & _in_use(assembly, table)
    doubtful &= table.judged[:, None]
    bare = situation.uncovered
    some = np.flatnonzero(doubtful.any(axis=1))
    if not len(some):
        return None
    patterns, which = np.unique(
        np.hstack([doubtful[some], bare[some]]), axis=0, return_inverse=True
    )
    ways = [np.array(_other_ways(*np.split(pattern, 2))) for pattern in patterns]
    kinds = which.reshape(-1)
    grown = table.take(np.repeat(some, [len(ways[kind]) for kind in kinds]))
    forced_all = np.concatenate([ways[kind] for kind in kinds])
    return replace(grown, scenarios=replace(grown.scenarios, cover_state=forced_all))


def _in_use(assembly: Assembly, table: ScenarioTable) -> npt.NDArray[np.bool_]:
    """Outlets of the tanks that each scenario's position joins to the engine (scenario, outlet)."""
    fed = [fed_tanks(assembly, position) for position in range(len(assembly.positions))]
    tanks = [tank for _, tank, _ in assembly.outlets]
    joined = np.array([[tank in some for tank in tanks] for some in fed], dtype=bool)
    used: npt.NDArray[np.bool_] = joined[table.scenarios.position]
    return used


def _other_ways(doubtful: npt.NDArray[np.bool_], bare: npt.NDArray[np.bool_]) -> list[CoverStates]:
    """Cover states (outlet,) of a scenario's twins: every one but that which heights give."""
    which = np.flatnonzero(doubtful)
    usual = np.where(bare[which], BARE, COVERED)
    if len(which) <= MOST_COMBINED:
        found = [np.array(way) for way in product((COVERED, BARE), repeat=len(which))]
    else:
        found = [np.full(len(which), COVERED), np.full(len(which), BARE)]
        for number in range(len(which)):
            for one, rest in ((BARE, COVERED), (COVERED, BARE)):
                way = np.full(len(which), rest)
                way[number] = one
                found.append(way)
    ways = []
    for way in found:
        if (way != usual).any():
            state = np.full(len(doubtful), BY_HEIGHT, dtype=np.int8)
            state[which] = way
            ways.append(state)
    return ways
