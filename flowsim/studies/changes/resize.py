"""Another size of tube or hose in a line, and which of its parts go with it."""

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

from flowsim.errors import DomainError
from flowsim.physics.course.tube_sizes import (
    FLARED_FITTING_BORE,
    HOSE_BEND_RADIUS,
    HOSE_BORE,
    INCH,
    TUBE_BEND_RADIUS,
    TUBES,
)
from flowsim.physics.losses.fitting_catalogue import BORE_BAND, traits_of
from flowsim.physics.losses.formed_fittings import bend, bend_source, hose_barb
from flowsim.physics.losses.laws import loss_law
from flowsim.physics.losses.roughness import ROUGHNESS
from flowsim.studies.changes.joined import with_joints_of
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line, Node, Selector, Tee
from flowsim.system.parts import FlowCoefficient, MinorLoss, Part, Pipe, is_tube

TRIED = "tried"
"""Source of the bore of a size that is tried."""
SAME = 2e-5
"""[m] Bores this near are the same bore."""

TUBE_DENSITY = {
    "aluminium tube": 2700.0,
    "copper tube": 8940.0,
    "brass tube": 8500.0,
    "stainless steel tube": 7900.0,
    "steel tube": 7850.0,
}
"""[kg/m3] Common handbook values, from memory; alloys differ by a few percent."""


@dataclass(frozen=True, slots=True)
class Size:
    """A size of tube or hose.

    ``bore`` [m]; ``outside_diameter`` and ``wall`` [m] None where only the bore is known; ``dash``
    None where it has none; ``is_hose``.
    """

    name: Said
    bore: float
    outside_diameter: float | None = None
    wall: float | None = None
    dash: int | None = None
    is_hose: bool = False


class FittingNamed(NamedTuple):
    """A fitting: its name, that with its bores in words, and the line if it is a formed bend."""

    name: Said
    words: Said
    bend_of: str = ""


@dataclass(frozen=True, slots=True)
class Resized:
    """A system with another size: what followed it, what stayed, and remarks, in words."""

    system: FuelSystem
    followed: tuple[FittingNamed, ...]
    stayed: tuple[FittingNamed, ...]
    remarks: tuple[Said, ...]


def trade_tubes() -> tuple[Size, ...]:
    """Tubes of the trade, smallest bore first."""
    found = [
        Size(
            saying("resize.tube", tube=tube.name),
            tube.bore,
            tube.outside_diameter,
            tube.wall,
            tube.dash,
        )
        for tube in TUBES
    ]
    return tuple(sorted(found, key=lambda size: size.bore))


def trade_hoses() -> tuple[Size, ...]:
    """Hoses of the trade by specification, smallest bore first."""
    found = [
        Size(saying("resize.hose", name=name, dash=dash), bore, dash=dash, is_hose=True)
        for name, bores in HOSE_BORE.items()
        for dash, bore in bores.items()
    ]
    return tuple(sorted(found, key=lambda size: size.bore))


def size_of(line: Line) -> Size:
    """Give the size that a line has."""
    outside = line.outside_diameter
    dash = None
    if outside is not None:
        sixteenths = 16.0 * outside / INCH
        if abs(sixteenths - round(sixteenths)) < 0.01:
            dash = round(sixteenths)
    is_hose = "hose" in line.material
    size = saying("resize.bore", bore=line.bore)
    if outside is not None and line.wall is not None:
        size = saying("resize.tube_and_bore", outside=outside, wall=line.wall, bore=line.bore)
    name = saying("resize.hose_as_it_is" if is_hose else "resize.tube_as_it_is", size=size)
    return Size(name, line.bore, outside, line.wall, dash, is_hose)


def resized(system: FuelSystem, names: tuple[str, ...], size: Size) -> Resized:
    """Put another size into some lines.

    The line's own tube or hose changes, in one piece or in several, and of the fittings that are
    bought with it those whose bore was the line's bore (so its bends and straight unions) or the
    bore of a flared fitting of the old dash number, where the new size has one. A tee follows if
    all its lines change and its bore is such a bore. Bends and tees at plain places are those of
    the lines as they are then. Everything else stays: tank outlets, bowls, meters, filters,
    selectors, screens, stated losses, pieces of other size; but a tee, a selector or a stated loss
    of the line's own bore goes with it to a smaller size, because that may be where its bore is
    from.

    Parameters
    ----------
    system : FuelSystem
    names : tuple of str
        Lines to change.
    size : Size

    Returns
    -------
    Resized

    Raises
    ------
    DomainError
        For a line that is not there, or a bend too tight for the size.
    """
    known = {line.name: line for line in system.lines}
    for name in names:
        if name not in known:
            listed = ", ".join(f'"{line}"' for line in known)
            raise DomainError(f'no line is called "{name}"; there are {listed}')
    followed: list[FittingNamed] = []
    stayed: list[FittingNamed] = []
    remarks: list[Said] = []
    lines = []
    for line in system.lines:
        if line.name not in names:
            lines.append(line)
            continue
        parts = []
        for index, part in enumerate(line.parts):
            new = _own(part, line, size) if _is_own(line, index) else _followed(part, line, size)
            parts.append(_rejoined(new, line.bore, size.bore))
            bore = loss_law(part).bore(part)
            joint = isinstance(part, MinorLoss) and bool(part.joint)
            if not _is_own(line, index) and not math.isnan(bore) and not joint:
                name = f"{line.name}: {part.name}"
                bend_of = line.name if traits_of(loss_law(part).kind(part)).is_bend else ""
                if new is part:
                    words = saying("resize.stayed", name=name, bore=bore)
                    stayed.append(FittingNamed(name, words, bend_of))
                else:
                    now = loss_law(new).bore(new)
                    words = saying("resize.followed", name=name, bore=bore, now=now)
                    followed.append(FittingNamed(name, words, bend_of))
        remarks += _bend_remarks(line, size)
        lines.append(_with_size(line, tuple(parts), size))
    nodes = tuple(
        _selector(node, known, names, size, followed, stayed)
        if isinstance(node, Selector)
        else _tee(node, names, known, size, followed, stayed)
        for node in system.nodes
    )
    joined = with_joints_of(lines, system.drains, system.lines)
    return Resized(
        replace(system, lines=joined, nodes=nodes),
        tuple(followed),
        tuple(stayed),
        tuple(dict.fromkeys(remarks)),
    )


def tube_mass(system: FuelSystem, names: tuple[str, ...], size: Size) -> float:
    """Mass of the lines' tube [kg]; NaN for hose, and where wall or material is not known."""
    if size.outside_diameter is None or size.is_hose:
        return math.nan
    area = 0.25 * math.pi * (size.outside_diameter**2 - size.bore**2)
    mass = 0.0
    for line in system.lines:
        if line.name in names:
            material = "aluminium tube" if "hose" in line.material else line.material
            mass += TUBE_DENSITY.get(material, math.nan) * area * line.length
    return mass


def fuel_held(system: FuelSystem, names: tuple[str, ...], size: Size) -> float:
    """Fuel in the lines [m3]."""
    length = sum(line.length for line in system.lines if line.name in names)
    return 0.25 * math.pi * size.bore**2 * length


def _rejoined(part: Part, before: float, now: float) -> Part:
    """Give a fitting in a tube that has another bore now; a barb's loss is that of both bores."""
    if not isinstance(part, MinorLoss):
        return part
    if traits_of(part.kind).is_barb and part.bore < min(before, now):
        old, new = (hose_barb(bore, part.bore, part.name) for bore in (before, now))
        if math.isclose(part.k_inf, old.k_inf):  # worked out from both bores, not stated
            part = replace(part, k_inf=new.k_inf, k_laminar=new.k_laminar)
    if part.joins is None:
        return part
    first, second = (now if abs(bore - before) < SAME else bore for bore in part.joins)
    return replace(part, joins=(first, second))


def _is_own(line: Line, index: int) -> bool:
    """Tell whether a part is the line's own tube or hose: the first, and pieces of the same."""
    part = line.parts[index]
    if not is_tube(part):
        return False
    first = line.pipes[0]
    same_bore = abs(part.bore - line.bore) < SAME
    return part is first or (same_bore and part.material == first.material)


def _own(part: Part, line: Line, size: Size) -> Part:
    assert is_tube(part)
    same = abs(size.bore - line.bore) < 1e-9
    return replace(
        part,
        bore=size.bore,
        bore_band=part.bore_band if same else BORE_BAND,
        material=_material(part.material, size),
        roughness=_roughness(part, size),
        source=TRIED,
    )


def _material(material: str, size: Size) -> str:
    if size.is_hose == ("hose" in material):
        return material
    return "rubber hose" if size.is_hose else "aluminium tube"


def _roughness(part: Pipe, size: Size) -> float:
    material = _material(part.material, size)
    return part.roughness if material == part.material else ROUGHNESS[material]


def _followed(part: Part, line: Line, size: Size) -> Part:
    """Give the part as it is in the new size; the very same where it stays."""
    if isinstance(part, FlowCoefficient):  # its bore is that of its laminar loss alone
        own = part.k_laminar > 0 and abs(part.bore - line.bore) < SAME
        return replace(part, bore=size.bore) if own and size.bore < line.bore else part
    if not isinstance(part, MinorLoss) or size.bore == line.bore:
        return part
    traits = traits_of(part.kind)
    own = abs(part.bore - line.bore) < SAME
    if part.joint:
        return part
    if part.kind == "loss" and own and size.bore < line.bore:
        return replace(part, bore=size.bore)
    if not traits.follows_tube:
        return part
    if own:
        return _bend(part, line, size) if traits.is_bend else replace(part, bore=size.bore)
    flared = _flared(part.bore, line, size)
    return part if flared is None else replace(part, bore=flared)


def _flared(bore: float, line: Line, size: Size) -> float | None:
    """Bore of a flared fitting in the new size, where the old one is one of the line's size."""
    old = size_of(line).dash
    if old is None or size.dash is None or size.is_hose:
        return None
    before, after = FLARED_FITTING_BORE.get(old), FLARED_FITTING_BORE.get(size.dash)
    if before is None or after is None or abs(bore - before) >= SAME:
        return None
    return after


def _bend(part: MinorLoss, line: Line, size: Size) -> Part:
    """Give a formed bend of the same radius in another bore: tighter in bores, so it loses more."""
    radius, angle = part.bend_radius, part.bend_angle
    if radius is None or angle is None:
        return replace(part, bore=size.bore)
    before = bend(0.5 * math.pi, radius, line.bore, part.name).k_inf
    after = bend(0.5 * math.pi, radius, size.bore, part.name).k_inf
    return replace(
        part,
        bore=size.bore,
        k_inf=part.k_inf * after / before,
        k_laminar=part.k_laminar * after / before,
        source=bend_source(angle, radius, size.bore),
    )


def _with_size(line: Line, parts: tuple[Part, ...], size: Size) -> Line:
    return replace(
        line,
        parts=parts,
        bore=size.bore,
        material=_material(line.material, size),
        outside_diameter=size.outside_diameter,
        wall=size.wall,
    )


def _bend_remarks(line: Line, size: Size) -> list[Said]:
    """Say where the line's bends are tighter than the size allows."""
    tightest = line.tightest_bend
    if tightest is None or size.dash is None:
        return []
    if size.is_hose:
        least = HOSE_BEND_RADIUS.get(size.dash)
    else:
        metal = "steel" if "steel" in line.material else "aluminium"
        least = TUBE_BEND_RADIUS[metal].get(size.dash)
    if least is None or tightest >= least - 1e-6:
        return []
    return [
        saying("resize.bends_tighter_than_size", line=line.name, tightest=tightest, least=least)
    ]


def _selector(
    node: Selector,
    known: dict[str, Line],
    names: tuple[str, ...],
    size: Size,
    followed: list[FittingNamed],
    stayed: list[FittingNamed],
) -> Selector:
    """Let a selector of its outlet line's own bore follow to a smaller one."""
    loss = node.loss
    if node.outlet not in names or not isinstance(loss, MinorLoss):
        return node
    name = saying("resize.selector", node=node.name)
    was, now = loss.bore, size.bore
    if abs(was - known[node.outlet].bore) >= SAME or now >= was:
        stayed.append(FittingNamed(name, saying("resize.stayed", name=name, bore=was)))
        return node
    followed.append(FittingNamed(name, saying("resize.followed", name=name, bore=was, now=now)))
    return replace(node, loss=replace(loss, bore=now))


def _tee(
    node: Node,
    names: tuple[str, ...],
    known: dict[str, Line],
    size: Size,
    followed: list[FittingNamed],
    stayed: list[FittingNamed],
) -> Node:
    """Let a tee follow where all its lines change; note it where it touches one."""
    if not isinstance(node, Tee):
        return node
    legs = {*node.run, node.branch}
    if not legs & set(names):
        return node
    name = saying("resize.tee", node=node.name)
    new = node.bore
    line = known[node.common]
    if legs <= set(names):
        if abs(node.bore - line.bore) < SAME:
            new = size.bore
        else:
            new = _flared(node.bore, line, size) or node.bore
    elif node.common in names and abs(node.bore - line.bore) < SAME:
        new = min(node.bore, size.bore)
    if new == node.bore:
        stayed.append(FittingNamed(name, saying("resize.stayed", name=name, bore=new)))
        return node
    followed.append(
        FittingNamed(name, saying("resize.followed", name=name, bore=node.bore, now=new))
    )
    return replace(node, bore=new)
