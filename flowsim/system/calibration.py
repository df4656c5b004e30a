"""What a ground test taught about a fuel system, in the terms of its uncertain inputs.

The score of an input is how many standard deviations of a normal variable its place in its stated
band stands from the band's median: probability = Phi(score). Before the test all scores are
independent with mean 0 and deviation 1, whatever the bands look like. After it they are normal with
mean ``scores`` and covariance I - U diag(learned) U^T, U the orthonormal ``directions``.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PartFactors:
    """Factors [-] on the laws of the parts with one ``key`` (1 = as stated).

    ``loss`` on the quadratic term, table or exit; ``laminar`` on the linear term; ``bore`` on the
    bore of a pipe whose friction follows the law.
    """

    key: str
    loss: float
    laminar: float
    bore: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """Scores after the test, and the factors of their middle as nominal values.

    ``keys`` (input) of the uncertain inputs; ``scores`` (input), the most likely; ``centre``
    (input), about which draws are made, the scores if it is empty; ``learned`` (direction) shares
    of variance taken away, above 0 to below 1; ``directions`` (direction, input). ``parts``,
    ``friction`` and ``viscosity`` are factors, ``height`` [m] is added to the fuel surfaces: all of
    them worked out from the scores. ``source`` says which test.
    """

    keys: tuple[str, ...]
    scores: tuple[float, ...]
    learned: tuple[float, ...]
    directions: tuple[tuple[float, ...], ...]
    parts: tuple[PartFactors, ...] = ()
    friction: float = 1.0
    viscosity: float = 1.0
    height: float = 0.0
    source: str = ""
    centre: tuple[float, ...] = ()
