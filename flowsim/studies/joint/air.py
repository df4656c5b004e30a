"""Proof that no air is drawn in scenarios whose flow was tried; see ``joint_proof``.

The rule of air itself is not repeated here: the tried flows and the heads that go with them are
handed to ``standing_columns``.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from flowsim.network.scenarios import Situation
from flowsim.network.solver import Solution
from flowsim.network.standing import standing_columns
from flowsim.physics.arrays import BoolArray, FloatArray, IntArray
from flowsim.studies.delivery.deliver import repeated
from flowsim.studies.joint.drawn import drawn_situation, ram_columns
from flowsim.studies.joint.trial import Trial, Ways
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws

LEVEL = 1e-9
"""[m] Surfaces this close are level."""
NEAR_AIR = 0.05
"""[m] Columns less than twice this, and twice what heights are drawn by, are near drawing air."""
MOST_IDLE = 3
"""Lines that may stand still, above which all that may happen is not gone through."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Heights:
    """What scenarios of a family differ in.

    ``rows`` (n,) of the sweep's table; ``head`` (n, leaf) [m] at the outlets, without the air's
    pressure, less what humps hold back on the way; ``held`` (n, link) [m] head that air in humps
    holds back from flow to the inlet.
    """

    rows: IntArray
    head: FloatArray
    held: FloatArray

    def take(self, chosen: IntArray) -> "Heights":
        """Give some of the scenarios."""
        return Heights(rows=self.rows[chosen], head=self.head[chosen], held=self.held[chosen])


def least_columns(
    sweep: Sweep,
    draws: Draws,
    ways: Ways,
    trials: Sequence[Trial],
    heights: Heights,
    *,
    each_draw: bool,
) -> FloatArray:
    """Give the least fuel that stands over the junction of an uncovered leg.

    Parameters
    ----------
    sweep : Sweep
    draws : Draws
    ways : Ways
    trials : sequence of Trial
        What is tried in them, of every liquid and state of the screens among them.
    heights : Heights
        Of scenarios of one family.
    each_draw : bool
        Of all scenarios in each draw, else of all draws in each scenario.

    Returns
    -------
    FloatArray (1, draw) or (n, 1)
        [m], or less: a lower bound. Infinite without such a leg; NaN where nothing can be shown.
    """
    tree = ways.tree
    possible = _carrying(sweep, ways, runs_in=_near_air(sweep, draws, heights.rows))
    if not possible:
        return np.full((1 if each_draw else len(heights.rows), 1), np.nan)
    within: BoolArray = np.ones((1, len(tree.leaf_link), 1), dtype=bool)
    for trial in trials:
        shown = _within_shares(ways, trial, heights.head, each_draw=each_draw)
        level = _out_of_reach(ways, trial, heights)
        if each_draw:
            level = np.asarray(level.all(axis=0, keepdims=True))
        within = np.asarray(within & (shown | level[:, :, None]))
    stands = np.full((1, 1), np.inf)
    flowing = _flowing(sweep, draws, ways, trials, heights)
    for carries in possible:
        columns = flowing.columns(sweep, carries)
        for leaf in range(len(tree.leaf_link)):
            found = _over_junction(
                sweep, ways, carries, columns, leaf, heights, within, each_draw=each_draw
            )
            stands = np.minimum(stands, found)
    return stands


def _over_junction(
    sweep: Sweep,
    ways: Ways,
    carries: BoolArray,
    columns: FloatArray,
    leaf: int,
    heights: Heights,
    within: BoolArray,
    *,
    each_draw: bool,
) -> FloatArray:
    """Least fuel [m] over the junction of one leg, from that of the first scenario."""
    tree, outlets, rows = ways.tree, sweep.assembly.outlets, heights.rows
    outlet = next(i for i, (node, _, _) in enumerate(outlets) if node == tree.leaf_node[leaf])
    column = columns[:, outlet]
    if np.isnan(column).all():
        return np.full((1, 1), np.inf)
    place = _meets_flow(sweep, ways, carries, leaf)
    junction = tree.nodes[place]
    asked = _asked(sweep, ways, int(junction))
    elevation = sweep.situation.elevation[rows, junction]
    kept = heights.held @ tree.below[place].astype(np.float64)
    # The head at the inlet follows the outlets that give, as long as no other takes fuel in.
    higher = heights.head - heights.head[0]
    binds = np.asarray(ways.binds.any(axis=1))[:, None]
    counts: BoolArray = np.asarray((ways.gives[:, None] | ~within) & binds)
    more = (kept - kept[0]) - (elevation - elevation[0])
    if each_draw:
        least = (higher + more[:, None]).min(axis=0)
        stands = column + np.where(counts[0], least[:, None], np.inf).min(axis=0)[None]
    else:
        rises = np.where(counts[:, :, 0], higher, np.inf).min(axis=1)
        stands = (column.min() + rises + more)[:, None]
    return np.where(within[:, asked].all(axis=1), stands, np.nan)


def _near_air(sweep: Sweep, draws: Draws, rows: IntArray) -> bool:
    """Tell whether a leg may be near drawing air in one of the scenarios ``rows``.

    Far from it, where fuel runs from tank to tank need not be looked at: a column as stated holds
    all that flows there, and is more than twice what the draws take off the heads.
    """
    margin = sweep.at_required.air_margin[np.searchsorted(sweep.judged_rows, rows)]
    return not bool((margin > 2.0 * (np.abs(draws.height).max() + NEAR_AIR)).all())


def _carrying(sweep: Sweep, ways: Ways, *, runs_in: bool) -> list[BoolArray]:
    """Give the lines (link,) that may carry fuel, to the inlet or into a tank, in every way.

    Among several outlets that give, a line through which fuel cannot run back may stand still: an
    uncovered leg behind it then meets flow farther down. Empty where there are too many of them.
    """
    tree, gives = ways.tree, ways.gives
    tank_of = {node: tank for node, tank, _ in sweep.assembly.outlets}
    tanks = np.array([tank_of[int(node)] for node in tree.leaf_node])
    one_way = ways.one_way & tree.path[gives].any(axis=0) & ~ways.carries_all
    idle = np.flatnonzero(one_way)
    mixed = any(len(set(tanks[gives & tree.path[:, link]])) > 1 for link in idle)
    if not gives.any() or len(idle) > MOST_IDLE or mixed:
        return []
    found = []
    for count in range(len(idle) + 1):
        for still in combinations(idle.tolist(), count):
            moving = gives & ~tree.path[:, list(still)].any(axis=1)
            if moving.any():
                carries = np.asarray(tree.path[moving].any(axis=0))
                found.append(carries)
                into = (ways.towards != 0).any(axis=1) & ~tree.path[gives].any(axis=0)
                if runs_in and into.any():
                    # It may flow there too: a leg that meets it there stands over that, or it
                    # may not, and the leg stands over what flows farther down.
                    found.append(carries | into)
    return found


def _within_shares(ways: Ways, trial: Trial, head: FloatArray, *, each_draw: bool) -> BoolArray:
    """Tell whether each outlet gives between its least and its most.

    The head where an outlet's fuel is joined by another's lies between the least and the most that
    any outlet alone would leave there. (1, leaf, draw) or (n, leaf, 1), as in ``least_columns``.
    """
    shape = (1, head.shape[1], len(trial.volume)) if each_draw else (*head.shape, 1)
    good = np.ones(shape, dtype=bool)
    alone = ways.gives & (ways.gives.sum() == 1)
    asked = trial.volume > 0
    gains = [trial.gained(ram) for ram in trial.ram]
    for here in np.flatnonzero(~alone).tolist():
        apart = head[:, here, None] - head
        others = ways.gives & (np.arange(head.shape[1]) != here)
        if others.any() and not ways.keeps[here]:
            rises = trial.rises(here)[others]
            for gained in gains:
                rise = rises + gained[others] - gained[here]
                least = np.where(asked, rise + trial.least_cost[here], -np.inf)
                if each_draw:
                    good[:, here] &= (apart[:, others].min(axis=0)[:, None] >= least).all(axis=0)
                else:
                    enough = apart[:, others] >= least.max(axis=1)
                    good[:, here] &= enough.all(axis=1)[:, None]
        if ways.gives[here]:
            falls = trial.falls(here)
            for gained in gains:
                fall = falls + gained - gained[here]
                most = np.where(asked & ways.binds, fall + trial.most_cost[here], np.inf)
                if each_draw:
                    good[:, here] &= (apart.max(axis=0)[:, None] <= most).all(axis=0)
                else:
                    good[:, here] &= (apart <= most.min(axis=1)).all(axis=1)[:, None]
    return good


def _out_of_reach(ways: Ways, trial: Trial, heights: Heights) -> BoolArray:
    """Tell of outlets (n, leaf) that only take in whether no other's fuel can rise to them."""
    tree, gives = ways.tree, ways.gives
    head = heights.head + heights.held @ tree.path.T.astype(np.float64)
    good = np.repeat(~gives[None], len(head), axis=0)
    for here in np.flatnonzero(~gives):
        for other in np.flatnonzero(gives):
            if (tree.path[here] & ~tree.path[other] & ways.one_way).any():
                continue
            more = (trial.vent[other] - trial.vent[here]).max() * max(trial.ram)
            good[:, here] &= head[:, here] - head[:, other] >= max(more, 0.0) - LEVEL
    return good


@dataclass(frozen=True, slots=True, kw_only=True)
class _Flowing:
    """What is tried, as if solved, at the heights of the first scenario.

    ``situation`` of every draw, least ``heads`` (draw, node) [m] and greatest ``flow`` (link, draw)
    [m3/s] of the lines; ``volume`` (draw,) [m3/s] is what is asked for.
    """

    situation: Situation
    heads: FloatArray
    flow: FloatArray
    volume: FloatArray

    def columns(self, sweep: Sweep, carries: BoolArray) -> FloatArray:
        """Standing columns (draw, outlet) where fuel flows in some lines (link,) alone."""
        count = len(self.volume)
        yes, zero = np.ones(count, dtype=bool), np.zeros(count)
        made = Solution(
            flow=np.where(carries[:, None], self.flow, 0.0).T, head=self.heads,
            iterations=np.zeros(count, dtype=np.intp), residual=zero, imbalance=zero,
            converged=yes, supplied=yes,
        )  # fmt: skip
        columns = standing_columns(sweep.assembly, self.situation, made)
        columns[self.volume <= 0] = np.inf  # nothing is asked for in such a draw
        return columns


def _flowing(
    sweep: Sweep, draws: Draws, ways: Ways, trials: Sequence[Trial], heights: Heights
) -> _Flowing:
    tree, count, row = ways.tree, draws.count, int(heights.rows[0])
    base = repeated(sweep.situation, row, count)
    situation = drawn_situation(sweep.assembly, base, sweep.table, row, draws)
    behind = (heights.held[0] @ tree.below.T.astype(np.float64))[:, None]
    own_ram = float(ram_columns(sweep, heights.rows[:1])[0])
    tanks = [tank for _, tank, _ in sweep.assembly.outlets]
    vent = draws.vent[:, tanks].T
    least = np.full((len(tree.nodes), count), np.inf)
    volume = np.zeros(count)
    for trial in trials:
        for ram in trial.ram:
            # The air over each leg weighs otherwise at another speed, against another liquid.
            more = (vent * (ram - own_ram)).max(axis=0)
            least = np.minimum(least, trial.heads(heights.head[0], ram) + behind - more)
        volume = np.maximum(volume, trial.volume)
    heads = np.full(situation.elevation.shape, np.nan)
    heads[:, tree.nodes] = least.T
    flow = tree.sign[:, None] * ways.greatest_shares() * volume
    return _Flowing(situation=situation, heads=heads, flow=flow, volume=volume)


def _asked(sweep: Sweep, ways: Ways, junction: int) -> BoolArray:
    """Outlets (leaf,) whose bounds are needed for the flows in the lines that meet at a junction.

    A line that all outlets give through carries the whole, less what others take in.
    """
    network, tree = sweep.assembly.network, ways.tree
    touches = ((network.start == junction) | (network.end == junction)) & (tree.sign != 0)
    asked = np.zeros(len(tree.leaf_link), dtype=bool)
    for link in np.flatnonzero(touches):
        behind = tree.path[:, link]
        asked |= ~behind if ways.carries_all[link] else behind
    return asked


def _meets_flow(sweep: Sweep, ways: Ways, carries: BoolArray, leaf: int) -> int:
    """Give the place (in ``Tree.nodes``) of the first junction with flow below an outlet."""
    network, tree = sweep.assembly.network, ways.tree
    lengths = tree.below.sum(axis=1)
    for place in np.argsort(-lengths, kind="stable"):
        node = tree.nodes[place]
        if (tree.below[place] & ~tree.path[leaf]).any() or lengths[place] >= tree.path[leaf].sum():
            continue
        touches = (network.start == node) | (network.end == node)
        if (carries & touches).any():
            return int(place)
    raise AssertionError("a leg that stands over no flow has no column")
