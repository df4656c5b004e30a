"""The scheme: which place stands where, worked out from the case's lines alone."""

from collections import deque
from itertools import pairwise

from flowsim.document.pictures import Scheme, SchemeLine, SchemeNode, Sort
from flowsim.measures import LENGTH
from flowsim.network.elements import Link
from flowsim.physics.losses.laws import loss_law
from flowsim.physics.losses.step_laws import STEPS
from flowsim.studies.report.collect import ReportStudy
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Selector, Tee
from flowsim.system.parts import is_tube

CARBURETTOR: Sort = "carburettor"


def scheme(study: ReportStudy) -> Scheme:
    """Lay the system out: the engine at the foot, each place by its distance from it in lines.

    Parameters
    ----------
    study : ReportStudy

    Returns
    -------
    Scheme
        Tanks without a way to the engine stand in the top row.
    """
    system = study.system
    ranks = _ranks(system)
    places = _places(system, ranks)
    outlets = system.outlet_nodes()
    names = list(ranks)
    nodes = [
        SchemeNode(
            name=name,
            sort=_sort(system, name),
            tank=outlets[name][0].name if name in outlets else "",
            rank=ranks[name],
            place=places[name],
        )
        for name in names
    ]
    fittings = {link.name: _fittings(link) for link in study.assembly.network.links}
    lines = [
        SchemeLine(
            number=place,
            start=names.index(line.start),
            end=names.index(line.end),
            label=f"{LENGTH.cell(line.bore, 1)} x {LENGTH.cell_with_unit(line.length, 0)}",
            fittings=fittings[line.name],
            closed=line.closed,
        )
        for place, line in enumerate(system.lines, 1)
    ]
    carburettor = system.engine.carburettor
    if carburettor is not None:
        nodes.append(
            SchemeNode(
                name=CARBURETTOR, sort=CARBURETTOR, tank="", rank=-1,
                place=places[system.engine.inlet],
            )
        )  # fmt: skip
        lines.append(
            SchemeLine(
                number=len(lines) + 1,
                start=names.index(system.engine.inlet),
                end=len(nodes) - 1,
                label=CARBURETTOR,
                fittings=len(carburettor.parts),
                closed=False,
            )
        )
    return Scheme(nodes=tuple(nodes), lines=tuple(lines))


def _fittings(link: Link) -> int:
    """Count what is no pipe and no step of bore and acts on forward flow."""
    return sum(
        not is_tube(placed.part)
        and loss_law(placed.part).cause != STEPS
        and placed.direction >= 0
        and placed.share == 1.0
        for placed in link.parts
    )


def _sort(system: FuelSystem, name: str) -> Sort:
    if name == system.engine.inlet:
        return "engine"
    if name in system.outlet_nodes():
        return "outlet"
    node = next(item for item in system.nodes if item.name == name)
    if isinstance(node, Tee):
        return "tee"
    return "selector" if isinstance(node, Selector) else "junction"


def _ranks(system: FuelSystem) -> dict[str, int]:
    """Give each place its distance from the engine in lines."""
    joined: dict[str, list[str]] = {name: [] for name in system.places()}
    for line in system.lines:
        joined[line.start].append(line.end)
        joined[line.end].append(line.start)
    ranks = {system.engine.inlet: 0}
    queue = deque([system.engine.inlet])
    while queue:
        here = queue.popleft()
        for far in joined[here]:
            if far not in ranks:
                ranks[far] = ranks[here] + 1
                queue.append(far)
    top = max(ranks.values())
    return {name: ranks.get(name, top) for name in joined}


def _places(system: FuelSystem, ranks: dict[str, int]) -> dict[str, float]:
    """Give each place 0 to 1 across: outlets in file order, the others under what feeds them."""
    outlets = list(system.outlet_nodes())
    places = {name: (place + 0.5) / len(outlets) for place, name in enumerate(outlets)}
    for rank in sorted(set(ranks.values()), reverse=True):
        row = [name for name, its in ranks.items() if its == rank and name not in places]
        for name in row:
            above = [
                places[far]
                for line in system.lines
                for near, far in ((line.start, line.end), (line.end, line.start))
                if near == name and far in places and ranks[far] >= rank
            ]
            places[name] = sum(above) / len(above) if above else 0.5
        _apart([name for name, its in ranks.items() if its == rank], places)
    return places


def _apart(row: list[str], places: dict[str, float]) -> None:
    """Spread a row evenly where two of its places would lie on each other."""
    ordered = sorted(row, key=lambda name: places[name])
    gap = 0.6 / max(len(row), 1)
    if any(places[after] - places[before] < gap for before, after in pairwise(ordered)):
        for index, name in enumerate(ordered):
            places[name] = (index + 0.5) / len(ordered)
