"""The law of a part known by a measured table of drops."""

from dataclasses import replace

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.measures import PRESSURE, VOLUME_FLOW
from flowsim.physics.arrays import BoolArray, FloatArray, FloatLike
from flowsim.physics.losses.friction import FrictionLaw
from flowsim.physics.losses.law_shape import LawForm, Passing
from flowsim.physics.losses.loss_law import LossLaw
from flowsim.physics.losses.measured_drop import (
    below_first,
    drop_curve,
    evaluate,
    viscosity_ratio,
)
from flowsim.system.parts import MeasuredDrop, Part


class ReadyTable:
    """A measured table as the solver reads it: ``curve`` in pascal, ``scale`` [m/Pa] to head."""

    def __init__(self, part: MeasuredDrop, share: float) -> None:
        self.part, self.curve = part, drop_curve(part)
        self.scale = share / (part.density * STANDARD_GRAVITY)

    def head(
        self, flow: FloatArray, kinematic_viscosity: FloatArray, factor: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """Give the head lost, and its slope.

        Parameters
        ----------
        flow : FloatArray
            [m3/s], either sign, any shape.
        kinematic_viscosity : FloatArray
            [m2/s], > 0, shape that broadcasts.
        factor : FloatArray
            How many times as much as read [-], shape that broadcasts.

        Returns
        -------
        tuple of FloatArray
            Head [m], with the sign of the flow, and its slope by flow [s/m2].
        """
        ratio = viscosity_ratio(self.part, kinematic_viscosity)
        scale = self.scale * factor
        drop, steepness, _ = evaluate(self.curve, flow / ratio)
        return drop * scale * ratio**2, steepness * scale * ratio

    def flags(
        self, flow: FloatArray, kinematic_viscosity: FloatArray
    ) -> tuple[BoolArray, BoolArray]:
        """Tell where the table is not to be trusted.

        Parameters
        ----------
        flow : FloatArray
            [m3/s], either sign, any shape.
        kinematic_viscosity : FloatArray
            [m2/s], > 0, shape that broadcasts.

        Returns
        -------
        tuple of BoolArray
            Where it is read beyond its readings; where below the first.
        """
        read = flow / viscosity_ratio(self.part, kinematic_viscosity)
        _, _, beyond = evaluate(self.curve, read)
        below = below_first(self.curve, read)
        return np.asarray(beyond | (below & self.curve.bends_down)), below


class TableLaw(LossLaw[MeasuredDrop]):
    """Readings joined by a rising curve; its range is its last flow.

    Examples
    --------
    At a reading it gives the reading, as head of the liquid it was measured with:

    >>> meter = MeasuredDrop(
    ...     name="meter", kind="flow meter", bore=0.008, flows=(1e-5, 2e-5), drops=(200.0, 700.0),
    ...     density=720.0,
    ... )
    >>> head, _ = TableLaw().head(meter, 2e-5, 6e-7, "cautious")
    >>> round(float(head) * 720.0 * 9.80665, 6)
    700.0
    """

    title = "measured table"
    reference = "F. N. Fritsch and R. E. Carlson, SIAM J. Numer. Anal. 17 (1980) 238; Reynolds 1883"
    takes_kinetic = True

    def form(self, part: MeasuredDrop) -> LawForm:
        """Each table is a curve of its own."""
        del part
        return LawForm.BY_ITSELF

    def head(
        self,
        part: MeasuredDrop,
        flow: FloatLike,
        kinematic_viscosity: FloatLike,
        friction: FrictionLaw,
    ) -> tuple[FloatArray, FloatArray]:
        """Give the head [m of the liquid that flows] and its slope [s/m2].

        The drop goes with the density and, where the viscosity of the readings' liquid is known, by
        the Reynolds number.
        """
        del friction
        ratio = viscosity_ratio(part, kinematic_viscosity)
        drop, slope, _ = evaluate(drop_curve(part), np.asarray(flow, dtype=np.float64) / ratio)
        weight = part.density * STANDARD_GRAVITY
        return ratio**2 * drop / weight, ratio * slope / weight

    def ready(self, part: MeasuredDrop, share: float) -> ReadyTable:
        """Lay the curve once."""
        return ReadyTable(part, share)

    def blocked(self, part: MeasuredDrop) -> Part | None:
        """Give it as stated."""
        return part.blocked

    def scaled(self, part: MeasuredDrop, factor: float) -> MeasuredDrop:
        """Give every reading times the factor."""
        return replace(part, drops=tuple(drop * factor for drop in part.drops))

    def numbers(self, part: MeasuredDrop) -> str:
        """Say the last reading."""
        flow = VOLUME_FLOW.significant(part.flows[-1], 4)
        return f"{PRESSURE.significant(part.drops[-1], 4)} at {flow}"

    def terms(
        self, part: MeasuredDrop, loss: float, laminar: float, clear: float
    ) -> dict[str, float]:
        """Give nothing: all depends on the flow."""
        del part, loss, laminar, clear
        return {}

    def terms_at(self, part: MeasuredDrop, passing: Passing) -> dict[str, float]:
        """Give the readings on both sides of the flow, and where the straight line ends."""
        curve = drop_curve(part)
        ratio = float(viscosity_ratio(part, passing.kinematic_viscosity))
        readings = [(0.0, 0.0), *zip(part.flows, part.drops, strict=True)]
        read = abs(passing.flow) / ratio
        found = {
            "table_density": part.density,
            "viscosity_ratio": ratio,
            "straight_up_to": min(float(curve.flows[1]), curve.first),
        }
        below = [reading for reading in readings if reading[0] <= read][-1]
        found["reading_below_flow"], found["reading_below_drop"] = below
        above = [reading for reading in readings if reading[0] > read]
        if above:
            found["reading_above_flow"], found["reading_above_drop"] = above[0]
        return found
