"""Density, kinematic viscosity and true vapour pressure of the fuel against temperature.

Each law, its source, its accuracy and how far it was checked: docs/theory/fuel.md. Nothing is
clamped: outside ``fuel.lowest`` to ``fuel.highest`` every function raises, and what is only
doubtful is said by `property_notes`.
"""

import numpy as np

from flowsim.constants import ZERO_CELSIUS
from flowsim.errors import DomainError
from flowsim.measures import PRESSURE, TEMPERATURE
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.fuel.measured_points import (
    density_through,
    vapour_pressure_through,
    viscosity_through,
)
from flowsim.physics.fuel.petroleum import (
    MOST_ETHANOL_AS_PETROLEUM,
    blend_density,
    distillate_vapour_pressure,
    ethanol_share,
    ethanol_vapour_factor,
    petroleum_density,
    reid_vapour_pressure,
)
from flowsim.physics.fuel.water import (
    water_density,
    water_dynamic_viscosity,
    water_saturation_pressure,
)
from flowsim.system.fuel import Fuel

SPECIFICATION_HIGHEST = "vapour pressure: the specification's highest"
"""Words in ``Fuel.source`` that say so; `property_notes` looks for them."""


def require_range(fuel: Fuel, temperature: FloatLike) -> None:
    """Raise unless every temperature lies where the fuel's laws hold.

    Parameters
    ----------
    fuel : Fuel
        The fuel; ``lowest`` and ``highest`` bound it, and water laws end at freezing and boiling.
    temperature : float or array
        Fuel temperature [K].

    Raises
    ------
    DomainError
        A temperature outside or not finite, with the value and what to do.
    """
    kelvin = np.atleast_1d(np.asarray(temperature, dtype=np.float64)).ravel()
    # A microkelvin forgives the rounding of "60 degC" or "-40 degF" turned into kelvins.
    outside = ~((kelvin >= fuel.lowest - 1e-6) & (kelvin <= fuel.highest + 1e-6))
    if bool(np.any(outside)):
        value = float(kelvin[outside][0])
        raise DomainError(
            f"{fuel.name} at {value - ZERO_CELSIUS:.1f} degC ({value:.2f} K): its laws hold from "
            f"{fuel.lowest - ZERO_CELSIUS:.1f} to {fuel.highest - ZERO_CELSIUS:.1f} degC; state a "
            "fuel temperature within that range, or describe the fuel by measured points of your "
            "own"
        )
    if "water" in (fuel.density_law, fuel.viscosity_law, fuel.vapour_law):
        frozen = kelvin[(kelvin <= ZERO_CELSIUS) | (kelvin >= ZERO_CELSIUS + 99.6)]
        if frozen.size:
            raise DomainError(
                f"{fuel.name} at {frozen[0] - ZERO_CELSIUS:.1f} degC is not liquid water; state a "
                "temperature above 0 degC and below 99.6 degC"
            )


def density(fuel: Fuel, temperature: FloatLike) -> FloatArray:
    """Give the density of the fuel.

    Parameters
    ----------
    fuel : Fuel
        Its ``density_law`` chooses: "petroleum" ASTM D1250 from ``density_15`` (above 20 % ethanol,
        ideal mixing by volume), "water", or "points" (a straight line through two measured pairs;
        one pair: constant).
    temperature : float or array
        Fuel temperature [K] within the fuel's range.

    Returns
    -------
    array
        Density [kg/m3], same shape (0-d for a float). About +-0.3 % for -20 to 50 degC given
        ``density_15``; +-0.4 % to -40 and 60 degC.

    Raises
    ------
    DomainError
        Temperature outside the range, ``density_15`` outside 653 to 1075 kg/m3, impossible points.

    References
    ----------
    The law that ``density_law`` names.

    Examples
    --------
    Water at 20 degC: 998.207 kg/m3 (IAPWS-95 by CoolProp 8.0.0).

    >>> from flowsim.physics.fuel.catalogue import fuel_named
    >>> round(float(density(fuel_named("water"), 293.15)), 3)
    998.207
    """
    require_range(fuel, temperature)
    kelvin = np.asarray(temperature, dtype=np.float64)
    if fuel.density_law == "water":
        return water_density(kelvin)
    if fuel.density_law == "points":
        return density_through(fuel.density_points, kelvin)
    if ethanol_share(fuel.ethanol) > MOST_ETHANOL_AS_PETROLEUM:
        return blend_density(fuel.density_15, fuel.ethanol, kelvin)
    return petroleum_density(fuel.density_15, kelvin)


def kinematic_viscosity(fuel: Fuel, temperature: FloatLike) -> FloatArray:
    """Give the kinematic viscosity of the fuel.

    Parameters
    ----------
    fuel : Fuel
        Its ``viscosity_law`` chooses: "d341" ASTM D341 (Walther) with its exponential term through
        two pairs of the finished fuel, "constant" (or one pair), or "water".
    temperature : float or array
        Fuel temperature [K] within the fuel's range.

    Returns
    -------
    array
        Kinematic viscosity [m2/s], same shape (0-d for a float). The form is good to 0.6 % for
        gasolines; the level has the fuel's ``viscosity_band``.

    Raises
    ------
    DomainError
        Temperature outside the range, impossible points, or below 0.21 mm2/s with "d341".

    References
    ----------
    The law that ``viscosity_law`` names.

    Examples
    --------
    Water at 20 degC: 1.0016 mPa s (IAPWS by CoolProp 8.0.0) over 998.207 kg/m3 is 1.0034 mm2/s.

    >>> from flowsim.physics.fuel.catalogue import fuel_named
    >>> round(1e6 * float(kinematic_viscosity(fuel_named("water"), 293.15)), 4)
    1.0034
    """
    require_range(fuel, temperature)
    kelvin = np.asarray(temperature, dtype=np.float64)
    if fuel.viscosity_law == "water":
        return np.asarray(water_dynamic_viscosity(kelvin) / water_density(kelvin))
    if fuel.viscosity_law == "constant" and len(fuel.viscosity_points) != 1:
        raise DomainError(
            f"{fuel.name}: a constant viscosity needs exactly one measured point; "
            f"{len(fuel.viscosity_points)} given"
        )
    return viscosity_through(fuel.viscosity_points, kelvin)


def vapour_pressure(fuel: Fuel, temperature: FloatLike) -> FloatArray:
    """Give the true vapour pressure: the bubble-point pressure of the fuel freed of air.

    Dissolved air comes out before this pressure is reached; a margin on it is needed.

    Parameters
    ----------
    fuel : Fuel
        Its ``vapour_law`` chooses: "reid" AP-42 refined stocks, "kerosene" and "distillate" AP-42
        constants, "water", or "points" (ln p against 1/T through two pairs; one pair: constant).
    temperature : float or array
        Fuel temperature [K] within the fuel's range.

    Returns
    -------
    array
        Absolute pressure [Pa], same shape (0-d for a float). "reid": +-5 % for 20 to 60 degC, too
        high (the cautious side) by up to a quarter at -40 degC.

    Raises
    ------
    DomainError
        Temperature outside the range, no or an impossible ``reid_pressure`` or slope, impossible
        points.

    Notes
    -----
    With ethanol the "reid" law runs low when hot, so it is multiplied by 1 + 0.0038 (t - 45) above
    45 degC to 20 % ethanol, and by 1.04 + 0.0067 (t - 45), where above one, beyond 20 %. Both are
    from a computed activity-coefficient model, not from measurement.

    Examples
    --------
    Water at 20 degC: 2.339 kPa (IAPWS-95 by CoolProp 8.0.0).

    >>> from flowsim.physics.fuel.catalogue import fuel_named
    >>> round(float(vapour_pressure(fuel_named("water"), 293.15)))
    2339
    """
    require_range(fuel, temperature)
    kelvin = np.asarray(temperature, dtype=np.float64)
    if fuel.vapour_law == "water":
        return water_saturation_pressure(kelvin)
    if fuel.vapour_law == "points":
        return vapour_pressure_through(fuel.vapour_points, kelvin)
    if fuel.vapour_law != "reid":
        return distillate_vapour_pressure(fuel.vapour_law, kelvin)
    if fuel.reid_pressure is None or fuel.distillation_slope is None:
        raise DomainError(
            f"{fuel.name}: the Reid law needs a Reid vapour pressure and a distillation slope; "
            "state both (slope 3 for motor gasoline, 2 for aviation gasoline)"
        )
    without = reid_vapour_pressure(fuel.reid_pressure, fuel.distillation_slope, kelvin)
    return np.asarray(without * ethanol_vapour_factor(fuel.ethanol, kelvin), dtype=np.float64)


def property_notes(fuel: Fuel, temperature: FloatLike) -> tuple[str, ...]:
    """Say what is doubtful about the fuel's properties at these temperatures.

    Parameters
    ----------
    fuel : Fuel
        The fuel.
    temperature : float or array
        Fuel temperature [K] within the fuel's range; a note is given when it applies to any.

    Returns
    -------
    tuple of str
        Sentences without full stop, each naming the fuel; empty when nothing is doubtful.

    Raises
    ------
    DomainError
        Temperature outside the range.
    """
    require_range(fuel, temperature)
    kelvin = np.asarray(temperature, dtype=np.float64)
    coldest, hottest = float(np.min(kelvin)), float(np.max(kelvin))
    notes = [*_point_notes(fuel, coldest, hottest), *_ethanol_notes(fuel, hottest)]
    if fuel.vapour_law == "reid" and SPECIFICATION_HIGHEST in fuel.source:
        reid = PRESSURE.words(fuel.reid_pressure or 0.0, 1)
        notes.append(
            f"vapour pressure is the specification's highest, {reid} Reid, not this fuel's "
            "own; a certificate or a measurement would replace it"
        )
    if fuel.vapour_law == "kerosene" and hottest >= ZERO_CELSIUS + 40.0:
        notes.append(
            "published measurements of jet fuel's vapour pressure lie above the law used, by up to "
            f"{PRESSURE.words(1700.0, 1)} at {TEMPERATURE.words(ZERO_CELSIUS + 60.0, 0)}"
        )
    if fuel.vapour_law == "distillate" and coldest < ZERO_CELSIUS:
        notes.append(
            f"diesel below {TEMPERATURE.words(ZERO_CELSIUS, 0)} may be below its cloud point: "
            f"wax can block screens, which is not "
            "modelled"
        )
    return tuple(f"{fuel.name}: {note}" for note in notes)


def _point_notes(fuel: Fuel, coldest: float, hottest: float) -> list[str]:
    """Say which measured points are held constant or left by far."""
    notes: list[str] = []
    # Walther's line was checked to 20 K beyond its two points; a straight line was not.
    used = (
        ("density", fuel.density_law == "points", fuel.density_points, 5.0),
        ("viscosity", fuel.viscosity_law != "water", fuel.viscosity_points, 20.0),
        ("vapour pressure", fuel.vapour_law == "points", fuel.vapour_points, 0.0),
    )
    remarks = {
        "density": "it falls by about 0.12 % per kelvin",
        "viscosity": "colder fuel is thicker and flows less",
        "vapour pressure": "hotter fuel has more, and may boil in the line",
    }
    for what, applies, points, margin in used:
        if not applies or not points:
            continue
        lowest, highest = min(points)[0], max(points)[0]
        measured = " and ".join(TEMPERATURE.words(t, 1) for t, _ in sorted(points))
        if len(points) == 1:
            notes.append(
                f"{what} is held constant at the value measured at {measured}; {remarks[what]}"
            )
        elif coldest < lowest - margin - 1e-6 or hottest > highest + margin + 1e-6:
            notes.append(
                f"{what} is extrapolated beyond the points measured at {measured}; "
                "measure nearer to the fuel temperature of the case"
            )
    return notes


def _ethanol_notes(fuel: Fuel, hottest: float) -> list[str]:
    """Say what ethanol does to the laws."""
    notes: list[str] = []
    if fuel.ethanol > MOST_ETHANOL_AS_PETROLEUM:
        if fuel.vapour_law == "reid":
            notes.append(
                f"with {100.0 * fuel.ethanol:g} % ethanol the Reid law of vapour pressure is "
                "outside its scope; give two measured vapour pressures"
            )
        if fuel.density_law == "petroleum":
            notes.append("density is by ideal mixing of gasoline and ethanol by volume")
    elif fuel.ethanol > 0.0 and fuel.vapour_law == "reid" and hottest > ZERO_CELSIUS + 45.0:
        notes.append(
            "vapour pressure above 45 degC is raised by 0.38 % per kelvin for the ethanol, a "
            "computed correction"
        )
    return notes
