"""Lengths and coordinates that are likely a slip of the pen: too long, or in another unit."""

import math
from collections.abc import Iterator

import numpy as np

from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem
from flowsim.system.points import Point
from flowsim.system.tanks import DipTable, Solid, Tank

LONG = 1.5
"""[-] A length is told from so many times that of its points. Tag: common practice."""

LEAST_SPAN = 0.3
"""[m] The rest of a case is taken to span at least so much on each axis. Tag: common practice."""

LARGE_TANK = 3.0
"""[-] A tank so many times as long as all else is told. Tag: common practice."""

_AXES = ("station", "buttline", "waterline")
_INCH = 0.0254
_UNITS = (
    (25.4, "in", "mm"), (10.0, "cm", "mm"), (1000.0, "m", "mm"), (12.0, "ft", "in"),
    (39.37, "in", "m"), (2.54, "in", "cm"),
)  # fmt: skip


def place_words(system: FuelSystem) -> Iterator[Said]:
    """Say which length or coordinate does not fit the rest.

    Parameters
    ----------
    system : FuelSystem

    Yields
    ------
    str
    """
    yield from _long_lines(system)
    yield from _large_tanks(system)
    yield from _far_points(system)


def _long_lines(system: FuelSystem) -> Iterator[Said]:
    for line in system.lines:
        if line.route is None:
            continue
        points = sum(math.dist(a, b) for a, b in zip(line.route, line.route[1:], strict=False))
        if points > 0.0 and line.length > LONG * points:
            yield (
                saying(
                    "places.line_length_times_points",
                    line=line.name,
                    length=line.length,
                    times=line.length / points,
                    points=points,
                )
            )


def _named_points(system: FuelSystem) -> list[tuple[Said, Point]]:
    """Give the points that can be far from the rest, each once, with its name."""
    found: list[tuple[Said, Point]] = [(saying("places.engine_inlet"), system.engine.inlet_at)]
    found += [(saying("places.node", node=node.name), node.at) for node in system.nodes]
    for tank in system.tanks:
        if tank.vent_at is not None:
            found.append((saying("places.vent_tank", tank=tank.name), tank.vent_at))
    for line in system.lines:
        inner = (line.route or ())[1:-1]
        found += [
            (saying("places.line_point", line=line.name, n=n), at)
            for n, at in enumerate(inner, start=1)
        ]
    return found


def _tank_points(tank: Tank) -> list[Point]:
    if isinstance(tank.shape, Solid):
        return [*tank.shape.corners, *(outlet.at for outlet in tank.outlets)]
    at = tank.shape.at if isinstance(tank.shape, DipTable) else tank.shape.surface
    return [at, *(outlet.at for outlet in tank.outlets)]


def _large_tanks(system: FuelSystem) -> Iterator[Said]:
    named = [at for _, at in _named_points(system)]
    for tank in system.tanks:
        if not isinstance(tank.shape, Solid):
            continue
        rest = [
            *named,
            *(p for other in system.tanks if other is not tank for p in _tank_points(other)),
        ]
        spans = np.ptp(np.array(rest, dtype=np.float64), axis=0)
        mine = np.ptp(np.array(tank.shape.corners, dtype=np.float64), axis=0)
        axis = int(np.argmax(mine))
        if mine[axis] > LARGE_TANK * max(float(spans.max()), 1.0):
            yield (
                saying(
                    "places.tank_reaches_over_far",
                    tank=tank.name,
                    length=mine[axis],
                    axis=_AXES[axis],
                )
            )


def _far_points(system: FuelSystem) -> Iterator[Said]:
    named = _named_points(system)
    tanks = [point for tank in system.tanks for point in _tank_points(tank)]
    every = np.array([*(at for _, at in named), *tanks], dtype=np.float64)
    if len(every) < 5:
        return
    for index, (name, at) in enumerate(named):
        rest = np.delete(every, index, axis=0)
        low, high = rest.min(axis=0), rest.max(axis=0)
        span = np.maximum(high - low, LEAST_SPAN)
        for axis, value in enumerate(at):
            if low[axis] - span[axis] <= value <= high[axis] + span[axis]:
                continue
            yield (
                saying(
                    "places.lies_outside_all_else",
                    name=name,
                    axis=_AXES[axis],
                    value=value,
                    outside=max(low[axis] - value, value - high[axis]),
                    unit=_unit_words(value, low[axis], high[axis]),
                )
            )


def _unit_words(value: float, low: float, high: float) -> Said:
    """Say which two units were likely mixed up."""
    for factor, one, other in _UNITS:
        if low <= value * factor <= high or low <= value / factor <= high:
            return saying("places.probably_another_unit_correct", one=one, other=other)
    return saying("places.check_unit")
