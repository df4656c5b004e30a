"""Water in the tanks: what stays below the lowest drain or outlet as the aeroplane stands."""

import math

import numpy as np

from flowsim.physics.arrays import FloatArray
from flowsim.physics.tank.floor import box_on_floor
from flowsim.physics.tank.solids import extent
from flowsim.physics.tank.surface import quantity_below
from flowsim.physics.tank.volume import extreme_elevations
from flowsim.studies.routing.result import AttitudeView, TankPool
from flowsim.studies.saying import saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Solid, Tank

SKIN = 0.002
"""[m] A drain or outlet that stands no higher over the lowest place reaches it (common practice, no
source): points on a tank are taken to this accuracy."""


def tank_pools(system: FuelSystem, view: AttitudeView) -> tuple[TankPool, ...]:
    """Work out for every tank what water stays in it when all drains are opened.

    Parameters
    ----------
    system : FuelSystem
    view : AttitudeView
        As the aeroplane stands.

    Returns
    -------
    tuple of TankPool
        In file order. Water leaves a tank by a drain that reaches it, or with the fuel by an outlet
        that a line begins or ends at. The lowest place of a tank without a shape is its stated
        sump, if there is one.
    """
    return tuple(_pool(system, tank, view.gravity) for tank in system.tanks)


def _pool(system: FuelSystem, tank: Tank, gravity: FloatArray) -> TankPool:
    used = {name for line in system.all_lines for name in (line.start, line.end)}
    ways = [("drain", item.name, item.at) for item in system.drains if item.reaches == tank.name]
    ways += [
        ("outlet", outlet.name, outlet.at)
        for outlet in tank.outlets
        if f"{tank.name}.{outlet.name}" in used
    ]
    found = [(_elevation(tank, at, gravity), kind, name) for kind, name, at in ways]
    level, kind, name = min(found, default=(math.inf, "", ""))
    words = saying("tank_water.way_out", kind=kind, name=name)
    if not found:
        words = saying("tank_water.nothing")
    solid = _solid(tank)
    if solid is not None:
        low, high = (float(bound[0]) for bound in extreme_elevations(solid, gravity[None]))
        depth = max(min(level, high) - low, 0.0)
        volume = float(quantity_below(solid, gravity[None], np.array([min(level, high)]))[0])
    elif tank.sump is not None:
        depth, volume = max(level - _elevation(tank, tank.sump, gravity), 0.0), math.nan
    else:
        depth = volume = math.nan
    return TankPool(
        tank=tank.name, way_out=words, depth=depth, volume=volume, is_drained=depth <= SKIN,
    )  # fmt: skip


def _solid(tank: Tank) -> Solid | None:
    """Give the body of a tank: its own, or the box on its floor where it is known by dips."""
    if isinstance(tank.shape, DipTable) and tank.shape.floor is not None:
        return box_on_floor(tank.shape)
    return tank.shape if isinstance(tank.shape, Solid) else None


def _elevation(tank: Tank, at: Point, gravity: FloatArray) -> float:
    """Elevation [m] at which water leaves by a point: the tank's own next to it, if outside."""
    solid = _solid(tank)
    if solid is not None:
        low, high = extent(solid)
        at = Point(*np.clip(at, low, high))
    return float(-(gravity @ np.array(at)))
