"""The law of tube and hose: friction, or a stated Darcy factor."""

import numpy as np

from flowsim.measures import BORE
from flowsim.physics.arrays import FloatArray, FloatLike
from flowsim.physics.checks import require_positive
from flowsim.physics.losses.fitting_catalogue import ReynoldsRange
from flowsim.physics.losses.friction import (
    HIGHEST_REYNOLDS,
    LAMINAR_END,
    TURBULENT_START,
    FrictionLaw,
    darcy_factor,
    law_of,
    least_reynolds,
)
from flowsim.physics.losses.law_shape import BandActs, LawForm, Passing
from flowsim.physics.losses.loss_law import LossLaw
from flowsim.physics.losses.round_bore import coefficients_of_k, reynolds
from flowsim.system.bands import Band
from flowsim.system.parts import Pipe


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

    Examples
    --------
    Laminar, by Hagen and Poiseuille 128 nu L Q/(pi g D^4):

    >>> tube = Pipe(name="tube", length=2.0, bore=0.008, roughness=1.5e-6)
    >>> head, _ = pipe_loss(tube, 5e-6, 6e-7)
    >>> round(float(head), 6)
    0.006086
    """
    require_positive(pipe.name, "bore", pipe.bore)
    flow = np.asarray(flow, dtype=np.float64)
    nu = np.asarray(kinematic_viscosity, dtype=np.float64)
    if pipe.friction_factor is not None:
        k = pipe.friction_factor * pipe.length / pipe.bore
        quadratic, _ = coefficients_of_k(pipe.name, pipe.bore, k, 0.0)
        return quadratic * flow * np.abs(flow), 2.0 * quadratic * np.abs(flow) + 0.0 * nu
    Re = reynolds(flow, pipe.bore, nu)
    rough = np.asarray(pipe.roughness / pipe.bore, dtype=np.float64)
    product, slope = law_of(law)(Re, rough)
    _, per_product = coefficients_of_k(pipe.name, pipe.bore, 0.0, pipe.length / pipe.bore)
    return per_product * nu * product * flow, per_product * nu * (product + Re * slope)


class PipeLaw(LossLaw[Pipe]):
    """Friction by the law, or by a factor that the builder states.

    Examples
    --------
    A stated Darcy factor of 0.03 on 100 bores is K = 3:

    >>> tube = Pipe(name="tube", length=0.8, bore=0.008, roughness=0.0, friction_factor=0.03)
    >>> quadratic, linear = PipeLaw().coefficients(tube)
    >>> round(quadratic * 2 * 9.80665 * (3.141592653589793 * 0.008**2 / 4) ** 2, 9), linear
    (3.0, 0.0)
    """

    title = "cautious friction"
    reference = "Darcy-Weisbach; 64/Re, Colebrook 1939, a blend between (our own)"
    acts = BandActs.BORE
    cause = "bores"

    def form(self, part: Pipe) -> LawForm:
        """Take a stated factor as a coefficient: it goes with the square of the flow."""
        return LawForm.FRICTION if part.friction_factor is None else LawForm.COEFFICIENTS

    def coefficients(self, part: Pipe) -> tuple[float, float]:
        """Give those of a stated factor; friction by the law has none."""
        if part.friction_factor is None:
            return super().coefficients(part)
        k = part.friction_factor * part.length / part.bore
        return coefficients_of_k(part.name, part.bore, k, 0.0)

    def head(
        self, part: Pipe, flow: FloatLike, kinematic_viscosity: FloatLike, friction: FrictionLaw
    ) -> tuple[FloatArray, FloatArray]:
        """Give the friction head [m] and its slope [s/m2]."""
        return pipe_loss(part, flow, kinematic_viscosity, friction)

    def ends(self, part: Pipe) -> tuple[float, float] | None:
        """Give its bore twice."""
        return part.bore, part.bore

    def range(self, part: Pipe) -> ReynoldsRange | None:
        """Give the range of the Moody chart; a stated factor is no pipe's where that flows slowly.

        The roughness has a range too (``friction_flags``).
        """
        factor = part.friction_factor
        return 0.0 if factor is None else least_reynolds(factor), HIGHEST_REYNOLDS

    def coefficient(self, part: Pipe, bore: float, k: float) -> float:
        """Give the Darcy factor [-]."""
        return k * bore / part.length

    def band(self, part: Pipe) -> Band:
        """Give the spread of the bore."""
        return part.bore_band

    def kind(self, part: Pipe) -> str:
        """Tube and hose are one kind here."""
        del part
        return "tube or hose"

    def title_of(self, part: Pipe) -> str:
        """Say whether the factor is stated."""
        return self.title if part.friction_factor is None else "fixed friction factor"

    def title_at(self, part: Pipe, reynolds_number: float) -> str:
        """Say which piece of the law holds."""
        if part.friction_factor is not None:
            return self.title_of(part)
        if reynolds_number <= LAMINAR_END:
            return "friction, laminar"
        if reynolds_number >= TURBULENT_START:
            return "friction, turbulent"
        return "friction, transition"

    def numbers(self, part: Pipe) -> str:
        """Say the bore."""
        return f"bore {BORE.significant(part.bore, 4)}"

    def measurement(self, part: Pipe) -> str:
        """Its bore is what counts."""
        return f"measure the bore of {part.name} (pin gauge, or weigh a filled length)"

    def terms(self, part: Pipe, loss: float, laminar: float, clear: float) -> dict[str, float]:
        """Give length, roughness, and the factor where it is stated."""
        del loss, laminar, clear
        found = {"length": part.length, "roughness": part.roughness}
        if part.friction_factor is not None:
            found["darcy_factor"] = part.friction_factor
        return found

    def terms_at(self, part: Pipe, passing: Passing) -> dict[str, float]:
        """Give the factor by the law."""
        if part.friction_factor is not None:
            return {}
        rough = np.array(part.roughness / passing.bore)
        return {"darcy_factor": float(darcy_factor(np.array(passing.reynolds), rough))}
