"""The law of a woven screen, dirt counted."""

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.losses.fitting_catalogue import ReynoldsRange
from flowsim.physics.losses.friction import FrictionLaw
from flowsim.physics.losses.law_shape import share_of
from flowsim.physics.losses.loss_law import LossLaw
from flowsim.physics.losses.woven_screen import (
    SCREEN_RANGE,
    clean_screen,
    require_clear_fraction,
    screen_reynolds,
)
from flowsim.system.parts import Screen


class ScreenLaw(LossLaw[Screen]):
    """Armour and Cannon on the clean screen; velocity rises with what is blocked of it.

    Examples
    --------
    Half of it blocked is twice the speed: four times the quadratic term.

    >>> def screen(clear):
    ...     return Screen(
    ...         name="s", area=1e-4, wires_per_metre=2362.0, wire_diameter=1.9e-4,
    ...         clear_fraction=clear,
    ...     )
    >>> law = ScreenLaw()
    >>> clean, _ = law.head(screen(1.0), 1e-2, 6e-7, "cautious")
    >>> dirty, _ = law.head(screen(0.5), 1e-2, 6e-7, "cautious")
    >>> round(float(dirty / clean), 2)
    4.0
    """

    title = "woven screen"
    reference = "J. C. Armour and J. N. Cannon, AIChE J. 14 (1968) 415 (abstract read)"
    symbols = MappingProxyType(
        {
            "n": "wires_per_metre",
            "d": "wire_diameter",
            "area": "area",
            "clear": "clear_fraction",
        }
    )
    cause = "screens"

    def coefficients(self, part: Screen) -> tuple[float, float]:
        """Give those of the clean screen."""
        return clean_screen(part)

    def head(
        self, part: Screen, flow: FloatLike, kinematic_viscosity: FloatLike, friction: FrictionLaw
    ) -> tuple[FloatArray, FloatArray]:
        """Give head [m] and slope [s/m2] with the clear fraction that is stated."""
        del friction
        require_clear_fraction(part)
        flow = np.asarray(flow, dtype=np.float64)
        quadratic, linear = clean_screen(part)
        quadratic, linear = quadratic / part.clear_fraction**2, linear / part.clear_fraction
        viscous = linear * np.asarray(kinematic_viscosity, dtype=np.float64)
        loss = (quadratic * np.abs(flow) + viscous) * flow
        return loss, 2.0 * quadratic * np.abs(flow) + viscous

    def formula(self, terms: Mapping[str, float]) -> tuple[str, ...]:
        """Give the weave, the Reynolds number on it, and the head."""
        return (
            "wires {n} per m of {d} m, area {area} m2, {clear} of it clear",
            "stretch s = sqrt(1 + (n d)^2)",
            "opening Dp = 1/n - d | m",
            "void e = 1 - pi/4 n d s",
            "wire surface a = pi n s | 1/m",
            "U = Q/(area clear) | m/s",
            "Res = U/(nu a^2 Dp)",
            f"h = {share_of(terms)}(8.61/Res + 0.52) U^2 2 d/(e^2 Dp g0) | m",
        )

    def clear(self, part: Screen) -> float:
        """Give it [-] as stated."""
        return part.clear_fraction

    def bore(self, part: Screen) -> float:
        """Give NaN: a screen has none."""
        del part
        return math.nan

    def reynolds(self, part: Screen, flow: FloatLike, kinematic_viscosity: FloatLike) -> FloatArray:
        """Give Armour and Cannon's, on the wire."""
        return screen_reynolds(part, flow, kinematic_viscosity)

    def range(self, part: Screen) -> ReynoldsRange | None:
        """Give Armour and Cannon's."""
        del part
        return SCREEN_RANGE

    def kind(self, part: Screen) -> str:
        """All are one kind."""
        del part
        return "screen"

    def numbers(self, part: Screen) -> str:
        """Say how much of it is clear."""
        return f"{100 * part.clear_fraction:.0f} % clear"

    def measurement(self, part: Screen) -> str:
        """Dirt counts."""
        return f"measure the pressure drop of {part.name} at the required flow, as dirty as it gets"

    def terms(self, part: Screen, loss: float, laminar: float, clear: float) -> dict[str, float]:
        """Give the weave, and how much is clear."""
        del loss, laminar
        return {
            "area": part.area,
            "wires_per_metre": part.wires_per_metre,
            "wire_diameter": part.wire_diameter,
            "clear_fraction": float(np.fmin(clear, part.clear_fraction)),
        }
