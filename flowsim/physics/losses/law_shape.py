"""What a loss law is made of: how the solver takes it in, what its band acts on, its formula."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, auto
from typing import Protocol

from flowsim.physics.arrays import BoolArray, FloatArray


class LawForm(Enum):
    """How the solver takes a law in: by kind all at once, or one part after the other."""

    COEFFICIENTS = auto()
    """h = quadratic Q |Q| + linear nu Q; those of a link add up."""
    FRICTION = auto()
    """The friction law of a pipe."""
    KINETIC = auto()
    """K falls from a laminar to a turbulent number, one way of flow only."""
    BY_ITSELF = auto()
    """Any other: the solver asks the row's ``ready`` at every step."""


class BandActs(Enum):
    """What the factor of a part's band multiplies."""

    LOSS = auto()
    COEFFICIENT = auto()
    """A flow or discharge coefficient: the loss goes with its inverse square."""
    BORE = auto()


@dataclass(frozen=True, slots=True)
class Passing:
    """What passes through one part.

    ``flow`` [m3/s], ``bore`` [m] as a ground test gave it, ``reynolds`` [-] in it,
    ``kinematic_viscosity`` [m2/s].
    """

    flow: float
    bore: float
    reynolds: float
    kinematic_viscosity: float


@dataclass(frozen=True, slots=True)
class Formula:
    """The law of a part in words, for a working by hand.

    ``lines`` one after the other, each "words SYMBOL = formula | unit" in x, /, ^, blanks for a
    product, sqrt( ), pi and numbers, or words with {SYMBOL}; the last gives the head [m].
    ``values`` of the symbols of the part, SI; those of the flow (Q, V, Re, nu, rho, g0) are known.
    """

    lines: tuple[str, ...]
    values: tuple[tuple[str, float], ...]


class Ready(Protocol):
    """A law of the form BY_ITSELF with the numbers of one part put in."""

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
            How many times as much as stated [-], shape that broadcasts.

        Returns
        -------
        tuple of FloatArray
            Head [m], with the sign of the flow, and its slope by flow [s/m2].
        """
        ...

    def flags(
        self, flow: FloatArray, kinematic_viscosity: FloatArray
    ) -> tuple[BoolArray, BoolArray]:
        """Tell where the law is not to be trusted.

        Parameters
        ----------
        flow : FloatArray
            [m3/s], either sign, any shape.
        kinematic_viscosity : FloatArray
            [m2/s], > 0, shape that broadcasts.

        Returns
        -------
        tuple of BoolArray
            Where it is outside its range; where below the first reading of a table.
        """
        ...


def share_of(terms: Mapping[str, float]) -> str:
    """Give the factor of a formula for a part of which a share sits on this flow; mostly none.

    Parameters
    ----------
    terms : mapping of str to float
        Of the part: ``share_of_part`` [-].

    Returns
    -------
    str
        To be put before the formula of the head.
    """
    return "" if terms["share_of_part"] == 1.0 else "share x "
