"""The laws of what the network adds between parts: ends of lines and steps of bore."""

import numpy as np

from flowsim.constants import STANDARD_GRAVITY
from flowsim.measures import BORE
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.losses.bore_steps import (
    SOURCE_NARROWS,
    SOURCE_WIDENS,
    StepCoefficients,
    step_coefficient,
    step_coefficients,
)
from flowsim.physics.losses.fitting_catalogue import EXIT_BAND, STEP_BAND
from flowsim.physics.losses.friction import FrictionLaw
from flowsim.physics.losses.law_shape import LawForm, Passing
from flowsim.physics.losses.loss_law import LossLaw, P
from flowsim.physics.losses.round_bore import velocity
from flowsim.system.bands import Band
from flowsim.system.parts import Exit, Step
from flowsim.system.tags import Tag

STEPS = "steps of bore"
"""Key of all steps: how sharp the edges are is one uncertain thing."""


class KineticLaw(LossLaw[P]):
    """K on a bore that falls from a laminar to a turbulent number, one way of flow only."""

    def form(self, part: P) -> LawForm:
        """All of them at once."""
        del part
        return LawForm.KINETIC

    def head(
        self, part: P, flow: FloatLike, kinematic_viscosity: FloatLike, friction: FrictionLaw
    ) -> tuple[FloatArray, FloatArray]:
        """Give the head [m] as if it acted both ways, and its slope [s/m2]."""
        del friction
        both, speed = self.both(part), velocity(flow, self.bore(part))
        number = self.reynolds(part, flow, kinematic_viscosity)
        k, steepness = step_coefficient(number, both.turbulent, both.laminar)
        per_flow = velocity(1.0, self.bore(part)) / (2.0 * STANDARD_GRAVITY)
        loss = k * speed * np.abs(speed) / (2.0 * STANDARD_GRAVITY)
        return loss, (2.0 * k + number * steepness) * np.abs(speed) * per_flow

    def numbers(self, part: P) -> str:
        """Say the bore."""
        return f"bore {BORE.words(self.bore(part), 3)}"

    def terms_at(self, part: P, passing: Passing) -> dict[str, float]:
        """Give K at this flow."""
        both = self.both(part)
        k, _ = step_coefficient(np.array(passing.reynolds), both.turbulent, both.laminar)
        return {"kinetic_coefficient": float(k)}


class ExitLaw(KineticLaw[Exit]):
    """The kinetic energy lost where a line ends: a step into an endless bore.

    Examples
    --------
    >>> ExitLaw().both(Exit(name="end", bore=0.008))
    StepCoefficients(turbulent=1.0, laminar=2.0)
    """

    title = "kinetic energy"
    reference = "kinetic energy of a parabolic and of a flat profile; blend our own"
    cause = "exits"

    def both(self, part: Exit) -> StepCoefficients:
        """Give 1 in turbulent and 2 in laminar flow."""
        return step_coefficients(part.bore, np.inf)

    def band(self, part: Exit) -> Band:
        """Give the spread of a turbulent profile's energy."""
        del part
        return EXIT_BAND

    def kind(self, part: Exit) -> str:
        """All are one kind."""
        del part
        return "end of a line"

    def tag(self, part: Exit) -> Tag | None:
        """No number of a part sets it."""
        del part
        return None

    def terms(self, part: Exit, loss: float, laminar: float, clear: float) -> dict[str, float]:
        """Its bore is all that counts."""
        del part, loss, laminar, clear
        return {}


class StepLaw(KineticLaw[Step]):
    """A square step of bore, on the smaller one.

    Examples
    --------
    Into four times the area: Borda and Carnot's (1 - 1/4)^2.

    >>> StepLaw().both(Step(name="step", bore_from=0.006, bore_to=0.012))
    StepCoefficients(turbulent=0.5625, laminar=1.375)
    """

    title = "sudden expansion"
    reference = f"{SOURCE_WIDENS}; {SOURCE_NARROWS}"
    cause = STEPS
    has_make = True

    def both(self, part: Step) -> StepCoefficients:
        """Give those of all steps in a row."""
        one = step_coefficients(part.bore_from, part.bore_to)
        return StepCoefficients(part.count * one.turbulent, part.count * one.laminar)

    def band(self, part: Step) -> Band:
        """Give how sharp and how square an edge may be."""
        del part
        return STEP_BAND

    def kind(self, part: Step) -> str:
        """All are one kind."""
        del part
        return "step of bore"

    def title_of(self, part: Step) -> str:
        """Say which way the bore changes."""
        return self.title if part.widens else "sudden contraction"

    def source(self, part: Step) -> str:
        """Say where the two coefficients are from."""
        return SOURCE_WIDENS if part.widens else SOURCE_NARROWS

    def measurement(self, part: Step) -> str:
        """Both bores count, and the edges."""
        del part
        return "measure the bores on both sides of each step, and look at its edges"

    def terms(self, part: Step, loss: float, laminar: float, clear: float) -> dict[str, float]:
        """Give both bores."""
        del loss, laminar, clear
        return {"bore_from": part.bore_from, "bore_to": part.bore_to, "count": float(part.count)}
