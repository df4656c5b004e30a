"""A flow that is tried in scenarios: how it runs, what it costs, and what would refute it."""

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from flowsim.network.tree import Tree
from flowsim.physics.arrays import BoolArray, FloatArray

SPREAD = 0.25
"""[-] Of the whole: how far the flow out of an outlet may lie from what is tried before the proof
of air gives up, where several outlets give. It has no effect on the answer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ways:
    """How a tried flow runs to the inlet.

    ``allowed`` (link,) open directions; ``towards`` (link, draw) [-] share of the flow that each
    line carries towards the inlet, the same in all draws where the last axis is 1. From there:
    ``gives`` (leaf,) outlets from which fuel may reach the inlet; ``keeps`` (leaf,) those that
    cannot take fuel in, whatever the heads; ``binds`` (leaf, draw) those whose head must be enough
    for the trial: a line that can only carry fuel to the inlet, and is not asked to, hinders
    nothing; ``carries_all`` (link,) lines that every outlet that gives, gives through; ``one_way``
    (link,) those that carry fuel towards the inlet alone; ``own_way`` (leaf, link) those between an
    outlet and where another's fuel may join it.
    """

    tree: Tree
    allowed: npt.NDArray[np.int8]
    towards: FloatArray
    gives: BoolArray = field(init=False)
    keeps: BoolArray = field(init=False)
    binds: BoolArray = field(init=False)
    carries_all: BoolArray = field(init=False)
    one_way: BoolArray = field(init=False)
    own_way: BoolArray = field(init=False)

    def __post_init__(self) -> None:
        """Work out what follows from the lines alone."""
        tree = self.tree
        one_way = tree.only_towards(self.allowed)
        idle = (self.towards == 0) & one_way[:, None]
        gives = tree.gives(self.allowed)
        object.__setattr__(self, "gives", gives)
        own_way = tree.own_way(self.allowed)
        object.__setattr__(self, "one_way", one_way)
        object.__setattr__(self, "own_way", own_way)
        object.__setattr__(self, "keeps", (own_way & one_way).any(axis=1))
        object.__setattr__(self, "binds", ~(tree.path[:, :, None] & idle).any(axis=1))
        object.__setattr__(self, "carries_all", tree.path[gives].all(axis=0))

    @property
    def possible(self) -> bool:
        """Whether every line may carry its share."""
        may_in, may_out = (
            self.tree.may_flow(self.allowed, np.full(len(self.allowed), way))[:, None]
            for way in (True, False)
        )
        wrong = ((self.towards > 0) & ~may_in) | ((self.towards < 0) & ~may_out)
        return not wrong.any()

    @property
    def never_back(self) -> bool:
        """Whether no fuel can run back from the engine, whatever the heads."""
        return bool((self.tree.path & self.one_way).any(axis=1).all())

    def outlet_shares(self) -> tuple[FloatArray, FloatArray]:
        """Give the most and the least share (leaf, draw) that each outlet is taken to give.

        Between them its true flow must be shown to lie. A single outlet that gives, gives all but
        what others take in; one that takes in nothing at the trial is taken to take nothing.
        """
        gives, own = self.gives[:, None], self.towards[self.tree.leaf_link]
        several = gives & (gives.sum() > 1)
        takes = ~gives & (own < 0)
        most = np.where(several, own + SPREAD, gives.astype(np.float64))
        least = np.where(several | takes, own - SPREAD, gives.astype(np.float64))
        return most, np.where(self.keeps[:, None] & several, np.maximum(least, 0.0), least)

    def greatest_shares(self) -> FloatArray:
        """Give the greatest share of the flow that each line may carry, either way (link, draw)."""
        most, least = self.outlet_shares()
        inside = self.tree.path.T.astype(np.float64)
        share = np.maximum(np.abs(inside @ most), np.abs(inside @ least))
        return np.where(self.carries_all[:, None], 1.0, share)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A flow tried in scenarios that differ only in heights and in the pressures at the vents.

    ``volume`` (draw,) [m3/s] is tried. ``cost`` (link, draw) [m] is lost along each line towards
    the inlet, ``end_cost`` (draw,) behind it; ``most_cost`` and ``least_cost`` (leaf, draw) on the
    way from an outlet to where another's fuel joins it, at the shares of ``Ways.outlet_shares``.
    ``vent`` (leaf, draw) [-] are the pressure coefficients over the outlets, ``ram`` [m] the
    dynamic pressures that they may meet, as columns of the liquid: what holds at the least and the
    greatest holds between them. ``is_bound``: of several liquids at once. ``cost`` is then the most
    that can be, ``low_cost`` (else the same) and the costs on an outlet's own way in size the
    least. ``ignored`` (draw,) are draws in which nothing is asked.
    """

    ways: Ways
    volume: FloatArray
    cost: FloatArray
    low_cost: FloatArray
    most_cost: FloatArray
    least_cost: FloatArray
    end_cost: FloatArray
    height: FloatArray
    vent: FloatArray
    ram: tuple[float, ...]
    is_bound: bool
    ignored: BoolArray
    lost: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        """Add up what is lost from each outlet to the inlet (leaf, draw) [m], asked for again."""
        path = self.ways.tree.path.astype(np.float64)
        object.__setattr__(self, "lost", path @ self.cost)

    def gained(self, ram: float) -> FloatArray:
        """Give what drawn heights and vents add to the head at each outlet (leaf, draw) [m]."""
        return self.height + self.vent * ram

    def needed(self, *, nothing: bool) -> FloatArray:
        """Head (leaf, draw) [m] that each outlet must stand above the end, as stated, at a trial.

        Minus infinite where an outlet does not matter, and, with ``nothing``, where no flow is
        tried: an end that lets no fuel back in needs no head for it.
        """
        counts = ~self.ignored & (self.volume > 0.0) if nothing else ~self.ignored
        binds = self.ways.binds & counts
        need = np.max([-self.gained(ram) for ram in self.ram], axis=0)
        need += self.lost + self.end_cost
        return np.where(binds, need, -np.inf)

    def heads(self, head: FloatArray, ram: float) -> FloatArray:
        """Least head at the junctions (free node, draw) [m], from that at the outlets (leaf,)."""
        tree = self.ways.tree
        given = np.where(self.ways.binds, head[:, None] + self.gained(ram) - self.lost, np.inf)
        if not self.is_bound:
            return np.asarray(given.min(axis=0) + tree.below.astype(np.float64) @ self.cost)
        found = [(given + self._kept(tree.path, below)).min(axis=0) for below in tree.below]
        return np.array(found)

    def falls(self, leaf: int) -> FloatArray:
        """Head (leaf, draw) [m] that each outlet's fuel gains, at least, to where one joins it."""
        below = self._below(leaf)
        kept = self._kept(self.ways.tree.path, below) if self.is_bound else self._lost_in(below)
        return kept - self.lost

    def rises(self, leaf: int) -> FloatArray:
        """Give the same at most."""
        path, below = self.ways.tree.path, self._below(leaf)
        if self.low_cost is self.cost:
            return self._lost_in(below) - self.lost
        lost = (path & ~below).astype(np.float64) @ self.low_cost
        rise: FloatArray = (below & ~path).astype(np.float64) @ self.cost - lost
        return rise

    def _below(self, leaf: int) -> BoolArray:
        """Lines (link,) from where an outlet's fuel may be joined by another's to the inlet."""
        return np.asarray(self.ways.tree.path[leaf] & ~self.ways.own_way[leaf])

    def _lost_in(self, lines: BoolArray) -> FloatArray:
        return np.asarray(lines.astype(np.float64) @ self.cost)

    def _kept(self, path: BoolArray, below: BoolArray) -> FloatArray:
        """Give what of the loss to the inlet is not lost, at least, down to a place."""
        own = (path & below).astype(np.float64) @ self.cost
        return own + (below & ~path).astype(np.float64) @ np.minimum(self.low_cost, 0.0)
