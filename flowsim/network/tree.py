"""The open lines of a scenario as a tree that leads from every outlet to the engine's inlet.

Outlets are leaves: a tank's surface keeps its level, so what two lines of one tank do to each other
they do through the lines alone. Lines that form a ring are no tree.
"""

from collections import deque
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.elements import Network
from flowsim.physics.arrays import IntArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """Lines that lead to the inlet.

    ``sign`` (link,): 1 where a line's start lies farther from the inlet than its end, -1 the other
    way, 0 for lines that are not joined to it. ``leaf_link`` and ``leaf_node`` (leaf,) name the
    line that ends at an outlet, and that outlet's node. ``path`` (leaf, link) marks the lines
    between a leaf and the inlet. ``nodes`` (free node,) are the junctions, the inlet first, and
    ``below`` (free node, link) marks the lines between each of them and the inlet.
    """

    sign: npt.NDArray[np.int8]
    leaf_link: IntArray
    leaf_node: IntArray
    path: npt.NDArray[np.bool_]
    nodes: IntArray
    below: npt.NDArray[np.bool_]

    def only_towards(self, allowed: npt.NDArray[np.int8]) -> npt.NDArray[np.bool_]:
        """Tell which lines may carry fuel towards the inlet and not away from it.

        Parameters
        ----------
        allowed : array of int (link,)
            Bits of the directions that are open.

        Returns
        -------
        array of bool (link,)
        """
        return self._may(allowed, 1) & ~self._may(allowed, -1)

    def may_flow(
        self, allowed: npt.NDArray[np.int8], towards: npt.NDArray[np.bool_]
    ) -> npt.NDArray[np.bool_]:
        """Tell which lines may carry fuel the way that is asked.

        Parameters
        ----------
        allowed : array of int (link,)
            Bits of the directions that are open.
        towards : array of bool (link,)
            Whether towards the inlet is asked, or away from it.

        Returns
        -------
        array of bool (link,)
        """
        return np.where(towards, self._may(allowed, 1), self._may(allowed, -1))

    def gives(self, allowed: npt.NDArray[np.int8]) -> npt.NDArray[np.bool_]:
        """Tell from which outlets fuel may reach the inlet.

        Parameters
        ----------
        allowed : array of int (link,)
            Bits of the directions that are open.

        Returns
        -------
        array of bool (leaf,)
        """
        return np.asarray((~self.path | self._may(allowed, 1)).all(axis=1))

    def own_way(self, allowed: npt.NDArray[np.int8]) -> npt.NDArray[np.bool_]:
        """Mark the lines between an outlet and where another's fuel may join it.

        Parameters
        ----------
        allowed : array of int (link,)
            Bits of the directions that are open.

        Returns
        -------
        array of bool (leaf, link)
        """
        giving = self.path & self.gives(allowed)[:, None]
        others: npt.NDArray[np.bool_] = giving.sum(axis=0) - giving.astype(np.intp) > 0
        return self.path & ~others

    def _may(self, allowed: npt.NDArray[np.int8], way: int) -> npt.NDArray[np.bool_]:
        bit = np.where(self.sign * way > 0, FORWARD, BACKWARD)
        found: npt.NDArray[np.bool_] = ((allowed & bit) > 0) & (self.sign != 0)
        return found


def feeding_tree(network: Network, is_open: npt.NDArray[np.bool_], inlet: int) -> Tree | None:
    """Walk the open lines from the inlet outwards.

    Parameters
    ----------
    network : Network
    is_open : (link,)
        Lines that may carry fuel in some direction; the engine's end of the line is none of them.
    inlet : int
        Node of the engine's inlet.

    Returns
    -------
    Tree or None
        None where lines form a ring, so that flow has more than one way through.
    """
    count = len(network.links)
    sign = np.zeros(count, dtype=np.int8)
    way: dict[int, frozenset[int]] = {inlet: frozenset()}
    leaves: list[tuple[int, int, frozenset[int]]] = []
    queue = deque([inlet])
    while queue:
        node = queue.popleft()
        for link in np.flatnonzero(is_open & ((network.start == node) | (network.end == node))):
            if link in way[node]:
                continue
            ends_here = int(network.end[link]) == node
            far = int(network.start[link] if ends_here else network.end[link])
            if sign[link] or far == node or (far in way and not network.fixed[far]):
                return None
            sign[link] = 1 if ends_here else -1
            behind = way[node] | {int(link)}
            if network.fixed[far]:
                leaves.append((int(link), far, behind))
            else:
                way[far] = behind
                queue.append(far)
    return Tree(
        sign=sign,
        leaf_link=np.array([link for link, _, _ in leaves], dtype=np.intp),
        leaf_node=np.array([node for _, node, _ in leaves], dtype=np.intp),
        path=_marks([behind for _, _, behind in leaves], count),
        nodes=np.array(list(way), dtype=np.intp),
        below=_marks(list(way.values()), count),
    )


def _marks(ways: list[frozenset[int]], count: int) -> npt.NDArray[np.bool_]:
    found = np.zeros((len(ways), count), dtype=bool)
    for row, links in enumerate(ways):
        found[row, list(links)] = True
    return found
