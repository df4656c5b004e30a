"""What each part of a line loses, as head of the liquid that flows.

Every part but a pipe and a measured table reduces to

    h = quadratic Q |Q| + linear nu Q    [m]

with flow Q [m3/s], kinematic viscosity nu [m2/s], ``quadratic`` [s2/m5] and ``linear`` [s2/m4].
Both are >= 0, so the loss rises strictly with flow and its slope is continuous. ``linear`` is zero
where a part is known by one number only (Kv, a stated coefficient): then the slope is zero at rest.

Theory, sources and limits: ``docs/theory/losses.md``.
"""

import math

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.errors import DomainError
from flowsim.physics.arrays import BoolArray, FloatArray, FloatLike
from flowsim.physics.checks import require_positive
from flowsim.physics.losses.bore_steps import step_coefficient
from flowsim.physics.losses.fitting_catalogue import CATALOGUE, FITTING_RANGE, ReynoldsRange
from flowsim.physics.losses.formed_fittings import bend, hose_barb, sudden_change
from flowsim.physics.losses.friction import HIGHEST_REYNOLDS, FrictionLaw, law_of
from flowsim.physics.losses.measured_drop import DropCurve, drop_curve, evaluate, viscosity_ratio
from flowsim.physics.losses.woven_screen import (
    SCREEN_RANGE,
    clean_screen,
    require_clear_fraction,
    screen_reynolds,
)
from flowsim.system.parts import (
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Part,
    Pipe,
    QuadraticLoss,
    Screen,
)

__all__ = [
    "DropCurve",
    "bend",
    "drop_curve",
    "evaluate",
    "exit_coefficient",
    "fitted_range",
    "head_loss",
    "hose_barb",
    "outside_range",
    "pipe_loss",
    "quadratic_and_linear",
    "reynolds",
    "screen_reynolds",
    "sudden_change",
    "velocity",
]

WATER_DENSITY = 999.1
"""[kg/m3] Water at 15 degC, to which a flow coefficient refers (IEC 60534-1). Tag: published."""

ORIFICE_K_LAMINAR = 25.0
"""[-] K1 of a sharp orifice on its own bore: Cd tends to 0.2 sqrt(Re) in creeping flow (H. E.
Merritt, Hydraulic Control Systems, 1967, from memory), so 1/Cd^2 gains 1/(0.2^2 Re)."""

_TWO_G = 2.0 * STANDARD_GRAVITY


def velocity(flow: FloatLike, bore: FloatLike) -> FloatArray:
    """Give the mean velocity in a round bore.

    Parameters
    ----------
    flow : FloatLike
        Flow [m3/s], either sign.
    bore : FloatLike
        Bore [m], > 0, shape that broadcasts.

    Returns
    -------
    FloatArray
        Velocity [m/s], with the sign of the flow.

    References
    ----------
    Continuity.
    """
    return np.asarray(flow / (0.25 * math.pi * np.asarray(bore, dtype=np.float64) ** 2))


def reynolds(flow: FloatLike, bore: FloatLike, kinematic_viscosity: FloatLike) -> FloatArray:
    """Give the Reynolds number in a round bore.

    Parameters
    ----------
    flow : FloatLike
        Flow [m3/s], either sign.
    bore : FloatLike
        Bore [m], > 0, shape that broadcasts.
    kinematic_viscosity : FloatLike
        Kinematic viscosity [m2/s], > 0, shape that broadcasts.

    Returns
    -------
    FloatArray
        Reynolds number [-], >= 0.

    References
    ----------
    Definition, on the mean velocity and the bore.
    """
    return np.asarray(np.abs(velocity(flow, bore)) * bore / kinematic_viscosity)


def quadratic_and_linear(part: Part) -> tuple[float, float]:
    """Reduce a part to h = quadratic Q |Q| + linear nu Q.

    A one-way valve's cracking pressure, the clear fraction of a screen (quadratic / clear^2 and
    linear / clear; here the screen is clean) and the spread of a band are the caller's business.

    Parameters
    ----------
    part : Part
        Any part but a measured table and a pipe whose friction follows a law.

    Returns
    -------
    tuple of float
        ``quadratic`` [s2/m5] and ``linear`` [s2/m4], both >= 0.

    Raises
    ------
    DomainError
        When a bore, coefficient or count is not positive, or a K is negative or no number.
    TypeError
        For a part that has no such form.

    References
    ----------
    K = K_inf + K1/Re: W. B. Hooper, Chem. Eng. 88 (24 Aug 1981) 96, without its size term. Kv:
    IEC 60534-1. Orifice: Bernoulli with Cd, and Merritt's laminar limit. Screen: J. C. Armour and
    J. N. Cannon, AIChE J. 14 (1968) 415, constants read in the abstract.
    """
    match part:
        case MinorLoss():
            require_positive(part.name, "count", part.count)
            return _from_k(
                part.name, part.bore, part.count * part.k_inf, part.count * part.k_laminar
            )
        case FlowCoefficient():
            return _from_kv(part.name, part.kv), _from_k(part.name, part.bore, 0, part.k_laminar)[1]
        case Orifice():
            require_positive(part.name, "discharge coefficient", part.discharge_coefficient)
            k_inf = part.discharge_coefficient**-2
            return _from_k(part.name, part.bore, k_inf, ORIFICE_K_LAMINAR)
        case Screen():
            return clean_screen(part)
        case QuadraticLoss():
            require_positive(part.name, "coefficient", part.coefficient)
            return part.coefficient, 0.0
        case OneWayValve():
            return _from_kv(part.name, part.kv), 0.0
        case Pipe() if part.friction_factor is not None:
            require_positive(part.name, "bore", part.bore)
            k_inf = part.friction_factor * part.length / part.bore
            return _from_k(part.name, part.bore, k_inf, 0.0)
        case _:
            raise TypeError(f'"{part.name}" ({type(part).__name__}) has no quadratic form')


def pipe_loss(
    pipe: Pipe,
    flow: FloatLike,
    kinematic_viscosity: FloatLike,
    law: FrictionLaw = "cautious",
) -> tuple[FloatArray, FloatArray]:
    """Give the friction head of a pipe and its slope by flow.

    Parameters
    ----------
    pipe : Pipe
        Its own friction factor, where it has one, replaces the law.
    flow : FloatLike
        Flow [m3/s], either sign.
    kinematic_viscosity : FloatLike
        Kinematic viscosity [m2/s], > 0, shape that broadcasts.
    law : {"cautious", "expected"}
        Which friction law.

    Returns
    -------
    tuple of FloatArray
        Head [m], with the sign of the flow, and its derivative by flow [s/m2].

    Raises
    ------
    DomainError
        When the bore is not positive.

    References
    ----------
    Darcy-Weisbach: h = f L/D V|V|/2g, written with f.Re, which is finite at rest.
    """
    require_positive(pipe.name, "bore", pipe.bore)
    flow = np.asarray(flow, dtype=np.float64)
    nu = np.asarray(kinematic_viscosity, dtype=np.float64)
    if pipe.friction_factor is not None:
        quadratic, _ = quadratic_and_linear(pipe)
        return quadratic * flow * np.abs(flow), 2.0 * quadratic * np.abs(flow) + 0.0 * nu
    Re = reynolds(flow, pipe.bore, nu)
    rough = np.asarray(pipe.roughness / pipe.bore, dtype=np.float64)
    product, slope = law_of(law)(Re, rough)
    _, per_product = _from_k(pipe.name, pipe.bore, 0.0, pipe.length / pipe.bore)
    return per_product * nu * product * flow, per_product * nu * (product + Re * slope)


def head_loss(
    part: Part,
    flow: FloatLike,
    kinematic_viscosity: FloatLike,
    law: FrictionLaw = "cautious",
) -> tuple[FloatArray, FloatArray]:
    """Give the head that any part loses and its slope by flow, at the stated values.

    The screen counts with its clear fraction; a one-way valve without its cracking pressure; a
    measured table as head of its own liquid, its drop scaling with density and, where the viscosity
    of that liquid is known, by the Reynolds number.

    Parameters
    ----------
    part : Part
        Any part.
    flow : FloatLike
        Flow [m3/s], either sign.
    kinematic_viscosity : FloatLike
        Kinematic viscosity [m2/s], > 0, shape that broadcasts.
    law : {"cautious", "expected"}
        Which friction law a pipe follows.

    Returns
    -------
    tuple of FloatArray
        Head [m of the liquid], with the sign of the flow, and its derivative by flow [s/m2].

    Raises
    ------
    DomainError
        When a value of the part is impossible.

    References
    ----------
    ``quadratic_and_linear``, ``pipe_loss``, ``drop_curve``.
    """
    flow = np.asarray(flow, dtype=np.float64)
    if isinstance(part, Pipe):
        return pipe_loss(part, flow, kinematic_viscosity, law)
    if isinstance(part, MeasuredDrop):
        ratio = viscosity_ratio(part, kinematic_viscosity)
        drop, slope, _ = evaluate(drop_curve(part), flow / ratio)
        weight = part.density * STANDARD_GRAVITY
        return ratio**2 * drop / weight, ratio * slope / weight
    quadratic, linear = quadratic_and_linear(part)
    if isinstance(part, Screen):
        require_clear_fraction(part)
        quadratic, linear = quadratic / part.clear_fraction**2, linear / part.clear_fraction
    viscous = linear * np.asarray(kinematic_viscosity, dtype=np.float64)
    return (quadratic * np.abs(flow) + viscous) * flow, 2.0 * quadratic * np.abs(flow) + viscous


def exit_coefficient(reynolds: FloatLike) -> tuple[FloatArray, FloatArray]:
    """Give the kinetic energy lost where a line ends, in velocity heads, and its slope by Re.

    The jet's energy is lost whole: 2 velocity heads for the parabola of laminar flow, 1 for the
    flat profile of turbulent flow, from Re 1900 to 4000 as ``step_coefficient`` bridges it. A
    turbulent profile really carries 1.04 to 1.08 velocity heads; that is left to the exit's band.

    Parameters
    ----------
    reynolds : FloatLike
        Reynolds number in the exit's bore [-], >= 0, any shape; other entries give NaN.

    Returns
    -------
    tuple of FloatArray
        K [-] and dK/dRe [-].

    References
    ----------
    Kinetic energy of a parabolic profile (exact); blend our own.
    """
    return step_coefficient(reynolds, 1.0, 2.0)


def fitted_range(part: Part) -> ReynoldsRange | None:
    """Give the Reynolds numbers for which a part's law is meant.

    Parameters
    ----------
    part : Part
        Any part.

    Returns
    -------
    tuple of float or None
        Lowest and highest Reynolds number [-], on the part's own bore (a screen's by
        ``screen_reynolds``); None where the builder's own number sets no range (Kv, a stated K or
        coefficient) and for a measured table, whose range is its last flow.

    References
    ----------
    The catalogue; the Moody chart for pipe; see ``SCREEN_RANGE``.
    """
    if isinstance(part, Pipe):
        return None if part.friction_factor is not None else (0.0, HIGHEST_REYNOLDS)
    if isinstance(part, Screen):
        return SCREEN_RANGE
    if isinstance(part, Orifice):
        return FITTING_RANGE
    if isinstance(part, MinorLoss) and part.kind in CATALOGUE:
        return CATALOGUE[part.kind].reynolds_range
    return None


def outside_range(kind: str, reynolds: FloatLike) -> BoolArray:
    """Tell where a catalogued fitting is used outside the Reynolds numbers of its data.

    Parameters
    ----------
    kind : str
        A trade name of the catalogue, or "screen". Any other kind is the builder's own number,
        for which no range is known: only NaN is flagged.
    reynolds : FloatLike
        Reynolds number on the fitting's bore [-], any shape.

    Returns
    -------
    BoolArray
        True outside the range or for NaN. The loss is still computed; it is never clipped.

    References
    ----------
    The catalogue.
    """
    reynolds = np.asarray(reynolds, dtype=np.float64)
    if kind == "screen":
        low, high = SCREEN_RANGE
    elif kind in CATALOGUE:
        low, high = CATALOGUE[kind].reynolds_range
    else:
        low, high = 0.0, math.inf
    return np.asarray(~((reynolds >= low) & (reynolds <= high)))


def _from_k(name: str, bore: float, k_inf: float, k_laminar: float) -> tuple[float, float]:
    """Give quadratic and linear of K = k_inf + k_laminar/Re on a bore: K V^2/2g, V = Q/A."""
    require_positive(name, "bore", bore)
    if not (0.0 <= k_inf < math.inf and 0.0 <= k_laminar < math.inf):
        raise DomainError(f'"{name}": K {k_inf} and K1 {k_laminar} must be finite and not negative')
    area = 0.25 * math.pi * bore**2
    return k_inf / (_TWO_G * area**2), k_laminar / (_TWO_G * area * bore)


def _from_kv(name: str, kv: float) -> float:
    """Give quadratic of a metric flow coefficient: Q [m3/h] = Kv sqrt(dp [bar] / (rho/rho0))."""
    require_positive(name, "Kv", kv)
    return 1.0e5 * 3600.0**2 / (WATER_DENSITY * STANDARD_GRAVITY * kv**2)
