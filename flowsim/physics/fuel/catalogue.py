"""Fuels by name, and the ways to describe a fuel of one's own.

``viscosity_points``, ``density_15`` and ``reid_pressure`` are always those of the finished fuel,
ethanol included. Values marked "from memory" were not verified against a document; a certificate or
a reading of the fuel at hand beats every value here.
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Literal

from flowsim.constants import ZERO_CELSIUS
from flowsim.errors import DomainError
from flowsim.physics.fuel.measured_points import MeasuredPoints
from flowsim.physics.fuel.own_fuels import (
    density_15_from,
    own_fuel,
    with_ethanol,
    with_measurements,
)
from flowsim.physics.fuel.properties import SPECIFICATION_HIGHEST
from flowsim.system.bands import Band, Triangular
from flowsim.system.fuel import Fuel

__all__ = [
    "CATALOGUE",
    "HEAVIEST_FUEL",
    "THINNEST_FUEL",
    "MeasuredPoints",
    "density_15_from",
    "fuel_named",
    "own_fuel",
    "with_ethanol",
    "with_measurements",
]

HEAVIEST_FUEL = 900.0
"""[kg/m3] Above it the liquid is none that an engine burns, as water on a bench.
Tag: common practice."""
THINNEST_FUEL = 0.28e-6
"""[m2/s] Kinematic viscosity at 20 degC below which a liquid is none that an engine burns: that of
n-butane, 0.287 (CoolProp; pentane has 0.303, hexane 0.476). Tag: published."""
_GASOLINE_BAND = Triangular(0.85, 1.0, 1.15)
"""[-] Spread of a gasoline's viscosity: no measured curve was found. Tag: estimate."""
_AVGAS_VISCOSITY = (
    "viscosity level from composition (isooctane, isopentane, toluene) and one naphtha reading of "
    "0.51 mm2/s at 37.8 degC, +-15 %: no measured curve was found"
)
_MOGAS_VISCOSITY = (
    "viscosity level from a computed composition, +-15 %; published single readings spread wider"
)


def fuel_named(name: str) -> Fuel:
    """Return the catalogue fuel of this name.

    Parameters
    ----------
    name : str
        A key of `CATALOGUE`; case and blanks at the ends do not matter.

    Returns
    -------
    Fuel
        The fuel.

    Raises
    ------
    DomainError
        Unknown name; the text lists the known ones.
    """
    for known, fuel in CATALOGUE.items():
        if known.casefold() == name.strip().casefold():
            return fuel
    known_names = ", ".join(f'"{known}"' for known in CATALOGUE)
    raise DomainError(f'fuel "{name}" is not in the catalogue; write one of {known_names}')


LIGHTEST_SHARE = 0.97
"""[-] Least density of a catalogue fuel over its usual one where no range was read: half of the 7 %
of EN 228. Tag: common practice."""

HEAVIEST_SHARE = 1.03
"""[-] The same for the greatest density. Tag: common practice."""


def _petroleum(
    name: str,
    density_15: float,
    viscosity: tuple[tuple[float, float], tuple[float, float]],
    source: str,
    *,
    reid: float | None = None,
    slope: float | None = None,
    law: Literal["reid", "kerosene", "distillate"] = "reid",
    lowest: float = -40.0,
    lightest: float | None = None,
    heaviest: float | None = None,
    band: Band = _GASOLINE_BAND,
) -> Fuel:
    """Build a catalogue fuel from degC, mm2/s and kPa."""
    return Fuel(
        name=name,
        density_law="petroleum",
        density_15=density_15,
        viscosity_law="d341",
        vapour_law=law,
        viscosity_points=tuple((ZERO_CELSIUS + t, nu * 1e-6) for t, nu in viscosity),
        reid_pressure=None if reid is None else 1000.0 * reid,
        distillation_slope=slope,
        lightest=LIGHTEST_SHARE * density_15 if lightest is None else lightest,
        heaviest=HEAVIEST_SHARE * density_15 if heaviest is None else heaviest,
        lowest=ZERO_CELSIUS + lowest,
        viscosity_band=band,
        source=source,
    )


def _gasolines() -> tuple[Fuel, ...]:
    gasoline = ((-20.0, 1.00), (40.0, 0.500))
    summer = _petroleum(
        "motor gasoline summer",
        745.0,
        gasoline,
        f"density 745 kg/m3, middle of EN 228's 720 to 775 (from memory); {_MOGAS_VISCOSITY}; "
        f"{SPECIFICATION_HIGHEST}, 62 kPa Reid (ASTM D4814 class A, 9.0 psi, from memory; EN 228 "
        "class A allows 60.0, read)",
        reid=62.0,
        slope=3.0,
        lightest=720.0,
        heaviest=775.0,
    )
    winter = _petroleum(
        "motor gasoline winter",
        735.0,
        ((-20.0, 0.92), (40.0, 0.463)),
        f"density 735 kg/m3, typical (from memory); {_MOGAS_VISCOSITY}; {SPECIFICATION_HIGHEST}, "
        "103 kPa Reid (ASTM D4814 class E, 15.0 psi, second-hand; EN 228 class D allows 90.0, "
        "read)",
        reid=103.0,
        slope=3.0,
        lightest=720.0,
        heaviest=775.0,
    )
    return (
        _petroleum(
            "avgas 100LL",
            715.0,
            gasoline,
            f"density 715 kg/m3, within public analyses of 693 to 721; {_AVGAS_VISCOSITY}; "
            f"{SPECIFICATION_HIGHEST}, 49 kPa Reid (ASTM D910, 38 to 49, from memory, a second "
            "source agrees); slope 2.0 (from memory, matters little)",
            reid=49.0,
            slope=2.0,
            lightest=693.0,
            heaviest=721.0,
        ),
        _petroleum(
            "avgas unleaded",
            705.0,
            gasoline,
            f"density 705 kg/m3, typical (from memory); {_AVGAS_VISCOSITY}; "
            f"{SPECIFICATION_HIGHEST}, 49 kPa Reid (ASTM D7547, from memory; other unleaded grades "
            "may allow up to 62: check the certificate); slope 2.0 (from memory)",
            reid=49.0,
            slope=2.0,
        ),
        summer,
        winter,
        with_ethanol(summer, 0.05),
        with_ethanol(winter, 0.05),
        with_ethanol(summer, 0.10),
        with_ethanol(winter, 0.10),
    )


def _middle_distillates() -> tuple[Fuel, ...]:
    return (
        _petroleum(
            "jet kerosene",
            804.0,
            ((-20.0, 4.50), (40.0, 1.31)),
            "density 804 kg/m3 and viscosity of a measured reference Jet A (AFRL POSF-10325, "
            "Edwards); band from batches of 2.96 to 6.9 mm2/s at -20 degC; vapour pressure of jet "
            "kerosene in AP-42 ch. 7.1; Jet A freezes at -40 degC (from memory)",
            law="kerosene",
            band=Triangular(0.65, 1.0, 1.54),
        ),
        _petroleum(
            "jet kerosene heavy",
            827.7,
            ((-20.0, 6.50), (40.0, 1.57)),
            "density and viscosity of a measured reference JP-5 (AFRL POSF-10289, Edwards); band "
            "up to ASTM D1655's 8.0 mm2/s at -20 degC; vapour pressure of jet kerosene in AP-42 "
            "ch. 7.1",
            law="kerosene",
            band=Triangular(0.85, 1.0, 1.24),
        ),
        _petroleum(
            "diesel",
            835.0,
            ((20.0, 4.20), (40.0, 2.70)),
            "density 835 kg/m3, 4.2 mm2/s at 20 and 2.7 at 40 degC, typical within EN 590 (from "
            "memory); band from EN 590's 2.0 to 4.5 mm2/s at 40 degC (from memory); vapour "
            "pressure of No. 2 distillate in AP-42 ch. 7.1",
            law="distillate",
            lowest=-20.0,
            band=Triangular(0.74, 1.0, 1.67),
        ),
    )


def _water() -> Fuel:
    return Fuel(
        name="water",
        density_law="water",
        density_15=999.10,
        viscosity_law="water",
        vapour_law="water",
        lowest=ZERO_CELSIUS,
        highest=ZERO_CELSIUS + 60.0,
        viscosity_band=Triangular(0.99, 1.0, 1.01),
        source="IAPWS SR6-08(2011) at 0.1 MPa; Wagner and Pruss 1993 for vapour pressure",
    )


CATALOGUE: Mapping[str, Fuel] = MappingProxyType(
    {fuel.name: fuel for fuel in (*_gasolines(), *_middle_distillates(), _water())}
)
"""Every fuel known by name; the vapour pressure of gasolines is the specification's highest."""
