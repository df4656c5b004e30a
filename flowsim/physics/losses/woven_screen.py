"""What a plain square woven screen loses (Armour and Cannon)."""

import math

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.checks import require_positive
from flowsim.physics.losses.fitting_catalogue import ReynoldsRange
from flowsim.system.parts import Screen

SCREEN_RANGE: ReynoldsRange = (0.0, 1.0e3)
"""[-] Armour and Cannon's Reynolds numbers (data 0.1 to 1000: abstract read; lower is creeping).
Tag: published."""


def clean_screen(screen: Screen) -> tuple[float, float]:
    """Reduce a clean screen to h = quadratic Q |Q| + linear nu Q.

    Parameters
    ----------
    screen : Screen
        Plain square weave; its clear fraction is not looked at.

    Returns
    -------
    tuple of float
        ``quadratic`` [s2/m5] and ``linear`` [s2/m4].

    Raises
    ------
    DomainError
        When area, wires or wire diameter are impossible, or leave no opening.

    References
    ----------
    J. C. Armour and J. N. Cannon, AIChE J. 14 (1968) 415, constants read in the abstract:
    dp = (8.61/Re + 0.52) rho U^2 B/(void^2 D_p), Re = U/(nu a^2 D_p), B two wire diameters.
    Tag: published.

    Examples
    --------
    1000 wires of 0.3 mm a metre by hand: s = sqrt(1.09) = 1.044031, D = 0.7 mm,
    e = 1 - pi/4 x 0.3 s = 0.754006, a = pi 1000 s = 3279.92 1/m. Over 1 m2 that is
    0.52 x 0.6 mm/(e^2 D g0) and 8.61 a^2 x 0.6 mm/(e^2 g0).

    >>> screen = Screen(
    ...     name="finger", area=1.0, wires_per_metre=1e3, wire_diameter=3e-4, clear_fraction=0.5
    ... )
    >>> quadratic, linear = clean_screen(screen)
    >>> round(quadratic, 6), round(linear)
    (0.079944, 9968)
    """
    opening, void, surface = _weave(screen)
    thickness = 2.0 * screen.wire_diameter
    scale = thickness / (void**2 * STANDARD_GRAVITY * screen.area)
    return 0.52 * scale / (opening * screen.area), 8.61 * surface**2 * scale


def screen_reynolds(screen: Screen, flow: FloatLike, kinematic_viscosity: FloatLike) -> FloatArray:
    """Give Armour and Cannon's Reynolds number of a woven screen, dirt counted.

    Parameters
    ----------
    screen : Screen
        Plain square weave.
    flow : FloatLike
        Flow [m3/s], either sign.
    kinematic_viscosity : FloatLike
        Kinematic viscosity [m2/s], > 0, shape that broadcasts.

    Returns
    -------
    FloatArray
        U/(nu a^2 D_p) [-]: the number to compare with ``SCREEN_RANGE``.

    Raises
    ------
    DomainError
        When the weave or the clear fraction is impossible.

    References
    ----------
    J. C. Armour and J. N. Cannon, AIChE J. 14 (1968) 415, abstract read.

    Examples
    --------
    The same screen, half of it clear: 0.01 m3/s through half a square metre is 0.02 m/s, over
    nu a^2 D = 1e-6 x 3279.92^2 x 0.0007.

    >>> screen = Screen(
    ...     name="finger", area=1.0, wires_per_metre=1e3, wire_diameter=3e-4, clear_fraction=0.5
    ... )
    >>> round(float(screen_reynolds(screen, 0.01, 1e-6)), 4)
    2.6559
    """
    require_clear_fraction(screen)
    opening, _, surface = _weave(screen)
    face = np.abs(np.asarray(flow, dtype=np.float64)) / (screen.area * screen.clear_fraction)
    return np.asarray(face / (kinematic_viscosity * surface**2 * opening))


def require_clear_fraction(screen: Screen) -> None:
    """Refuse a clear fraction outside 0 (not included) to 1.

    Parameters
    ----------
    screen : Screen
        Plain square weave.

    Raises
    ------
    DomainError
        When the clear fraction is outside that range or NaN.
    """
    if not 0.0 < screen.clear_fraction <= 1.0:
        raise DomainError(
            f'"{screen.name}": clear fraction {screen.clear_fraction} must be above 0, at most 1'
        )


def _weave(screen: Screen) -> tuple[float, float, float]:
    """Give opening [m], void fraction [-] and wire surface per volume [1/m] of a square weave."""
    for what, value in (
        ("area", screen.area),
        ("wires per metre", screen.wires_per_metre),
        ("wire diameter", screen.wire_diameter),
    ):
        require_positive(screen.name, what, value)
    n, d = screen.wires_per_metre, screen.wire_diameter
    stretch = math.sqrt(1.0 + (n * d) ** 2)
    opening, void = 1.0 / n - d, 1.0 - 0.25 * math.pi * n * d * stretch
    if not (opening > 0.0 and void > 0.0):
        raise DomainError(f'"{screen.name}": {n} wires of {d} m in a metre leave no opening')
    return opening, void, math.pi * n * stretch
