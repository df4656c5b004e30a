"""Fuels of the user's own, fuels corrected by measurements, and blends with ethanol.

``viscosity_points``, ``density_15`` and ``reid_pressure`` are always those of the finished fuel,
ethanol included.
"""

from dataclasses import replace
from typing import Literal

import numpy as np

from flowsim.constants import ZERO_CELSIUS
from flowsim.errors import DomainError
from flowsim.physics.fuel.measured_points import MeasuredPoints
from flowsim.physics.fuel.petroleum import (
    BASE_TEMPERATURE,
    LEAST_DENSITY_15,
    MOST_DENSITY_15,
    ethanol_density,
    ethanol_dynamic_viscosity,
    petroleum_density,
)
from flowsim.physics.fuel.properties import (
    SPECIFICATION_HIGHEST,
    density,
    kinematic_viscosity,
    vapour_pressure,
)
from flowsim.system.bands import Band, Triangular
from flowsim.system.fuel import Fuel

# Splash-blended ethanol: rise of Reid vapour pressure [kPa] against volume per cent. Largest rise
# permitted by Directive 98/70/EC annex III as rounded by 2011/63/EU (values from memory; that the
# table exists was read). Beyond 10 % it is held to 20 %: E15 was read to equal E10.
_ETHANOL_PERCENT = (0.0, 1.0, 2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 20.0)
_ETHANOL_RISE = (0.0, 3.7, 6.0, 7.2, 7.8, 8.0, 7.9, 7.8, 7.8)


def density_15_from(measured: float, temperature: float) -> float:
    """Turn a density read at another temperature into the density at 15 degC.

    Parameters
    ----------
    measured : float
        Density read [kg/m3], by hydrometer or weighing, of a petroleum fuel. A glass hydrometer's
        own expansion (about 0.05 % at 35 degC, from memory) is not corrected.
    temperature : float
        Temperature of the sample [K], -40 to 60 degC.

    Returns
    -------
    float
        Density at 15 degC [kg/m3]. At an edge between two bands of constants, where the law jumps
        by up to 0.1 kg/m3, the edge.

    Raises
    ------
    DomainError
        Temperature outside -40 to 60 degC, or a density that no ``density_15`` of 653 to
        1075 kg/m3 gives at this temperature.

    Notes
    -----
    Inverse of ASTM D1250 by bisection.

    Examples
    --------
    The other way round of the example of ``petroleum_density``.

    >>> round(density_15_from(792.548, 298.15), 2)
    800.0
    """
    if not 233.15 - 1e-6 <= temperature <= 333.15 + 1e-6:
        raise DomainError(
            f"sample at {temperature - ZERO_CELSIUS:.1f} degC is outside -40 to 60 degC; read the "
            "density nearer to 15 degC"
        )
    low, high = LEAST_DENSITY_15, MOST_DENSITY_15
    least, most = (float(petroleum_density(end, temperature)) for end in (low, high))
    if not least <= measured <= most:
        raise DomainError(
            f"density {measured:g} kg/m3 at {temperature - ZERO_CELSIUS:.1f} degC is outside the "
            f"petroleum law's {least:.0f} to {most:.0f} kg/m3; check the reading and its unit"
        )
    for _ in range(60):
        middle = 0.5 * (low + high)
        if float(petroleum_density(middle, temperature)) < measured:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def own_fuel(
    name: str,
    *,
    viscosity_points: MeasuredPoints,
    density_points: MeasuredPoints = (),
    density_15: float | None = None,
    vapour_points: MeasuredPoints = (),
    reid_pressure: float | None = None,
    distillation_slope: float | None = None,
    ethanol: float = 0.0,
    lowest: float = 233.15,
    highest: float = 333.15,
    band: Band,
    source: str = "measured by the user",
) -> Fuel:
    """Describe a fuel by the user's own measurements.

    Parameters
    ----------
    name : str
        What to call it.
    viscosity_points : pairs
        One or two pairs (temperature [K], kinematic viscosity [m2/s]); one is held constant.
    density_points, density_15 : pairs or float
        Either one or two pairs (temperature [K], density [kg/m3]), one held constant, or the
        density at 15 degC [kg/m3] of a petroleum fuel.
    vapour_points, reid_pressure, distillation_slope : pairs or float
        Either one or two pairs (temperature [K], true vapour pressure [Pa]), one held constant, or
        Reid vapour pressure at 37.8 degC [Pa] with the slope [degF per vol %] of ASTM D86 at 10 %
        evaporated (3 for motor gasoline, 2 for aviation gasoline).
    ethanol : float
        Volume fraction of ethanol [-].
    lowest, highest : float
        Bounds of use [K].
    band : Band
        How far the viscosity may lie from what is stated.
    source : str
        Where the values are from.

    Returns
    -------
    Fuel
        The fuel, its three laws tried once.

    Raises
    ------
    DomainError
        Both or neither of a pair of alternatives, or values that no law accepts.

    Examples
    --------
    A liquid of constant density and viscosity has them at any temperature of its range.

    >>> rig = own_fuel(
    ...     "rig oil",
    ...     viscosity_points=((293.15, 2e-6),),
    ...     density_points=((293.15, 800.0),),
    ...     vapour_points=((293.15, 100.0),),
    ...     band=Triangular(0.95, 1.0, 1.05),
    ... )
    >>> float(density(rig, 303.15)), float(kinematic_viscosity(rig, 303.15))
    (800.0, 2e-06)
    """
    _one_of(name, "density", bool(density_points), density_15 is not None)
    _one_of(name, "vapour pressure", bool(vapour_points), reid_pressure is not None)
    made = Fuel(
        name=name,
        density_law="points" if density_points else "petroleum",
        density_15=_density_at_15(density_points) if density_15 is None else density_15,
        viscosity_law=_viscosity_law(viscosity_points),
        vapour_law="points" if vapour_points else "reid",
        viscosity_points=viscosity_points,
        density_points=density_points,
        reid_pressure=reid_pressure,
        distillation_slope=distillation_slope,
        vapour_points=vapour_points,
        ethanol=ethanol,
        lowest=lowest,
        highest=highest,
        viscosity_band=band,
        source=source,
    )
    return _tried(made)


def with_measurements(
    base: Fuel,
    *,
    density_15: float | None = None,
    reid_pressure: float | None = None,
    viscosity_points: MeasuredPoints | None = None,
    vapour_points: MeasuredPoints | None = None,
    density_points: MeasuredPoints | None = None,
    viscosity_band: Band | None = None,
) -> Fuel:
    """Replace parts of a fuel by what was measured or certified of the fuel at hand.

    Parameters
    ----------
    base : Fuel
        The fuel to start from.
    density_15 : float, optional
        Density at 15 degC [kg/m3]; see `density_15_from` for a reading at another temperature.
    reid_pressure : float, optional
        Reid (dry) vapour pressure at 37.8 degC [Pa].
    viscosity_points, vapour_points, density_points : pairs, optional
        One or two pairs of temperature [K] and kinematic viscosity [m2/s], true vapour pressure
        [Pa], density [kg/m3]. One pair is held constant.
    viscosity_band : Band, optional
        Spread of the viscosity; without it the base's is kept.

    Returns
    -------
    Fuel
        The corrected fuel, its three laws tried once.

    Raises
    ------
    DomainError
        Two statements of the same property, or values that no law accepts.
    """
    made, measured = base, []
    if density_15 is not None or density_points is not None:
        _one_of(base.name, "density", density_points is not None, density_15 is not None)
        made = replace(_with_density(made, density_15, density_points), lightest=None)
        measured.append("density")
    if reid_pressure is not None or vapour_points is not None:
        _one_of(base.name, "vapour pressure", vapour_points is not None, reid_pressure is not None)
        made = replace(
            made,
            vapour_law="reid" if vapour_points is None else "points",
            reid_pressure=reid_pressure,
            vapour_points=vapour_points or (),
            source=made.source.replace(
                SPECIFICATION_HIGHEST, "vapour pressure (replaced): the highest"
            ),
        )
        measured.append("vapour pressure")
    if viscosity_points is not None:
        made = replace(
            made, viscosity_law=_viscosity_law(viscosity_points), viscosity_points=viscosity_points
        )
        measured.append("viscosity")
    if viscosity_band is not None:
        made = replace(made, viscosity_band=viscosity_band)
    if measured:
        made = replace(made, source=f"{', '.join(measured)} as stated by the user; {made.source}")
    return _tried(made)


def with_ethanol(base: Fuel, ethanol: float, *, reid_pressure: float | None = None) -> Fuel:
    """Splash-blend ethanol into a gasoline.

    Parameters
    ----------
    base : Fuel
        Gasoline without ethanol, petroleum density and "d341" viscosity through two points.
    ethanol : float
        Volume fraction of ethanol [-], above 0 to 0.95.
    reid_pressure : float, optional
        Reid vapour pressure of the finished blend [Pa], to which nothing is added. Without it the
        base's is raised by the blending table, to 20 % ethanol.

    Returns
    -------
    Fuel
        The blend.

    Raises
    ------
    DomainError
        Base not such a gasoline, share outside its range, or above 20 % without a Reid pressure.

    Notes
    -----
    Density: ideal mixing by volume at 15 degC. Dynamic viscosity at the base's two temperatures:
    mu_base (mu_ethanol / mu_base)^share, likely an upper bound to 10 %, +-8 % (own computation, no
    source); the band is widened to +-17 % for it.

    Examples
    --------
    A tenth of ethanol in 745 kg/m3 by hand, with ethanol's 793.70 at 15 degC: 0.9 x 745 + 79.37;
    the Reid pressure rises by 7.8 kPa.

    >>> from flowsim.physics.fuel.catalogue import fuel_named
    >>> blend = with_ethanol(fuel_named("motor gasoline summer"), 0.10)
    >>> round(blend.density_15, 2), blend.reid_pressure
    (749.87, 69800.0)
    """
    laws = (base.density_law, base.viscosity_law, base.vapour_law)
    if laws != ("petroleum", "d341", "reid") or base.ethanol != 0.0:
        raise DomainError(f"{base.name}: only a plain gasoline can be blended with ethanol")
    if not 0.0 < ethanol <= 0.95:
        raise DomainError(f"ethanol share {ethanol:g} is outside 0 to 0.95; state a fraction")
    if reid_pressure is None and (ethanol > 0.20 or base.reid_pressure is None):
        raise DomainError(
            f"{base.name} with {100.0 * ethanol:g} % ethanol: state the finished blend's Reid "
            "vapour pressure"
        )
    rise = 1000.0 * float(np.interp(100.0 * ethanol, _ETHANOL_PERCENT, _ETHANOL_RISE))
    finished = (base.reid_pressure or 0.0) + rise if reid_pressure is None else reid_pressure
    heavier = ethanol * (float(ethanol_density(BASE_TEMPERATURE)) - base.density_15)
    blend = replace(
        base,
        name=f"{base.name} E{100.0 * ethanol:g}",
        density_15=base.density_15 + heavier,
        reid_pressure=finished,
        ethanol=ethanol,
        viscosity_band=Triangular(0.83, 1.0, 1.17),
        source=f"{base.source}; {100.0 * ethanol:g} % ethanol by volume by the blending rules",
    )
    points = tuple(
        (kelvin, _blended_viscosity(base, blend, nu, kelvin))
        for kelvin, nu in base.viscosity_points
    )
    return _tried(replace(blend, viscosity_points=points))


def _blended_viscosity(base: Fuel, blend: Fuel, viscosity: float, kelvin: float) -> float:
    dynamic = viscosity * float(density(base, kelvin))
    ratio = float(ethanol_dynamic_viscosity(kelvin)) / dynamic
    return float(dynamic * ratio**blend.ethanol / density(blend, kelvin))


def _with_density(fuel: Fuel, density_15: float | None, points: MeasuredPoints | None) -> Fuel:
    if density_15 is None:
        given = points or ()
        return replace(
            fuel,
            density_law="points",
            density_points=given,
            density_15=_density_at_15(given),
        )
    if fuel.density_law == "water":
        raise DomainError(
            f"{fuel.name}: the density of water cannot be given by one value; leave density out"
        )
    return replace(fuel, density_law="petroleum", density_15=density_15, density_points=())


def _density_at_15(points: MeasuredPoints) -> float:
    """Density [kg/m3] at 15 degC on the line through the points; one point is held constant."""
    if len(points) != 2 or points[0][0] == points[1][0]:
        return points[0][1] if points else float("nan")
    (t1, v1), (t2, v2) = points
    return v1 + (v2 - v1) * (BASE_TEMPERATURE - t1) / (t2 - t1)


def _viscosity_law(points: MeasuredPoints) -> Literal["d341", "constant"]:
    return "constant" if len(points) == 1 else "d341"


def _one_of(name: str, what: str, first: bool, second: bool) -> None:
    if first == second:
        raise DomainError(
            f"{name}: {what} is stated {'twice' if first else 'nowhere'}; state it once, by points "
            "or by the single value"
        )


def _tried(fuel: Fuel) -> Fuel:
    """Evaluate each law once, so that a wrong value is refused where it was given."""
    if not fuel.lowest < fuel.highest:
        raise DomainError(f"{fuel.name}: lowest temperature must lie below the highest")
    middle = 0.5 * (fuel.lowest + fuel.highest)
    for law in (density, kinematic_viscosity, vapour_pressure):
        law(fuel, middle)
    return fuel
