"""Friction in a round pipe: two laws of the Darcy friction factor, from rest to fully rough flow.

Both laws give the product f.Re and its derivative, because that product stays finite at rest.

``cautious``  64/Re up to Re 1900, Colebrook from Re 2300, a smooth bridge between. Verdicts use it.
``expected``  Churchill 1977, smooth everywhere. Only for comparing with a measurement.

Theory, sources and limits: ``docs/theory/friction.md``.
"""

import math
from collections.abc import Callable
from typing import Literal

import numpy as np

from flowsim.physics.arrays import BoolArray, FloatArray, FloatLike

FrictionLaw = Literal["cautious", "expected"]
Law = Callable[[FloatArray, FloatArray], tuple[FloatArray, FloatArray]]

LAMINAR_END = 1900.0
"""[-] Reynolds number up to which the cautious law is laminar.
A choice on the safe side: turbulence keeps itself alive from about 2040. Tag: estimate."""

TURBULENT_START = 2300.0
"""[-] Reynolds number from which the cautious law is Colebrook's.
A choice on the safe side: measured flow may stay laminar to 2900. Tag: estimate."""

HIGHEST_RELATIVE_ROUGHNESS = 0.05
"""[-] Largest roughness over bore on the Moody chart, the usual end of Colebrook's law."""

HIGHEST_REYNOLDS = 1.0e8
"""[-] Largest Reynolds number on the Moody chart."""

LEAST_SHARE = 0.95
"""[-] Of the cautious law in a smooth bore: a stated friction factor below it is no pipe's. The
lower end of the friction band. Tag: published."""

_BRIDGE_SPAN = math.log(TURBULENT_START / LAMINAR_END)
# Colebrook written as F + ln(x1 + F) = x2, where 1/sqrt(f) = 2 F/ln 10 (Clamond 2009).
_X1_FACTOR = math.log(10.0) / (2.0 * 2.51 * 3.7)
"""Colebrook's 2.51 and 3.7. Tag: published (transcribed in the fluids library)."""
_X2_SHIFT = math.log(2.0 * 2.51 / math.log(10.0))
"""Colebrook's 2.51. Tag: published (transcribed in the fluids library)."""
_F_FACTOR = (0.5 * math.log(10.0)) ** 2
# F of smooth pipe lies within 0.3 of this straight line in x2 up to Re 1e8.
_GUESS_SLOPE, _GUESS_SHIFT = 0.88, 0.82
# Entries are worked in blocks that stay in the processor's cache.
_BLOCK = 16384


def cautious(reynolds: FloatArray, relative_roughness: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give f.Re and d(f.Re)/dRe by the law that verdicts rest on.

    64/Re up to Re 1900; Colebrook's law from Re 2300; between them ln f goes from one to the other
    by a cubic smoothstep in ln Re, so f.Re has a continuous slope and the head loss always rises
    with flow. Never below 64/Re, nor above Re 2300 below Colebrook.

    Parameters
    ----------
    reynolds : FloatArray
        Reynolds number [-], >= 0, any shape; a negative or non-finite entry gives NaN.
    relative_roughness : FloatArray
        Roughness over bore [-], 0 to below 1, shape that broadcasts with ``reynolds``; any other
        entry gives NaN. Above 0.05 the value is returned, see ``friction_flags``.

    Returns
    -------
    tuple of FloatArray
        Darcy factor times Reynolds number [-] and its derivative by Reynolds number [-], in the
        broadcast shape. At rest 64 and 0.

    References
    ----------
    Hagen-Poiseuille (exact) for laminar flow. C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133,
    written as in D. Clamond, Ind. Eng. Chem. Res. 48 (2009) 3665. The bridge is our own, for a law
    that is on the safe side of both neighbours.

    Examples
    --------
    64 in laminar flow, whatever the wall. At Re 3500 Colebrook's factor in smooth pipe is 0.0415283
    by the fluids library.

    >>> product, slope = cautious(np.array([0.0, 1000.0]), np.array(0.01))
    >>> product.tolist(), slope.tolist()
    ([64.0, 64.0], [0.0, 0.0])
    >>> round(float(cautious(np.array(3500.0), np.array(0.0))[0]) / 3500.0, 7)
    0.0415283
    """
    return _in_blocks(_cautious_block, reynolds, relative_roughness)


def expected(reynolds: FloatArray, relative_roughness: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give f.Re and d(f.Re)/dRe by Churchill's law for all regimes.

    Only for comparing with a measurement: between Re 2000 and about 3000 it lies up to 38 % below
    turbulent friction, which is optimistic where fittings and vibration trip the flow early.

    Parameters
    ----------
    reynolds : FloatArray
        Reynolds number [-], >= 0, any shape; a negative or non-finite entry gives NaN.
    relative_roughness : FloatArray
        Roughness over bore [-], 0 to below 1, shape that broadcasts with ``reynolds``; any other
        entry gives NaN.

    Returns
    -------
    tuple of FloatArray
        Darcy factor times Reynolds number [-] and its derivative by Reynolds number [-], in the
        broadcast shape. At rest 64 and 0.

    References
    ----------
    S. W. Churchill, Chem. Eng. 84 (7 Nov 1977) 91; form as implemented in the fluids library.

    Examples
    --------
    The same at Re 1000 by Churchill, to a tenth of a percent.

    >>> round(float(expected(np.array(1000.0), np.array(0.0))[0]), 1)
    64.0
    """
    return _in_blocks(_expected_block, reynolds, relative_roughness)


def darcy_factor(
    reynolds: FloatLike, relative_roughness: FloatLike, law: FrictionLaw = "cautious"
) -> FloatArray:
    """Give the Darcy friction factor.

    Parameters
    ----------
    reynolds : FloatLike
        Reynolds number [-], > 0; zero gives infinity, a negative or non-finite entry NaN.
    relative_roughness : FloatLike
        Roughness over bore [-], >= 0.
    law : {"cautious", "expected"}
        Which law.

    Returns
    -------
    FloatArray
        Darcy factor [-], four times Fanning's, in the broadcast shape.

    References
    ----------
    See ``cautious`` and ``expected``.

    Examples
    --------
    64/1000 in laminar flow. A fully rough wall of 0.01 of the bore has, by von Karman,
    (2 log10 370)^-2 = 0.0379.

    >>> round(float(darcy_factor(1000.0, 0.0)), 9), round(float(darcy_factor(1e8, 0.01)), 4)
    (0.064, 0.0379)
    """
    reynolds = np.asarray(reynolds, dtype=np.float64)
    product, _ = law_of(law)(reynolds, np.asarray(relative_roughness, dtype=np.float64))
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(product / reynolds)


def least_reynolds(friction_factor: float) -> float:
    """Give the Reynolds number from which on a pipe may have a friction factor as small as this.

    Parameters
    ----------
    friction_factor : float
        Darcy factor [-], > 0.

    Returns
    -------
    float
        [-] Where the cautious law of a smooth bore, times ``LEAST_SHARE``, has come down to it for
        good; infinite where that is beyond the Moody chart.

    References
    ----------
    64/Re; Colebrook's law with no roughness, 1/sqrt(f) = -2 log10(2.51/(Re sqrt(f))).
    Tag: published (transcribed in the fluids library).

    Examples
    --------
    >>> round(least_reynolds(0.03))
    9197
    >>> round(least_reynolds(0.06))
    1013
    """
    factor = friction_factor / LEAST_SHARE
    root = 1.0 / math.sqrt(factor)
    if root > 2.0 * math.log10(HIGHEST_REYNOLDS):
        return math.inf
    turbulent = 2.51 * root * 10.0 ** (0.5 * root)
    if turbulent > HIGHEST_REYNOLDS:
        return math.inf
    return turbulent if turbulent > TURBULENT_START else 64.0 / factor


def friction_flags(reynolds: FloatLike, relative_roughness: FloatLike) -> BoolArray:
    """Tell where friction is asked for outside the range of Colebrook's law.

    Parameters
    ----------
    reynolds : FloatLike
        Reynolds number [-].
    relative_roughness : FloatLike
        Roughness over bore [-].

    Returns
    -------
    BoolArray
        True where roughness/bore is not within 0 to 0.05, Re is not within 0 to 1e8, or either is
        NaN; in the broadcast shape.

    References
    ----------
    Range of the Moody chart (L. F. Moody, Trans. ASME 66 (1944) 671), from memory.
    """
    reynolds = np.asarray(reynolds, dtype=np.float64)
    rough = np.asarray(relative_roughness, dtype=np.float64)
    within = (reynolds >= 0.0) & (reynolds <= HIGHEST_REYNOLDS)
    within = within & (rough >= 0.0) & (rough <= HIGHEST_RELATIVE_ROUGHNESS)
    return np.asarray(~within)


def law_of(law: FrictionLaw) -> Law:
    """Give the function of a friction law by its name.

    Parameters
    ----------
    law : {"cautious", "expected"}
        Which law.

    Returns
    -------
    callable
        ``cautious`` or ``expected``.

    Raises
    ------
    KeyError
        For any other name.
    """
    return {"cautious": cautious, "expected": expected}[law]


def _in_blocks(
    law: Callable[[FloatArray, FloatArray, FloatArray, FloatArray], None],
    reynolds: FloatArray,
    relative_roughness: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Work a law through the broadcast entries, in a row and in blocks of equal size."""
    shaped, rough = np.broadcast_arrays(
        np.asarray(reynolds, dtype=np.float64), np.asarray(relative_roughness, dtype=np.float64)
    )
    flat, rough = shaped.reshape(-1), rough.reshape(-1)
    product, slope = np.empty(flat.size), np.empty(flat.size)
    blocks = max(1, -(-flat.size // _BLOCK))
    step = -(-flat.size // blocks)
    for start in range(0, flat.size, step or 1):
        part = slice(start, start + step)
        law(flat[part], rough[part], product[part], slope[part])
    return product.reshape(shaped.shape), slope.reshape(shaped.shape)


def _cautious_block(
    reynolds: FloatArray, rough: FloatArray, product: FloatArray, slope: FloatArray
) -> None:
    """Write the law of one block; NaN where an entry lies outside it, never a number for those."""
    # Least and largest are NaN where any entry is, and no comparison holds for NaN.
    least, largest = reynolds.min(), reynolds.max()
    good = least >= 0.0 and largest < np.inf and rough.min() >= 0.0 and rough.max() < 1.0
    if good and least > LAMINAR_END:
        _turbulent(reynolds, rough, product, slope)
        return
    product.fill(64.0)
    slope.fill(0.0)
    if good and largest <= LAMINAR_END:
        return
    moving = reynolds > LAMINAR_END
    if not good:
        within = (reynolds >= 0.0) & (reynolds < np.inf) & (rough >= 0.0) & (rough < 1.0)
        moving &= within
        product[~within] = slope[~within] = np.nan
    some = np.flatnonzero(moving)
    turbulent, steepness = np.empty(len(some)), np.empty(len(some))
    _turbulent(reynolds[some], rough[some], turbulent, steepness)
    product[some], slope[some] = turbulent, steepness


def _turbulent(Re: FloatArray, eD: FloatArray, product: FloatArray, slope: FloatArray) -> None:
    """Write f.Re and its derivative where the flow is not laminar."""
    log_Re = np.log(Re)
    F, y = _colebrook(Re, eD, log_Re)
    # F + ln(x1 + F) = x2, differentiated by ln Re at constant eD: d ln f/d ln Re is -2/(1 + y).
    y += 1.0
    exponent = np.divide(-2.0, y, out=y)
    F *= F
    f = np.divide(_F_FACTOR, F, out=F)
    bridge = np.flatnonzero(Re < TURBULENT_START)
    if bridge.size:
        f[bridge], exponent[bridge] = _bridge(log_Re[bridge], f[bridge], exponent[bridge])
    np.multiply(f, Re, out=product)
    exponent += 1.0
    np.multiply(f, exponent, out=slope)


def _colebrook(Re: FloatArray, eD: FloatArray, log_Re: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Give F and x1 + F of Colebrook's law by three Newton steps, which reach the last digit.

    The error e of a step becomes at most e^2/(2 y (1 + y)) with y = x1 + F above 5 in smooth pipe.
    """
    x1 = eD * Re
    x1 *= _X1_FACTOR
    x2 = log_Re - _X2_SHIFT
    F = x2 * _GUESS_SLOPE
    F -= _GUESS_SHIFT
    y, step = np.empty_like(F), np.empty_like(F)
    for _ in range(3):
        np.add(x1, F, out=y)
        np.log(y, out=step)
        step += F
        step -= x2
        step *= y
        y += 1.0
        step /= y
        F -= step
    return F, np.add(x1, F, out=y)


def _bridge(
    log_Re: FloatArray, f: FloatArray, exponent: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give f and d ln f/d ln Re between laminar and Colebrook's ``f`` with its ``exponent``."""
    t = (log_Re - math.log(LAMINAR_END)) / _BRIDGE_SPAN
    s = t * t * (3.0 - 2.0 * t)
    s_slope = 6.0 * t * (1.0 - t) / _BRIDGE_SPAN
    log_laminar = math.log(64.0) - log_Re
    gap = np.log(f) - log_laminar
    return np.exp(log_laminar + s * gap), s - 1.0 + s * exponent + s_slope * gap


def _expected_block(
    reynolds: FloatArray, rough: FloatArray, product: FloatArray, slope: FloatArray
) -> None:
    """Write the law of one block; below Re 100 Churchill is 64/Re to 1e-38.

    Tag: published (transcribed in the fluids library).
    """
    within = (reynolds >= 0.0) & (reynolds < np.inf) & (rough >= 0.0) & (rough < 1.0)
    product[...] = np.where(within, 64.0, np.nan)
    slope[...] = np.where(within, 0.0, np.nan)
    moving = within & (reynolds >= 100.0)
    Re, eD = reynolds[moving], rough[moving]
    u = (7.0 / Re) ** 0.9
    z = u + 0.27 * eD
    log_z = np.log(z)
    A = (2.457 * log_z) ** 16
    B = (37530.0 / Re) ** 16
    G = Re**12 / (A + B) ** 1.5
    S = 8.0**12 + G
    # d ln A/d ln Re = -14.4 (u/z)/ln z;  d ln B/d ln Re = -16.
    log_slope = 12.0 - 1.5 * (-14.4 * A * u / (z * log_z) - 16.0 * B) / (A + B)
    product[moving] = 8.0 * S ** (1.0 / 12.0)
    slope[moving] = product[moving] * G * log_slope / (12.0 * S * Re)
