"""Which part of a network is alive when some links are closed: pure graph work."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.elements import IntArray, Network


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """The living part of a network for one pattern of open links.

    ``links`` (indices) lie between nodes that some fixed head reaches; ``start`` and ``end`` are
    their nodes, swapped where ``flipped`` (only the backward direction is open). ``free`` and
    ``fixed`` are node indices, ``position`` (node,) the row of a free node (-1 for others).
    ``cut_off`` nodes hang on no fixed head; ``unsupplied`` nodes cannot be fed, whatever opens.
    """

    links: IntArray
    start: IntArray
    end: IntArray
    flipped: npt.NDArray[np.bool_]
    free: IntArray
    fixed: IntArray
    position: IntArray
    cut_off: IntArray
    unsupplied: IntArray


def reach(network: Network, allowed: npt.NDArray[np.int8], shut: npt.NDArray[np.bool_]) -> Reach:
    """Find the living part of ``network``.

    ``allowed`` (link,) tells in which directions links may flow; ``shut`` (link,) are closed by
    the head against them.
    """
    forward = (allowed & FORWARD) > 0
    backward = (allowed & BACKWARD) > 0
    is_open = (forward | backward) & ~shut
    connected = _spread(network, network.fixed, is_open, is_open)
    fed = _spread(network, network.fixed, forward, backward)
    links = np.flatnonzero(is_open & connected[network.start] & connected[network.end])
    flipped = ~forward[links]
    start = np.where(flipped, network.end[links], network.start[links])
    end = np.where(flipped, network.start[links], network.end[links])
    free = np.flatnonzero(connected & ~network.fixed)
    position = np.full(len(network.node_names), -1, dtype=np.intp)
    position[free] = np.arange(len(free))
    return Reach(
        links=links,
        start=start,
        end=end,
        flipped=flipped,
        free=free,
        fixed=np.flatnonzero(network.fixed),
        position=position,
        cut_off=np.flatnonzero(~connected),
        unsupplied=np.flatnonzero(~fed & ~network.fixed),
    )


def _spread(
    network: Network,
    source: npt.NDArray[np.bool_],
    forward: npt.NDArray[np.bool_],
    backward: npt.NDArray[np.bool_],
) -> npt.NDArray[np.bool_]:
    """Nodes that can be reached from ``source`` along links in their open directions."""
    seen = source.copy()
    for _ in range(len(seen)):
        onward = forward & seen[network.start] & ~seen[network.end]
        back = backward & seen[network.end] & ~seen[network.start]
        if not (onward.any() or back.any()):
            break
        seen[network.end[onward]] = True
        seen[network.start[back]] = True
    return seen
