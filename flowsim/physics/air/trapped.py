"""Air in fuel lines: bubbles in high points, refilling of an empty leg.

All of it is about when air gets in or stays; no two-phase flow is solved. Data exist for pipes of
12.7 mm and up; in a smaller bore surface tension slows bubbles further, which the drift law holds
and the clearing laws do not. Theory, sources and limits: ``docs/theory/air.md``.
"""

import math
from collections.abc import Callable
from enum import IntEnum

import numpy as np
import numpy.typing as npt

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.system.bands import LognormalEnds

DRIFT_FACTOR = 1.2 * 1.5
"""[-] 1.2: a bubble rides in the fast core (Nicklin 1962). 1.5: an inclined bubble drifts up to
that much faster than a vertical one (Zukoski 1966). Both from memory."""

WALLIS_CONSTANT = 0.8
"""[-] Flooding constant of a tube with plain ends, 0.725 to 1 (Wallis 1969, from memory)."""

CLEARING_BAND = LognormalEnds(0.7, 1.5)
"""[-] Spread of the velocity that clears a hump, on Wisner's: Escarameia asks for 0.75 to 1.09 of
it from 10 to 90 deg, Kalinske and Bliss for 1.46 of it at 45 deg. Judged at its upper end.
Tag: estimate."""

TESTED_BORE = 0.0127
"""[m] Smallest bore in which the clearing of air was tested (E. Quintana-Molina et al., Water 13,
2021, abstract read: 12.7 to 38.1 mm). Tag: published."""

SMALL_BORE_FACTOR = 2.0
"""[-] Below the tested bores a hump is called clear from this times Wisner's velocity on. No
source; Wisner's own abstract (read) says that below 0.30 m of bore the clearing of pockets that
stand alone may need higher than practical velocities. Tag: estimate."""

_AIR_DENSITY = 1.2  # kg/m3
"""[kg/m3] Of air at sea level, beside fuel a trifle. Tag: published (ISO 2533, rounded)."""


class HumpState(IntEnum):
    """What becomes of air in a high point; a higher number is worse."""

    CLEARS = 0
    UNCERTAIN = 1
    WILL_NOT_CLEAR = 2


def clearing_velocity(bore: FloatLike, slope: FloatLike) -> FloatArray:
    """Give the velocity that sweeps an air pocket down a falling pipe, by Wisner.

    Parameters
    ----------
    bore : FloatLike
        Bore [m], > 0.
    slope : FloatLike
        Downward angle of the leg [rad], above 0 to pi/2; other angles give NaN.

    Returns
    -------
    FloatArray
        Velocity [m/s], in the broadcast shape.

    References
    ----------
    P. E. Wisner, F. N. Mohsen and N. Kouwen, ASCE J. Hydraul. Div. 101(2) (1975) 243-257:
    V/sqrt(gD) = 0.825 + 0.25 sqrt(sin slope), as quoted in a design rule. Its abstract (read) warns
    that below 0.30 m of bore pockets that stand alone may need more than practical velocities.
    Tag: published (a transcription was read).

    Examples
    --------
    In a bore of 1/g0 metres sqrt(g D) is 1 m/s: 0.825 + 0.25 sqrt(1) straight down, and
    0.825 + 0.25 sqrt(1/4) where the sine is a quarter. A leg that rises has none.

    >>> slopes = [math.pi / 2, math.asin(0.25), -0.1]
    >>> clearing_velocity(1.0 / STANDARD_GRAVITY, slopes).round(9).tolist()
    [1.075, 0.95, nan]
    """
    return _froude(bore, slope, lambda angle: 0.825 + 0.25 * np.sqrt(np.sin(angle)))


def surely_clearing_velocity(bore: FloatLike, slope: FloatLike) -> FloatArray:
    """Give the velocity from which on a hump is called clear of air.

    Parameters
    ----------
    bore : FloatLike
        Bore [m], > 0.
    slope : FloatLike
        Downward angle of the leg [rad], above 0 to pi/2; other angles give NaN.

    Returns
    -------
    FloatArray
        Velocity [m/s], shapes broadcast: Wisner's at the upper end of its band, and twice Wisner's
        in bores below those that were tested.

    References
    ----------
    ``clearing_velocity``, ``CLEARING_BAND`` and ``SMALL_BORE_FACTOR``.

    Examples
    --------
    Straight down in a bore of 1/g0 metres, 1.5 times Wisner's 1.075 m/s; in one of a hundredth,
    where sqrt(g D) is a tenth, twice Wisner's.

    >>> bores = np.array([1.0, 0.01]) / STANDARD_GRAVITY
    >>> surely_clearing_velocity(bores, math.pi / 2).round(9).tolist()
    [1.6125, 0.215]
    """
    tested = np.asarray(bore, dtype=np.float64) >= TESTED_BORE
    factor = np.where(tested, CLEARING_BAND.high, SMALL_BORE_FACTOR)
    return np.asarray(factor * clearing_velocity(bore, slope))


def clearing_velocity_escarameia(bore: FloatLike, slope: FloatLike) -> FloatArray:
    """Give the clearing velocity by Escarameia, fitted to gentle slopes; for comparison.

    Parameters
    ----------
    bore : FloatLike
        Bore [m], > 0.
    slope : FloatLike
        Downward angle of the leg [rad], above 0 to pi/2; other angles give NaN.

    Returns
    -------
    FloatArray
        Velocity [m/s], in the broadcast shape.

    References
    ----------
    M. Escarameia, Proc. ICE Water Management 160(1) (2007) 25: 0.61 + 0.56 sqrt(sin slope); form
    read, constant from memory.

    Examples
    --------
    Straight down in a bore of 1/g0 metres: 0.61 + 0.56.

    >>> round(float(clearing_velocity_escarameia(1.0 / STANDARD_GRAVITY, math.pi / 2)), 9)
    1.17
    """
    return _froude(bore, slope, lambda angle: 0.61 + 0.56 * np.sqrt(np.sin(angle)))


def clearing_velocity_kalinske_bliss(bore: FloatLike, slope: FloatLike) -> FloatArray:
    """Give the clearing velocity by Kalinske and Bliss; infinite in a vertical leg; to compare.

    Parameters
    ----------
    bore : FloatLike
        Bore [m], > 0.
    slope : FloatLike
        Downward angle of the leg [rad], above 0 to pi/2; other angles give NaN.

    Returns
    -------
    FloatArray
        Velocity [m/s], in the broadcast shape.

    References
    ----------
    A. A. Kalinske and P. H. Bliss, Civil Eng. 13 (1943) 480: 1.51 sqrt(tan slope), from memory.

    Examples
    --------
    At 45 deg in a bore of 1/g0 metres the tangent is one.

    >>> round(float(clearing_velocity_kalinske_bliss(1.0 / STANDARD_GRAVITY, math.pi / 4)), 9)
    1.51
    """
    return _froude(bore, slope, lambda angle: 1.51 * np.sqrt(np.tan(angle)))


def vertical_drift(bore: FloatLike, density: FloatLike, surface_tension: FloatLike) -> FloatArray:
    """Give the speed at which a long air bubble rises in a vertical tube of still fuel.

    Parameters
    ----------
    bore : FloatLike
        Bore [m], > 0.
    density : FloatLike
        Density of the fuel [kg/m3], > 0, shape that broadcasts.
    surface_tension : FloatLike
        Surface tension of the fuel [N/m], > 0, shape that broadcasts.

    Returns
    -------
    FloatArray
        Velocity [m/s], for liquids as thin as petrol.

    References
    ----------
    F. Viana et al., J. Fluid Mech. 494 (2003) 379, thin liquids:
    Fr = 0.34/(1 + 3805/Eo^3.06)^0.58.
    Tag: published (read).

    Examples
    --------
    In a wide tube the classic 0.34 sqrt(g D) of a long bubble (0.35 by G. I. Taylor and R. M.
    Davies, from memory); at Eo = 3805^(1/3.06) the bracket is 2, so 0.34/2^0.58 = 0.227 of it.

    >>> round(float(vertical_drift(1.0 / STANDARD_GRAVITY, 720.0, 0.0216)), 3)
    0.34
    >>> tension = 720.0 / STANDARD_GRAVITY / 3805.0 ** (1.0 / 3.06)
    >>> round(float(vertical_drift(1.0 / STANDARD_GRAVITY, 720.0, tension)), 3)
    0.227
    """
    bore = np.asarray(bore, dtype=np.float64)
    eotvos = density * STANDARD_GRAVITY * bore**2 / surface_tension
    froude = 0.34 / (1.0 + 3805.0 / eotvos**3.06) ** 0.58
    return np.asarray(froude * np.sqrt(STANDARD_GRAVITY * bore))


def lower_clearing_velocity(
    bore: FloatLike, density: FloatLike, surface_tension: FloatLike
) -> FloatArray:
    """Give the velocity below which an air pocket surely stays in a falling leg.

    Parameters
    ----------
    bore : FloatLike
        Bore [m], > 0.
    density : FloatLike
        Density of the fuel [kg/m3], > 0, shape that broadcasts.
    surface_tension : FloatLike
        Surface tension of the fuel [N/m], > 0, shape that broadcasts.

    Returns
    -------
    FloatArray
        1.2 x 1.5 x the vertical drift [m/s].

    References
    ----------
    ``vertical_drift`` and ``DRIFT_FACTOR``.

    Examples
    --------
    1.8 x 0.34 m/s in a bore of 1/g0 metres.

    >>> round(float(lower_clearing_velocity(1.0 / STANDARD_GRAVITY, 720.0, 0.0216)), 3)
    0.612
    """
    return np.asarray(DRIFT_FACTOR * vertical_drift(bore, density, surface_tension))


def hump_clears(
    velocity: FloatLike,
    bore: FloatLike,
    slope: FloatLike,
    density: FloatLike,
    surface_tension: FloatLike,
) -> npt.NDArray[np.int8]:
    """Tell whether the flow carries air out of a high point and down the leg behind it.

    Parameters
    ----------
    velocity : FloatLike
        Mean velocity in that bore [m/s], in the direction down the leg. Take it at the flow that is
        left with the trapped air in place, not at the flow of a full line.
    bore : FloatLike
        Widest bore between the high point and the next low point [m], > 0.
    slope : FloatLike
        Steepest downward angle of the leg [rad], above 0 to pi/2.
    density : FloatLike
        Density of the fuel [kg/m3], > 0.
    surface_tension : FloatLike
        Surface tension of the fuel [N/m], > 0.

    Returns
    -------
    ndarray of int8
        ``HumpState`` numbers in the broadcast shape. NaN or a slope outside the range gives
        UNCERTAIN, never CLEARS.

    References
    ----------
    CLEARS from ``surely_clearing_velocity`` up, WILL_NOT_CLEAR up to ``lower_clearing_velocity``;
    the rule between two published laws is our own.

    Examples
    --------
    Straight down in a bore of 1/g0 metres air stays up to 0.612 m/s and is gone from 1.6125 m/s.

    >>> bore = 1.0 / STANDARD_GRAVITY
    >>> state = hump_clears([0.6, 0.7, 1.6, 1.62, math.nan], bore, math.pi / 2, 720.0, 0.0216)
    >>> [HumpState(number).name for number in state]
    ['WILL_NOT_CLEAR', 'UNCERTAIN', 'UNCERTAIN', 'CLEARS', 'UNCERTAIN']
    """
    velocity = np.asarray(velocity, dtype=np.float64)
    clears = velocity >= surely_clearing_velocity(bore, slope)
    stays = velocity <= lower_clearing_velocity(bore, density, surface_tension)
    state = np.where(stays, HumpState.WILL_NOT_CLEAR, HumpState.UNCERTAIN)
    return np.asarray(np.where(clears, HumpState.CLEARS, state), dtype=np.int8)


def flooding_flow(
    bore: FloatLike, density: FloatLike = 720.0, surface_tension: FloatLike = 0.0216
) -> FloatArray:
    """Give the most fuel that can run down a vertical leg while its air rises past it.

    An upper bound: by flooding, and by the rise of one long bubble, whichever is less. A leg that
    refills slower than this can vent itself through its own fuel; a faster demand cannot be met.

    Parameters
    ----------
    bore : FloatLike
        Bore [m], > 0.
    density : FloatLike
        Density of the fuel [kg/m3]; as it stands, of a motor petrol.
    surface_tension : FloatLike
        Surface tension of the fuel [N/m]; as it stands, of a motor petrol.

    Returns
    -------
    FloatArray
        Flow [m3/s], in the broadcast shape.

    References
    ----------
    G. B. Wallis, One-dimensional Two-phase Flow, 1969: sqrt(jg*) + sqrt(jl*) = C, from memory,
    with equal volumes of air and fuel; ``vertical_drift``.

    Examples
    --------
    In a bore of 1/g0 metres Wallis allows (0.8/(1 + (1.2/720)^(1/4)))^2 = 0.44 m/s of fuel, the
    bubble rises at 0.34 m/s: the less counts.

    >>> bore = 1.0 / STANDARD_GRAVITY
    >>> round(float(flooding_flow(bore)) / (0.25 * math.pi * bore**2), 3)
    0.34
    """
    bore = np.asarray(bore, dtype=np.float64)
    lighter = STANDARD_GRAVITY * bore * (density - _AIR_DENSITY)
    liquid, gas = np.sqrt(density / lighter), np.sqrt(_AIR_DENSITY / lighter)
    flooding = (WALLIS_CONSTANT / (np.sqrt(liquid) + np.sqrt(gas))) ** 2
    drift = vertical_drift(bore, density, surface_tension)
    return np.asarray(np.minimum(flooding, drift) * 0.25 * math.pi * bore**2)


def _froude(
    bore: FloatLike, slope: FloatLike, law: Callable[[FloatArray], FloatArray]
) -> FloatArray:
    """Give a Froude law of the slope as a velocity; NaN where the leg does not fall."""
    angle = np.asarray(slope, dtype=np.float64)
    angle = np.where((angle > 0.0) & (angle <= 0.5 * math.pi), angle, np.nan)
    return np.asarray(law(angle) * np.sqrt(STANDARD_GRAVITY * np.asarray(bore, dtype=np.float64)))
