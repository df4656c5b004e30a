"""Proof that a scenario cannot be the least in any draw, without solving it.

Theory: docs/theory/uncertainty.md, "What is not drawn, and why". In each draw the flow that the
least scenario gave is tried in the other: spread over its lines about as on nominal values, it
costs a known head. Where the head that is there covers that in every draw, and no air is drawn at
it, the scenario gives at least as much. What cannot be shown so is drawn.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.scenarios import CARBURETTOR
from flowsim.network.solver import solve
from flowsim.network.tree import Tree, feeding_tree
from flowsim.physics.arrays import BoolArray, FloatArray, IntArray
from flowsim.studies.delivery.deliver import ONSET_COLUMN, take, with_demand
from flowsim.studies.delivery.trapped_air import with_held_head
from flowsim.studies.joint.air import Heights, least_columns
from flowsim.studies.joint.drawn import Least, drawn_situation, ram_columns
from flowsim.studies.joint.losses import DrawnLiquid, DrawnLosses
from flowsim.studies.joint.trial import Trial, Ways
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws

SHARES = 64
"""Flows of the trial are spread over the lines in steps of one part in so many of the whole."""
NOTHING = 1e-9
"""[-] A least ratio that is no more than rounding."""
TRICKLE = 1e-2
"""[-] Of what is required."""
SHORT = 1e3
"""[m] Puts scenarios that want for head behind all that want for fuel over a junction."""
HEAD_TOLERANCE = 1e-9
"""[m] Head that may be missing: rounding, far below what a flow is solved to."""


class Proof:
    """Shows for judged scenarios of a sweep that they cannot be the least in given draws.

    ``family`` (judged scenario,): scenarios of a family differ in heights (pitch and quantities),
    speed, liquid and screens alone.
    """

    def __init__(self, sweep: Sweep, draws: Draws, of: "Proof | None" = None) -> None:
        self.sweep, self.draws = sweep, draws
        self._losses = DrawnLosses(sweep, draws)
        self._trees: dict[bytes, Tree | None] = {} if of is None else of._trees
        self._kinds: _Kinds = _kinds(sweep) if of is None else of._kinds
        self.family = self._kinds.family

    def part(self, draws: IntArray) -> "Proof":
        """Give the same for some of the draws."""
        if len(draws) == self.draws.count:
            return self
        return Proof(self.sweep, self.draws.take(draws), self)

    def open_draws(self, judged: IntArray, asked: Least) -> BoolArray:
        """Tell in which draws scenarios may give less than is asked, as far as is shown at once.

        Parameters
        ----------
        judged : (n,)
            Judged scenarios, by their number among the judged, of one family.
        asked : Least
            What they have to give in each draw.

        Returns
        -------
        (draw,)
            False where each of them gives as much, air in the humps or not. Shown for all their
            liquids and screens together, by the dearest; for a single one by its own, with the flow
            spread as on nominal values and then as in each draw.
        """
        found = np.zeros(self.draws.count, dtype=bool)
        for least, trapped in self._asked(judged, asked):
            left = np.ones(self.draws.count, dtype=bool)
            held, target = self._held(judged, trapped), _target(least)
            for shares in (self._nominal_shares, self._solved_shares):
                ways = shares(int(judged[0]), held[0], target)
                if ways is None:
                    break
                rows = self.sweep.judged_rows[judged]
                single = len(rows) == 1
                trial = (
                    self._trial(rows, ways, target) if single else self._bound(rows, ways, target)
                )
                if trial is not None:
                    kind = np.zeros(len(rows))
                    spare = self._spare(judged, held, ways, {0: trial}, kind, each_draw=True)
                    left &= ~(spare[0] >= 0.0)
                if not (single and left.any() and ways.gives.sum() > 1):
                    break
            found |= left
        return found

    def spare(self, judged: IntArray, asked: Least) -> FloatArray:
        """Give what scenarios have to spare while they give what is asked, each in its own liquid.

        Parameters
        ----------
        judged : (n,)
            Judged scenarios, by their number among the judged, of one family.
        asked : Least

        Returns
        -------
        FloatArray (n,)
            [m] Head, or fuel over a junction, in all draws; a lower bound. Not below zero: they
            give it, air in the humps or not. Scenarios without enough head rank below those in
            which air may be drawn.
        """
        over = np.full(len(judged), np.inf)
        for least, trapped in self._asked(judged, asked):
            some = np.flatnonzero(over >= 0.0)
            if len(some):
                held = self._held(judged[some], trapped)
                over[some] = self._one_by_one(judged[some], held, _target(least))
        return over

    def _asked(self, judged: IntArray, asked: Least) -> tuple[tuple[FloatArray, bool], ...]:
        """Give what must be reached, and whether with air in the humps."""
        if self.sweep.trapped.held[judged[0]] <= 0:  # one flow for both
            return ((np.maximum(asked.full, asked.trapped), False),)
        return (asked.full, False), (asked.trapped, True)

    def _held(self, judged: IntArray, trapped: bool) -> FloatArray:
        return self.sweep.trapped.held_head[judged] * float(trapped)

    def _one_by_one(self, judged: IntArray, held: FloatArray, target: FloatArray) -> FloatArray:
        """Give what scenarios (n,) have to spare, each in its own liquid.

        With the flow spread as on nominal values, then as in each draw of the hardest scenario,
        where several outlets give. A wide range of speeds may be what hinders: from the second time
        on only those of the hardest are looked at.
        """
        over = np.full(len(judged), -np.inf)
        several = True
        for number, shares in enumerate(
            (self._nominal_shares, self._nominal_shares, self._solved_shares)
        ):
            some = np.flatnonzero(~(over >= 0.0))
            if not len(some):
                break
            first = some[np.argmin(over[some])]
            alike = self._kinds.ram[judged[some]] == self._kinds.ram[judged[first]]
            if number == 1 and alike.all():
                continue
            if number == 2 and not several:
                break
            ways = shares(int(judged[first]), held[first], target)
            if ways is None:
                break
            several = ways.gives.sum() > 1
            some = some[alike] if number else some
            over[some] = self._exact(judged[some], held[some], ways, target)
        return over

    def _exact(
        self, judged: IntArray, held: FloatArray, ways: Ways, target: FloatArray
    ) -> FloatArray:
        """Give what scenarios (n,) have to spare at a trial, each in its own liquid.

        What holds with dirty screens holds with clean ones, where nothing hangs on how the flow is
        spread over several outlets.
        """
        bare = self.sweep.situation.uncovered[self.sweep.judged_rows[judged[0]]].any()
        one_way = not bare or ways.gives.sum() == 1
        kind = (self._kinds.liquid if one_way else self._kinds.variant)[judged]
        trials = {}
        for number in np.unique(kind).tolist():
            rows = self.sweep.judged_rows[judged[kind == number]]
            bound = self._bound(rows, ways, target) if one_way else None
            trials[int(number)] = bound or self._trial(rows, ways, target)
        found = self._spare(judged, held, ways, trials, kind, each_draw=False)
        return np.asarray(found[:, 0])

    def _spare(
        self,
        judged: IntArray,
        held: FloatArray,
        ways: Ways,
        trials: dict[int, Trial],
        kind: npt.NDArray[np.generic],
        *,
        each_draw: bool,
    ) -> FloatArray:
        """Head, or fuel over a junction, that is left at a trial (1, draw) or (n, 1) [m].

        Of all scenarios in each draw, else of all draws in each scenario. Scenarios without enough
        head rank below those in which air may be drawn.
        """
        sweep, rows, tree = self.sweep, self.sweep.judged_rows[judged], ways.tree
        held = np.maximum(tree.sign * held, 0.0)
        head = self._outlet_heads(rows, tree) - held @ tree.path.T.astype(np.float64)
        heights = Heights(rows=rows, head=head, held=held)
        end = sweep.situation.conditions.fixed_head[rows, self._end_node(int(rows[0]))]
        above = head - end[:, None]
        keeps = sweep.table.scenarios.end[rows[0]] != CARBURETTOR or ways.never_back
        need = {number: trial.needed(nothing=keeps) for number, trial in trials.items()}
        if each_draw:
            most = np.max(list(need.values()), axis=0)
            over = (above.min(axis=0)[:, None] - most).min(axis=0)[None]
        else:
            dearest = {number: own.max(axis=1) for number, own in need.items()}
            own_need = np.array([dearest[int(number)] for number in kind])
            over = (above - own_need).min(axis=1)[:, None]
        over = np.asarray(np.nan_to_num(over, nan=-np.inf) + HEAD_TOLERANCE)
        enough = np.ones(len(rows), dtype=bool) if each_draw else over[:, 0] >= 0.0
        over[over < 0.0] -= SHORT
        if (over >= 0.0).any() and sweep.situation.uncovered[rows[0]].any():
            some = np.flatnonzero(enough)
            stands = self._columns(
                ways, trials, kind[some], heights.take(some), each_draw=each_draw
            )
            stands = np.nan_to_num(stands, nan=-np.inf, posinf=np.inf) + ONSET_COLUMN
            if each_draw:
                over = np.where(over >= 0.0, stands, over)
            else:
                over[some] = stands
        return over

    def _columns(
        self,
        ways: Ways,
        trials: dict[int, Trial],
        kind: npt.NDArray[np.generic],
        heights: Heights,
        *,
        each_draw: bool,
    ) -> FloatArray:
        """Least standing columns [m]: all liquids and screens at once, then one by one."""
        present = [trials[int(number)] for number in np.unique(kind)]
        stands = least_columns(self.sweep, self.draws, ways, present, heights, each_draw=each_draw)
        if each_draw or len(present) == 1:
            return stands
        stands = np.array(np.broadcast_to(stands, (len(kind), 1)))
        for number in np.unique(kind[~(stands[:, 0] > -ONSET_COLUMN)]):
            mine = np.flatnonzero((kind == number) & ~(stands[:, 0] > -ONSET_COLUMN))
            stands[mine] = least_columns(
                self.sweep,
                self.draws,
                ways,
                [trials[int(number)]],
                heights.take(mine),
                each_draw=False,
            )
        return stands

    def _outlet_heads(self, rows: IntArray, tree: Tree) -> FloatArray:
        """Head at the outlets (n, leaf) [m] without the pressure of the tanks' air."""
        situation = self.sweep.situation
        weight = situation.density[rows, None] * STANDARD_GRAVITY
        air = situation.tank_pressure[rows][:, self._tanks(tree)] / weight
        return np.asarray(situation.conditions.fixed_head[rows][:, tree.leaf_node] - air)

    def _tanks(self, tree: Tree) -> list[int]:
        tank_of = {node: tank for node, tank, _ in self.sweep.assembly.outlets}
        return [tank_of[int(node)] for node in tree.leaf_node]

    def _end_node(self, row: int) -> int:
        assembly = self.sweep.assembly
        is_carburettor = self.sweep.table.scenarios.end[row] == CARBURETTOR
        return assembly.inlet + (2 if is_carburettor else 1)

    def _bound(self, rows: IntArray, ways: Ways, target: FloatArray) -> Trial | None:
        """Work out what the least flow of each draw costs at most in any of some scenarios.

        None where that cannot be said: where fuel runs back a dearer liquid hinders it.
        """
        most, least = self._losses.bounds(rows)
        if (ways.towards < 0).any() or most is None or least is None:
            return None
        return self._made(rows, ways, target, most, least)

    def _trial(self, rows: IntArray, ways: Ways, target: FloatArray) -> Trial:
        """Work out what the least flow of each draw costs in scenarios of one liquid."""
        liquid = self._losses.liquid(int(rows[0]))
        return self._made(rows, ways, target, liquid, liquid)

    def _made(
        self, rows: IntArray, ways: Ways, target: FloatArray, most: DrawnLiquid, least: DrawnLiquid
    ) -> Trial:
        tree, draws, losses = ways.tree, self.draws, self._losses
        end = losses.end_link(int(rows[0]))
        asked = np.maximum(target, 0.0) * self.sweep.table.required[rows[0]]
        cost, end_cost = losses.towards(most, end, tree, ways.towards, asked / most.density)
        way = tree.own_way(ways.allowed).astype(np.float64)
        extremes, low_cost = [np.zeros((len(way), 1))] * 2, cost
        if self.sweep.situation.uncovered[rows[0]].any():
            extremes = [
                way @ losses.towards(least, end, tree, way.T @ share, asked / least.density)[0]
                if ways.gives.sum() > 1 or (share != ways.gives[:, None]).any()
                else np.zeros((len(way), 1))
                for share in ways.outlet_shares()
            ]
            if most is not least:
                volume = asked / least.density
                low_cost = losses.towards(least, end, tree, ways.towards, volume)[0]
        ram = ram_columns(self.sweep, rows)
        return Trial(
            ways=ways,
            volume=asked / most.density,
            cost=cost,
            low_cost=low_cost,
            most_cost=extremes[0],
            least_cost=extremes[1],
            end_cost=end_cost,
            height=draws.height,
            vent=draws.vent[:, self._tanks(tree)].T,
            ram=tuple(np.unique([ram.min(), ram.max()]).tolist()),
            is_bound=most.is_bound,
            ignored=target < 0.0,
        )

    def _open_lines(self, row: int, held: FloatArray) -> tuple[Tree | None, npt.NDArray[np.int8]]:
        """Give a scenario's lines as a tree, and their open directions (link,)."""
        assembly = self.sweep.assembly
        allowed = np.array(self.sweep.situation.conditions.allowed[row])
        allowed[assembly.network.one_way] &= FORWARD
        both = allowed == FORWARD | BACKWARD
        allowed[both & (held > 0)] = FORWARD
        allowed[both & (held < 0)] = BACKWARD
        allowed[assembly.open_link :] = 0
        key = (allowed > 0).tobytes()
        if key not in self._trees:
            self._trees[key] = feeding_tree(assembly.network, allowed > 0, assembly.inlet)
        return self._trees[key], allowed

    def _nominal_shares(self, judged: int, held: FloatArray, target: FloatArray) -> Ways | None:
        """Spread a flow over the lines of a scenario as nominal values do at about that flow.

        Rounded at the outlets and added up from there, so that it balances.
        """
        row = int(self.sweep.judged_rows[judged])
        tree, allowed = self._open_lines(row, held)
        if tree is None or not len(tree.leaf_link):
            return None
        flow = _at_ratio(self.sweep, judged, float(np.median(target)))
        if flow is None:
            own = tree.gives(allowed).astype(np.float64)
            own /= max(own.sum(), 1.0)
        else:
            own = np.round(tree.sign[tree.leaf_link] * flow[tree.leaf_link] * SHARES) / SHARES
            own = np.where(tree.gives(allowed), own, np.minimum(own, 0.0))
        own[np.argmax(own)] += 1.0 - own.sum()
        ways = Ways(tree=tree, allowed=allowed, towards=(own @ tree.path)[:, None])
        return ways if ways.possible else None

    def _solved_shares(self, judged: int, held: FloatArray, target: FloatArray) -> Ways | None:
        """Spread a flow over the lines of a scenario as each draw does when it is drawn off."""
        sweep, draws = self.sweep, self.draws
        row = int(sweep.judged_rows[judged])
        tree, allowed = self._open_lines(row, held)
        if tree is None:
            return None
        base = take(sweep.situation, np.full(draws.count, row))
        situation = drawn_situation(sweep.assembly, base, sweep.table, row, draws)
        situation = with_held_head(situation, held[None])
        # Any share will do; where nothing is asked for it is that of a trickle.
        volume = np.maximum(target, TRICKLE) * sweep.table.required[row] / situation.density
        drawn = with_demand(sweep.assembly, situation, volume)
        solution = solve(sweep.assembly.network, drawn.conditions, draws.factors)
        if not (solution.converged & solution.supplied).all():
            return None
        towards = tree.sign[:, None] * solution.flow.T / volume
        ways = Ways(tree=tree, allowed=allowed, towards=towards)
        return ways if ways.possible else None


def _target(least: FloatArray) -> FloatArray:
    """Give the ratio to be reached (draw,) [-]: rounding is nothing; below zero none is asked."""
    return np.where(least > NOTHING, least, np.where(np.isneginf(least), -1.0, 0.0))


def _at_ratio(sweep: Sweep, judged: int, ratio: float) -> FloatArray | None:
    """Nominal flows (link,) over the whole, between those at the required flow and at the free end.

    None where neither is known.
    """
    row = int(sweep.judged_rows[judged])
    free, full = sweep.delivery.solution.flow[row], float(sweep.ratio[row])
    volume = sweep.table.required[row] / sweep.situation.density[row]
    drawn = sweep.at_required.solution.flow[judged] / volume
    reaching = free[sweep.assembly.open_link :].sum()
    at_free = np.isfinite(free).all() and reaching > 0
    if not np.isfinite(drawn).all():
        return np.asarray(free / reaching) if at_free else None
    if not at_free or full <= 1.0:
        return np.asarray(drawn)
    weight = float(np.clip((ratio - 1.0) / (full - 1.0), 0.0, 1.0))
    found: FloatArray = weight * free / reaching + (1.0 - weight) * drawn
    return found


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kinds:
    """Of each judged scenario (judged scenario,) the family and the liquid.

    ``variant`` is the liquid with the state of the screens, ``ram`` [m] the dynamic pressure as a
    column of the liquid.
    """

    family: IntArray
    liquid: IntArray
    variant: IntArray
    ram: FloatArray


def _kinds(sweep: Sweep) -> _Kinds:
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
    return _Kinds(
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
