"""Heads of places that links closed by the head against them cut off from every fixed head.

Nothing flows there, so the heads themselves are not determined. What can be told is between which
bounds they lie if those links are to stay closed; where no head lies between them, one opens.
"""

import numpy as np
import numpy.typing as npt

from flowsim.network.conditions import BACKWARD, FORWARD
from flowsim.network.elements import Network
from flowsim.physics.arrays import FloatArray


def head_bounds(
    network: Network, allowed: npt.NDArray[np.int8], threshold: FloatArray, head: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give the least and the greatest head of every node at which nothing flows to those unknown.

    A link that may flow from one place to another and stands still holds the head of the other at
    no less than that of the first less what opens it. Such conditions are followed from place to
    place, which ends because no way round gains any head.

    Parameters
    ----------
    network : Network
    allowed : array of int (scenario, link)
        Bits of the directions that are open.
    threshold : FloatArray (scenario, link)
        [m] Head that opens a link in its direction, >= 0.
    head : FloatArray (scenario, node)
        [m] NaN where it is not known.

    Returns
    -------
    tuple of FloatArray (scenario, node)
        [m] Both are ``head`` where that is known; minus or plus infinity where nothing bounds it.
    """
    unknown = np.isnan(head).T
    least = np.where(unknown, -np.inf, head.T)
    most = np.where(unknown, np.inf, head.T)
    opening = threshold.T
    ways = [
        (link, bit, *(ends if bit == FORWARD else ends[::-1]))
        for link, ends in enumerate(zip(network.start.tolist(), network.end.tolist(), strict=True))
        for bit in (FORWARD, BACKWARD)
        if (unknown[ends[0]] | unknown[ends[1]]).any() and (allowed[:, link] & bit).any()
    ]
    is_open = {(link, bit): (allowed[:, link] & bit) > 0 for link, bit, _, _ in ways}
    for _ in range(len(network.node_names)):
        before = least.copy(), most.copy()
        for link, bit, first, second in ways:
            may = is_open[link, bit]
            raised = np.maximum(least[second], least[first] - opening[link])
            lowered = np.minimum(most[first], most[second] + opening[link])
            least[second] = np.where(may & unknown[second], raised, least[second])
            most[first] = np.where(may & unknown[first], lowered, most[first])
        if np.array_equal(before[0], least) and np.array_equal(before[1], most):
            break
    return least.T, most.T
