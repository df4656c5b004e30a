"""Sag of a filled tube or hose between two supports, and the dip that it makes.

Plain beam theory for small deflections. A hose bends little like a beam: its stiffness is best
measured (``rigidity_from_sag``).
"""

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.checks import require_positive

SpanEnds = Literal["supported", "fixed"]
"""How a span is held at its supports: free to turn there, or clamped in its direction."""

SMALL_DEFLECTION = 0.1
"""[-] Sag over span up to which the beam formula is used (common practice, no source)."""

_SAG_FACTOR: dict[SpanEnds, float] = {"supported": 5.0 / 384.0, "fixed": 1.0 / 384.0}
"""[-] Of a beam under its own weight, ends free to turn and clamped. Tag: from memory."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SagDip:
    """What a sagging span holds.

    ``sag`` [m] in the middle, square to the span; ``depth`` [m] of the dip under its lower end and
    ``length`` [m] of the tube below that end (both zero where it falls all the way);
    ``is_in_range`` tells whether the sag is small enough for the formula.
    """

    sag: float
    depth: float
    length: float
    is_in_range: bool


def flexural_rigidity(modulus: float, outside_diameter: float, bore: float) -> float:
    """Give the flexural rigidity of a round tube.

    Parameters
    ----------
    modulus : float
        Modulus of elasticity of the wall [Pa], > 0.
    outside_diameter, bore : float
        [m], > 0, the bore the smaller.

    Returns
    -------
    float
        E I = E pi (D^4 - d^4)/64 [N m2].

    Raises
    ------
    DomainError
        When a value is not positive or no wall is left.

    References
    ----------
    Second moment of area of a ring: any handbook (Roark's Formulas for Stress and Strain, table of
    properties of sections; from memory).

    Examples
    --------
    With E of 64/pi Pa, D = 2 m, d = 1 m: 2^4 - 1^4.

    >>> round(flexural_rigidity(64.0 / math.pi, 2.0, 1.0), 9)
    15.0
    """
    for name, value in (("modulus [Pa]", modulus), ("outside diameter [m]", outside_diameter),
                        ("bore [m]", bore)):  # fmt: skip
        require_positive("tube", name, value)
    if not bore < outside_diameter:
        raise DomainError("the bore of a tube is not below its outside diameter; correct one")
    return modulus * math.pi * (outside_diameter**4 - bore**4) / 64.0


def weight_per_length(mass_per_length: float) -> float:
    """Give the weight per length [N/m] of a mass per length [kg/m].

    Parameters
    ----------
    mass_per_length : float
        [kg/m]

    Returns
    -------
    float
        [N/m]

    Examples
    --------
    >>> weight_per_length(1.0)
    9.80665
    """
    return mass_per_length * STANDARD_GRAVITY


def mid_sag(weight: float, span: float, rigidity: float, held: SpanEnds = "supported") -> float:
    """Give the sag in the middle of a level span under its own weight.

    Parameters
    ----------
    weight : float
        Weight per length [N/m], >= 0.
    span : float
        Distance between supports [m], > 0.
    rigidity : float
        E I [N m2], > 0.
    held : str
        "supported" at the ends (sags most), or "fixed" there.

    Returns
    -------
    float
        5 w L^4/(384 E I) or w L^4/(384 E I) [m].

    Raises
    ------
    DomainError
        When span or rigidity is not positive.

    References
    ----------
    W. C. Young and R. G. Budynas, Roark's Formulas for Stress and Strain, 7th ed., table 8.1,
    cases 2e and 2d, uniform load over the whole span (from memory); Machinery's Handbook, beam
    deflection tables (from memory).

    Examples
    --------
    384 N/m on 1 m with 5 N m2: 5 x 384/(384 x 5) m; clamped a fifth of it.

    >>> mid_sag(384.0, 1.0, 5.0), mid_sag(384.0, 1.0, 5.0, "fixed")
    (1.0, 0.2)
    """
    require_positive("span", "length [m]", span)
    require_positive("span", "rigidity [N m2]", rigidity)
    return _SAG_FACTOR[held] * weight * span**4 / rigidity


def rigidity_from_sag(weight: float, span: float, sag: float) -> float:
    """Give the rigidity [N m2] of a hose that sags so much [m] on two rods ``span`` [m] apart.

    Parameters
    ----------
    weight : float
        Of the filled hose, per length [N/m], > 0.
    span : float
        Between the two rods [m], > 0.
    sag : float
        In the middle [m], > 0.

    Returns
    -------
    float
        [N m2]

    References
    ----------
    Beam on two rods: any text on the strength of materials.

    Examples
    --------
    The other way round of the example of ``mid_sag``.

    >>> rigidity_from_sag(384.0, 1.0, 1.0)
    5.0
    """
    for what, value in (("sag [m]", sag), ("weight [N/m]", weight), ("span [m]", span)):
        require_positive("hose", what, value)
    return _SAG_FACTOR["supported"] * weight * span**4 / sag


def sag_dip(
    weight: float, span: float, rigidity: float, fall: float, held: SpanEnds = "supported"
) -> SagDip:
    """Tell whether a span that falls from end to end sags into a dip.

    Parameters
    ----------
    weight : float
        Per length [N/m], >= 0.
    span : float
        Between supports [m], > 0.
    rigidity : float
        E I [N m2], > 0.
    fall : float
        Angle below level of the straight between its supports [rad], either sign, within +-pi/2.
    held : {"supported", "fixed"}
        As for ``mid_sag``.

    Returns
    -------
    SagDip

    Raises
    ------
    DomainError
        When weight is negative, span or rigidity is not positive, or the angle is beyond +-pi/2.

    Notes
    -----
    Depth below the lower end of straight plus sag, with x from the upper end in spans and
    k = w cos(fall) L^3/(24 E I): (1 - x) L (k cos(fall) q(x) - sin(fall)), where
    q = x + x^2 - x^3 for "supported" and x^2 (1 - x) for "fixed". There is a dip where it is
    positive. The load along the tube is left out.

    Examples
    --------
    A level span is a dip all along, as deep as it sags. One that falls by more than the slope of
    the sag at its end, 16/5 of sag over span, has none.

    >>> level = sag_dip(3.84, 1.0, 5.0, 0.0)
    >>> round(level.sag, 9), round(level.depth, 9), level.length
    (0.01, 0.01, 1.0)
    >>> sag_dip(3.84, 1.0, 5.0, 0.033).depth, sag_dip(3.84, 1.0, 5.0, 0.031).depth > 0.0
    (0.0, True)
    """
    if not 0.0 <= weight < math.inf:
        raise DomainError(f"a weight of {weight} N/m must be a finite number, not below 0")
    angle = abs(fall)
    if not angle <= 0.5 * math.pi:
        raise DomainError("a span falls by 90 deg at most; check its angle")
    sag = mid_sag(weight * math.cos(angle), span, rigidity, held)
    in_range = sag <= SMALL_DEFLECTION * span
    k = weight * math.cos(angle) * span**3 / (24.0 * rigidity)
    steep, across = math.sin(angle), k * math.cos(angle)
    if across <= 0.0:
        return SagDip(sag=sag, depth=0.0, length=0.0, is_in_range=in_range)
    q = {"supported": [-1.0, 1.0, 1.0, 0.0], "fixed": [-1.0, 1.0, 0.0, 0.0]}[held]
    depth_curve = np.polymul([-1.0, 1.0], np.polyadd(np.array(q) * across, [-steep]))
    edges = [0.0, *_roots(np.polyadd(q, [-steep / across])), 1.0]
    length = sum(
        high - low
        for low, high in pairwise(edges)
        if np.polyval(depth_curve, 0.5 * (low + high)) > 0.0
    )
    deepest = [float(np.polyval(depth_curve, x)) for x in _roots(np.polyder(depth_curve))]
    return SagDip(
        sag=sag,
        depth=span * max([0.0, *deepest]),
        length=span * length,
        is_in_range=in_range,
    )


def _roots(curve: object) -> list[float]:
    """Give the real roots between 0 and 1, rising."""
    roots = np.roots(np.asarray(curve, dtype=np.float64))
    return sorted(float(r.real) for r in roots if abs(r.imag) < 1e-9 and 0.0 < r.real < 1.0)
