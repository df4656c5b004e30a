"""The table of loss laws: for each class of part the one row that knows its law.

Every part but a pipe, an end or step of bore, and a measured table reduces to

    h = quadratic Q |Q| + linear nu Q    [m]

with flow Q [m3/s], kinematic viscosity nu [m2/s], ``quadratic`` [s2/m5] and ``linear`` [s2/m4].
Both are >= 0, so the loss rises strictly with flow and its slope is continuous. ``linear`` is zero
where a part is known by one number only (Kv, a stated coefficient): then the slope is zero at rest.

Theory, sources and limits: ``docs/theory/losses.md``.
"""

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np

from flowsim.physics.arrays import BoolArray, FloatArray, FloatLike
from flowsim.physics.losses.bore_steps import step_coefficient
from flowsim.physics.losses.fitting_catalogue import CATALOGUE, ReynoldsRange
from flowsim.physics.losses.fitting_laws import (
    FittingLaw,
    FlowCoefficientLaw,
    OneWayLaw,
    OrificeLaw,
    QuadraticLaw,
)
from flowsim.physics.losses.friction import FrictionLaw
from flowsim.physics.losses.loss_law import LossLaw
from flowsim.physics.losses.pipe_law import PipeLaw
from flowsim.physics.losses.screen_law import ScreenLaw
from flowsim.physics.losses.step_laws import ExitLaw, StepLaw
from flowsim.physics.losses.table_law import TableLaw
from flowsim.physics.losses.woven_screen import SCREEN_RANGE
from flowsim.system.parts import (
    AnyPart,
    Exit,
    FlowCoefficient,
    MeasuredDrop,
    MinorLoss,
    OneWayValve,
    Orifice,
    Pipe,
    QuadraticLoss,
    Screen,
    Step,
)

LAWS: Mapping[type[AnyPart], LossLaw[Any]] = MappingProxyType(
    {
        Pipe: PipeLaw(),
        MinorLoss: FittingLaw(),
        FlowCoefficient: FlowCoefficientLaw(),
        Orifice: OrificeLaw(),
        Screen: ScreenLaw(),
        MeasuredDrop: TableLaw(),
        QuadraticLoss: QuadraticLaw(),
        OneWayValve: OneWayLaw(),
        Exit: ExitLaw(),
        Step: StepLaw(),
    }
)
"""The row of each class of part."""


def loss_law(part: AnyPart) -> LossLaw[Any]:
    """Give the row of a part's law.

    Parameters
    ----------
    part : AnyPart
        Of any class in the table.

    Returns
    -------
    LossLaw
        All that is to be known of its law.
    """
    return LAWS[type(part)]


def quadratic_and_linear(part: AnyPart) -> tuple[float, float]:
    """Reduce a part to h = quadratic Q |Q| + linear nu Q.

    A one-way valve's cracking pressure, the clear fraction of a screen (quadratic / clear^2 and
    linear / clear; here the screen is clean) and the spread of a band are the caller's business.

    Parameters
    ----------
    part : AnyPart
        Any part but a measured table, an end, a step, and a pipe whose friction follows a law.

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
    The ``reference`` of each row.

    Examples
    --------
    >>> stated = QuadraticLoss(name="odd", kind="stated", bore=0.008, coefficient=3e8)
    >>> quadratic_and_linear(stated)
    (300000000.0, 0.0)
    """
    return loss_law(part).coefficients(part)


def head_loss(
    part: AnyPart,
    flow: FloatLike,
    kinematic_viscosity: FloatLike,
    law: FrictionLaw = "cautious",
) -> tuple[FloatArray, FloatArray]:
    """Give the head that any part loses and its slope by flow, at the stated values.

    The screen counts with its clear fraction; a one-way valve without its cracking pressure; a
    measured table as head of its own liquid, its drop scaling with density and, where the viscosity
    of that liquid is known, by the Reynolds number; an end or a step as if it acted both ways.

    Parameters
    ----------
    part : AnyPart
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
    The ``reference`` of each row.

    Examples
    --------
    >>> elbow = MinorLoss(name="elbow", kind="stated", bore=0.008, k_inf=1.5)
    >>> head, slope = head_loss(elbow, 2e-5, 6e-7)
    >>> round(float(head), 6)  # 1.5 V^2/2g with V = 0.3979 m/s
    0.012108
    """
    return loss_law(part).head(part, flow, kinematic_viscosity, law)


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

    Examples
    --------
    >>> k, _ = exit_coefficient(np.array([100.0, 1e5]))
    >>> k.tolist()
    [2.0, 1.0]
    """
    return step_coefficient(reynolds, 1.0, 2.0)


def fitted_range(part: AnyPart) -> ReynoldsRange | None:
    """Give the Reynolds numbers for which a part's law is meant.

    Parameters
    ----------
    part : AnyPart
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

    Examples
    --------
    >>> fitted_range(Pipe(name="tube", length=1.0, bore=0.008, roughness=1.5e-6))
    (0.0, 100000000.0)
    """
    return loss_law(part).range(part)


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
