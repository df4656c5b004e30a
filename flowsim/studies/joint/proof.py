"""Proof that a scenario cannot be the least in any draw, without solving it.

Theory: docs/theory/uncertainty.md, "What is not drawn, and why". In each draw the flow that the
least scenario gave is tried in the other: spread over its lines about as on nominal values, it
costs a known head. Where the head that is there covers that in every draw, and no air is drawn at
it, the scenario gives at least as much. What cannot be shown so is drawn.
"""

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.scenarios import CARBURETTOR
from flowsim.network.solver import solve
from flowsim.network.tree import Tree, feeding_tree
from flowsim.physics.arrays import BoolArray, FloatArray, IntArray
from flowsim.studies.delivery.deliver import ONSET_COLUMN, repeated, with_demand
from flowsim.studies.delivery.trapped_air import with_held_head
from flowsim.studies.joint.air import Heights, least_columns
from flowsim.studies.joint.drawn import Least, drawn_situation
from flowsim.studies.joint.kinds import Kinds, kinds_of
from flowsim.studies.joint.trial import Trial, Ways
from flowsim.studies.joint.trial_maker import TrialMaker
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
        self._trials = TrialMaker(sweep, draws)
        self._trees: dict[bytes, Tree | None] = {} if of is None else of._trees
        self._kinds: Kinds = kinds_of(sweep) if of is None else of._kinds
        self.family = self._kinds.family

    def part(self, draws: IntArray) -> "Proof":
        """Give the same for some of the draws."""
        if len(draws) == self.draws.count:
            return self
        return Proof(self.sweep, self.draws.take(draws), self)

    def open_draws(self, judged: IntArray, asked: Least, *, own_shares: bool = True) -> BoolArray:
        """Tell in which draws scenarios may give less than is asked, as far as is shown at once.

        Parameters
        ----------
        judged : (n,)
            Judged scenarios, by their number among the judged, of one family.
        asked : Least
            What they have to give in each draw.
        own_shares : bool
            Whether a single one is looked at with the flow spread as in each draw, too.

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
                trial = self._trials.bound(rows, ways, target)
                if trial is not None:
                    kind = np.zeros(len(rows))
                    spare = self._spare(judged, held, ways, {0: trial}, kind, each_draw=True)
                    left &= ~(spare[0] >= 0.0)
                if not (own_shares and single and left.any() and ways.gives.sum() > 1):
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

        With the flow spread as on nominal values; where several outlets give, as in each draw of
        the hardest scenario. A wide range of speeds may be what hinders: the second time only those
        of the hardest are looked at.
        """
        over = np.full(len(judged), -np.inf)
        for number in range(2):
            some = np.flatnonzero(~(over >= 0.0))
            if not len(some):
                break
            first = some[np.argmin(over[some])]
            alike = self._kinds.ram[judged[some]] == self._kinds.ram[judged[first]]
            ways = self._nominal_shares(int(judged[first]), held[first], target)
            several = ways is None or ways.gives.sum() > 1
            if several:
                ways = self._solved_shares(int(judged[first]), held[first], target) or ways
            elif number == 1 and alike.all():
                break
            if ways is None:
                break
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
        trials = self._of_each(kind, judged, ways, target)
        if trials is None:  # nothing holds for all states of the screens
            kind = self._kinds.variant[judged]
            trials = self._of_each(kind, judged, ways, target)
            assert trials is not None
        found = self._spare(judged, held, ways, trials, kind, each_draw=False)
        return np.asarray(found[:, 0])

    def _of_each(
        self, kind: IntArray, judged: IntArray, ways: Ways, target: FloatArray
    ) -> dict[int, Trial] | None:
        """Give what is tried in scenarios (n,) of each kind; None where one cannot be said."""
        trials = {}
        for number in np.unique(kind).tolist():
            rows = self.sweep.judged_rows[judged[kind == number]]
            trial = self._trials.bound(rows, ways, target)
            if trial is None:
                return None
            trials[int(number)] = trial
        return trials

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
        air = situation.tank_pressure[rows][:, self._trials.tanks(tree)] / weight
        return np.asarray(situation.conditions.fixed_head[rows][:, tree.leaf_node] - air)

    def _end_node(self, row: int) -> int:
        assembly = self.sweep.assembly
        is_carburettor = self.sweep.table.scenarios.end[row] == CARBURETTOR
        return assembly.inlet + (2 if is_carburettor else 1)

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
        base = repeated(sweep.situation, row, draws.count)
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
