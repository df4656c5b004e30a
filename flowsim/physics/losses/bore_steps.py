"""What a square step of bore loses, each way of flow by its own law.

A step loses K V^2/2g with V in the smaller bore. Both ways, K is one number in turbulent flow and
another, larger one in laminar flow; between them it falls as the exit's does, of which a step into
a very large bore is the limit. Theory, sources and limits: ``docs/theory/losses.md``.
"""

import math
from dataclasses import dataclass

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.checks import require_positive
from flowsim.physics.losses.formed_fittings import sharp_contraction
from flowsim.physics.losses.friction import LAMINAR_END

STEP_TURBULENT = 4000.0
"""[-] Reynolds number from which an exit, or a step of bore of the smaller ratios of its two
coefficients, has its turbulent coefficient. Own choice. Tag: estimate."""

STEP_STEEPNESS = 5.0 / 6.0
"""[-] The turbulent end lies at Re 1900 (laminar/turbulent K)^this where that is later: then the
loss rises through the change-over with an exponent of 0.2 or more. Own choice. Tag: estimate."""

CONTRACTION_LAMINAR = 2.0
"""[-] Laminar over turbulent coefficient of a contraction, as the exit's kinetic energy has it.
What was published for laminar flow out of a large bore lies near 0.32 + 64/Re (from memory), below
it from about Re 100. Tag: estimate."""

SOURCE_WIDENS = "Borda-Carnot; laminar with the momentum of a parabola (any hydraulics text)"
SOURCE_NARROWS = "Rennels and Hudson 2012, sharp edge; twice that in laminar flow (cautious)"


@dataclass(frozen=True, slots=True)
class StepCoefficients:
    """K [-] of a step on the smaller bore: ``turbulent`` and ``laminar``, both >= 0."""

    turbulent: float
    laminar: float


def step_coefficients(bore_from: float, bore_to: float) -> StepCoefficients:
    """Give the two coefficients of a square step of bore, for flow from one bore into the other.

    Parameters
    ----------
    bore_from : float
        Bore before the step [m], > 0.
    bore_to : float
        Bore behind the step [m], > 0; infinite for open air or a tank.

    Returns
    -------
    StepCoefficients
        On the velocity in the smaller bore; both zero for equal bores.

    Raises
    ------
    DomainError
        When a bore is not positive.

    References
    ----------
    Expansion, with a the ratio of the areas: momentum and energy with the same profile on both
    sides give alpha - 2 beta a + (2 beta - alpha) a^2: (1 - a)^2 for a flat profile (Borda-Carnot),
    2 - 8 a/3 + 2 a^2/3 for a parabola. Contraction: ``sharp_contraction``.

    Examples
    --------
    >>> step_coefficients(0.006, 0.012)
    StepCoefficients(turbulent=0.5625, laminar=1.375)
    """
    require_positive("step of bore", "bore [m]", bore_from)
    if not bore_to > 0.0:
        raise DomainError(f'"step of bore": bore [m] {bore_to} must be above 0')
    if bore_to >= bore_from:
        ratio = (bore_from / bore_to) ** 2
        return StepCoefficients((1.0 - ratio) ** 2, 2.0 * (1.0 - ratio) * (1.0 - ratio / 3.0))
    sharp = sharp_contraction(bore_to / bore_from)
    return StepCoefficients(sharp, CONTRACTION_LAMINAR * sharp)


def turbulent_from(coefficients: StepCoefficients) -> float:
    """Give the Reynolds number [-] in the smaller bore from which K is the turbulent one.

    Parameters
    ----------
    coefficients : StepCoefficients
        Both above zero.

    Returns
    -------
    float
        [-] At least 4000.

    References
    ----------
    Our own; see ``STEP_STEEPNESS``.

    Examples
    --------
    Twice the loss in laminar flow, 1900 x 2^(5/6) = 3385: not above 4000. Eight times the loss,
    1900 x 8^(5/6) = 1900 x 2^2.5 = 10748.

    >>> [round(turbulent_from(StepCoefficients(1.0, ratio))) for ratio in (2.0, 8.0)]
    [4000, 10748]
    """
    ratio = coefficients.laminar / coefficients.turbulent
    return max(STEP_TURBULENT, float(LAMINAR_END * ratio**STEP_STEEPNESS))


def step_coefficient(
    reynolds: FloatLike, turbulent: FloatLike, laminar: FloatLike
) -> tuple[FloatArray, FloatArray]:
    """Give K of an exit or of a step of bore, and its slope by the Reynolds number.

    ln K falls by a cubic smoothstep in ln Re from its laminar value at Re 1900 to its turbulent one
    at Re 4000, or later where the two lie far apart: later than friction turns turbulent, so that K
    stays high while the profile is still between the two.

    Parameters
    ----------
    reynolds : FloatLike
        Reynolds number in the smaller bore [-], >= 0, any shape; other entries give NaN.
    turbulent, laminar : FloatLike
        Coefficients [-], > 0, the laminar one the larger; shapes that broadcast.

    Returns
    -------
    tuple of FloatArray
        K [-] and dK/dRe [-].

    References
    ----------
    The blend is our own; K Re^2 rises with an exponent of 0.2 or more.

    Examples
    --------
    An exit: 2 in laminar, 1 in turbulent flow.

    >>> k, slope = step_coefficient([1000.0, 5000.0], 1.0, 2.0)
    >>> k.tolist(), (slope == 0.0).tolist()
    ([2.0, 1.0], [True, True])
    """
    reynolds = np.asarray(reynolds, dtype=np.float64)
    low = np.asarray(turbulent, dtype=np.float64)
    change = step_change(low, laminar)
    k, slope = bridge(reynolds, low, change.fall, change.span)
    wrong = ~((reynolds >= 0.0) & (reynolds < np.inf))
    if wrong.any():
        k[np.broadcast_to(wrong, k.shape)] = slope[np.broadcast_to(wrong, k.shape)] = np.nan
    return k, slope


@dataclass(frozen=True, slots=True)
class StepChange:
    """How K goes from laminar to turbulent: ``fall`` of ln K [-] over ``span`` of ln Re [-].

    ``until`` is the Reynolds number [-] at its end.
    """

    fall: FloatArray
    span: FloatArray
    until: FloatArray


def step_change(turbulent: FloatLike, laminar: FloatLike) -> StepChange:
    """Give how K of exits or steps goes from one coefficient to the other.

    Parameters
    ----------
    turbulent, laminar : FloatLike
        Coefficients [-], > 0, the laminar one the larger; shapes that broadcast.

    Returns
    -------
    StepChange

    References
    ----------
    See ``step_coefficient``.
    """
    fall = np.asarray(np.log(laminar / np.asarray(turbulent, dtype=np.float64)))
    span = np.maximum(math.log(STEP_TURBULENT / LAMINAR_END), STEP_STEEPNESS * fall)
    return StepChange(fall, span, LAMINAR_END * np.exp(span))


def bridge(
    reynolds: FloatArray, turbulent: FloatArray, fall: FloatArray, span: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Give K and dK/dRe, whatever the flow.

    Parameters
    ----------
    reynolds : FloatArray
        Reynolds number in the smaller bore [-], >= 0, any shape; NaN gives NaN.
    turbulent : FloatArray
        Turbulent coefficient [-], shape that broadcasts.
    fall, span : FloatArray
        [-] As in ``StepChange``, shapes that broadcast.

    Returns
    -------
    tuple of FloatArray
        K [-] and dK/dRe [-].

    References
    ----------
    See ``step_coefficient``.

    Examples
    --------
    Halfway in ln Re the smoothstep is a half: of 1 and 4 the geometric mean, falling by ln 4 x 6/4.

    >>> span = math.log(4.0)
    >>> k, slope = bridge(np.array([2.0 * LAMINAR_END]), np.ones(1), np.log([4.0]), span)
    >>> round(float(k[0]), 9), round(float(slope[0] * 2.0 * LAMINAR_END / k[0]), 9)
    (2.0, -1.5)
    """
    # The smoothstep is level at both ends: beyond them nothing changes. Working it everywhere costs
    # less than looking for where it is needed.
    within = np.maximum(reynolds, LAMINAR_END)
    t = np.asarray(np.minimum(np.log(within / LAMINAR_END) / span, 1.0))
    k = t * -2.0
    k += 3.0
    k *= t
    k *= t
    k = np.exp((1.0 - k) * fall) * turbulent
    slope = 1.0 - t
    slope *= t
    slope *= k
    slope /= within
    return k, slope * (-6.0 * fall / span)
