"""What is to be known of one loss law: the shape of a row of the table in ``laws``.

A law is written once, in its row: how the solver takes it in, its value and slope, its range, what
its band acts on, its words. Whoever works with parts asks the row and never the part's class.
"""

from abc import ABC, abstractmethod
from collections.abc import Mapping
from types import MappingProxyType
from typing import Generic, TypeVar

import numpy as np

from flowsim.errors import DomainError
from flowsim.physics.arrays import BoolArray, FloatArray, FloatLike
from flowsim.physics.losses.bore_steps import StepCoefficients
from flowsim.physics.losses.fitting_catalogue import ReynoldsRange
from flowsim.physics.losses.friction import FrictionLaw
from flowsim.physics.losses.law_shape import BandActs, Formula, LawForm, Passing, Ready
from flowsim.physics.losses.round_bore import reynolds
from flowsim.system.bands import Band
from flowsim.system.parts import AnyPart, Part
from flowsim.system.tags import Tag

P = TypeVar("P", bound=AnyPart)


class LossLaw(ABC, Generic[P]):
    """A row of the table: the law of one class of part.

    ``title`` names it; ``reference`` says where the law (not a part's number) is from. ``symbols``
    are those of its formula with the names of their ``terms``. ``cause`` is what all parts of the
    class share their uncertainty with (None: those of one kind). ``has_make``: the spread of make
    and burrs of all fittings acts on it. ``takes_kinetic``: the kinetic energy of what leaves it is
    in its loss. ``tested_as_whole``: a ground test's factor stands beside its numbers, not in them.
    """

    title: str
    reference: str
    symbols: Mapping[str, str] = MappingProxyType({})
    acts: BandActs = BandActs.LOSS
    cause: str | None = None
    has_make: bool = False
    takes_kinetic: bool = False
    is_one_way: bool = False
    tested_as_whole: bool = True

    # -- the law -------------------------------------------------------------------------------

    def form(self, part: P) -> LawForm:
        """Say how the solver takes the part in."""
        del part
        return LawForm.COEFFICIENTS

    def coefficients(self, part: P) -> tuple[float, float]:
        """Give ``quadratic`` [s2/m5] and ``linear`` [s2/m4] of h = quadratic Q |Q| + linear nu Q.

        Raises
        ------
        DomainError
            When a number of the part is impossible.
        TypeError
            For a law that has no such form.
        """
        raise TypeError(f'"{part.name}" ({type(part).__name__}) has no quadratic form')

    def head(
        self, part: P, flow: FloatLike, kinematic_viscosity: FloatLike, friction: FrictionLaw
    ) -> tuple[FloatArray, FloatArray]:
        """Give the head lost at a flow, and its slope, as stated.

        Parameters
        ----------
        part : P
            The part.
        flow : FloatLike
            [m3/s], either sign, any shape.
        kinematic_viscosity : FloatLike
            [m2/s], > 0, shape that broadcasts.
        friction : {"cautious", "expected"}
            Law of friction, where it has any.

        Returns
        -------
        tuple of FloatArray
            Head [m], with the sign of the flow, and its slope by flow [s/m2].

        Raises
        ------
        DomainError
            When a number of the part is impossible.
        """
        del friction
        flow = np.asarray(flow, dtype=np.float64)
        quadratic, linear = self.coefficients(part)
        viscous = linear * np.asarray(kinematic_viscosity, dtype=np.float64)
        loss = (quadratic * np.abs(flow) + viscous) * flow
        return loss, 2.0 * quadratic * np.abs(flow) + viscous

    def ready(self, part: P, share: float) -> Ready:
        """Put a part's numbers into a law of the form BY_ITSELF.

        Parameters
        ----------
        part : P
            The part.
        share : float
            How much of it counts [-].

        Returns
        -------
        Ready
        """
        return _Plain(self, part, share)

    def both(self, part: P) -> StepCoefficients:
        """Give K [-] on the bore in turbulent and in laminar flow, of a law of the form KINETIC.

        Raises
        ------
        TypeError
            For a law of another form.
        """
        raise TypeError(f'"{part.name}" ({type(part).__name__}) has no two coefficients')

    def clear(self, part: P) -> float:
        """Give the clear fraction [-] of a screen, by which its coefficients are divided."""
        del part
        return np.nan

    def cracking_pressure(self, part: P) -> float:
        """Give the pressure [Pa] that is lost while anything flows."""
        del part
        return 0.0

    def ends(self, part: P) -> tuple[float, float] | None:
        """Give the bores [m] at its two ends; None where its loss holds its own steps of bore."""
        del part
        return None

    def blocked(self, part: P) -> Part | None:
        """Give what a meter amounts to when it is blocked; None where that is not known."""
        del part
        return None

    def count(self, part: P) -> int:
        """Give how many of it stand in a row."""
        del part
        return 1

    # -- its range -----------------------------------------------------------------------------

    def bore(self, part: P) -> float:
        """Give the bore [m] that its velocity refers to, NaN where it has none."""
        return part.bore  # type: ignore[union-attr]

    def reynolds(self, part: P, flow: FloatLike, kinematic_viscosity: FloatLike) -> FloatArray:
        """Give the Reynolds number that its range is in.

        Parameters
        ----------
        part : P
            The part.
        flow : FloatLike
            [m3/s], either sign, any shape.
        kinematic_viscosity : FloatLike
            [m2/s], > 0, shape that broadcasts.

        Returns
        -------
        FloatArray
            [-], >= 0.
        """
        return reynolds(flow, self.bore(part), kinematic_viscosity)

    def range(self, part: P) -> ReynoldsRange | None:
        """Give lowest and highest Reynolds number [-] of its data; None where none is set."""
        del part
        return None

    def coefficient(self, part: P, bore: float, k: float) -> float:
        """Give what a table of losses shows of a part.

        Parameters
        ----------
        part : P
            The part.
        bore : float
            That the velocity refers to [m].
        k : float
            Velocity heads lost on it [-].

        Returns
        -------
        float
            [-], mostly the same.
        """
        del part, bore
        return k

    # -- what is not known ---------------------------------------------------------------------

    def band(self, part: P) -> Band:
        """Give the spread of the factor that ``acts`` names."""
        return part.band  # type: ignore[union-attr]

    def laminar_band(self, part: P) -> Band | None:
        """Give the spread of the linear term; None where it goes with the other."""
        del part
        return None

    def scaled(self, part: P, factor: float) -> P:
        """Give a part that loses so many times as much at every flow.

        Parameters
        ----------
        part : P
            The part.
        factor : float
            [-], > 0.

        Returns
        -------
        P
            The part, changed.

        Raises
        ------
        DomainError
            For a part whose loss is not one number.
        """
        del factor
        raise DomainError(
            f'"{part.name}" ({self.kind(part)}): its loss is not one number; ask for its size or '
            "its clear fraction instead"
        )

    # -- its words -----------------------------------------------------------------------------

    def kind(self, part: P) -> str:
        """Say what kind of part it is, in the trade's word."""
        return part.kind  # type: ignore[union-attr]

    def title_of(self, part: P) -> str:
        """Name the law that a part follows."""
        del part
        return self.title

    def title_at(self, part: P, reynolds_number: float) -> str:
        """Name the law that a part follows at a flow.

        Parameters
        ----------
        part : P
            The part.
        reynolds_number : float
            [-], in the part.

        Returns
        -------
        str
        """
        del reynolds_number
        return self.title_of(part)

    def source(self, part: P) -> str:
        """Say where the part's number is from."""
        return part.source  # type: ignore[union-attr]

    def tag(self, part: P) -> Tag | None:
        """Give the tag of the part's number; None where no number of a part sets the loss."""
        return part.tag  # type: ignore[union-attr]

    @abstractmethod
    def numbers(self, part: P) -> str:
        """Say the number that a part's loss goes by."""

    def measurement(self, part: P) -> str:
        """Name the measurement that would replace the part's number."""
        return (
            f"measure the pressure drop of {part.name} on the bench at the required flow, "
            "or run the bucket test with the line as built"
        )

    @abstractmethod
    def terms(self, part: P, loss: float, laminar: float, clear: float) -> dict[str, float]:
        """Give the numbers for a working by hand.

        Parameters
        ----------
        part : P
            The part.
        loss, laminar : float
            Factors of a ground test [-].
        clear : float
            Clear fraction of all screens [-], NaN for the stated one.

        Returns
        -------
        dict of str to float
            By name, in SI units.
        """

    def formula(self, terms: Mapping[str, float]) -> tuple[str, ...]:
        """Give the lines of ``Formula``.

        Parameters
        ----------
        terms : mapping of str to float
            Of the part, in SI units.

        Returns
        -------
        tuple of str
            Empty where the hand check has a working of its own.
        """
        del terms
        return ()

    def working(self, terms: Mapping[str, float]) -> Formula | None:
        """Give the law in words with the values of its symbols.

        Parameters
        ----------
        terms : mapping of str to float
            Of the part, in SI units.

        Returns
        -------
        Formula or None
            None where the hand check has a working of its own.
        """
        lines = self.formula(terms)
        if not lines:
            return None
        named = {**self.symbols, "share": "share_of_part"}
        return Formula(lines, tuple((symbol, terms[name]) for symbol, name in named.items()))

    def terms_at(self, part: P, passing: Passing) -> dict[str, float]:
        """Give such numbers that depend on the flow, by name, in SI units."""
        del part, passing
        return {}


class _Plain(Generic[P]):
    """A law of which only ``head`` and ``range`` are written, for the solver."""

    def __init__(self, law: LossLaw[P], part: P, share: float) -> None:
        self.law, self.part, self.share = law, part, share

    def head(
        self, flow: FloatArray, kinematic_viscosity: FloatArray, factor: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        loss, slope = self.law.head(self.part, flow, kinematic_viscosity, "cautious")
        return loss * (self.share * factor), slope * (self.share * factor)

    def flags(
        self, flow: FloatArray, kinematic_viscosity: FloatArray
    ) -> tuple[BoolArray, BoolArray]:
        outside = outside_range_of(self.law, self.part, flow, kinematic_viscosity)
        return outside, np.zeros(outside.shape, dtype=bool)


def outside_range_of(
    law: LossLaw[P], part: P, flow: FloatArray, kinematic_viscosity: FloatLike
) -> BoolArray:
    """Tell where a part that flows is used outside the range of its law's data.

    Parameters
    ----------
    law : LossLaw
        The part's row.
    part : AnyPart
        The part.
    flow : FloatArray
        Flow [m3/s], either sign, any shape.
    kinematic_viscosity : FloatLike
        Kinematic viscosity [m2/s], > 0, shape that broadcasts.

    Returns
    -------
    BoolArray
        Never at rest; True for a Reynolds number that is NaN.
    """
    limits = law.range(part)
    if limits is None:
        return np.zeros(flow.shape, dtype=bool)
    size = np.abs(flow)
    number = law.reynolds(part, size, kinematic_viscosity)
    return np.asarray(~((number >= limits[0]) & (number <= limits[1])) & (size > 0))
