"""Properties of the fuel that were read too far from the temperatures at which they are used.

A fuel of one's own with one reading keeps it at every temperature. That is cautious only on one
side: colder fuel is thicker, hotter fuel is lighter and boils sooner.
"""

from dataclasses import dataclass

from flowsim.studies.saying import Said, saying
from flowsim.system.fuel_system import FuelSystem

VISCOSITY_REACH = 2.0
"""[K] So much colder than its one reading the viscosity is taken as read: it rises by one to three
in a hundred per kelvin, within the band of a reading. Tag: common practice."""
DENSITY_REACH = 5.0
"""[K] So much hotter than its one reading the density is taken as read: it falls by 0.12 % per
kelvin. Tag: common practice."""
VAPOUR_REACH = 0.5
"""[K] So much hotter than its one reading the vapour pressure is taken as read: it rises by three
or four in a hundred per kelvin. Tag: common practice."""
SPANS = 2.0
"""[-] How far beyond two readings a property is followed, over how far they lie apart: there an
error of either has grown threefold. Tag: common practice."""


@dataclass(frozen=True, slots=True)
class _Reading:
    """One property, its points, the worst temperature [K], how far off it is known, what is there.

    ``off`` is 1 where it gets worse with heat, -1 where it does with cold.
    """

    name: Said
    points: tuple[tuple[float, float], ...]
    worst: float
    off: float
    reach: float
    beyond: Said


@dataclass(frozen=True, slots=True)
class FarReading:
    """A property read too far from where it is used: its name, what was found, what to measure."""

    name: Said
    found: Said
    remedy: Said
    figure: Said


def far_readings(system: FuelSystem, coldest: float, hottest: float) -> tuple[FarReading, ...]:
    """Find the properties that the temperatures leave on the side where they get worse.

    Parameters
    ----------
    system : FuelSystem
    coldest, hottest : float
        [K] Of the fuel in the tanks, as it is used.

    Returns
    -------
    tuple of FarReading
        Density, viscosity, vapour pressure; empty for a fuel by name whose own laws hold.
    """
    return tuple(
        _far(one) for one in _readings(system, coldest, hottest) if one.points and _is_far(one)
    )


def _is_far(one: _Reading) -> bool:
    """Tell whether a property is judged too far from where it was read."""
    at = sorted(kelvin for kelvin, _ in one.points)
    beyond = one.off * (one.worst - at[-1 if one.off > 0.0 else 0])
    return beyond > max(one.reach, SPANS * (at[-1] - at[0]))


def _far(one: _Reading) -> FarReading:
    where = one.worst
    read = tuple(saying("fuel_data.temperature", kelvin=kelvin) for kelvin, _ in sorted(one.points))
    single = len(one.points) == 1
    return FarReading(
        name=saying("fuel_data.fuel", one=one.name),
        found=saying("fuel_data.read_only_judged_where", read=read, where=where, beyond=one.beyond),
        remedy=saying("fuel_data.read_second" if single else "fuel_data.read_again", where=where),
        figure=saying("fuel_data.read_only", read=read),
    )


def _readings(system: FuelSystem, cold: float, hot: float) -> tuple[_Reading, ...]:
    """List the properties that may stand on one reading."""
    fuel = system.fuel
    density = fuel.density_points if fuel.density_law == "points" else ()
    viscosity = fuel.viscosity_points if fuel.viscosity_law != "water" else ()
    vapour = fuel.vapour_points if fuel.vapour_law == "points" else ()
    boiling = hot + system.engine.heat_pickup
    lighter, thicker = saying("fuel_data.fuel_lighter"), saying("fuel_data.fuel_thicker")
    boils = saying("fuel_data.fuel_boils_sooner")
    names = (
        saying("fuel_data.density"),
        saying("fuel_data.viscosity"),
        saying("fuel_data.vapour_pressure"),
    )
    return (
        _Reading(names[0], density, hot, 1.0, DENSITY_REACH, lighter),
        _Reading(names[1], viscosity, cold, -1.0, VISCOSITY_REACH, thicker),
        _Reading(names[2], vapour, boiling, 1.0, VAPOUR_REACH, boils),
    )
