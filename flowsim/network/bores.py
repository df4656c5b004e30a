"""Which bore is where: along each line, at each place where lines meet, and the steps between.

What decides: docs/theory/losses.md, "Steps of bore". A part either has a bore of its own, which the
flow steps into and out of, or its loss holds its own steps already; then the flow steps from the
bore before it straight into the bore behind it.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from flowsim.measures import BORE
from flowsim.network.elements import PlacedPart
from flowsim.physics.arrays import FloatArray
from flowsim.physics.losses.fitting_catalogue import traits_of
from flowsim.physics.losses.laws import loss_law
from flowsim.physics.losses.step_laws import STEPS
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line, Selector, Tee
from flowsim.system.parts import AnyPart, Step, is_tube

ONE_BORE = 1e-6
"""[-] Bores that differ by less are one bore: that is rounding of units."""


@dataclass(frozen=True, slots=True)
class Ported:
    """A part with a bore of its own: its ``number`` among the parts, bores ``left``, ``right`` [m].

    Left is where its line starts.
    """

    number: int
    left: float
    right: float


@dataclass(frozen=True, slots=True)
class BorePiece:
    """A piece of one bore [m] along a line, from ``begin`` to ``end`` (shares of its length)."""

    begin: float
    end: float
    bore: float


def ported(parts: Sequence[AnyPart]) -> tuple[Ported, ...]:
    """Find the parts that the flow steps into and out of, in order.

    Parameters
    ----------
    parts : sequence of Part
        Of one line, in order.

    Returns
    -------
    tuple of Ported
        A stated change of size is turned so that it fits what stands beside it.
    """
    plain = [loss_law(part).ends(part) for part in parts]
    found: list[Ported] = []
    for number, ends in enumerate(plain):
        if ends is None:
            continue
        left, right = ends
        if left != right:
            before = found[-1].right if found else None
            after = next((other[0] for other in plain[number + 1 :] if other is not None), None)
            if _misfit(right, left, before, after) < _misfit(left, right, before, after):
                left, right = right, left
        found.append(Ported(number, left, right))
    return tuple(found)


def _misfit(left: float, right: float, before: float | None, after: float | None) -> float:
    """Tell how far a change of size is from fitting its neighbours."""
    off = 0.0 if before is None else abs(math.log(left / before))
    return off if after is None else off + abs(math.log(right / after))


def end_bores(line: Line) -> tuple[float, float]:
    """Give the bores [m] with which a line begins and ends; its own where no part has one.

    Parameters
    ----------
    line : Line
        With its parts.

    Returns
    -------
    tuple of float
        [m] At its start and at its end.
    """
    found = ported(line.parts)
    return (found[0].left, found[-1].right) if found else (line.bore, line.bore)


def node_bores(system: FuelSystem) -> dict[str, float]:
    """Give the bore [m] of every place where lines meet.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    dict of name to bore
        [m] An outlet's, a tee's, a selector's own bore; of a junction, the inlet, and a selector
        whose loss holds its own steps, the widest of the lines there that are not closed. So two
        lines that meet step straight from one into the other.
    """
    bores = {name: outlet.bore for name, (_, outlet) in system.outlet_nodes().items()}
    for name in (*(node.name for node in system.nodes), system.engine.inlet):
        bores[name] = max(_bores_at(system, name), default=math.nan)
    for node in system.nodes:
        if isinstance(node, Tee):
            bores[node.name] = node.bore
        elif (
            isinstance(node, Selector) and (ends := loss_law(node.loss).ends(node.loss)) is not None
        ):
            bores[node.name] = ends[0]
    return bores


def inlet_bore(system: FuelSystem) -> float:
    """Bore [m] of the last piece at the engine's inlet; of several lines the narrowest.

    Parameters
    ----------
    system : FuelSystem
        With a line at its inlet.

    Returns
    -------
    float
        [m]
    """
    return min(_bores_at(system, system.engine.inlet))


def _bores_at(system: FuelSystem, node: str) -> list[float]:
    """Give the bores with which lines end at a node: of those that are open, if any is."""
    there = [line for line in system.lines if node in (line.start, line.end)]
    found = []
    for line in [line for line in there if not line.closed] or there:
        begin, end = end_bores(line)
        found += [begin] * (line.start == node) + [end] * (line.end == node)
    return found


def with_steps(
    parts: Sequence[PlacedPart], start: float, end: float
) -> tuple[tuple[PlacedPart, ...], float]:
    """Put the steps of bore between the parts of a link.

    Parameters
    ----------
    parts : sequence of PlacedPart
        The link's own parts, in order.
    start, end : float
        [m] Bores of the places where the link begins and ends; ``end`` NaN: it ends with its last
        part.

    Returns
    -------
    tuple of PlacedPart, float
        The same parts with steps before, inside, between and behind them; the bore [m] at the end.
    """
    found = {item.number: item for item in ported([placed.part for placed in parts])}
    made: list[PlacedPart] = []
    here = start
    for number, placed in enumerate(parts):
        item, part = found.get(number), placed.part
        if item is None:
            made.append(placed)
            continue
        made += steps(here, item.left)
        law = loss_law(part)
        if traits_of(law.kind(part)).is_size_change:
            made += steps(item.left, item.right, of=placed)
        else:
            own, count = law.bore(part), law.count(part)
            made += [
                *steps(item.left, own, count=count),
                placed,
                *steps(own, item.right, count=count),
            ]
        here = item.right
    last = here if math.isnan(end) else end
    return (*made, *steps(here, last)), last


def steps(
    left: float, right: float, *, count: int = 1, of: PlacedPart | None = None
) -> tuple[PlacedPart, ...]:
    """Give the two laws of a step of bore, one for each way; none for equal bores.

    Parameters
    ----------
    left, right : float
        Bores [m] towards the start and the end of the link.
    count : int
        How many in a row.
    of : PlacedPart, optional
        The thing that is the step, where it is no plain one.

    Returns
    -------
    tuple of PlacedPart
    """
    if abs(left - right) <= ONE_BORE * max(left, right):
        return ()
    words = f"step of bore {BORE.change(left, right)}"
    back = f"step of bore {BORE.change(right, left)}"
    many = f", {count} of them" if count > 1 else ""
    key, owner, name = (STEPS, "", "") if of is None else (of.key, of.owner, of.part.name)
    return (
        PlacedPart(
            part=Step(name=name or words + many, bore_from=left, bore_to=right, count=count),
            key=key,
            owner=owner,
            direction=1,
        ),
        PlacedPart(
            part=Step(name=name or back + many, bore_from=right, bore_to=left, count=count),
            key=key,
            owner=owner,
            direction=-1,
        ),
    )


def bore_pieces(line: Line) -> tuple[BorePiece, ...]:
    """Give the pieces of a line in order, each with where it lies along it.

    Parameters
    ----------
    line : Line

    Returns
    -------
    tuple of BorePiece
        By the lengths of its tubes and hoses in their order; one of the line's own bore where it
        has none. Fittings have no length.
    """
    pipes = [pipe for pipe in line.pipes if pipe.length > 0.0]
    if not pipes:
        return (BorePiece(0.0, 1.0, line.bore),)
    whole = sum(pipe.length for pipe in pipes)
    found, done = [], 0.0
    for pipe in pipes:
        begin, done = done, done + pipe.length
        found.append(BorePiece(begin / whole, done / whole, pipe.bore))
    return tuple(found)


def throats(line: Line) -> tuple[tuple[float, float], ...]:
    """Give where along a line (share of its length) fittings stand, and their bores [m].

    Parameters
    ----------
    line : Line

    Returns
    -------
    tuple of (float, float)
        Share [-] and bore [m] of the fittings that the flow steps into, each behind the tubes
        listed before it.
    """
    whole = sum(pipe.length for pipe in line.pipes)
    inside = {item.number for item in ported(line.parts)}
    found, done = [], 0.0
    for number, part in enumerate(line.parts):
        if is_tube(part):
            done += part.length
        elif number in inside:
            found.append((done / whole if whole > 0.0 else 0.0, loss_law(part).bore(part)))
    return tuple(found)


def port_bores(system: FuelSystem) -> tuple[FloatArray, FloatArray]:
    """Give the smallest and the largest bore [m] at the start and at the end of each line.

    Parameters
    ----------
    system : FuelSystem

    Returns
    -------
    tuple of FloatArray (line, 2)
        [m] Of the line's last piece there and of the tee or selector that it is screwed to.
    """
    own = node_bores(system)
    fixed = {node.name for node in system.nodes if isinstance(node, Tee | Selector)}
    found = []
    for line in system.lines:
        for bore, node in zip(end_bores(line), (line.start, line.end), strict=True):
            found.append((bore, own[node] if node in fixed else bore))
    both = np.sort(np.array(found, dtype=np.float64).reshape(-1, 2, 2), axis=2)
    return both[:, :, 0], both[:, :, 1]
