"""What a flow costs in some scenarios, in every draw: the trial that a proof is made of."""

import numpy as np

from flowsim.network.tree import Tree
from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.studies.joint.drawn import ram_columns
from flowsim.studies.joint.losses import DrawnLiquid, DrawnLosses
from flowsim.studies.joint.trial import Trial, Ways
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws


class TrialMaker:
    """Works out trials in given draws; see ``Trial``."""

    def __init__(self, sweep: Sweep, draws: Draws) -> None:
        self.sweep, self.draws = sweep, draws
        self._losses = DrawnLosses(sweep, draws)

    def bound(self, rows: IntArray, ways: Ways, target: FloatArray) -> Trial | None:
        """Work out what the least flow of each draw costs at most in any of some scenarios.

        None where that cannot be said: see ``DrawnLosses.bounds``.
        """
        most, least = self._losses.bounds(rows)
        if most is None or least is None:
            return None
        tree, draws = ways.tree, self.draws
        asked = np.maximum(target, 0.0) * self.sweep.table.required[rows[0]]
        row = int(rows[0])
        volume = asked / most.density
        cost, end_cost = self._towards(row, most, ways, ways.towards, asked)
        low_cost = cost
        bare = bool(self.sweep.situation.uncovered[row].any())
        if most is not least and (bare or (ways.towards < 0).any()):
            # Where fuel runs back, what costs least to the inlet is what hinders it least.
            thin = self._towards(row, least, ways, ways.towards, asked)[0]
            cost, low_cost = np.maximum(cost, thin), np.minimum(cost, thin)
        way_costs = (np.zeros((len(tree.leaf_link), 1)),) * 2
        if bare:
            way_costs = self._way_costs(row, most, least, ways, asked)
        ram = ram_columns(self.sweep, rows)
        return Trial(
            ways=ways,
            volume=volume,
            cost=cost,
            low_cost=low_cost,
            most_cost=way_costs[0],
            least_cost=way_costs[1],
            end_cost=end_cost,
            height=draws.height,
            vent=draws.vent[:, self.tanks(tree)].T,
            ram=tuple(np.unique([ram.min(), ram.max()]).tolist()),
            is_bound=most.is_bound,
            ignored=target < 0.0,
        )

    def _way_costs(
        self, row: int, most: DrawnLiquid, least: DrawnLiquid, ways: Ways, asked: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Cost (leaf, draw) on each outlet's own way, of all liquids between two.

        The least at its most share, and the most at its least share.
        """
        way = ways.own_way.astype(np.float64)
        found = []
        for share, pick in zip(ways.outlet_shares(), (np.minimum, np.maximum), strict=True):
            if ways.gives.sum() <= 1 and (share == ways.gives[:, None]).all():
                found.append(np.zeros((len(way), 1)))
                continue
            shares = way.T @ share
            # A loss in a line in which fuel runs back counts the other way round.
            forward, back = (least, most) if pick is np.minimum else (most, least)
            liquids = [forward] if (shares >= 0).all() else [back]
            if most is not least and (shares > 0).any() and (shares < 0).any():
                liquids = [most, least]
            costs = [self._towards(row, one, ways, shares, asked)[0] for one in liquids]
            found.append(way @ (costs[0] if len(costs) == 1 else pick(*costs)))
        return found[0], found[1]

    def _towards(
        self, row: int, liquid: DrawnLiquid, ways: Ways, shares: FloatArray, asked: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        end = self._losses.end_link(row)
        return self._losses.towards(liquid, end, ways.tree, shares, asked / liquid.density)

    def tanks(self, tree: Tree) -> list[int]:
        """Give the tank of each of a tree's outlets (leaf,)."""
        tank_of = {node: tank for node, tank, _ in self.sweep.assembly.outlets}
        return [tank_of[int(node)] for node in tree.leaf_node]
