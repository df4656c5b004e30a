"""Which tanks open lines join with each other, whether or not they feed the engine."""

from itertools import combinations

from flowsim.network.assembly import Assembly
from flowsim.physics.losses.laws import loss_law
from flowsim.system.tanks import DipTable, Solid, StatedLevel, Tank


def joined_tanks(
    assembly: Assembly, position: int, *, one_way: bool = False
) -> tuple[frozenset[int], ...]:
    """Group the tanks that open lines join in a selector position.

    Parameters
    ----------
    assembly : Assembly
    position : int
        Index of the selector position.
    one_way : bool
        Whether a line with a one-way valve counts: fuel passes it in one direction.

    Returns
    -------
    tuple of frozenset of int
        Groups of two tanks (indices) or more; a tank joins what its outlets are joined to. The
        engine counts as a junction, not as a tank.
    """
    groups = _groups(assembly, position, one_way=one_way)
    members: dict[int, set[int]] = {}
    for tank, root in groups.items():
        members.setdefault(root, set()).add(tank)
    return tuple(frozenset(tanks) for tanks in members.values() if len(tanks) > 1)


def never_parted(assembly: Assembly) -> tuple[tuple[int, int], ...]:
    """Give the pairs of tanks (indices) between which fuel runs whatever the selectors say.

    Both ways, and only where fuel of one can stand as high as fuel of the other: a header below a
    wing tank is not meant.
    """
    found = [
        {pair for group in joined_tanks(assembly, index) for pair in combinations(sorted(group), 2)}
        for index in range(len(assembly.positions))
    ]
    tanks = assembly.system.tanks
    always = set.intersection(*found) if found else set()
    return tuple(pair for pair in sorted(always) if _at_one_height(tanks[pair[0]], tanks[pair[1]]))


def _groups(assembly: Assembly, position: int, *, one_way: bool) -> dict[int, int]:
    network, system = assembly.network, assembly.system
    parent = list(range(len(network.node_names)))

    def root(node: int) -> int:
        while parent[node] != node:
            node = parent[node]
        return node

    for index, line in enumerate(system.lines):
        passes = one_way or not any(loss_law(part).is_one_way for part in line.parts)
        if assembly.line_allowed[position][index] and passes:
            parent[root(int(network.start[index]))] = root(int(network.end[index]))
    groups: dict[int, int] = {}
    # An outlet of its own is a node of its own: outlets of one tank join through the tank.
    for node, tank, _ in assembly.outlets:
        if tank in groups:
            parent[root(node)] = root(groups[tank])
        groups[tank] = node
    return {tank: root(node) for tank, node in groups.items()}


def _at_one_height(first: Tank, second: Tank) -> bool:
    """Tell whether fuel of one can stand as high as fuel of the other."""
    if isinstance(first.shape, StatedLevel) or isinstance(second.shape, StatedLevel):
        return False
    (low_1, high_1), (low_2, high_2) = _heights(first), _heights(second)
    return low_1 < high_2 and low_2 < high_1


def _heights(tank: Tank) -> tuple[float, float]:
    shape = tank.shape
    if isinstance(shape, Solid):
        heights = [corner.waterline for corner in shape.corners]
        return min(heights), max(heights)
    if isinstance(shape, DipTable):
        return shape.at.waterline, shape.at.waterline + shape.dips[-1]
    return shape.surface.waterline, shape.surface.waterline
