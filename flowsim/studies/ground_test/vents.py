"""What the vent test must draw, and the head for the leak check: closed forms on the case."""

import math

import numpy as np

from flowsim.constants import STANDARD_GRAVITY, STANDARD_PRESSURE
from flowsim.errors import DomainError
from flowsim.network.assembly import Assembly
from flowsim.physics.air.leak_check import pressure_to_hold
from flowsim.physics.attitude import effective_gravity, height
from flowsim.physics.fuel.properties import density, vapour_pressure
from flowsim.physics.tank.surface import capacity_of, surface_elevation_of
from flowsim.physics.tank.ullage import drawn_for_fall
from flowsim.studies.ground_test.result import VentTest
from flowsim.system.tanks import StatedLevel, Tank

EXPANSION = 0.02
"""[-] Room over the fuel of a full tank: 2 % of its capacity (the usual rule for expansion space,
14 CFR 23 before amendment 23-64); say so if the tank fills to the brim. Tag: published (read)."""
NOTICE = 1.5
"""[-] What is drawn to notice a shut vent, over what makes the flow stop (common practice, no
source)."""


def vent_tests(assembly: Assembly) -> tuple[VentTest, ...]:
    """Work out, airspace by airspace, what a test must draw to notice a shut vent.

    Returns
    -------
    tuple of VentTest
        Full first, then the test quantity, for each airspace (tanks that share a vent are one)
        whose capacity is known. Hottest fuel of the case: its vapour fills the ullage, so more must
        be drawn.

    Raises
    ------
    DomainError
        The fuel boils at sea-level pressure at the hottest temperature of the case.
    """
    system = assembly.system
    hottest = max(system.temperatures)
    weight = float(density(system.fuel, hottest)) * STANDARD_GRAVITY
    vapour = float(vapour_pressure(system.fuel, hottest))
    found = []
    for group in dict.fromkeys(tank.vent.group for tank in system.tanks):
        tanks = [tank for tank in system.tanks if tank.vent.group == group]
        capacities = [_capacity(tank) for tank in tanks]
        if not all(math.isfinite(capacity) for capacity in capacities):
            continue
        for full in (True, False):
            quantities = [
                (1.0 - EXPANSION) * capacity if full else (tank.unusable or 0.0) + system.test_draw
                for tank, capacity in zip(tanks, capacities, strict=True)
            ]
            pairs = zip(tanks, quantities, strict=True)
            head = max(_head(assembly, tank, quantity) for tank, quantity in pairs)
            ullage = max(sum(capacities) - sum(quantities), 0.0)
            stops = math.nan
            if head > 0.0:
                fall = weight * head
                stops = float(drawn_for_fall(STANDARD_PRESSURE, vapour, ullage, fall))
            found.append(
                VentTest(
                    tank=" and ".join(tank.name for tank in tanks),
                    full=full,
                    ullage=ullage,
                    head=head,
                    vapour_pressure=vapour,
                    stops_after=stops,
                    draw=NOTICE * stops,
                )
            )
    return tuple(found)


def _capacity(tank: Tank) -> float:
    """Give what a tank holds [m3]; NaN where that is not known."""
    capacity = None if isinstance(tank.shape, StatedLevel) else capacity_of(tank.shape)
    return math.nan if capacity is None else capacity


def _head(assembly: Assembly, tank: Tank, quantity: float) -> float:
    """Give the head [m] from a tank's surface to the line's open end, level."""
    level = assembly.system.flight.level_pitch
    gravity = effective_gravity(np.array([level]), np.zeros(1))
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
