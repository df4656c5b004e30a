"""Scenarios that are one and the same but for the names of places: left and right of an aeroplane.

Where the lines of one side are those of the other, in every draw too, a scenario with one side's
fuel is the mirror image of one with the other's: both give the same flow, and one is enough. What
does not feed the engine at a selector position is not looked at.
"""

from dataclasses import replace

import numpy as np
import numpy.typing as npt

from flowsim.network.assembly import Assembly
from flowsim.network.conditions import nominal_factors
from flowsim.network.elements import Network
from flowsim.network.scenarios import Situation, situate
from flowsim.network.standing import joined_nodes
from flowsim.physics.arrays import FloatArray, IntArray
from flowsim.studies.delivery.deliver import take
from flowsim.studies.judged.blocks import ScenarioTable
from flowsim.studies.judged.sweep import Sweep
from flowsim.studies.sampling.draws import Draws

DECIMALS = 11
"""Of a metre: heights that differ by less are rounding."""
_Row = tuple[object, ...]


def alike_scenarios(sweep: Sweep, draws: Draws) -> IntArray:
    """Give one number to judged scenarios that give the same flow in every draw.

    Parameters
    ----------
    sweep : Sweep
    draws : Draws
        Of the same system.

    Returns
    -------
    IntArray (judged scenario,)
    """
    rows = sweep.judged_rows
    some, situation = sweep.table.take(rows), take(sweep.situation, rows)
    return _numbers(sweep.assembly, some, situation, draws, sweep.trapped.held_head)


def one_of_each(assembly: Assembly, table: ScenarioTable, draws: Draws | None) -> ScenarioTable:
    """Give the first of all scenarios that are one and the same but for the names of places.

    Parameters
    ----------
    assembly : Assembly
    table : ScenarioTable
    draws : Draws, optional
        In which they have to be the same; without them on nominal values alone.

    Returns
    -------
    ScenarioTable
    """
    blank = np.zeros((len(table.judged), len(assembly.network.links)))
    number = _numbers(assembly, table, situate(assembly, table.scenarios), draws, blank)
    return table.take(np.sort(np.unique(number, return_index=True)[1]))


def _numbers(
    assembly: Assembly,
    table: ScenarioTable,
    situation: Situation,
    draws: Draws | None,
    held: FloatArray,
) -> IntArray:
    """Give numbers to scenarios (scenario,) by what they hang on, seen from either side."""
    network = assembly.network
    nodes, links = np.arange(len(network.node_names)), np.arange(len(network.links))
    fed = _fed(assembly)
    keys = [_keys(assembly, table, situation, held, fed, nodes, links)]
    mirror = mirror_of(assembly, draws)
    if mirror is not None:
        keys.append(_keys(assembly, table, situation, held, fed, *mirror))
    _, number = np.unique(np.concatenate(keys), return_inverse=True)
    return np.asarray(number.reshape(len(keys), -1).min(axis=0), dtype=np.intp)


def mirror_of(assembly: Assembly, draws: Draws | None) -> tuple[IntArray, IntArray] | None:
    """Find which nodes and links may change places without any effect on any flow in any draw.

    Parameters
    ----------
    assembly : Assembly
    draws : Draws, optional
        Nominal values alone without them; the pressures at the vents are then not looked at.

    Returns
    -------
    tuple of IntArray or None
        For each node and each link the one in its place (node,), (link,). None where there is no
        such exchange: an uneven system, or one whose sides have uncertainties of their own.
    """
    network = assembly.network
    rows = [_link_row(assembly, draws, link) for link in range(len(network.links))]
    colour = _numbered(rows)
    nodes = _exchanged_nodes(assembly, draws, colour)
    if nodes is None:
        return None
    links = _exchanged_links(network, colour, nodes)
    return None if links is None else (nodes, links)


def _exchanged_nodes(assembly: Assembly, draws: Draws | None, colour: list[int]) -> IntArray | None:
    """Pair the nodes that look alike from the engine's side; None where nothing changes places."""
    network = assembly.network
    of_node = _numbered(_node_rows(assembly, draws))
    for _ in range(len(of_node)):
        around: list[list[tuple[int, int, int]]] = [[] for _ in of_node]
        for link, (start, end) in enumerate(zip(network.start, network.end, strict=True)):
            around[start].append((colour[link], 1, of_node[end]))
            around[end].append((colour[link], -1, of_node[start]))
        finer = _numbered([(own, *sorted(near)) for own, near in zip(of_node, around, strict=True)])
        if max(finer) == max(of_node):
            break
        of_node = finer
    across = np.nan_to_num(assembly.points[:, 1])
    found = np.arange(len(of_node))
    for number in set(of_node):
        alike = np.flatnonzero(np.array(of_node) == number)
        alike = alike[np.argsort(across[alike], kind="stable")]
        found[alike] = alike[::-1]
    return None if (found == np.arange(len(found))).all() else found


def _exchanged_links(network: Network, colour: list[int], nodes: IntArray) -> IntArray | None:
    """Give the link in each one's place; None where one has none with the same law."""
    found = np.full(len(network.links), -1, dtype=np.intp)
    free = set(range(len(network.links)))
    for link in range(len(network.links)):
        ends = nodes[network.start[link]], nodes[network.end[link]]
        fits = [
            other
            for other in sorted(free)
            if (network.start[other], network.end[other]) == ends and colour[other] == colour[link]
        ]
        if not fits:
            return None
        found[link] = fits[0]
        free.remove(fits[0])
    return found


def _node_rows(assembly: Assembly, draws: Draws | None) -> list[_Row]:
    """Give what tells nodes apart.

    Which end they are, where they lie in height and fore and aft, and what the air over a tank's
    outlet does in each draw.
    """
    points = np.round(assembly.points, DECIMALS) + 0.0
    tank_of = {node: tank for node, tank, _ in assembly.outlets}
    return [
        (
            node if node >= assembly.inlet else -1,
            bool(assembly.network.fixed[node]),
            points[node, [0, 2]].tobytes(),
            draws.vent[:, tank_of[node]].tobytes() if draws and node in tank_of else b"",
        )
        for node in range(len(points))
    ]


def _link_row(assembly: Assembly, draws: Draws | None, link: int) -> _Row:
    """Give all that the law of a link hangs on, in every draw, and what air in it does.

    Its course too: a hump on one side alone holds air there alone.
    """
    network = assembly.network
    factors = nominal_factors(network) if draws is None else draws.factors
    parts = np.flatnonzero(network.part_link == link)
    pipes = np.flatnonzero(network.pipes.link == link)
    exits = np.flatnonzero(network.exits.link == link)
    single = {index for index, _ in network.singles}
    stated = network.coefficients
    smallest, largest = assembly.port_bores
    values = [
        *(getattr(stated, name)[parts] for name in ("quadratic", "linear", "forward", "backward")),
        stated.clear[parts],
        *(getattr(network.pipes, name)[pipes] for name in ("length", "bore", "roughness")),
        *(getattr(network.exits, name)[exits] for name in ("bore", "sign", "turbulent", "laminar")),
        smallest[link],
        largest[link],
        np.array([float(network.one_way[link]), float(network.cracking_pressure[link])]),
        factors.loss[:, parts],
        factors.laminar[:, parts],
        factors.bore[:, pipes],
    ]
    kinds = np.full(len(parts), -1)
    kinds[network.pipes.part[pipes] - parts[0] if len(pipes) else []] = 0
    kinds[network.exits.part[exits] - parts[0] if len(exits) else []] = 1
    measured = tuple(
        replace(network.placed[part].part, name="") for part in parts.tolist() if part in single
    )
    shares = tuple(network.placed[part].share for part in parts.tolist() if part in single)
    route = assembly.system.lines[link].route if link < assembly.open_link else None
    course = np.round([[x, z] for x, _, z in route or ()], DECIMALS) + 0.0
    return (
        kinds.tobytes(),
        course.tobytes(),
        *(np.ascontiguousarray(value).tobytes() for value in values),
        measured,
        shares,
    )


def _numbered(rows: list[_Row]) -> list[int]:
    """Give equal rows one number."""
    numbers: dict[_Row, int] = {}
    return [numbers.setdefault(row, len(numbers)) for row in rows]


def _keys(
    assembly: Assembly,
    table: ScenarioTable,
    situation: Situation,
    held: FloatArray,
    fed: tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]],
    nodes: IntArray,
    links: IntArray,
) -> npt.NDArray[np.void]:
    """Give what each scenario hangs on (scenario,), seen with places exchanged."""
    scenarios, conditions = table.scenarios, situation.conditions
    feeds, joined = fed
    open_link, open_node = feeds[scenarios.position], joined[scenarios.position]
    place = {node: column for column, (node, _, _) in enumerate(assembly.outlets)}
    outlet = np.array([place[int(nodes[node])] for node, _, _ in assembly.outlets])
    tank_of = np.array([tank for _, tank, _ in assembly.outlets])
    seen = open_node[:, nodes[[node for node, _, _ in assembly.outlets]]]
    purpose = np.unique(table.purpose, return_inverse=True)[1].reshape(-1)

    def shown(values: npt.NDArray[np.generic], mask: npt.NDArray[np.bool_]) -> FloatArray:
        return np.where(mask, np.asarray(values, dtype=np.float64), np.inf)

    heights = [
        held[:, links] * open_link[:, links],
        shown(situation.elevation[:, nodes], open_node[:, nodes]),
        shown(conditions.fixed_head[:, nodes], open_node[:, nodes]),
    ]
    others = [
        purpose,
        scenarios.end,
        table.required,
        scenarios.airspeed,
        scenarios.altitude,
        conditions.kinematic_viscosity,
        conditions.density,
        conditions.screen_clear,
        open_link[:, links],
        shown(conditions.allowed[:, links], open_link[:, links]),
        shown(situation.uncovered[:, outlet], seen),
        shown(np.isnan(situation.cover[:, outlet]), seen),
        shown(situation.tank_pressure[:, tank_of[outlet]], seen),
    ]
    whole = np.column_stack([*(np.round(height, DECIMALS) for height in heights), *others])
    whole = np.ascontiguousarray(np.nan_to_num(whole, nan=-1e300, posinf=1e300) + 0.0)
    row = np.dtype((np.void, whole.dtype.itemsize * whole.shape[1]))
    return whole.view(row).reshape(-1)


def _fed(assembly: Assembly) -> tuple[npt.NDArray[np.bool_], npt.NDArray[np.bool_]]:
    """Tell which links and nodes open lines join to the engine (position, link), (position, node).

    The ends behind the inlet are all taken to be joined.
    """
    network = assembly.network
    is_open = assembly.line_allowed > 0
    is_open[:, assembly.open_link :] = False
    nodes = np.zeros((len(is_open), len(network.node_names)), dtype=bool)
    for row, some in enumerate(is_open):
        nodes[row, sorted(joined_nodes(network, some, assembly.inlet))] = True
    through = nodes & ~network.fixed
    links = is_open & (through[:, network.start] | through[:, network.end])
    links[:, assembly.open_link :] = nodes[:, assembly.inlet :] = True
    return links, nodes
