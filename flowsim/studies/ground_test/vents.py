"""What the vent test must draw, and the head for the leak check."""

import math

import numpy as np

from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly
from flowsim.physics.air.leak_check import pressure_to_hold
from flowsim.physics.attitude import effective_gravity, height
from flowsim.physics.fuel.properties import density
from flowsim.physics.tank.surface import capacity_of, surface_elevation_of
from flowsim.studies.changes.blocked_vent import NOTICE_FACTOR, BlockedVentRow, blocked_vents
from flowsim.studies.changes.shut_airspaces import FULL, LEAST, start_quantity
from flowsim.studies.ground_test.result import VentTest
from flowsim.system.tanks import StatedLevel, Tank


def vent_tests(assembly: Assembly) -> tuple[VentTest, ...]:
    """Work out, airspace by airspace, what a test must draw to notice a shut vent.

    Returns
    -------
    tuple of VentTest
        Full first, then the test quantity, for each airspace (tanks that share a vent are one)
        whose capacity is known, in the selector position that shows it soonest, at the fuel
        temperature that shows it last. The figures are those of ``blocked_vents``.

    Raises
    ------
    DomainError
        The fuel boils at sea-level pressure at a temperature of the case.
    """
    system = assembly.system
    tanks = {tank.name: tank for tank in system.tanks}
    kept: dict[tuple[tuple[str, ...], bool], dict[str, BlockedVentRow]] = {}
    for row in blocked_vents(system, ground_only=True):
        if row.fuel_state == LEAST or not all(_is_known(tanks[name]) for name in row.blocked):
            continue
        places = kept.setdefault((row.blocked, row.fuel_state == FULL), {})
        other = places.get(row.selector)
        if other is None or _last_first(other) < _last_first(row):
            places[row.selector] = row
    return tuple(
        _vent_test(assembly, full, min(places.values(), key=_last_first))
        for (_, full), places in kept.items()
    )


def _last_first(row: BlockedVentRow) -> float:
    """Give what is drawn until the flow stops; endless where it could not be solved."""
    return math.inf if math.isnan(row.drawn_until_stop) else row.drawn_until_stop


def _vent_test(assembly: Assembly, full: bool, row: BlockedVentRow) -> VentTest:
    system = assembly.system
    stops = row.drawn_until_stop if math.isfinite(row.drawn_until_stop) else math.nan
    return VentTest(
        tank=" and ".join(row.blocked),
        selector=row.selector if system.selectors else "",
        full=full,
        ullage=row.ullage,
        head=max(_head(assembly, tank, row) for tank in system.tanks if tank.name in row.blocked),
        vapour_pressure=row.vapour_pressure,
        stops_after=stops,
        draw=NOTICE_FACTOR * stops,
    )


def _is_known(tank: Tank) -> bool:
    """Tell whether what a tank holds is known."""
    return not isinstance(tank.shape, StatedLevel) and capacity_of(tank.shape) is not None


def _head(assembly: Assembly, tank: Tank, row: BlockedVentRow) -> float:
    """Give the head [m] from a tank's surface to the line's open end, at the row's attitude."""
    gravity = effective_gravity(np.array([row.pitch]), np.zeros(1))
    quantity = start_quantity(assembly.system, tank, row.fuel_state)
    surface = surface_elevation_of(tank.shape, gravity, np.array([quantity]))
    inlet = height(assembly.points, gravity)[:, assembly.inlet]
    return float(surface[0] - inlet[0])


def leak_test(assembly: Assembly) -> tuple[float, float]:
    """Give the largest head of fuel in the lines [m] and the pressure to hold [Pa].

    Full tanks, coldest fuel, over the attitudes level, test and descent.

    Raises
    ------
    DomainError
        There is no such head: the lines do not lie below the tanks.
    """
    system = assembly.system
    flight = system.flight
    pitches = [flight.level_pitch, flight.climb_pitch + flight.test_margin]
    if flight.descent_pitch is not None:
        pitches.append(flight.descent_pitch)
    gravity = effective_gravity(np.array(pitches), np.zeros(len(pitches)))
    points = np.vstack([assembly.points, *assembly.stations])
    lowest = height(points, gravity).min(axis=1)
    heads = []
    for tank in system.tanks:
        capacity = capacity_of(tank.shape)
        quantity = (1.0 - 1e-6) * (capacity or 0.0)
        surface = surface_elevation_of(tank.shape, gravity, np.full(len(pitches), quantity))
        heads.append(surface - lowest)
    usable = [float(value) for value in np.ravel(heads) if math.isfinite(value)]
    if not usable:
        raise DomainError("no fuel surface is known, so there is no pressure to hold")
    head = max(usable)
    return head, pressure_to_hold(float(density(system.fuel, min(system.temperatures))), head)
