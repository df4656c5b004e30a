"""Which part of a network is alive when some links are closed: pure graph work.

Scenarios that differ in what is open are held in one :class:`Reach`: its links and nodes are those
that live in any of them, and masks tell which live in which. The scenario axis is last; an axis
of 1 is shared by all.
"""

from dataclasses import dataclass, replace
from weakref import WeakKeyDictionary

import numpy as np
import numpy.typing as npt

from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.elements import Network
from flowsim.network.linear import Elimination
from flowsim.physics.arrays import FloatArray, IntArray

MOST_KNOWN = 256
"""Living parts that are remembered of each network."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """The living part of a network for some patterns of open links.

    ``links`` (indices) lie between nodes that some fixed head reaches, with ``start`` and ``end``;
    ``alive`` (link, scenario) tells where. ``free`` and ``fixed`` are node indices, ``position``
    (node,) the row of a free node (-1 for others). ``cut_off`` (node, scenario) nodes hang on no
    fixed head; ``unsupplied`` nodes cannot be fed, whatever opens. ``elimination`` is the order in
    which the free nodes are solved, ``ends`` (link,) the rows of the free nodes at either end.
    """

    links: IntArray
    start: IntArray
    end: IntArray
    alive: npt.NDArray[np.bool_]
    free: IntArray
    fixed: IntArray
    position: IntArray
    cut_off: npt.NDArray[np.bool_]
    unsupplied: npt.NDArray[np.bool_]
    elimination: Elimination
    ends: tuple[tuple[int, int], ...]

    def of(self, patterns: IntArray) -> "Reach":
        """Give each scenario a pattern of open links, where this holds one of each.

        Parameters
        ----------
        patterns : IntArray (scenario,)
            Number of the pattern.

        Returns
        -------
        Reach
        """
        return replace(
            self,
            alive=self.alive[:, patterns],
            cut_off=self.cut_off[:, patterns],
            unsupplied=self.unsupplied[:, patterns],
        )

    def excess(self, flow: FloatArray, outflow: FloatArray) -> FloatArray:
        """Give inflow less outflow less what is drawn at every free node.

        Parameters
        ----------
        flow : FloatArray (link, scenario)
            [m3/s]
        outflow : FloatArray (free node, scenario)
            [m3/s] Drawn there.

        Returns
        -------
        FloatArray (free node, scenario)
            [m3/s]
        """
        excess = np.negative(outflow)
        for row, (first, second) in enumerate(self.ends):
            if first >= 0:
                excess[first] -= flow[row]
            if second >= 0:
                excess[second] += flow[row]
        return excess

    def drop(self, free_head: FloatArray) -> FloatArray:
        """Give the head between the ends of every link, start less end; fixed heads are zero.

        Parameters
        ----------
        free_head : FloatArray (free node, scenario)
            [m]

        Returns
        -------
        FloatArray (link, scenario)
            [m]
        """
        drop = np.zeros((len(self.ends), free_head.shape[1]))
        for row, (first, second) in enumerate(self.ends):
            if first >= 0:
                drop[row] += free_head[first]
            if second >= 0:
                drop[row] -= free_head[second]
        return drop


_KNOWN: WeakKeyDictionary[Network, dict[bytes, Reach]] = WeakKeyDictionary()


def reach(network: Network, allowed: npt.NDArray[np.int8], shut: npt.NDArray[np.bool_]) -> Reach:
    """Find the living part of ``network``; what was found before is remembered.

    ``allowed`` (scenario, link) tells in which directions links may flow; ``shut`` (scenario, link)
    are closed by the head against them.

    Parameters
    ----------
    network : Network
        To be looked through.
    allowed : array (scenario, link)
        In which directions links may flow, as ``Conditions.allowed``.
    shut : array (scenario, link)
        Closed by the head against them.

    Returns
    -------
    Reach
        Not to be written to.
    """
    known = _KNOWN.setdefault(network, {})
    key = allowed.tobytes() + shut.tobytes()
    if key not in known:
        if len(known) >= MOST_KNOWN:
            known.clear()
        known[key] = _reach(network, allowed, shut)
    return known[key]


def _reach(network: Network, allowed: npt.NDArray[np.int8], shut: npt.NDArray[np.bool_]) -> Reach:
    forward = (allowed.T & FORWARD) > 0
    backward = (allowed.T & BACKWARD) > 0
    is_open = (forward | backward) & ~shut.T
    connected = _spread(network, is_open, is_open)
    fed = _spread(network, forward, backward)
    alive = is_open & connected[network.start] & connected[network.end]
    links = np.flatnonzero(alive.any(axis=1))
    free = np.flatnonzero(connected.any(axis=1) & ~network.fixed)
    position = np.full(len(network.node_names), -1, dtype=np.intp)
    position[free] = np.arange(len(free))
    start, end = network.start[links], network.end[links]
    first, second = position[start].tolist(), position[end].tolist()
    return Reach(
        links=links,
        start=start,
        end=end,
        alive=alive[links],
        free=free,
        fixed=np.flatnonzero(network.fixed),
        position=position,
        cut_off=~connected,
        unsupplied=~fed & ~network.fixed[:, None],
        elimination=Elimination(len(free), first, second),
        ends=tuple(zip(first, second, strict=True)),
    )


def only(values: FloatArray, alive: npt.NDArray[np.bool_]) -> FloatArray:
    """Give ``values`` (link, scenario), zero where a link is not alive.

    Parameters
    ----------
    values : FloatArray (link, scenario)
        Of any unit.
    alive : array (link, scenario)
        Whether a link takes part.

    Returns
    -------
    FloatArray (link, scenario)
        The same unit.
    """
    return values if alive.all() else np.where(alive, values, 0.0)


def _spread(
    network: Network, forward: npt.NDArray[np.bool_], backward: npt.NDArray[np.bool_]
) -> npt.NDArray[np.bool_]:
    """Nodes (node, scenario) reached from the fixed ones along links in their open directions."""
    seen = list(np.repeat(network.fixed[:, None], forward.shape[1], axis=1))
    ways = list(
        zip(
            network.start.tolist(), network.end.tolist(), list(forward), list(backward), strict=True
        )
    )
    count, reached = -1, int(network.fixed.sum()) * forward.shape[1]
    while reached > count:
        count = reached
        for start, end, onward, back in ways:
            seen[end] |= onward & seen[start]
            seen[start] |= back & seen[end]
        reached = sum(int(np.count_nonzero(node)) for node in seen)
        ways.reverse()  # a row of links that lie against the order is gone along in one round
    return np.array(seen)
