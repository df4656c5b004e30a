"""The laws of parts that are known by one number or two: a K, a Kv, a Cd, a coefficient."""

import math
from collections.abc import Mapping
from dataclasses import replace
from types import MappingProxyType

from flowsim.constants import STANDARD_GRAVITY
from flowsim.measures import BORE
from flowsim.physics.checks import require_positive
from flowsim.physics.losses.fitting_catalogue import (
    CATALOGUE,
    FITTING_RANGE,
    ReynoldsRange,
    traits_of,
)
from flowsim.physics.losses.law_shape import BandActs, share_of
from flowsim.physics.losses.loss_law import LossLaw
from flowsim.physics.losses.round_bore import coefficients_of_k
from flowsim.system.bands import Band
from flowsim.system.parts import (
    FlowCoefficient,
    MinorLoss,
    OneWayValve,
    Orifice,
    Part,
    QuadraticLoss,
)

WATER_DENSITY = 999.1
"""[kg/m3] Water at 15 degC, to which a flow coefficient refers (IEC 60534-1). Tag: published."""

ORIFICE_K_LAMINAR = 25.0
"""[-] K1 of a sharp orifice on its own bore: Cd tends to 0.2 sqrt(Re) in creeping flow (H. E.
Merritt, Hydraulic Control Systems, 1967, from memory), so 1/Cd^2 gains 1/(0.2^2 Re)."""


UNION_REACH = 0.9
"""[-] Smaller over larger bore down to which a union's catalogued loss holds its two square steps:
flared unions of -4 to -8 tube have 0.91 to 0.98 of it (AN929 dimension table, read).
Tag: published."""


class FittingLaw(LossLaw[MinorLoss]):
    """K = K_inf + K1/Re on the fitting's own bore, ``count`` of them in a row.

    Examples
    --------
    >>> elbows = MinorLoss(name="elbows", kind="stated", bore=0.008, k_inf=1.5, count=2)
    >>> quadratic, _ = FittingLaw().coefficients(elbows)
    >>> round(quadratic * 2 * 9.80665 * (math.pi * 0.008**2 / 4) ** 2, 9)
    3.0
    """

    title = "K + K1/Re"
    reference = "W. B. Hooper, Chem. Eng. 88 (24 Aug 1981) 96, without its size term"
    symbols = MappingProxyType({"Kinf": "k_inf", "K1": "k_laminar", "n": "count"})
    has_make = True
    tested_as_whole = False

    def coefficients(self, part: MinorLoss) -> tuple[float, float]:
        """Give both, of all of them together."""
        require_positive(part.name, "count", part.count)
        many = part.count
        return coefficients_of_k(part.name, part.bore, many * part.k_inf, many * part.k_laminar)

    def ends(self, part: MinorLoss) -> tuple[float, float] | None:
        """Give the tube's bores where they are known, else its own.

        A union's loss holds the steps of a bore that is nearly the tube's, as its sources had them;
        of one that is not, the flow steps into and out of it as of any other fitting.
        """
        known = traits_of(part.kind)
        if known.holds_steps and not (known.divides_line and _is_far(part)):
            return None
        return part.joins if known.is_size_change else part.joins or (part.bore, part.bore)

    def count(self, part: MinorLoss) -> int:
        """Give how many of it stand in a row."""
        return part.count

    def range(self, part: MinorLoss) -> ReynoldsRange | None:
        """Give the catalogue's; a stated K has none."""
        return CATALOGUE[part.kind].reynolds_range if part.kind in CATALOGUE else None

    def laminar_band(self, part: MinorLoss) -> Band | None:
        """Give the spread of K1, which is known apart from K_inf."""
        return part.laminar_band

    def scaled(self, part: MinorLoss, factor: float) -> MinorLoss:
        """Give both constants times the factor."""
        return replace(part, k_inf=part.k_inf * factor, k_laminar=part.k_laminar * factor)

    def numbers(self, part: MinorLoss) -> str:
        """Say both constants and their bore."""
        many = f" each of {part.count}" if part.count > 1 else ""
        law = f"K {part.k_inf:.4g} + {part.k_laminar:.4g}/Re{many}"
        return f"{law} on {BORE.significant(part.bore, 4)}"

    def terms(self, part: MinorLoss, loss: float, laminar: float, clear: float) -> dict[str, float]:
        """Give both constants, corrected by a ground test."""
        del clear
        return {
            "k_inf": part.k_inf * loss,
            "k_laminar": part.k_laminar * laminar,
            "count": float(part.count),
        }

    def formula(self, terms: Mapping[str, float]) -> tuple[str, ...]:
        """Give K, and its velocity heads."""
        plain = "Kinf + K1/Re"
        k = f"K = {plain}" if terms["count"] == 1.0 else f"K = n ({plain})"
        return k, f"h = {share_of(terms)}K V^2/(2 g0) | m"


def _is_far(part: MinorLoss) -> bool:
    """Tell whether a union's bore is farther from the tube's than its loss has steps for."""
    return part.joins is not None and any(
        min(part.bore, bore) < UNION_REACH * max(part.bore, bore) for bore in part.joins
    )


class FlowCoefficientLaw(LossLaw[FlowCoefficient]):
    """Kv, with K1/Re velocity heads for slow flow where the part has them.

    Examples
    --------
    Kv 1 loses 1 bar of water, 10.2 m, at 1 m3/h:

    >>> valve = FlowCoefficient(name="valve", kind="valve", bore=0.008, kv=1.0)
    >>> quadratic, _ = FlowCoefficientLaw().coefficients(valve)
    >>> round(quadratic / 3600**2, 3)
    10.206
    """

    title = "flow coefficient"
    reference = "IEC 60534-1"
    symbols = MappingProxyType({"Kv": "kv", "K1": "k_laminar"})
    acts = BandActs.COEFFICIENT
    takes_kinetic = True

    def coefficients(self, part: FlowCoefficient) -> tuple[float, float]:
        """Give the quadratic one by Kv; the liquid's density falls out of it."""
        _, linear = coefficients_of_k(part.name, part.bore, 0, part.k_laminar)
        return quadratic_of_kv(part.name, part.kv), linear

    def blocked(self, part: FlowCoefficient) -> Part | None:
        """Give it as stated."""
        return part.blocked

    def scaled(self, part: FlowCoefficient, factor: float) -> FlowCoefficient:
        """Divide Kv by the root: the loss goes with its inverse square."""
        root = math.sqrt(factor)
        return replace(part, kv=part.kv / root, k_laminar=part.k_laminar * factor)

    def numbers(self, part: FlowCoefficient) -> str:
        """Say Kv."""
        return f"Kv {part.kv:.4g} m3/h"

    def terms(
        self, part: FlowCoefficient, loss: float, laminar: float, clear: float
    ) -> dict[str, float]:
        """Give Kv and K1 as stated."""
        del loss, laminar, clear
        return {"kv": part.kv, "k_laminar": part.k_laminar}

    def formula(self, terms: Mapping[str, float]) -> tuple[str, ...]:
        """Give Kv, with what slow flow adds."""
        share = share_of(terms)
        if not terms["k_laminar"]:
            own = "hv" if share else "h"
            return *_passing(own), *((f"h = {share}hv | m",) if share else ())
        return (
            *_passing("hv"),
            "hl = K1/Re V^2/(2 g0) | m, for slow flow",
            f"h = {share}(hv + hl) | m",
        )


class OrificeLaw(LossLaw[Orifice]):
    """Q = Cd A sqrt(2 dp/rho), with its laminar limit.

    Examples
    --------
    >>> seat = Orifice(name="seat", kind="restrictor", bore=0.002, discharge_coefficient=0.6)
    >>> quadratic, _ = OrificeLaw().coefficients(seat)
    >>> round(0.6 * math.pi * 0.001**2 * (2 * 9.80665 * 0.5) ** 0.5 / 0.5**0.5 * quadratic**0.5, 9)
    1.0
    """

    title = "orifice"
    reference = (
        "Bernoulli with Cd; H. E. Merritt, Hydraulic Control Systems, 1967, in creeping flow"
    )
    symbols = MappingProxyType({"Cd": "discharge_coefficient"})
    acts = BandActs.COEFFICIENT
    takes_kinetic = True

    def coefficients(self, part: Orifice) -> tuple[float, float]:
        """Give those of K = 1/Cd^2 + 25/Re."""
        require_positive(part.name, "discharge coefficient", part.discharge_coefficient)
        k_inf = part.discharge_coefficient**-2
        return coefficients_of_k(part.name, part.bore, k_inf, ORIFICE_K_LAMINAR)

    def range(self, part: Orifice) -> ReynoldsRange | None:
        """Give that of fittings."""
        del part
        return FITTING_RANGE

    def scaled(self, part: Orifice, factor: float) -> Orifice:
        """Divide Cd by the root: the loss goes with its inverse square."""
        cd = part.discharge_coefficient / math.sqrt(factor)
        return replace(part, discharge_coefficient=cd)

    def numbers(self, part: Orifice) -> str:
        """Say Cd and its bore."""
        return f"Cd {part.discharge_coefficient:.3g} on {BORE.significant(part.bore, 4)}"

    def measurement(self, part: Orifice) -> str:
        """Ask for a flow, which says it best."""
        return f"time a flow through {part.name} at a known height of fuel over it"

    def terms(self, part: Orifice, loss: float, laminar: float, clear: float) -> dict[str, float]:
        """Give Cd as stated."""
        del loss, laminar, clear
        return {"discharge_coefficient": part.discharge_coefficient}

    def formula(self, terms: Mapping[str, float]) -> tuple[str, ...]:
        """Give K by Cd, and its velocity heads."""
        return "K = 1/Cd^2 + 25/Re", f"h = {share_of(terms)}K V^2/(2 g0) | m"


class QuadraticLaw(LossLaw[QuadraticLoss]):
    """h = c Q^2 with a stated c.

    Examples
    --------
    >>> odd = QuadraticLoss(name="odd", kind="stated", bore=0.008, coefficient=3e8)
    >>> QuadraticLaw().coefficients(odd)
    (300000000.0, 0.0)
    """

    title = "h = c Q^2"
    reference = "by what the case states"
    symbols = MappingProxyType({"c": "coefficient"})
    takes_kinetic = True
    tested_as_whole = False

    def coefficients(self, part: QuadraticLoss) -> tuple[float, float]:
        """Give c itself."""
        require_positive(part.name, "coefficient", part.coefficient)
        return part.coefficient, 0.0

    def scaled(self, part: QuadraticLoss, factor: float) -> QuadraticLoss:
        """Give c times the factor."""
        return replace(part, coefficient=part.coefficient * factor)

    def numbers(self, part: QuadraticLoss) -> str:
        """Say c."""
        return f"c {part.coefficient:.4g} s2/m5"

    def terms(
        self, part: QuadraticLoss, loss: float, laminar: float, clear: float
    ) -> dict[str, float]:
        """Give c, corrected by a ground test."""
        del laminar, clear
        return {"coefficient": part.coefficient * loss}

    def formula(self, terms: Mapping[str, float]) -> tuple[str, ...]:
        """Give itself."""
        return (f"h = {share_of(terms)}c Q^2 | m",)


class OneWayLaw(LossLaw[OneWayValve]):
    """Kv, and a pressure that is lost while it flows; nothing passes the other way.

    Examples
    --------
    >>> flap = OneWayValve(name="flap", bore=0.008, cracking_pressure=50.0, kv=1.0)
    >>> OneWayLaw().cracking_pressure(flap)
    50.0
    """

    title = "one-way valve"
    reference = "IEC 60534-1, and the cracking pressure beside it"
    symbols = MappingProxyType({"Kv": "kv", "dp": "cracking_pressure"})
    acts = BandActs.COEFFICIENT
    cause = "one-way valves"
    takes_kinetic = True
    is_one_way = True
    tested_as_whole = False

    def coefficients(self, part: OneWayValve) -> tuple[float, float]:
        """Give those of Kv; the cracking pressure is apart."""
        return quadratic_of_kv(part.name, part.kv), 0.0

    def cracking_pressure(self, part: OneWayValve) -> float:
        """Give it [Pa]."""
        return part.cracking_pressure

    def kind(self, part: OneWayValve) -> str:
        """All are one kind."""
        del part
        return "one-way valve"

    def scaled(self, part: OneWayValve, factor: float) -> OneWayValve:
        """Divide Kv by the root; the cracking pressure stays."""
        return replace(part, kv=part.kv / math.sqrt(factor))

    def numbers(self, part: OneWayValve) -> str:
        """Say Kv."""
        return f"Kv {part.kv:.4g} m3/h"

    def terms(
        self, part: OneWayValve, loss: float, laminar: float, clear: float
    ) -> dict[str, float]:
        """Give Kv, corrected by a ground test, and the cracking pressure."""
        del laminar, clear
        return {"kv": part.kv * loss**-0.5, "cracking_pressure": part.cracking_pressure}

    def formula(self, terms: Mapping[str, float]) -> tuple[str, ...]:
        """Give Kv, and the cracking pressure beside it."""
        del terms
        return *_passing("hv"), "h = hv + dp/(rho g0) | m (dp: the valve's cracking pressure)"


def _passing(name: str) -> tuple[str, str]:
    """Give the head that Kv stands for; the liquid's density falls out of it."""
    return (
        "Qh = 3600 Q | m3/h (Kv refers to water, rhow {rhow} kg/m3)",
        f"{name} = 100000 (Qh/Kv)^2/(rhow g0) | m",
    )


def quadratic_of_kv(name: str, kv: float) -> float:
    """Turn a metric flow coefficient into h = quadratic Q |Q|.

    Parameters
    ----------
    name : str
        The part, in the builder's words.
    kv : float
        [m3/h of water at 1 bar], > 0.

    Returns
    -------
    float
        [s2/m5]

    Raises
    ------
    DomainError
        When ``kv`` is not positive.

    References
    ----------
    IEC 60534-1: Q [m3/h] = Kv sqrt(dp [bar] / (rho/rho0)).

    Examples
    --------
    Kv 1 loses 1 bar of water, 10.2 m, at 1 m3/h:

    >>> round(quadratic_of_kv("valve", 1.0) / 3600.0**2, 3)
    10.206
    """
    require_positive(name, "Kv", kv)
    return 1.0e5 * 3600.0**2 / (WATER_DENSITY * STANDARD_GRAVITY * kv**2)
