"""The cut list: tube and hose to cut, sleeves, supports, fittings, and what they weigh."""

import math
from collections import Counter
from collections.abc import Sequence

from flowsim.physics.course.centre_line import Arc
from flowsim.physics.course.line_materials import wall_material
from flowsim.physics.losses.fitting_catalogue import traits_of
from flowsim.physics.losses.laws import loss_law
from flowsim.studies.routing.courses import LaidLine
from flowsim.studies.routing.result import Clearance, Cut
from flowsim.studies.routing.supports import (
    is_bend,
    outside_diameter_of,
    span_limit,
    support_places,
    wall_density,
)
from flowsim.studies.routing.ticks import protected_length
from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line
from flowsim.system.parts import Part, is_tube
from flowsim.system.routing import Installation, ProtectionKind, Routing

SLEEVE_WALL = 0.002
"""[m] Wall of a protective sleeve (common practice, no source)."""

SLEEVE_DENSITY = 1200.0
"""[kg/m3] Of a sleeve of rubber or plastic (estimate)."""


def cut_list(
    system: FuelSystem, lines: Sequence[LaidLine], clearances: Sequence[Clearance]
) -> tuple[Cut, ...]:
    """Give for each line what to cut and what goes with it.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine
    clearances : sequence of Clearance
        For the sleeves where a line comes too near to something.

    Returns
    -------
    tuple of Cut
        Length to cut: centre-line (or the longer stated length) less the make-up of the fittings at
        its ends, plus the trim at both ends of each piece. Sleeves: those stated, one for each
        stated crossing, one for each thing that is too near, and on soft lines one for each
        support. Wraps: those stated; they are not weighed.
    """
    by_name = {line.name: line for line in system.all_lines}
    return tuple(_cut(system, by_name[laid.name], laid, clearances) for laid in lines)


def fittings(system: FuelSystem) -> tuple[tuple[Said, int], ...]:
    """Count fittings and devices: kind with its bore, and how many; tees and selectors too."""
    counted: Counter[Said] = Counter()
    for line in system.all_lines:
        for part in line.parts:
            if is_tube(part) or is_bend(part):
                continue
            law = loss_law(part)
            # The loss of a tee that only feeds a drain: its one stream passes it.
            kind = "tee" if traits_of(law.kind(part)).is_tee else law.kind(part)
            bore = law.bore(part)
            name: Said = kind
            if not math.isnan(bore):
                name = saying("cut_list.of_bore", kind=kind, bore=bore)
            counted[name] += law.count(part)
    for tee in system.tees:
        counted[saying("cut_list.of_bore", kind="tee", bore=tee.bore)] += 1
    for _ in system.selectors:
        counted["selector"] += 1
    for _ in system.drains:
        counted["drain"] += 1
    return tuple(counted.items())


def _cut(system: FuelSystem, line: Line, laid: LaidLine, clearances: Sequence[Clearance]) -> Cut:
    routing = system.routing
    installation = routing.installation(line.name)
    outside = outside_diameter_of(line, installation)
    pieces = 1 + _unions(line.parts) - _unions(line.outlet_parts)
    make_up = (installation.start_make_up or 0.0) + (installation.end_make_up or 0.0)
    trim = 2.0 * (routing.trim if installation.trim is None else installation.trim) * pieces
    stated = support_places(laid, installation)
    supports = _least_supports(line, installation, laid.length) if stated is None else len(stated)
    sleeves = _sleeve_lengths(routing, line, supports, clearances)
    sleeves += _protected(laid, installation, "sleeve")
    wraps = _protected(laid, installation, "anti-chafe")
    net = laid.length - make_up
    fuel = math.pi / 4.0 * line.bore**2 * laid.length
    wall = wall_density(line, installation) * math.pi / 4.0 * (outside**2 - line.bore**2)
    ring = math.pi * (outside + SLEEVE_WALL) * SLEEVE_WALL
    return Cut(
        line=line.name,
        size=_size_words(line),
        material=line.material,
        centre_line=laid.length,
        make_up=make_up,
        pieces=pieces,
        trim=trim,
        cut=net + trim,
        bends=sum(isinstance(piece, Arc) for piece in laid.centre.pieces)
        + sum(corner.count for corner in line.corners),
        supports=supports,
        supports_stated=stated is not None,
        sleeves=len(sleeves),
        sleeve_length=float(sum(sleeves)),
        wraps=len(wraps),
        wrap_length=float(sum(wraps)),
        tube_mass=wall * net,
        fuel_volume=fuel,
        fuel_mass=fuel * system.fuel.density_15,
        sleeve_mass=ring * SLEEVE_DENSITY * sum(sleeves),
    )


def _unions(parts: Sequence[Part]) -> int:
    """Count the fittings that divide a line; one at a tank outlet parts it from the tank."""
    laws = ((loss_law(part), part) for part in parts)
    return sum(law.count(p) for law, p in laws if traits_of(law.kind(p)).divides_line)


def _protected(laid: LaidLine, installation: Installation, kind: ProtectionKind) -> list[float]:
    """Give the length [m] of each stated sleeve or wrap."""
    mine = [item for item in installation.protection if item.kind == kind]
    return [protected_length(laid, item) for item in mine]


def _least_supports(line: Line, installation: Installation, length: float) -> int:
    """Count the supports that the table asks for; -1 where no table has the size."""
    limit, _ = span_limit(line, installation)
    return -1 if limit is None else max(0, math.ceil(length / limit - 1e-9) - 1)


def _sleeve_lengths(
    routing: Routing, line: Line, supports: int, clearances: Sequence[Clearance]
) -> list[float]:
    """Give the length [m] of each sleeve."""
    lengths = [
        routing.sleeve if crossing.sleeve is None else crossing.sleeve
        for crossing in routing.crossings
        if crossing.line == line.name
    ]
    near = [item for item in clearances if item.line == line.name and item.gap < item.wanted]
    lengths += [routing.sleeve for _ in near]
    material = wall_material(line.material)
    if material is not None and material.is_soft:
        lengths += [routing.sleeve] * max(0, supports)
    return lengths


def _size_words(line: Line) -> Said:
    if line.outside_diameter is not None and line.wall is not None:
        return saying("cut_list.outside_and_wall", outside=line.outside_diameter, wall=line.wall)
    return saying("cut_list.bore", bore=line.bore)
