"""Bends, supports and sag: how the lines are formed and held."""

import math
from collections.abc import Sequence
from itertools import pairwise

import numpy as np

from flowsim.physics.course.beam import (
    flexural_rigidity,
    mid_sag,
    rigidity_from_sag,
    sag_dip,
    weight_per_length,
)
from flowsim.physics.course.centre_line import Arc
from flowsim.physics.course.height_profile import upward
from flowsim.physics.course.line_materials import (
    ASSUMED_HOSE_WALL,
    FITTING_SPAN_SHARE,
    largest_span,
    least_bend_radius,
    wall_material,
)
from flowsim.physics.losses.fitting_catalogue import traits_of
from flowsim.physics.losses.laws import loss_law
from flowsim.studies.routing.courses import LaidLine
from flowsim.studies.routing.result import AttitudeView, Bend, SupportSpan
from flowsim.studies.saying import NOTHING, Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.lines import Line
from flowsim.system.parts import Part, is_tube
from flowsim.system.routing import Installation

AT_END = 0.01
"""[m] A support so near an end of its line, or another support, is one with it."""

MEASURING = 5e-4
"""[m] A bend radius less than the least by no more than this is the least (common practice)."""


def outside_diameter_of(line: Line, installation: Installation) -> float:
    """Give the outside diameter [m], of a hose of unknown size by a usual wall."""
    stated = line.outside_diameter or installation.hose_outside_diameter
    return stated or line.bore + 2.0 * ASSUMED_HOSE_WALL


def bends_of(system: FuelSystem, lines: Sequence[LaidLine]) -> tuple[Bend, ...]:
    """Give every bend with the least radius that its tube or hose allows.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine

    Returns
    -------
    tuple of Bend
        The least radius is the stated one, else that of the handbook table (``least_bend_radius``).
    """
    found: list[Bend] = []
    by_name = {line.name: line for line in system.all_lines}
    for laid in lines:
        line = by_name[laid.name]
        stated = system.routing.installation(laid.name).least_bend_radius
        table = least_bend_radius(wall_material(line.material), line.outside_diameter, line.bore)
        least, exact = None, False
        source: Said = NOTHING
        if stated is not None:
            least, exact, source = stated, True, saying("supports.stated_case")
        elif table is not None:
            least, exact, source = table.value, table.exact, table.source
        bent = [(p.number, p.angle, p.radius) for p in laid.centre.pieces if isinstance(p, Arc)]
        bent += [
            (n, c.angle, c.radius) for n, c in enumerate(line.corners, 1) for _ in range(c.count)
        ]
        found += [
            Bend(
                line=laid.name, point=point, angle=angle, radius=radius,
                least=least, exact=exact, source=source,
            )
            for point, angle, radius in bent
        ]  # fmt: skip
    return tuple(found)


def straight_rigid_lines(system: FuelSystem, lines: Sequence[LaidLine]) -> tuple[str, ...]:
    """Name rigid lines without a bend between the fittings at their ends.

    A line of unknown course is left out; so is one with a piece of hose in it.
    """
    by_name = {line.name: line for line in system.all_lines}
    found = []
    for laid in lines:
        line = by_name[laid.name]
        pipes = [wall_material(pipe.material) for pipe in line.pipes]
        is_soft = any(pipe is not None and pipe.is_soft for pipe in pipes)
        bent = any(isinstance(piece, Arc) for piece in laid.centre.pieces)
        if laid.known and not bent and not is_soft and wall_material(line.material) is not None:
            found.append(laid.name)
    return tuple(found)


def support_places(laid: LaidLine, installation: Installation) -> tuple[float, ...] | None:
    """Give how far along a line its stated supports are [m], None where none are stated."""
    if installation.supports_at is None and installation.supports_along is None:
        return None
    places = [laid.centre.nearest(at)[0] for at in installation.supports_at or ()]
    places += [min(along, laid.length) for along in installation.supports_along or ()]
    return tuple(sorted(places))


def span_limit(line: Line, installation: Installation) -> tuple[float | None, Said]:
    """Give the largest distance between supports [m] of a line and its source.

    What is stated is used as it is. Of the handbook table, the span of tube is a fifth less where
    fittings other than bends sit on the line.
    """
    if installation.largest_span is not None:
        return installation.largest_span, saying("supports.stated_case")
    material = wall_material(line.material)
    table = largest_span(material, line.outside_diameter)
    if table is None:
        return None, ""
    carries = any(not is_tube(part) and not is_bend(part) for part in line.parts)
    if carries and material is not None and not material.is_soft:
        return FITTING_SPAN_SHARE * table.value, saying(
            "supports.less_fittings", source=table.source
        )
    return table.value, table.source


def spans_of(
    system: FuelSystem, lines: Sequence[LaidLine], views: Sequence[AttitudeView]
) -> tuple[SupportSpan, ...]:
    """Give every span between supports, with its sag where the stiffness is known.

    Parameters
    ----------
    system : FuelSystem
    lines : sequence of LaidLine
    views : sequence of AttitudeView

    Returns
    -------
    tuple of SupportSpan
        Of lines whose supports are stated. The ends of a line count as held. A bent span is taken
        as straight between its supports, as long as the line there.
    """
    found = []
    by_name = {line.name: line for line in system.all_lines}
    for laid in lines:
        installation = system.routing.installation(laid.name)
        places = support_places(laid, installation)
        if places is None:
            continue
        line = by_name[laid.name]
        inner = [x for x in places if AT_END < x < laid.centre.length - AT_END]
        for start, end in pairwise([0.0, *inner, laid.centre.length]):
            if end - start > AT_END:
                found.append(_span(system, laid, line, installation, views, start, end))
    return tuple(found)


def _span(
    system: FuelSystem,
    laid: LaidLine,
    line: Line,
    installation: Installation,
    views: Sequence[AttitudeView],
    start: float,
    end: float,
) -> SupportSpan:
    chord = laid.centre.point(end) - laid.centre.point(start)
    reach = max(float(np.linalg.norm(chord)), 1e-9)
    falls = []
    for view in views:
        sine = float(chord @ upward(view.gravity)) / reach
        falls.append(abs(math.asin(min(1.0, max(-1.0, sine)))))
    flattest = int(np.argmin(falls))
    limit, source = span_limit(line, installation)
    length = end - start
    sag = fixed = dip = volume = math.nan
    in_range = True
    mass = mass_per_length(line, installation, system.fuel.density_15)
    rigidity = None if math.isnan(mass) else _rigidity(line, installation, mass)
    if rigidity is not None:
        weight = weight_per_length(mass) * float(np.linalg.norm(views[flattest].gravity))
        dipped = sag_dip(weight, length, rigidity, falls[flattest])
        sag, dip, in_range = dipped.sag, dipped.depth, dipped.is_in_range
        fixed = mid_sag(weight * math.cos(falls[flattest]), length, rigidity, "fixed")
        volume = dipped.length * math.pi * line.bore**2 / 4.0
    return SupportSpan(
        line=line.name,
        start=start,
        end=end,
        largest=limit,
        source=source,
        attitude=views[flattest].name,
        fall=falls[flattest],
        sag=sag,
        sag_fixed=fixed,
        dip=dip,
        dip_volume=volume,
        is_in_range=in_range,
    )


def wall_density(line: Line, installation: Installation) -> float:
    """Give the density of a line's wall [kg/m3], stated or by its material; NaN if unknown."""
    material = wall_material(line.material)
    if installation.wall_density is not None:
        return installation.wall_density
    return math.nan if material is None else material.density


def mass_per_length(line: Line, installation: Installation, fuel_density: float) -> float:
    """Give the mass of filled tube or hose per length [kg/m]; NaN where the wall is not known."""
    outside = outside_diameter_of(line, installation)
    wall = wall_density(line, installation) * (outside**2 - line.bore**2)
    return math.pi / 4.0 * (wall + fuel_density * line.bore**2)


def is_bend(part: Part) -> bool:
    """Tell whether a part is a formed bend of the line itself."""
    return traits_of(loss_law(part).kind(part)).is_bend


def _rigidity(line: Line, installation: Installation, mass: float) -> float | None:
    """Give E I [N m2] from a measured sag, else of the material's modulus; None if unknown."""
    if installation.measured_sag is not None and installation.measured_span is not None:
        weight = weight_per_length(mass)
        return rigidity_from_sag(weight, installation.measured_span, installation.measured_sag)
    material = wall_material(line.material)
    if material is None or material.modulus is None:
        return None
    outside = outside_diameter_of(line, installation)
    return flexural_rigidity(material.modulus, outside, line.bore)
