"""The law of each part written out with its numbers, for a person with a calculator.

Every value is worked out here again from the part's own numbers, apart from the code that solved
the network, so that a sheet shows both and they can be compared. Formulas use x, / and ^.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from flowsim.constants import STANDARD_GRAVITY
from flowsim.physics.losses.bore_steps import STEP_TURBULENT
from flowsim.physics.losses.fitting_laws import WATER_DENSITY
from flowsim.physics.losses.friction import LAMINAR_END, TURBULENT_START
from flowsim.reports.pages.formula import worked_out
from flowsim.reports.words.units import digits
from flowsim.studies.result import LossRow

G0 = digits(STANDARD_GRAVITY)
_d = digits
_MANY = 10
"""Digits of a Reynolds number that stands in a logarithm near one."""


@dataclass(frozen=True, slots=True)
class Worked:
    """Lines of working, and the head [m of fuel] they end in (NaN: no formula to follow)."""

    lines: tuple[str, ...]
    head: float


@dataclass(frozen=True, slots=True)
class HandLiquid:
    """``density`` [kg/m3] and ``kinematic_viscosity`` [m2/s] of the fuel as it flows."""

    density: float
    kinematic_viscosity: float


def worked(row: LossRow, liquid: HandLiquid) -> Worked:
    """Write out one part's law with the numbers put in.

    Parameters
    ----------
    row : LossRow
        The part; its ``terms`` hold the numbers of its law.
    liquid : HandLiquid
        The fuel.

    Returns
    -------
    Worked
        For a law that has no closed formula (a measured table) only words and NaN.

    References
    ----------
    The laws as in ``flowsim.physics.losses.friction`` and ``flowsim.physics.losses.laws``.
    """
    terms = dict(row.terms)
    flow = _flow_lines(row, liquid)
    factor = terms.get("ground_test_factor", 1.0)
    if row.formula is not None:
        values = {**_of_flow(row, liquid), **dict(row.formula.values)}
        found = _corrected(Worked(*worked_out(row.formula.lines, values)), factor)
        return Worked((*flow, *found.lines), found.head)
    for needed, law in _OWN_WORKING:
        if needed <= terms.keys():
            found = _corrected(law(row, terms, liquid), factor)
            return Worked((*flow, *found.lines), found.head)
    return Worked((*flow, "no formula to follow"), math.nan)


def _of_flow(row: LossRow, liquid: HandLiquid) -> dict[str, float]:
    """Give the symbols that every formula may use."""
    return {
        "Q": row.flow,
        "V": row.velocity,
        "Re": row.reynolds,
        "D": row.bore,
        "nu": liquid.kinematic_viscosity,
        "rho": liquid.density,
        "g0": STANDARD_GRAVITY,
        "rhow": WATER_DENSITY,
    }


def _corrected(found: Worked, factor: float) -> Worked:
    """Put the factor in that a ground test gave, where there is one."""
    if factor == 1.0:
        return found
    head = factor * found.head
    if math.isnan(head):
        return Worked((*found.lines, f"times {_d(factor)}, the factor of the ground test"), head)
    line = f"times {_d(factor)}, the factor of the ground test: h = {_d(head)} m"
    return Worked((*found.lines, line), head)


def _flow_lines(row: LossRow, liquid: HandLiquid) -> tuple[str, ...]:
    """Give velocity and Reynolds number; a part without a bore has neither."""
    if math.isnan(row.bore):
        return ()
    return (
        f"V = 4 Q/(pi D^2) = 4 x {_d(row.flow)}/(pi x {_d(row.bore)}^2) = {_d(row.velocity)} m/s",
        f"Re = V D/nu = {_d(row.velocity)} x {_d(row.bore)}/{_d(liquid.kinematic_viscosity)} = "
        f"{_d(row.reynolds)}",
    )


def _pipe(row: LossRow, terms: dict[str, float], _: HandLiquid) -> Worked:
    lines: list[str] = []
    factor = terms["darcy_factor"]
    if "friction" in row.law and "fixed" not in row.law:
        lines, factor = _friction(row.reynolds, terms["roughness"], row.bore)
    length = terms["length"]
    head = factor * length / row.bore * _velocity_head(row)
    lines.append(
        f"h = f L/D V^2/(2 g0) = {_d(factor)} x {_d(length)}/{_d(row.bore)} x "
        f"{_d(row.velocity)}^2/(2 x {G0}) = {_d(head)} m"
    )
    return Worked(tuple(lines), head)


def _friction(reynolds: float, roughness: float, bore: float) -> tuple[list[str], float]:
    """Give the Darcy factor by the cautious law, written out."""
    laminar = 64.0 / reynolds
    laminar_line = f"f = 64/Re = 64/{_d(reynolds)} = {_d(laminar)}"
    if reynolds <= LAMINAR_END:
        return [f"laminar (Re up to {_d(LAMINAR_END)}): {laminar_line}"], laminar
    turbulent = colebrook(reynolds, roughness / bore)
    left, right = (
        1.0 / math.sqrt(turbulent),
        _colebrook_right(reynolds, roughness / bore, turbulent),
    )
    lines = [
        "Colebrook: 1/sqrt(f) = -2 log10(eps/(3.7 D) + 2.51/(Re sqrt(f))) holds for "
        f"f = {_d(turbulent)}:",
        f"  1/sqrt({_d(turbulent)}) = {_d(left)}; "
        f"-2 log10({_d(roughness)}/(3.7 x {_d(bore)}) + 2.51/({_d(reynolds)} x "
        f"sqrt({_d(turbulent)}))) = {_d(right)}",
    ]
    if reynolds >= TURBULENT_START:
        return lines, turbulent
    return _blend(reynolds, laminar, turbulent, lines)


def _blend(
    reynolds: float, laminar: float, turbulent: float, colebrook_lines: list[str]
) -> tuple[list[str], float]:
    """Write out the bridge between the laminar and the turbulent factor."""
    t = math.log(reynolds / LAMINAR_END) / math.log(TURBULENT_START / LAMINAR_END)
    s = t * t * (3.0 - 2.0 * t)
    factor = math.exp((1.0 - s) * math.log(laminar) + s * math.log(turbulent))
    low, high = _d(LAMINAR_END), _d(TURBULENT_START)
    many = _d(reynolds, _MANY)
    lines = [
        f"between Re {low} and {high}, where flow may be either: both factors, blended",
        f"fl = 64/Re = 64/{_d(reynolds)} = {_d(laminar)}",
        *colebrook_lines,
        f"t = ln(Re/{low})/ln({high}/{low}) = ln({many}/{low})/ln({high}/{low}) = {_d(t)}",
        f"s = t^2 (3 - 2 t) = {_d(t)}^2 x (3 - 2 x {_d(t)}) = {_d(s)}",
        f"f = fl^(1 - s) ft^s = {_d(laminar)}^(1 - {_d(s)}) x {_d(turbulent)}^{_d(s)} = "
        f"{_d(factor)}",
    ]
    return lines, factor


def colebrook(reynolds: float, relative_roughness: float) -> float:
    """Solve Colebrook's law by repeating it.

    Parameters
    ----------
    reynolds : float
        Reynolds number [-], > 0.
    relative_roughness : float
        Roughness over bore [-], >= 0.

    Returns
    -------
    float
        Darcy factor [-], to rounding.

    References
    ----------
    C. F. Colebrook, J. Inst. Civ. Eng. 11 (1939) 133.
    """
    factor = 0.04
    for _ in range(60):
        factor = _colebrook_right(reynolds, relative_roughness, factor) ** -2
    return factor


def _colebrook_right(reynolds: float, relative_roughness: float, factor: float) -> float:
    return -2.0 * math.log10(relative_roughness / 3.7 + 2.51 / (reynolds * math.sqrt(factor)))


def _exit(row: LossRow, terms: dict[str, float], _: HandLiquid) -> Worked:
    lines, k = _between(row.reynolds, 1.0, 2.0, "the whole kinetic energy")
    return _from_k(row, terms, k, lines)


def _step(row: LossRow, terms: dict[str, float], _: HandLiquid) -> Worked:
    """Write out a step of bore: its two coefficients, and which of them holds."""
    before, behind, count = terms["bore_from"], terms["bore_to"], terms["count"]
    lines, turbulent, laminar = (_widening if behind > before else _narrowing)(before, behind)
    more, k = _between(row.reynolds, turbulent, laminar, "a step of bore")
    if count != 1.0:
        more = (*more, f"{_d(count)} of them: K = {_d(count)} x {_d(k)} = {_d(count * k)}")
    return _from_k(row, terms, count * k, (*lines, *more))


def _widening(before: float, behind: float) -> tuple[tuple[str, ...], float, float]:
    a = (before / behind) ** 2
    turbulent, laminar = (1.0 - a) ** 2, 2.0 * (1.0 - a) * (1.0 - a / 3.0)
    lines = (
        f"a = (D1/D2)^2 = ({_d(before)}/{_d(behind)})^2 = {_d(a)}",
        f"turbulent Kt = (1 - a)^2 = (1 - {_d(a)})^2 = {_d(turbulent)}",
        f"laminar Kl = 2 (1 - a)(1 - a/3) = 2 x (1 - {_d(a)}) x (1 - {_d(a)}/3) = {_d(laminar)}",
    )
    return lines, turbulent, laminar


def _narrowing(before: float, behind: float) -> tuple[tuple[str, ...], float, float]:
    b = behind / before
    jet = 1.0 + 0.622 * (1.0 - 0.215 * b**2 - 0.785 * b**5)
    turbulent = 0.0696 * (1.0 - b**5) * jet**2 + (jet - 1.0) ** 2
    lines = (
        f"b = D2/D1 = {_d(behind)}/{_d(before)} = {_d(b)}",
        f"jet j = 1 + 0.622 (1 - 0.215 b^2 - 0.785 b^5) = 1 + 0.622 x (1 - 0.215 x {_d(b)}^2 - "
        f"0.785 x {_d(b)}^5) = {_d(jet)}",
        f"turbulent Kt = 0.0696 (1 - b^5) j^2 + (j - 1)^2 = 0.0696 x (1 - {_d(b)}^5) x {_d(jet)}^2 "
        f"+ ({_d(jet)} - 1)^2 = {_d(turbulent)}",
        f"laminar Kl = 2 Kt = 2 x {_d(turbulent)} = {_d(2.0 * turbulent)}",
    )
    return lines, turbulent, 2.0 * turbulent


def _between(
    reynolds: float, turbulent: float, laminar: float, words: str
) -> tuple[tuple[str, ...], float]:
    """Give the coefficient that holds at a Reynolds number, with its working."""
    low = _d(LAMINAR_END)
    ratio = laminar / turbulent
    end = max(STEP_TURBULENT, LAMINAR_END * ratio ** (5.0 / 6.0))
    high = _d(end, _MANY)
    if reynolds <= LAMINAR_END:
        return (f"K = {_d(laminar)} (laminar, Re up to {low}: {words})",), laminar
    if reynolds >= end:
        return (f"K = {_d(turbulent)} (turbulent, Re from {high}: {words})",), turbulent
    t = math.log(reynolds / LAMINAR_END) / math.log(end / LAMINAR_END)
    k = turbulent * ratio ** (1.0 - t * t * (3.0 - 2.0 * t))
    lines: tuple[str, ...] = (
        f"t = ln(Re/{low})/ln({high}/{low}) = ln({_d(reynolds, _MANY)}/{low})/"
        f"ln({high}/{low}) = {_d(t)}",
        f"K = Kt (Kl/Kt)^(1 - t^2 (3 - 2 t)) = {_d(turbulent)} x ({_d(laminar)}/{_d(turbulent)})"
        f"^(1 - {_d(t)}^2 x (3 - 2 x {_d(t)})) = {_d(k)}",
    )
    if end > STEP_TURBULENT:
        where = f"turbulent from Re {low} (Kl/Kt)^(5/6) = {high}"
        lines = (where, *lines)
    return lines, k


def _from_k(row: LossRow, terms: dict[str, float], k: float, before: tuple[str, ...]) -> Worked:
    share, share_name, share_value = _share(terms)
    head = share * k * _velocity_head(row)
    line = (
        f"h = {share_name}K V^2/(2 g0) = {share_value}{_d(k)} x {_d(row.velocity)}^2/(2 x {G0}) = "
        f"{_d(head)} m"
    )
    return Worked((*before, line), head)


def _table(row: LossRow, terms: dict[str, float], _: HandLiquid) -> Worked:
    """Write out a measured table: its readings on both sides; below the first a straight line."""
    ratio, density = terms["viscosity_ratio"], terms["table_density"]
    read = abs(row.flow) / ratio
    lines = ["h is read off the part's measured table at this flow"]
    if ratio != 1.0:
        lines.append(
            f"the liquid is {_d(ratio)} times as viscous as that of the readings (r): read at "
            f"Q/r = {_d(row.flow)}/{_d(ratio)} = {_d(read)} m3/s, and h is r^2 times what is read"
        )
    weight = f"({_d(density)} x {G0})"
    for side in ("below", "above"):
        if f"reading_{side}_flow" in terms:
            flow, drop = terms[f"reading_{side}_flow"], terms[f"reading_{side}_drop"]
            lines.append(
                f"table point: {_d(3.6e6 * flow)} L/h, {_d(drop)} Pa of a liquid of {_d(density)} "
                f"kg/m3: h = {_d(drop)}/{weight} = {_d(drop / (density * STANDARD_GRAVITY))} m"
            )
    if read >= terms["straight_up_to"]:
        return Worked(tuple(lines), math.nan)
    first, drop = terms["reading_above_flow"], terms["reading_above_drop"]
    share, share_name, share_value = _share(terms)
    head = share * ratio**2 * drop * read / first / (density * STANDARD_GRAVITY)
    lines.append(
        f"below the first reading a straight line: h = {share_name}r^2 dp1/(rho g0) Q/(r Q1) = "
        f"{share_value}{_d(ratio)}^2 x {_d(drop)}/{weight} x {_d(read)}/{_d(first)} = {_d(head)} m"
    )
    return Worked(tuple(lines), head)


def _share(terms: dict[str, float]) -> tuple[float, str, str]:
    """Give the share of a part that sits on this flow, its symbol and its value, as a factor."""
    share = terms.get("share_of_part", 1.0)
    return (share, "", "") if share == 1.0 else (share, "share x ", f"{_d(share)} x ")


def _velocity_head(row: LossRow) -> float:
    return row.velocity**2 / (2.0 * STANDARD_GRAVITY)


_Law = Callable[[LossRow, dict[str, float], HandLiquid], Worked]

_OWN_WORKING: tuple[tuple[set[str], _Law], ...] = (
    ({"length", "darcy_factor"}, _pipe),
    ({"bore_from", "bore_to", "count"}, _step),
    ({"kinetic_coefficient"}, _exit),
    ({"table_density", "viscosity_ratio", "straight_up_to"}, _table),
)
"""Laws that no formula says: solved, chosen by the flow, or read off; known by their terms."""
