"""Tanks and their fuel as they look from the side, and from above, in any pitch, wings level.

Only drawing: the surfaces are those that the solve used. With wings level the surface is seen end
on from the side, so the fuel seen is the tank's outline cut by a straight line.
"""

from dataclasses import dataclass

import numpy as np

from flowsim.network.assembly import Assembly
from flowsim.physics.arrays import FloatArray
from flowsim.physics.attitude import effective_gravity
from flowsim.physics.tank.surface import surface_elevation_of
from flowsim.system.tanks import Solid

SURFACE_REACH = 0.08
"""[m] How far a surface is drawn beyond the outlets of a tank without a shape."""

Outline = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FuelSeen:
    """Fuel of one tank from the side: ``outline`` [m] of (station, waterline), empty without.

    ``surface`` [m] is the elevation of the free surface (NaN: not known), ``line`` its two ends.
    """

    tank: str
    surface: float
    line: Outline
    outline: Outline


def outline_of(points: FloatArray) -> Outline:
    """Give the convex outline of points (point, 2), anticlockwise (monotone chain, any text)."""
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return tuple(ordered)

    def half(chain: list[tuple[float, float]]) -> list[tuple[float, float]]:
        kept: list[tuple[float, float]] = []
        for point in chain:
            while len(kept) > 1 and _turn(kept[-2], kept[-1], point) <= 0.0:
                kept.pop()
            kept.append(point)
        return kept[:-1]

    return tuple(half(ordered) + half(ordered[::-1]))


def tank_outlines(assembly: Assembly, axes: tuple[int, int]) -> tuple[Outline, ...]:
    """Give each tank's outline in two of the axes (0 station, 1 buttline, 2 waterline) [m].

    Empty for a tank without a shape.
    """
    found = []
    for tank in assembly.system.tanks:
        if isinstance(tank.shape, Solid):
            found.append(outline_of(np.array(tank.shape.corners)[:, list(axes)]))
        else:
            found.append(())
    return tuple(found)


def fuel_seen(
    assembly: Assembly, quantities: tuple[float, ...], pitch: float
) -> tuple[FuelSeen, ...]:
    """Give the fuel of every tank as seen from the side.

    Parameters
    ----------
    assembly : Assembly
    quantities : tuple of float
        [m3] in each tank, in file order.
    pitch : float
        [rad], nose-up positive; wings level.

    Returns
    -------
    tuple of FuelSeen
    """
    gravity = effective_gravity(np.array([pitch]), np.zeros(1))
    up = np.array([-gravity[0, 0], -gravity[0, 2]])
    found = []
    for tank, held, outline in zip(
        assembly.system.tanks, quantities, tank_outlines(assembly, (0, 2)), strict=True
    ):
        surface = float(surface_elevation_of(tank.shape, gravity, np.array([held]))[0])
        if outline:
            wet = below(outline, up, surface)
            line = tuple(p for p in wet if abs(np.dot(up, p) - surface) < 1e-9)
            ends: Outline = (min(line), max(line)) if len(line) > 1 else ()
        else:
            wet, ends = (), _stretch(np.array([o.at for o in tank.outlets]), up, surface)
        found.append(FuelSeen(tank=tank.name, surface=surface, line=ends, outline=wet))
    return tuple(found)


def below(outline: Outline, up: FloatArray, surface: float) -> Outline:
    """Cut a convex outline to what lies not above a surface (Sutherland and Hodgman, one edge).

    Parameters
    ----------
    outline : Outline
        [m]
    up : FloatArray (2,)
        Direction against gravity in the plane of the outline.
    surface : float
        [m] Elevation of the surface; NaN leaves nothing.

    Returns
    -------
    Outline
    """
    if np.isnan(surface):
        return ()
    kept: list[tuple[float, float]] = []
    for number, here in enumerate(outline):
        before = outline[number - 1]
        a, b = float(np.dot(up, before)) - surface, float(np.dot(up, here)) - surface
        if (a > 0) != (b > 0):
            share = a / (a - b)
            kept.append(
                (
                    before[0] + share * (here[0] - before[0]),
                    before[1] + share * (here[1] - before[1]),
                )
            )
        if b <= 0:
            kept.append(here)
    return tuple(kept)


def _stretch(outlets: FloatArray, up: FloatArray, surface: float) -> Outline:
    """Give a piece of surface over the outlets of a tank whose shape is not known."""
    if np.isnan(surface) or abs(up[1]) < 1e-6:
        return ()
    low, high = outlets[:, 0].min() - SURFACE_REACH, outlets[:, 0].max() + SURFACE_REACH
    return tuple((float(x), float((surface - up[0] * x) / up[1])) for x in (low, high))


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
