"""Head that is lost along the lines in every draw at flows that are tried, not solved."""

from dataclasses import dataclass

import numpy as np

from flowsim.network.conditions import BACKWARD, FORWARD, Conditions
from flowsim.network.laws import LinkLaws, LinkSums, link_laws, link_sums
from flowsim.network.reach import reach
from flowsim.network.scenarios import CARBURETTOR
from flowsim.network.tree import Tree
from flowsim.physics.arrays import BoolArray, FloatArray, IntArray
from flowsim.physics.losses import friction
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws

_Key = tuple[float, float, float | None, bytes]
"""Viscosity, density, clear fraction of the screens, and the used links."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnLiquid:
    """What a law depends on beside the flow.

    ``viscosity`` [m2/s] kinematic and ``density`` [kg/m3], nominal; ``clear`` fraction of all
    screens [-], None for the stated ones. ``other`` [m2/s] viscosity at the other end of several
    liquids: friction is then the most, or without ``is_dearest`` the least, that any between them
    can have.
    """

    viscosity: float
    density: float
    clear: float | None
    other: float | None = None
    is_dearest: bool = False

    @property
    def is_bound(self) -> bool:
        """Whether it stands for several liquids."""
        return self.other is not None


class DrawnLosses:
    """The laws of the lines in all draws, worked out once for each liquid and state of screens."""

    def __init__(self, sweep: Sweep, draws: Draws) -> None:
        self.sweep, self.draws = sweep, draws
        self._laws: dict[_Key, tuple[LinkLaws, IntArray]] = {}
        self._sums: dict[float | None, LinkSums] = {}
        self._first: dict[tuple[float | None, bytes], tuple[float, LinkLaws, IntArray]] = {}
        screens = sweep.assembly.network.coefficients.clear
        self._least_clear = float(np.nanmin(screens)) if not np.isnan(screens).all() else np.inf

    def liquid(self, row: int) -> DrawnLiquid:
        """Give the liquid and the screens of a scenario."""
        conditions = self.sweep.situation.conditions
        return DrawnLiquid(
            viscosity=float(conditions.kinematic_viscosity[row]),
            density=float(conditions.density[row]),
            clear=_stated(float(conditions.screen_clear[row])),
        )

    def bounds(self, rows: IntArray) -> tuple[DrawnLiquid, DrawnLiquid] | tuple[None, None]:
        """Give what costs at least, and what at most, as much as the liquid of each scenario.

        The dearer one first. None where it cannot be said: screens that are dirty in one and stated
        dirtier in another.
        """
        conditions = self.sweep.situation.conditions
        clear = conditions.screen_clear[rows]
        some = ~np.isnan(clear)
        least = float(clear[some].min()) if some.any() else None
        most = float(clear.max()) if some.all() else None
        if least is not None and not some.all() and least > self._least_clear:
            return None, None
        viscosity, density = conditions.kinematic_viscosity[rows], conditions.density[rows]
        thin, thick = float(viscosity.min()), float(viscosity.max())
        if thin == thick and density.min() == density.max() and least == most:
            only = self.liquid(int(rows[0]))
            return only, only
        return (
            DrawnLiquid(
                viscosity=thick,
                density=float(density.min()),
                clear=least,
                other=thin,
                is_dearest=True,
            ),
            DrawnLiquid(viscosity=thin, density=float(density.max()), clear=most, other=thick),
        )

    def towards(
        self, liquid: DrawnLiquid, end: int, tree: Tree, shares: FloatArray, volume: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Give what a flow costs.

        Parameters
        ----------
        liquid : DrawnLiquid
        end : int
            The link behind the inlet.
        tree : Tree
            Of the open lines.
        shares : FloatArray (link, draw)
            [-] Of the flow, that each line carries towards the inlet; negative away from it.
        volume : FloatArray (draw,)
            [m3/s] The flow that reaches the inlet.

        Returns
        -------
        tuple of FloatArray
            Head lost along each line towards the inlet (link, draw) [m], and behind the inlet
            (draw,) [m]. A line without a share loses none.
        """
        used = (shares != 0).any(axis=1)
        used[end] = True
        laws, links = self._laws_of(liquid, used)
        flow = (tree.sign[links, None] * shares[links]) * volume
        flow[links == end] = volume
        found = laws.loss_alone(flow)
        if liquid.other not in (None, liquid.viscosity):
            ratio = liquid.other / liquid.viscosity
            _bound_friction(laws, flow, found, max(ratio, 1.0), is_dearest=liquid.is_dearest)
        loss = np.zeros((len(shares), len(volume)))
        loss[links] = found
        return np.where(shares != 0, tree.sign[:, None] * loss, 0.0), loss[end]

    def end_link(self, row: int) -> int:
        """Give the link behind the inlet of a scenario."""
        assembly = self.sweep.assembly
        if self.sweep.table.scenarios.end[row] != CARBURETTOR:
            return assembly.open_link
        assert assembly.carburettor_link is not None
        return assembly.carburettor_link

    def _laws_of(self, liquid: DrawnLiquid, used: BoolArray) -> tuple[LinkLaws, IntArray]:
        """Laws of the used links, and which they are; no link is shut.

        Those of another liquid are made from the first one's: most of the work hangs on the draws
        and the screens alone.
        """
        links = used.tobytes()
        key = liquid.viscosity, liquid.density, liquid.clear, links
        if key not in self._laws:
            first = self._first.get((liquid.clear, links))
            laws = None if first is None else first[1].of_viscosity(liquid.viscosity / first[0])
            if first is None or laws is None:
                self._laws[key] = self._new_laws(liquid, used)
                self._first[liquid.clear, links] = liquid.viscosity, *self._laws[key]
            else:
                self._laws[key] = laws, first[2]
        return self._laws[key]

    def _new_laws(self, liquid: DrawnLiquid, used: BoolArray) -> tuple[LinkLaws, IntArray]:
        network = self.sweep.assembly.network
        blank = np.zeros((1, len(network.node_names)))
        allowed = np.where(used[None], FORWARD | BACKWARD, 0).astype(np.int8)
        reached = reach(network, allowed, ~used[None])
        conditions = Conditions(
            fixed_head=blank,
            demand=blank,
            allowed=allowed,
            kinematic_viscosity=liquid.viscosity * self.draws.viscosity,
            density=np.array([liquid.density]),
            held_head=np.zeros((1, len(network.links))),
            screen_clear=np.array([np.nan if liquid.clear is None else liquid.clear]),
        )
        factors = self.draws.factors
        if liquid.clear not in self._sums:
            self._sums[liquid.clear] = link_sums(network, conditions, factors)
        both_ways = np.zeros((len(reached.links), 1), dtype=np.int8)
        sums = self._sums[liquid.clear]
        return link_laws(network, reached, both_ways, conditions, factors, sums), reached.links


def _stated(clear: float) -> float | None:
    return None if np.isnan(clear) else clear


def _bound_friction(
    laws: LinkLaws, flow: FloatArray, loss: FloatArray, thicker: float, *, is_dearest: bool
) -> None:
    """Mend the loss (link, draw) where friction does not rise with the viscosity.

    Friction falls, as a liquid thickens, only where the flow turns laminar: the factor there lies
    between its last laminar value and its first turbulent one. ``thicker`` [-] is the viscosity of
    the thickest liquid over that of the laws; the loss is to be the most of all, or the least.
    """
    pipes = laws.pipes
    if not len(pipes.row):
        return
    through = flow[pipes.row]
    reynolds = np.abs(through) * pipes.reynolds
    thickest = reynolds / thicker
    near = (thickest > 0) & (thickest < friction.TURBULENT_START)
    if not near.any():
        return
    own = friction.cautious(reynolds, pipes.roughness)[0]
    if is_dearest:
        start = np.full_like(reynolds, friction.TURBULENT_START)
        turbulent = friction.cautious(start, pipes.roughness)[0] / friction.TURBULENT_START
        change = np.maximum(turbulent * reynolds - own, 0.0)
    else:
        change = np.minimum(64.0 / friction.LAMINAR_END * reynolds - own, 0.0)
    change = np.where(near, change, 0.0) * pipes.scale * through
    for pipe, row in enumerate(pipes.row.tolist()):
        loss[row] += change[pipe]
