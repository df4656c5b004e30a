"""Where along a line which bore is, and how much of its losses lies before each place."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from flowsim.network.bores import bore_pieces, throats
from flowsim.network.elements import Network
from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.system.lines import Line
from flowsim.system.parts import is_tube


@dataclass(frozen=True, slots=True, kw_only=True)
class Stations:
    """Places along one line, from its start to its end.

    ``share`` (place,) of its length; ``points`` (place, 3) [m]; ``bore`` (place,) [m]: where bores
    meet, the narrower; a fitting that the flow steps into has a place of its own. ``pipes`` are the
    part indices of its tubes and hoses, ``covered`` (pipe, place) the share of each that lies
    before the place; ``others`` are the indices of all its other parts, which count as lying at its
    upstream end.
    """

    share: FloatArray
    points: FloatArray
    bore: FloatArray
    pipes: IntArray
    covered: FloatArray
    others: IntArray

    def lost(self, losses: FloatArray, flow: FloatArray) -> FloatArray:
        """Give the head (scenario, place) [m] lost from the upstream end to each place.

        Parameters
        ----------
        losses : FloatArray (scenario, part)
            [m] Sizes of the losses of all parts of the network.
        flow : FloatArray (scenario,)
            [m3/s] Only its direction counts.

        Returns
        -------
        FloatArray (scenario, place)
            [m]
        """
        lumped = losses[:, self.others].sum(axis=1)[:, None]
        friction = losses[:, self.pipes]
        passed = np.where(
            flow[:, None] >= 0,
            friction @ self.covered,
            friction @ (1.0 - self.covered),
        )
        total: FloatArray = lumped + passed
        return total


def stations_of(
    network: Network, link: int, line: Line, points: FloatArray, ports: FloatArray
) -> Stations:
    """Give the places of one line: its points, the ends of its pieces, its fittings.

    Parameters
    ----------
    network : Network
    link : int
        The line's link.
    line : Line
    points : FloatArray (point, 3)
        [m] Its points, at least both ends.
    ports : FloatArray (2,)
        [m] Smallest bores of its two ends, with what they are screwed to.

    Returns
    -------
    Stations
    """
    pieces, narrow = bore_pieces(line), throats(line)
    along = shares(points)
    share = np.unique([*along, *(piece.begin for piece in pieces), 1.0])
    bore = np.full(len(share), np.inf)
    for piece in pieces:
        inside = (share >= piece.begin) & (share <= piece.end)
        bore[inside] = np.minimum(bore[inside], piece.bore)
    bore[[0, -1]] = np.minimum(bore[[0, -1]], ports)
    # A fitting at an end of the line stands inside it: the end itself stays first or last.
    at = np.array([place for place, _ in narrow])
    where = np.clip(np.searchsorted(share, at, side="right"), 1, len(share) - 1)
    share = np.insert(share, where, at)
    bore = np.insert(bore, where, np.array([throat for _, throat in narrow]))
    mine = network.part_link == link
    is_pipe = _are_pipes(network)
    pipes = np.flatnonzero(mine & is_pipe)
    covered = np.array(
        [
            np.clip((share - piece.begin) / (piece.end - piece.begin), 0.0, 1.0)
            for piece in pieces[: len(pipes)]
        ]
    )
    return Stations(
        share=share,
        points=np.column_stack([np.interp(share, along, axis) for axis in points.T]),
        bore=bore,
        pipes=pipes,
        covered=covered.reshape(len(pipes), len(share)),
        others=np.flatnonzero(mine & ~is_pipe),
    )


def _are_pipes(network: Network) -> npt.NDArray[np.bool_]:
    """Tell which parts are pieces of tube or hose with a length."""
    return np.array([is_tube(p.part) and p.part.length > 0.0 for p in network.placed], dtype=bool)


def shares(points: FloatArray) -> FloatArray:
    """Give the distance of each station (point,) along its line over the whole (0 to 1).

    Parameters
    ----------
    points : FloatArray (point, 3)
        Along the line [m].

    Returns
    -------
    FloatArray (point,)
        [-] 0 to 1.
    """
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    if along[-1] == 0:
        return np.linspace(0.0, 1.0, len(points))
    share: FloatArray = along / along[-1]
    return share
