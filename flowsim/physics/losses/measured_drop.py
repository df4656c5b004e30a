"""A measured table of pressure drop against flow, as a smooth curve that rises strictly."""

from dataclasses import dataclass, replace

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import BoolArray, FloatArray, FloatLike
from flowsim.physics.checks import require_positive
from flowsim.system.parts import MeasuredDrop

TURN = 0.02
"""[-] Share of the piece beside it in which the curve turns from its straight line below the first
reading to the curve through the readings. Own choice: it keeps the slope continuous and lies less
than 0.4 % below a square. Tag: estimate."""

WATER_VISCOSITY = 1.139e-6
"""[m2/s] Kinematic viscosity of water at 15 degC (IAPWS). Tag: from memory."""


@dataclass(frozen=True, slots=True, eq=False)
class DropCurve:
    """A measured table as a smooth rising curve.

    ``flows`` [m3/s], ``drops`` [Pa] and ``slopes`` [Pa s/m3], shape ``(point,)``, from the point at
    rest on; ``curvature`` [Pa s2/m6] continues the curve beyond the last. ``first`` and ``last``
    [m3/s] are the readings at its ends. ``bends_down`` tells that the second reading lies below the
    straight line from rest through the first, so that this line is no upper bound further down.
    """

    flows: FloatArray
    drops: FloatArray
    slopes: FloatArray
    curvature: float
    first: float
    last: float
    bends_down: bool


def drop_curve(part: MeasuredDrop) -> DropCurve:
    """Lay a rising curve through a measured table: straight from rest to the first reading.

    A straight line, because nobody knows what the part loses there: a laminar loss falls so, any
    other faster. From the first reading on a rising cubic; behind a single one a square.

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

    Examples
    --------
    Read 1 kPa at 1 mL/s and 4 kPa at 2 mL/s: straight from rest to the first.

    >>> part = MeasuredDrop(
    ...     name="meter", kind="meter", bore=0.008,
    ...     flows=(1e-6, 2e-6), drops=(1000.0, 4000.0), density=720.0,
    ... )  # fmt: skip
    >>> drop, _, beyond = evaluate(drop_curve(part), [0.0, 0.5e-6, 1e-6, -2e-6, 3e-6])
    >>> drop.round(6).tolist()[:4], beyond.tolist()
    ([0.0, 500.0, 1000.0, -4000.0], [False, False, False, False, True])
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
    plain = DropCurve(
        flows=flows,
        drops=drops,
        slopes=_slopes(step, secant),
        curvature=float(drops[-1] / flows[-1] ** 2),
        first=float(flows[1]),
        last=float(flows[-1]),
        bends_down=bool(len(secant) > 1 and secant[1] < secant[0] * (1.0 - 1e-9)),
    )
    return _straight_below(plain, float(secant[0]))


def _slopes(step: FloatArray, secant: FloatArray) -> FloatArray:
    """Give the slopes at rest and at every reading: of parabolas through three points, held."""
    slopes = np.empty(len(step) + 1)
    slopes[0] = 0.5 * secant[0]
    if len(step) == 1:
        slopes[1] = 2.0 * secant[0]  # a square law
        return slopes
    # Parabola through three points; exact for a square law. Positive inside by construction.
    inner = (step[:-1] * secant[1:] + step[1:] * secant[:-1]) / (step[:-1] + step[1:])
    slopes[1:-1] = np.minimum(inner, 2.5 * np.minimum(secant[:-1], secant[1:]))
    last = secant[-1] + (secant[-1] - secant[-2]) * step[-1] / (step[-1] + step[-2])
    slopes[-1] = min(max(last, 0.5 * secant[-1]), 2.5 * secant[-1])
    return slopes


def _straight_below(curve: DropCurve, line: float) -> DropCurve:
    """Make the first piece a straight line of slope ``line``, and turn from it without a kink.

    Where the curve goes on more steeply it turns behind the first reading, where less steeply ahead
    of it: so it lies nowhere below the straight line.
    """
    flows, drops, slopes = curve.flows, curve.drops, np.array(curve.slopes)
    slopes[0] = line
    if slopes[1] > line:
        width = TURN * float(flows[2] - flows[1] if len(flows) > 2 else flows[1])
        at = float(flows[1]) + width
        value, slope, _ = evaluate(curve, at)
        place, new = 2, (at, float(value), float(slope))
        slopes[1] = line
    elif slopes[1] < line:
        at = (1.0 - TURN) * float(flows[1])
        place, new = 1, (at, line * at, line)
    else:
        return replace(curve, slopes=slopes)
    return replace(
        curve,
        flows=np.insert(flows, place, new[0]),
        drops=np.insert(drops, place, new[1]),
        slopes=np.insert(slopes, place, new[2]),
    )


def below_first(curve: DropCurve, flow: FloatLike) -> BoolArray:
    """Tell where a flow [m3/s], either sign, any shape, lies between rest and the first reading.

    Parameters
    ----------
    curve : DropCurve
        From ``drop_curve``.
    flow : FloatLike
        [m3/s], either sign, any shape.

    Returns
    -------
    BoolArray
        The same shape.

    References
    ----------
    By definition.
    """
    size = np.abs(np.asarray(flow, dtype=np.float64))
    return np.asarray((size > 0.0) & (size < curve.first))


def with_liquid(part: MeasuredDrop, viscosity: float) -> MeasuredDrop:
    """Give a table whose liquid's viscosity is known, or assumed on the cautious side.

    Parameters
    ----------
    part : MeasuredDrop
    viscosity : float
        Of the case's fuel at 15 degC [m2/s].

    Returns
    -------
    MeasuredDrop
        The same where its viscosity is stated. Else with that of the fuel, at most water's, for it
        may have been water: the thinner the liquid of the reading, the more a thicker one loses.
    """
    if part.viscosity is not None:
        return part
    taken = min(viscosity, WATER_VISCOSITY)
    return replace(part, viscosity=taken, viscosity_is_assumed=True)


def viscosity_ratio(part: MeasuredDrop, kinematic_viscosity: FloatLike) -> FloatArray:
    """Give by how much more viscous a liquid [m2/s] is than that of the readings (1: not known).

    The loss at a flow Q is that ratio squared times the head read at Q over the ratio: dynamic
    similarity, K being one function of the Reynolds number. A viscosity that was assumed is no
    credit: then the ratio is at least one.

    Parameters
    ----------
    part : MeasuredDrop
    kinematic_viscosity : FloatLike
        [m2/s], > 0, any shape.

    Returns
    -------
    FloatArray
        [-], the same shape.

    References
    ----------
    O. Reynolds, Phil. Trans. R. Soc. 174 (1883) 935; any text on dimensional analysis.

    Examples
    --------
    Read with a liquid of 1 mm2/s, asked for one of 0.5: half; no credit where the 1 was assumed.

    >>> read = {"name": "meter", "kind": "meter", "bore": 0.008, "viscosity": 1e-6}
    >>> read |= {"flows": (1e-6,), "drops": (1000.0,), "density": 720.0}
    >>> float(viscosity_ratio(MeasuredDrop(**read), 0.5e-6))
    0.5
    >>> float(viscosity_ratio(MeasuredDrop(**read, viscosity_is_assumed=True), 0.5e-6))
    1.0
    """
    viscosity = np.asarray(kinematic_viscosity, dtype=np.float64)
    if part.viscosity is None:
        return np.ones_like(viscosity)
    require_positive(part.name, "viscosity [m2/s]", part.viscosity)
    ratio = viscosity / part.viscosity
    return np.maximum(ratio, 1.0) if part.viscosity_is_assumed else ratio


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
        flow [Pa s/m3]; True beyond the last reading (there a parabola goes on) or for NaN.

    References
    ----------
    Cubic Hermite interpolation.

    Examples
    --------
    See ``drop_curve``.

    >>> part = MeasuredDrop(
    ...     name="meter", kind="meter", bore=0.008, flows=(1e-6,), drops=(500.0,), density=720.0
    ... )
    >>> round(float(evaluate(drop_curve(part), 1e-6)[0]), 6)
    500.0
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
    outside = ~(q <= curve.last)
    return np.asarray(np.copysign(drop, flow)), np.asarray(slope), np.asarray(outside)
