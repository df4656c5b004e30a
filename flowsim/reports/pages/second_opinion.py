"""What the general-purpose library fluids says of a part, beside our own number.

The only place in flowsim that imports fluids, inside a function because that takes long. Nothing
rests on it: it is one more thing to hold a sheet against.
"""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from importlib import metadata

from flowsim.files.results.json_text import Json
from flowsim.network.elements import PlacedPart
from flowsim.physics.losses.bore_steps import step_coefficients
from flowsim.physics.losses.friction import LAMINAR_END, TURBULENT_START
from flowsim.reports.words.units import digits, number
from flowsim.studies.result import LossRow
from flowsim.system.parts import Exit, MinorLoss, Pipe, Step

LIBRARY = "fluids"
NO_REASON = "no reason known: report it as a bug"
ALIKE = 1e-3
"""[-] Two values that differ by less than this need no reason. Own choice."""
FLUIDS_TURBULENT = 2040.0
"""[-] Reynolds number from which fluids takes flow for turbulent (its documentation)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondOpinion:
    """The same quantity twice.

    ``quantity`` is "darcy_factor" or "k" [-]; ``ours`` as the solve had it, ``value`` by ``law`` of
    the library; ``why`` they differ, empty where they do not.
    """

    law: str
    quantity: str
    ours: float
    value: float
    why: str

    @property
    def difference(self) -> float:
        """How far the library's value lies over ours, as a share of ours [-]; below is negative."""
        return self.value / self.ours - 1.0 if self.ours else math.nan


def second_opinion(row: LossRow, placed: PlacedPart | None) -> SecondOpinion | None:
    """Ask the library about one part of a path.

    Parameters
    ----------
    row : LossRow
        The part with its flow and our coefficient.
    placed : PlacedPart or None
        The part with the row's key: a pipe, a flush outlet or a formed bend is comparable. A step
        of bore is known by the row's terms; None will do.

    Returns
    -------
    SecondOpinion or None
        None where nothing is comparable, or nothing flows.

    References
    ----------
    C. Bell and contributors, fluids: fluid dynamics component of the Chemical Engineering Design
    Library. Its laws: Clamond 2009 (solves Colebrook), Rennels and Hudson 2012.
    """
    if not row.reynolds > 0.0 or not math.isfinite(row.coefficient):
        return None
    part = None if placed is None else placed.part
    terms = dict(row.terms)
    found = None
    if "bore_from" in terms:
        found = _step(terms)
    elif isinstance(part, Pipe):
        found = _friction(row, part)
    elif isinstance(part, MinorLoss):
        found = _entrance(part) if part.kind == "flush outlet" else _bend(row, part)
    if found is None:
        return None
    law, value, why = found
    opinion = SecondOpinion(
        law=law,
        quantity="darcy_factor" if isinstance(part, Pipe) else "k",
        ours=row.coefficient,
        value=value,
        why="",
    )
    if abs(opinion.difference) < ALIKE:
        return opinion
    reasons = [*_tested(terms, placed), *([why] if why else [])]
    return replace(opinion, why="; ".join(reasons) or NO_REASON)


def parts_by_key(placed: Iterable[PlacedPart]) -> dict[str, PlacedPart]:
    """Give every part by its key, without steps of bore and ends, which share keys."""
    return {item.key: item for item in placed if not isinstance(item.part, Step | Exit)}


def opinion_line(opinion: SecondOpinion) -> str:
    """Say a second opinion in one line of text."""
    symbol = "f" if opinion.quantity == "darcy_factor" else "K"
    off = opinion.difference
    if abs(off) < ALIKE:
        apart = "the same as ours within 0.1 %"
    else:
        apart = f"{number(100.0 * abs(off), 1)} % {'above' if off > 0.0 else 'below'} ours"
    why = f" ({opinion.why})" if opinion.why else ""
    return (
        f"second opinion, {LIBRARY} {opinion.law}: {symbol} {digits(opinion.value)} against "
        f"{digits(opinion.ours)}, {apart}{why}"
    )


def opinion_object(opinion: SecondOpinion | None) -> Json | None:
    """Give a second opinion ready for JSON; None where there is none."""
    if opinion is None:
        return None
    off = opinion.difference
    return {
        "library": f"{LIBRARY} {metadata.version(LIBRARY)}",
        "law": opinion.law,
        "quantity": opinion.quantity,
        "ours": opinion.ours,
        "value": opinion.value,
        "difference_percent": 100.0 * off if math.isfinite(off) else None,
        "why": opinion.why,
    }


_Found = tuple[str, float, str]
"""The library's law, its value [-], and why ours may differ."""


def _friction(row: LossRow, part: Pipe) -> _Found:
    from fluids.friction import friction_factor

    value = float(friction_factor(Re=row.reynolds, eD=part.roughness / row.bore))
    why = ""
    if part.friction_factor is not None:
        why = "ours is the fixed factor that the case states"
    elif LAMINAR_END < row.reynolds < max(TURBULENT_START, FLUIDS_TURBULENT):
        why = (
            f"ours blends both factors from Re {digits(LAMINAR_END)} to {digits(TURBULENT_START)}; "
            f"fluids goes from 64/Re to turbulent at Re {digits(FLUIDS_TURBULENT)}"
        )
    return "friction_factor", value, why


def _step(terms: dict[str, float]) -> _Found:
    from fluids.fittings import contraction_sharp, diffuser_sharp

    before, behind, count = terms["bore_from"], terms["bore_to"], terms["count"]
    law = diffuser_sharp if behind > before else contraction_sharp
    value = count * float(law(Di1=before, Di2=behind, method="Rennels"))
    both = step_coefficients(before, behind)
    why = ""
    if terms["kinetic_coefficient"] > both.turbulent * (1.0 + ALIKE):
        why = (
            f"at this Re ours has the kinetic energy of slow flow in it (laminar "
            f"K {digits(both.laminar)}); fluids has the turbulent K at every Re"
        )
    return law.__name__, value, why


def _entrance(part: MinorLoss) -> _Found:
    from fluids.fittings import entrance_sharp

    value = part.count * float(entrance_sharp(method="Rennels"))
    ours = f"{digits(part.k_inf)} + {digits(part.k_laminar)}/Re"
    return "entrance_sharp", value, f"ours is {ours} on its bore; fluids has 0.57 at every Re"


def _bend(row: LossRow, part: MinorLoss) -> _Found | None:
    """Give the bend without the friction of its arc, which our pipe holds already."""
    if part.bend_radius is None or part.bend_angle is None:
        return None
    from fluids.fittings import bend_rounded
    from fluids.friction import friction_factor

    factor = float(friction_factor(Re=row.reynolds, eD=0.0))
    whole = bend_rounded(
        Di=part.bore, angle=math.degrees(part.bend_angle), fd=factor, rc=part.bend_radius,
        method="Rennels",
    )  # fmt: skip
    arc = factor * part.bend_angle * part.bend_radius / part.bore
    why = (
        f"arc left out of both; fluids with f {digits(factor)} of a smooth bore, ours "
        f"{digits(part.k_inf)} + {digits(part.k_laminar)}/Re"
    )
    return "bend_rounded", part.count * (float(whole) - arc), why


def _tested(terms: dict[str, float], placed: PlacedPart | None) -> Iterator[str]:
    """Say that a ground test has changed ours."""
    factors = [terms.get("ground_test_factor", 1.0)]
    if placed is not None:
        factors += [placed.loss_factor, placed.laminar_factor]
    if any(factor != 1.0 for factor in factors):
        yield "ours has the factor of the ground test in it"
