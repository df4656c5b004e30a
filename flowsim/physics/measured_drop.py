"""A measured table of pressure drop against flow, as a smooth curve that rises strictly."""

from dataclasses import dataclass

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import BoolArray, FloatArray, FloatLike
from flowsim.physics.checks import require_positive
from flowsim.system.parts import MeasuredDrop


@dataclass(frozen=True, slots=True, eq=False)
class DropCurve:
    """A measured table as a smooth rising curve.

    ``flows`` [m3/s], ``drops`` [Pa] and ``slopes`` [Pa s/m3], shape ``(point,)``, from the point at
    rest to the last; ``curvature`` [Pa s2/m6] continues the curve beyond it.
    """

    flows: FloatArray
    drops: FloatArray
    slopes: FloatArray
    curvature: float


def drop_curve(part: MeasuredDrop) -> DropCurve:
    """Lay a rising cubic through a measured table and the point at rest.

    Parameters
    ----------
    part : MeasuredDrop
        Table of at least one point, flows [m3/s] and drops [Pa] both positive and rising.

    Returns
    -------
    DropCurve
        For ``evaluate``.

    Raises
    ------
    DomainError
        When the rows differ in length, are empty, or do not rise strictly from zero.

    References
    ----------
    F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238: slopes within three times
    the neighbouring secants keep a cubic monotone; 2.5 here, so that the slope is nowhere zero.
    """
    if len(part.flows) != len(part.drops) or not part.flows:
        raise DomainError(f'"{part.name}": flows and drops must be two equally long rows')
    require_positive(part.name, "density [kg/m3]", part.density)
    flows, drops = np.array([0.0, *part.flows]), np.array([0.0, *part.drops])
    step, rise = np.diff(flows), np.diff(drops)
    if not (np.all(step > 0.0) and np.all(rise > 0.0) and np.all(np.isfinite(flows + drops))):
        raise DomainError(
            f'"{part.name}": flows and drops must rise from above zero, point by point'
        )
    secant = rise / step
    slopes = np.empty_like(flows)
    slopes[0] = 0.5 * secant[0]
    if len(step) == 1:
        slopes[1] = 2.0 * secant[0]  # a square law
    else:
        # Parabola through three points; exact for a square law. Positive inside by construction.
        inner = (step[:-1] * secant[1:] + step[1:] * secant[:-1]) / (step[:-1] + step[1:])
        slopes[1:-1] = np.minimum(inner, 2.5 * np.minimum(secant[:-1], secant[1:]))
        last = secant[-1] + (secant[-1] - secant[-2]) * step[-1] / (step[-1] + step[-2])
        slopes[-1] = min(max(last, 0.5 * secant[-1]), 2.5 * secant[-1])
    return DropCurve(flows, drops, slopes, curvature=float(drops[-1] / flows[-1] ** 2))


def evaluate(curve: DropCurve, flow: FloatLike) -> tuple[FloatArray, FloatArray, BoolArray]:
    """Read a measured curve.

    Parameters
    ----------
    curve : DropCurve
        From ``drop_curve``.
    flow : FloatLike
        Flow [m3/s], either sign, any shape.

    Returns
    -------
    tuple of FloatArray, FloatArray, BoolArray
        Drop [Pa] of the liquid of the measurement, with the sign of the flow; its derivative by
        flow [Pa s/m3]; True beyond the last point (there a parabola goes on) or for NaN.

    References
    ----------
    Cubic Hermite interpolation.
    """
    flow = np.asarray(flow, dtype=np.float64)
    q = np.abs(flow)
    last = len(curve.flows) - 1
    i = np.clip(np.searchsorted(curve.flows, q, side="right") - 1, 0, last - 1)
    step = (curve.flows[1:] - curve.flows[:-1])[i]
    t = (q - curve.flows[i]) / step
    low, rise = curve.drops[i], curve.drops[i + 1] - curve.drops[i]
    m0, m1 = curve.slopes[i] * step, curve.slopes[i + 1] * step
    drop = low + t * (m0 + t * (3.0 * rise - 2.0 * m0 - m1 + t * (m0 + m1 - 2.0 * rise)))
    slope = (
        m0 + t * (2.0 * (3.0 * rise - 2.0 * m0 - m1) + 3.0 * t * (m0 + m1 - 2.0 * rise))
    ) / step
    over = q - curve.flows[last]
    beyond = over > 0.0
    far = curve.drops[last] + over * (curve.slopes[last] + curve.curvature * over)
    drop = np.where(beyond, far, drop)
    slope = np.where(beyond, curve.slopes[last] + 2.0 * curve.curvature * over, slope)
    return np.asarray(np.copysign(drop, flow)), np.asarray(slope), np.asarray(~(over <= 0.0))
