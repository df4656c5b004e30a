"""Heads of the nodes of a network from the conductances of its links, in many scenarios at once."""

from collections.abc import Sequence

import numpy as np

from flowsim.physics.arrays import FloatArray


class Elimination:
    """The order in which the nodes of one graph are eliminated, worked out once.

    The node of fewest neighbours goes first, so that a network of lines and tees, which is nearly a
    tree, fills in next to nothing. A node is taken out as in the transform from star to mesh: its
    neighbours are joined by conductances g_i g_j / sum g. These only add, and nothing is subtracted
    from a diagonal, so that links of very different conductance do not spoil each other's digits.

    Parameters
    ----------
    size : int
        Number of free nodes.
    first, second : sequence of int (link,)
        Free node at either end of each link; -1 for a node of fixed head.

    References
    ----------
    Minimum degree: A. George and J. W. Liu, Computer Solution of Large Sparse Positive Definite
    Systems (1981), chapter 5. Star to mesh: A. Rosen, J. IEE 62 (1924) 916 (from memory).
    """

    def __init__(self, size: int, first: Sequence[int], second: Sequence[int]) -> None:
        self.size = size
        self.grounds: list[tuple[int, int]] = []
        self.links: list[tuple[int, int]] = []
        pairs: dict[tuple[int, int], int] = {}
        around: list[set[int]] = [set() for _ in range(size)]

        def pair(one: int, other: int) -> int:
            around[one].add(other)
            around[other].add(one)
            return pairs.setdefault((min(one, other), max(one, other)), len(pairs))

        for link, (one, other) in enumerate(zip(first, second, strict=True)):
            if one >= 0 and other >= 0:
                if one != other:
                    self.links.append((link, pair(one, other)))
            elif one >= 0 or other >= 0:
                self.grounds.append((link, max(one, other)))
        self.steps: list[tuple[int, list[tuple[int, int]], list[tuple[int, int, int]]]] = []
        left = set(range(size))
        while left:
            pivot = min(left, key=lambda node: (len(around[node]), node))
            left.remove(pivot)
            nodes = sorted(around[pivot])
            arms = [(node, pair(pivot, node)) for node in nodes]
            for node in nodes:
                around[node].remove(pivot)
            mesh = [
                (arms[one][1], arms[other][1], pair(nodes[one], nodes[other]))
                for one in range(len(nodes))
                for other in range(one + 1, len(nodes))
            ]
            self.steps.append((pivot, arms, mesh))
        self.pairs = len(pairs)

    def solve(self, conductance: FloatArray, inflow: FloatArray, *, dead: bool) -> FloatArray:
        """Find the heads at which the links carry off what flows in.

        Parameters
        ----------
        conductance : FloatArray (link, scenario) or (link, 1)
            [m2/s] Flow per head of each link, >= 0.
        inflow : FloatArray (free node, scenario)
            [m3/s] Into each node from outside; it is overwritten.
        dead : bool
            Whether some nodes may have no link in some scenario; their heads are then zero.

        Returns
        -------
        FloatArray (free node, scenario)
            [m] Heads over the fixed ones, which count as zero.
        """
        ground, between = self._assemble(conductance, inflow.shape[1])
        inverse = np.empty_like(ground)
        part = np.empty(inflow.shape[1])
        for pivot, arms, mesh in self.steps:
            total = inverse[pivot]
            np.copyto(total, ground[pivot])
            for _, number in arms:
                total += between[number]
            if dead:
                total[total == 0.0] = 1.0
            np.divide(1.0, total, out=total)
            inflow[pivot] *= total
            ground[pivot] *= total
            for node, number in arms:
                inflow[node] += np.multiply(between[number], inflow[pivot], out=part)
                ground[node] += np.multiply(between[number], ground[pivot], out=part)
            for one, other, number in mesh:
                np.multiply(between[one], total, out=part)
                between[number] += np.multiply(part, between[other], out=part)
        for pivot, arms, _ in reversed(self.steps):
            for node, number in arms:
                np.multiply(between[number], inverse[pivot], out=part)
                inflow[pivot] += np.multiply(part, inflow[node], out=part)
        return inflow

    def _assemble(self, conductance: FloatArray, count: int) -> tuple[FloatArray, FloatArray]:
        """Conductance of each free node to fixed ones, and of each pair of free nodes."""
        ground = np.zeros((self.size, count))
        between = np.zeros((self.pairs, count))
        for link, node in self.grounds:
            ground[node] += conductance[link]
        for link, number in self.links:
            between[number] += conductance[link]
        return ground, between
