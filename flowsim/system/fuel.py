"""What is in the tanks."""

from dataclasses import dataclass
from typing import Literal

from flowsim.system.bands import Band


@dataclass(frozen=True, slots=True, kw_only=True)
class Fuel:
    """A liquid by the few numbers its property laws need.

    ``density_15`` [kg/m3] at 15 degC; ``viscosity_points`` two pairs of (temperature [K],
    kinematic viscosity [m2/s]) for the ASTM D341 line; ``vapour_law`` says which law gives the true
    vapour pressure: "reid" (AP-42 refined stocks, with ``reid_pressure`` [Pa] at 37.8 degC and
    ``distillation_slope`` [degF per vol %]), "kerosene", "distillate", "water" or "points"
    (``vapour_points``, two pairs of (temperature [K], pressure [Pa])).
    ``density_law``: "petroleum" (ASTM D1250), "water" or "points" (``density_points`` two pairs of
    (temperature [K], density [kg/m3])). ``viscosity_law``: "d341", "water" or "constant".
    ``lightest`` and ``heaviest`` [kg/m3] are the least and the greatest density at 15 degC that
    liquids of its name have; the least is None where that of the liquid at hand was measured, both
    where the name tells nothing. ``ethanol`` [-] is the volume fraction. ``lowest`` and
    ``highest`` [K] bound its use.
    """

    name: str
    density_law: Literal["petroleum", "water", "points"]
    density_15: float
    viscosity_law: Literal["d341", "water", "constant"]
    vapour_law: Literal["reid", "kerosene", "distillate", "water", "points"]
    viscosity_points: tuple[tuple[float, float], ...] = ()
    density_points: tuple[tuple[float, float], ...] = ()
    reid_pressure: float | None = None
    distillation_slope: float | None = None
    vapour_points: tuple[tuple[float, float], ...] = ()
    lightest: float | None = None
    heaviest: float | None = None
    ethanol: float = 0.0
    lowest: float = 233.15
    highest: float = 333.15
    viscosity_band: Band
    source: str
