"""What a case says of routing."""

import math
from collections.abc import Sequence
from typing import cast

from flowsim.errors import DomainError
from flowsim.files.case.fuel import split_message
from flowsim.files.case.given import Given
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_lines import CaseFile
from flowsim.files.case.models_routing import InstallationSection, VentLineSection
from flowsim.files.case.names import KnownNames
from flowsim.files.case.places import is_readable, point_of
from flowsim.files.case.protection import protections
from flowsim.files.case.words import did_you_mean
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.examples import example_words
from flowsim.files.units.quantities import shown
from flowsim.measures import LENGTH, VOLUME
from flowsim.physics.course.beam import SMALL_DEFLECTION
from flowsim.physics.course.centre_line import centre_line
from flowsim.physics.tank.surface import capacity_of
from flowsim.system.lines import Line
from flowsim.system.routing import (
    Crossing,
    CrossingKind,
    GroundAttitude,
    Installation,
    LandingGear,
    Obstacle,
    ObstacleKind,
    Routing,
    VentLine,
)
from flowsim.system.tanks import Tank

_STEEPEST_BANK = 1.3089969389957472
"""[rad] 75 deg; beyond, the load factor is no flying."""


def check_slip_fuel(case: CaseFile, tanks: Sequence[Tank | None], ledger: Ledger) -> None:
    """Refuse a slip that is flown with more fuel than any tank holds: it would always be fine.

    Parameters
    ----------
    case
        The file.
    tanks
        As built; None where one could not be.
    ledger
        Receives the mistake.
    """
    given = None if case.routing is None else case.routing.slip_fuel
    held = [capacity_of(tank.shape) or 0.0 for tank in tanks if tank is not None]
    if given is None or None in tanks or not given.value > max(held, default=math.inf) > 0.0:
        return
    ledger.mistake(
        ("routing", "slip_fuel"),
        f"{shown(given.text)} is more than any tank holds, {VOLUME.significant(max(held), 3)}",
        "write the least fuel in the tank in use with which the slip is flown",
    )


def build_routing(
    case: CaseFile, names: KnownNames, lines: Sequence[Line | None], ledger: Ledger
) -> Routing:
    """Build what a case says of routing.

    Parameters
    ----------
    case
        The file's model.
    names
        What exists.
    lines
        The lines that could be built.
    ledger
        Receives mistakes.

    Returns
    -------
    Routing
        With the usual values where the case says nothing.
    """
    _check_names(case, names, ledger)
    section = case.routing
    stated: dict[str, float] = {}
    for key in ("wanted_margin", "bank", "slip", "slip_time", "slip_fuel", "trim", "sleeve"):
        given = None if section is None else getattr(section, key)
        if given is not None:
            stated[key] = given.value
    for key in ("bank", "slip"):
        if stated.get(key, 0.0) > _STEEPEST_BANK:
            ledger.mistake(("routing", key), "is more than 75 deg", f'write {key} = "30 deg"')
    for key in ("slip_time", "slip_fuel"):
        if key in stated and "slip" not in stated:
            ledger.mistake(("routing", key), "is given without slip", 'write slip = "10 deg"')
    if stated.get("slip_time") == 0.0:
        ledger.mistake(("routing", "slip_time"), "is no time", 'write slip_time = "20 s"')
    usual = Routing()
    ground = case.ground
    return Routing(
        ground=None
        if ground is None
        else GroundAttitude(gear=cast(LandingGear, ground.kind), pitch=ground.pitch.value),
        wanted_margin=stated.get("wanted_margin", usual.wanted_margin),
        bank=stated.get("bank", usual.bank),
        slip=stated.get("slip"),
        slip_time=stated.get("slip_time"),
        slip_fuel=stated.get("slip_fuel"),
        trim=stated.get("trim", usual.trim),
        sleeve=stated.get("sleeve", usual.sleeve),
        installations=_installations(case, lines, ledger),
        obstacles=_obstacles(case, ledger),
        crossings=tuple(
            Crossing(
                name=item.name,
                line=item.line,
                kind=cast(CrossingKind, item.kind),
                at=point_of(item.at),
                sleeve=_value(item.sleeve),
            )
            for item in case.crossing
        ),
        vent_lines=tuple(
            vent
            for index, item in enumerate(case.vent_line)
            if (vent := _vent_line(item, ("vent_line", index), ledger)) is not None
        ),
        stated=frozenset(stated),
    )


def _check_names(case: CaseFile, names: KnownNames, ledger: Ledger) -> None:
    for index, crossing in enumerate(case.crossing):
        if crossing.line and crossing.line not in names.lines:
            problem = f"there is no line called {shown(crossing.line)}"
            remedy = did_you_mean(crossing.line, tuple(names.lines))
            ledger.mistake(("crossing", index, "line"), problem, remedy)
    for index, vent in enumerate(case.vent_line):
        if vent.tank and vent.tank not in names.tanks:
            problem = f"there is no tank called {shown(vent.tank)}"
            remedy = did_you_mean(vent.tank, tuple(names.tanks))
            ledger.mistake(("vent_line", index, "tank"), problem, remedy)
    for key, listed in (
        ("obstacle", [item.name for item in case.obstacle]),
        ("crossing", [item.name for item in case.crossing]),
        ("vent_line", [item.name for item in case.vent_line]),
    ):
        for index, name in enumerate(listed):
            if name and name in listed[:index]:
                problem = f"another one is called {shown(name)}"
                ledger.mistake((key, index, "name"), problem, "give each its own name")


def _installations(
    case: CaseFile, lines: Sequence[Line | None], ledger: Ledger
) -> tuple[Installation, ...]:
    built = {line.name: line for line in lines if line is not None}
    found = []
    for index, section in enumerate(case.line):
        laid = section.installation
        if laid is None:
            continue
        path: KeyPath = ("line", index, "installation")
        _check_installation(laid, built.get(section.name), path, ledger)
        found.append(
            Installation(
                line=section.name,
                supports_at=None
                if laid.supports_at is None
                else tuple(point_of(at) for at in laid.supports_at),
                supports_along=None
                if laid.supports_along is None
                else tuple(along.value for along in laid.supports_along),
                measured_sag=_value(laid.sag),
                measured_span=_value(laid.sag_span),
                wall_density=_value(laid.wall_density),
                hose_outside_diameter=_value(laid.outside_diameter),
                least_bend_radius=_value(laid.least_bend_radius),
                largest_span=_value(laid.largest_span),
                trim=_value(laid.trim),
                protection=protections(laid, built.get(section.name), path, ledger),
                start_make_up=_value(laid.start_make_up),
                end_make_up=_value(laid.end_make_up),
            )
        )
    return tuple(found)


def _check_installation(
    laid: InstallationSection, line: Line | None, path: KeyPath, ledger: Ledger
) -> None:
    if (laid.sag is None) != (laid.sag_span is None):
        key = "sag_span" if laid.sag_span is None else "sag"
        ledger.mistake((*path, key), "sag and sag_span go together", f"write {key} as well")
    elif (_value(laid.sag) or 0.0) > SMALL_DEFLECTION * (_value(laid.sag_span) or 0.0):
        problem = "is more than a tenth of sag_span, too much for the beam formula"
        ledger.mistake((*path, "sag"), problem, "measure it over rods nearer to each other")
    if line is None:
        return
    stated = laid.outside_diameter
    if stated is not None and line.outside_diameter is not None:
        problem = "the outside diameter of this line is known from its size"
        ledger.mistake((*path, "outside_diameter"), problem, "delete it")
    elif stated is not None and stated.value <= line.bore:
        problem = f"{shown(stated.text)} leaves no wall about the bore"
        ledger.mistake((*path, "outside_diameter"), problem, "correct one of them")
    for index, along in enumerate(laid.supports_along or ()):
        if along.value > line.length * 1.01:
            problem = (
                f"{shown(along.text)} is beyond the line's end, {LENGTH.words(line.length, 0)}"
            )
            remedy = "correct it, counted from the line's start"
            ledger.mistake((*path, "supports_along", index), problem, remedy)
    made_up = (_value(laid.start_make_up) or 0.0) + (_value(laid.end_make_up) or 0.0)
    if made_up >= line.length:
        problem = (
            f"the make-up of its fittings leaves nothing of its {LENGTH.words(line.length, 0)}"
        )
        ledger.mistake((*path, "start_make_up"), problem, "correct them")


def _obstacles(case: CaseFile, ledger: Ledger) -> tuple[Obstacle, ...]:
    found = []
    for index, item in enumerate(case.obstacle):
        points = tuple(point_of(at) for at in item.points)
        if not points:
            if not ledger.is_reported(("obstacle", index, "points")):
                remedy = example_words('write points = [["10 in", "8 in", "5 in"]]')
                ledger.mistake(("obstacle", index, "points"), "no point is given", remedy)
            continue
        found.append(
            Obstacle(
                name=item.name,
                kind=cast(ObstacleKind, item.kind),
                points=points,
                radius=_value(item.radius) or 0.0,
                least=_value(item.least),
            )
        )
    return tuple(found)


def _vent_line(section: VentLineSection, path: KeyPath, ledger: Ledger) -> VentLine | None:
    points = tuple(point_of(at) for at in section.points)
    radius = _value(section.bend_radius)
    if not all(is_readable(point) for point in points):
        return None
    if ledger.is_reported((*path, "points")):
        return None
    try:
        centre_line(points, radius)
    except DomainError as error:
        ledger.mistake((*path, "points"), *split_message(error))
        return None
    return VentLine(
        name=section.name,
        tank=section.tank,
        route=points,
        bore=section.bore.value,
        bend_radius=radius,
        drains_at=tuple(point_of(at) for at in section.drains_at),
    )


def _value(given: Given | None) -> float | None:
    return None if given is None else given.value
