"""The tanks of a case: outlets, vent, quantities."""

import math

from flowsim.errors import DomainError
from flowsim.files.case.devices import build_screen
from flowsim.files.case.fill import check_fill_factor
from flowsim.files.case.fuel import split_message
from flowsim.files.case.given import Given, GivenPoint
from flowsim.files.case.ledger import Ledger
from flowsim.files.case.models_tanks import OutletSection, TankSection
from flowsim.files.case.places import is_readable, point_of
from flowsim.files.case.shapes import build_shape, full_quantity
from flowsim.files.case.validate import example
from flowsim.files.case.vents import build_vent
from flowsim.files.toml.lines import KeyPath
from flowsim.files.units.quantities import in_unit_of, shown
from flowsim.physics.losses.fitting_catalogue import fitting
from flowsim.physics.tank.solids import contains, extent
from flowsim.system.points import Point
from flowsim.system.tanks import Outlet, Solid, Tank, TankShape

_ON_SKIN = 0.002
_CAPACITY_SHARE = 0.03


def build_tank(section: TankSection, index: int, draw: Given, ledger: Ledger) -> Tank | None:
    """Build one tank.

    Parameters
    ----------
    section
        ``[[tank]]`` of the file.
    index
        Its number in the file, from 0.
    draw
        What one test run draws from it.
    ledger
        Receives mistakes, origins and cautions.

    Returns
    -------
    Tank or None
        None where a mistake prevents it.
    """
    path: KeyPath = ("tank", index)
    shape = build_shape(section, path, ledger)
    outlets = [
        _outlet(outlet, section.name, (*path, "outlet", number), ledger)
        for number, outlet in enumerate(section.outlet)
    ]
    if isinstance(shape, Solid):
        _check_inside(section, path, shape, ledger)
    _check_quantities(section, path, shape, draw, ledger)
    check_fill_factor(section, path, shape, ledger)
    vent = build_vent(section, path, ledger)
    if shape is None or vent is None or None in outlets:
        return None
    return Tank(
        name=section.name,
        shape=shape,
        outlets=tuple(outlet for outlet in outlets if outlet is not None),
        vent=vent,
        placarded_capacity=None if section.capacity is None else section.capacity.value,
        unusable=None if section.unusable is None else section.unusable.value,
        least_takeoff=None if section.least_takeoff is None else section.least_takeoff.value,
        sump=_point_or_none(section.sump_at),
        filler=_point_or_none(section.filler_at),
        vent_at=_point_or_none(section.vent_at),
        volume=None if section.volume is None else section.volume.value,
    )


def _point_or_none(given: GivenPoint | None) -> Point | None:
    return None if given is None else point_of(given)


def _outlet(section: OutletSection, tank: str, path: KeyPath, ledger: Ledger) -> Outlet | None:
    """Build one outlet with its entrance loss and strainer."""
    bore, style = section.bore.value, section.style
    if style is None:
        note = "the dearer of the two: 0.8 velocity heads against 0.5 of a flush one"
        ledger.default((*path, "style"), "standpipe", note)
        style = "standpipe"
    if math.isnan(bore) or not style:
        return None
    node = f"{tank}.{section.name}"
    screen = None
    if section.screen is not None:
        given = section.screen
        size = (given.area, given.mesh, given.wire, given.clear_fraction)
        screen = build_screen(f"{node} strainer", size, (*path, "screen"), ledger)
    try:
        entrance = fitting(f"{style} outlet", bore, f"{node} entrance")
    except DomainError as error:
        ledger.mistake((*path, "bore"), *split_message(error))
        return None
    return Outlet(
        name=section.name,
        at=point_of(section.at),
        bore=bore,
        entrance=entrance,
        screen=screen,
    )


def _check_inside(section: TankSection, path: KeyPath, solid: Solid, ledger: Ledger) -> None:
    """Check that outlets, sump and filler are in their tank."""
    points: list[tuple[KeyPath, GivenPoint]] = [
        ((*path, "outlet", number, "at"), outlet.at) for number, outlet in enumerate(section.outlet)
    ]
    for key in ("sump_at", "filler_at"):
        given: GivenPoint | None = getattr(section, key)
        if given is not None:
            points.append(((*path, key), given))
    for at, given in points:
        point = point_of(given)
        if is_readable(point) and not contains(solid, point, _ON_SKIN):
            ledger.mistake(
                at,
                f"the point is outside its tank, which spans {_span(solid, given)}",
                "correct the point or the tank's points",
            )
    low, high = extent(solid)
    widest = max(b - a for a, b in zip(low, high, strict=True))
    for number, outlet in enumerate(section.outlet):
        if outlet.bore.value > widest:
            ledger.mistake(
                (*path, "outlet", number, "bore"),
                f"{shown(outlet.bore.text)} is wider than the tank",
                f"write {example(OutletSection, 'bore')}",
            )


def _span(solid: Solid, given: GivenPoint) -> str:
    """Say how far a tank reaches, in the units of a point."""
    low, high = extent(solid)
    words = []
    for name, least, most, axis in zip(Point._fields, low, high, given, strict=True):
        if axis.quantity is not None:
            number = in_unit_of(least, axis.quantity).split()[0]
            words.append(f"{name} {number} to {in_unit_of(most, axis.quantity)}")
    return ", ".join(words)


def _check_quantities(
    section: TankSection, path: KeyPath, shape: TankShape | None, draw: Given, ledger: Ledger
) -> None:
    """Check the stated quantities against each other and against the capacity."""
    if section.shape == "level":
        return
    for key in ("unusable", "least_takeoff"):
        if getattr(section, key) is None and not ledger.is_reported((*path, key)):
            remedy = f"write {example(TankSection, key)}"
            ledger.mistake((*path, key), "is missing", remedy)
    full = math.nan if shape is None else full_quantity(shape)
    if section.capacity is not None and section.capacity.quantity is not None:
        placard = section.capacity
        if placard.value > 0.0 and abs(full / placard.value - 1.0) > _CAPACITY_SHARE:
            computed = in_unit_of(full, section.capacity.quantity)
            difference = 100.0 * (full / placard.value - 1.0)
            ledger.caution(
                path,
                f"the placarded capacity is {placard.text}, the computed one {computed} "
                f"({difference:+.1f} %)",
            )
        full = placard.value if math.isnan(full) else min(full, placard.value)
    _check_against_full(section, path, full, draw, ledger)
    _check_first_dip(section, path, ledger)


def _check_first_dip(section: TankSection, path: KeyPath, ledger: Ledger) -> None:
    """Refuse a dip table that begins above what is judged; say where else it begins above empty."""
    if not section.dips or section.shape != "dips" or section.unusable is None:
        return
    first, unusable = section.dips[0].quantity, section.unusable
    if first.value > unusable.value:
        ledger.mistake(
            (*path, "dips", 0),
            f"the table begins at {first.text}, more than the declared unusable fuel, "
            f"{unusable.text}: nothing is known of the surface that is judged",
            "dip it from empty, or from the unusable fuel or less; a dip below the stick's foot is "
            "negative",
        )
    elif first.value > 0.0:
        ledger.caution(
            (*path, "dips", 0),
            f"the dip table begins at {first.text}: nothing is known of the surface below that, "
            "and that fuel is taken to stay in the tank; dip it from empty",
        )


def _check_against_full(
    section: TankSection, path: KeyPath, full: float, draw: Given, ledger: Ledger
) -> None:
    unusable, least = section.unusable, section.least_takeoff
    if unusable is not None and unusable.quantity is not None:
        room = in_unit_of(full, unusable.quantity)
        if unusable.value > full:
            problem = f"{shown(unusable.text)} is more than the tank holds, {room}"
            ledger.mistake((*path, "unusable"), problem, "correct it or the capacity")
        elif unusable.value + draw.value > full:
            ledger.mistake(
                (*path, "unusable"),
                f"{shown(unusable.text)} and the test's draw of {draw.text} are together more "
                f"than the tank holds, {room}",
                "draw less in one run of the test",
            )
    if least is not None and least.quantity is not None:
        if least.value > full:
            room = in_unit_of(full, least.quantity)
            problem = f"{shown(least.text)} is more than the tank holds, {room}"
            ledger.mistake((*path, "least_takeoff"), problem, "correct it or the capacity")
        if unusable is not None and least.value < unusable.value:
            problem = f"{shown(least.text)} is less than the unusable fuel, {unusable.text}"
            ledger.mistake((*path, "least_takeoff"), problem, "correct one of them")
